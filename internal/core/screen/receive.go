package screen

import (
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/words"
)

// receiveScreen takes in a delivery: first what it is, then from whom, which lot, how warm, how heavy.
func (p *page) receiveScreen() {
	if name := p.path.at(1); name != "" {
		p.receiveForm(p.State.Procedure(name, 0))
		return
	}
	p.open("receive", p.t("receive"), "")
	p.back("/records", p.t("records"))
	c := &choice{title: p.t("receive.what")}
	for _, pr := range p.State.Procedures() {
		c.lead(p.text(pr.Title), "", "/receive/"+escape(pr.Name))
	}
	if len(c.rows) == 0 {
		p.add(&empty{title: p.t("start.none"), line: p.line("start.none.do")})
		return
	}
	p.add(c)
	last := &history{title: p.t("receive.last")}
	for i := len(p.State.Deliveries) - 1; i >= 0; i-- {
		d := &p.State.Deliveries[i]
		text := p.t("receive.by", "supplier", d.Supplier, "lot", d.Lot) + ", " + p.l.Weight(d.Grams, d.Pieces)
		if d.Measured {
			text += ", " + p.l.Amount(d.MilliC, words.Shown("mC", receivedIn(p.State.Procedure(d.Procedure, 0))))
		}
		if d.Refused {
			text += ", " + p.t("receive.refused")
		}
		last.say(p.clock(d.At), p.l.Crew(p.State, d.By), text)
	}
	if len(last.rows) > 0 {
		p.add(last)
	}
}

// receivedIn is the unit in which a delivery's temperature is typed.
func receivedIn(pr *procedure.Procedure) string {
	if pr != nil && pr.Receiving != nil {
		return pr.Receiving.TypedIn
	}
	return "Cel"
}

func (p *page) receiveForm(pr *procedure.Procedure) {
	if pr == nil {
		p.missing("missing.page")
		return
	}
	p.open("receive", p.t("receive")+": "+p.text(pr.Item), "")
	p.back("/receive", p.t("receive"))
	if len(pr.Stages) > 0 {
		if c := p.cautionOf("receive", pr.Stages[0].Caution); c != nil {
			p.add(c)
		}
	}
	do := &kitchen.Command{Do: kitchen.DoDeliver, Procedure: pr.Name, Name: p.path.get("by"), Lots: splitList(p.path.get("lot")),
		Grams: p.typed("kg", quantity.Gram), Place: p.coldRoom(), Probe: p.probe()}
	p.fields("by", "receive.supplier", "lot", "receive.lot", "kg", "receive.kg", "w", "receive.units")
	heavy, bad := p.weights(pr, do)
	small := p.t("receive.by", "supplier", do.Name, "lot", joined(do.Lots))
	if off := orText(p.warmth(pr, do), heavy); off != "" { // what is off may lie beyond the fold
		small = off
	}
	_, r := p.try(do)
	if bad || r != nil {
		switch {
		case r == nil || needsTyping(r) || do.Grams == 0:
		case r.Code == kitchen.RefNeedText:
			p.noted("receive.need.words", "bad")
		case r.Code == kitchen.RefNeedNumber:
			p.noted("receive.need.warmth", "bad")
		default:
			p.add(p.refusedPart(do, r))
		}
		return
	}
	back := *do
	back.Closes = true
	p.add(&buttons{actions: []button{{label: p.t("receive.back"), style: quiet, do: &back, to: "/receive",
		ask:  &ask{kind: "text", name: "text", title: p.t("receive.back.why"), keep: p.t("keep")},
		sure: &sure{title: p.t("receive.back"), lines: []string{p.t("receive.back.line")}, label: p.t("receive.back")}}}})
	p.dock = []button{{label: p.t("receive.do"), small: small, style: act, do: do, to: "/receive"}}
}

// warmth asks for the temperature, and says what the limit says of it while it is typed; it returns by how much that is off.
func (p *page) warmth(pr *procedure.Procedure, do *kitchen.Command) (off string) {
	limit := procedure.Limit{}
	if pr.Receiving != nil {
		limit = pr.Receiving.Warmth
	}
	how, unit := p.l.Typing("mC", receivedIn(pr)), words.Shown("mC", receivedIn(pr))
	pd := &pad{name: "t", text: p.path.get("t"), unit: how.Unit, signed: true, label: p.t("receive.warmth"), limit: plain(p.l.Limit(limit, unit))}
	j, value, ok := p.judge(p.path.get("t"), how.Code, limit, "mC", unit)
	pd.judged = j
	if ok {
		do.Value, do.Unit = value, "mC"
	}
	p.add(pd)
	p.probeChoice(do.Probe)
	if j.bad {
		off = flat(j.verdict)
	}
	return off
}

// weights reads the weights of single units, says of each that is off its limit by how much, and returns the last of these;
// bad: one cannot be read.
func (p *page) weights(pr *procedure.Procedure, do *kitchen.Command) (off string, bad bool) {
	limit := procedure.Limit{}
	if pr.Receiving != nil {
		limit = pr.Receiving.Unit
	}
	if limit.Min != nil || limit.Max != nil {
		p.says(p.t("receive.unitlimit", "limit", p.l.Limit(limit, "g")), "quiet")
	}
	for _, w := range strings.Fields(strings.ReplaceAll(p.path.get("w"), ";", " ")) {
		j, g, ok := p.judge(w, "kg", limit, "g", "g")
		bad = bad || !ok
		if ok {
			do.Weights = append(do.Weights, g)
			w = p.l.Exact(g, "g")
		}
		if j.bad {
			off = w + ": " + flat(j.verdict)
			p.says(off, "bad")
		}
	}
	return off, bad
}

func (p *page) coldRoom() string {
	devices := p.State.Equipment().Devices
	for i := range devices {
		if devices[i].Kind == "cold room" {
			return devices[i].Name
		}
	}
	return ""
}

// probe is the probe with which this device reads: the one chosen, else the one in hand.
func (p *page) probe() string {
	if name := p.path.get("probe"); p.State.Equipment().Probe(name) != nil {
		return name
	}
	probes := p.State.Equipment().Probes
	if name := p.State.ProbeInHand(p.Crew); p.State.Equipment().Probe(name) != nil || len(probes) == 0 {
		return name
	}
	if len(probes) == 1 {
		return probes[0].Name
	}
	return ""
}

// probeChoice offers the kitchen's probes where there are several.
func (p *page) probeChoice(chosen string) {
	probes := p.State.Equipment().Probes
	if len(probes) < 2 {
		return
	}
	var values []string
	for i := range probes {
		values = append(values, p.text(probes[i].Title), probes[i].Name)
	}
	p.toggles("read.with", "probe", chosen, values)
}

// with is the page's own address with one value of its query changed.
func (p *page) with(name, value string) string {
	var pairs []string
	for _, q := range p.path.query {
		if q.name != name {
			pairs = append(pairs, q.name, q.value)
		}
	}
	return address(p.bare(), append(pairs, name, value)...)
}
