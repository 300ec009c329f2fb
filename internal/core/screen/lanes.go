package screen

import (
	"unicode/utf8"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/stamp"
)

// lanes are rows of time on one scale: each says what is done and draws when. Places on the scale are thousandths of its width.
type lanes struct {
	title  string // for who listens
	drops  bool   // rows of one sheet; else strips of their own
	axis   []laneMark
	rows   []lane
	legend []laneMark // its text, and at says which box
	foot   []string
}

type lane struct {
	key, to    string
	name       string
	at         stamp.Milli // by when a hand is wanted, where rows are folded by it
	pre, right string      // small, and what it belongs to
	what       line
	boxes      []laneBox
	marks      []laneMark
	aria       string
	actions    []button
}

// laneBox is a span: cook, stage, hold, ready (it may begin), soon (it waits), best; boat and grid are lines.
type laneBox struct {
	kind     string
	from, to int64
}

type laneMark struct {
	at         int64
	text, kind string
	end, bold  bool
}

func (l *lanes) write(w *jsontext.Writer) {
	begin(w, "lanes")
	w.OptStr("title", l.title)
	bit(w, "drops", l.drops)
	writeMarks(w, "axis", l.axis)
	w.List("rows")
	for i := range l.rows {
		l.rows[i].write(w)
	}
	w.EndList()
	writeMarks(w, "legend", l.legend)
	strs(w, "foot", l.foot)
	w.EndObject()
}

func (l *lane) write(w *jsontext.Writer) {
	w.Object("")
	w.Str("key", l.key)
	w.OptStr("to", l.to)
	w.Str("name", l.name)
	w.OptStr("pre", l.pre)
	w.OptStr("right", l.right)
	l.what.writeOpt(w, "what")
	w.List("boxes")
	for _, b := range l.boxes {
		w.Object("")
		w.Str("k", b.kind)
		w.Int("x", b.from)
		w.Int("w", b.to-b.from)
		w.EndObject()
	}
	w.EndList()
	writeMarks(w, "marks", l.marks)
	w.OptStr("aria", l.aria)
	writeButtons(w, "actions", l.actions)
	w.EndObject()
}

func writeMarks(w *jsontext.Writer, name string, list []laneMark) {
	if len(list) == 0 {
		return
	}
	w.List(name)
	for _, m := range list {
		w.Object("")
		w.Int("x", m.at)
		w.OptStr("k", m.kind)
		w.Str("t", m.text)
		bit(w, "end", m.end)
		bit(w, "b", m.bold)
		w.EndObject()
	}
	w.EndList()
}

// sentences stand in one sheet, one below the other.
type sentences struct {
	title string
	lines []string
}

func (s *sentences) write(w *jsontext.Writer) {
	begin(w, "sentences")
	w.OptStr("title", s.title)
	strs(w, "lines", s.lines)
	w.EndObject()
}

// tabs lead to pages of one kind beside each other.
type tabs struct{ rows []choiceRow }

func (t *tabs) write(w *jsontext.Writer) {
	begin(w, "tabs")
	w.List("rows")
	for _, r := range t.rows {
		w.Object("")
		w.Str("label", r.label)
		w.Str("to", r.to)
		bit(w, "on", r.on)
		w.EndObject()
	}
	w.EndList()
	w.EndObject()
}

// laneGap is how much of a narrow phone's scale stands free between words, so that two times are not read as one.
const laneGap = 30

// wide is how much of a narrow phone's scale the words take, at most.
func (m *laneMark) wide() int64 {
	each := int64(29)
	if m.bold {
		each = 32
	}
	return each * int64(utf8.RuneCountInString(m.text))
}
