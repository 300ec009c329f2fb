package screen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// usesMost is how many steps are listed.
const usesMost = 20

// SignTime is how long somebody took to a signature.
type SignTime struct {
	Crew, What, Document, Competence string
	Took                             stamp.Span
	At                               stamp.Milli
}

// stepsScreen shows which steps make most trouble, and which wording or window to look at.
func (p *page) stepsScreen() {
	if p.path.at(2) == "of" {
		p.stepScreen()
		return
	}
	p.open("crewsteps", p.t("steps"), "")
	p.back("/crew", p.t("steps.crew"))
	if p.Saved.InTouch {
		p.far("/api/steps.page")
		return
	}
	p.noted("steps.own", "plain")
	for _, x := range p.troubleParts(p.State.Uses(), nil) {
		p.add(x)
	}
}

// StepsPage returns the parts of that page as JSON, from what the kitchen's server found in its journal.
func StepsPage(ctx *Context, uses kitchen.Uses, signs []SignTime) []byte {
	p := newPage(ctx)
	var w jsontext.Writer
	w.Object("")
	w.List("parts")
	for _, x := range p.troubleParts(uses, signs) {
		x.write(&w)
	}
	w.EndList()
	w.EndObject()
	return w.Out
}

func (p *page) troubleParts(uses kitchen.Uses, signs []SignTime) (out []part) {
	worst := uses.Worst()
	if len(worst) == 0 {
		out = append(out, &empty{title: p.t("steps.none"), line: p.line("steps.none.line")})
	} else {
		chart := &plotted{title: p.t("steps.chart"), says: p.t("steps.chart"), head: []string{p.t("steps.step"), p.t("steps.count")}}
		var bars []plot.Bar
		c := &choice{title: p.t("steps.all")}
		for _, u := range worst[:min(len(worst), usesMost)] {
			name, where := p.useName(u)
			text := p.num(int(u.Trouble())) + ": " + name // what is too long for the chart loses its end: the list has all of it
			bars = append(bars, plot.Bar{Text: text, Value: u.Trouble()})
			chart.rows = append(chart.rows, []string{name, p.num(int(u.Trouble()))})
			c.lead(name, where+". "+p.useText(u), "/crew/steps/of/"+escape(u.What)+"/"+escape(u.Document)+"/"+escape(u.Stage)+"/"+escape(u.Step))
		}
		chart.lengths(bars)
		if len(bars) > 1 {
			out = append(out, chart)
		}
		out = append(out, c)
	}
	out = append(out, p.signTimes(signs)...)
	return append(out, &note{line: p.line("steps.slow"), tone: "quiet"})
}

// useName names a step, or the window of a stage, and where it belongs.
func (p *page) useName(u *kitchen.Use) (name, where string) {
	if u.What == kitchen.WhatList {
		where = u.Document
		if l := p.State.List(u.Document); l != nil {
			where = p.text(l.Title)
		}
		return orText(p.l.StepText(p.State, nil, "", u.Document, u.Step), u.Step), where
	}
	like := &kitchen.Batch{Procedure: u.Document}
	where = p.l.Stage(p.State, like, u.Stage)
	if pr := p.State.Procedure(u.Document, 0); pr != nil {
		where = words.Upper(p.text(pr.Item)) + ", " + where
	}
	if u.Step == "" {
		return p.t("steps.window", "stage", p.l.Stage(p.State, like, u.Stage)), where
	}
	return orText(p.l.StepText(p.State, like, u.Stage, "", u.Step), u.Step), where
}

// useText says how often what was off.
func (p *page) useText(u *kitchen.Use) string {
	out := ""
	for _, x := range [...]struct {
		id string
		n  int64
	}{{"steps.offs", u.Offs}, {"steps.slows", u.Slow()}, {"steps.helps", u.Helps}, {"steps.wrongs", u.Wrong}} {
		if x.n == 0 {
			continue
		}
		if out += p.n(x.id, x.n, "of", p.num(len(u.Took))); x.id == "steps.offs" && len(u.Found) > 0 {
			out += " (" + p.t("steps.last", "text", p.foundText(u, &u.Found[len(u.Found)-1])) + ")"
		}
		out += ", "
	}
	out = out[:max(len(out)-2, 0)]
	if n := len(u.Took); n > 0 {
		out += "; " + p.n("steps.took", int64(n), "long", p.l.Length(u.Median()))
	}
	return out
}

// foundText says what was read, and the limit that it was held against.
func (p *page) foundText(u *kitchen.Use, f *kitchen.Found) string {
	amount := func(n int64) string {
		if f.Unit == "ms" {
			if p.l.Length(stamp.Span(f.Number)) == p.l.Length(stamp.Span(f.Limit)) { // seconds over a limit of minutes
				return quantity.LengthExact(n)
			}
			return p.l.Length(stamp.Span(n))
		}
		code := ""
		if t := words.StepOf(p.State, &kitchen.Batch{Procedure: u.Document}, u.Stage, listOf(u), u.Step); t != nil {
			code = t.TypedIn
		}
		return p.l.Amount(n, words.Shown(f.Unit, code))
	}
	return p.t("steps.found", "amount", amount(f.Number), "limit", amount(f.Limit))
}

// foundMost is how many of the numbers that were off are listed.
const foundMost = 8

// foundRows lists the last numbers that were off, newest first.
func (p *page) foundRows(u *kitchen.Use) {
	rows := &pairs{title: p.t("steps.numbers")}
	for i := range min(len(u.Found), foundMost) {
		f := &u.Found[len(u.Found)-1-i]
		rows.say(p.clock(f.At), p.foundText(u, f))
	}
	if len(rows.rows) > 0 {
		p.add(rows)
	}
}

// stepScreen shows a step with its words and numbers, and what about them to look at.
func (p *page) stepScreen() {
	u := kitchen.Use{What: p.path.at(3), Document: p.path.at(4), Stage: p.path.at(5), Step: p.path.at(6)}
	if u.What == kitchen.WhatList {
		u.Stage, u.Step = "", p.path.at(5)
	}
	name, where := p.useName(&u)
	p.open("crewstep", name, "")
	p.back("/crew/steps", p.t("steps"))
	p.says(where, "quiet")
	for _, own := range p.State.Uses() {
		if own.What == u.What && own.Document == u.Document && own.Stage == u.Stage && own.Step == u.Step {
			u = *own
			p.says(p.t("steps.here", "text", p.useText(&u)), "plain")
			p.foundRows(&u)
		}
	}
	var st *procedure.Stage
	if pr := p.State.Procedure(u.Document, 0); pr != nil && u.What == kitchen.WhatProcedure {
		st, _ = pr.Stage(u.Stage)
	}
	steps, like := []procedure.Step(nil), &kitchen.Batch{Procedure: u.Document}
	if l := p.State.List(u.Document); l != nil && u.What == kitchen.WhatList {
		steps, like = l.Steps, nil
	} else if st != nil {
		steps = st.Steps
	}
	s := words.StepOf(p.State, like, u.Stage, listOf(&u), u.Step)
	switch {
	case s != nil:
		p.stepWords(s, steps)
	case st != nil && u.Step == "":
		p.windowWords(st)
	default:
		p.noted("steps.gone", "plain")
	}
	p.noted("steps.change", "quiet")
}

func listOf(u *kitchen.Use) string {
	if u.What == kitchen.WhatList {
		return u.Document
	}
	return ""
}

// stepWords shows a step as cooks see it, and what its words lack.
func (p *page) stepWords(s *procedure.Step, steps []procedure.Step) {
	one := &step{key: s.Name, state: "now", text: p.text(s.Text), how: p.text(s.How), why: p.text(s.Why), isNo: p.text(s.IfNot),
		caution: p.cautionOf(s.Name, s.Caution), n: 1, of: len(steps)}
	if s.Limit.Min != nil || s.Limit.Max != nil {
		one.limit = p.l.Limit(s.Limit, words.Shown(s.Unit, s.TypedIn))
	}
	p.add(one)
	for _, x := range [...]struct {
		lacks bool
		id    string
	}{{s.How == (procedure.Text{}), "steps.nohow"}, {s.Why == (procedure.Text{}), "steps.nowhy"},
		{s.IfNot == (procedure.Text{}), "steps.noifnot"}, {one.limit != "", "steps.limit"}} {
		if x.lacks {
			p.noted(x.id, "plain")
		}
	}
}

// windowWords shows the marks of a stage's window.
func (p *page) windowWords(st *procedure.Stage) {
	w, f := &st.Window, &pairs{title: p.t("steps.window", "stage", p.text(st.Title))}
	for _, mark := range [...]struct {
		id string
		at stamp.Span
	}{{"quiz.mark.floor", w.Floor}, {"quiz.mark.from", w.BestFrom}, {"quiz.mark.until", w.BestUntil}, {"quiz.mark.ceiling", w.Ceiling}} {
		if mark.at > 0 {
			f.say(words.Upper(p.t(mark.id, "n", "")), p.l.Length(mark.at))
		}
	}
	p.add(f)
	p.noted("steps.marks", "plain")
}

// signTimes draws how long people took to their signatures: those whose records whoever looks may see.
func (p *page) signTimes(signs []SignTime) (out []part) {
	signs = slices.DeleteFunc(signs, func(s SignTime) bool { return !p.State.SeesRecord(p.Crew, s.Crew) })
	if len(signs) == 0 {
		return nil
	}
	order.Stable(signs, func(a, b SignTime) int { return cmp.Compare(b.At, a.At) })
	var bars []plot.Bar
	chart := &plotted{title: p.t("signtime"), says: p.t("signtime.says"), head: []string{p.t("signtime.who"), p.t("signtime.days")}}
	rows := &pairs{}
	for _, s := range signs {
		days := p.n("days", int64((s.Took+stamp.Day-1)/stamp.Day))
		who := p.l.Crew(p.State, s.Crew) + ", " + p.competenceName(s.What, s.Document, s.Competence)
		bars = append(bars, plot.Bar{Text: who + ": " + days, Value: int64(s.Took)})
		chart.rows = append(chart.rows, []string{who, days})
		rows.say(who, days+", "+p.clock(s.At))
	}
	chart.lengths(bars)
	return []part{chart, rows}
}

// competenceName names a competence as the newest document has it.
func (p *page) competenceName(what, document, name string) string {
	if pr := p.State.Procedure(document, 0); pr != nil && what == kitchen.WhatProcedure {
		for i := range pr.Competences {
			if c := &pr.Competences[i]; c.Name == name {
				return p.text(c.Title) + ", " + p.text(pr.Item)
			}
		}
	}
	if l := p.State.List(document); l != nil && what == kitchen.WhatList && l.Competence != nil {
		return p.text(l.Competence.Title)
	}
	return name
}
