package demo

import (
	"math"
	"math/rand/v2"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// weeks of invented sales stand behind the demo kitchen's forecast.
const weeks = 6

// busy is how much more is asked for on each weekday than on a usual one, from Monday on.
var busy = [7]float64{0.84, 0.86, 0.94, 1, 1.24, 1.2, 0.92}

// history brings in what a till would say of the last weeks: what the plan's document says is usual, more at the end of the week than at its
// beginning, a little more each week, and as uneven as guests are. It takes chance of its own, so that nothing else of the demo kitchen
// hangs on it.
func (p *plan) history(at stamp.Milli, seed [32]byte) {
	doc := p.state.PlanDocument()
	if doc == nil {
		return
	}
	seed[0] ^= 0x5a
	chance := rand.New(rand.NewChaCha8(seed))
	today := p.state.WallDay(p.now)
	for day := today - 7*weeks; day <= p.state.WallDay(at); day++ { // what came after was counted
		weekday := kitchen.Weekday(day)
		mood := math.Exp(chance.NormFloat64()*0.12) * busy[weekday-1] * (1 - 0.004*float64(today-day))
		for i := range doc.Items {
			if it := &doc.Items[i]; procedure.On(it.Days, weekday) {
				if s := soldOn(it, day, mood, chance); s != nil {
					var id [10]byte
					for k := range id {
						id[k] = byte(chance.Uint32())
					}
					p.write(at, entry.NewID(at, id), "maren", s)
				}
			}
		}
	}
}

// soldOn is a day of an item by quarters of an hour.
func soldOn(it *procedure.PlanItem, day int32, mood float64, chance *rand.Rand) *entry.Sales {
	var slots [kitchen.DaySlots]int64
	first, last := kitchen.DaySlots, -1
	for _, u := range it.Usual {
		if !procedure.On(u.Days, kitchen.Weekday(day)) {
			continue
		}
		from, to := int(u.From/(kitchen.SlotMinutes*stamp.Minute)), int(u.To/(kitchen.SlotMinutes*stamp.Minute))
		rush := math.Exp(chance.NormFloat64() * 0.15)
		for n := from; n < to && n < len(slots); n++ {
			slots[n] = guests(float64(u.Pieces)/float64(to-from)*mood*rush, chance)
			first, last = min(first, n), max(last, n)
		}
	}
	if last < 0 {
		return nil
	}
	return &entry.Sales{Item: it.Procedure, Day: day, From: uint32(first * kitchen.SlotMinutes), Each: kitchen.SlotMinutes, Pieces: slots[first : last+1]}
}

// guests is how many pieces are asked for where so many are usual (Knuth's way to a Poisson number).
func guests(mean float64, chance *rand.Rand) int64 {
	n, left := int64(0), chance.Float64()
	for stop := math.Exp(-mean); left > stop; n++ {
		left *= chance.Float64()
	}
	return n
}
