package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// probesScreen lists the kitchen's thermometers, each with its last check.
func (p *page) probesScreen() {
	p.open("probes", p.t("probes"), "")
	p.back("/kitchen", p.t("kitchen"))
	c := &choice{}
	probes := p.State.Equipment().Probes
	for i := range probes {
		c.rows = append(c.rows, p.probeRow(&probes[i]))
	}
	if len(c.rows) == 0 {
		p.add(&empty{title: p.t("probes.none"), line: p.line("probes.none.do")})
		return
	}
	p.add(c, &note{line: p.line("probe.limits"), tone: "quiet"})
}

// probesRow leads to the probes, and says when one must be checked or not be used.
func (p *page) probesRow() choiceRow {
	out := choiceRow{label: p.t("probes"), detail: p.t("probes.detail"), to: "/probes"}
	probes := p.State.Equipment().Probes
	for i := range probes {
		if row := p.probeRow(&probes[i]); row.state != "none" && out.state != "past" && (out.state == "" || row.state == "past") {
			out.state, out.word, out.detail = row.state, row.word, row.label+": "+row.detail
		}
	}
	return out
}

func (p *page) probeRow(pr *procedure.Probe) choiceRow {
	row := choiceRow{label: p.text(pr.Title), to: "/probe/" + escape(pr.Name), state: "last", word: p.t("probe.due")}
	k := p.State.Probe(pr.Name)
	due := stamp.Milli(physics.CheckDue(int64(k.GoodAt), int64(pr.Every)))
	switch {
	case k.At == 0:
		row.detail = p.t("probe.never")
	case !k.Check.Met():
		row.state, row.word, row.detail = "past", p.t("probe.bad"), p.probeOff(pr, &k.Check)
	case pr.Every == 0:
		row.state, row.word, row.detail = "none", p.t("limit.met"), p.clock(k.At)
	default:
		row.detail = p.t("probe.until", "time", p.clock(due))
		if due > p.Now {
			row.state, row.word = "none", p.t("limit.met")
		}
	}
	return row
}

// probeOff says by how much a probe was off when it was checked.
func (p *page) probeOff(pr *procedure.Probe, c *entry.ProbeCheck) string {
	id, off := "probe.over", c.Off()
	switch {
	case off == 0:
		return p.t("probe.exact")
	case off < 0:
		id, off = "probe.under", -off
	}
	return p.t(id, "by", p.l.Difference(off, words.Shown("mC", pr.TypedIn)))
}

// probeScreen checks one probe: in ice, or in boiling water at the kitchen's altitude.
func (p *page) probeScreen() {
	pr := p.State.Equipment().Probe(p.path.at(1))
	if pr == nil {
		p.missing("missing.page")
		return
	}
	p.open("probe", p.text(pr.Title), "")
	p.back("/probes", p.t("probes"))
	p.probeLast(pr)
	c := &choice{title: p.t("probe.how")}
	for i := range probings {
		m := &probings[i]
		if m.by == p.path.get("by") {
			p.probeForm(pr, m)
			return
		}
		c.rows = append(c.rows, choiceRow{label: p.t(m.name), detail: p.t("probe.reads", "value", p.probeExpected(pr, m)),
			to: address(p.bare(), "by", m.by)})
	}
	p.add(c)
}

// probing is a way to check a probe.
type probing struct{ by, name, do string }

var probings = [...]probing{
	{entry.IcePoint, "probe.ice", "probe.do.ice"},
	{entry.Boiling, "probe.boiling", "probe.do.boiling"},
}

// probeLast says how the last check came out, and what to do where it was not met.
func (p *page) probeLast(pr *procedure.Probe) {
	k := p.State.Probe(pr.Name)
	if k.At == 0 {
		return
	}
	by := p.t("made.by", "time", p.clock(k.At), "name", p.l.Crew(p.State, k.By))
	if k.Check.Met() {
		p.add(&note{line: plain(p.t("probe.last", "off", p.probeOff(pr, &k.Check), "by", by)), tone: "quiet"})
		return
	}
	f := &fault{title: p.probeOff(pr, &k.Check), lines: []string{by, p.t("probe.bad.do")}}
	if d := p.State.Deviation(k.Review.Key); d != nil && !d.Closed {
		if d.Number > 0 {
			f.lines = append(f.lines, p.n("probe.review", d.Number))
		}
		f.actions = []button{{label: p.t("deviation"), style: quiet, to: "/deviation/" + d.Key}}
	}
	p.add(f)
}

// probeExpected is what a probe should read.
func (p *page) probeExpected(pr *procedure.Probe, m *probing) string {
	unit := words.Shown("mC", pr.TypedIn)
	if m.by != entry.Boiling {
		return p.l.Amount(0, unit)
	}
	return p.t("probe.at", "value", p.l.Amount(physics.ProbePoint(p.State.Equipment().Altitude), unit), "altitude", p.altitude())
}

// altitude prints how high the kitchen stands.
func (p *page) altitude() string {
	return p.t("metres", "n", p.num(int((p.State.Equipment().Altitude+500)/1000)))
}

// probeForm asks what the probe reads, and says how far off it is while that is typed.
func (p *page) probeForm(pr *procedure.Probe, m *probing) {
	eq := p.State.Equipment()
	boiling, expected := m.by == entry.Boiling, int64(0)
	if boiling {
		expected = physics.ProbePoint(eq.Altitude)
	}
	p.add(&caution{key: "probe", title: p.t(m.name), lines: []string{p.t(m.do), p.t("probe.clean")}})
	if boiling && !eq.AltitudeSaid {
		p.add(&note{line: p.line("probe.low"), tone: "bad"})
	}
	within := physics.ProbeLimit(pr.TypedIn == "[degF]")
	least, most := expected-within, expected+within
	how, unit := p.l.Typing("mC", pr.TypedIn), words.Shown("mC", pr.TypedIn)
	text := p.path.get("v")
	limit := procedure.Limit{Min: &least, Max: &most}
	j, value, ok := p.judge(text, how.Code, limit, "mC", unit)
	p.add(&pad{name: "v", text: text, unit: how.Unit, signed: true, label: p.t("probe.reads", "value", p.probeExpected(pr, m)),
		limit: plain(p.l.Limit(limit, unit)), judged: j})
	if j.bad && ok {
		lines := []string{p.t("probe.bad.do")}
		if n := p.State.Probe(pr.Name).Reads; n > 0 {
			lines = append(lines, p.n("probe.review", n))
		}
		p.add(&fault{title: flat(j.verdict), lines: lines})
	}
	p.probeWhy(boiling)
	if ok {
		p.dock = []button{{label: p.t("keep.value", "value", p.l.Amount(value, unit)), small: flat(j.verdict), style: act, to: p.bare(),
			do: &kitchen.Command{Do: kitchen.DoCheck, Probe: pr.Name, Answer: m.by, Value: value, Unit: "mC"}}}
	}
}

// probeWhy says where the expected value and the limit come from.
func (p *page) probeWhy(boiling bool) {
	rows := []pair{{p.t("probe.limit"), p.line("probe.limits")}}
	if boiling {
		pressure := p.num(int((physics.AirPressure(p.State.Equipment().Altitude) + 1<<31) >> 32))
		rows = append(rows, pair{p.t("probe.air"), p.line("probe.air.is", in("pa", plain(pressure)), in("altitude", plain(p.altitude())))},
			pair{p.t("probe.boils"), p.line("probe.boils.is")}, pair{p.t("probe.weather"), p.line("probe.weather.is")})
	}
	p.add(&pairs{title: p.t("tub.why"), rows: rows})
}
