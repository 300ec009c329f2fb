package screen

import (
	"slices"
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
	case "at":
		p.recordsAt()
		return
	case "find":
		p.recordsFind(false)
		return
	case "found":
		p.recordsFind(true)
		return
	case "keep":
		p.recordsKeep()
		return
	}
	p.open("records", p.t("records"), "")
	p.back("/more", p.t("more"))
	today := p.State.WallDay(p.Now)
	c := &choice{}
	c.lead(p.t("records.yesterday.cook"), p.l.Date(today-1, false), p.toDay(today-1)+"?show=cook")
	c.lead(p.t("records.today"), p.l.Date(today, false), p.toDay(today))
	c.lead(p.t("records.yesterday"), p.l.Date(today-1, false), p.toDay(today-1))
	c.lead(p.t("at"), p.t("at.detail"), "/records/at")
	c.lead(p.t("records.find"), p.t("records.find.detail"), "/records/find")
	c.lead(p.t("close.day"), p.closedText(today), "/dayclose")
	c.lead(p.t("receive"), p.t("receive.detail"), "/receive")
	c.lead(p.t("keep.records"), "", "/records/keep")
	p.add(c)
}

func (c *choice) lead(label, detail, to string) {
	c.rows = append(c.rows, choiceRow{label: label, detail: detail, to: to})
}

// noted adds a line of its own.
func (p *page) noted(id, tone string) { p.add(&note{line: plain(p.t(id)), tone: tone}) }

func (p *page) toDay(day int32) string { return "/records/day/" + p.num(int(day)) }

// asked is what of some days the kitchen's server is asked for: narrowed as this page is.
func (p *page) asked(from, to int32) []string {
	pairs := []string{"from", words.ISODate(from), "to", words.ISODate(to)}
	for _, q := range p.path.query {
		switch q.name {
		case "show", "lot", "crew", "limit":
			pairs = append(pairs, q.name, q.value)
		case "code":
			id := cleanCode(q.value) // the server knows those too that this phone has let go of
			if b := p.State.ByCode(id); b != nil {
				id = b.ID.String()
			}
			pairs = append(pairs, "batch", id)
		}
	}
	return pairs
}

// files offers the record of some days as files, which the kitchen's server makes.
func (p *page) files(from, to int32) {
	p.fileButtons([...]string{"/api/report", "/api/records.csv", "/api/records.json"}, append(p.asked(from, to), "lang", string(p.l), "by", p.Crew)...)
}

func (p *page) fileButtons(addresses [3]string, pairs ...string) {
	out, style := &buttons{}, act
	for i, id := range [...]string{"records.pdf", "records.csv", "records.json"} {
		out.actions = append(out.actions, button{label: p.t(id), style: style, to: address(addresses[i], pairs...)})
		style = quiet
	}
	p.add(out)
}

// recordsDay shows what this phone holds of a day: readings with their limits, deviations, lists, and the close.
func (p *page) recordsDay() {
	n, ok := digits(p.path.at(2))
	today := p.State.WallDay(p.Now)
	if !ok || n > int64(today) || n < int64(today)-400 {
		p.missing("missing.page")
		return
	}
	day := int32(n)
	title, show := p.l.Date(day, false), p.path.get("show")
	if show == "cook" {
		title = p.t("records.cook") + ", " + p.l.Date(day, true)
	}
	p.open("recordsday", title, "")
	p.back("/records", p.t("records"))
	p.files(day, day)
	if day < today && p.Saved.InTouch { // this phone lets go of what is done, and has only the newest reading of a place
		p.far("/api/records.page", p.asked(day, day)...)
		return
	}
	if day < today {
		p.noted("far.out", "bad")
	}
	p.readings(day, day)
	if show == "" {
		p.dayDeviations(day)
		p.closeFacts(day)
	}
	p.noted("records.held", "quiet")
}

// reading is a number on record, as this phone holds it.
type reading struct {
	at            stamp.Milli
	by, what, key string
	value         int64
	unit, typedIn string
	limit         *procedure.Limit
	probe, about  string
	batch         *kitchen.Batch
	cook          bool
	said          string // instead of the value
}

// readings lists the numbers that were read on the days from one to another and that were asked for, the latest first.
func (p *page) readings(from, to int32) {
	var list []*reading
	show, crew, limit := p.path.get("show"), p.path.get("crew"), p.path.get("limit")
	code, lot := cleanCode(p.path.get("code")), strings.TrimSpace(p.path.get("lot"))
	kin := p.kinOf(code)
	for _, r := range p.held() {
		day := p.State.WallDay(r.at)
		if day < from || day > to || show == "cook" && !r.cook || crew != "" && r.by != crew || limit != "" && r.key != limit ||
			code != "" && (r.batch == nil || !kin[r.batch.ID]) || lot != "" && (r.batch == nil || !slices.Contains(r.batch.Lots, lot)) {
			continue
		}
		list = append(list, r)
	}
	order.Stable(list, func(x, y *reading) int { return int(max(-1, min(1, y.at-x.at))) })
	h := &history{title: p.t("records.readings")}
	for _, r := range list {
		h.say(p.clock(r.at), p.l.Crew(p.State, r.by), p.readingText(r))
	}
	if len(h.rows) == 0 {
		p.noted("records.none", "plain")
		return
	}
	p.add(h)
}

func (h *history) say(at, who, text string) {
	h.rows = append(h.rows, historyRow{at: at, who: who, text: text})
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
func (p *page) held() []*reading {
	var list []*reading
	mark := func(m *kitchen.Mark, st *procedure.Step, key, about string) *reading {
		r := &reading{at: m.At, by: m.By, what: p.text(st.Text), key: key + "/" + m.Step, value: m.Value, unit: m.Unit,
			typedIn: st.TypedIn, limit: &st.Limit, probe: m.Probe, about: about}
		list = append(list, r)
		return r
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
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		for _, k := range keptLogs(b) {
			list = append(list, &reading{at: k.event.At, by: k.event.By, what: p.t("cook.kept"), key: b.Procedure + "/lethality", said: p.logText(&k), about: p.name(b), probe: k.Probe,
				batch: b, cook: true})
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
	for i := range p.State.Logs {
		l := &p.State.Logs[i]
		for _, r := range readsOf(l) {
			list = append(list, &reading{at: r.At, by: r.By, what: p.t("log." + l.What), key: "log", value: r.MilliC, unit: "mC", typedIn: p.heatCode(),
				limit: &procedure.Limit{}, probe: r.Probe, about: p.food(l), batch: p.State.Batch(l.Batch)})
		}
	}
	for i := range p.State.Places {
		x := &p.State.Places[i]
		if d := p.State.Equipment().Device(x.Name); d != nil && x.ReadAt != 0 {
			list = append(list, &reading{at: x.ReadAt, by: x.ReadBy, what: words.Upper(p.text(d.What)), key: "place/" + x.Name, value: x.Reading,
				unit: "mC", typedIn: d.TypedIn, limit: &d.Reading, probe: x.Probe, about: p.text(d.Title)})
		}
	}
	return list
}

// readingText says what was read, by how much its limit is met or not, of what, and with which probe.
func (p *page) readingText(r *reading) string {
	unit := words.Shown(r.unit, r.typedIn)
	text := r.what + ": "
	if r.said != "" {
		text += r.said + ", " + r.about
	} else {
		text += p.l.Amount(r.value, unit) + ", " + p.verdict(r, unit) + r.about
	}
	if r.batch != nil && len(r.batch.Lots) > 0 {
		text += ", " + strings.Join(r.batch.Lots, " ")
	}
	if r.probe != "" {
		text += ", " + p.l.Probe(p.State, r.probe)
		if p.State.UnderReview(r.probe, r.at) != "" {
			text += ", " + p.t("records.review")
		}
	}
	return text
}

// verdict says by how much a limit is met or not: never more than that.
func (p *page) verdict(r *reading, unit string) string {
	l := r.limit
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

// recordsFind narrows the record by batch, lot, person, limit and days. What this phone holds of it shows while it is
// typed; all of it is the server's to find, on a page of its own.
func (p *page) recordsFind(all bool) {
	p.open("recordsfind", p.t("records.find"), "")
	p.back("/records", p.t("records"))
	today := p.State.WallDay(p.Now)
	days, _ := digits(p.path.get("days"))
	days = min(max(days, 1), 366)
	from := today + 1 - int32(days)
	_, query, asked := strings.Cut(p.Path, "?")
	if asked {
		query = "?" + query
	}
	if all {
		p.back("/records/find"+query, p.t("records.find"))
		p.files(from, today)
		if p.far("/api/records.page", p.asked(from, today)...); !p.Saved.InTouch {
			p.parts = p.parts[:len(p.parts)-1]
			p.noted("far.out", "bad")
		}
		return
	}
	p.fields("code", "records.code", "lot", "records.lot")
	if !asked { // first what to look for, then what was found
		p.findBy(days)
	}
	p.files(from, today)
	server := &choice{}
	server.lead(p.t("far.ask"), p.t("far.detail"), "/records/found"+query)
	p.add(server)
	p.readings(from, today)
	if asked {
		p.findBy(days)
	}
	p.noted("records.held", "quiet")
}

// findBy offers by whom, by which limit and how far back to look.
func (p *page) findBy(days int64) {
	var crew, spans []string
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; !m.Gone {
			crew = append(crew, m.Name, m.Crew)
		}
	}
	for _, n := range []int{1, 7, 31} {
		spans = append(spans, p.n("days", int64(n)), p.num(n))
	}
	p.toggles("records.by", "crew", p.path.get("crew"), crew)
	p.toggles("records.limit", "limit", p.path.get("limit"), p.limits())
	p.toggles("records.days", "days", p.num(int(days)), spans)
}

// fields asks for words that stand in the query: pairs of a name and the id of its label.
func (p *page) fields(pairs ...string) {
	for i := 0; i < len(pairs); i += 2 {
		p.add(&field{name: pairs[i], label: p.t(pairs[i+1]), text: p.path.get(pairs[i])})
	}
}

// toggles offers values for one name of the query, as pairs of label and value; the chosen one lets go of it.
func (p *page) toggles(title, name, chosen string, values []string) {
	c := &choice{title: p.t(title)}
	for i := 0; i < len(values); i += 2 {
		value := values[i+1]
		on := value == chosen
		if on {
			value = ""
		}
		c.lead(values[i], "", p.with(name, value))
		c.rows[len(c.rows)-1].on = on
	}
	p.add(c)
}

// limits lists the limits of the kitchen's documents that somebody may look for, as pairs of what they are and their key.
func (p *page) limits() []string {
	var list []string
	for _, pr := range p.State.Procedures() {
		if pr.Poultry != nil {
			list = append(list, p.text(pr.Item)+", "+p.t("cook.kept"), pr.Name+"/lethality")
		}
		for i := range pr.Stages {
			st := &pr.Stages[i]
			for j := range st.Steps {
				if s := &st.Steps[j]; s.Limit.Critical || s.Limit.Hard {
					list = append(list, p.text(pr.Item)+", "+p.text(s.Text), pr.Name+"/"+st.Name+"/"+s.Name)
				}
			}
		}
	}
	devices := p.State.Equipment().Devices
	for i := range devices {
		if d := &devices[i]; d.Reading.Min != nil || d.Reading.Max != nil {
			list = append(list, p.text(d.Title)+", "+p.text(d.What), "place/"+d.Name)
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
		f := &pairs{}
		f.say(p.t(k.Name), p.t("keep.days", "n", p.num(int(p.State.Setting(k.Name)))))
		p.add(f, &note{line: plain(p.t("keep.law", "n", p.num(int(k.Days)), "source", k.Source)), tone: "quiet"})
		if p.State.IsLead(p.Crew) {
			p.add(&buttons{actions: []button{{label: p.t("keep.set"), small: p.t(k.Name), style: quiet,
				do:  &kitchen.Command{Do: kitchen.DoSet, Name: k.Name, Into: "count", TypedIn: "1"},
				ask: &ask{kind: "number", name: "typed", title: p.t(k.Name), unit: p.t("records.days"), whole: true, keep: p.t("keep")}}}})
		}
	}
	p.noted("keep.note", "quiet")
}

func (f *pairs) say(key, value string) { f.rows = append(f.rows, pair{key, plain(value)}) }
