package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/words"
)

// Marks of how somebody stands with a competence. Each has a shape of its own, and words beside it.
const (
	markSigned = "signed"
	markLapsed = "lapsed"
	markLearns = "learns"
	markBack   = "back"
	markNone   = "none"
)

var markOrder = [...]string{markSigned, markLapsed, markLearns, markBack, markNone}

func (s *station) path(crew string) string {
	return "/crew/" + escape(crew) + "/" + s.what + "/" + escape(s.document) + "/" + escape(s.c.Name)
}

func markOf(x *kitchen.Standing) string {
	switch {
	case x.Signed:
		return markSigned
	case x.Lapse != kitchen.LapseNone:
		return markLapsed
	case x.Sign != nil && x.Sign.Gone:
		return markBack
	case x.Guided > 0 || x.Rung > 0 && x.Competence.Rung > 0:
		return markLearns
	}
	return markNone
}

// crewScreen shows who may do what: a person a row, or a piece of work a row.
func (p *page) crewScreen() {
	if p.crewLead() {
		return
	}
	if p.path.at(1) == "" {
		p.matrix()
		return
	}
	m := p.State.Member(p.path.at(1))
	if m == nil {
		p.missing("missing.page")
		return
	}
	if p.path.at(2) == "" {
		p.person(m)
		return
	}
	for _, one := range p.stations() {
		if one.what == p.path.at(2) && one.document == p.path.at(3) && one.c.Name == p.path.at(4) {
			p.personWork(m, &one)
			return
		}
	}
	p.missing("missing.page")
}

func (p *page) matrix() {
	p.open("crew", p.t("steps.crew"), "")
	p.back("/more", p.t("more"))
	mays := p.stations()
	if len(mays) == 0 {
		p.says(p.t("crew.none"), "plain")
	}
	other := choiceRow{label: p.t("crew.by.work"), to: "/crew?by=work"}
	if p.path.get("by") == "work" {
		p.byWork(mays)
		other = choiceRow{label: p.t("crew.by.person"), to: "/crew"}
	} else {
		p.byPerson(mays)
	}
	p.add(&choice{title: p.t("crew.more"), rows: []choiceRow{other, {label: p.t("ready.title", "day", p.l.Date(p.State.WallDay(p.Now)+1, true)), to: "/crew/ready"}, {label: p.t("steps"), detail: p.t("steps.open"), to: "/crew/steps"}}})
}

func (p *page) byPerson(mays []station) {
	c := &choice{}
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Gone {
			continue
		}
		row := choiceRow{label: m.Name, word: p.role(m), to: "/crew/" + escape(m.Crew)}
		count := map[string]int64{}
		for j := range mays {
			x := p.stand(&mays[j], m.Crew, p.Now)
			row.marks = append(row.marks, markOf(&x))
			count[markOf(&x)]++
		}
		row.detail = p.howMany(count)
		c.rows = append(c.rows, row)
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// howMany says how many competences stand how: "9 signed off, 1 lapsed".
func (p *page) howMany(count map[string]int64) string {
	var out []string
	for _, mark := range markOrder {
		if n := count[mark]; n > 0 {
			out = append(out, p.n("crew.n."+mark, n))
		}
	}
	return strings.Join(out, ", ")
}

func (p *page) byWork(mays []station) {
	c := &choice{}
	for j := range mays {
		m := &mays[j]
		row := choiceRow{label: p.stationName(m)}
		names := map[string][]string{}
		for i := range p.State.Crew {
			who := &p.State.Crew[i]
			if who.Gone {
				continue
			}
			x := p.stand(m, who.Crew, p.Now)
			row.marks = append(row.marks, markOf(&x))
			name := first(who.Name)
			if lacks, _ := p.lacking(&x); markOf(&x) == markLapsed && len(lacks) > 0 {
				name += " (" + strings.Join(lacks, ", ") + ")"
			}
			names[markOf(&x)] = append(names[markOf(&x)], name)
		}
		var out []string
		for _, mark := range markOrder {
			if len(names[mark]) > 0 {
				out = append(out, p.t("crew.is."+mark)+": "+strings.Join(names[mark], ", "))
			}
		}
		if row.detail = strings.Join(out, "; "); len(names[markSigned]) == 0 {
			row.word = p.t("crew.nobody")
		}
		c.rows = append(c.rows, row)
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// first is the first of somebody's names.
func first(name string) string {
	one, _, _ := strings.Cut(name, " ")
	return one
}

// person is what one crew member may do, and who they are.
func (p *page) person(m *entry.Member) {
	p.open("person", m.Name, "")
	p.back("/crew", p.t("steps.crew"))
	lead := p.State.IsLead(p.Crew)
	rows := []pair{{p.t("crew.role"), plain(p.role(m))}}
	if m.Trainer {
		rows = append(rows, pair{p.t("crew.trainer"), plain(p.t("yes"))})
	}
	pin := p.t("crew.pin.none")
	if mark := p.State.PinOf(m.Crew); mark != nil {
		pin = p.t("crew.pin.since", "time", p.clock(mark.At))
	}
	rows = append(rows, pair{"PIN", plain(pin)})
	p.add(&pairs{rows: rows})
	c := &choice{title: p.t("crew.may")}
	mays := p.stations()
	for i := range mays {
		x := p.stand(&mays[i], m.Crew, p.Now)
		c.rows = append(c.rows, choiceRow{label: p.stationName(&mays[i]), marks: []string{markOf(&x)},
			detail: p.standsShort(&x), to: mays[i].path(m.Crew)})
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
	if p.State.SeesAge(p.Crew, m.Crew) {
		p.agePart(m.Crew)
	}
	var more []choiceRow
	if p.State.SeesRecord(p.Crew, m.Crew) {
		more = append(more, choiceRow{label: p.t("record.of", "name", m.Name), to: "/crew/record/" + escape(m.Crew)})
	}
	if m.Crew == p.Crew {
		more = append(more, p.practiceRow())
	}
	if len(more) > 0 {
		p.add(&choice{rows: more})
	}
	p.personDeeds(m, lead)
}

// personDeeds are what may be changed about somebody: their own PIN, and what a lead notes.
func (p *page) personDeeds(m *entry.Member, lead bool) {
	b := &buttons{}
	own := m.Crew == p.Crew
	if own || lead && p.State.PinOf(p.Crew) != nil {
		b.actions = append(b.actions, p.pinButton(m, own))
	}
	if lead {
		edit := &kitchen.Command{Do: kitchen.DoMember, Crew: m.Crew}
		b.actions = append(b.actions, button{label: p.t("crew.born.set"), style: quiet, do: edit,
			ask: &ask{kind: "text", name: "born", title: p.t("crew.born.ask"), keep: p.t("keep")}})
		train := &kitchen.Command{Do: kitchen.DoMember, Crew: m.Crew, Trainer: "yes"}
		id := "crew.trainer.make"
		if m.Trainer {
			train.Trainer, id = "no", "crew.trainer.end"
		}
		b.actions = append(b.actions, button{label: p.t(id), style: quiet, do: train})
	}
	if len(b.actions) > 0 {
		p.add(b)
	}
}

// pinButton sets a PIN: asked twice, after the one that whoever taps has already.
func (p *page) pinButton(m *entry.Member, own bool) button {
	again := &ask{kind: "pin", name: "again", title: p.t("crew.pin.again"), keep: p.t("keep")}
	a := &ask{kind: "pin", name: "pin", title: p.t("crew.pin.new", "name", m.Name), limit: p.t("crew.pin.form"), keep: p.t("crew.on"), then: again}
	label := p.t("crew.pin.set")
	if p.State.PinOf(p.Crew) != nil {
		a = &ask{kind: "pin", name: "oldPin", title: p.t("guide.pinof", "name", p.l.Crew(p.State, p.Crew)), keep: p.t("crew.on"), then: a}
		label = p.t("crew.pin.change")
	}
	if !own {
		label = p.t("crew.pin.for", "name", m.Name)
	}
	return button{label: label, style: quiet, do: &kitchen.Command{Do: kitchen.DoPin, Crew: m.Crew}, ask: a}
}

// standsShort says in a line how somebody stands.
func (p *page) standsShort(x *kitchen.Standing) string {
	mark := markOf(x)
	text := p.t("crew.is." + mark)
	switch mark {
	case markNone:
		return text
	case markSigned, markBack:
		text += ", " + first(p.l.Crew(p.State, x.Sign.By)) + ", " + p.clock(x.Sign.At)
	case markLapsed:
		text += ": " + p.lapse(x)
	}
	switch {
	case mark == markSigned:
	case !missing(p.State, x):
		text += ": " + p.t("crew.ready")
	case mark == markLearns:
		text += ": " + strings.Join(p.evidence(x), ", ")
	default:
		lacks, _ := p.lacking(x)
		text += ". " + p.t("stand.missing", "list", strings.Join(lacks, ", "))
	}
	return text
}

// againText names the stages that must be led through once more.
func (p *page) againText(x *kitchen.Standing) string {
	if len(x.Again) > 1 && len(x.Again) == len(x.Competence.Stages) || x.What == kitchen.WhatList {
		return p.t("lack.again.all")
	}
	var names []string
	for _, stage := range x.Again {
		names = append(names, p.l.Stage(p.State, &kitchen.Batch{Procedure: x.Document}, stage))
	}
	return p.enumerate(names)
}

// lapse says why a sign-off holds no longer.
func (p *page) lapse(x *kitchen.Standing) string {
	n := p.num(int(x.Version))
	switch {
	case x.Lapse == kitchen.LapseUnused:
		return p.t("crew.lapse.unused", "length", p.l.Length(x.Unused))
	case x.Lapse == kitchen.LapseDeviations:
		return p.n("crew.lapse.offs", x.Offs)
	case x.Step != "":
		t := p.State.StepOfDocument(x.What, x.Document, x.Stage, x.Step)
		if t != nil {
			return p.t("crew.lapse.step", "n", n, "step", p.text(t.Text))
		}
	case x.Stage != "":
		if pr := p.State.Procedure(x.Document, 0); pr != nil {
			if st, _ := pr.Stage(x.Stage); st != nil {
				return p.t("crew.lapse.limits", "n", n, "stage", p.text(st.Title))
			}
		}
	}
	return p.t("crew.lapse.version", "n", n)
}

// evidence says how much of what a competence needs is there.
func (p *page) evidence(x *kitchen.Standing) []string {
	var out []string
	of := func(id string, have, need int64) {
		if need > 0 {
			out = append(out, p.t(id, "have", p.num(int(have)), "need", p.num(int(need))))
		}
	}
	guided, rung, questions := x.Needs()
	of("crew.need.guided", min(x.Guided, guided), guided)
	of("crew.need.rung", x.Rung, rung)
	of("crew.need.questions", Known(p.State, x.Crew, x.Document, x.Competence.Name), questions)
	known, asked := KnownAnew(p.State, x)
	of("crew.need.anew", known, asked)
	if x.Guided >= guided && len(x.Again) > 0 {
		out = append(out, p.t("crew.need.again", "list", p.againText(x)))
	}
	return out
}

// personWork is how somebody stands with one competence: what was said, what is there, and what a trainer may say.
func (p *page) personWork(m *entry.Member, one *station) {
	x := p.stand(one, m.Crew, p.Now)
	p.open("personwork", m.Name, "")
	p.back("/crew/"+escape(m.Crew), m.Name)
	p.add(&choice{rows: []choiceRow{{label: p.stationName(one), marks: []string{markOf(&x)}, detail: p.t("crew.is." + markOf(&x))}}})
	if x.Lapse != kitchen.LapseNone {
		p.says(words.Upper(p.lapse(&x))+".", "plain")
	}
	if s := x.Sign; s != nil {
		by := "crew.by.who"
		if s.Gone {
			by = "crew.by.gone"
		}
		rows := []pair{{p.t(by), plain(p.l.Crew(p.State, s.By))}, {p.t("crew.when"), plain(p.clock(s.At))},
			{p.t("crew.version"), plain(p.num(int(s.Version)))}}
		if s.Gone {
			rows = append(rows, pair{p.t("crew.why"), plain(s.Reason)})
		} else {
			rows = append(rows, pair{p.t("crew.grounds"), plain(orText(s.Reason, p.t("crew.grounds."+s.Grounds)))})
		}
		p.add(&pairs{title: p.t("crew.said"), rows: rows})
	}
	if need := p.evidence(&x); len(need) > 0 && !x.Signed {
		rows := &pairs{title: p.t("crew.needs")}
		for _, text := range need {
			k, v, _ := strings.Cut(text, ": ")
			rows.rows = append(rows.rows, pair{k, plain(v)})
		}
		p.add(rows)
	}
	p.lapses(one.c)
	p.signDeeds(m, one, &x)
}

// lapses says when a sign-off for the competence will hold no longer.
func (p *page) lapses(c *procedure.Competence) {
	text := p.t("crew.lapses")
	if c.Unused > 0 {
		text += " " + p.t("crew.lapses.unused", "length", p.l.Length(c.Unused))
	}
	if c.Deviations > 0 {
		text += " " + p.n("crew.lapses.offs", c.Deviations)
	}
	if c.Guided > 0 {
		text += " " + p.t("crew.lapses.then")
	}
	p.says(text, "quiet")
}

// signDeeds lets whoever may sign do so with a PIN, or take it back with a reason.
func (p *page) signDeeds(m *entry.Member, one *station, x *kitchen.Standing) {
	base := kitchen.Command{Do: kitchen.DoSignOff, Crew: m.Crew, What: one.what, Name: one.document, Competence: one.c.Name}
	b := &buttons{}
	pin := func(by *entry.Member) *ask {
		return &ask{kind: "pin", name: "pin", title: p.t("guide.pinof", "name", by.Name), limit: p.t("crew.sign.says", "name", m.Name), keep: p.t("crew.sign")}
	}
	for i := range p.State.Crew {
		by := &p.State.Crew[i]
		if x.Signed || by.Crew != p.Crew && m.Crew != p.Crew { // on one's own device, or on that of whom it is about
			continue
		}
		do := base
		if by.Crew != p.Crew {
			do.Trainer = by.Crew
		}
		if p.State.CanSign(by.Crew, m.Crew, x, false, p.Now) && !missing(p.State, x) {
			sign := do
			b.actions = append(b.actions, button{label: p.t("crew.sign.as", "name", by.Name), style: act, do: &sign, ask: pin(by)})
		}
		if p.State.CanSign(by.Crew, m.Crew, x, true, p.Now) {
			do.Answer = entry.GroundsExperience
			b.actions = append(b.actions, button{label: p.t("crew.experience.as", "name", by.Name), small: p.t("crew.experience.small"), style: quiet, do: &do,
				ask: &ask{kind: "text", name: "reason", title: p.t("crew.experience.why"), keep: p.t("crew.on"), then: pin(by)}})
		}
	}
	if x.Sign != nil && !x.Sign.Gone && p.State.CanSign(p.Crew, m.Crew, x, false, p.Now) {
		back := base
		back.Closes = true
		b.actions = append(b.actions, button{label: p.t("crew.back"), style: quiet, do: &back,
			ask: &ask{kind: "text", name: "reason", title: p.t("crew.back.why"), keep: p.t("crew.back")}})
	}
	if len(b.actions) > 0 {
		p.add(b)
	} else if !x.Signed {
		p.says(p.t("crew.sign.who"), "quiet")
	}
}

// notSigned offers ways on to whoever is not signed off for what they want to do.
func (p *page) notSigned(c *kitchen.Command, r *kitchen.Refusal) []button {
	var out []button
	if r.Urgent && c != nil {
		now, id := *c, "crew.now"
		if now.Urgent = true; r.Code == kitchen.RefTooYoung {
			id = "crew.now.young" // nobody is told to do it
		}
		out = append(out, button{label: p.t(id), small: p.t(id + ".small"), style: act, do: &now})
	}
	if r.Code == kitchen.RefTooYoung || c == nil {
		return out
	}
	to := ""
	if c.Do == kitchen.DoStart || c.Do == kitchen.DoPortion { // away from the form: another tap would do it twice
		to = "/"
	}
	out = append(out, p.guideWays(c, r)...)
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; m.Role == entry.Lead && !m.Gone {
			again := *c
			again.LeaveBy = m.Crew
			out = append(out, button{label: p.t("crew.leave", "name", m.Name), small: p.t("crew.leave.small"), style: quiet, do: &again, to: to,
				ask: &ask{kind: "text", name: "leaveReason", title: p.t("override.why"), keep: p.t("override.keep")}})
		}
	}
	if p.State.Member(p.Crew) != nil {
		out = append(out, button{label: p.t("crew.mine"), style: quiet, to: "/crew/" + escape(p.Crew)})
	}
	return out
}
