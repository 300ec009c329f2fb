package screen

import (
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// countdown is a length that the page counts by itself: before at "pre 0:30 post", after it "overPre 3 min overPost".
type countdown struct {
	at                           stamp.Milli
	pre, post, overPre, overPost string
}

func (c *countdown) write(w *jsontext.Writer, name string) {
	w.Object(name)
	w.Int("at", int64(c.at))
	w.OptStr("pre", c.pre)
	w.OptStr("post", c.post)
	w.OptStr("overPre", c.overPre)
	w.OptStr("overPost", c.overPost)
	w.EndObject()
}

// run is a piece of a line: a text or a countdown, perhaps bold.
type run struct {
	text  string
	count *countdown
	bold  bool
}

func (r *run) write(w *jsontext.Writer) {
	w.Object("")
	if r.count != nil {
		r.count.write(w, "c")
	} else {
		w.Str("t", r.text)
	}
	if r.bold {
		w.Int("b", 1)
	}
	w.EndObject()
}

type line []run

func (l line) write(w *jsontext.Writer, name string) {
	w.List(name)
	for i := range l {
		l[i].write(w)
	}
	w.EndList()
}

func (l line) writeOpt(w *jsontext.Writer, name string) {
	if len(l) > 0 {
		l.write(w, name)
	}
}

func plain(s string) line { return line{{text: s}} }

func strs(w *jsontext.Writer, name string, list []string) {
	if len(list) == 0 {
		return
	}
	w.List(name)
	for _, s := range list {
		w.Str("", s)
	}
	w.EndList()
}

// option is one answer of a choice.
type option struct {
	label string
	text  string // the value, where it is a text
	value int64  // else
	whole bool   // value counts, not text
}

// ask is what a button asks before its command goes off.
type ask struct {
	kind    string // number, text or choice
	name    string // the command's field
	title   string
	unit    string
	whole   bool
	limit   string
	keep    string
	signed  bool
	draft   string // the query field under which the page shows what is being typed, where a limit judges it
	judged  judged
	choices []option
	then    *ask // what is asked after it
}

// judged is what a limit says of a number while it is typed.
type judged struct {
	text    string
	bad     bool
	verdict line
}

func (j *judged) write(w *jsontext.Writer) {
	bit(w, "bad", j.bad)
	j.verdict.writeOpt(w, "verdict")
}

func (a *ask) write(w *jsontext.Writer) { a.named(w, "ask") }

func (a *ask) named(w *jsontext.Writer, name string) {
	w.Object(name)
	w.Str("kind", a.kind)
	w.Str("name", a.name)
	w.Str("title", a.title)
	w.OptStr("unit", a.unit)
	w.OptBool("whole", a.whole)
	w.OptStr("limit", a.limit)
	w.OptStr("keep", a.keep)
	w.OptBool("signed", a.signed)
	if a.draft != "" {
		w.Object("draft")
		w.Str("name", a.draft)
		w.Str("text", a.judged.text)
		a.judged.write(w)
		w.EndObject()
	}
	if len(a.choices) > 0 {
		w.List("choices")
		for _, o := range a.choices {
			w.Object("")
			w.Str("label", o.label)
			if o.whole {
				w.Int("value", o.value)
			} else {
				w.Str("value", o.text)
			}
			w.EndObject()
		}
		w.EndList()
	}
	if a.then != nil {
		a.then.named(w, "then")
	}
	w.EndObject()
}

// sure is the sheet on which a second tap is asked for.
type sure struct {
	title string
	lines []string
	label string
}

// Styles of buttons.
const (
	act   = "act"
	stop  = "stop"
	quiet = "plain"
)

// button is something to tap: it hands over a command, leads elsewhere, or both.
type button struct {
	label, small, style string
	do                  *kitchen.Command
	to                  string
	page                string // what the page does by itself: sound, print
	ask                 *ask
	sure                *sure
}

func (b *button) write(w *jsontext.Writer, name string) {
	w.Object(name)
	w.Str("label", b.label)
	w.OptStr("small", b.small)
	w.OptStr("style", b.style)
	writeDo(w, b.do)
	w.OptStr("to", b.to)
	w.OptStr("page", b.page)
	if b.ask != nil {
		b.ask.write(w)
	}
	if b.sure != nil {
		w.Object("sure")
		w.Str("title", b.sure.title)
		strs(w, "lines", b.sure.lines)
		w.Str("label", b.sure.label)
		w.EndObject()
	}
	w.EndObject()
}

func writeDo(w *jsontext.Writer, c *kitchen.Command) {
	if c != nil {
		w.Raw("do", wire.AppendJSON(nil, c))
	}
}

func writeButtons(w *jsontext.Writer, name string, list []button) {
	if len(list) == 0 {
		return
	}
	w.List(name)
	for i := range list {
		list[i].write(w, "")
	}
	w.EndList()
}

// rail draws a window to scale. Lengths count from began.
type rail struct {
	began                                         stamp.Milli
	floor, bestFrom, lastCall, bestUntil, ceiling stamp.Span
	labels, clocks                                bool
	floorWord, bestFromWord, untilWord, limitWord string
	aria                                          string
}

func (r *rail) write(w *jsontext.Writer) {
	w.Object("rail")
	w.Int("began", int64(r.began))
	w.OptInt("floor", int64(r.floor))
	w.OptInt("bestFrom", int64(r.bestFrom))
	w.OptInt("lastCall", int64(r.lastCall))
	w.OptInt("bestUntil", int64(r.bestUntil))
	w.OptInt("ceiling", int64(r.ceiling))
	bit(w, "labels", r.labels)
	bit(w, "clocks", r.clocks)
	if r.labels {
		w.Object("words")
		w.Str("floor", r.floorWord)
		w.Str("bestFrom", r.bestFromWord)
		w.Str("until", r.untilWord)
		w.Str("limit", r.limitWord)
		w.EndObject()
	}
	w.Str("aria", r.aria)
	w.EndObject()
}

func bit(w *jsontext.Writer, name string, on bool) {
	if on {
		w.Int(name, 1)
	}
}

// part is one thing on a screen, from top to bottom.
type part interface {
	write(w *jsontext.Writer)
}

func begin(w *jsontext.Writer, p string) {
	w.Object("")
	w.Str("p", p)
}

// strip is a batch, timer, list or place as a strip of the line, or (head) at the top of its own screen.
type strip struct {
	head        bool
	key, to     string
	state, name string
	left        *countdown
	amountN     string
	amountUnit  string
	word        string
	sub         line
	rail        *rail
	cue, deed   string
	detail      line
	small, row  bool
	rings       bool // on a wall, which nothing covers
	actions     []button
}

func (s *strip) write(w *jsontext.Writer) {
	if s.head {
		begin(w, "head")
	} else {
		begin(w, "strip")
		w.Str("key", s.key)
		w.OptStr("to", s.to)
	}
	w.Str("state", s.state)
	w.Str("name", s.name)
	if s.left != nil {
		s.left.write(w, "left")
	}
	if s.amountN != "" {
		w.Object("amount")
		w.Str("n", s.amountN)
		w.Str("unit", s.amountUnit)
		w.EndObject()
	}
	w.OptStr("word", s.word)
	s.sub.writeOpt(w, "sub")
	if s.rail != nil {
		s.rail.write(w)
	}
	w.OptStr("cue", s.cue)
	w.OptStr("deed", s.deed)
	s.detail.writeOpt(w, "detail")
	bit(w, "small", s.small)
	bit(w, "row", s.row)
	bit(w, "rings", s.rings)
	writeButtons(w, "actions", s.actions)
	w.EndObject()
}

type group struct{ title, note string }

func (g *group) write(w *jsontext.Writer) {
	begin(w, "group")
	w.Str("title", g.title)
	w.OptStr("note", g.note)
	w.EndObject()
}

// caution stands before what can hurt somebody.
type caution struct {
	key, title string
	lines      []string
	aid        string // what leads to the first-aid notes is called; empty: nothing does
}

func (c *caution) write(w *jsontext.Writer) {
	begin(w, "caution")
	w.Str("key", c.key)
	c.body(w)
	w.EndObject()
}

func (c *caution) body(w *jsontext.Writer) {
	w.Str("title", c.title)
	strs(w, "lines", c.lines)
	w.OptStr("aid", c.aid)
}

func (c *caution) within(w *jsontext.Writer) {
	if c != nil {
		w.Object("caution")
		c.body(w)
		w.EndObject()
	}
}

type note struct {
	line line
	tone string // plain, quiet or bad
}

func (n *note) write(w *jsontext.Writer) {
	begin(w, "note")
	n.line.write(w, "line")
	w.Str("tone", n.tone)
	w.EndObject()
}

type empty struct {
	title   string
	line    line
	actions []button
}

func (e *empty) write(w *jsontext.Writer) {
	begin(w, "empty")
	w.Str("title", e.title)
	e.line.write(w, "line")
	writeButtons(w, "actions", e.actions)
	w.EndObject()
}

// step is one step of a checklist.
type step struct {
	key, state           string // done, now or todo
	n, of                int
	text, how, why, isNo string
	caution              *caution
	done, limit          string
	photo                string // its hash
	actions              []button
}

func (s *step) write(w *jsontext.Writer) {
	begin(w, "step")
	w.Str("key", s.key)
	w.Str("state", s.state)
	w.Int("n", int64(s.n))
	w.Int("of", int64(s.of))
	w.Str("text", s.text)
	w.OptStr("how", s.how)
	w.OptStr("why", s.why)
	w.OptStr("ifnot", s.isNo)
	s.caution.within(w)
	w.OptStr("done", s.done)
	w.OptStr("photo", s.photo)
	w.OptStr("limit", s.limit)
	writeButtons(w, "actions", s.actions)
	w.EndObject()
}
