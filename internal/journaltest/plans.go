package journaltest

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// plan is what a lead decides about days: a plan that is taken on, a shift that is told.
func (m *maker) plan() {
	day := int32((m.now - 5*stamp.Milli(stamp.Hour)) / stamp.Milli(stamp.Day))
	if m.one(3) {
		from := uint32(m.rand.IntN(1440))
		m.add(&entry.Shift{Station: pick(m, []string{"cold-prep", "coating", "nowhere"}), Day: day + int32(m.rand.IntN(3)) - 1,
			From: from, To: from + uint32(m.rand.IntN(600)), Crew: pick(m, crew)})
		return
	}
	p := &entry.PlanAccepted{Day: day + int32(m.rand.IntN(2)), Version: 1, Cost: m.rand.Int64N(9_000_000_000), Ring: m.one(2)}
	p.Zero = stamp.Milli(p.Day)*stamp.Milli(stamp.Day) + 5*stamp.Milli(stamp.Hour)
	p.From = int32((m.now - p.Zero) / stamp.Milli(stamp.Minute))
	p.To, p.Bound = p.From+int32(m.rand.IntN(1440)), p.Cost*9/10
	for range 1 + m.rand.IntN(3) {
		p.Items = append(p.Items, entry.PlanItem{Item: pick(m, procedures), Demand: m.rand.Int64N(300), Sold: m.rand.Int64N(300), Unit: 4, Grams: 620})
	}
	at := p.From
	for range m.rand.IntN(9) {
		at += int32(m.rand.IntN(90)) - 3
		p.Rows = append(p.Rows, entry.PlanRow{Deed: uint8(m.rand.IntN(5)), Item: uint8(m.rand.IntN(4)), Start: at, Spell: 15,
			Units: uint32(m.rand.IntN(14)), Tubs: uint32(m.rand.IntN(3)), Place: pick(m, places)})
	}
	m.add(p)
}
