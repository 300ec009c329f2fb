// Package probelog reads the CSV files of probes: one line a reading, with the columns time and temp_f or temp_c.
package probelog

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// Fault is a row that cannot be read. What is wrong is half a sentence; which row it is stands before it.
type Fault struct {
	Row  int // data rows, from 1
	Line int // of the file, from 1
	Text string
}

// String names the row, its line in the file, and what is wrong with it.
func (f Fault) String() string { return fmt.Sprintf("row %d (line %d): %s", f.Row, f.Line, f.Text) }

// Log is a file that was read.
type Log struct {
	Readings   []safety.Reading
	Fahrenheit bool  // the file was written in degrees Fahrenheit
	Cut        bool  // times finer than a millisecond were cut
	Lines      []int // of each reading, in the file
}

// sizeMost bounds what is read: some five million readings.
const sizeMost = 256 << 20

// columns says where in a row what stands.
type columns struct {
	time, temp int
	fahrenheit bool
}

// Read reads a log. Rows that cannot be read are listed and left out; an error says why nothing can be read at all.
func Read(r io.Reader) (*Log, []Fault, error) {
	limited := &io.LimitedReader{R: r, N: sizeMost}
	rows := csv.NewReader(limited)
	rows.ReuseRecord, rows.FieldsPerRecord = true, -1
	head, err := rows.Read()
	switch {
	case errors.Is(err, io.EOF):
		return nil, nil, errors.New("the file is empty: a first line that names the columns, such as time,temp_f, and readings below it are needed")
	case isCSV(err):
		return nil, nil, errors.New("line 1 is not CSV: a quotation mark stands where none belongs")
	case err != nil:
		return nil, nil, fmt.Errorf("the file cannot be read: %w", err)
	}
	c, err := findColumns(head)
	if err != nil {
		return nil, nil, err
	}
	log := &Log{Fahrenheit: c.fahrenheit}
	var faults []Fault
	for n := 1; ; n++ {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			p, ok := errors.AsType[*csv.ParseError](err)
			if !ok {
				return nil, nil, fmt.Errorf("the file cannot be read: %w", err)
			}
			faults = append(faults, Fault{n, p.StartLine, "not CSV: a quotation mark stands where none belongs"})
			continue
		}
		if text := log.take(row, c); text != "" {
			faults = append(faults, Fault{n, line(rows), text})
			continue
		}
		log.Lines = append(log.Lines, line(rows))
	}
	if limited.N <= 0 {
		return nil, nil, fmt.Errorf("the file is larger than %d MB: cut it to the cook in question", sizeMost>>20)
	}
	return log, faults, nil
}

// isCSV tells whether an error is about what is written, not about reading it.
func isCSV(err error) bool {
	_, ok := errors.AsType[*csv.ParseError](err)
	return ok
}

func line(rows *csv.Reader) int {
	n, _ := rows.FieldPos(0)
	return n
}

// findColumns looks for the columns in the first line.
func findColumns(head []string) (columns, error) {
	c := columns{time: -1, temp: -1}
	for i, name := range head {
		name = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")))
		fahrenheit := name == "temp_f"
		switch {
		case name == "time" && c.time >= 0:
			return c, errors.New("line 1 names the column time twice: keep one")
		case name == "time":
			c.time = i
		case (fahrenheit || name == "temp_c") && c.temp >= 0 && fahrenheit == c.fahrenheit:
			return c, fmt.Errorf("line 1 names the column %s twice: keep one", name)
		case (fahrenheit || name == "temp_c") && c.temp >= 0:
			return c, errors.New("line 1 names both temp_f and temp_c: keep the one that the probe wrote")
		case fahrenheit || name == "temp_c":
			c.temp, c.fahrenheit = i, fahrenheit
		}
	}
	switch hint := ""; {
	case c.time < 0 || c.temp < 0:
		if len(head) == 1 && strings.ContainsAny(head[0], ";\t") {
			hint = " (columns are separated by commas)"
		}
		missing := "time"
		if c.time >= 0 {
			missing = "temp_f or temp_c"
		}
		return c, fmt.Errorf("line 1 names no column %s%s: the first line is time,temp_f or time,temp_c", missing, hint)
	}
	return c, nil
}

// take adds one row, or says what is wrong with it.
func (log *Log) take(row []string, c columns) string {
	if len(row) <= max(c.time, c.temp) {
		return fmt.Sprintf("it has %d columns, and the first line asks for %d", len(row), max(c.time, c.temp)+1)
	}
	text := strings.TrimSpace(row[c.time])
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return fmt.Sprintf("the time %q is not in RFC 3339, such as 2026-11-24T11:05:00Z", short(text))
	}
	if y := at.Year(); y < 1970 || y > 2200 {
		return fmt.Sprintf("the time %q is not between the years 1970 and 2200: look at the logger's clock", short(text))
	}
	unit := "temp_c"
	if c.fahrenheit {
		unit = "temp_f"
	}
	text = strings.TrimSpace(row[c.temp])
	heat, err := safety.ParseHeat(text, c.fahrenheit)
	switch {
	case errors.Is(err, quantity.ErrLarge):
		return fmt.Sprintf("%s is %q, and readings are between -1000 and 1000 °C", unit, short(text))
	case err != nil && strings.Contains(text, ","):
		return fmt.Sprintf("%s is %q: decimals are written with a point", unit, short(text))
	case err != nil:
		return fmt.Sprintf("%s is %q, which is not a number such as 71.5", unit, short(text))
	}
	r := safety.Reading{At: stamp.Milli(at.UnixMilli()), Heat: heat}
	if n := len(log.Readings); n > 0 && r.At <= log.Readings[n-1].At {
		return fmt.Sprintf("the time %q is not later than the one before it: times must rise", row[c.time])
	}
	log.Cut = log.Cut || at.Nanosecond()%1e6 != 0
	if n := len(log.Readings); n == cap(log.Readings) {
		log.Readings = slices.Grow(log.Readings, max(n, 1024)) // twofold: append alone copies a long log ten times
	}
	log.Readings = append(log.Readings, r)
	return ""
}

func short(text string) string {
	if len(text) > 40 {
		return strings.ToValidUTF8(text[:40], "") + "…"
	}
	return text
}
