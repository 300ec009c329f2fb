package kitchen_test

import "brinebell/internal/core/entry"

// demand tells of what was asked for, and of what will be.
func (m *maker) demand() {
	item, day := pick(&m.side, []string{"pieces", "pieces", "none"}), m.state.WallDay(m.now)
	switch m.side.Below(4) {
	case 0:
		m.sayAs(m.side.ID(m.now), pick(&m.side, m.devices), "ann", &entry.Away{Item: item, Pieces: int64(m.side.Below(4))})
	case 1:
		s := &entry.Sales{Item: item, Day: day - int32(m.side.Below(60)), From: uint32(m.side.Below(1440)), Each: uint32(15 * m.side.Below(5))}
		for range m.side.Below(30) {
			s.Pieces = append(s.Pieces, int64(m.side.Below(60))-2)
		}
		m.sayAs(m.side.ID(m.now), pick(&m.side, m.devices), "ben", s)
	default:
		id := m.side.ID(m.now)
		d := &entry.Demand{Demand: id, Item: item, Day: day + int32(m.side.Below(4)), From: 600, To: uint32(600 + m.side.Below(90)),
			Pieces: int64(m.side.Below(40)) - 3, Sort: pick(&m.side, []string{entry.DemandTyped, entry.DemandOrder, entry.DemandEvent})}
		if len(m.told) > 0 && m.side.One(3) {
			d.Demand = pick(&m.side, m.told)
		}
		m.told = append(m.told, d.Demand)
		m.sayAs(id, pick(&m.side, m.devices), pick(&m.side, m.crew), d)
	}
}
