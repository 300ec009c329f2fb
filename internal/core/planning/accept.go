package planning

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
)

// Accept is the entry by which a lead takes a plan on.
func Accept(p *Plan, n *Names, ring bool) *entry.PlanAccepted {
	minute := func(at stamp.Milli) int32 { return int32(at.Since(n.Zero) / stamp.Minute) }
	e := &entry.PlanAccepted{Day: p.Day, Version: p.Version, Zero: n.Zero, From: minute(p.Made), To: minute(p.Until),
		Cost: int64(p.Cost), Bound: int64(p.Bound), Ring: ring}
	for i, it := range n.Items {
		e.Items = append(e.Items, entry.PlanItem{Item: it.Procedure, Demand: int64(p.Sold[i].Asked), Sold: int64(p.Sold[i].Sold),
			Unit: int64(it.Pieces), Grams: it.UnitGrams, Vessels: it.Vessels})
	}
	item := func(name string) uint8 {
		for i := range n.Items {
			if n.Items[i].Procedure == name {
				return uint8(i)
			}
		}
		return 0
	}
	spell := func(from, to stamp.Milli) int32 { return int32(to.Since(from) / stamp.Minute) }
	for _, t := range p.Tubs {
		e.Rows = append(e.Rows, entry.PlanRow{Deed: entry.PlanTubs, Item: item(t.Item), Start: minute(t.Start), Spell: spell(t.Start, t.End),
			Units: uint32(t.Units), Tubs: uint32(len(t.Vessels)), Place: t.Station})
	}
	for _, c := range p.Coats {
		e.Rows = append(e.Rows, entry.PlanRow{Deed: entry.PlanCoat, Item: item(c.Item), Start: minute(c.Start), Spell: spell(c.Start, c.End),
			Units: uint32(c.Units), Place: c.Station})
	}
	for _, d := range p.Drops {
		row := entry.PlanRow{Deed: entry.PlanLoad, Item: item(d.Item), Start: minute(d.Start), Spell: spell(d.Start, d.Free), Units: uint32(d.Units), Place: d.Fryer}
		if d.Rush >= 0 {
			row.Rush = minute(n.Rushes[d.Rush].At)
		}
		e.Rows = append(e.Rows, row)
	}
	for _, k := range p.Keeps {
		row := entry.PlanRow{Deed: entry.PlanKeep, Item: item(k.Item), Start: minute(k.At), Units: uint32(k.Units)}
		if k.Coated {
			row.Tubs = 1
		}
		e.Rows = append(e.Rows, row)
	}
	order.Stable(e.Rows, func(a, b entry.PlanRow) int { return cmp.Compare(a.Start, b.Start) })
	return e
}

// Accepted is a plan that was taken on, in rows: as much of them as an entry tells.
func Accepted(m *entry.PlanAccepted) Plan {
	p := Plan{Day: m.Day, Made: m.At(m.From), Until: m.At(m.To), Version: m.Version, Cost: planner.Money(m.Cost), Bound: planner.Money(m.Bound)}
	for _, x := range m.Rows {
		if int(x.Item) >= len(m.Items) {
			continue
		}
		it := &m.Items[x.Item]
		at, end := m.At(x.Start), m.At(x.Start+x.Spell)
		grams := int64(x.Units) * it.Grams
		switch x.Deed {
		case entry.PlanTubs:
			p.Tubs = append(p.Tubs, Tub{Item: it.Item, Start: at, End: end, Station: x.Place, Units: int(x.Units), Grams: grams, Vessels: make([]Vessel, min(x.Tubs, 99))})
		case entry.PlanCoat:
			p.Coats = append(p.Coats, Coat{Item: it.Item, Start: at, End: end, Station: x.Place, Units: int(x.Units), Grams: grams})
		case entry.PlanLoad:
			p.Drops = append(p.Drops, Drop{Item: it.Item, Start: at, Free: end, Fryer: x.Place, Units: int(x.Units), Pieces: int(int64(x.Units) * it.Unit), Grams: grams, Rush: -1})
		case entry.PlanKeep:
			p.Keeps = append(p.Keeps, Carried{Item: it.Item, At: at, Units: int(x.Units), Grams: grams, Coated: x.Tubs > 0})
		}
	}
	return p
}

// Warm is the plan that was taken on as a plan of another problem: what the kitchen has not begun of it, whether it still goes or not.
// A planner begins with it; nil when there is none of the day.
func Warm(s *kitchen.State, p *planner.Problem, n *Names) *planner.Plan {
	m := s.PlanOf(n.Day)
	if m == nil {
		return nil
	}
	x := &planner.Plan{Carry: make([][]planner.From, len(p.Carry))}
	off := int(m.Zero.Since(n.Zero) / stamp.Minute)
	for k, row := range m.Rows {
		if int(row.Item) >= len(m.Items) || s.Did(m, k) {
			continue
		}
		name, t := &m.Items[row.Item], int(row.Start)+off
		i := n.item(name.Item)
		if i < 0 {
			continue
		}
		units := int(int64(row.Units) * name.Grams / max(n.Items[i].UnitGrams, 1))
		switch row.Deed {
		case entry.PlanLoad:
			x.Loads = append(x.Loads, planner.Load{Item: i, Start: snap(p.Start, t, p.Tick, n.Now, n.Zero), Units: units})
		case entry.PlanCoat, entry.PlanTubs:
			one := planner.Session{Item: i, Start: snap(p.Start, t, p.Block, n.Now, n.Zero), Blocks: (int(row.Spell) + p.Block - 1) / p.Block, Units: units, Tubs: int(row.Tubs)}
			if row.Deed == entry.PlanCoat {
				x.Coats = append(x.Coats, one)
			} else {
				x.Marinades = append(x.Marinades, one)
			}
		}
	}
	return x
}

// snap puts a minute on a grid, and what should have been done by now a little later.
func snap(start, t, grid int, now, zero stamp.Milli) int {
	soon := -floorDiv(-int(now.Since(zero)), int(stamp.Minute))
	return start - floorDiv(start-max(t, soon), grid)*grid
}

func (n *Names) item(name string) int {
	for i := range n.Items {
		if n.Items[i].Procedure == name {
			return i
		}
	}
	return -1
}
