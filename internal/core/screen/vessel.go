package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
)

// tubHolds is how much the tub at hand holds: what was typed, else what the procedure says; 0 where nobody says.
func (p *page) tubHolds(m *procedure.MixRule) int64 {
	if typed := p.typed("holds", quantity.Millilitre); typed > 0 {
		return typed
	}
	return m.TubHolds
}

// mixRows say what a tub with grams of product takes up, what is left of it, and how strong the mix is.
func (p *page) mixRows(m *procedure.MixRule, grams int64) []pair {
	var rows []pair
	if holds := p.tubHolds(m); holds > 0 {
		room := m.Room(grams)
		rows = append(rows, pair{p.t("mix.room"), plain(p.l.Amount(room, "mL") + ", " + p.t("limit.most", "max", p.l.Exact(holds, "mL")))})
		if room <= holds {
			rows = append(rows, pair{p.t("tub.headroom"), plain(p.l.Amount(holds-room, "mL"))})
		}
	}
	if b, ok := m.Brine(); ok {
		rows = append(rows, pair{p.t("tub.brine"), plain(p.t("tub.brine.is", "salt", p.l.Decimal((b.Salt+500)/1000, 1),
			"degrees", p.l.Decimal((b.Degrees+50)/100, 1), "gravity", p.l.Decimal((b.Gravity+500)/1000, 3)))})
	}
	return rows
}

// vesselParts say what is wrong with a tub for grams of product, and what to do; whether it may be filled as it is.
func (p *page) vesselParts(pr *procedure.Procedure, all int64, list []*entry.Start) bool {
	m := pr.Mix
	if m == nil || len(list) == 0 {
		return true
	}
	grams, holds := list[0].Grams, p.tubHolds(m)
	fits := holds == 0 || m.Room(grams) <= holds
	if !fits {
		most := m.Fits(holds)
		f := &fault{title: p.t("tub.small", "over", p.l.Amount(m.Room(grams)-holds, "mL")), lines: []string{
			p.t("tub.small.line", "amount", p.l.Amount(grams, "g"), "room", p.l.Amount(m.Room(grams), "mL"),
				"holds", p.l.Exact(holds, "mL"), "most", quantity.PrintMost(most, quantity.Gram, quantity.Style{Lang: string(p.l)})),
			p.t("tub.small.do")}}
		need := (all + max(most, 1) - 1) / max(most, 1)
		f.actions = []button{{label: p.t("tub.take", "tubs", p.l.Vessels(list[0].Vessel, need)), style: quiet,
			to: p.startAgain("tubs", p.num(int(need)))}}
		p.add(f)
	}
	raw := pr.Stages[0].Raw // poultry: what is said of it holds for nothing else
	if lack := m.Bare(grams); raw && lack > 0 {
		p.add(&fault{title: p.t("tub.bare"), lines: []string{p.t("tub.bare.line", "amount", p.l.Amount(grams, "g"),
			"need", p.l.Amount(physics.Submerged(grams), "mL"), "have", p.l.Amount(m.Liquid(grams), "mL"),
			"lack", p.l.Amount(lack, "mL")), p.t("tub.bare.do")}})
	}
	if b, ok := m.Brine(); raw && ok && b.Floats() {
		p.add(&note{line: p.line("tub.floats"), tone: "plain"})
	}
	if p.path.get("why") == "" {
		p.add(&choice{rows: []choiceRow{{label: p.t("tub.why"), to: p.startAgain("why", "1")}}})
		return fits
	}
	p.add(&note{line: p.line("tub.why.room", in("density", plain(p.num(physics.MeatGravity)))), tone: "quiet"},
		&note{line: p.line("tub.why.cover"), tone: "quiet"})
	if m.SaltMilligrams > 0 {
		p.add(&note{line: p.line("tub.why.brine", in("salt", plain(p.num(int(m.SaltMilligrams/1000))))), tone: "quiet"})
	}
	return fits
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
func (p *page) yieldRow(b *kitchen.Batch) []pair {
	in, out := b.InGrams, int64(0)
	if b.Status != kitchen.Used || in == 0 {
		return nil
	}
	for _, id := range b.Children {
		c := p.State.Batch(id)
		if c == nil || len(c.Parents) != 1 || c.InGrams == 0 {
			return nil // shared with another batch, or never weighed
		}
		out += c.InGrams
	}
	if out == 0 {
		return nil
	}
	gain := physics.Gain(in, out)
	if b.Mix.Water > 0 {
		return []pair{{p.t("yield.pickup"), plain(p.t("yield.pickup.is", "percent", p.l.Decimal(tenths(gain), 1), "in", p.l.Amount(in, "g")))}}
	}
	return []pair{{p.t("yield"), plain(p.t("yield.is", "percent", p.l.Decimal(tenths(gain+10_000), 1),
		"in", p.l.Amount(in, "g"), "out", p.l.Amount(out, "g")))}}
}

// tenths rounds hundredths to tenths, halves away from nothing.
func tenths(hundredths int64) int64 {
	if hundredths < 0 {
		return -tenths(-hundredths)
	}
	return (hundredths + 5) / 10
}
