package planning

import (
	"brinebell/internal/core/demand"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// ask is pieces asked for from one minute of the problem to another.
type ask struct {
	from, to, pieces int
}

// demand sets what is asked for, by slot, of all days that the problem spans.
func (b *building) demand() {
	p := b.p
	slots := (p.Close - p.Open) / p.Slot
	for i := range p.Items {
		row := make([]int, slots)
		for day := b.today() - 1; day <= b.day; day++ {
			for _, a := range b.asks(i, day) {
				b.spread(row, a)
			}
		}
		p.Items[i].Demand = row
	}
}

// asks lists what is asked for of an item on a day: what the kitchen's own sales and what was told say, and, of an item of which
// nothing was ever sold, what the document says is usual.
func (b *building) asks(i int, day int32) (list []ask) {
	doc := b.doc.Item(b.n.Items[i].Procedure)
	first, last := 24*60, 0
	for _, h := range b.doc.Open {
		if procedure.On(h.Days, kitchen.Weekday(day)) {
			first, last = min(first, int(h.From/stamp.Minute)), max(last, int(h.To/stamp.Minute))
		}
	}
	if first >= last {
		return nil
	}
	first -= first % kitchen.SlotMinutes
	d := demand.Of(b.s, demand.Ask{Now: b.now, Item: doc.Procedure, Day: day, From: first, To: last,
		Price: forecast.Ratio{Short: int64(doc.Margin), Over: int64(doc.Waste)}, More: b.o.Demand})
	at := func(minute int) int { return b.clock(day, stamp.Span(minute)*stamp.Minute) }
	for n, pieces := range d.Pieces {
		from := first + n*kitchen.SlotMinutes
		list = append(list, ask{at(from), at(from + kitchen.SlotMinutes), pieces})
	}
	if d.Outlook.Days == 0 && d.Like > 0 && procedure.On(doc.Days, d.Like) {
		for _, u := range doc.Usual {
			if procedure.On(u.Days, d.Like) {
				list = append(list, b.usual(d, day, u)...)
			}
		}
	}
	return list
}

// usual is what is usual in a span, as far as nobody typed another number, in slots.
func (b *building) usual(d *demand.Day, day int32, u procedure.Usual) (list []ask) {
	from, to := int(u.From/stamp.Minute), int(u.To/stamp.Minute)
	at := func(minute int) int { return b.clock(day, stamp.Span(minute)*stamp.Minute) }
	for t := from; t < to; {
		next := min(to, (t/kitchen.SlotMinutes+1)*kitchen.SlotMinutes)
		n := (t - d.From) / kitchen.SlotMinutes
		if t < d.From || n >= len(d.Typed) || !d.Typed[n] {
			list = append(list, ask{at(t), at(next), u.Pieces*(next-from)/(to-from) - u.Pieces*(t-from)/(to-from)})
		}
		t = next
	}
	return list
}

// spread puts pieces evenly into the slots of a span; what lies before the first slot is gone.
func (b *building) spread(row []int, a ask) {
	p := b.p
	length := a.to - a.from
	if length <= 0 || a.pieces <= 0 {
		return
	}
	upTo := func(t int) int { return a.pieces * (min(max(t, a.from), a.to) - a.from) / length }
	for s := max(0, (a.from-p.Open)/p.Slot-1); s < len(row) && p.Open+s*p.Slot < a.to; s++ {
		from := p.Open + s*p.Slot
		row[s] += upTo(from+p.Slot) - upTo(from)
	}
}
