package planning

import (
	"brinebell/internal/core/demand"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// keeps sets what should stand ready for the day after.
func (b *building) keeps() {
	for k := range b.doc.Keeps {
		keep := &b.doc.Keeps[k]
		i := b.itemOf(keep.Item)
		if i < 0 || !procedure.On(b.doc.Item(keep.Item).Days, kitchen.Weekday(b.day+1)) {
			continue
		}
		c := planner.Carry{Item: i, Coated: keep.Coated, At: max(b.p.Close, b.clock(b.day+1, keep.By)), Units: keep.Units, ShortCost: money(keep.Short)}
		if units, ok := b.keepUnits(keep, &c); ok {
			c.Units = units
		}
		if c.Units > 0 {
			b.p.Carry = append(b.p.Carry, c)
		}
	}
}

// keepUnits is how many units should stand ready: what is asked for until that can be sold which is begun on that day itself. What it leaves
// can be used until it is past its limit. False where nothing was ever sold: then the document says what is usual.
func (b *building) keepUnits(keep *procedure.PlanKeep, c *planner.Carry) (int, bool) {
	it, day := &b.p.Items[c.Item], b.day+1
	open := b.hours(b.doc.Open, day)
	if len(open) == 0 {
		return 0, true
	}
	from, to, last := open[0].from, b.fresh(c.Item, keep.Coated), open[len(open)-1].to
	discard := int64(0)
	if keep.Coated {
		last = min(last, c.At+it.Coat.SetMax-it.Coat.SetMin)
		discard = int64(it.Coat.DiscardCost)
	} else {
		last = min(last, c.At+it.Marinate.Max-it.Marinate.Min)
		discard = int64(it.Marinate.DiscardCost)
		for k := range b.doc.Keeps { // until then it is that which stands there coated
			if o := &b.doc.Keeps[k]; o.Coated && o.Item == keep.Item {
				from = max(from, b.fresh(c.Item, true))
			}
		}
	}
	zero := b.clock(day, 0)
	first := (from - zero) / kitchen.SlotMinutes
	d := demand.Of(b.s, demand.Ask{Now: b.now, Item: keep.Item, Day: day, From: first * kitchen.SlotMinutes, To: max(last, from) - zero,
		Price: forecast.Ratio{Short: int64(c.ShortCost), Over: discard}, More: b.o.Demand})
	if d.Outlook.Days == 0 {
		return 0, false
	}
	until := min(max(to, from), max(last, from)) - zero
	pieces, fixed, typed := d.Sum(d.From, until)
	if !typed {
		slots := func(minute int) int { return (minute - d.From + kitchen.SlotMinutes - 1) / kitchen.SlotMinutes }
		spans := []forecast.Span{d.Outlook.Span(0, slots(until))}
		if n := slots(d.To); n > slots(until) {
			spans = append(spans, d.Outlook.Span(slots(until), n))
		}
		pieces = fixed + forecast.Keeping(spans, forecast.Left{Short: int64(c.ShortCost), Discard: discard})
	}
	return (pieces + it.UnitPieces - 1) / it.UnitPieces, true
}

// fresh is the first minute of the day after at which something can be sold of an item that is begun on that day: out of what is
// coated then, or even of what is marinated then.
func (b *building) fresh(i int, coated bool) int {
	it := &b.p.Items[i]
	at := b.opens(it.Coat.Station)
	if m := it.Marinate; !coated && m != nil {
		at = max(at, b.opens(m.Station)+m.Modes[0].Blocks*b.p.Block+m.Min+m.Drain)
	}
	return at + it.Coat.Modes[0].Blocks*b.p.Block + it.Coat.SetMin + it.Cook.Out + it.Cook.Ready
}

// opens is when somebody comes to a station on the day after; when the day ends, if nobody does.
func (b *building) opens(station int) int {
	if spans := b.manned(&b.doc.Stations[station], b.day+1); len(spans) > 0 {
		return spans[0].from
	}
	return b.clock(b.day+1, stamp.Day)
}
