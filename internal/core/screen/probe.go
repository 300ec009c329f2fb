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
	c := &choice{rows: p.probeRows()}
	if len(c.rows) == 0 {
		p.add(&empty{title: p.t("probes.none"), line: p.line("probes.none.do")})
		return
	}
	p.add(c)
	p.remark("quiet", p.t("probe.limits"))
}

func (p *page) probeRows() []choiceRow {
	probes := p.State.Equipment().Probes
	rows := make([]choiceRow, len(probes))
	for i := range probes {
		p.probeRow(&rows[i], &probes[i])
	}
	return rows
}

func (p *page) probeRow(row *choiceRow, pr *procedure.Probe) {
	row.label, row.to = p.text(pr.Title), "/probe/"+escape(pr.Name)
	k := p.State.Probe(pr.Name)
	due := stamp.Milli(physics.CheckDue(int64(k.GoodAt), int64(pr.Every)))
	state, word := "last", "probe.due"
	switch {
	case k.At == 0:
		row.detail = p.t("probe.never")
	case !k.Check.Met():
		state, word = "past", "probe.bad"
		row.detail = p.probeOff(pr, &k.Check)
	case due > p.Now || pr.Every == 0:
		state, word = "none", "limit.met"
		fallthrough
	default:
		row.detail = p.filled("probe.until", p.clock(max(due, k.At)))
	}
	row.state, row.word = state, p.t(word)
}

// probesRow leads to the probes, and says when one must be checked or not be used.
func (p *page) probesRow() choiceRow {
	out := choiceRow{label: p.t("probes"), detail: p.t("probes.detail"), to: "/probes"}
	for _, row := range p.probeRows() {
		if row.state == "past" || row.state == "last" && out.state == "" {
			out.state, out.word, out.detail = row.state, row.word, row.label+": "+row.detail
		}
	}
	return out
}

// probeOff says by how much a probe was off when it was checked.
func (p *page) probeOff(pr *procedure.Probe, c *entry.ProbeCheck) string {
	id, off := "probe.over", c.Off()
	if off < 0 {
		id, off = "probe.under", -off
	}
	return p.filled(id, p.l.Difference(off, words.Shown("mC", pr.TypedIn)))
}

// probing is a way to check a probe.
type probing struct{ by, name, do string }

var probings = [...]probing{
	{entry.IcePoint, "probe.ice", "probe.do.ice"},
	{entry.Boiling, "probe.boiling", "probe.do.boiling"},
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
		expected, reads := p.probeReads(pr, m)
		if m.by == p.path.get("by") {
			p.probeForm(pr, m, expected, reads)
			return
		}
		c.rows = append(c.rows, choiceRow{label: p.t(m.name), detail: reads, to: address(p.bare(), "by", m.by)})
	}
	p.add(c)
}

// probeLast says how the last check came out, and what to do where it was not met.
func (p *page) probeLast(pr *procedure.Probe) {
	k := p.State.Probe(pr.Name)
	if k.At == 0 {
		return
	}
	off, by := p.probeOff(pr, &k.Check), p.t("made.by", "time", p.clock(k.At), "name", p.l.Crew(p.State, k.By))
	if k.Check.Met() {
		p.remark("quiet", p.filled("probe.last", off, by))
		return
	}
	readings, d := int64(0), p.State.Deviation(k.Review.Key)
	if d != nil && !d.Closed {
		readings = d.Number
	}
	p.probeFault(off+", "+by, readings)
	if d != nil {
		p.goOn(p.t("deviation"), "/deviation/"+d.Key)
	}
}

// probeFault says what to do with a probe that is off, and how many readings are in doubt.
func (p *page) probeFault(title string, readings int64) {
	f := p.off(title, p.t("probe.bad.do"))
	if readings > 0 {
		f.lines = append(f.lines, p.n("probe.review", readings))
	}
}

// probeReads is what a probe should read, as a number and in words.
func (p *page) probeReads(pr *procedure.Probe, m *probing) (expected int64, reads string) {
	if m.by == entry.Boiling {
		expected = physics.ProbePoint(p.State.Equipment().Altitude)
	}
	reads = p.filled("probe.reads", p.l.Amount(expected, words.Shown("mC", pr.TypedIn)))
	if m.by == entry.Boiling {
		reads += p.filled("probe.at", p.altitude())
	}
	return expected, reads
}

// altitude prints how high the kitchen stands, in metres.
func (p *page) altitude() string { return p.l.Decimal(p.State.Equipment().Altitude, 3, 0) }

// probeForm asks what the probe reads, and says how far off it is while that is typed.
func (p *page) probeForm(pr *procedure.Probe, m *probing, expected int64, reads string) {
	eq := p.State.Equipment()
	p.add(&caution{key: "probe", title: p.t(m.name), lines: []string{p.t(m.do), p.t("probe.clean")}})
	if m.by == entry.Boiling && !eq.AltitudeSaid {
		p.remark("bad", p.t("probe.low"))
	}
	within := physics.ProbeLimit(pr.TypedIn == "[degF]")
	least, most := expected-within, expected+within
	how, unit := p.l.Typing("mC", pr.TypedIn), words.Shown("mC", pr.TypedIn)
	limit := procedure.Limit{Min: &least, Max: &most}
	pd := &pad{name: "v", text: p.path.get("v"), unit: how.Unit, signed: true, label: reads, limit: plain(p.l.Limit(limit, unit))}
	p.add(pd)
	j, value, ok := p.judge(pd.text, how.Code, limit, "mC", unit)
	pd.judged = j
	if ok {
		verdict := flat(j.verdict)
		if j.bad {
			p.probeFault(p.t("probe.bad"), p.State.Probe(pr.Name).Reads)
		}
		p.dock = []button{{label: p.t("keep.value", "value", p.l.Amount(value, unit)), small: verdict, style: act, to: p.bare(),
			do: &kitchen.Command{Do: kitchen.DoCheck, Probe: pr.Name, Answer: m.by, Value: value, Unit: "mC"}}}
	}
	p.remark("quiet", p.t("probe.limits"))
	if m.by == entry.Boiling {
		p.remark("quiet", p.filled("probe.why", p.num(int(physics.Pascals(eq.Altitude))), p.altitude()))
	}
}
