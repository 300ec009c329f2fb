package report

import (
	"strconv"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/records"
	coreWords "brinebell/internal/core/words"
)

// A Training is one person's training record, in words: how they learnt the work, and every signature under it.
type Training struct {
	Kitchen, Country, Lang string
	Demo                   bool
	Person                 Person
	Born                   string // empty: not said
	At                     time.Time
	By                     Person
	Device                 string
	Chain                  Chain
	Standing               []Standing
	Parts                  []LearntPart // in the order in which they are printed
}

// A Standing is what somebody may do of one competence when it is printed.
type Standing struct {
	Work  string // of which procedure or list
	Title string
	State string // in words: signed, lapsed and why, or what is missing
	Bold  bool   // it is no leave to work alone
}

// A LearntPart is one part of the record: signatures, guided work, practice, questions, notes, deviations.
type LearntPart struct {
	Title string
	Rows  []Learnt
}

// Learnt is one line of it.
type Learnt struct {
	At     time.Time
	What   string
	Who    string // who made the entry, as they were listed then
	On     string // on which device
	Entry  string // its id
	More   []string
	Struck string // who took it back, and when; empty: nobody
}

// parts of a training record, by their ids among the texts.
var learntParts = [...]string{"tr.signatures", "tr.guided", "tr.practice", "tr.questions", "tr.notes", "tr.off", "tr.listed"}

// CollectTraining puts a member's training record into words. Ask says for whom it is printed; its days are not looked at.
func CollectTraining(a Ask, from *records.Training, standing []Standing) *Training {
	c := collector{ask: a, lang: coreWords.Of(a.Lang), words: wordsOf(a.Lang), state: from.State}
	s := from.State
	t := &Training{Kitchen: s.Name, Country: s.Country, Lang: string(c.lang), Demo: s.Demo, Person: c.person(from.Crew), At: c.time(a.At),
		By: c.person(a.By), Device: c.device(a.Device), Standing: standing}
	if a.By == "" {
		t.By.Name = a.ByName
	}
	if m := s.Member(from.Crew); m != nil && m.Born != 0 {
		t.Born = isoDay(m.Born)
	}
	for _, id := range learntParts {
		t.Parts = append(t.Parts, LearntPart{Title: c.words.t(id)})
	}
	for i := range from.Rows {
		x := &from.Rows[i]
		part, l := c.learnt(x)
		l.At, l.Entry, l.On = c.time(x.At), x.Entry.String(), c.device(x.Signed.Device)
		l.Who = Person{ID: x.Crew, Name: x.Name}.String()
		if w := x.Withdrawn; w != nil {
			l.Struck = c.words.t("tr.struck", "who", Person{ID: w.Crew, Name: w.Name}.String(), "at", (&printer{}).instant(c.time(w.At)))
		}
		t.Parts[part].Rows = append(t.Parts[part].Rows, l)
	}
	for _, q := range from.Asked {
		t.Parts[3].Rows = append(t.Parts[3].Rows, Learnt{At: dayTime(q.Day), Who: t.Person.Name,
			What: c.words.t("tr.asked", "n", strconv.FormatInt(q.Number, 10), "right", strconv.FormatInt(q.Right, 10))})
	}
	return t
}

// seen is what a trainer saw, with a number in the unit that its step reads in.
func (c *collector) seen(b *entry.GuideAnswer, x *records.Learning) string {
	n, unit, ok := (&kitchen.Ask{Answer: *b}).Saw()
	if !ok || !quantity.Unit(unit).Known() {
		return b.Seen
	}
	typed := ""
	if a := x.Step; a != nil {
		of := &kitchen.Batch{Procedure: x.Batch.Procedure, Version: x.Batch.Version}
		if t := coreWords.StepOf(c.state, of, a.Stage, a.List, a.Step); t != nil {
			typed = t.TypedIn
		}
	}
	return c.lang.Amount(n, coreWords.Shown(unit, typed))
}

// learnt says one line, and to which part it belongs.
func (c *collector) learnt(x *records.Learning) (part int, l Learnt) {
	w := c.words
	if d := x.Deviation; d != nil {
		off := c.lang.Deviation(c.state, d, c.ask.At)
		l.What, l.More = off.Title, off.Lines
		if d.Text != "" && d.Code != kitchen.DevTooYoung { // whose text is the rule's name
			l.More = append(l.More, w.t("tr.reason", "text", d.Text))
		}
		for _, a := range d.Answers {
			l.More = append(l.More, w.t("tr.answered", "text", a.Action, "who", c.person(a.By).Name))
		}
		return 5, l
	}
	switch b := x.Body.(type) {
	case *entry.SignOff:
		return 0, c.signature(b)
	case *entry.Guide:
		l.What = w.t("tr.begun", "where", c.spot(&b.Spot, &x.Batch), "who", c.person(b.Trainer).Name)
	case *entry.GuideAsk:
		l.What = w.t(either(b.Help, "tr.help", "tr.confirm"), "step", c.stepOf(b, &x.Batch))
		l.More = some(b.Text)
	case *entry.GuideAnswer:
		l.What = w.t(either(b.Yes, "tr.yes", "tr.no"), "who", c.person(b.Trainer).Name, "step", c.stepOf(x.Step, &x.Batch))
		l.More = append(some(b.Seen, w.t("tr.seen", "text", c.seen(b, x))), some(b.Note)...)
		l.More = append(l.More, w.t(either(b.Pin, "tr.bypin", "tr.ownphone")))
	case *entry.GuideCheck:
		l.What = w.t(either(b.Mine, "tr.mine", "tr.notmine"), "step", c.stepOf(x.Step, &x.Batch))
	case *entry.TrainerNote:
		l.What = w.t("tr.tone."+b.Tone) + ": " + c.spot(&b.Spot, &x.Batch)
		if b.Step != "" {
			l.What += ", " + c.stepOf(&entry.GuideAsk{Spot: b.Spot, Step: b.Step}, &x.Batch)
		}
		l.More = some(b.Text)
		return 4, l
	case *entry.Rung:
		l.What = w.t(either(b.Passed, "tr.passed", "tr.failed"), "n", strconv.FormatUint(uint64(b.Rung), 10), "of", c.titleOf(kitchen.WhatProcedure, b.Procedure))
		l.More = some("x", w.t("tr.night", "troubles", strconv.FormatInt(b.Troubles, 10), "right", strconv.FormatInt(b.Right, 10), "hurt", strconv.FormatInt(b.Hurt, 10),
			"grams", c.lang.Amount(b.Grams, "g"), "seed", strconv.FormatUint(b.Seed, 10)))
		return 2, l
	case *entry.Pin:
		l.What = w.t("tr.pin")
		return 6, l
	case *entry.Member:
		l.What = w.t(either(b.Gone, "tr.gone", "tr.member"), "name", b.Name, "role", c.role(b.Role))
		if b.Trainer {
			l.More = some(w.t("tr.trainer"))
		}
		return 6, l
	}
	return 1, l
}

// signature says a sign-off, or that one was taken back.
func (c *collector) signature(b *entry.SignOff) (l Learnt) {
	w := c.words
	l.What = w.t(either(b.Gone, "tr.taken", "tr.signed"), "who", c.person(b.By).String(), "what", c.competence(b), "of", c.titleOf(b.What, b.Document),
		"n", strconv.FormatUint(uint64(b.Version), 10))
	if !b.Gone {
		l.More = append(l.More, w.t("tr.grounds."+b.Grounds))
	}
	l.More = append(l.More, some(b.Reason, w.t("tr.reason", "text", b.Reason))...)
	l.More = append(l.More, w.t(either(b.Pin, "tr.bypin", "tr.ownphone")))
	return l
}

// competence names one by the version that was signed, or by the newest where that is not known any more.
func (c *collector) competence(b *entry.SignOff) string {
	var list []procedure.Competence
	if b.What == kitchen.WhatProcedure {
		p := c.state.Procedure(b.Document, b.Version)
		if p == nil {
			p = c.state.Procedure(b.Document, 0)
		}
		if p != nil {
			list = p.Competences
		}
	} else if x := c.state.List(b.Document); x != nil && x.Competence != nil {
		list = []procedure.Competence{*x.Competence}
	}
	for i := range list {
		if list[i].Name == b.Competence {
			return c.lang.Text(list[i].Title)
		}
	}
	return b.Competence
}

func (c *collector) titleOf(what, name string) string {
	if what == kitchen.WhatProcedure {
		if p := c.state.Procedure(name, 0); p != nil {
			return c.lang.Text(p.Title)
		}
	} else if x := c.state.List(name); x != nil {
		return c.lang.Text(x.Title)
	}
	return name
}

// spot says where somebody was at work.
func (c *collector) spot(at *entry.Spot, b *records.Batch) string {
	if at.List != "" {
		return c.titleOf(kitchen.WhatList, at.List) + ", " + c.title(at.Day)
	}
	like := &kitchen.Batch{Procedure: b.Procedure, Version: b.Version}
	return join([]string{c.lang.Text(b.Item), c.lang.Stage(c.state, like, at.Stage), c.words.t("batch", "code", b.Code)})
}

// stepOf names what was asked about.
func (c *collector) stepOf(a *entry.GuideAsk, b *records.Batch) string {
	if a == nil {
		return ""
	}
	if a.List != "" {
		return c.lang.StepText(c.state, nil, "", a.List, a.Step)
	}
	return c.lang.StepText(c.state, &kitchen.Batch{Procedure: b.Procedure, Version: b.Version}, a.Stage, "", a.Step)
}

func either(yes bool, one, other string) string {
	if yes {
		return one
	}
	return other
}

// some is a list of what is said where there is something to say.
func some(text string, said ...string) []string {
	switch {
	case text == "":
		return nil
	case len(said) > 0:
		return said
	}
	return []string{text}
}

// PDF prints a training record. The same record gives the same bytes.
func (t *Training) PDF() ([]byte, error) {
	faces, err := typefaces()
	if err != nil {
		return nil, err
	}
	w, h := paperOf(t.Country)
	p := printer{flow: newFlow(faces, w, h), words: wordsOf(t.Lang), book: &Book{Kitchen: t.Kitchen, Lang: t.Lang, Demo: t.Demo, At: t.At, Span: t.Person.Name, Chain: t.Chain}}
	p.begin(p.t("tr.title"), 0)
	if t.Chain.Fault != "" {
		p.box(p.t("broken"), []string{p.t("brokenAt", "fault", t.Chain.Fault, "n", strconv.Itoa(t.Chain.Faults))})
	}
	if t.Demo {
		p.box(p.t("demo"), nil)
	}
	p.text(t.Person.String(), largest, true)
	p.gap(4)
	g := p.pairs()
	by := t.By.String()
	if t.Device != "" {
		by += " " + p.t("on", "device", t.Device)
	}
	n := strconv.FormatUint(t.Chain.Entries, 10)
	for _, one := range [][2]string{{"tr.kitchen", t.Kitchen}, {"tr.born", orElse(t.Born, p.t("tr.unsaid"))}, {"printed", p.instant(t.At)}, {"printedBy", by},
		{"entries", n}, {"hash", t.Chain.Head}} {
		g.row(p.flow, []cell{{text: p.t(one[0])}, {text: one[1]}})
	}
	g.end(p.flow)
	p.text(p.t("tr.is"), small, false)
	p.text(p.t("deference"), normal, true)
	p.stands(t.Standing)
	for i := range t.Parts {
		p.part(&t.Parts[i])
	}
	p.gap(14)
	p.need(70)
	p.lines()
	p.end()
	return p.write(p.edges(), about{title: p.t("tr.title") + ", " + t.Person.Name + ", " + t.Kitchen, author: t.Kitchen, lang: t.Lang, at: t.At, bookmarks: p.marks})
}

// stands prints what the person may do now.
func (p *printer) stands(list []Standing) {
	if len(list) == 0 {
		p.heading(p.t("tr.now"), 40)
		p.text(p.t("tr.none"), normal, false)
		return
	}
	p.heading(p.t("tr.now"), 60)
	g := p.table([]column{{p.t("tr.work"), 2, false}, {p.t("tr.competence"), 2, false}, {p.t("instantHow"), 4, false}}, small, p.t("again", "what", p.t("tr.now")))
	for _, s := range list {
		p.rows++
		g.row(p.flow, []cell{{text: s.Work}, {text: s.Title, bold: true}, {text: s.State, bold: s.Bold}})
	}
	g.end(p.flow)
}

func (p *printer) part(part *LearntPart) {
	p.heading(part.Title, 40)
	if len(part.Rows) == 0 {
		p.text(p.t("tr.nothing"), normal, false)
		return
	}
	g := p.table([]column{{p.t("tr.when"), 2.1, false}, {p.t("tr.what"), 4, false}, {p.t("tr.who"), 1.6, false}, {p.t("tr.on"), 1.5, false}}, small,
		p.t("again", "what", part.Title))
	for _, l := range part.Rows {
		p.rows++
		when := p.instant(l.At)
		if l.Entry == "" { // a day's count
			when = l.At.Format(time.DateOnly)
		}
		var more []cell
		for _, s := range l.More {
			more = append(more, cell{text: s})
		}
		if l.Struck != "" {
			more = append(more, cell{text: l.Struck, bold: true})
		}
		if l.Entry != "" {
			more = append(more, cell{text: p.t("tr.entry", "id", l.Entry)})
		}
		g.row(p.flow, []cell{{text: when}, {text: l.What, bold: l.Struck == ""}, {text: l.Who}, {text: l.On}}, more...)
	}
	g.end(p.flow)
}

// lines are for ink, where a kitchen or its inspector wants it beside what was signed in the journal.
func (p *printer) lines() {
	for _, id := range [...]string{"tr.ink.person", "tr.ink.lead"} {
		p.gap(16)
		p.put(mark{kind: ruleMark, x: side, y: p.y, w: p.inner() * 0.6, size: ruleThin})
		p.text(p.t(id), small, false)
	}
}
