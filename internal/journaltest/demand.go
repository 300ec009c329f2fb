package journaltest

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

var demandSorts = []string{entry.DemandTyped, entry.DemandOrder, entry.DemandEvent, entry.DemandLike, "guess"}

// demand is what is told of what will be asked for, and of what was.
func (m *maker) demand() {
	day := int32((m.now - 5*stamp.Milli(stamp.Hour)) / stamp.Milli(stamp.Day))
	switch m.rand.IntN(4) {
	case 0:
		m.add(&entry.Away{Item: pick(m, procedures), Pieces: m.rand.Int64N(5)})
	case 1:
		s := &entry.Sales{Item: pick(m, procedures), Day: day - int32(m.rand.IntN(70)), From: uint32(m.rand.IntN(1500)),
			Each: pick(m, []uint32{0, 5, 15, 60, 1440})}
		for range m.rand.IntN(20) {
			s.Pieces = append(s.Pieces, m.rand.Int64N(60)-2)
		}
		m.add(s)
	default:
		id := m.id()
		d := &entry.Demand{Demand: id, Item: pick(m, append(procedures, "")), Day: day + int32(m.rand.IntN(5)) - 2, From: uint32(m.rand.IntN(1440)),
			Pieces: m.rand.Int64N(90) - 9, Sort: pick(m, demandSorts), Title: "A bus"}
		if m.one(3) && len(m.told) > 0 {
			d.Demand = pick(m, m.told)
		}
		d.To = d.From + uint32(m.rand.IntN(300))
		m.told = append(m.told, d.Demand)
		m.addAs(id, d)
	}
}
