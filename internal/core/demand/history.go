package demand

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
)

// History is what is known of the days of an item before today, as the forecast takes it. On a day on which the kitchen sold other
// things and not this one there was none of it.
func History(s *kitchen.State, item string, today int32) (past []forecast.Past) {
	usual := usualSlots(s, item)
	days := s.SalesOf(item)
	opens, closes := Open(s)
	for day := today - kitchen.SellingDays; day < today; day++ {
		for len(days) > 0 && days[0].Day < day {
			days = days[1:]
		}
		p := forecast.Past{Day: day, Weekday: kitchen.Weekday(day) % 7, Sold: make([]int32, kitchen.DaySlots),
			Short: make([]bool, kitchen.DaySlots), Away: make([]int32, kitchen.DaySlots)}
		switch {
		case len(days) > 0 && days[0].Day == day:
			sold(&p, &days[0], usual)
			for i := range p.Short { // closed: nothing was asked for
				p.Short[i] = p.Short[i] && i >= opens/slot && i*slot < closes
			}
		case openOn(s, day):
			for i := range p.Short {
				p.Short[i] = true
			}
		default:
			continue
		}
		for i := range s.Told {
			if m := &s.Told[i]; m.Day == day {
				unlike(&p, &m.Demand, item)
			}
		}
		past = append(past, p)
	}
	return past
}

// Open returns between which minutes of the day anything was ever sold, offered or asked for, in whole hours; 0 and 0 where
// nothing is known.
func Open(s *kitchen.State) (from, to int) {
	const hour = 60 / slot
	first, last := kitchen.DaySlots, -1
	for i := range s.Selling {
		for j := range s.Selling[i].Days {
			d := &s.Selling[i].Days[j]
			x, each := d.Slots(), max(int(d.Each/slot), 1)
			for n := range kitchen.DaySlots {
				if x.Sold[n]+x.Away[n] > 0 {
					first, last = min(first, n), max(last, n+each-1)
				}
			}
			for n, there := range x.There {
				if there {
					n = n * kitchen.CellMinutes / slot
					first, last = min(first, n), max(last, n)
				}
			}
		}
	}
	if last < 0 {
		return 0, 0
	}
	return first / hour * 60, min((last/hour+1)*60, 24*60)
}

// openOn tells whether anything was sold on a day.
func openOn(s *kitchen.State, day int32) bool {
	for i := range s.Selling {
		for j := range s.Selling[i].Days {
			if s.Selling[i].Days[j].Day == day {
				return true
			}
		}
	}
	return false
}

// sold fills a day with what was sold. Where there was nothing in the hold for five minutes or more of a slot, it is a floor; a
// file of sales says nothing of that, unless somebody was turned away.
func sold(p *forecast.Past, d *kitchen.SalesDay, usual []int64) {
	x := d.Slots()
	for i := range p.Sold {
		p.Sold[i], p.Away[i] = int32(x.Sold[i]), int32(x.Away[i])
		if p.Short[i] = x.Away[i] > 0; d.Each == 0 {
			const cells = slot / kitchen.CellMinutes
			for _, there := range x.There[i*cells : (i+1)*cells] {
				p.Short[i] = p.Short[i] || !there
			}
		}
	}
	if d.Each > slot {
		finer(p.Sold, int(d.Each/slot), usual)
	}
}

// finer spreads what a file has in long slots over short ones, as the item usually sells.
func finer(sold []int32, each int, usual []int64) {
	for i := 0; i < len(sold); i++ {
		if n := sold[i]; n > 0 {
			to := min(i+each, len(sold))
			for k, part := range spread(int64(n), usual[i:to]) {
				sold[i+k] = int32(part)
			}
			i = to - 1
		}
	}
}

// usualSlots adds up what was sold by slot on the days that are known that finely.
func usualSlots(s *kitchen.State, item string) []int64 {
	usual := make([]int64, kitchen.DaySlots)
	days := s.SalesOf(item)
	for i := range days {
		if d := &days[i]; d.Each <= slot {
			for k, n := range d.Slots().Sold {
				usual[k] += int64(n)
			}
		}
	}
	return usual
}

// unlike takes out of a day what was not as on other days: what was ordered, which is told anew when it is ordered again, and the
// time in which an event was.
func unlike(p *forecast.Past, m *entry.Demand, item string) {
	if m.Sort == entry.DemandLike {
		p.Event = true
		return
	}
	left := m.Pieces
	for i := range p.Sold {
		if i < int(m.From)/slot || i > 0 && i*slot >= int(m.To) {
			continue
		}
		switch {
		case m.Sort == entry.DemandEvent && (m.Item == "" || m.Item == item):
			p.Sold[i], p.Away[i], p.Short[i] = 0, 0, true
		case m.Sort == entry.DemandOrder && m.Item == item:
			n := min(left, int64(p.Sold[i]))
			p.Sold[i], left = p.Sold[i]-int32(n), left-n
		}
	}
}
