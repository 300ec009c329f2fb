// Package probelog reads the CSV files of probes: one line a reading, with the columns time and temp_f or temp_c. The same
// code reads for the command line and on a phone, where a file comes in pieces.
package probelog

import (
	"bytes"
	"slices"
	"strings"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
)

// Problem says what is wrong with a row, or with a file. Their words are in package words.
type Problem uint8

// Problems. The comment says what Text, N and M of a fault hold. From Empty on they are of the whole file.
const (
	Quote     Problem = iota // a quotation mark stands where none belongs
	Narrow                   // the row has N columns, and the first line asks for M
	Time                     // not in RFC 3339: Text
	Year                     // not between 1970 and 2200: Text
	Decimal                  // a comma in a number: Name is the column, Text
	Number                   // not a number: Name is the column, Text
	Large                    // nothing that is measured in food: Name is the column, Text
	Order                    // not later than the one before it: Text
	Empty                    // the file is empty
	HeadQuote                // the first line is not CSV
	Twice                    // the first line names the column Name twice
	Both                     // the first line names both temp_f and temp_c
	Missing                  // the first line names no column Name
	Semicolon                // as Missing, and its columns are not separated by commas
	NoRows                   // no readings below the first line
	TooMany                  // more than N readings
	Wide                     // the first line has more than N columns
)

// Fault is something that cannot be read.
type Fault struct {
	Problem Problem
	Row     int // data rows, from 1; 0: it is about the file
	Line    int // of the file, from 1
	Name    string
	Text    string
	N, M    int
}

// Log is a file that was read.
type Log struct {
	Readings   []safety.Reading
	Fahrenheit bool  // the file was written in degrees Fahrenheit
	Cut        bool  // times finer than a millisecond were cut
	Lines      []int // of each reading, in the file
}

// faultsMost is how many faults are kept; the others are counted.
const faultsMost = 100

// cellsMost is how many columns a file may have. Of a row that has more, those beyond are passed over.
const cellsMost = 200

// Reader reads a log piece by piece.
type Reader struct {
	Log
	Most   int     // readings; 0: any number
	File   *Fault  // why nothing can be read at all
	Faults []Fault // rows that cannot be read, the first of them
	Bad    int     // how many there are

	rest []byte // of a record that is not whole yet
	line int    // lines that were read
	row  int
	head bool
	c    columns
	cell [][]byte // of the record at hand
	span []byte   // of its quoted cells
}

// columns says where in a row what stands.
type columns struct {
	time, temp int
	unit       string
}

// Take reads a piece of the file.
func (r *Reader) Take(piece []byte) {
	if len(r.rest) > 0 {
		piece = append(r.rest, piece...)
	}
	r.rest = slices.Clone(piece[r.records(piece, false):])
}

// End reads what is left. A file without readings is a fault, unless rows that cannot be read say why.
func (r *Reader) End() {
	r.records(r.rest, true)
	r.rest = nil
	switch {
	case r.File != nil:
	case !r.head:
		r.File = &Fault{Problem: Empty}
	case len(r.Readings) == 0 && r.Bad == 0:
		r.File = &Fault{Problem: NoRows}
	}
}

// Read reads a whole file.
func Read(file []byte) *Reader {
	r := new(Reader)
	r.records(file, true)
	r.End()
	return r
}

// records reads records, and returns how many bytes they were. Unless it is the end, one that may go on stays.
func (r *Reader) records(src []byte, end bool) int {
	at := 0
	for at < len(src) && r.File == nil {
		n, lines, ok := r.record(src[at:], end)
		if n == 0 {
			break
		}
		at += n
		begun := r.line + 1
		r.line += lines
		if line, _, _ := cutLine(src[at-n:at], true); len(line) == 0 {
			continue
		}
		if !r.head {
			r.head = true
			r.heading(ok)
			continue
		}
		r.row++
		f := Fault{Problem: Quote, Row: r.row, Line: begun}
		if !ok || !r.take(&f) {
			r.Bad++
			if len(r.Faults) < faultsMost {
				r.Faults = append(r.Faults, f)
			}
		}
	}
	return at
}

// record cuts the first record of src into cells, as RFC 4180 has them, and returns its bytes and lines; 0 bytes when it may
// go on. It is not ok where a quotation mark stands where none belongs: then its last line is left with it.
func (r *Reader) record(src []byte, end bool) (n, lines int, ok bool) {
	r.cell, r.span = r.cell[:0], r.span[:0]
	line, n, whole := cutLine(src, end)
	for ok = whole; ok; {
		if len(line) > 0 && line[0] == '"' {
			from := len(r.span)
			line = line[1:]
			for {
				i := bytes.IndexByte(line, '"')
				if i < 0 { // the cell goes on in the next line
					r.span = append(append(r.span, line...), '\n')
					more, m, whole := cutLine(src[n:], end)
					if !whole && !end {
						return 0, 0, false
					}
					if !whole {
						return n, lines + 1, false
					}
					line, n, lines = more, n+m, lines+1
					continue
				}
				r.span = append(r.span, line[:i]...)
				line = line[i+1:]
				if len(line) == 0 || line[0] != '"' {
					break
				}
				r.span, line = append(r.span, '"'), line[1:]
			}
			r.add(r.span[from:len(r.span):len(r.span)])
			if len(line) == 0 {
				return n, lines + 1, true
			}
			if line[0] != ',' {
				return n, lines + 1, false
			}
			line = line[1:]
			continue
		}
		i := bytes.IndexByte(line, ',')
		cell := line
		if i >= 0 {
			cell = line[:i]
		}
		if bytes.IndexByte(cell, '"') >= 0 {
			return n, lines + 1, false
		}
		r.add(cell)
		if i < 0 {
			return n, lines + 1, true
		}
		line = line[i+1:]
	}
	return 0, 0, false
}

// add takes a cell, and one too many at most, so that it is known that there are.
func (r *Reader) add(cell []byte) {
	if len(r.cell) <= cellsMost {
		r.cell = append(r.cell, cell)
	}
}

// cutLine returns the first line of src without its end, and its length with it.
func cutLine(src []byte, end bool) (line []byte, n int, whole bool) {
	n = bytes.IndexByte(src, '\n') + 1
	switch {
	case n > 0:
		line = src[:n-1]
	case end && len(src) > 0:
		line, n = src, len(src)
	default:
		return nil, 0, false
	}
	if len(line) > 0 && line[len(line)-1] == '\r' {
		line = line[:len(line)-1]
	}
	return line, n, true
}

// heading looks for the columns in the first line.
func (r *Reader) heading(ok bool) {
	c := columns{time: -1, temp: -1}
	off := func(p Problem, name string) { r.File = &Fault{Problem: p, Line: r.line, Name: name} }
	if !ok {
		off(HeadQuote, "")
		return
	}
	if len(r.cell) > cellsMost {
		r.File = &Fault{Problem: Wide, Line: r.line, N: cellsMost}
		return
	}
	for i, cell := range r.cell {
		name := strings.ToLower(strings.TrimSpace(strings.TrimPrefix(string(cell), "\ufeff")))
		isTemp := name == "temp_f" || name == "temp_c"
		switch {
		case name == "time" && c.time >= 0, isTemp && name == c.unit:
			off(Twice, name)
			return
		case name == "time":
			c.time = i
		case isTemp && c.temp >= 0:
			off(Both, "")
			return
		case isTemp:
			c.temp, c.unit = i, name
		}
	}
	if c.time < 0 || c.temp < 0 {
		missing, p := "time", Missing
		if c.time >= 0 {
			missing = "temp_f"
		}
		if len(r.cell) == 1 && bytes.ContainsAny(r.cell[0], ";\t") {
			p = Semicolon
		}
		off(p, missing)
		return
	}
	r.c, r.Fahrenheit = c, c.unit == "temp_f"
}

// take adds one row, or says what is wrong with it.
func (r *Reader) take(f *Fault) bool {
	c := &r.c
	if most := max(c.time, c.temp); len(r.cell) <= most {
		f.Problem, f.N, f.M = Narrow, len(r.cell), most+1
		return false
	}
	text := bytes.TrimSpace(r.cell[c.time])
	at, cut, problem := instant(text)
	if problem == 0 {
		if n := len(r.Readings); n > 0 && at <= r.Readings[n-1].At {
			problem = Order
		}
	}
	if problem != 0 && problem != Order {
		f.Problem, f.Text = problem, short(text)
		return false
	}
	number := string(bytes.TrimSpace(r.cell[c.temp]))
	heat, err := safety.ParseHeat(number, r.Fahrenheit)
	if err != nil {
		f.Name, f.Text = c.unit, short([]byte(number))
		switch {
		case err == quantity.ErrLarge:
			f.Problem = Large
		case strings.Contains(number, ","):
			f.Problem = Decimal
		default:
			f.Problem = Number
		}
		return false
	}
	if problem == Order {
		f.Problem, f.Text = Order, short(text)
		return false
	}
	if r.Most > 0 && len(r.Readings) == r.Most {
		r.File = &Fault{Problem: TooMany, Line: f.Line, N: r.Most}
		return true
	}
	r.Cut = r.Cut || cut
	if n := len(r.Readings); n == cap(r.Readings) { // twofold: append alone copies a long log ten times
		r.Readings, r.Lines = slices.Grow(r.Readings, max(n, 1024)), slices.Grow(r.Lines, max(n, 1024))
	}
	r.Readings, r.Lines = append(r.Readings, safety.Reading{At: at, Heat: heat}), append(r.Lines, f.Line)
	return true
}

func short(text []byte) string {
	if len(text) > 40 {
		return strings.ToValidUTF8(string(text[:40]), "") + "…"
	}
	return string(text)
}
