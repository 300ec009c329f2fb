package planner

// chain is the table of one item's sessions of one layer: by the shift in which the last of them began, by what is asked, in
// order of time, and by pieces left. It is a relaxation in that it forgets which session what is left came from, but for its
// shift.
type chain struct {
	shifts []shift
	rest   []int // pieces asked from here on, as many as places hold
	caps   []int // pieces by option
	queue  []int
	keys   []Money
}

// shift is the table of one of a station's windows.
type shift struct {
	from, to int     // blocks
	goes     []bool  // something of it that serves one thing asked can serve the next
	least    []Money // of what is asked, what marinated units cost past their best at least
	gain     [][]Money
	sold     [][]int16
	opens    [][]int16   // shift and option that is opened, plus 1; 0: none
	first    [][]opening // by asked thing and option: the cheapest session that can serve it
}

type opening struct {
	cost  Money
	block int16
	mode  int16 // -1: none
}

func (p *pricing) station(l, i int) (station int, modes []Mode, session, block Money) {
	it := &p.items[i]
	if l == coating {
		c := it.Coat
		return c.Station, c.Modes, c.SessionCost, c.BlockCost
	}
	c := it.Marinate
	return c.Station, c.Modes, c.SessionCost, c.BlockCost
}

func (p *pricing) newChain(l, i int) *chain {
	it := &p.items[i]
	c := &chain{}
	room := 0
	switch {
	case l == coating && it.Coat != nil:
		room = p.Pans * it.Coat.UnitsPerPan * it.UnitPieces
		for _, m := range it.Coat.Modes {
			c.caps = append(c.caps, min(m.Most*it.UnitPieces, room))
		}
	case l == marinating && it.Marinate != nil:
		m := it.Marinate.Modes
		room = p.Tubs * it.Marinate.TubUnits * it.UnitPieces
		for n := 1; n <= min(m[len(m)-1].Most, p.Tubs); n++ {
			c.caps = append(c.caps, n*it.Marinate.TubUnits*it.UnitPieces)
		}
	default:
		return nil
	}
	n := len(p.asks[i])
	c.rest = make([]int, n+1)
	for k := n - 1; k >= 0; k-- {
		c.rest[k] = c.rest[k+1]
		if p.counts(l, i, k) {
			c.rest[k] += p.asks[i][k].most * p.asks[i][k].unit
		}
	}
	for k := range c.rest {
		c.rest[k] = min(c.rest[k], room)
	}
	c.queue, c.keys = make([]int, c.rest[0]+2), make([]Money, c.rest[0]+2)
	station, _, _, _ := p.station(l, i)
	for b := 0; b < p.blocks; {
		to := int(p.open[station][b])
		if to == 0 {
			b++
			continue
		}
		for to < p.blocks && p.open[station][to] > 0 { // one begins where another ends
			to = int(p.open[station][to])
		}
		c.shifts = append(c.shifts, p.newShift(l, i, c, b, min(to, p.blocks)))
		b = to
	}
	return c
}

func (p *pricing) newShift(l, i int, c *chain, from, to int) shift {
	n := len(p.asks[i])
	w := shift{from: from, to: to, goes: make([]bool, n+1), least: make([]Money, n)}
	for b := from; b < to; b++ {
		in := p.hull(l, i, b)
		last := -1
		for k := range n {
			if !p.counts(l, i, k) || p.asks[i][k].most == 0 {
				w.goes[k] = true
				continue
			}
			if last >= 0 && in.from <= last && k < in.to {
				w.goes[last] = true
			}
			last = k
		}
	}
	for k := range n {
		low := Money(-1)
		for b := from; b < to && l == marinating; b++ {
			if o := p.over[i][b]; o != nil && o[k] >= 0 && (low < 0 || o[k] < low) {
				low = o[k]
			}
		}
		w.least[k] = max(low, 0)
	}
	for k := range n + 1 {
		w.gain = append(w.gain, make([]Money, c.rest[k]+1))
		w.opens = append(w.opens, make([]int16, c.rest[k]+1))
		w.sold = append(w.sold, make([]int16, c.rest[k]+1))
		w.first = append(w.first, make([]opening, len(c.caps)))
	}
	return w
}

// sessions chooses an item's sessions of a layer that gain the most at the stations' prices.
func (p *pricing) sessions(l, i int) Money {
	c := p.chains[l][i]
	if c == nil || len(c.shifts) == 0 {
		return 0
	}
	asks := p.asks[i]
	for w := range c.shifts {
		p.openings(l, i, c, &c.shifts[w])
		clear(c.shifts[w].gain[len(asks)])
	}
	for n := len(asks) - 1; n >= 0; n-- {
		for w := len(c.shifts) - 1; w >= 0; w-- {
			p.sellAt(l, i, c, w, n)
			p.openAt(c, w, n)
		}
	}
	r, w := 0, 0
	for n := range asks {
		for {
			x := int(c.shifts[w].opens[n][r]) - 1
			if x < 0 {
				break
			}
			w = x / len(c.caps)
			o := x % len(c.caps)
			p.noteOpening(l, i, c.shifts[w].first[n][o])
			r = min(r+c.caps[o], c.rest[n])
		}
		x := int(c.shifts[w].sold[n][r])
		if x > 0 {
			p.have[l][i][n] += int32((x + asks[n].unit - 1) / asks[n].unit)
		}
		r = min(r-x, c.rest[n+1])
		if !c.shifts[w].goes[n] {
			r = 0
		}
	}
	return c.shifts[0].gain[0][0]
}

// alone lets a session of an item be held at every block where it gains, as if it were the only one: a looser bound, worked out
// sooner.
func (p *pricing) alone(l, i int) (sum Money) {
	c := p.chains[l][i]
	if c == nil {
		return 0
	}
	station, modes, session, block := p.station(l, i)
	for _, w := range c.shifts {
		for b := w.from; b < w.to; b++ {
			over, carry := []Money(nil), false
			if l == marinating {
				over = p.over[i][b]
			} else {
				t := p.Start + b*p.Block
				carry = p.keeps(1, i, t, t+p.items[i].Coat.SetMax)
			}
			rank := p.ranked(l, i, p.reach[l][i][b], carry, over, 0, p.fee(l, i))
			best, take, mode := Money(0), 0, -1
			for o, most := range c.caps {
				gain, left := p.walk(l, i, rank, over, p.fee(l, i), most, false)
				for m := range modes {
					if l == coating && m != o || l == marinating && modes[m].Most <= o || int(p.open[station][b]) < b+modes[m].Blocks {
						continue
					}
					g := gain - session - block*Money(modes[m].Blocks) - p.wages(station, b, modes[m].Blocks)
					if l == marinating {
						g -= p.items[i].Marinate.TubCost * Money(o+1)
					}
					if g > best {
						best, take, mode = g, most, m
					}
				}
				if left > 0 {
					break
				}
			}
			if mode >= 0 {
				p.walk(l, i, rank, over, p.fee(l, i), take, true)
				p.noteOpening(l, i, opening{block: int16(b), mode: int16(mode)})
				sum += best
			}
		}
	}
	return sum
}

func (p *pricing) wages(station, block, blocks int) (sum Money) {
	for k := block; k < block+blocks; k++ {
		sum += p.wage[station][k]
	}
	return sum
}

// worthOf is what a piece of what is asked is worth to a shift's sessions.
func (p *pricing) worthOf(l, i, n int, w *shift) Money {
	a := &p.asks[i][n]
	if !p.counts(l, i, n) {
		return 0
	}
	worth := p.price[l][i][n]
	if l == marinating {
		worth -= w.least[n]
	}
	if n < len(p.items[i].Demand) {
		worth -= p.fee(l, i)
	}
	if a.unit > 1 {
		worth = worth/Money(a.unit) + 1 // rounded so that the bound is rather too low
	}
	return worth
}

// sellAt works out how much of what is left is best sold to one thing asked.
func (p *pricing) sellAt(l, i int, c *chain, shift, n int) {
	w := &c.shifts[shift]
	worth := p.worthOf(l, i, n, w)
	now, next := w.gain[n], w.gain[n+1]
	sold, opens := w.sold[n][:len(now)], w.opens[n][:len(now)]
	far := len(next) - 1
	if !w.goes[n] {
		far = 0
	}
	most := p.asks[i][n].most * p.asks[i][n].unit
	if worth <= 0 || most == 0 {
		for r := range now {
			now[r], sold[r], opens[r] = next[min(r, far)], 0, 0
		}
		return
	}
	// of all amounts that may be left, the best is at the head of a queue that falls
	q, keys := c.queue, c.keys
	head, tail := 0, 0
	for r := range now {
		v := next[min(r, far)] - worth*Money(r)
		for tail > head && keys[tail-1] <= v {
			tail--
		}
		q[tail], keys[tail] = r, v
		tail++
		for q[head] < r-most {
			head++
		}
		now[r], sold[r], opens[r] = keys[head]+worth*Money(r), int16(r-q[head]), 0
	}
}

// openAt lets a session be opened before one thing asked, in the same shift or a later one, once or again.
func (p *pricing) openAt(c *chain, shift, n int) {
	now, opens := c.shifts[shift].gain[n], c.shifts[shift].opens[n]
	end := len(now) - 1
	for w := len(c.shifts) - 1; w >= shift; w-- {
		from := c.shifts[w].gain[n]
		for o, f := range c.shifts[w].first[n] {
			if f.mode < 0 {
				continue
			}
			mark := int16(w*len(c.caps)+o) + 1
			most := c.caps[o]
			for r := end; r >= 0; r-- {
				to := min(r+most, end)
				if to == r && w == shift {
					continue
				}
				if g := from[to] - f.cost; g > now[r] {
					now[r], opens[r] = g, mark
				}
			}
		}
	}
}

// openings finds the cheapest session of a shift that can serve each thing asked, by option.
func (p *pricing) openings(l, i int, c *chain, w *shift) {
	for n := range w.first {
		for o := range w.first[n] {
			w.first[n][o] = opening{mode: -1}
		}
	}
	station, modes, session, block := p.station(l, i)
	for b := w.from; b < w.to; b++ {
		for m, mode := range modes {
			if int(p.open[station][b]) < b+mode.Blocks {
				continue
			}
			cost := session + block*Money(mode.Blocks) + p.wages(station, b, mode.Blocks)
			low, high := m, m
			if l == marinating {
				low, high = 0, min(mode.Most, len(c.caps))-1
			}
			for o := low; o <= high; o++ {
				x := opening{cost, int16(b), int16(m)}
				if l == marinating {
					x.cost += p.items[i].Marinate.TubCost * Money(o+1)
				}
				for _, in := range [2]span{p.reach[l][i][b], p.later(l, i, b)} {
					for n := in.from; n < in.to; n++ {
						if f := &w.first[n][o]; f.mode < 0 || x.cost < f.cost {
							*f = x
						}
					}
				}
			}
		}
	}
}

// hull reaches from the first to the last thing asked that a session can serve.
func (p *pricing) hull(l, i, b int) span {
	in, later := p.reach[l][i][b], p.later(l, i, b)
	if later.to <= later.from {
		return in
	}
	if in.to <= in.from {
		return later
	}
	return span{min(in.from, later.from), max(in.to, later.to)}
}

// later is what a session can serve of what is asked for tomorrow.
func (p *pricing) later(l, i, b int) span {
	slots := len(p.items[i].Demand)
	if p.reach[l][i][b].to == 0 && (l == coating || p.over[i][b] == nil) {
		return span{}
	}
	if l == coating {
		t := p.Start + b*p.Block
		if p.keeps(1, i, t, t+p.items[i].Coat.SetMax) {
			return span{slots, slots + 1}
		}
		return span{}
	}
	s := span{slots + 2, slots + 2}
	if p.over[i][b][slots+1] >= 0 {
		s.from = slots + 1
	}
	if p.over[i][b][slots] >= 0 {
		s.from = slots
	}
	return s
}

func (p *pricing) noteOpening(l, i int, o opening) {
	it := &p.items[i]
	station, blocks := 0, 0
	if l == coating {
		station, blocks = it.Coat.Station, it.Coat.Modes[o.mode].Blocks
	} else {
		station, blocks = it.Marinate.Station, it.Marinate.Modes[o.mode].Blocks
	}
	for b := int(o.block); b < int(o.block)+blocks; b++ {
		p.manned[station][b]++
	}
}

// fee is what a session pays for a piece that it gives to the next layer, less what the layer before gives to it.
func (p *pricing) fee(l, i int) Money {
	it := &p.items[i]
	if l == coating && it.Marinate != nil {
		return 0
	}
	return p.tie[i] / Money(it.UnitPieces)
}
