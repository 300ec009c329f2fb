package planning

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// anyDeed: drops, coats and tubs.
var anyDeed = [3]bool{true, true, true}

// Left is what is left to do of a plan that was taken on.
func Left(s *kitchen.State, m *kitchen.PlanMark) Plan {
	e := m.PlanAccepted
	e.Rows = nil
	for k, row := range m.Rows {
		if !s.Did(m, k) {
			e.Rows = append(e.Rows, row)
		}
	}
	return Accepted(&e)
}

// Changes lists what happened in the kitchen since a plan was taken on that may make it another: what is nearest to the work first.
func Changes(s *kitchen.State, m *kitchen.PlanMark, now stamp.Milli) []Change {
	list := outOfUse(s, m, now)
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Status == kitchen.Discarded && b.EndedAt >= m.At {
			list = append(list, Change{Say: Say{Text: "pl.chg.discard", Args: []Arg{{Name: "vessel", Kind: ArgVessel, N: int64(b.Number), S: b.Vessel},
				{Name: "item", Kind: ArgItem, S: b.Procedure}}}, Item: b.Procedure, Deeds: anyDeed})
		}
	}
	list = append(list, told(s, m)...)
	for _, x := range s.Shifts() {
		if x.At < m.At {
			continue
		}
		c := Change{Say: Say{Text: "pl.chg.shift", Args: []Arg{{Name: "station", Kind: ArgStation, S: x.Station}, {Name: "from", Kind: ArgTime, N: int64(clockOf(s, &x, x.From))},
			{Name: "to", Kind: ArgTime, N: int64(clockOf(s, &x, x.To))}}}, Deeds: anyDeed}
		if x.From == x.To {
			c.Text = "pl.chg.nobody"
		}
		list = append(list, c)
	}
	list = append(list, late(s, m, now)...)
	if doc := s.PlanDocument(); doc != nil && doc.Version != m.Version {
		list = append(list, Change{Say: Say{Text: "pl.chg.document"}, Deeds: anyDeed})
	}
	return list
}

func clockOf(s *kitchen.State, x *kitchen.ShiftMark, minute uint32) stamp.Milli {
	return s.WallAt(x.Day+int32(minute/1440), stamp.Span(minute%1440)*stamp.Minute)
}

// outOfUse lists the fryers that the plan counted on and that can't be counted on any more.
func outOfUse(s *kitchen.State, m *kitchen.PlanMark, now stamp.Milli) (list []Change) {
	eq := s.Equipment()
	for i := range eq.Devices {
		d := &eq.Devices[i]
		used := false
		for k := range m.Rows {
			row := &m.Rows[k] // what began before was of the plans before it
			used = used || row.Deed == entry.PlanLoad && row.Place == d.Name && row.Start >= m.From
		}
		if !used {
			continue
		}
		say := Say{Args: []Arg{{Name: "place", Kind: ArgPlace, S: d.Name}}}
		r := s.Unchecked(d, now)
		switch {
		case s.Place(d.Name).Out:
			say.Text = "pl.chg.out"
		case r != nil && r.Code == kitchen.RefReadingOff:
			say.Text = "pl.chg.oil"
		default:
			continue
		}
		list = append(list, Change{Say: say, Fryer: d.Name, Deeds: anyDeed})
	}
	return list
}

// told lists what was told of demand.
func told(s *kitchen.State, m *kitchen.PlanMark) (list []Change) {
	all := s.Told()
	for i := range all {
		x := &all[i]
		at := s.WallAt(x.Day+int32(x.From/1440), stamp.Span(x.From%1440)*stamp.Minute)
		if made(x.Demand.Demand) < m.At || at > m.PlanAccepted.At(m.To) {
			continue
		}
		c := Change{Say: Say{Text: "pl.chg.demand", Args: []Arg{{Name: "time", Kind: ArgTime, N: int64(at)}, {Name: "n", N: x.Pieces}, {Name: "title", Kind: ArgText, S: x.Title}}},
			Item: x.Item, Deeds: anyDeed}
		switch {
		case x.Sort == entry.DemandEvent && x.Item == "":
			c.Text = "pl.chg.guests"
		case x.Sort == entry.DemandRaw:
			c.Text = "pl.chg.raw"
		case x.Sort == entry.DemandEvent, x.Sort == entry.DemandOrder:
			c.Text = "pl.chg.more"
		}
		if x.Item != "" {
			c.Args = append(c.Args, Arg{Name: "item", Kind: ArgItem, S: x.Item}, Arg{Name: "amount", Kind: ArgPieces, N: x.Pieces, S: x.Item})
		}
		list = append(list, c)
	}
	return list
}

// lateFrom is from when what the plan wanted counts as late.
const lateFrom = 3 * stamp.Minute

// late lists what the plan wanted by now and nobody has done: the latest of each item and deed.
func late(s *kitchen.State, m *kitchen.PlanMark, now stamp.Milli) (list []Change) {
	for k := len(m.Rows) - 1; k >= 0; k-- {
		row := &m.Rows[k]
		at := m.PlanAccepted.At(row.Start)
		if row.Deed == entry.PlanKeep || int(row.Item) >= len(m.Items) || now.Since(at) < lateFrom || s.Did(m, k) {
			continue
		}
		item := m.Items[row.Item].Item
		text := "pl.chg.late." + [3]string{"drop", "coat", "tub"}[row.Deed]
		known := false
		for i := range list {
			known = known || list[i].Item == item && list[i].Text == text
		}
		if !known {
			list = append(list, Change{Say: Say{Text: text, Args: []Arg{{Name: "time", Kind: ArgTime, N: int64(at)}, {Name: "item", Kind: ArgItem, S: item}}},
				Item: item, Deeds: anyDeed})
		}
	}
	return list
}

// made is when an id was made: the time in it (RFC 9562).
func made(id entry.ID) (at stamp.Milli) {
	for _, b := range id[:6] {
		at = at<<8 | stamp.Milli(b)
	}
	return at
}
