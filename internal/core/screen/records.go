package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// recordsScreen leads to what inspectors ask for first. The whole record is the kitchen's server's; a phone shows what it
// holds of it.
func (p *page) recordsScreen() {
	switch p.path.at(1) {
	case "day":
		p.recordsDay()
		return
	case "find":
		p.recordsFind()
		return
	case "keep":
		p.recordsKeep()
		return
	}
	p.open("records", p.t("records"), "")
	p.back("/more", p.t("more"))
	today := p.State.WallDay(p.Now)
	p.add(&choice{rows: []choiceRow{
		{label: p.t("records.yesterday.cook"), detail: p.l.Date(today-1, false), to: p.toDay(today-1, "show", "cook")},
		{label: p.t("records.today"), detail: p.l.Date(today, false), to: p.toDay(today)},
		{label: p.t("records.yesterday"), detail: p.l.Date(today-1, false), to: p.toDay(today - 1)},
		{label: p.t("records.find"), detail: p.t("records.find.detail"), to: "/records/find"},
		{label: p.t("close.day"), detail: p.closedText(today), to: "/dayclose"},
		{label: p.t("receive"), detail: p.t("receive.detail"), to: "/receive"},
		{label: p.t("keep.records"), to: "/records/keep"},
	}})
}

func (p *page) toDay(day int32, pairs ...string) string {
	return address("/records/day/"+p.num(int(day)), pairs...)
}

// asked is what a screen of records is narrowed to.
type asked struct{ show, code, lot, crew, limit string }

func (p *page) asked() asked {
	q := &p.path
	return asked{q.get("show"), cleanCode(q.get("code")), strings.TrimSpace(q.get("lot")), q.get("crew"), q.get("limit")}
}

func (a *asked) pairs() []string {
	return []string{"show", a.show, "lot", a.lot, "crew", a.crew, "limit", a.limit}
}

// files offers the record of some days as files, which the kitchen's server makes.
func (p *page) files(from, to int32, a *asked) []button {
	pairs := append([]string{"from", words.ISODate(from), "to", words.ISODate(to), "lang", string(p.l), "by", p.Crew}, a.pairs()...)
	if b := p.State.ByCode(a.code); b != nil {
		pairs = append(pairs, "batch", b.ID.String())
	}
	return []button{{label: p.t("records.pdf"), style: act, to: address("/api/report", pairs...)},
		{label: p.t("records.csv"), style: quiet, to: address("/api/records.csv", pairs...)},
		{label: p.t("records.json"), style: quiet, to: address("/api/records.json", pairs...)}}
}

// recordsDay shows what this phone holds of a day: readings with their limits, deviations, lists, and the close.
func (p *page) recordsDay() {
	n, ok := digits(p.path.at(2))
	today := p.State.WallDay(p.Now)
	if !ok || n > int64(today) || n < int64(today)-400 {
		p.missing("missing.page")
		return
	}
	day, a := int32(n), p.asked()
	title := p.l.Date(day, false)
	if a.show == "cook" {
		title = p.t("records.cook") + ", " + p.l.Date(day, true)
	}
	p.open("recordsday", title, "")
	p.back("/records", p.t("records"))
	p.add(&buttons{actions: p.files(day, day, &a)})
	p.readings(day, day, &a)
	if a.show == "" {
		p.dayDeviations(day)
		p.closeFacts(day)
	}
	p.add(&note{line: p.line("records.held"), tone: "quiet"})
}

// reading is a number on record, as this phone holds it.
type reading struct {
	at            stamp.Milli
	by, what, key string
	value         int64
	unit, typedIn string
	limit         procedure.Limit
	probe, about  string
	batch         *kitchen.Batch
	cook          bool
}

// readings lists the numbers that were read on the days from one to another and that were asked for, the latest first.
func (p *page) readings(from, to int32, a *asked) {
	var list []reading
	kin := p.kinOf(a.code)
	for _, r := range p.held() {
		day := p.State.WallDay(r.at)
		if day < from || day > to || a.show == "cook" && !r.cook || a.crew != "" && r.by != a.crew || a.limit != "" && r.key != a.limit ||
			a.code != "" && (r.batch == nil || !kin[r.batch.ID]) || a.lot != "" && (r.batch == nil || !hasWord(r.batch.Lots, a.lot)) {
			continue
		}
		list = append(list, r)
	}
	order.Stable(list, func(x, y reading) int { return int(max(-1, min(1, y.at-x.at))) })
	h := &history{title: p.t("records.readings")}
	for i := range list {
		h.rows = append(h.rows, p.readingRow(&list[i]))
	}
	if len(h.rows) == 0 {
		p.add(&note{line: p.line("records.none"), tone: "plain"})
		return
	}
	p.add(h)
}

func hasWord(list []string, word string) bool {
	for _, w := range list {
		if w == word {
			return true
		}
	}
	return false
}

// kinOf returns the batch with the code, what it came out of and what came out of it, as far as this phone knows.
func (p *page) kinOf(code string) map[entry.ID]bool {
	kin := map[entry.ID]bool{}
	b := p.State.ByCode(code)
	if b == nil || code == "" {
		return kin
	}
	var walk func(b *kitchen.Batch, up bool)
	walk = func(b *kitchen.Batch, up bool) {
		if b == nil {
			return
		}
		kin[b.ID] = true
		ids := b.Children
		if up {
			ids = b.Parents
		}
		for _, id := range ids {
			walk(p.State.Batch(id), up)
		}
	}
	walk(b, true)
	walk(b, false)
	return kin
}

// held lists the numbers that this phone holds.
func (p *page) held() []reading {
	var list []reading
	mark := func(m *kitchen.Mark, st *procedure.Step, key, about string) *reading {
		list = append(list, reading{at: m.At, by: m.By, what: p.text(st.Text), key: key + "/" + m.Step, value: m.Value, unit: m.Unit,
			typedIn: st.TypedIn, limit: st.Limit, probe: m.Probe, about: about})
		return &list[len(list)-1]
	}
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		for j := range b.Steps {
			m := &b.Steps[j]
			if st := words.StepOf(p.State, b, m.Stage, "", m.Step); st != nil && m.Unit != "" {
				r := mark(m, st, b.Procedure+"/"+m.Stage, p.name(b))
				stage, _ := p.State.Procedure(b.Procedure, b.Version).Stage(m.Stage)
				r.batch, r.cook = b, m.Unit == "mC" && !stage.Raw
			}
		}
	}
	for i := range p.State.Runs {
		run := &p.State.Runs[i]
		for j := range run.Steps {
			m := &run.Steps[j]
			if st := words.StepOf(p.State, nil, "", run.List, m.Step); st != nil && m.Unit != "" {
				mark(m, st, "list/"+run.List, p.text(p.State.List(run.List).Title))
			}
		}
	}
	for i := range p.State.Places {
		x := &p.State.Places[i]
		if d := p.State.Equipment().Device(x.Name); d != nil && x.ReadAt != 0 {
			list = append(list, reading{at: x.ReadAt, by: x.ReadBy, what: words.Upper(p.text(d.What)), key: "place/" + x.Name, value: x.Reading,
				unit: "mC", typedIn: d.TypedIn, limit: d.Reading, probe: x.Probe, about: p.text(d.Title)})
		}
	}
	return list
}

func (p *page) readingRow(r *reading) historyRow {
	unit := words.Shown(r.unit, r.typedIn)
	text := r.what + ": " + p.l.Amount(r.value, unit) + ", " + p.verdict(r, unit) + r.about
	if r.batch != nil && len(r.batch.Lots) > 0 {
		text += ", " + strings.Join(r.batch.Lots, " ")
	}
	if r.probe != "" {
		text += ", " + p.l.Probe(p.State, r.probe)
		if p.State.UnderReview(r.probe, r.at) != "" {
			text += ", " + p.t("records.review")
		}
	}
	return historyRow{at: p.clock(r.at), who: p.l.Crew(p.State, r.by), text: text}
}

// verdict says by how much a limit is met or not: never more than that.
func (p *page) verdict(r *reading, unit string) string {
	l := &r.limit
	by, id := int64(0), "records.met"
	switch {
	case l.Min == nil && l.Max == nil:
		return ""
	case l.Min != nil && r.value < *l.Min:
		id, by = "records.notmet", *l.Min-r.value
	case l.Max != nil && r.value > *l.Max:
		id, by = "records.notmet", r.value-*l.Max
	case l.Min != nil && (l.Max == nil || r.value-*l.Min <= *l.Max-r.value):
		by = r.value - *l.Min
	default:
		by = *l.Max - r.value
	}
	return p.t(id, "by", p.l.Difference(by, unit)) + " (" + p.l.Limit(*l, unit) + "), "
}

func (p *page) dayDeviations(day int32) {
	c := &choice{title: p.t("deviations")}
	for i := range p.State.Deviations {
		if d := &p.State.Deviations[i]; p.State.WallDay(d.At) == day {
			c.rows = append(c.rows, p.deviationRow(d))
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// recordsFind narrows the record by batch, lot, person, limit and days.
func (p *page) recordsFind() {
	p.open("recordsfind", p.t("records.find"), "")
	p.back("/records", p.t("records"))
	a, today := p.asked(), p.State.WallDay(p.Now)
	days, _ := digits(p.path.get("days"))
	days = min(max(days, 1), 366)
	here := func(name, value string) string { // the same search, with one thing changed
		pairs := append([]string{"code", a.code, "days", p.path.get("days")}, a.pairs()...)
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == name {
				pairs[i+1] = value
			}
		}
		return address("/records/find", pairs...)
	}
	p.add(&field{name: "code", label: p.t("records.code"), text: p.path.get("code")},
		&field{name: "lot", label: p.t("records.lot"), text: a.lot})
	who := &choice{title: p.t("records.by")}
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; !m.Gone {
			who.rows = append(who.rows, toggled(m.Name, m.Crew, a.crew, func(v string) string { return here("crew", v) }))
		}
	}
	limits := &choice{title: p.t("records.limit")}
	for _, r := range p.limits() {
		limits.rows = append(limits.rows, toggled(r.about+", "+r.what, r.key, a.limit, func(v string) string { return here("limit", v) }))
	}
	spans := &choice{title: p.t("records.days")}
	for _, n := range []int{1, 7, 31} {
		spans.rows = append(spans.rows, toggled(p.n("days", int64(n)), p.num(n), p.num(int(days)), func(v string) string { return here("days", v) }))
	}
	from := today + 1 - int32(days)
	p.add(&buttons{actions: p.files(from, today, &a)})
	p.readings(from, today, &a)
	p.add(who, limits, spans, &note{line: p.line("records.held"), tone: "quiet"})
}

// toggled is a row that chooses a value, or lets go of it when it is chosen.
func toggled(label, value, chosen string, to func(string) string) choiceRow {
	if value == chosen {
		return choiceRow{label: label, on: true, to: to("")}
	}
	return choiceRow{label: label, to: to(value)}
}

// limits lists the limits of the kitchen's documents: those of temperatures.
func (p *page) limits() []reading {
	var list []reading
	for _, pr := range p.State.Procedures() {
		for i := range pr.Stages {
			st := &pr.Stages[i]
			for j := range st.Steps {
				if s := &st.Steps[j]; s.Limit.Critical || s.Limit.Hard {
					list = append(list, reading{key: pr.Name + "/" + st.Name + "/" + s.Name, about: p.text(pr.Item), what: p.text(s.Text)})
				}
			}
		}
	}
	devices := p.State.Equipment().Devices
	for i := range devices {
		if d := &devices[i]; d.Reading.Min != nil || d.Reading.Max != nil {
			list = append(list, reading{key: "place/" + d.Name, about: p.text(d.Title), what: p.text(d.What)})
		}
	}
	return list
}

// recordsKeep says how long records are kept, and lets a lead keep them longer.
func (p *page) recordsKeep() {
	p.open("recordskeep", p.t("keep.records"), "")
	p.back("/records", p.t("records"))
	for i := range kitchen.Keeps {
		k := &kitchen.Keeps[i]
		p.add(&pairs{rows: []pair{{p.t(k.Name), bold(p.t("keep.days", "n", p.num(int(p.State.Setting(k.Name)))))}}},
			&note{line: p.line("keep.law", in("n", plain(p.num(int(k.Days)))), in("source", plain(k.Source))), tone: "quiet"})
		if p.State.IsLead(p.Crew) {
			p.add(&buttons{actions: []button{{label: p.t("keep.set"), small: p.t(k.Name), style: quiet,
				do:  &kitchen.Command{Do: kitchen.DoSet, Name: k.Name, Into: "count", TypedIn: "1"},
				ask: &ask{kind: "number", name: "typed", title: p.t(k.Name), unit: p.t("records.days"), whole: true, keep: p.t("keep")}}}})
		}
	}
	p.add(&note{line: p.line("keep.note"), tone: "quiet"})
}
