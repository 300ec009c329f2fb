package kitchen

import (
	"cmp"
	"math/bits"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// How a day is cut up: sales by slots, what stood in the hold by cells, which are short so that three of them tell whether a
// slot was without.
const (
	SlotMinutes = 15
	DaySlots    = 24 * 60 / SlotMinutes
	CellMinutes = 5
	DayCells    = 24 * 60 / CellMinutes
)

// SellingDays is for how many days what was asked for stays in the state.
const SellingDays = 56

// ItemSales is what was asked for of an item in the last weeks.
type ItemSales struct {
	Item string     // procedure
	Days []SalesDay // by Day
}

// SalesDay is what was asked for of an item on one of the kitchen's days.
type SalesDay struct {
	Day    int32
	Wasted int64
	Each   uint32 // minutes of a slot of the file that tells what was sold; 0: it was counted here
	Packed []byte // Slots, see there
}

// Slots is a day slot by slot. Nothing sold where there was nothing says nothing about what would have been.
type Slots struct {
	Sold, Away [DaySlots]uint32 // pieces
	There      [DayCells]bool   // something was in the hold
}

// DemandMark is what was told of a day's demand.
type DemandMark struct {
	entry.Demand
	At stamp.Milli
	By string
}

// toldMost bounds State.Told; typedStays is for how many days a number that was typed is of use.
const (
	toldMost   = 256
	typedStays = 2
	toldAhead  = 400
)

// SalesOf returns what was asked for of an item, by day. It is not to be changed.
func (s *State) SalesOf(item string) []SalesDay {
	if i, ok := slices.BinarySearchFunc(s.Selling, item, bySold); ok {
		return s.Selling[i].Days
	}
	return nil
}

func bySold(x ItemSales, item string) int     { return cmp.Compare(x.Item, item) }
func bySalesDay(d SalesDay, day int32) int    { return cmp.Compare(d.Day, day) }
func demandID(d *DemandMark) entry.ID         { return d.Demand.Demand }
func minuteOf(clock stamp.Span) int           { return int(clock / stamp.Minute) }
func (s *State) within(day, today int32) bool { return day <= today+1 && day > today-SellingDays }
func more(n *uint32, by int64)                { *n = uint32(min(int64(*n)+amount(by), 1<<20)) }

// selling changes what was asked for of an item on a day, unless the kitchen has no such item or the day is out of reach.
func (f *folding) selling(item string, day int32, change func(d *SalesDay, x *Slots)) bool {
	if !f.s.within(day, f.s.WallDay(f.at)) || f.s.Procedure(item, 0) == nil {
		return false
	}
	i, ok := slices.BinarySearchFunc(f.s.Selling, item, bySold)
	if !ok {
		f.s.Selling = order.Insert(f.s.Selling, i, ItemSales{Item: item})
	}
	days := &f.s.Selling[i].Days
	i, ok = slices.BinarySearchFunc(*days, day, bySalesDay)
	if !ok {
		*days = order.Insert(*days, i, SalesDay{Day: day})
	}
	d := &(*days)[i]
	x := d.Slots()
	change(d, x)
	d.Packed = x.pack()
	return true
}

// sold takes a count of a tray.
func (f *folding) sold(b *Batch, sold, wasted int64) {
	day, clock := f.s.Wall(f.at)
	f.selling(b.Procedure, day, func(d *SalesDay, x *Slots) {
		d.Wasted += wasted
		if d.Each == 0 {
			more(&x.Sold[minuteOf(clock)/SlotMinutes], sold)
		}
	})
}

// offered marks for how long a batch stood for sale, when it no longer does.
func (f *folding) offered(b *Batch) {
	from, until := f.s.ForSale(b, f.at)
	for from < until {
		day, _ := f.s.Wall(from)
		if !f.selling(b.Procedure, day, func(_ *SalesDay, x *Slots) { from = f.s.show(x, day, from, until) }) {
			return
		}
	}
}

// ForSale returns since when and until when an open batch is for sale, as of an instant: nothing when it is not.
func (s *State) ForSale(b *Batch, now stamp.Milli) (from, until stamp.Milli) {
	st := s.Stage(b)
	if st == nil || st.Kind != procedure.Hold || b.Kept || b.Frozen != 0 || b.Since == 0 {
		return 0, 0
	}
	most := stamp.Day
	if c := s.Window(b).Ceiling; c > 0 && c < most {
		most = c
	}
	const cell = CellMinutes * stamp.Milli(stamp.Minute)
	return b.Since - b.Since%cell, min(now, b.Since.Add(most))
}

// show marks cells of a day, and returns the instant from which the rest is another day's.
func (s *State) show(x *Slots, day int32, from, until stamp.Milli) stamp.Milli {
	for ; from < until; from = from.Add(CellMinutes * stamp.Minute) {
		d, clock := s.Wall(from)
		if d != day {
			break
		}
		x.There[minuteOf(clock)/CellMinutes] = true
	}
	return from
}

// brought takes a day's sales out of a file: they stand in the place of what was counted.
func (f *folding) brought(b *entry.Sales) {
	f.selling(b.Item, b.Day, func(d *SalesDay, x *Slots) {
		d.Each, x.Sold = max(b.Each, 1), [DaySlots]uint32{}
		for i, n := range b.Pieces {
			if at := (uint64(b.From) + uint64(i)*uint64(d.Each)) / SlotMinutes; at < DaySlots {
				more(&x.Sold[at], n)
			}
		}
	})
}

// demanded folds what was asked for, and what will be.
func (f *folding) demanded(body entry.Body) {
	switch b := body.(type) {
	case *entry.Demand:
		f.demandTold(b)
	case *entry.Away:
		day, clock := f.s.Wall(f.at)
		f.selling(b.Item, day, func(_ *SalesDay, x *Slots) { more(&x.Away[minuteOf(clock)/SlotMinutes], b.Pieces) })
	case *entry.Sales:
		f.brought(b)
	default:
		f.planning(body)
	}
}

func (f *folding) demandTold(b *entry.Demand) {
	m := DemandMark{*b, f.at, f.e.Crew}
	if m.Demand.Demand.IsZero() {
		m.Demand.Demand = f.e.ID
	}
	i, ok := byID(f.s.Told, m.Demand.Demand, demandID)
	if ok {
		f.s.Told = slices.Delete(f.s.Told, i, i+1)
	}
	if b.Pieces < 0 {
		return
	}
	if f.s.Told = order.Insert(f.s.Told, i, m); len(f.s.Told) > toldMost {
		f.s.Told = f.s.Told[1:]
	}
}

func (s *State) pruneSelling(today int32) {
	for i := range s.Selling {
		x := &s.Selling[i]
		x.Days = slices.DeleteFunc(slices.Clone(x.Days), func(d SalesDay) bool { return !s.within(d.Day, today) })
	}
	s.Selling = slices.DeleteFunc(s.Selling, func(x ItemSales) bool { return len(x.Days) == 0 })
	s.Told = slices.DeleteFunc(s.Told, func(d DemandMark) bool {
		age := int64(today) - int64(d.Day)
		return age >= SellingDays || age < -toldAhead || d.Sort == entry.DemandTyped && age > typedStays
	})
}

// Slots reads what was packed.
//
// Packed are three rows of numbers: what was sold, who was turned away, and for how many cells in turn nothing and something was
// there. A row is its first number that is not 0 (how many are before it), how many there are from it on, and these; each
// number, and one more, as bits: as many zeros as it has binary digits after the first, then its digits.
func (d *SalesDay) Slots() *Slots {
	x, in, runs := new(Slots), bitRow{b: d.Packed}, [DayCells + 1]uint32{}
	in.take(x.Sold[:])
	in.take(x.Away[:])
	in.take(runs[:])
	cell := uint32(0)
	for i, n := range runs {
		for ; n > 0 && cell < DayCells; n-- {
			x.There[cell] = i%2 == 1
			cell++
		}
	}
	return x
}

func (x *Slots) pack() []byte {
	var out bitRow
	out.put(x.Sold[:])
	out.put(x.Away[:])
	var runs []uint32
	n, there := uint32(0), false
	for _, is := range x.There {
		if is != there {
			runs, n, there = append(runs, n), 0, is
		}
		n++
	}
	if there {
		runs = append(runs, n)
	}
	out.put(runs)
	return out.b
}

// bitRow is a row of bits that is written, or read from at.
type bitRow struct {
	b  []byte
	at int
}

func (r *bitRow) put(list []uint32) {
	for len(list) > 0 && list[len(list)-1] == 0 {
		list = list[:len(list)-1]
	}
	first := 0
	for first < len(list) && list[first] == 0 {
		first++
	}
	r.number(uint32(first))
	r.number(uint32(len(list) - first))
	for _, n := range list[first:] {
		r.number(n)
	}
}

func (r *bitRow) number(n uint32) {
	n++
	for i := 2*bits.Len32(n) - 2; i >= 0; i-- {
		if r.at%8 == 0 {
			r.b = append(r.b, 0)
		}
		r.b[r.at/8] |= byte(uint64(n)>>i&1) << (7 - r.at%8)
		r.at++
	}
}

func (r *bitRow) take(list []uint32) {
	first, n := r.next(), r.next()
	for i := range min(n, uint32(len(list))) {
		if v := r.next(); uint64(first)+uint64(i) < uint64(len(list)) {
			list[first+i] = v
		}
	}
}

// next reads a number; beyond the end there are only zeros.
func (r *bitRow) next() uint32 {
	digits := 0
	for digits < 24 && r.at < 8*len(r.b) && r.bit() == 0 {
		digits++
	}
	n := uint32(1)
	for range digits {
		n = n<<1 | r.bit()
	}
	return n - 1
}

func (r *bitRow) bit() uint32 {
	if r.at >= 8*len(r.b) {
		return 0
	}
	bit := r.b[r.at/8] >> (7 - r.at%8) & 1
	r.at++
	return uint32(bit)
}

// Fields implements wire.Fielder.
func (x *ItemSales) Fields(c *wire.Coder) {
	wire.Str(c, "item", &x.Item)
	wire.List(c, "days", &x.Days, wire.Framed[SalesDay])
}

// Fields implements wire.Fielder.
func (d *SalesDay) Fields(c *wire.Coder) {
	wire.Int(c, "day", &d.Day)
	wire.Int(c, "wasted", &d.Wasted)
	wire.Uint(c, "each", &d.Each)
	c.Bytes("packed", &d.Packed)
}

// Fields implements wire.Fielder.
func (d *DemandMark) Fields(c *wire.Coder) {
	wire.Int(c, "at", &d.At)
	wire.Str(c, "by", &d.By)
	d.Demand.Fields(c)
}

// SellingPrint is another one whenever what was asked for or told has changed.
func (s *State) SellingPrint() string {
	var c []byte
	for i := range s.Selling {
		c = wire.Append(c, &s.Selling[i])
	}
	for i := range s.Told {
		c = wire.Append(c, &s.Told[i])
	}
	print := wire.Digest(c)
	return string(print[:])
}

func (s *State) sellingSorted() bool {
	return ascending(s.Selling, func(a, b *ItemSales) int { return cmp.Compare(a.Item, b.Item) }) &&
		ascending(s.Told, func(a, b *DemandMark) int { return demandID(a).Compare(demandID(b)) }) &&
		!slices.ContainsFunc(s.Selling, func(x ItemSales) bool {
			return !ascending(x.Days, func(a, b *SalesDay) int { return cmp.Compare(a.Day, b.Day) })
		})
}
