package planner

// loads chooses an item's loads that gain the most: slot by slot, what is left from the slots before is sold first, and what
// the slots that a load can serve do not ask for is waste. It is a relaxation only in that it forgets how old what is left is.
func (p *pricing) loads(i int) Money {
	it := &p.items[i]
	d := &p.fry[i]
	slots := len(it.Demand)
	up := it.UnitPieces
	for s := range slots {
		d.rent[s] = d.rent[s][:0]
	}
	row := p.fryer[it.Cook.Group]
	for k := range p.ticks {
		if it.last[k] < it.first[k] || p.room[it.Cook.Group][k] == 0 {
			continue
		}
		rent := it.Cook.LoadCost
		for n := k; n < k+it.span; n++ {
			rent += row[n]
		}
		d.rent[it.first[k]] = append(d.rent[it.first[k]], berth{rent, int16(k), it.last[k] - it.first[k] + 1})
	}
	next := d.gain[slots]
	for h := range next {
		next[h] = -it.Cook.WasteCost * Money(h)
	}
	for s := slots - 1; s >= 0; s-- {
		p.fryAt(i, s)
	}
	sum := d.gain[0][0]
	for s, h := 0, 0; s < slots; s++ {
		c := d.choice[s][h]
		have := h + int(c.units)*up
		if c.units > 0 {
			b := d.rent[s][c.berth]
			n := (int(c.units) + it.Cook.MaxUnits - 1) / it.Cook.MaxUnits
			for k := int(b.tick); k < int(b.tick)+it.span; k++ {
				p.used[it.Cook.Group][k] += int32(n)
			}
		}
		p.have[frying][i][s] += int32(c.sold)
		p.slack[i] += int64(c.sold) - int64(int(c.units)*up)
		h = min(have-int(c.sold), int(c.most))
	}
	return sum
}

// berth is a tick at which a load can begin, what it costs there, and how many slots it can serve.
type berth struct {
	rent  Money
	tick  int16
	slots int16
}

// fryDay is the table of an item's loads by slot and pieces left.
type fryDay struct {
	rent   [][]berth
	gain   [][]Money
	choice [][]fryChoice
	most   int // pieces that can be left after a slot and be sold yet
	shared int // slots before this one may be served by hot lots of the beginning too
}

type fryChoice struct{ units, berth, most, sold int16 }

func (p *pricing) newFryDay(i int) fryDay {
	it := &p.items[i]
	slots := len(it.Demand)
	far, most := 0, 0
	for k := range p.ticks {
		far = max(far, int(it.last[k]-it.first[k])+1)
	}
	for s := range slots {
		sum := 0
		for n := s + 1; n < min(slots, s+far); n++ {
			sum += it.Demand[n]
		}
		most = max(most, sum)
	}
	d := fryDay{rent: make([][]berth, slots), gain: make([][]Money, slots+1), choice: make([][]fryChoice, slots), most: most}
	for _, l := range it.hot {
		d.shared = max(d.shared, l.until+1)
	}
	for s := range slots + 1 {
		d.gain[s] = make([]Money, most+1)
		if s < slots {
			d.choice[s] = make([]fryChoice, most+1)
		}
	}
	return d
}

// fryAt works out what is best loaded at a slot, by pieces left from before.
func (p *pricing) fryAt(i, s int) {
	it := &p.items[i]
	d := &p.fry[i]
	next, now := d.gain[s+1], d.gain[s]
	sale := sale{p.price[frying][i][s], it.Demand[s], it.Cook.WasteCost, s < d.shared}
	for h := range now {
		g, sold := sale.best(h, d.most, next)
		now[h], d.choice[s][h] = g, fryChoice{0, 0, int16(d.most), int16(sold)}
	}
	best := d.cheapest(s)
	rent, after := Money(-1), 0
	for l := 1; l < len(best); l++ {
		if s+l-1 < len(it.Demand) && l > 1 {
			after += it.Demand[s+l-1]
		}
		if best[l] < 0 {
			continue
		}
		if b := d.rent[s][best[l]].rent; rent < 0 || b < rent { // of several loads, the others may be shorter
			rent = b
		}
		most := min(after, d.most)
		full := ((sale.want+after)/it.UnitPieces/it.Cook.MaxUnits + 1) * it.Cook.MaxUnits
		for u := 1; u <= full; u++ {
			cost := rent*Money((u+it.Cook.MaxUnits-1)/it.Cook.MaxUnits) - p.tie[i]*Money(u*it.UnitPieces)
			for h := range now {
				if g, sold := sale.best(h+u*it.UnitPieces, most, next); g-cost > now[h] {
					now[h], d.choice[s][h] = g-cost, fryChoice{int16(u), int16(best[l]), int16(most), int16(sold)}
				}
			}
		}
	}
}

// cheapest returns the cheapest berth at a slot of each number of slots that it serves, -1 for none.
func (d *fryDay) cheapest(s int) [8]int {
	best := [8]int{-1, -1, -1, -1, -1, -1, -1, -1}
	for n, b := range d.rent[s] {
		l := min(int(b.slots), len(best)-1)
		if best[l] < 0 || b.rent < d.rent[s][best[l]].rent {
			best[l] = n
		}
	}
	return best
}

// sale is what a slot asks for. Where hot lots of the beginning may serve it too, loads need not sell all that they could.
type sale struct {
	price  Money
	want   int
	waste  Money
	shared bool
}

// best returns what so many pieces bring, of which at most some may be left after the slot, and how many are sold in it.
func (x *sale) best(have, most int, next []Money) (gain Money, sold int) {
	sold = min(have, x.want)
	least := sold
	if x.shared {
		least = 0
	}
	gain = -1 << 60
	for n := sold; n >= least; n-- {
		left := have - n
		waste := max(0, left-most)
		if g := x.price*Money(n) - x.waste*Money(waste) + next[left-waste]; g > gain {
			gain, sold = g, n
		}
	}
	return gain, sold
}
