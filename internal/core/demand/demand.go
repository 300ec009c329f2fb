// Package demand says what will be asked for of an item on a day: the forecast from what the kitchen sold, with what somebody
// told of the day over it.
package demand

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Ask is what is asked about.
type Ask struct {
	Now      stamp.Milli
	Item     string // procedure
	Day      int32
	From, To int            // minutes of the day; To may pass its end. Slots are counted from From
	Price    forecast.Ratio // lost for a piece too few, and for one too many
	More     []entry.Demand // told beside what the kitchen knows, as if somebody had typed it last
}

// Day is what to be ready for of an item.
type Day struct {
	Ask
	Outlook forecast.Outlook // by slot from From on, with events in it; what is ordered is not
	Pieces  []int            // by slot: what to be ready for, with what is ordered and typed
	Fixed   []int            // by slot: what is ordered, contained in Pieces
	Typed   []bool           // by slot: somebody typed a number in the place of the forecast
	Like    uint8            // the weekday whose forecast it is; 0: nothing is sold on that day
}

const slot = kitchen.SlotMinutes

// GuestPieces is how many pieces ten guests ask for, of all items together, where the kitchen has not said. Common practice, no
// source.
const GuestPieces = 25

// Of says what to be ready for.
func Of(s *kitchen.State, a Ask) *Day {
	n := max((a.To-a.From+slot-1)/slot, 0)
	d := &Day{Ask: a, Fixed: make([]int, n), Typed: make([]bool, n)}
	told := toldOf(s, a.Day, a.More)
	d.Like = likeOf(told, a.Day)
	d.Outlook = cut(s, a, d.Like, n)
	for i := range told {
		d.event(s, &told[i])
	}
	d.Pieces = forecast.Demand(d.Outlook, a.Price.Short, a.Price.Over)
	for i := range told {
		d.typed(&told[i])
	}
	for i := range told {
		d.order(&told[i])
	}
	return d
}

// toldOf returns what was told of a day, in the order in which it was.
func toldOf(s *kitchen.State, day int32, more []entry.Demand) (list []entry.Demand) {
	for _, m := range s.Told() {
		if m.Day == day {
			list = append(list, m.Demand)
		}
	}
	for _, m := range more {
		if m.Day == day {
			list = append(list, m)
		}
	}
	return list
}

// likeOf returns as which weekday (1 is Monday) the day is to be taken, 0 when nothing is sold.
func likeOf(told []entry.Demand, day int32) uint8 {
	like := kitchen.Weekday(day)
	for i := range told {
		if told[i].Sort == entry.DemandLike {
			like = uint8(min(max(told[i].Pieces, 0), 7))
		}
	}
	return like
}

// cut is the forecast of n slots of a day.
func cut(s *kitchen.State, a Ask, like uint8, n int) forecast.Outlook {
	today := s.WallDay(a.Now)
	o := Outlook(s, a.Item, today, a.Day, like)
	mean := make([]int64, n)
	var after forecast.Outlook // beyond midnight
	for i := range mean {
		at := a.From/slot + i
		switch {
		case like == 0:
		case at < kitchen.DaySlots:
			mean[i] = o.Mean[at]
		default:
			if after.Mean == nil {
				after = Outlook(s, a.Item, today, a.Day+1, like%7+1)
			}
			mean[i] = after.Mean[at%kitchen.DaySlots]
		}
	}
	o.Mean = mean
	return o
}

// span returns the slots that something told is about: at least one, none when it is outside.
func (d *Day) span(m *entry.Demand) (from, to int) {
	n := len(d.Fixed)
	from = (int(min(m.From, 1<<20)) - d.From) / slot
	to = (int(min(m.To, 1<<20)) - d.From + slot - 1) / slot
	if to <= from {
		to = from + 1
	}
	return min(max(from, 0), n), min(max(to, 0), n)
}

// event puts what comes on top into the forecast.
func (d *Day) event(s *kitchen.State, m *entry.Demand) {
	from, to := d.span(m)
	if m.Sort != entry.DemandEvent || m.Item != "" && m.Item != d.Item || from >= to {
		return
	}
	more := m.Pieces * 1000
	if m.Item == "" {
		part, all := share(s, d.Ask, m, d.Like)
		if all == 0 {
			return
		}
		more = m.Pieces * 100 * GuestPiecesOf(s) / all * part
	}
	n := int64(to - from)
	for i := from; i < to; i++ {
		k := int64(i - from)
		d.Outlook.Mean[i] += more*(k+1)/n - more*k/n
	}
}

// GuestPiecesOf is how many pieces ten guests ask for in this kitchen.
func GuestPiecesOf(s *kitchen.State) int64 {
	if n := s.Setting(entry.SetGuestPieces); n > 0 {
		return n
	}
	return GuestPieces
}

// share is how much of what is usually asked for in the span of an event is of the item: a part of all. Where nothing is known
// items are alike.
func share(s *kitchen.State, a Ask, m *entry.Demand, like uint8) (part, all int64) {
	today := s.WallDay(a.Now)
	for _, whole := range []bool{false, true} {
		for _, p := range Items(s) {
			o := Outlook(s, p.Name, today, a.Day, like)
			sum := int64(0)
			for i, x := range o.Mean {
				if whole || i >= int(m.From)/slot && i*slot < int(m.To) {
					sum += x / 100
				}
			}
			if all += sum; p.Name == a.Item {
				part += sum
			}
		}
		if all > 0 {
			return part, all
		}
	}
	return 1, int64(len(Items(s)))
}

// typed puts a number in the place of the forecast in its span, spread as the forecast is.
func (d *Day) typed(m *entry.Demand) {
	from, to := d.span(m)
	if m.Sort != entry.DemandTyped || m.Item != d.Item {
		return
	}
	share := spread(m.Pieces, d.Outlook.Mean[from:to])
	for i := from; i < to; i++ {
		d.Pieces[i], d.Typed[i] = share[i-from], true
	}
}

// order puts what is certain on top of the forecast. A number that was typed contains it already, unless it is less.
func (d *Day) order(m *entry.Demand) {
	from, to := d.span(m)
	if m.Sort != entry.DemandOrder || m.Item != d.Item {
		return
	}
	means := make([]int64, to-from)
	for i := range means {
		if d.Typed[from+i] { // the order is among what was typed
			means[i] = int64(d.Pieces[from+i])
		}
	}
	for i, n := range spread(m.Pieces, means) {
		at := from + i
		if d.Fixed[at] += n; !d.Typed[at] {
			d.Pieces[at] += n
		}
		d.Pieces[at] = max(d.Pieces[at], d.Fixed[at])
	}
}

// spread parts whole pieces in proportion to means, evenly where these are nothing.
func spread(pieces int64, means []int64) []int {
	all, out := int64(0), make([]int, len(means))
	for _, m := range means {
		all += m
	}
	so, before := int64(0), int64(0)
	for i, m := range means {
		so += m
		now, of := so, all
		if all == 0 {
			now, of = int64(i+1), int64(len(means))
		}
		n := (2*min(pieces, 1<<30)*now + of) / (2 * of)
		out[i], before = int(n-before), n
	}
	return out
}

// Sum is what to be ready for from one minute of the day up to another, and how much of it is ordered. Typed: somebody typed it.
func (d *Day) Sum(from, to int) (pieces, fixed int, typed bool) {
	for i, n := range d.Pieces {
		if at := d.From + i*slot; at >= from && at < to {
			pieces, fixed, typed = pieces+n, fixed+d.Fixed[i], typed || d.Typed[i]
		}
	}
	return pieces, fixed, typed
}

// Enough is how often, in thousandths, so many pieces are enough from one minute of the day up to another.
func (d *Day) Enough(from, to, pieces int) int {
	_, fixed, _ := d.Sum(from, to)
	span := d.Outlook.Span((from-d.From)/slot, (to-d.From+slot-1)/slot)
	return span.Enough(max(pieces-fixed, 0))
}

// Items lists what the kitchen sells: procedures with a hold, by name.
func Items(s *kitchen.State) (list []*procedure.Procedure) {
	for _, p := range s.Procedures() {
		for i := range p.Stages {
			if p.Stages[i].Kind == procedure.Hold {
				list = append(list, p)
				break
			}
		}
	}
	return list
}

// Outlook is the forecast of an item's whole day, taken as a weekday (1 is Monday), from what was sold before today.
func Outlook(s *kitchen.State, item string, today, day int32, weekday uint8) forecast.Outlook {
	return ModelOf(s, item, today).Day(day, weekday%7)
}

// ModelOf is what was learnt of an item from the days before today. It is worked out once for what it is worked out of: neither a sale of
// today nor what is told of days to come makes it another.
func ModelOf(s *kitchen.State, item string, today int32) *forecast.Model {
	m := s.Once("demand/"+item, s.SellingPrint()+strconv.Itoa(int(today)), func() any {
		return s.Once("learnt/"+item, pastPrint(s, item, today), func() any {
			return forecast.Fit(History(s, item, today), today, kitchen.DaySlots)
		})
	})
	return m.(*forecast.Model)
}
