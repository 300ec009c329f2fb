package kitchen

import (
	"math/bits"

	"brinebell/internal/core/entry"
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

// SalesDay is what was asked for of an item on one of the kitchen's days, in numbers. Nothing sold where there was nothing says
// nothing about what would have been. Which of its numbers are what:
type SalesDay [cellsAt + DayCells]uint32

const (
	wastedAt = 0                 // pieces wasted out of the hold
	soldAt   = wastedAt + 1      // by slot: pieces sold, as they were counted here
	awayAt   = soldAt + DaySlots // by slot: asked for while there was none
	eachAt   = awayAt + DaySlots // minutes of a slot of the file that tells what was sold; 0: none does
	fileAt   = eachAt + 1        // by slot: pieces sold, as a file has it; with it what was counted does not count
	cellsAt  = fileAt + DaySlots // by cell: 1 when something was in the hold
	numbered = 1 << 20           // no number is larger
	sellKey  = "sell/"           // with the item: its days
	toldKey  = "told/"           // with an id: what was told of a day's demand
)

// Wasted is how many pieces were wasted out of the hold.
func (d *SalesDay) Wasted() int64 { return int64(d[wastedAt]) }

// Away is how many pieces were asked for in a slot while there was none.
func (d *SalesDay) Away(slot int) int64 { return int64(d[awayAt+slot]) }

// Each is how many minutes a slot of the file has that tells what was sold, 0 when it was counted here.
func (d *SalesDay) Each() int { return int(d[eachAt]) }

// Sold is how many pieces were sold in a slot: what a file has, in its own slots, else what was counted.
func (d *SalesDay) Sold(slot int) int64 {
	if d[eachAt] > 0 {
		return int64(d[fileAt+slot])
	}
	return int64(d[soldAt+slot])
}

// There tells whether anything was in the hold in a cell.
func (d *SalesDay) There(cell int) bool { return d[cellsAt+cell] > 0 }

// Sales returns what was asked for of an item on a day, nil when nothing is known.
func (s *State) Sales(item string, day int32) (found *SalesDay) {
	eachDay(s.Row(sellKey+item), func(d int32, packed []byte) {
		if d == day {
			found = unpack(packed)
		}
	})
	return found
}

// eachDay walks an item's days, each as it is packed.
func eachDay(data string, visit func(day int32, packed []byte)) {
	for rest := []byte(data); len(rest) > 0; {
		day, after, err := wire.TakeUvarint(rest)
		packed, after, err2 := wire.TakeBytes(after)
		if err != nil || err2 != nil {
			return
		}
		visit(int32(day), packed)
		rest = after
	}
}

// sell changes numbers of an item's day from at on: adds to them, or with set puts others in their place. It does nothing when the
// kitchen has no such item, or the day is out of reach.
func (f *folding) sell(item string, day int32, at int, set bool, list ...int64) {
	today := f.s.WallDay(f.at)
	if day > today+1 || day <= today-SellingDays || day < 0 || f.s.isAhead(f.e.At) || f.s.Procedure(item, 0) == nil {
		return
	}
	x := new(SalesDay)
	var before, after []byte
	eachDay(f.s.Row(sellKey+item), func(d int32, packed []byte) {
		switch {
		case d == day:
			x = unpack(packed)
		case d > day:
			after = wire.AppendBytes(wire.AppendUvarint(after, uint64(d)), packed)
		case d > today-SellingDays:
			before = wire.AppendBytes(wire.AppendUvarint(before, uint64(d)), packed)
		}
	})
	for i, n := range list {
		if set {
			x[at+i] = 0
		}
		x[at+i] = uint32(min(int64(x[at+i])+amount(n), numbered))
	}
	if *x != (SalesDay{}) {
		before = wire.AppendBytes(wire.AppendUvarint(before, uint64(day)), x.pack())
	}
	f.s.keepRow(sellKey+item, today+SellingDays, string(append(before, after...)))
}

// sold takes a count of a tray.
func (f *folding) sold(b *Batch, sold, wasted int64) {
	day, clock := f.s.Wall(f.at)
	f.sell(b.Procedure, day, wastedAt, false, wasted)
	f.sell(b.Procedure, day, soldAt+int(clock/(SlotMinutes*stamp.Minute)), false, sold)
}

// offered marks for how long a batch stood for sale, when it no longer does.
func (f *folding) offered(b *Batch) {
	from, until := f.s.ForSale(b, f.at)
	for from < until {
		day, clock := f.s.Wall(from)
		first := int(clock / (CellMinutes * stamp.Minute))
		var ones []int64
		for ; from < until && first+len(ones) < DayCells; from = from.Add(CellMinutes * stamp.Minute) {
			ones = append(ones, 1)
		}
		f.sell(b.Procedure, day, cellsAt+first, true, ones...)
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

// demanded folds what was asked for, and what will be.
func (f *folding) demanded(body entry.Body) {
	switch b := body.(type) {
	case *entry.Demand:
		f.demandTold(b)
	case *entry.Away:
		day, clock := f.s.Wall(f.at)
		f.sell(b.Item, day, awayAt+int(clock/(SlotMinutes*stamp.Minute)), false, b.Pieces)
	case *entry.Sales:
		f.sell(b.Item, b.Day, eachAt, true, Brought(b)...)
	default:
		f.planning(body)
	}
}

// Brought is what a day's sales out of a file are: the length of its slots, then slot by slot. Without any there are none.
func Brought(b *entry.Sales) []int64 {
	list := make([]int64, 1+DaySlots)
	if len(b.Pieces) == 0 {
		return list
	}
	list[0] = int64(min(max(b.Each, 1), 24*60))
	for i, n := range b.Pieces {
		if at := (uint64(b.From) + uint64(i)*uint64(list[0])) / SlotMinutes; at < DaySlots {
			list[1+at] = min(list[1+at]+amount(n), numbered)
		}
	}
	return list
}

// demandTold keeps what was told of a day: a number that was typed until soon after it, all else for as long as it tells what was
// unlike other days.
func (f *folding) demandTold(b *entry.Demand) {
	const typedStays, ahead = 2, 400
	id, until, data := b.Demand, int64(b.Day)+SellingDays, ""
	if id.IsZero() {
		id = f.e.ID
	}
	if b.Sort == entry.DemandTyped {
		until = int64(b.Day) + typedStays
	}
	if b.Pieces >= 0 && until <= int64(f.s.WallDay(f.at))+ahead+SellingDays {
		data = string(wire.Append(wire.AppendBytes(nil, []byte(f.e.Crew)), b))
	}
	f.s.keepRow(toldKey+string(id[:]), int32(max(until, 0)), data)
}

// pack writes a day's numbers as bits. Whether something was in the hold is written as whether that has changed. A number, and one
// more, is as many zeros as it has binary digits after the first, then its digits; after a 0 comes how many more of them follow.
func (d *SalesDay) pack() []byte {
	x, out := *d, bitRow{}
	for i := len(x) - 1; i > cellsAt; i-- {
		x[i] ^= x[i-1]
	}
	for i := 0; i < len(x); i++ {
		out.put(x[i])
		if x[i] == 0 {
			from := i
			for i+1 < len(x) && x[i+1] == 0 {
				i++
			}
			out.put(uint32(i - from))
		}
	}
	return out.b
}

func unpack(b []byte) *SalesDay {
	x, in := new(SalesDay), bitRow{b: b}
	for i := 0; i < len(x); i++ {
		if x[i] = in.take(); x[i] == 0 {
			i += int(in.take())
		}
	}
	for i := cellsAt + 1; i < len(x); i++ {
		x[i] ^= x[i-1]
	}
	return x
}

// bitRow is a row of bits that is written, or read from at.
type bitRow struct {
	b  []byte
	at int
}

func (r *bitRow) put(n uint32) {
	n++
	for i := 2*bits.Len32(n) - 2; i >= 0; i-- {
		if r.at%8 == 0 {
			r.b = append(r.b, 0)
		}
		r.b[r.at/8] |= byte(uint64(n)>>i&1) << (7 - r.at%8)
		r.at++
	}
}

// take reads a number. Beyond the end there are only zeros.
func (r *bitRow) take() uint32 {
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
