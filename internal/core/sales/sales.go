// Package sales reads what a till says was sold: a CSV file of any make, by a map that says which column is what.
package sales

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// None stands for a column that the file does not have.
const None = -1

// Orders of a day's numbers.
const (
	YMD = "ymd"
	DMY = "dmy"
	MDY = "mdy"
)

// Map says how a file is to be read.
type Map struct {
	Sep                     byte // between columns
	Head                    bool // the first line names the columns
	Day, Time, Item, Pieces int  // columns, counted from 0, or None. Day and Time may be one
	Order                   string
	Decimal                 byte // . or ,
}

// Problem says what is wrong with a row.
type Problem uint8

// Problems. The comment says what Text, N and M of a fault hold.
const (
	Quote  Problem = iota // a quotation mark stands where none belongs
	Narrow                // the row has N columns, and M are needed
	NoDay                 // no day: Text
	NoTime                // no time of day: Text
	Number                // not a number: Text
	Parts                 // not a whole number of pieces: Text
	Large                 // more than N pieces: Text
	NoItem                // no item
)

// Fault is a row that cannot be read.
type Fault struct {
	Problem Problem
	Line    int // of the file, from 1
	Text    string
	N, M    int
}

// Row is one row of sales.
type Row struct {
	Line   int
	Day    int32 // since 1970-01-01
	Minute int   // of the day; None when the file tells only days
	Until  int   // of a span "12:00-12:30"; 0: none is told
	Item   int   // in File.Items
	Pieces int64 // less than 0: brought back
}

// Item is a name that the file has.
type Item struct {
	Name   string
	Rows   int
	Pieces int64
}

// File is a file as it was read.
type File struct {
	Names  []string // of the columns, or what the first row has in them
	Rows   []Row
	Items  []Item // as they first come
	Faults []Fault
	Bad    int // how many there are; faultsMost are kept
	Lines  int // that are not empty, without the head
}

const (
	faultsMost = 100
	piecesMost = 100_000
	// Widest is how many columns a file may have. Of a row that has more, those beyond are passed over.
	Widest = 200
	// Most is the largest file that is read, in bytes.
	Most = 8 << 20
)

// Text is a file as UTF-8: some tills write UTF-16, and some one byte for each letter.
func Text(file []byte) []byte {
	switch {
	case bytes.HasPrefix(file, []byte{0xff, 0xfe}):
		return wide(file[2:], 1)
	case bytes.HasPrefix(file, []byte{0xfe, 0xff}):
		return wide(file[2:], 0)
	}
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if utf8.Valid(file) {
		return file
	}
	out := make([]byte, 0, len(file)+len(file)/8)
	for _, b := range file {
		out = utf8.AppendRune(out, rune(b))
	}
	return out
}

// wide reads letters of two bytes; high is where the high one is.
func wide(file []byte, high int) []byte {
	out := make([]byte, 0, len(file)/2)
	for i := 0; i+1 < len(file); i += 2 {
		out = utf8.AppendRune(out, rune(file[i+high])<<8|rune(file[i+1-high]))
	}
	return out
}

// walk hands over the records of a file, as RFC 4180 has them but with any separator, with their first line. Without empty ones. It
// stops when visit says so.
func walk(text []byte, sep byte, visit func(line int, cells []string, ok bool) bool) {
	line, at := 1, 0
	for at < len(text) {
		begun := line
		var cells []string
		ok, end := true, false
		for !end {
			var cell []byte
			if at < len(text) && text[at] == '"' {
				at++
				for {
					i := bytes.IndexByte(text[at:], '"')
					if i < 0 {
						cell, at, ok = append(cell, text[at:]...), len(text), false
						break
					}
					cell = append(cell, text[at:at+i]...)
					if at += i + 1; at >= len(text) || text[at] != '"' {
						break
					}
					cell, at = append(cell, '"'), at+1
				}
				line += bytes.Count(cell, []byte{'\n'})
			}
			from := at
			for at < len(text) && text[at] != sep && text[at] != '\n' {
				at++
			}
			rest := bytes.TrimRight(text[from:at], "\r")
			if ok = ok && (len(cell) == 0 || len(bytes.TrimSpace(rest)) == 0) && bytes.IndexByte(rest, '"') < 0; len(cell) == 0 {
				cell = rest
			}
			if len(cells) <= Widest { // one too many, so that it is known that there are
				cells = append(cells, string(bytes.TrimSpace(cell)))
			}
			end = at >= len(text) || text[at] == '\n'
			at++
		}
		line++
		if (len(cells) > 1 || cells[0] != "") && strings.Join(cells, "") != "" && !visit(begun, cells, ok) {
			return
		}
	}
}

// Wide tells whether the first line has more columns than are read.
func Wide(text []byte, sep byte) (wide bool) {
	walk(text, sep, func(_ int, cells []string, _ bool) bool {
		wide = len(cells) > Widest
		return false
	})
	return wide
}

// Read reads a file as the map says.
func Read(text []byte, m Map) *File {
	f, first := new(File), true
	index := map[string]int{}
	walk(text, m.Sep, func(line int, cells []string, ok bool) bool {
		if first {
			if first, f.Names = false, cells; m.Head {
				return true
			}
		}
		f.Lines++
		r, fault := m.row(line, cells, ok)
		if fault != nil {
			if f.Bad++; len(f.Faults) < faultsMost {
				f.Faults = append(f.Faults, *fault)
			}
			return true
		}
		name := cells[m.Item]
		i, known := index[name]
		if !known {
			i = len(f.Items)
			index[name], f.Items = i, append(f.Items, Item{Name: name})
		}
		r.Item = i
		f.Items[i].Rows, f.Items[i].Pieces = f.Items[i].Rows+1, f.Items[i].Pieces+r.Pieces
		f.Rows = append(f.Rows, r)
		return true
	})
	return f
}

// Whole tells whether the map names all columns that are needed, and which is the first that it does not.
func (m *Map) Whole() (missing string) {
	switch {
	case m.Day == None:
		return "day"
	case m.Item == None:
		return "item"
	case m.Pieces == None:
		return "pieces"
	case m.Order == "":
		return "order"
	case m.Decimal == 0:
		return "decimal"
	}
	return ""
}

func (m *Map) row(line int, cells []string, ok bool) (r Row, f *Fault) {
	r = Row{Line: line, Minute: None}
	off := func(p Problem, text string, n, most int) (Row, *Fault) {
		return r, &Fault{p, line, short(text), n, most}
	}
	need := max(m.Day, m.Time, m.Item, m.Pieces) + 1
	switch {
	case !ok:
		return off(Quote, "", 0, 0)
	case len(cells) < need:
		return off(Narrow, "", len(cells), need)
	case cells[m.Item] == "":
		return off(NoItem, "", 0, 0)
	}
	day, clock := cells[m.Day], ""
	if m.Time == m.Day {
		day, clock = parted(day)
	} else if m.Time != None {
		clock = cells[m.Time]
		day, _ = parted(day)
	}
	if r.Day, ok = dayOf(day, m.Order); !ok {
		return off(NoDay, cells[m.Day], 0, 0)
	}
	if m.Time != None {
		if r.Minute, r.Until, ok = spanOf(clock); !ok {
			return off(NoTime, cells[m.Time], 0, 0)
		}
	}
	n, p := numberOf(cells[m.Pieces], m.Decimal)
	if p != 0 {
		return off(p, cells[m.Pieces], piecesMost, 0)
	}
	r.Pieces = n
	return r, nil
}

func short(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// Each is how long the file's slots are in minutes: as long as its spans, else as its times let think; 0 when it tells only days.
func (f *File) Each() int {
	each := 0
	for _, grid := range []int{60, 30} {
		on := true
		for _, r := range f.Rows {
			on = on && r.Minute%grid == 0
		}
		if on && len(f.Rows) > 0 {
			each = max(each, grid)
		}
	}
	for _, r := range f.Rows {
		if r.Minute == None {
			return 0
		}
		if r.Until > r.Minute {
			return max((r.Until-r.Minute)/15*15, 15)
		}
	}
	return max(each, 15)
}
