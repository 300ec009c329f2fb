package demand

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
)

// History is what is known of the days of an item before today, as the forecast takes it. On a day on which the kitchen sold other
// things and not this one there was none of it.
func History(s *kitchen.State, item string, today int32) (past []forecast.Past) {
	days, told, open := s.SalesOf(item), s.Told(), openDays(s, today)
	for n := len(days); n > 0 && days[n-1].Day >= today; n-- {
		days = days[:n-1]
	}
	usual := usualSlots(days)
	opens, closes := Open(s)
	for day := today - kitchen.SellingDays; day < today; day++ {
		for len(days) > 0 && days[0].Day < day {
			days = days[1:]
		}
		p := forecast.Past{Day: day, Weekday: kitchen.Weekday(day) % 7, Sold: make([]int32, kitchen.DaySlots),
			Short: make([]bool, kitchen.DaySlots), Away: make([]int32, kitchen.DaySlots)}
		switch {
		case len(days) > 0 && days[0].Day == day:
			sold(&p, days[0].SalesDay, usual)
			for i := range p.Short { // closed: nothing was asked for
				p.Short[i] = p.Short[i] && i >= opens/slot && i*slot < closes
			}
		case open[day]:
			for i := range p.Short {
				p.Short[i] = true
			}
		default:
			continue
		}
		for i := range told {
			if told[i].Day == day {
				unlike(&p, &told[i].Demand, item)
			}
		}
		past = append(past, p)
	}
	return past
}

// pastPrint is another one whenever History would be.
func pastPrint(s *kitchen.State, item string, today int32) string {
	packed, _ := s.SoldBefore(item, today)
	print := []byte(packed)
	put := func(numbers ...int64) {
		for _, n := range numbers {
			print = strconv.AppendInt(append(print, ' '), n, 10)
		}
	}
	opens, closes := Open(s)
	put(int64(today), int64(opens), int64(closes))
	for _, other := range s.SoldItems() {
		_, days := s.SoldBefore(other, today)
		for _, day := range days {
			put(int64(day))
		}
	}
	told := s.Told()
	for i := range told {
		if m := &told[i]; m.Day < today {
			put(int64(m.Day), int64(m.From), int64(m.To), m.Pieces)
			print = append(append(print, m.Sort...), m.Item...)
		}
	}
	return string(print)
}

// Open returns between which minutes of the day anything was ever sold, offered or asked for, in whole hours; 0 and 0 where
// nothing is known.
func Open(s *kitchen.State) (from, to int) {
	const hour = 60 / slot
	first, last := kitchen.DaySlots, -1
	for _, item := range s.SoldItems() {
		packed, _ := s.SoldBefore(item, 1<<30)
		x := s.Once("open/"+item, packed, func() any { return openSlots(s.SalesOf(item)) }).([2]int)
		first, last = min(first, x[0]), max(last, x[1])
	}
	if last < 0 {
		return 0, 0
	}
	return first / hour * 60, min((last/hour+1)*60, 24*60)
}

// openSlots returns the first and the last slot in which an item was sold, offered or asked for on any day.
func openSlots(days []kitchen.DaySales) [2]int {
	first, last := kitchen.DaySlots, -1
	for _, d := range days {
		for cell := range kitchen.DayCells {
			n := cell * kitchen.CellMinutes / slot
			if d.There(cell) || d.Away(n) > 0 {
				first, last = min(first, n), max(last, n)
			}
			if d.Sold(n) > 0 {
				first, last = min(first, n), max(last, n+max(d.Each()/slot, 1)-1)
			}
		}
	}
	return [2]int{first, last}
}

// openDays tells on which days before today anything was sold.
func openDays(s *kitchen.State, today int32) map[int32]bool {
	open := map[int32]bool{}
	for _, item := range s.SoldItems() {
		_, days := s.SoldBefore(item, today)
		for _, day := range days {
			open[day] = true
		}
	}
	return open
}

// sold fills a day with what was sold. Where there was nothing in the hold for five minutes or more of a slot, it is a floor; a
// file of sales says nothing of that, unless somebody was turned away.
func sold(p *forecast.Past, d *kitchen.SalesDay, usual []int64) {
	const cells = slot / kitchen.CellMinutes
	for i := range p.Sold {
		p.Sold[i], p.Away[i] = int32(d.Sold(i)), int32(d.Away(i))
		p.Short[i] = d.Away(i) > 0
		for cell := i * cells; cell < (i+1)*cells && d.Each() == 0; cell++ {
			p.Short[i] = p.Short[i] || !d.There(cell)
		}
	}
	if d.Each() > slot {
		finer(p.Sold, d.Each()/slot, usual)
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
func usualSlots(days []kitchen.DaySales) []int64 {
	usual := make([]int64, kitchen.DaySlots)
	for _, d := range days {
		for i := 0; i < len(usual) && d.Each() <= slot; i++ {
			usual[i] += d.Sold(i)
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
