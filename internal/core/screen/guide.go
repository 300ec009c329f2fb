package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/words"
)

// guided is the step of somebody who learns: large, with all that is written down of it and how it looks.
type guided struct {
	step
	drawing string
	alt     string
	lines   []string
	say     string
	taken   string // when the photo was taken
	cue     string // its caution in a line, which stood alone before
}

func (g *guided) write(w *jsontext.Writer) {
	begin(w, "guided")
	w.Str("key", g.key)
	w.Str("text", g.text)
	w.OptStr("limit", g.limit)
	w.OptStr("cue", g.cue)
	w.OptStr("how", g.how)
	w.OptStr("why", g.why)
	w.OptStr("ifnot", g.isNo)
	w.OptStr("photo", g.photo)
	w.OptStr("taken", g.taken)
	w.OptStr("say", g.say)
	if g.drawing != "" {
		w.Object("drawing")
		w.Str("name", g.drawing)
		w.Str("alt", g.alt)
		strs(w, "lines", g.lines)
		w.EndObject()
	}
	writeButtons(w, "actions", g.actions)
	w.EndObject()
}

// track shows at which of so many steps somebody is; the words beside it say the same.
type track struct{ n, of int }

func (t *track) write(w *jsontext.Writer) {
	begin(w, "track")
	w.Int("n", int64(t.n))
	w.Int("of", int64(t.of))
	w.EndObject()
}

// ledBand says on the frame of a guided screen that this is real work, and who is led by whom.
type ledBand struct{ text, who string }

// matching is a number that stands large on a screen, to be found on another one.
type matching struct{ number, text, say string }

func (m *matching) write(w *jsontext.Writer) {
	begin(w, "matching")
	w.Str("number", m.number)
	w.Str("text", m.text)
	w.OptStr("say", m.say)
	w.EndObject()
}

// matches are numbers of which one stands on another screen.
type matches struct{ *buttons }

func (m *matches) write(w *jsontext.Writer) {
	begin(w, "matches")
	writeButtons(w, "actions", m.actions)
	w.EndObject()
}

// leading is what a page leads somebody through: a stage of a batch, or a list of a day.
type leading struct {
	*checklist
	s     standing // of the batch; without one of nothing
	title string
	to    string // its usual page
	mark  *kitchen.GuideMark
}

// leads finds what the path names from its i-th name on: /ID or /list/NAME.
func (p *page) leads(i int) *leading {
	if p.path.at(i) == "list" {
		li := p.State.List(p.path.at(i + 1))
		if li == nil {
			return nil
		}
		s := p.listState(li, p.State.WallDay(p.Now))
		return &leading{checklist: p.listSteps(&s), title: p.text(li.Title), to: toList(li.Name), mark: p.State.GuidedList(p.Crew, li.Name, s.day)}
	}
	b := p.batchAt(i)
	if b == nil || b.Status != kitchen.Open {
		return nil
	}
	l := &leading{s: p.standing(b), title: p.name(b), to: toBatch(b), mark: p.State.GuidedAt(p.Crew, b)}
	l.checklist = p.stepsOf(&l.s)
	return l
}

// guideScreen leads whoever learns through the steps of a batch's stage, or of a list: one at a time, and alone the caution
// that stands before a dangerous one.
func (p *page) guideScreen() {
	l := p.leads(1)
	if l == nil {
		p.missing("missing.batch")
		return
	}
	p.open("guide", l.title, "")
	p.back(l.to, l.title)
	if p.State.Member(p.Crew) == nil {
		p.crewNote()
		return
	}
	if l.mark == nil {
		p.says(p.t("guide.none"), "plain")
		p.beginGuide(l.do, p.path.get("stage"))
		return
	}
	t, n := l.current(p.path.get("skip"))
	p.guideHead(l, n)
	if t == nil {
		p.guideEnd(l)
		return
	}
	if c := l.caution(t, n); c != nil && p.path.get("read") != t.Name {
		box := p.cautionOf(t.Name, c)
		p.add(box, &aloud{text: box.title + ". " + strings.Join(box.lines, " ")},
			&buttons{actions: []button{{label: p.t("guide.read"), small: p.text(t.Text), style: act, to: address(p.bare(), "read", t.Name, "skip", p.path.get("skip"))}}})
		return
	}
	p.offParts(l.checklist)
	p.guideStep(l, t, n)
}

// aloud offers to say something aloud.
type aloud struct{ text string }

func (s *aloud) write(w *jsontext.Writer) {
	begin(w, "spoken")
	w.Str("say", s.text)
	w.EndObject()
}

// current returns the step that is to be done now, and its place; nil when all are done.
func (c *checklist) current(skip string) (*procedure.Step, int) {
	for i := range c.steps {
		if t := &c.steps[i]; c.marked(t.Name) == nil && !(t.Optional && t.Name == skip) {
			return t, i
		}
	}
	return nil, len(c.steps)
}

// caution is what stands alone before a step: its own, or before the first that of the stage.
func (l *leading) caution(t *procedure.Step, n int) *procedure.Caution {
	if t.Caution == nil && n == 0 && l.s.b != nil {
		return l.s.stage.Caution
	}
	return t.Caution
}

func (p *page) guideHead(l *leading, n int) {
	h := &strip{head: true, name: l.title, state: "none"}
	var at []string
	if l.s.b != nil {
		h.left, h.state, h.word = p.left(&l.s), stateName(l.s.state), p.stateWord(&l.s)
		at = append(at, p.text(l.s.stage.Title))
	}
	if of := len(l.steps); of > 0 { // a stage may be a wait alone
		at = append(at, p.t("step.of", "n", p.num(min(n+1, of)), "of", p.num(of)))
	}
	h.detail = plain(strings.Join(at, ", "))
	p.add(h)
	if len(l.steps) > 0 {
		p.add(&track{n + 1, len(l.steps)})
	}
	p.led = &ledBand{p.t("guide.band"), p.t("guide.who", "a", first(p.l.Crew(p.State, l.mark.Crew)), "b", first(p.l.Crew(p.State, l.mark.Trainer)))}
}

// guideStep draws the step, what may be tapped, and what was asked about it.
func (p *page) guideStep(l *leading, t *procedure.Step, n int) {
	g := &guided{step: step{key: t.Name, text: p.text(t.Text), limit: p.l.Limit(t.Limit, words.Shown(t.Unit, t.TypedIn)),
		how: p.text(t.How), why: p.text(t.Why), isNo: p.text(t.IfNot)}, cue: p.cueOf(l.caution(t, n))}
	g.say = strings.Join([]string{g.text, g.limit, g.how}, ". ")
	if t.Drawing != "" {
		g.drawing, g.alt = t.Drawing, p.t("drawing."+t.Drawing)
		g.lines = strings.Split(p.t("drawing."+t.Drawing+".lines"), "/")
	}
	what, document := kitchen.WhatList, l.do.List
	if l.s.b != nil {
		what, document = kitchen.WhatProcedure, l.s.b.Procedure
	}
	if m := p.State.PhotoOf(what, document, l.do.Stage, t.Name); m != nil {
		g.photo, g.taken = m.Hash, p.clock(m.At)
	}
	open := true
	if a := p.State.AskAbout(l.mark, l.do.Batch, t.Name, false); t.Critical {
		open = p.askParts(l, t, a, g)
	}
	if open {
		list := p.stepButtons(l.checklist, t, "")
		if t.Kind == procedure.Ask {
			list[1].label = p.t("guide.isno")
		}
		g.actions = append(g.actions, list...)
	}
	if t.Optional {
		g.actions = append(g.actions, button{label: p.t("step.skip"), small: p.t("step.skip.small"), style: quiet, to: address(p.bare(), "skip", t.Name)})
	}
	g.actions = append(g.actions, p.helpParts(l, t)...)
	if t.Unit == "mC" && open {
		p.probeChoice(p.probe())
	}
	p.add(g)
}

// askParts says how far a critical step's answer is, and tells whether it may be done.
func (p *page) askParts(l *leading, t *procedure.Step, a *kitchen.Ask, g *guided) (open bool) {
	name := p.l.Crew(p.State, l.mark.Trainer)
	do := l.do
	do.Do, do.Step = kitchen.DoAsk, t.Name
	ask := button{label: p.t("guide.ask", "name", name), small: p.t("guide.ask.small"), style: act, do: &do}
	switch {
	case a == nil || a.Used != 0:
	case a.Answered == 0:
		p.waitParts(l, t, a, name)
		g.actions = append(append(g.actions, p.tellOff(l, t)...), p.cannotWait(l, t)...)
		return false
	case a.Answer.Yes:
		p.says(p.answered(a, t), "plain")
		return true
	default:
		p.add(&empty{title: p.t("guide.no", "name", p.l.Crew(p.State, a.Answer.Trainer)), line: plain(p.answered(a, t))})
		ask.label = p.t("guide.again", "name", name)
	}
	g.actions = append(append(append(g.actions, ask), p.tellOff(l, t)...), p.cannotWait(l, t)...)
	return false
}

// cannotWait offers to do a step without the answer where what lies in oil or under pressure cannot wait: a lead is told.
func (p *page) cannotWait(l *leading, t *procedure.Step) []button {
	if !p.State.Urgent(l.s.b) {
		return nil
	}
	list := p.stepButtons(l.checklist, t, "")[:1]
	b := &list[0]
	do := *b.do
	do.Urgent = true
	b.do, b.small, b.style = &do, p.t("crew.now.small"), quiet
	if t.Kind != procedure.Ask {
		b.label = p.t("crew.now")
	}
	if b.ask == nil {
		b.sure = &sure{title: p.text(t.Text), lines: []string{p.t("guide.urgent")}, label: b.label}
	}
	return list
}

// tellOff offers to write down what is off while the trainer's answer is not there: that is never held back.
func (p *page) tellOff(l *leading, t *procedure.Step) []button {
	list := p.stepButtons(l.checklist, t, "")
	switch {
	case t.Kind == procedure.Ask:
		list = list[1:]
		list[0].label = p.t("guide.isno") // who is not sure calls the trainer
	case list[0].ask != nil && (t.Limit.Min != nil || t.Limit.Max != nil):
		list[0].label, list[0].small, list[0].style = p.t("guide.off"), p.t("guide.off.small"), quiet
	default:
		return nil
	}
	return list
}

// answered says who answered what, and what was seen.
func (p *page) answered(a *kitchen.Ask, t *procedure.Step) string {
	text := p.t("made.by", "time", p.clock(a.Answered), "name", p.l.Crew(p.State, a.Answer.Trainer))
	if a.Answer.Yes {
		text = p.t("guide.yes", "by", text)
	}
	if n, unit, ok := a.Saw(); ok {
		code := ""
		if t != nil {
			code = t.TypedIn
		}
		text += ". " + p.t("guide.saw", "amount", p.l.Amount(n, words.Shown(unit, code)))
	} else if a.Answer.Seen != "" {
		text += ". " + a.Answer.Seen
	}
	if a.Answer.Note != "" {
		text += ". " + a.Answer.Note
	}
	return text
}

// waitParts stand while an answer is waited for: the number that the trainer must find, and the way with a PIN.
func (p *page) waitParts(l *leading, t *procedure.Step, a *kitchen.Ask, name string) {
	if p.path.get("pin") == "" {
		p.add(&matching{number: p.num(int(a.Code())), text: p.t("guide.match", "name", name)},
			&note{line: p.line("guide.since", in("left", count(countdown{at: a.At}))), tone: "quiet"})
		if !p.Saved.InTouch {
			p.says(p.t("guide.away", "name", name), "plain")
		}
		p.add(&buttons{actions: []button{{label: p.t("guide.pin", "name", name), small: p.t("guide.pin.small"), style: quiet,
			to: address(p.bare(), "read", t.Name, "pin", "1")}}})
		return
	}
	do := &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes"}
	if !p.seenPad(t, do) {
		return
	}
	var list []button
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Crew == a.By || !p.State.TrainsAt(m.Crew, a.Spot, p.Now) {
			continue
		}
		own := *do
		own.Trainer = m.Crew
		b := button{label: p.t("guide.pinof", "name", m.Name), style: quiet, do: &own, to: address(p.bare(), "read", t.Name),
			ask: &ask{kind: "pin", name: "pin", title: p.t("guide.pinof", "name", m.Name), keep: p.t("guide.pin.keep", "name", m.Name), limit: p.t("guide.pin.line")}}
		if m.Crew == l.mark.Trainer {
			b.style = act
			list = append([]button{b}, list...)
			continue
		}
		list = append(list, b)
	}
	p.add(&buttons{actions: list})
}

// seenPad asks for the number that a trainer sees, where the step has one; true: it is there, or none is asked for.
func (p *page) seenPad(t *procedure.Step, do *kitchen.Command) bool {
	if t == nil || t.Unit == "" {
		return true
	}
	how, unit := p.l.Typing(t.Unit, t.TypedIn), words.Shown(t.Unit, t.TypedIn)
	pd := &pad{name: "seen", text: p.path.get("seen"), unit: how.Unit, signed: how.Signed, whole: how.Whole, label: p.t("guide.seen"),
		limit: plain(p.l.Limit(t.Limit, unit))}
	j, value, ok := p.judge(pd.text, how.Code, t.Limit, t.Unit, unit)
	pd.judged = j
	p.add(pd)
	do.Value, do.Unit = value, t.Unit
	return ok
}

// helpParts is the way to say that one is not sure.
func (p *page) helpParts(l *leading, t *procedure.Step) []button {
	a := p.State.AskAbout(l.mark, l.do.Batch, t.Name, true)
	name := p.l.Crew(p.State, l.mark.Trainer)
	switch {
	case a != nil && p.State.Waits(a):
		title := p.t("guide.called", "name", name)
		if by := p.State.AskGot(a); by != "" {
			title = p.t("guide.comes", "name", p.l.Crew(p.State, by))
		}
		p.add(&empty{title: title, line: append(p.line("guide.since", in("left", count(countdown{at: a.At}))), run{text: " " + p.t("guide.called.do")})})
		return []button{{label: p.t("guide.clear"), style: quiet, do: &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes"}}}
	case a != nil && a.Used == 0 && a.Answer.Trainer != a.By:
		id := "help.said.on"
		if !a.Answer.Yes {
			id = "help.said.stop"
		}
		if a.Answer.Note != "" {
			id = "help.said"
		}
		said, at := p.t(id, "name", p.l.Crew(p.State, a.Answer.Trainer), "text", a.Answer.Note), p.clock(a.Answered)
		if id == "help.said.stop" { // hands off: it stands out from all else
			p.add(&caution{key: "stop", title: said, lines: []string{at}})
		} else {
			p.add(&empty{title: said, line: plain(at)})
		}
	}
	do := l.do
	do.Do, do.Step, do.Closes = kitchen.DoAsk, t.Name, true
	return []button{{label: p.t("guide.unsure"), small: p.t("guide.unsure.small", "name", name), style: quiet, do: &do}}
}

// guideEnd stands when all steps are done: what ends the stage, and who leads through the next one.
func (p *page) guideEnd(l *leading) {
	if len(l.steps) > 0 {
		p.says(p.t("guide.done"), "plain")
	}
	if l.s.b == nil {
		p.add(&buttons{actions: []button{{label: p.t("guide.list"), style: act, to: l.to}}})
		return
	}
	if next := l.s.next; next != nil && len(next.Steps) > 0 && p.mustBeGuided(l.s.b, next.Name) {
		p.beginGuide(l.do, next.Name)
		return
	}
	p.endParts(&l.s)
}

// mustBeGuided tells whether whoever holds this device needs to be guided at a stage, and is not yet.
func (p *page) mustBeGuided(b *kitchen.Batch, stage string) bool {
	return p.State.Guided(p.Crew, entry.Spot{Batch: b.ID, Stage: stage}) == nil && p.learns(p.State.MayDo(p.Crew, b.At(stage), p.Now))
}

// learns tells whether whoever holds this device learns the work: listed as such, or not signed off for it.
func (p *page) learns(r *kitchen.Refusal) bool {
	m := p.State.Member(p.Crew)
	return m != nil && (m.Role == entry.Trainee && r == nil || r != nil && r.Code == kitchen.RefNotSigned)
}

// guideWays offers to do under guidance what was refused.
func (p *page) guideWays(c *kitchen.Command, r *kitchen.Refusal) []button {
	var out []button
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if do := p.guideFor(c, r); do != nil && m.Crew != p.Crew && p.State.TrainsAt(m.Crew, entry.Spot{Batch: do.Batch, List: do.List, Day: do.Day, Stage: do.Stage}, p.Now) {
			do.Trainer = m.Crew
			out = append(out, button{label: p.t("guide.beginguided", "name", m.Name), style: act, do: do})
		}
	}
	return out
}

// guideFor is the command that begins guided work where something was refused; nil where none can be.
func (p *page) guideFor(c *kitchen.Command, r *kitchen.Refusal) *kitchen.Command {
	do := &kitchen.Command{Do: kitchen.DoGuide}
	b := p.State.Batch(r.Batch)
	switch {
	case c.List != "":
		do.List, do.Day = c.List, c.Day
	case b != nil:
		do.Batch, do.Stage = b.ID, r.Stage
		if proc := p.State.Procedure(b.Procedure, b.Version); r.Lapse == kitchen.LapseChanged && proc != nil && c.Do != kitchen.DoStep && proc.Next(b.Stage) != nil {
			do.Stage = proc.Next(b.Stage).Name
		}
	case c.Do == kitchen.DoStart:
		do.Procedure, do.Version = c.Procedure, c.Version
	default:
		return nil
	}
	return do
}

// beginGuide offers everybody who may lead through a stage or list.
func (p *page) beginGuide(at kitchen.Command, stage string) {
	c := &choice{title: p.t("guide.begin")}
	to := "/guide/list/" + escape(at.List)
	spot := entry.Spot{Batch: at.Batch, List: at.List, Day: at.Day, Stage: orText(stage, at.Stage)}
	if b := p.State.Batch(at.Batch); b != nil {
		to = "/guide/" + b.ID.String()
		if stage != "" {
			c.title = p.t("guide.begin.next", "stage", p.l.Stage(p.State, b, stage))
		}
	}
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Crew == p.Crew || !p.State.TrainsAt(m.Crew, spot, p.Now) {
			continue
		}
		do := kitchen.Command{Do: kitchen.DoGuide, Batch: at.Batch, List: at.List, Day: at.Day, Stage: stage, Trainer: m.Crew}
		c.rows = append(c.rows, choiceRow{label: p.t("guide.beginwith", "name", m.Name), do: &do, to: to})
	}
	if len(c.rows) == 0 {
		p.says(p.t("guide.notrainer"), "plain")
		return
	}
	p.add(c)
}

// guideOffer stands on the page of a batch or list for somebody who learns.
func (p *page) guideOffer(c *checklist) {
	var g *kitchen.GuideMark
	to := "/guide/list/" + escape(c.do.List)
	b := p.State.Batch(c.do.Batch)
	at := kitchen.Spot{List: p.State.List(c.do.List), Day: c.do.Day}
	if b != nil {
		at = b.At(b.Stage)
		to, g = "/guide/"+b.ID.String(), p.State.GuidedAt(p.Crew, b)
	} else {
		g = p.State.GuidedList(p.Crew, c.do.List, c.do.Day)
	}
	switch {
	case len(c.steps) == 0:
	case g != nil:
		p.goOn(p.t("guide.go", "name", p.l.Crew(p.State, g.Trainer)), to)
	case p.learns(p.State.MayDo(p.Crew, at, p.Now)):
		p.beginGuide(c.do, "")
	}
}
