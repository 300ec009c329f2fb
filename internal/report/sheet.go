package report

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"
)

// sheetRows is how many rows a phone's page shows at most: the files have all of them.
const sheetRows = 400

// A part is what a phone draws on a page: a history, pairs or a note.
type part struct {
	P     string    `json:"p"`
	Title string    `json:"title,omitempty"`
	Tone  string    `json:"tone,omitempty"`
	Line  []run     `json:"line,omitempty"`
	Rows  []partRow `json:"rows,omitempty"`
}

type run struct {
	T string `json:"t"`
}

type partRow struct {
	At   string `json:"at,omitempty"` // of a history
	Who  string `json:"who,omitempty"`
	Text string `json:"text,omitempty"`
	K    string `json:"k,omitempty"` // of pairs
	V    []run  `json:"v,omitempty"`
}

// Sheet sets a book as parts of a phone's page, as JSON: the same words as on paper, the newest day first, what was off
// before what was not.
func Sheet(b *Book) ([]byte, error) {
	s := sheet{words: wordsOf(b.Lang), book: b, room: sheetRows}
	if b.Chain.Fault != "" {
		s.note("bad", s.t("broken")+". "+s.t("brokenAt", "fault", b.Chain.Fault, "n", strconv.Itoa(b.Chain.Faults)))
	}
	for i := len(b.Days) - 1; i >= 0; i-- {
		s.day(&b.Days[i], len(b.Days) == 1)
	}
	if len(s.parts) == 0 {
		s.note("plain", s.t("nothing"))
	}
	if s.room < 0 {
		s.note("plain", s.t("sheetMore", "n", strconv.Itoa(-s.room)))
	}
	s.note("quiet", s.t("sheetFrom", "n", strconv.FormatUint(b.Chain.Entries, 10)))
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	err := e.Encode(map[string]any{"parts": s.parts})
	return out.Bytes(), err
}

type sheet struct {
	words
	book  *Book
	parts []part
	room  int // rows that still fit; below 0: how many were left out
}

func (s *sheet) note(tone, text string) {
	s.parts = append(s.parts, part{P: "note", Tone: tone, Line: []run{{text}}})
}

// add puts rows under a title, as many as there is room for.
func (s *sheet) add(title string, rows []partRow) {
	n := min(len(rows), max(s.room, 0))
	s.room -= len(rows)
	if n > 0 {
		s.parts = append(s.parts, part{P: "history", Title: title, Rows: rows[:n]})
	}
}

// day sets one of the kitchen's days. Alone, it says what there was none of.
func (s *sheet) day(d *Day, alone bool) {
	shows := func(kind string) bool { return !slices.Contains(s.book.Without, kind) }
	title := func(what string) string {
		if alone { // the page itself is called after the day
			return what
		}
		return what + ", " + d.Title
	}
	var off []partRow
	for i := range d.Deviations {
		off = append(off, s.deviation(&d.Deviations[i]))
	}
	if shows(Deviations) {
		s.add(title(s.t("deviations")), off)
	}
	for _, kind := range Kinds {
		var rows []*Row
		for i := range d.Rows {
			if d.Rows[i].Kind == kind && shows(kind) {
				rows = append(rows, &d.Rows[i])
			}
		}
		var lines []partRow
		if kind == Sensor {
			lines = s.hours(rows)
		} else {
			for _, r := range rows {
				lines = append(lines, s.row(r))
			}
		}
		slices.Reverse(lines)
		s.add(title(s.t(kind)), lines)
	}
	for i := range d.Lists {
		if shows(Lists) {
			s.list(&d.Lists[i], title)
		}
	}
	if alone && len(s.book.Chosen) == 0 {
		s.close(d)
	}
}

func (s *sheet) clock(t time.Time) string { return t.Format("15:04") }

func (s *sheet) row(r *Row) partRow {
	text := orElse(r.What, r.Subject)
	if r.Value != "" {
		text += ": " + r.Value
	}
	list := []string{text}
	if r.Verdict != "" {
		list = append(list, s.t(map[string]string{Met: "sheetMet", NotMet: "sheetNotMet"}[r.Verdict], "limit", r.Limit))
	}
	if text != r.Subject {
		list = append(list, r.Subject)
	}
	if r.Batch != "" {
		list = append(list, s.t("batch", "code", r.Batch))
	}
	if len(r.Lots) > 0 {
		list = append(list, s.t("lots", "lots", strings.Join(r.Lots, ", ")))
	}
	if r.Probe != "" {
		list = append(list, s.t("probeWith", "probe", r.Probe))
	}
	all := []string{join(list)}
	p := printer{words: s.words}
	for _, c := range p.remarks(r) {
		all = append(all, c.text)
	}
	return partRow{At: s.clock(r.At), Who: r.Who.Name, Text: sentences(all)}
}

// sentences puts sentences behind one another, with one full stop between two whether they have one or not.
func sentences(list []string) string {
	out := ""
	for i, s := range list {
		if i > 0 {
			out = strings.TrimSuffix(out, ".") + ". "
		}
		out += s
	}
	return out
}

// hours sets what sensors read, an hour a row.
func (s *sheet) hours(rows []*Row) []partRow {
	var list []partRow
	for _, h := range hours(rows) {
		verdict := ""
		switch {
		case h.notMet > 0:
			verdict = s.t("sheetNotMet", "limit", h.limit)
		case h.limit != "":
			verdict = s.t("sheetMet", "limit", h.limit)
		}
		list = append(list, partRow{At: s.clock(h.began), Text: join([]string{h.place + ": " + s.t("lowest") + " " + h.lowest.Value,
			s.t("highest") + " " + h.highest.Value, verdict})})
	}
	return list
}

func (s *sheet) deviation(v *Deviation) partRow {
	text := v.Title
	if v.Critical {
		text = s.t("criticalDev") + ": " + text
	}
	list := append([]string{text}, v.Lines...)
	for _, p := range v.Parts {
		list = append(list, p.Title+": "+p.Text)
	}
	switch {
	case v.Closed != nil:
		list = append(list, s.t("closed")+": "+v.Closed.Who.String()+", "+s.clock(v.Closed.At))
	default:
		list = append(list, s.t("stillOpen"))
	}
	return partRow{At: s.clock(v.At), Who: v.Who.Name, Text: sentences(list)}
}

func (s *sheet) list(l *List, title func(string) string) {
	state := s.t("listOpen")
	if l.Closed != nil {
		state = s.t("listClosed", "at", s.clock(l.Closed.At), "who", l.Closed.Who.String())
	}
	rows := []partRow{{Text: s.t("listDone", "n", strconv.Itoa(l.Done), "of", strconv.Itoa(l.Of)) + ", " + state}}
	if len(l.Missing) > 0 {
		rows[0].Text += ". " + s.t("notDone", "steps", strings.Join(l.Missing, "; "))
	}
	for i := range l.Rows {
		rows = append(rows, s.row(&l.Rows[i]))
	}
	s.add(title(l.Title), rows)
}

// close sets the lead's signature under the day.
func (s *sheet) close(d *Day) {
	c := d.last()
	if c == nil {
		s.note("plain", s.t("notClosed"))
		return
	}
	at := func(key, value string) partRow { return partRow{K: s.t(key), V: []run{{value}}} }
	s.parts = append(s.parts, part{P: "pairs", Title: s.t("close"), Rows: []partRow{
		at("signature", c.Who.String()+", "+s.clock(c.At)),
		at("signedLabel", s.t("signedWhat", "n", strconv.FormatUint(c.Entries, 10), "seal", c.Seal))}})
	for _, line := range c.Lines {
		s.note("plain", line)
	}
}
