package screen

import (
	"cmp"
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// trainerScreen is what a trainer looks at: who waits for an answer, at which step everybody is who learns and since when,
// what was slow or wrong, which answers by PIN are still to be checked.
func (p *page) trainerScreen() {
	switch p.path.at(1) {
	case "ask":
		p.askScreen()
		return
	case "guide":
		p.learnerScreen()
		return
	}
	p.open("trainer", p.t("trainer"), "")
	p.back("/more", p.t("more"))
	if p.State.Member(p.Crew) == nil {
		p.crewNote()
		return
	}
	if !p.State.Trains(p.Crew) {
		p.says(p.t("trainer.not"), "plain")
		return
	}
	var work []part
	for i := range slices.Backward(p.State.Guides) {
		g := &p.State.Guides[i]
		if !p.State.GuideRuns(g) {
			continue
		}
		for _, l := range p.leadsOf(g) {
			if s := p.learner(&l); len(s.actions) > 0 { // who waits for an answer stands before all else
				p.add(s)
			} else {
				work = append(work, s)
			}
		}
	}
	p.toCheck()
	if p.add(work...); len(p.parts) == 0 {
		p.add(&empty{title: p.t("trainer.none"), line: p.line("trainer.none.line"), actions: []button{
			{label: p.t("line"), style: quiet, to: "/"}, {label: p.t("steps.crew"), style: quiet, to: "/crew"}}})
	}
	p.notesOf("", 12)
}

// toCheck lists the answers by PIN that whoever holds this device has not looked at.
func (p *page) toCheck() {
	c := &choice{title: p.t("trainer.check")}
	for _, a := range p.State.ToCheck(p.Crew) {
		c.rows = append(c.rows, choiceRow{label: p.l.Crew(p.State, a.By) + ": " + p.whereOf(a), to: toAsk(a),
			detail: p.stepText(a) + ", " + p.clock(a.Answered)})
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

func toAsk(a *kitchen.Ask) string { return "/trainer/ask/" + a.ID.String() }

// whereOf says where something was asked: "Tub 5, Drain".
func (p *page) whereOf(a *kitchen.Ask) string {
	if li := p.State.List(a.List); li != nil {
		return p.text(li.Title)
	}
	b := p.State.Batch(a.Batch)
	return p.l.Batch(p.State, b) + ", " + p.l.Stage(p.State, b, a.Stage)
}

func (p *page) stepText(a *kitchen.Ask) string {
	if a.Step == "" {
		return ""
	}
	return p.l.StepText(p.State, p.State.Batch(a.Batch), a.Stage, a.List, a.Step)
}

// askDeed says what somebody who learns wants, after their name: "is not sure: Tub 5, Drain, step 2".
func (p *page) askDeed(a *kitchen.Ask) string {
	return p.t("ask."+a.Wants(), "where", p.askWhere(a))
}

// askWhere is "Tub 5, Drain, step 2".
func (p *page) askWhere(a *kitchen.Ask) string {
	where := p.whereOf(a)
	if n := p.stepNumber(a); n > 0 {
		where += ", " + p.t("step.n", "n", p.num(n))
	}
	return where
}

func (p *page) stepNumber(a *kitchen.Ask) int {
	var steps []procedure.Step
	if li := p.State.List(a.List); li != nil {
		steps = li.Steps
	} else if b := p.State.Batch(a.Batch); b != nil {
		if proc := p.State.Procedure(b.Procedure, b.Version); proc != nil {
			if st, _ := proc.Stage(a.Stage); st != nil {
				steps = st.Steps
			}
		}
	}
	return 1 + slices.IndexFunc(steps, func(t procedure.Step) bool { return t.Name == a.Step })
}

// leadsOf lists what guided work is about now.
func (p *page) leadsOf(g *kitchen.GuideMark) []leading {
	if li := p.State.List(g.List); li != nil {
		s := p.listState(li, g.Day)
		return []leading{{checklist: p.listSteps(&s), title: p.text(li.Title), to: toList(li.Name), mark: g}}
	}
	var list []leading
	for _, b := range p.State.GuidedBatches(g) {
		l := leading{s: p.standing(b), title: p.name(b) + ", " + p.l.Stage(p.State, b, b.Stage), to: toBatch(b), mark: g}
		l.checklist = p.stepsOf(&l.s)
		list = append(list, l)
	}
	return list
}

// since is from when on somebody is at the current step.
func (l *leading) since() stamp.Milli {
	at := l.mark.At
	if l.s.b != nil {
		at = max(at, l.s.b.Since)
	}
	for i := range l.steps {
		if m := l.marked(l.steps[i].Name); m != nil {
			at = max(at, m.At)
		}
	}
	return at
}

// at is the step at which somebody is, as far as a trainer can know: one that was asked about and waits, else the first that
// is not done and was not left out.
func (p *page) at(l *leading) (*procedure.Step, int) {
	last := -1
	for i := range l.steps {
		t := &l.steps[i]
		for _, help := range []bool{true, false} {
			a := p.State.AskAbout(l.mark, l.do.Batch, t.Name, help)
			if a != nil && p.State.Waits(a) {
				return t, i
			}
			if a != nil { // whoever asked had come so far
				last = i
			}
		}
		if l.marked(t.Name) != nil {
			last = i
		}
	}
	for i := range l.steps {
		if t := &l.steps[i]; l.marked(t.Name) == nil && !(t.Optional && i < last) {
			return t, i
		}
	}
	return nil, len(l.steps)
}

// learner is a strip of somebody who learns: the step, since when, and what is slow or wrong.
func (p *page) learner(l *leading) *strip {
	t, n := p.at(l)
	g := l.mark
	st := &strip{key: "guide " + g.Guide.Guide.String() + l.title, name: p.l.Crew(p.State, g.Crew), state: "none", to: "/trainer/guide/" + g.Guide.Guide.String(),
		word: p.t("trainer.works"), sub: plain(l.title), left: &countdown{at: l.since(), overPre: p.t("left.since")}}
	if g.Trainer != p.Crew {
		st.sub = append(st.sub, run{text: ", " + p.t("guide.with", "name", p.l.Crew(p.State, g.Trainer))})
	}
	if t == nil {
		if len(l.steps) > 0 { // a stage may be a wait alone
			st.detail = plain(p.t("guide.done"))
		}
		return st
	}
	st.detail = plain(p.t("step.of", "n", p.num(n+1), "of", p.num(len(l.steps))) + ": " + p.text(t.Text))
	st.cue = strings.Join(p.signs(l, t), ". ")
	for _, help := range []bool{true, false} {
		if a := p.State.AskAbout(g, l.do.Batch, t.Name, help); a != nil && p.State.Waits(a) {
			st.state, st.word = "last", words.Upper(p.t("ask.state."+a.Wants()))
			st.actions = append(st.actions, button{label: p.t("trainer.answer"), style: act, to: toAsk(a)})
			break
		}
	}
	return st
}

// signs says what is slow or wrong with what somebody does.
func (p *page) signs(l *leading, t *procedure.Step) []string {
	var list []string
	if s := p.slow(l, t.Name, p.Now.Since(l.since())); s != "" {
		list = append(list, s)
	}
	if l.s.b != nil && l.s.win.BestUntil > 0 && (l.s.state == window.LastCall || l.s.state == window.Past) {
		list = append(list, p.t("trainer.window", "limit", p.l.Length(l.s.win.BestUntil)))
	}
	for i := range l.steps {
		if s := p.apart(l, &l.steps[i]); s != "" {
			list = append(list, s)
		}
	}
	off := 0
	for i := range p.State.Deviations {
		if d := &p.State.Deviations[i]; d.By == l.mark.Crew && d.At >= l.mark.At && d.Batch == l.do.Batch && d.List == l.do.List {
			off++
		}
	}
	if off > 0 {
		list = append(list, p.n("trainer.off", int64(off)))
	}
	return list
}

// apart says by how much a number that was written down differs from the one that the trainer saw before; "" where it does not.
func (p *page) apart(l *leading, t *procedure.Step) string {
	m, a := l.marked(t.Name), p.State.AskAbout(l.mark, l.do.Batch, t.Name, false)
	if m == nil || a == nil {
		return ""
	}
	n, unit, ok := a.Saw()
	if !ok || n == m.Value || unit != m.Unit {
		return ""
	}
	shown := words.Shown(unit, t.TypedIn)
	return p.t("trainer.apart", "typed", p.l.Amount(m.Value, shown), "saw", p.l.Amount(n, shown))
}

// slowLeast is how often others must have done a step for their median to say what is usual; a step is slow that takes more
// than twice as long, and half a minute more: common practice, no source.
const slowLeast = 3

// slow says how long a step takes others who do not learn it, where this one takes much longer; "" where it does not.
func (p *page) slow(l *leading, step string, took stamp.Span) string {
	usual, n := p.usual(l, step)
	if n < slowLeast || took <= 2*usual || took-usual < 30*stamp.Second {
		return ""
	}
	return p.n("trainer.slow", int64(n), "usual", p.l.Length(usual))
}

// usual is the median of how long a step took others, from the step before it on, and of how many.
func (p *page) usual(l *leading, step string) (stamp.Span, int) {
	var spans []stamp.Span
	look := func(marks []kitchen.Mark, stage string) {
		before := stamp.Milli(0)
		for i := range marks {
			m := &marks[i]
			if m.Stage != stage {
				continue
			}
			if by := p.State.Member(m.By); m.Step == step && before > 0 && by != nil && by.Role != entry.Trainee && m.By != l.mark.Crew {
				spans = append(spans, m.At.Since(before))
			}
			before = m.At
		}
	}
	if b := l.s.b; b != nil {
		for i := range p.State.Batches {
			if o := &p.State.Batches[i]; o.Procedure == b.Procedure {
				look(o.Steps, b.Stage)
			}
		}
	} else {
		for i := range p.State.Runs {
			if r := &p.State.Runs[i]; r.List == l.do.List {
				look(r.Steps, "")
			}
		}
	}
	if len(spans) == 0 {
		return 0, 0
	}
	order.Stable(spans, func(a, b stamp.Span) int { return cmp.Compare(a, b) })
	return spans[len(spans)/2], len(spans)
}

// learnerScreen is one guided work: each step with how long it took, what was said of it, and notes in a tap.
func (p *page) learnerScreen() {
	id, err := entry.ParseID(p.path.at(2))
	g := p.State.Guide(id)
	if err != nil || g == nil {
		p.missing("missing.page")
		return
	}
	name := p.l.Crew(p.State, g.Crew)
	p.open("learner", name, "")
	p.back("/trainer", p.t("trainer"))
	for _, l := range p.leadsOf(g) {
		st := p.learner(&l)
		st.to, st.name, st.sub = "", l.title, nil
		p.add(st)
		p.stepTimes(&l)
	}
	p.noteButtons(g)
	p.notesOf(g.Crew, 12)
	p.goOn(p.t("trainer.sign", "name", name), "/crew/"+escape(g.Crew))
}

// stepTimes lists the steps that are done, each with how long it took.
func (p *page) stepTimes(l *leading) {
	h := &history{title: l.title}
	before := l.mark.At
	if l.s.b != nil {
		before = max(before, l.s.b.Since)
	}
	for i := range l.steps {
		t := &l.steps[i]
		m := l.marked(t.Name)
		if m == nil {
			continue
		}
		took := max(0, m.At.Since(before))
		before = m.At
		text := p.text(t.Text) + ": " + p.t("trainer.took", "length", p.l.Length(took))
		if m.Unit != "" {
			text += ", " + p.l.Amount(m.Value, words.Shown(m.Unit, t.TypedIn))
		}
		if s := p.slow(l, t.Name, took); s != "" && m.By == l.mark.Crew {
			text += ". " + s
		}
		if a := p.State.AskAbout(l.mark, l.do.Batch, t.Name, false); a != nil && a.Answered != 0 {
			text += ". " + p.answered(a, t)
			if s := p.apart(l, t); s != "" {
				text += ". " + s
			}
		}
		if a := p.State.AskAbout(l.mark, l.do.Batch, t.Name, true); a != nil {
			text += ". " + p.t("trainer.wasunsure")
		}
		h.rows = append(h.rows, historyRow{at: p.clock(m.At), who: p.l.Crew(p.State, m.By), text: text, photo: m.Photo})
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}

// noteButtons write down how a step goes in a tap: the current one, or the last of those that are done.
func (p *page) noteButtons(g *kitchen.GuideMark) {
	if !p.State.Trains(p.Crew) || p.Crew == g.Crew {
		return
	}
	do := kitchen.Command{Do: kitchen.DoTrainerNote, Crew: g.Crew, Batch: g.Batch, List: g.List, Day: g.Day, Stage: g.Stage}
	title := p.t("trainer.note")
	if list := p.leadsOf(g); len(list) > 0 {
		l := &list[0]
		do.Batch, do.Stage = l.do.Batch, l.do.Stage
		t, _ := p.at(l)
		if t == nil && len(l.steps) > 0 {
			t = &l.steps[len(l.steps)-1]
		}
		if t != nil {
			do.Step, title = t.Name, title+": "+p.text(t.Text)
		}
	}
	b := &buttons{}
	for _, tone := range kitchen.Tones {
		said := do
		said.Answer = tone
		one := button{label: p.t("tone." + tone), style: quiet, do: &said}
		if tone == entry.ToneOther {
			one.label = p.t("tone.write")
			one.ask = &ask{kind: "text", name: "text", title: title, keep: p.t("keep")}
		}
		b.actions = append(b.actions, one)
	}
	p.add(&group{title: title}, b)
}

// notesOf lists the last notes about somebody, or about all.
func (p *page) notesOf(crew string, most int) {
	h := &history{title: p.t("trainer.notes")}
	for i := range slices.Backward(p.State.Notes) {
		n := &p.State.Notes[i]
		if crew != "" && n.Crew != crew || len(h.rows) == most {
			continue
		}
		text := p.l.Crew(p.State, n.Crew) + ": " + words.Lower(p.t("tone."+n.Tone))
		if step := p.l.StepText(p.State, p.State.Batch(n.Batch), n.Stage, n.List, n.Step); n.Step != "" && step != "" {
			text += ", " + step
		}
		if n.Text != "" {
			text += ". " + n.Text
		}
		h.rows = append(h.rows, historyRow{at: p.clock(n.At), who: p.l.Crew(p.State, n.By), text: text})
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}
