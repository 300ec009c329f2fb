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
	"brinebell/internal/core/words"
	"brinebell/internal/core/young"
)

// station is work that needs a sign-off: a competence of one of the newest documents.
type station struct {
	what, document string
	of             procedure.Text // what the document is about, short
	c              *procedure.Competence
	p              *procedure.Procedure // nil: of a list
}

// stations lists them in the order of the documents.
func (p *page) stations() (list []station) {
	for _, pr := range p.State.Procedures() {
		for i := range pr.Competences {
			list = append(list, station{kitchen.WhatProcedure, pr.Name, pr.Item, &pr.Competences[i], pr})
		}
	}
	for _, l := range p.State.Lists() {
		if l.Competence != nil {
			list = append(list, station{kitchen.WhatList, l.Name, l.Title, l.Competence, nil})
		}
	}
	return list
}

// crewLead draws the pages under /crew that are for whoever leads, and tells whether the path is one of them.
func (p *page) crewLead() bool {
	switch p.path.at(1) {
	case "ready":
		p.readyScreen()
	case "steps":
		p.stepsScreen()
	case "age":
		p.ageScreen()
	case "record":
		p.recordScreen(p.path.at(2))
	default:
		return false
	}
	return true
}

// stationName names a station: a competence alone where it and its list are called the same.
func (p *page) stationName(s *station) string {
	name, of := p.text(s.c.Title), p.text(s.of)
	if s.p == nil && strings.HasPrefix(of, name) {
		return of
	}
	return name + ", " + of
}

// stand is how a member stands with a station at an instant.
func (p *page) stand(s *station, crew string, at stamp.Milli) kitchen.Standing {
	return p.State.Standing(crew, s.what, s.document, s.c.Name, at)
}

// lacks says what is missing for a signature, and how much of it there is to do.
func (p *page) lacks(x *kitchen.Standing) (text string, much int64) {
	list, much := p.lacking(x)
	return strings.Join(append(list, p.t("lack.signature")), ", "), much
}

// lacking lists what of the evidence is missing. Guided runs that were never there are asked for before what must be shown anew: they
// are that too.
func (p *page) lacking(x *kitchen.Standing) (list []string, much int64) {
	lack := func(id string, has, needs int64) {
		if has < needs {
			list = append(list, p.t(id, "n", p.num(int(has)), "of", p.num(int(needs))))
			much += 100 * (needs - has) / needs
		}
	}
	guided, rung, questions := x.Needs()
	lack("lack.guided", x.Guided, guided)
	if x.Guided >= guided && len(x.Again) > 0 {
		list, much = append(list, p.t("lack.again", "list", p.againText(x))), much+100
	}
	lack("lack.rung", x.Rung, rung)
	if questions > 0 {
		lack("lack.questions", Known(p.State, x.Crew, x.Document, x.Competence.Name), questions)
	}
	known, asked := KnownAnew(p.State, x)
	lack("lack.anew", known, asked)
	return list, much
}

// standText says how a member stands: signed and by whom, lapsed and why, or what is missing.
func (p *page) standText(s *station, x *kitchen.Standing) string {
	if x.Signed {
		return p.t("stand.signed", "who", p.l.Crew(p.State, x.Sign.By), "time", p.l.Date(p.State.WallDay(x.Sign.At), true), "n", p.num(int(x.Sign.Version)))
	}
	lacks, _ := p.lacks(x)
	why := ""
	switch {
	case x.Lapse == kitchen.LapseUnused:
		why = p.t("stand.unused", "long", p.n("days", int64(x.Unused/stamp.Day)))
	case x.Lapse == kitchen.LapseChanged:
		like := &kitchen.Batch{Procedure: s.document}
		name := p.l.Stage(p.State, like, x.Stage)
		if name == "" {
			name = p.text(s.c.Title)
		}
		if x.Step != "" {
			name = p.l.StepText(p.State, like, x.Stage, listOf(&kitchen.Use{What: s.what, Document: s.document}), x.Step)
		}
		why = p.t("stand.changed", "name", name, "n", p.num(int(x.Version)))
	case x.Lapse == kitchen.LapseDeviations:
		why = p.n("stand.offs", x.Offs)
	case x.Sign != nil:
		why = p.t("stand.taken", "who", p.l.Crew(p.State, x.Sign.By))
	default:
		return p.t("stand.missing", "list", lacks)
	}
	return why + " " + p.t("stand.missing", "list", lacks)
}

// Standing is how a member stands with one competence, in words.
type Standing struct {
	Work, Title, State string
	Bold               bool // it is no leave to work alone
}

// StandingOf says how a member stands with every competence now.
func StandingOf(ctx *Context, crew string) (list []Standing) {
	p := newPage(ctx)
	for _, s := range p.stations() {
		x := p.stand(&s, crew, p.Now)
		list = append(list, Standing{words.Upper(p.text(s.of)), p.text(s.c.Title), p.standText(&s, &x), !x.Signed})
	}
	return list
}

// youngFor tells whether a rule about age keeps a member from a station.
func (p *page) youngFor(s *station, crew string, at stamp.Milli) bool {
	if s.p == nil {
		return false
	}
	return slices.ContainsFunc(s.c.Stages, func(stage string) bool { return p.State.TooYoungAt(crew, s.p, stage, "", at) != nil })
}

// manned is a station with who may work there.
type manned struct {
	station
	ready, tooYoung []string // names
	near            string   // who is nearest to a signature
	lacks           string
	much            int64
}

func (p *page) manned(s station, at stamp.Milli) manned {
	m := manned{station: s}
	for i := range p.State.Crew {
		c := &p.State.Crew[i]
		x := p.stand(&s, c.Crew, at)
		switch {
		case c.Gone:
		case p.youngFor(&s, c.Crew, at):
			m.tooYoung = append(m.tooYoung, first(c.Name))
		case x.Signed:
			m.ready = append(m.ready, first(c.Name))
		default:
			lacks, much := p.lacks(&x)
			if m.near == "" || much < m.much {
				m.near, m.lacks, m.much = c.Crew, lacks, much
			}
		}
	}
	return m
}

// readyScreen shows who is ready for tomorrow's shift at which station, and what would fix those that have nobody.
func (p *page) readyScreen() {
	tomorrow := p.State.WallDay(p.Now) + 1
	p.open("crewready", p.t("ready.title", "day", p.l.Date(tomorrow, true)), "")
	p.back("/crew", p.t("steps.crew"))
	at := p.State.WallAt(tomorrow, 12*stamp.Hour)
	var list []manned
	for _, s := range p.stations() {
		list = append(list, p.manned(s, at))
	}
	if len(list) == 0 {
		p.add(&empty{title: p.t("ready.none"), line: p.line("ready.none.line")})
	}
	order.Stable(list, func(a, b manned) int { return cmp.Compare(len(a.ready), len(b.ready)) })
	p.says(p.t("ready.rota"), "quiet")
	if len(list) > 0 && len(list[0].ready) > 1 {
		p.add(&empty{title: p.t("ready.all")})
	}
	good := &pairs{title: p.t("ready.good")}
	for i := range list {
		if m := &list[i]; len(m.ready) < 2 {
			p.add(p.readyStrip(m))
		} else {
			good.say(p.stationName(&m.station), p.readyText(m))
		}
	}
	if len(good.rows) > 0 {
		p.add(good)
	}
	p.add(&choice{rows: []choiceRow{{label: p.t("steps"), detail: p.t("steps.open"), to: "/crew/steps"}, {label: p.t("age"), detail: p.t("age.open"), to: "/crew/age"}}})
	p.ageGaps()
}

func (p *page) readyStrip(m *manned) *strip {
	st := &strip{key: "station-" + m.document + "-" + m.c.Name, state: "none", name: p.stationName(&m.station), word: p.t("ready.nobody")}
	if len(m.ready) == 1 {
		st.word = p.t("ready.one")
	}
	if m.near != "" {
		st.actions = []button{{label: p.t("open", "name", p.l.Crew(p.State, m.near)), style: quiet, to: "/crew/" + escape(m.near)}}
	}
	st.detail = plain(p.readyText(m))
	return st
}

// readyText says who is ready, who is nearest to it where they are too few, and who is too young.
func (p *page) readyText(m *manned) string {
	var list []string
	if len(m.ready) > 0 {
		list = append(list, strings.Join(m.ready, ", ")+".")
	}
	if len(m.ready) < 2 && m.near != "" {
		list = append(list, p.t("ready.near", "who", p.l.Crew(p.State, m.near), "list", m.lacks))
	}
	if len(m.tooYoung) > 0 && p.State.IsLead(p.Crew) {
		list = append(list, p.t("ready.young", "list", strings.Join(m.tooYoung, ", ")))
	}
	return strings.Join(list, " ")
}

// ageGaps says where rules about age cannot be held.
func (p *page) ageGaps() {
	if !young.Known(p.State.Country) && len(p.State.Equipment().AgeRules) == 0 {
		p.says(p.t("age.nothing", "country", orText(p.State.Country, p.t("notsaid"))), "plain")
		return
	}
	var list []string
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; !m.Gone && m.Born == 0 {
			list = append(list, m.Name)
		}
	}
	if len(list) > 0 {
		p.says(p.t("age.unborn", "list", strings.Join(list, ", ")), "plain")
	}
}

// ageScreen lists the rules about age that are held here, with their sources, and what only whoever writes the rota can hold.
func (p *page) ageScreen() {
	p.open("crewage", p.t("age"), "")
	p.back("/crew", p.t("steps.crew"))
	p.says(p.t("age.local"), "plain")
	p.ageGaps()
	f := &pairs{}
	f.say(p.t("kitchen.country"), orText(p.State.Country, p.t("notsaid")))
	p.add(f)
	if p.State.IsLead(p.Crew) {
		p.add(&buttons{actions: []button{{label: p.t("age.country"), small: p.t("age.country.small"), style: quiet,
			do:  &kitchen.Command{Do: kitchen.DoName, Name: p.State.Name},
			ask: &ask{kind: "text", name: "answer", title: p.t("age.country.ask"), keep: p.t("keep")}}}})
	}
	rules := young.Rules(p.State.Country, p.State.Equipment().AgeRules)
	c := &choice{title: p.t("age.rules")}
	for i := range rules {
		text, source := p.l.AgeWords(&rules[i])
		c.rows = append(c.rows, choiceRow{label: text, detail: source})
	}
	if len(rules) > 0 {
		p.add(c)
	}
	people := &choice{title: p.t("age.people")}
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; !m.Gone && p.State.SeesAge(p.Crew, m.Crew) { // how old somebody is, is theirs to say
			people.lead(m.Name, p.ageOf(m), "/crew/"+escape(m.Crew))
		}
	}
	p.add(people)
	if young.Known(p.State.Country) {
		p.says(p.t("age.hours"), "plain")
	}
}

// ageOf says how old a member is, as far as rules about age speak of it.
func (p *page) ageOf(m *entry.Member) string {
	if m.Born == 0 {
		return p.t("age.notsaid")
	}
	if n := young.Age(m.Born, p.State.WallDay(p.Now)); n < 21 {
		return p.n("age.years", n)
	}
	return p.t("age.grown")
}

// agePart shows on a member's page what a rule about age means for them; nothing where they are grown up.
func (p *page) agePart(crew string) {
	m := p.State.Member(crew)
	if m == nil {
		return
	}
	f := &pairs{}
	f.say(p.t("age"), p.ageOf(m))
	p.add(f)
	if m.Born == 0 {
		p.ageGaps()
		return
	}
	age := young.Age(m.Born, p.State.WallDay(p.Now))
	rules := young.Rules(p.State.Country, p.State.Equipment().AgeRules)
	for i := range rules {
		if age < rules[i].Under {
			p.says(p.l.AgeRule(&rules[i]), "plain")
		}
	}
	if age < 16 && young.Known(p.State.Country) {
		p.says(p.t("age.hours"), "plain")
	}
	if age < 21 {
		p.says(p.t("age.local"), "quiet")
	}
}
