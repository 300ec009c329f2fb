// Package logfile reads the CSV that temperature loggers write.
//
// What can be told from the file is told from the file: its characters, what parts its columns, the decimal mark, which
// column holds what. What cannot, such as whether 04/05 is in April or in May, is asked and never guessed. A row that
// cannot be read is named by its number with the reason, and the others are read.
package logfile

import (
	"fmt"
	"slices"
	"time"
)

// Limits of a file. One beyond them is refused in a sentence.
const (
	BytesMax   = 64 << 20
	RowsMax    = 1_000_000
	lineMax    = 16 << 10 // bytes of one row
	columnsMax = 200
	badMost    = 100 // rows that are named; of more only the number is told
	sampleMost = 8   // rows of the preview
)

// Options are answers to what the file does not tell. What is empty is found out.
type Options struct {
	Time, Date, Temp string         // names or numbers (1 is the first) of columns; Date where the day stands in a column of its own
	Unit             string         // UCUM: Cel or [degF]
	Order            string         // of numeric dates: dmy, mdy or ymd
	Twice            string         // times that the clocks showed twice: "order" goes by the order of the rows, "" leaves them out
	Zone             *time.Location // of times without an offset; never nil
	Now              time.Time      // nothing is read that is later
}

// Reading is one row that was read.
type Reading struct {
	Row    int   // of the data, from 1
	At     int64 // milliseconds since 1970
	MilliC int64
}

// Bad is a row that could not be read, and why.
type Bad struct {
	Row  int    `json:"row"`
	Line int    `json:"line"`
	Text Phrase `json:"text"`
}

// Question is something that the file does not tell.
type Question struct {
	Name    string   `json:"name"` // of the option that answers it
	Text    Phrase   `json:"text"`
	Choices []Choice `json:"choices"`
}

// Choice is one answer.
type Choice struct {
	Value string `json:"value"`
	Text  Phrase `json:"text"`
}

// File is what was read.
type File struct {
	Charset   string
	Delimiter string
	Columns   []string
	Time      int // index of the column; -1: not known
	Date      int // -1: the day stands with the time
	Temp      int
	Unit      string
	Order     string
	Rows      int
	Readings  []Reading // by At; of two at one time the first
	Again     int       // rows that tell a time which another row has told already
	Bad       []Bad
	BadRows   int // all of them
	Questions []Question
	Sample    [][]string
}

// Read reads a file. An error says why nothing of it can be read; while there are questions it has no readings.
func Read(b []byte, o Options) (*File, error) {
	if len(b) > BytesMax {
		return nil, fail2("This file has %d MiB; at most %d MiB are taken at a time. Cut it in two.", "Este archivo tiene %d MiB; se admiten %d MiB de una vez. Pártelo en dos.", len(b)>>20, BytesMax>>20)
	}
	text, charset := decode(b)
	t, err := cut(text)
	if err != nil {
		return nil, err
	}
	f := &File{Charset: charset, Delimiter: string(t.delimiter), Columns: t.names, Rows: t.count(), Time: -1, Date: -1, Temp: -1}
	for r := range t.rows() {
		if len(f.Sample) < sampleMost {
			f.Sample = append(f.Sample, clipped(r.fields))
		}
	}
	if err := f.columns(t, &o); err != nil {
		return nil, err
	}
	f.unit(t, &o)
	f.order(t, &o)
	if len(f.Questions) > 0 {
		return f, nil
	}
	return f, f.read(t, &o)
}

// read reads the rows, all that is asked for being known.
func (f *File) read(t *table, o *Options) error {
	c := clock{order: f.Order, zone: o.Zone, twice: o.Twice == "order", now: o.Now}
	for r := range t.rows() {
		if r.bad != nil {
			f.spoil(r, *r.bad)
			continue
		}
		at, bad := c.read(f.when(r))
		if bad != nil {
			f.spoil(r, *bad)
			continue
		}
		milliC, bad := temperature(r.at(f.Temp), f.Unit)
		if bad != nil {
			f.spoil(r, *bad)
			continue
		}
		if len(f.Readings) >= RowsMax {
			return fail2("This file has more than %d rows. Cut it in two.", "Este archivo tiene más de %d filas. Pártelo en dos.", RowsMax)
		}
		f.Readings = append(f.Readings, Reading{r.number, at, milliC})
	}
	slices.SortStableFunc(f.Readings, func(a, b Reading) int { return int(max(min(a.At-b.At, 1), -1)) })
	kept := f.Readings[:0]
	for _, r := range f.Readings {
		if n := len(kept); n > 0 && kept[n-1].At == r.At {
			f.Again++
			continue
		}
		kept = append(kept, r)
	}
	f.Readings = kept
	return nil
}

// when is what a row tells of its time.
func (f *File) when(r *row) string {
	if f.Date >= 0 {
		return r.at(f.Date) + " " + r.at(f.Time)
	}
	return r.at(f.Time)
}

func (f *File) spoil(r *row, text Phrase) {
	if f.BadRows++; len(f.Bad) < badMost {
		f.Bad = append(f.Bad, Bad{r.number, r.line, text})
	}
}

// Fault is why a file cannot be read, in the languages of the kitchen.
type Fault struct{ Phrase }

// Error implements error.
func (f *Fault) Error() string { return f.EN }

func fail2(en, es string, a ...any) error { return &Fault{say(en, es, a...)} }

// Phrase is a sentence in the languages of the kitchen.
type Phrase struct {
	EN string `json:"en"`
	ES string `json:"es"`
}

func say(en, es string, a ...any) Phrase {
	if len(a) == 0 {
		return Phrase{en, es}
	}
	return Phrase{fmt.Sprintf(en, a...), fmt.Sprintf(es, a...)}
}

const shown = 40 // characters of a cell that a sentence quotes

// clip makes a cell fit to be quoted.
func clip(s string) string {
	r := []rune(s)
	if len(r) > shown {
		r = append(r[:shown], '…')
	}
	return fmt.Sprintf("%q", string(r))
}

func clipped(fields []string) []string {
	out := make([]string, 0, min(len(fields), 12))
	for i, s := range fields {
		if i == cap(out) {
			break
		}
		if r := []rune(s); len(r) > shown {
			s = string(r[:shown]) + "…"
		}
		out = append(out, s)
	}
	return out
}
