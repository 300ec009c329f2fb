package screen

import (
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
)

// pad is our own number pad; what is typed lives in the query of the address.
type pad struct {
	name, text, unit string
	label            string // what is typed
	limit            line
	judged           judged
	whole, signed    bool
}

func (p *pad) write(w *jsontext.Writer) {
	begin(w, "pad")
	w.Str("name", p.name)
	w.Str("text", p.text)
	w.Str("unit", p.unit)
	w.OptStr("label", p.label)
	p.limit.writeOpt(w, "limit")
	p.judged.write(w)
	bit(w, "whole", p.whole)
	bit(w, "signed", p.signed)
	w.EndObject()
}

type field struct{ name, label, text, kind string } // kind: date or time; empty is text

func (f *field) write(w *jsontext.Writer) {
	begin(w, "field")
	w.Str("name", f.name)
	w.Str("label", f.label)
	w.Str("text", f.text)
	w.OptStr("kind", f.kind)
	w.EndObject()
}

type choiceRow struct {
	label, detail string
	to            string
	do            *kitchen.Command
	on            bool
	state, word   string
	marks         []string // how somebody stands with competences, one mark each
}

type choice struct {
	title string
	short bool // its rows are a word each, and stand beside one another
	rows  []choiceRow
}

func (c *choice) write(w *jsontext.Writer) {
	begin(w, "choice")
	w.OptStr("title", c.title)
	bit(w, "short", c.short)
	w.List("rows")
	for _, r := range c.rows {
		w.Object("")
		w.Str("label", r.label)
		w.OptStr("detail", r.detail)
		w.OptStr("to", r.to)
		writeDo(w, r.do)
		bit(w, "on", r.on)
		w.OptStr("state", r.state)
		w.OptStr("word", r.word)
		strs(w, "marks", r.marks)
		w.EndObject()
	}
	w.EndList()
	w.EndObject()
}

type pair struct {
	key   string
	value line
}

type pairs struct {
	title string
	rows  []pair
}

func (p *pairs) write(w *jsontext.Writer) {
	begin(w, "pairs")
	w.OptStr("title", p.title)
	w.List("rows")
	for _, r := range p.rows {
		w.Object("")
		w.Str("k", r.key)
		r.value.write(w, "v")
		w.EndObject()
	}
	w.EndList()
	w.EndObject()
}

type buttons struct{ actions []button }

func (b *buttons) write(w *jsontext.Writer) {
	begin(w, "buttons")
	writeButtons(w, "actions", b.actions)
	w.EndObject()
}

// mark is a date mark: what goes on the tape, or on a printed label.
type mark struct {
	name, kind, useLabel, date, time, made, lots, code, allergens string
}

func (m *mark) write(w *jsontext.Writer) {
	begin(w, "mark")
	w.Str("name", m.name)
	w.OptStr("kind", m.kind)
	w.Str("useLabel", m.useLabel)
	w.Str("date", m.date)
	w.Str("time", m.time)
	w.Str("made", m.made)
	w.OptStr("lots", m.lots)
	w.Str("code", m.code)
	w.OptStr("allergens", m.allergens)
	w.Str("qr", m.code)
	w.EndObject()
}

type historyRow struct {
	at, who, text     string
	photo             string // its hash
	struck, corrected bool
	actions           []button
}

type history struct {
	title string
	rows  []historyRow
}

func (h *history) write(w *jsontext.Writer) {
	begin(w, "history")
	w.OptStr("title", h.title)
	w.List("rows")
	for _, r := range h.rows {
		w.Object("")
		w.Str("at", r.at)
		w.Str("who", r.who)
		w.Str("text", r.text)
		w.OptStr("photo", r.photo)
		bit(w, "struck", r.struck)
		bit(w, "corrected", r.corrected)
		writeButtons(w, "actions", r.actions)
		w.EndObject()
	}
	w.EndList()
	w.EndObject()
}

type treeRow struct{ to, label, detail string }

type tree struct {
	title string
	rows  []treeRow
}

func (t *tree) write(w *jsontext.Writer) {
	begin(w, "tree")
	w.Str("title", t.title)
	w.List("rows")
	for _, r := range t.rows {
		w.Object("")
		w.Str("to", r.to)
		w.Str("label", r.label)
		w.OptStr("detail", r.detail)
		w.EndObject()
	}
	w.EndList()
	w.EndObject()
}

type fault struct {
	title   string
	lines   []string
	actions []button
}

func (f *fault) write(w *jsontext.Writer) {
	begin(w, "fault")
	w.Str("title", f.title)
	strs(w, "lines", f.lines)
	writeButtons(w, "actions", f.actions)
	w.EndObject()
}

type qr struct{ text, caption string }

func (q *qr) write(w *jsontext.Writer) {
	begin(w, "qr")
	w.Str("text", q.text)
	w.OptStr("caption", q.caption)
	w.EndObject()
}

// bare is a part that the page fills by itself: ringtest, settings.
type bare struct{ p string }

func (b *bare) write(w *jsontext.Writer) {
	begin(w, b.p)
	w.EndObject()
}
