package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
)

// Bounds of what is told of demand.
const (
	demandMost  = 9999
	demandAhead = 400 // days
	demandDays  = 2   // days that a span may touch: one after midnight belongs to the evening before
)

// demanded decides what is told of what was asked for, and of what will be.
func (d *deciding) demanded() *Refusal {
	switch d.c.Do {
	case DoAway:
		return d.away()
	case DoDemand:
		return d.demand()
	case DoSales:
		return d.sales()
	}
	return d.household()
}

func (d *deciding) away() *Refusal {
	if d.s.Procedure(d.c.Procedure, 0) == nil {
		return &Refusal{Code: RefNoProcedure, Name: d.c.Procedure}
	}
	return d.add(&entry.Away{Item: d.c.Procedure, Pieces: min(max(d.c.Count, 1), demandMost)})
}

// demand decides about what is told of a day. A bus may be told by whoever hears of it; what takes the place of the forecast is the
// lead's.
func (d *deciding) demand() *Refusal {
	c := d.c
	if c.Answer != entry.DemandEvent {
		if r := d.lead(); r != nil {
			return r
		}
	}
	old := d.s.ToldBy(c.Entry)
	if c.Closes {
		if old == nil {
			return &Refusal{Code: RefNoEntry}
		}
		old.Demand.Pieces = -1
		return d.add(&old.Demand)
	}
	b := &entry.Demand{Demand: c.Entry, Item: c.Procedure, Day: c.Day, From: uint32(c.Value), To: uint32(c.Number), Pieces: c.Count,
		Sort: c.Answer, Title: clean(c.Name)}
	if r := d.fits(b); r != nil {
		return r
	}
	if old != nil && string(wireBytes(&old.Demand)) == string(wireBytes(b)) {
		return nil
	}
	id := d.newID()
	if b.Demand.IsZero() {
		b.Demand = id
	}
	d.drafts = append(d.drafts, Draft{ID: id, Body: b})
	return nil
}

// fits refuses what nobody can mean.
func (d *deciding) fits(b *entry.Demand) *Refusal {
	today := int64(d.s.WallDay(d.now))
	ahead, most := int64(b.Day)-today, int64(demandMost)
	guests := b.Item == "" && b.Sort == entry.DemandEvent
	if b.Sort == entry.DemandLike {
		guests, most = b.Item == "", 7
	}
	const day = 24 * 60
	known := slices.Contains([]string{entry.DemandTyped, entry.DemandOrder, entry.DemandEvent, entry.DemandLike, entry.DemandRaw}, b.Sort)
	switch {
	case !known || d.c.Value < 0 || d.c.Value >= day || d.c.Number <= d.c.Value || d.c.Number > demandDays*day:
		return &Refusal{Code: RefBadCommand, Name: d.c.Do}
	case !guests && d.s.Procedure(b.Item, 0) == nil:
		return &Refusal{Code: RefNoProcedure, Name: b.Item}
	case ahead > demandAhead || ahead <= -SellingDays:
		return &Refusal{Code: RefUnlikely, Number: ahead, Limit: demandAhead, Unit: "day"}
	case b.Pieces < 0 || b.Pieces > most:
		return &Refusal{Code: RefUnlikely, Number: b.Pieces, Limit: most, Unit: "1"}
	case b.Pieces == 0 && (b.Sort == entry.DemandOrder || b.Sort == entry.DemandEvent):
		return &Refusal{Code: RefNeedNumber, Unit: "1"}
	}
	return nil
}

// sales brings in what a file says that was sold: only what is not known already. With Closes what was brought of an item goes.
func (d *deciding) sales() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	list := d.c.Sales
	if d.c.Closes {
		list = nil
		for _, x := range d.s.SalesOf(d.c.Procedure) {
			if x.Each() > 0 {
				list = append(list, entry.Sales{Item: d.c.Procedure, Day: x.Day})
			}
		}
	}
	for i := range list {
		if !d.s.HasSales(&list[i]) {
			d.add(&list[i])
		}
	}
	return nil
}

// HasSales tells whether the state says already what a file says of an item's day.
func (s *State) HasSales(b *entry.Sales) bool {
	d := s.Sales(b.Item, b.Day)
	if d == nil {
		d = new(SalesDay)
	}
	for i, n := range Brought(b) {
		if int64(d[eachAt+i]) != n {
			return false
		}
	}
	return true
}
