package planning

import (
	"cmp"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/window"
)

// where returns the chain of a batch, as its own version has it, and at which of its stages it is; nil when it is none.
func (b *building) where(x *kitchen.Batch) (*chain, int) {
	p := b.s.Procedure(x.Procedure, x.Version)
	if p == nil {
		return nil, 0
	}
	c := chainOf(p, b.eq)
	_, k := p.Stage(x.Stage)
	if c == nil || k < 0 {
		return nil, 0
	}
	return c, k
}

// standing is a lot with the batches that it is made of.
type standing struct {
	planner.Lot
	grams  int64
	shares []Share
}

// stock lists what stands in the kitchen, with its real ages.
func (b *building) stock() {
	var hot, coated, marinated []standing
	for n := range b.s.Batches {
		x := &b.s.Batches[n]
		i := b.itemOf(x.Procedure)
		if x.Status != kitchen.Open || i < 0 || b.without(x.ID) {
			continue
		}
		c, k := b.where(x)
		if c == nil || !b.usable(x) {
			continue
		}
		lot := b.lot(x, c, k, i)
		switch {
		case lot.Amount <= 0 && k >= c.fry || lot.grams <= 0 && k < c.fry:
		case k < c.coat:
			marinated = put(marinated, lot)
		case k < c.fry:
			coated = put(coated, lot)
		default:
			hot = put(hot, lot)
		}
	}
	b.p.Marinated, b.n.Marinated = b.settle(marinated, 0)
	b.p.Coated, b.n.Coated = b.settle(coated, 1)
	b.p.Hot, b.n.Hot = b.settle(hot, 2)
}

func (b *building) itemOf(name string) int {
	for i := range b.n.Items {
		if b.n.Items[i].Procedure == name {
			return i
		}
	}
	return -1
}

// usable tells whether the kitchen lets a batch go on, and says so when it does not.
func (b *building) usable(x *kitchen.Batch) bool {
	w := b.s.Window(x)
	text := ""
	switch off := b.s.Deviation(x.Doubt); {
	case x.Frozen != 0:
		text = "pl.miss.frozen"
	case x.Kept:
		text = "pl.miss.kept"
	case off != nil && !off.Closed:
		text = "pl.miss.doubt"
	case window.At(&w, b.now.Since(x.Since)) == window.Past:
		text = "pl.miss.past"
	default:
		return true
	}
	b.miss(text, Missing{Batch: x.ID}, Arg{Name: "item", Kind: ArgItem, S: x.Procedure}, Arg{Name: "vessel", Kind: ArgVessel, N: int64(x.Number), S: x.Vessel},
		Arg{Name: "grams", Kind: ArgGrams, N: x.Grams})
	return false
}

// lot is what a batch gives, and when it is ready and until when it can be used.
func (b *building) lot(x *kitchen.Batch, c *chain, k, i int) standing {
	w := b.s.Window(x)
	floor, ceiling := c.least(k), w.Ceiling
	if ceiling == 0 {
		ceiling = farOff
	}
	if k == c.coat-1 && c.drain > 0 {
		floor = w.Floor // it drains already: no longer than it must
	}
	leaves := max(b.now, x.Since.Add(floor))
	last := x.Since.Add(ceiling)
	l := standing{grams: x.Grams, shares: []Share{{Batch: x.ID, Code: x.Code, Vessel: x.Vessel, Number: x.Number, Place: x.Place, Grams: x.Grams, Drains: k == c.coat-1 && c.drain > 0}}}
	l.Item = i
	ready, until, best := leaves, last, last
	switch {
	case k < c.coat:
		best = x.Since.Add(min(c.best(k), ceiling))
		more := c.sum(k+1, c.coat, c.least)
		ready, until, best = leaves.Add(more), last.Add(more), best.Add(more)
		if before := c.drainAt(); c.waits(0, k+1) == 0 { // it is still being mixed
			until, best = x.Since.Add(c.sum(0, before, c.waited(c.most))+c.drain), x.Since.Add(c.sum(0, before, c.waited(c.best))+c.drain)
		}
	case k < c.fry:
		more := c.sum(k+1, c.fry, c.waited(c.least))
		ready, until = leaves.Add(c.sum(k+1, c.fry, c.least)), last.Add(more)
		if c.waits(c.coat, k+1) == 0 {
			until = x.Since.Add(c.sum(c.coat, c.fry, c.waited(c.most)))
		}
	case k < c.out:
		out := b.comesOut(x, c, k)
		ready, until = out.Add(c.sum(c.out, c.hold, c.usual)), out.Add(most(&c.p.Stages[c.hold]))
	case k < c.hold:
		ready, until = max(b.now, x.Since.Add(c.usual(k))).Add(c.sum(k+1, c.hold, c.usual)), b.now.Add(most(&c.p.Stages[c.hold]))
	}
	if k >= c.fry {
		l.Amount = int(x.Pieces)
		if x.Pieces == 0 && x.InPieces == 0 && c.p.PieceGrams > 0 {
			l.Amount = int(x.Grams / c.p.PieceGrams)
		}
		l.shares[0].Units = l.Amount
	}
	l.Ready, l.Until, l.Best = b.upTo(ready), b.minute(until), b.minute(best)
	return l
}

// put adds a lot to those that are alike: a few pans of one tub are one lot, so that not a part of a unit is lost in each.
func put(list []standing, l standing) []standing {
	for i := range list {
		o := &list[i]
		if o.Item == l.Item && o.Ready == l.Ready && o.Until == l.Until && o.Best == l.Best {
			o.grams, o.Amount = o.grams+l.grams, o.Amount+l.Amount
			o.shares = append(o.shares, l.shares...)
			return list
		}
	}
	return append(list, l)
}

// settle puts lots in the order in which they expire, and makes what a planner may rest on so: none that expires earlier is ready
// later, none can be used longer than what could be made now. Each is only ever used later or given up earlier for that.
func (b *building) settle(list []standing, stage int) (lots []planner.Lot, names [][]Share) {
	order.Stable(list, func(x, y standing) int {
		return cmp.Or(cmp.Compare(x.Item, y.Item), cmp.Compare(x.Until, y.Until), cmp.Compare(x.Ready, y.Ready), cmp.Compare(x.Best, y.Best))
	})
	now := b.upTo(b.now)
	for i := range list {
		l := &list[i]
		l.Until = min(l.Until, b.longest(l.Item, stage))
		l.Best = min(l.Best, l.Until)
		if i > 0 && list[i-1].Item == l.Item {
			l.Ready = max(l.Ready, list[i-1].Ready)
		}
		if stage < 2 {
			l.Amount = int(l.grams / max(b.n.Items[l.Item].UnitGrams, 1))
		}
	}
	for i := len(list) - 2; i >= 0; i-- {
		if o := &list[i+1]; o.Item == list[i].Item {
			list[i].Best = min(list[i].Best, o.Best)
		}
	}
	for i, l := range list {
		if stage == 0 && b.o.NewestFirst && l.Best < now && i+1 < len(list) && list[i+1].Item == l.Item {
			b.n.lost += b.p.Items[l.Item].Marinate.DiscardCost * planner.Money(l.Amount)
			continue
		}
		if l.Amount > 0 && l.Until >= now {
			lots, names = append(lots, l.Lot), append(names, l.shares)
		}
	}
	return lots, names
}

// longest is until when what is made at the problem's start can be used.
func (b *building) longest(i, stage int) int {
	it := &b.p.Items[i]
	switch stage {
	case 0:
		return b.p.Start + it.Marinate.Max + it.Marinate.Drain
	case 1:
		return b.p.Start + it.Coat.SetMax
	}
	return b.p.Start + it.Cook.Out + it.Cook.Hold
}

// places makes room for what stands there already: it is there, however few places the document has.
func (b *building) places() {
	for stage, lots := range [2][]planner.Lot{b.p.Marinated, b.p.Coated} {
		need := 0
		parts := map[int]int{}
		for _, l := range lots {
			parts[l.Item] += l.Amount
		}
		for i := range b.p.Items {
			per := 1
			switch {
			case stage == 0 && b.p.Items[i].Marinate != nil:
				per = b.p.Items[i].Marinate.TubUnits
			case stage == 1 && b.p.Items[i].Coat != nil:
				per = b.p.Items[i].Coat.UnitsPerPan
			}
			need += (parts[i] + per - 1) / per
		}
		room := &b.p.Tubs
		if stage == 1 {
			room = &b.p.Pans
		}
		if need > *room {
			b.miss([2]string{"pl.miss.tubs", "pl.miss.pans"}[stage], Missing{}, Arg{Name: "n", N: int64(need)}, Arg{Name: "most", N: int64(*room)})
			*room = need
		}
	}
}
