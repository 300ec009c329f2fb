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
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// checklist is the steps of a batch's stage or of a list, and the command that each step's tap begins with.
type checklist struct {
	steps  []procedure.Step
	marked func(step string) *kitchen.Mark
	do     kitchen.Command
}

func (p *page) stepsOf(s *standing) *checklist {
	return &checklist{steps: s.stage.Steps, do: kitchen.Command{Do: kitchen.DoStep, Batch: s.b.ID, Stage: s.stage.Name},
		marked: func(step string) *kitchen.Mark { return s.b.Marked(s.stage.Name, step) }}
}

// stepParts draws a checklist: what is done in one line, the current step large, what is to come in one line. A step that
// may be left out is passed over by ?skip=.
func (p *page) stepParts(c *checklist) {
	p.offParts(c)
	current := false
	for i := range c.steps {
		t := &c.steps[i]
		st := &step{key: t.Name, n: i + 1, of: len(c.steps), text: p.text(t.Text), limit: p.l.Limit(t.Limit, words.Shown(t.Unit, t.TypedIn))}
		switch m := c.marked(t.Name); {
		case m != nil:
			st.state, st.done, st.photo = "done", p.doneText(m, t), m.Photo
		case current || t.Optional && p.path.get("skip") == t.Name:
			st.state = "todo"
		default:
			st.state, current = "now", true
			p.currentStep(c, t, st)
			if t.Unit == "mC" {
				p.probeChoice(p.probe())
			}
		}
		p.add(st)
	}
}

// offParts stand before the steps while something that was seen in them is off: by how much, where the limit comes from,
// and what the procedure says is to be done. What was seen stays in the record either way.
func (p *page) offParts(c *checklist) {
	for i := range c.steps {
		t := &c.steps[i]
		m := c.marked(t.Name)
		if m == nil {
			continue
		}
		d := kitchen.Deviation{Batch: c.do.Batch, Stage: c.do.Stage, List: c.do.List, Step: t.Name, Number: m.Value, Unit: m.Unit}
		switch limit := t.Limit; {
		case m.Answer == "no":
			d.Code = kitchen.DevAnsweredNo
		case m.Unit != "" && limit.Min != nil && m.Value < *limit.Min:
			d.Code, d.Limit = kitchen.DevOutOfLimit, *limit.Min
		case m.Unit != "" && limit.Max != nil && m.Value > *limit.Max:
			d.Code, d.Limit = kitchen.DevOutOfLimit, *limit.Max
		default:
			continue
		}
		off := p.l.Deviation(p.State, &d, p.Now)
		f := &fault{title: off.Title, lines: off.Lines, actions: p.stepButtons(c, t, p.t("step.again"))}
		if source := p.text(t.Limit.Source); source != "" {
			f.lines = append([]string{p.l.Limit(t.Limit, words.Shown(t.Unit, t.TypedIn)) + ". " + source}, f.lines...)
		}
		p.add(f)
	}
}

func (p *page) doneText(m *kitchen.Mark, t *procedure.Step) string {
	text := p.clock(m.At) + " " + p.l.Crew(p.State, m.By)
	switch {
	case m.Answer == "yes" || m.Answer == "no":
		text = p.t("answer."+m.Answer) + ", " + text
	case m.Unit != "":
		text = p.l.Amount(m.Value, words.Shown(m.Unit, t.TypedIn)) + ", " + text
	}
	if m.SignBy != "" {
		text += ", " + p.t("signed", "name", p.l.Crew(p.State, m.SignBy))
	}
	return text
}

func (p *page) currentStep(c *checklist, t *procedure.Step, st *step) {
	st.how, st.why, st.isNo = p.text(t.How), p.text(t.Why), p.text(t.IfNot)
	st.caution = p.cautionOf(t.Name, t.Caution)
	st.actions = p.stepButtons(c, t, p.t("step.of", "n", p.num(st.n), "of", p.num(st.of)))
	if t.Optional {
		st.actions = append(st.actions, button{label: p.t("step.skip"), small: p.t("step.skip.small"), style: quiet,
			to: address(p.bare(), "skip", t.Name)})
	}
}

// bare is the page's own path without its query.
func (p *page) bare() string {
	out := ""
	for _, n := range p.path.names {
		out += "/" + escape(n)
	}
	return out
}

func (p *page) stepButtons(c *checklist, t *procedure.Step, small string) []button {
	do := c.do
	do.Step = t.Name
	label := p.text(t.Button)
	b := button{label: label, small: small, style: act, do: &do}
	switch t.Kind {
	case procedure.Ask:
		return p.yesNo(b, do)
	case procedure.Read, procedure.Weigh, procedure.Tally:
		p.askNumber(&b, t, &do)
	case procedure.Photo:
		b.label = orText(label, p.t("step.photo"))
		b.ask = &ask{kind: "photo", name: "photo", title: p.text(t.Text), keep: p.t("step.photo.keep")}
		none := button{label: p.t("step.photo.none"), small: p.t("step.photo.none.small"), style: quiet, do: &do,
			ask: &ask{kind: "text", name: "text", title: p.t("step.photo.why"), keep: p.t("keep")}}
		return []button{b, none}
	case procedure.Sign:
		return p.signers(b, t, do)
	default:
		b.label = orText(label, p.t("step.done"))
	}
	return []button{b}
}

func orText(s, other string) string {
	if s != "" {
		return s
	}
	return other
}

func (p *page) yesNo(b button, do kitchen.Command) []button {
	yes, no := do, do
	yes.Answer, no.Answer = "yes", "no"
	b.do, b.label = &yes, orText(b.label, p.t("answer.yes"))
	return []button{b, {label: p.t("answer.no.button"), small: p.t("answer.no.small"), style: quiet, do: &no}}
}

func (p *page) askNumber(b *button, t *procedure.Step, do *kitchen.Command) {
	how := p.l.Typing(t.Unit, t.TypedIn)
	do.Unit, do.Into, do.TypedIn = t.Unit, "value", how.Code
	if t.Unit == "mC" {
		do.Probe = p.probe()
	}
	b.label = orText(b.label, p.t("step.number"))
	b.ask = p.askFor(p.text(t.Text), t.Unit, t.TypedIn, t.Limit, "n-"+t.Name)
}

// askFor asks for a number and, while it is typed, says what the limit says of it. What is typed stands in the query
// under draft.
func (p *page) askFor(title, base, typedIn string, limit procedure.Limit, draft string) *ask {
	how, unit := p.l.Typing(base, typedIn), words.Shown(base, typedIn)
	a := &ask{kind: "number", name: "typed", title: title, unit: how.Unit, limit: p.l.Limit(limit, unit),
		keep: p.t("keep.number", "unit", how.Unit), signed: how.Signed, whole: how.Whole}
	if limit.Min != nil || limit.Max != nil {
		a.draft = draft
		a.judged, _, _ = p.judge(p.path.get(draft), how.Code, limit, base, unit)
	}
	return a
}

// signers offers who may sign: every lead where the step asks for one, else whoever holds the device.
func (p *page) signers(b button, t *procedure.Step, do kitchen.Command) []button {
	if t.Role != "lead" {
		do.Crew = p.Crew
		b.do, b.label = &do, orText(b.label, p.t("step.sign", "name", p.l.Crew(p.State, p.Crew)))
		return []button{b}
	}
	var out []button
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Gone || m.Role != entry.Lead {
			continue
		}
		signed := do
		signed.Crew = m.Crew
		out = append(out, button{label: p.t("step.sign", "name", m.Name), small: b.small, style: act, do: &signed})
	}
	return out
}

// historyScreen lists what was said of a batch, the latest first. Nothing is erased; a correction is an entry too.
func (p *page) historyScreen(b *kitchen.Batch) {
	p.open("history", p.t("history.of", "name", p.l.Vessel(b.Vessel, b.Number)), "")
	p.back(toBatch(b), p.name(b))
	h := &history{}
	events := slices.Clone(b.Events)
	order.Stable(events, func(x, y kitchen.Event) int { return cmp.Compare(x.At, y.At) })
	for i := range slices.Backward(events) {
		h.rows = append(h.rows, p.historyRow(b, &events[i]))
	}
	if b.Thin {
		p.add(&note{line: p.line("thin"), tone: "plain"})
	} else {
		p.add(h)
	}
	p.add(&note{line: p.line("history.note"), tone: "quiet"})
}

func (p *page) historyRow(b *kitchen.Batch, e *kitchen.Event) historyRow {
	row := historyRow{at: p.clock(e.At), who: p.l.Crew(p.State, e.By), text: p.eventText(b, e), struck: e.Withdrawn, corrected: e.Corrected}
	if m := b.Marked(e.Stage, e.Step); m != nil && m.Entry == e.Entry {
		row.photo = m.Photo
	}
	if !e.Withdrawn {
		row.actions = p.corrections(b, e)
	}
	return row
}

// eventText says in one line what an entry told.
func (p *page) eventText(b *kitchen.Batch, e *kitchen.Event) string {
	stage := p.l.Stage(p.State, b, e.Stage)
	amount := p.l.Amount(e.Number, e.Unit)
	name := p.l.StepText(p.State, b, e.Stage, "", e.Step)
	switch e.Kind {
	case entry.BatchStarted:
		return p.t("event.started", "stage", stage, "amount", amount)
	case entry.BatchMoved:
		return p.t("event.moved", "stage", stage)
	case entry.BatchPortioned:
		return p.t("event.portioned", "stage", stage, "amount", amount)
	case entry.BatchDiscarded:
		return p.t("event.discarded", "amount", amount, "text", e.Text)
	case entry.HoldCounted:
		return p.countedText(e, amount)
	case entry.StepDone:
		return p.stepEvent(b, e, name)
	case entry.NoteMade:
		return p.t("event.note", "text", e.Text)
	case entry.DeviationOpened:
		return p.t("event.deviation", "text", e.Text)
	case entry.BatchFrozen, entry.LogBegun, entry.LogRead, entry.LogEnded:
		return p.logEvent(e)
	case entry.CookAssessed:
		k := keptLog{event: e}
		if wire.Read(e.Body, &k.CookLog) == nil {
			return p.t("cook.kept") + ": " + p.logText(&k)
		}
	}
	if e.Text != "" {
		return e.Text
	}
	return e.Kind.String()
}

// countedText tells what was sold from what was wasted: the two are corrected apart.
func (p *page) countedText(e *kitchen.Event, amount string) string {
	said := func(id, amount, text string) string {
		return strings.TrimSpace(p.t(id, "amount", amount, "text", text))
	}
	sold, wasted := e.Counted()
	switch {
	case sold > 0 && wasted > 0:
		return said("event.sold", p.l.Amount(sold, "1"), "") + ", " + words.Lower(said("event.wasted", p.l.Amount(wasted, "1"), e.Text))
	case wasted > 0:
		return said("event.wasted", amount, e.Text)
	}
	return said("event.sold", amount, e.Text)
}

// typedIn returns the UCUM code in which the number of a step's event was typed, and its limit; nothing where nothing says.
func (p *page) typedIn(b *kitchen.Batch, e *kitchen.Event) (code string, limit procedure.Limit) {
	if st := words.StepOf(p.State, b, e.Stage, "", e.Step); st != nil {
		return st.TypedIn, st.Limit
	}
	return "", limit
}

func (p *page) stepEvent(b *kitchen.Batch, e *kitchen.Event, name string) string {
	code, _ := p.typedIn(b, e)
	return p.saidOf(name, e.Text, e.Number, e.Unit, code)
}

// saidOf is what a step asks, and what was said to it.
func (p *page) saidOf(name, said string, value int64, unit, code string) string {
	switch {
	case unit != "":
		said = p.l.Amount(value, words.Shown(unit, code))
	case said == "yes" || said == "no":
		said = p.t("answer." + said)
	}
	switch {
	case said == "":
		return name
	case strings.HasSuffix(name, "?"):
		return name + " " + said
	}
	return name + ": " + said
}

func clockOf(at stamp.Milli, z words.Zone) string { return words.Clock(at, z) }
