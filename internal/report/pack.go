package report

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"slices"
	"strconv"
)

var errPack = errors.New("report: this is not a PDF as the library writes it")

// An object of a PDF, and where it begins in the file.
type object struct{ number, start int }

// packPages packs the pages of a PDF that was written plain, with one packer for all of them: the library makes a new one,
// of more than a megabyte, for every page. What is packed already stays as it is.
func packPages(plain []byte) ([]byte, error) {
	list, table, err := objects(plain)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	out.Grow(len(plain) / 3)
	out.Write(plain[:list[0].start])
	pack, err := zlib.NewWriterLevel(nil, zlib.BestSpeed)
	if err != nil {
		return nil, err
	}
	moved := make([]int, len(list)+1)
	var packed bytes.Buffer
	for i, o := range list {
		end := table
		if i+1 < len(list) {
			end = list[i+1].start
		}
		moved[o.number] = out.Len()
		content := pageOf(plain[o.start:end])
		if content == nil {
			out.Write(plain[o.start:end])
			continue
		}
		packed.Reset()
		pack.Reset(&packed)
		_, err := pack.Write(content)
		if err := errors.Join(err, pack.Close()); err != nil {
			return nil, err
		}
		fmt.Fprintf(&out, "%d 0 obj\n<</Filter /FlateDecode /Length %d>>\nstream\n%s\nendstream\nendobj\n", o.number, packed.Len(), packed.Bytes())
	}
	trailer, last := bytes.LastIndex(plain, []byte("trailer\n")), bytes.LastIndex(plain, []byte("startxref\n"))
	if trailer < table || last < trailer {
		return nil, errPack
	}
	at := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(moved))
	for _, m := range moved[1:] {
		fmt.Fprintf(&out, "%010d 00000 n \n", m)
	}
	out.Write(plain[trailer:last])
	fmt.Fprintf(&out, "startxref\n%d\n%%%%EOF\n", at)
	return out.Bytes(), nil
}

// objects reads the table at the end of a PDF: its objects as they lie in the file, and where the table begins.
func objects(pdf []byte) (list []object, table int, err error) {
	const head, line = "xref\n0 ", 20
	if table = bytes.LastIndex(pdf, []byte(head)); table < 0 {
		return nil, 0, errPack
	}
	count, rest, _ := bytes.Cut(pdf[table+len(head):], []byte("\n"))
	n, err := strconv.Atoi(string(count))
	if err != nil || n < 2 || len(rest) < n*line {
		return nil, 0, errPack
	}
	for i := 1; i < n; i++ { // object 0 is none
		start, err := strconv.Atoi(string(rest[i*line : i*line+10]))
		if err != nil || start >= table {
			return nil, 0, errPack
		}
		list = append(list, object{i, start})
	}
	slices.SortFunc(list, func(a, b object) int { return a.start - b.start })
	return list, table, nil
}

// pageOf returns what an object of nothing but a plain stream holds, nil of any other.
func pageOf(object []byte) []byte {
	_, rest, _ := bytes.Cut(object, []byte(" 0 obj\n<</Length "))
	length, rest, ok := bytes.Cut(rest, []byte(">>\nstream\n"))
	n, err := strconv.Atoi(string(length))
	if !ok || err != nil || len(rest) < n {
		return nil
	}
	return rest[:n]
}
