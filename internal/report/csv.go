package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"time"
)

// header names the columns of the CSV. FORMAT.md says what each holds.
var header = []string{"day", "kind", "at", "entry", "subject", "batch", "batch_id", "lots", "place", "stage", "what",
	"number", "unit", "value", "least", "most", "limit", "critical", "verdict", "probe", "under_review", "note", "photo",
	"who", "who_id", "role", "device", "late", "was", "corrected_at", "corrected_by", "correction_reason", "withdrawn_at", "withdrawn_by"}

// CSV writes a book as RFC 4180 has it: one row for each thing on record, in UTF-8, times in RFC 3339 with their offset.
// No cell can be taken for a formula.
func CSV(b *Book) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	if err := w.Write(header); err != nil {
		return nil, err
	}
	for i := range b.Days {
		for _, cells := range dayCells(&b.Days[i]) {
			for k, s := range cells {
				cells[k] = guard(header[k], s)
			}
			if err := w.Write(cells); err != nil {
				return nil, err
			}
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

// guard keeps a spreadsheet from taking a text for a formula. Columns that hold nothing but a number are left alone: a
// temperature below zero begins with a minus.
func guard(column, s string) string {
	switch column {
	case "number", "least", "most":
		if _, err := strconv.ParseFloat(s, 64); err == nil {
			return s
		}
	}
	if s != "" && strings.ContainsRune("=+-@\t\r\n'", rune(s[0])) {
		return "'" + s
	}
	return s
}

func dayCells(d *Day) [][]string {
	var all [][]string
	for i := range d.Rows {
		all = append(all, rowCells(d, d.Rows[i].Kind, &d.Rows[i])...)
	}
	for i := range d.Lists {
		l := &d.Lists[i]
		for k := range l.Rows {
			all = append(all, rowCells(d, "list", &l.Rows[k])...)
		}
		for _, step := range l.Missing {
			one := make([]string, len(header))
			for _, c := range [][2]string{{"day", d.Day}, {"kind", "list step missing"}, {"subject", l.Title}, {"what", step}} {
				set(one, c[0], c[1])
			}
			all = append(all, one)
		}
		if l.Closed != nil {
			all = append(all, signedCells(d, "list closed", l.Title, "", "", *l.Closed))
		}
	}
	for i := range d.Deviations {
		all = append(all, deviationCells(d, &d.Deviations[i])...)
	}
	for i := range d.Closes {
		c := &d.Closes[i]
		one := signedCells(d, "day closed", d.Day, c.Entry, c.Note, c.Signed)
		set(one, "number", strconv.FormatUint(c.Entries, 10))
		set(one, "unit", "1")
		set(one, "value", c.Seal)
		all = append(all, one)
		for _, carried := range c.Carried {
			all = append(all, signedCells(d, "carried over", carried.Subject, c.Entry, carried.Reason, c.Signed))
		}
	}
	return all
}

// set fills the column of a name.
func set(cells []string, name, value string) {
	for i, h := range header {
		if h == name {
			cells[i] = value
		}
	}
}

func when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

// rowCells is a row of the record, then a row for each earlier value that a correction replaced but the last.
func rowCells(d *Day, kind string, r *Row) [][]string {
	cells := make([]string, len(header))
	for _, c := range [][2]string{
		{"day", d.Day}, {"kind", kind}, {"at", when(r.At)}, {"entry", r.Entry}, {"subject", r.Subject}, {"batch", r.Batch}, {"batch_id", r.BatchID},
		{"lots", strings.Join(r.Lots, "; ")}, {"place", r.Place}, {"stage", r.Stage}, {"what", r.What}, {"number", r.Number}, {"unit", r.Unit},
		{"value", r.Value}, {"least", r.Least}, {"most", r.Most}, {"limit", r.Limit}, {"critical", yes(r.Critical)}, {"verdict", r.Verdict},
		{"probe", r.Probe}, {"under_review", r.Review}, {"note", r.Note}, {"photo", r.Photo}, {"who", r.Who.Name}, {"who_id", r.Who.ID},
		{"role", r.Who.Role}, {"device", r.Device}, {"late", yes(r.Late)},
	} {
		set(cells, c[0], c[1])
	}
	if r.Withdrawn != nil {
		set(cells, "withdrawn_at", when(r.Withdrawn.At))
		set(cells, "withdrawn_by", r.Withdrawn.Who.Name)
	}
	all := [][]string{cells}
	for i, c := range r.Corrections {
		one := cells
		if i > 0 {
			one = signedCells(d, "correction", r.Subject, c.Entry, "", c.Signed)
			set(one, "what", r.What)
			all = append(all, one)
		}
		set(one, "was", c.Was)
		set(one, "corrected_at", when(c.At))
		set(one, "corrected_by", c.Who.Name)
		set(one, "correction_reason", c.Reason)
	}
	return all
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

func signedCells(d *Day, kind, subject, entry, note string, s Signed) []string {
	cells := make([]string, len(header))
	for _, c := range [][2]string{{"day", d.Day}, {"kind", kind}, {"at", when(s.At)}, {"entry", entry}, {"subject", subject}, {"note", note},
		{"who", s.Who.Name}, {"who_id", s.Who.ID}, {"role", s.Who.Role}} {
		set(cells, c[0], c[1])
	}
	return cells
}

func deviationCells(d *Day, v *Deviation) [][]string {
	open := signedCells(d, "deviation", v.Subject, v.Key, strings.Join(v.Lines, " "), Signed{v.Who, v.At})
	for _, c := range [][2]string{{"what", v.Title}, {"batch", v.Batch}, {"batch_id", v.BatchID}, {"lots", strings.Join(v.Lots, "; ")}, {"critical", yes(v.Critical)}} {
		set(open, c[0], c[1])
	}
	all := [][]string{open}
	for _, p := range v.Parts {
		one := signedCells(d, "deviation "+p.Name, v.Subject, v.Key, p.Text, p.Signed)
		set(one, "what", p.Title)
		all = append(all, one)
	}
	if v.Closed != nil {
		all = append(all, signedCells(d, "deviation closed", v.Subject, v.Key, "", *v.Closed))
	}
	return all
}
