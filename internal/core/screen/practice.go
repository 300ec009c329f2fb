package screen

import (
	"slices"
	"strings"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/practice"
	"brinebell/internal/core/stamp"
)

// Practice is the pretend night that a page practises on.
type Practice struct {
	*practice.Night
	Rung    practice.Rung
	Seed    uint64
	Crew    string
	Speed   int64  // how many times as fast as life its time runs, when it runs
	Why     string // it stands
	Aside   bool   // the open trouble waits while the kitchen is looked at
	Replied bool   // what came of the last trouble is shown
}

// practiceSpeeds are how fast practice time can run: as life does, up to a night of twelve hours in two minutes and in one
// second.
var practiceSpeeds = [...]int64{1, 10, 60, 360, 43200}

// PracticeSpeed returns the speed next to one: slower for -1, faster for +1, the usual one for 0.
func PracticeSpeed(now int64, way int) int64 {
	i := slices.Index(practiceSpeeds[:], now)
	if i < 0 {
		return 360
	}
	return practiceSpeeds[min(max(i+way, 0), len(practiceSpeeds)-1)]
}

// PracticeBell is why a night stands when something real rings.
const PracticeBell = "bell"

// covers is up to which speed what rings in practice covers its screen: faster, nobody could answer it.
const covers = 10

// rings tells whether what rings in the night covers its screen.
func (n *Practice) rings() bool {
	return n.Speed <= covers && !n.Replied && (n.Aside || n.Trouble() == nil) && !n.Ends()
}

// toNight begins a night: the page does it.
func (p *page) toNight(r *practice.Rung, seed uint64, crew string) *kitchen.Command {
	return &kitchen.Command{Do: "page-practice", Procedure: r.Procedure, Name: r.Key, Number: int64(seed), Crew: crew, Text: string(p.l)}
}

// practiceRow leads to practice.
func (p *page) practiceRow() choiceRow {
	return choiceRow{label: p.t("practice"), detail: p.t("practice.detail"), to: "/practice"}
}

// practiceScreen is where a night is chosen, on the real kitchen's side.
func (p *page) practiceScreen() {
	p.open("practice", p.t("practice"), "")
	p.back("/more", p.t("more"))
	if d := p.State.Device(p.Device); d != nil && d.Wall {
		p.says(p.t("practice.wall"), "plain")
		return
	}
	if p.State.Member(p.Crew) == nil {
		p.crewNote()
		return
	}
	for i := range p.bells {
		if p.bells[i].Ringing {
			p.says(p.t("practice.rings"), "plain")
			return
		}
	}
	p.says(p.t("practice.intro"), "plain")
	of, others := p.path.get("of"), &choice{title: p.t("practice.others")}
	for _, proc := range p.State.Procedures() {
		rungs := practice.Rungs(p.State, proc.Name)
		if len(rungs) == 0 {
			continue
		}
		c, passed := &choice{title: p.text(proc.Title)}, 0
		for i := range rungs {
			row := p.rungRow(&rungs[i])
			if row.word != "" {
				passed++
			}
			c.rows = append(c.rows, row)
		}
		if of == "" || of == proc.Name { // one ladder at a time
			of = proc.Name
			p.add(c)
			continue
		}
		others.rows = append(others.rows, choiceRow{label: c.title, detail: p.t("practice.ladder", "n", p.num(passed), "of", p.num(len(rungs)-1)),
			to: "/practice?of=" + escape(proc.Name)})
	}
	switch {
	case of == "":
		p.says(p.t("practice.none"), "plain")
	case len(others.rows) > 0:
		p.add(others)
	}
}

func (p *page) rungRow(r *practice.Rung) choiceRow {
	row := choiceRow{label: p.t("practice.rung." + r.Key), do: p.toNight(r, 0, p.Crew),
		detail: p.t("practice.rung.detail", "length", p.l.Length(r.Hours), "tubs", p.l.Vessels("tub", int64(r.Tubs)), "n", p.num(r.Troubles), "mark", p.num(r.Mark))}
	if r.Number > 0 {
		row.label = p.num(int(r.Number)) + ". " + row.label
	}
	for i := range p.State.Rungs {
		m := &p.State.Rungs[i]
		if m.Crew == p.Crew && m.Procedure == r.Procedure && m.Rung.Rung == r.Number && m.Passed {
			row.word = p.t("practice.passed")
		}
	}
	return row
}

// nightPlaces are the places of a pretend kitchen; the others are of the real one alone.
var nightPlaces = map[string]bool{"": true, "batch": true, "start": true, "portion": true, "load": true, "hold": true, "lists": true,
	"list": true, "timers": true, "timer": true, "deviations": true, "deviation": true, "log": true, "logs": true, "mark": true, "oil": true,
	"place": true, "probes": true, "probe": true, "kitchen": true, "find": true, "receive": true}

// nightView draws what only practice has, and tells whether that is all.
func (p *page) nightView() bool {
	n := p.Practice
	t := n.Trouble()
	switch {
	case n.Replied && n.Said() != nil:
		p.nightTold(n.Said())
	case n.Ends():
		p.nightDebrief()
	case t != nil && !n.Aside:
		p.nightTrouble(t)
	case p.path.at(0) == "more":
		p.nightMore()
	case !nightPlaces[p.path.at(0)]:
		p.open("missing", p.t("practice"), "more")
		p.says(p.t("practice.not"), "plain")
	case p.Pace == practiceSpeeds[len(practiceSpeeds)-1]:
		p.nightRuns()
	default:
		if t != nil {
			p.add(&buttons{actions: []button{{label: t.Title, small: p.t("practice.decide"), style: act, do: &kitchen.Command{Do: "practice-show"}}}})
		}
		if p.Pace == 0 && n.Why == PracticeBell {
			p.says(p.t("practice.bell"), "plain")
		}
		return false
	}
	return true
}

// nightRuns is what is seen while time runs as fast as it goes: nobody could read a line that changes so.
func (p *page) nightRuns() {
	p.open("runs", p.t("practice"), "line")
	p.says(p.t("practice.runs"), "plain")
	p.add(&pairs{rows: []pair{{p.t("practice.c.night"), plain(p.t("practice.rung."+p.Practice.Rung.Key) + ", " + p.clock(p.Practice.From()) + "–" + p.clock(p.Practice.Until()))}}})
}

// nightMore leads to the places of the pretend kitchen that are not on the bar.
func (p *page) nightMore() {
	p.open("more", p.t("more"), "more")
	c := &choice{}
	for _, name := range [...]string{"start.open", "timers", "deviations", "logs", "kitchen"} {
		to := "/" + name
		if name == "start.open" {
			to = "/start"
		}
		c.rows = append(c.rows, choiceRow{label: p.t(name), to: to})
	}
	p.add(c)
}

// nightTrouble asks what is to be done.
func (p *page) nightTrouble(t *practice.Trouble) {
	p.open("trouble", t.Title, "")
	p.says(p.nightWhere(t), "quiet")
	p.says(t.Says, "plain")
	if len(t.Caution) > 0 {
		p.add(&caution{key: t.Key, title: p.t("practice.caution"), lines: t.Caution})
	}
	c := &buttons{}
	for i, text := range t.Choices {
		c.actions = append(c.actions, button{label: text, style: quiet, do: &kitchen.Command{Do: "practice-reply", Number: int64(i)}})
	}
	p.add(&group{title: p.t("practice.what")}, c)
}

// nightWhere says when and about what trouble came.
func (p *page) nightWhere(t *practice.Trouble) string {
	where := p.clock(t.At)
	if b := p.State.Batch(t.Batch); b != nil {
		where += ", " + p.name(b)
	}
	if place := p.l.Place(p.State, t.Place); t.Place != "" && !strings.HasSuffix(where, ", "+place) { // a load is called by its fryer
		where += ", " + place
	}
	return where
}

// nightTold says what came of an answer.
func (p *page) nightTold(m *practice.Moment) {
	p.open("told", m.Title, "")
	p.add(&group{title: p.nightGrade(m)})
	p.add(p.nightMoment(m, false))
	if m.Refusal != nil {
		off := p.l.Refusal(p.State, m.Refusal, p.Now)
		p.says(off.Title, "plain")
		for _, l := range off.Lines {
			p.says(l, "quiet")
		}
	}
	p.add(&buttons{actions: []button{{label: p.t("practice.look"), style: quiet, do: &kitchen.Command{Do: "practice-look"}}}})
}

// nightMoment is one trouble looked back at.
func (p *page) nightMoment(m *practice.Moment, later bool) *pairs {
	out := &pairs{}
	row := func(id, text string) {
		if text != "" {
			out.rows = append(out.rows, pair{p.t("practice.m." + id), plain(text)})
		}
	}
	if later {
		row("saw", m.Says)
	}
	row("did", orText(m.Did, p.t("practice.silent")))
	row("then", m.Then)
	row("cost", p.nightCost(m.Grams, m.Pieces, m.Lost))
	var sees []string
	for _, text := range m.Sees {
		if text != m.Then {
			sees = append(sees, text)
		}
	}
	row("sees", strings.Join(sees, "; "))
	row("better", m.Better)
	row("why", m.Why)
	row("source", m.Source)
	return out
}

// nightCost says what something cost, "" when nothing.
func (p *page) nightCost(grams, pieces int64, lost stamp.Span) string {
	var list []string
	if grams > 0 || pieces > 0 {
		list = append(list, p.t("practice.thrown", "amount", p.l.Weight(grams, pieces)))
	}
	if lost > 0 {
		list = append(list, p.t("practice.lost", "length", p.l.Length(lost)))
	}
	return p.enumerate(list)
}

func (p *page) nightGrade(m *practice.Moment) string {
	switch {
	case m.Grade == practice.Right:
		return p.t("practice.right")
	case m.Hurt:
		return p.t("practice.hurt")
	}
	return p.t("practice.wrong")
}

// nightDebrief looks back at the night.
func (p *page) nightDebrief() {
	d := p.Practice.Debrief()
	p.open("debrief", p.t("practice.ended"), "")
	verdict := "practice.missed"
	switch {
	case d.Passed:
		verdict = "practice.did"
	case d.Hurts > 0:
		verdict = "practice.hurts"
	case d.Troubles == 0:
		verdict = "practice.quiet"
	}
	p.says(p.t(verdict, "right", p.num(d.Right), "all", p.num(d.Troubles), "need", p.num(d.Need)), "plain")
	if d.Worst >= 0 && d.Line[d.Worst].Better != "" {
		p.add(&group{title: p.t("practice.one")})
		p.says(d.Line[d.Worst].Title+": "+d.Line[d.Worst].Better, "plain")
	}
	none := p.t("practice.nothing")
	p.add(&pairs{title: p.t("practice.costs"), rows: []pair{
		{p.t("practice.c.product"), plain(orText(p.nightCost(d.Grams, d.Pieces, 0), none))},
		{p.t("practice.c.time"), plain(orText(p.nightCost(0, 0, d.Lost), none))},
		{p.t("practice.c.hurt"), plain(p.n("practice.times", int64(d.Hurts)))},
		{p.t("practice.c.night"), plain(p.t("practice.rung."+d.Rung.Key) + ", " + p.t("practice.number", "n", p.num(int(d.Seed))))}}})
	p.nightChart(&d)
	for i := range d.Line {
		m := &d.Line[i]
		one := p.nightMoment(m, true)
		one.title = p.clock(m.At) + " " + m.Title + ": " + p.nightGrade(m)
		p.add(one)
	}
	p.nightOnward(&d)
}

// nightChart draws what each trouble cost, the dearest first: what was thrown away, and the time that was lost. A night that cost
// nothing of either has nothing to draw.
func (p *page) nightChart(d *practice.Debrief) {
	for _, of := range []struct {
		title string
		all   string
		cost  func(m *practice.Moment) int64
		say   func(n int64) string
	}{
		{"practice.chart", p.t("practice.thrown", "amount", p.l.Amount(d.Grams, "g")),
			func(m *practice.Moment) int64 { return m.Grams }, func(n int64) string { return p.l.Amount(n, "g") }},
		{"practice.chart.time", p.t("practice.lost", "length", p.l.Length(d.Lost)),
			func(m *practice.Moment) int64 { return int64(m.Lost) }, func(n int64) string { return p.l.Length(stamp.Span(n)) }},
	} {
		out := &plotted{title: p.t(of.title), head: []string{p.t("chart.at"), p.t("practice.trouble"), p.t(of.title)}}
		out.says = p.t("practice.chart.says", "right", p.num(d.Right), "all", p.num(d.Troubles), "cost", of.all)
		var bars []plot.Bar
		for i := range d.Line {
			m := &d.Line[i]
			cost := of.cost(m)
			out.rows = append(out.rows, []string{p.clock(m.At), m.Title + ": " + p.nightGrade(m), of.say(cost)})
			if cost > 0 {
				bars = append(bars, plot.Bar{Text: m.Title + ": " + of.say(cost), Value: cost})
			}
		}
		p.bars(out, bars)
	}
}

// nightOnward offers to keep what was reached, and other nights.
func (p *page) nightOnward(d *practice.Debrief) {
	if d.Rung.Number > 0 && d.Troubles > 0 {
		p.dock = append(p.dock, button{label: p.t("practice.keep"), small: p.t("practice.keep.small"), style: act, do: &kitchen.Command{
			Do: kitchen.DoRung, Procedure: d.Rung.Procedure, Number: int64(d.Rung.Number), Value: int64(d.Seed), Count: int64(d.Troubles),
			Pieces: int64(d.Right), Wasted: int64(d.Hurts), Grams: d.Grams, Closes: d.Passed}})
	}
	p.add(&buttons{actions: []button{
		{label: p.t("practice.again"), style: quiet, do: p.toNight(&d.Rung, d.Seed, p.Crew)},
		{label: p.t("practice.other"), style: quiet, do: &kitchen.Command{Do: "page-practice-end"}}}})
}

// nightBar says of every screen of practice that it is one, and holds what stops, slows and ends it.
func (p *page) nightBar(w *jsontext.Writer) {
	speed := p.t("practice.stands")
	if p.Pace > 0 {
		speed = p.t("practice.speed", "length", p.l.Length(stamp.Span(p.Pace)*stamp.Second))
	}
	w.Object("saved")
	w.Str("in", "practice")
	w.Str("text", p.t("practice.kept")+" "+speed)
	w.EndObject()
	w.Object("practice")
	w.Str("word", p.t("practice.word"))
	w.Str("under", "/practice/night")
	writeButtons(w, "actions", p.nightActions())
	w.EndObject()
}

func (p *page) nightActions() []button {
	var list []button
	add := func(id, style string, pace int64) {
		do := &kitchen.Command{Do: "practice-" + id, Number: pace}
		if pace != 0 {
			do.Do = "practice-pace"
		}
		list = append(list, button{label: p.t("practice." + id), style: style, do: do})
	}
	switch {
	case p.kind == "debrief":
	case p.kind == "trouble":
		add("look", quiet, 0)
		add("wait", quiet, 0)
	case p.kind == "told" || p.Pace == 0:
		add("go", act, 0)
	default:
		add("stop", act, 0)
	}
	if p.kind != "debrief" && p.kind != "trouble" && p.kind != "told" {
		add("slower", quiet, PracticeSpeed(p.Practice.Speed, -1))
		add("faster", quiet, PracticeSpeed(p.Practice.Speed, 1))
	}
	if p.kind != "debrief" {
		list = append(list, button{label: p.t("practice.end"), style: quiet, do: &kitchen.Command{Do: "page-practice-end"},
			sure: &sure{title: p.t("practice.end.sure"), lines: []string{p.t("practice.end.lose")}, label: p.t("practice.end")}})
	}
	return list
}
