package screen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
)

// filled returns the text called id with its places {0}, {1} and so on filled.
func (p *page) filled(id string, values ...string) string { return p.l.Say(id, values) }

// put adds a row.
func (r *pairs) put(key, value string) { r.rows = append(r.rows, pair{key, plain(value)}) }

// remark adds a line that says no more than where figures come from, or something to mind.
func (p *page) remark(tone, text string) { p.add(&note{line: plain(text), tone: tone}) }

// off adds what is wrong, and what to do.
func (p *page) off(title string, lines ...string) *fault {
	f := &fault{title: title, lines: lines}
	p.add(f)
	return f
}

// goOn adds a row that leads elsewhere.
func (p *page) goOn(label, to string) { p.add(&choice{rows: []choiceRow{{label: label, to: to}}}) }

func (p *page) grams(n int64) string  { return p.l.Exact(n, "g") }
func (p *page) litres(n int64) string { return p.l.Amount(n, "mL") }

// mixRows say what a tub with grams of product takes up, what is left of it, and how strong the mix is.
func (p *page) mixRows(r *pairs, m *procedure.MixRule, grams int64) {
	if holds, room := p.tubHolds(m), m.Room(grams); holds > 0 {
		r.put(p.t("mix.room"), p.litres(room)+", "+p.t("limit.most", "max", p.l.Exact(holds, "mL")))
		r.put(p.t("tub.headroom"), p.litres(max(holds-room, 0)))
	}
	if b, ok := m.Brine(); ok {
		r.put(p.t("tub.brine"), p.filled("tub.brine.is", p.l.Decimal(b.Salt, 4, 1), p.l.Decimal(b.Degrees, 3, 1), p.l.Decimal(b.Gravity, 6, 3)))
	}
}

// tubHolds is how much the tub at hand holds: what was typed, else what the procedure says; 0 where nobody says.
func (p *page) tubHolds(m *procedure.MixRule) int64 {
	if typed := p.typed("holds", quantity.Millilitre); typed > 0 {
		return typed
	}
	return m.TubHolds
}

// vesselParts say what is wrong with a tub for grams of product, and what to do; whether it may be filled as it is.
func (p *page) vesselParts(pr *procedure.Procedure, all int64, list []*entry.Start) bool {
	m := pr.Mix
	if m == nil || len(list) == 0 {
		return true
	}
	grams := list[0].Grams
	holds, room := p.tubHolds(m), m.Room(grams)
	small := holds > 0 && room > holds
	if small {
		most := max(m.Fits(holds), 1)
		need := (all + most - 1) / most
		p.off(p.filled("tub.small", p.litres(room-holds)),
			p.filled("tub.small.line", p.grams(grams), p.litres(room), p.litres(holds), p.grams(most/100*100)))
		p.goOn(p.filled("tub.take", p.l.Vessels(list[0].Vessel, need)), p.startAgain("tubs", p.num(int(need))))
	}
	if pr.Stages[0].Raw { // poultry: what is said of it holds for nothing else
		if lack := m.Bare(grams); lack > 0 {
			have := m.Liquid(grams)
			p.off(p.t("tub.bare"), p.filled("tub.bare.line", p.grams(grams), p.litres(have+lack), p.litres(have), p.litres(lack)))
		}
		if b, ok := m.Brine(); ok && b.Floats() {
			p.remark("plain", p.t("tub.floats"))
		}
	}
	if p.path.get("why") != "" {
		p.remark("quiet", p.filled("tub.why.is", p.num(physics.MeatGravity), p.grams(m.SaltMilligrams/1000)))
	} else {
		p.goOn(p.t("tub.why"), p.startAgain("why", "1"))
	}
	return !small
}

// startAgain is the address of the form for starting a batch with one thing changed.
func (p *page) startAgain(name, value string) string {
	to := []string{name, value}
	for _, n := range []string{"g", "lots", "tubs", "holds", "why"} {
		if n != name {
			to = append(to, n, p.path.get(n))
		}
	}
	return address(p.bare(), to...)
}

// yieldRow says what came out of a batch against what went in, once all of it has: the pick-up of what was marinated.
func (p *page) yieldRow(r *pairs, b *kitchen.Batch) {
	out := int64(0)
	if slices.ContainsFunc(b.Events, func(e kitchen.Event) bool { return e.Void && !e.Withdrawn }) {
		return // told twice, by phones that did not know of each other
	}
	for _, id := range b.Children {
		c := p.State.Batch(id)
		if c == nil || len(c.Parents) != 1 || c.InGrams == 0 {
			return // shared with another batch, or never weighed
		}
		out += c.InGrams
	}
	if b.Status != kitchen.Used || b.InGrams == 0 || out == 0 {
		return
	}
	gain, name, is := physics.Gain(b.InGrams, out), "yield.pickup", "yield.pickup.is"
	if b.Mix.Water == 0 {
		gain, name, is = gain+10_000, "yield", "yield.is"
	}
	r.put(p.t(name), p.filled(is, p.l.Decimal(gain, 2, 1), p.l.Amount(b.InGrams, "g"), p.l.Amount(out, "g")))
}
