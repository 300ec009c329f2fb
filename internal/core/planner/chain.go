package planner

// chain is the table of one item's sessions of one layer: by the shift in which the last of them began, by what is asked, in
// order of time, and by pieces left. It is a relaxation in that it forgets which session what is left came from, but for its
// shift. What stands there at the beginning comes before all shifts, each lot like a shift of one session that is there already.
// Every piece that is made or taken is sold: a plan that does otherwise pays more.
type chain struct {
	shifts []shift
	lots   []source
	rest   []int   // pieces asked from here on, as many as places hold and stand elsewhere
	caps   []int   // pieces by option
	use    []int   // by what is asked: the block before which its pieces take a place, at least
	keep   []Money // by what is asked: what a piece pays for its place from there to the next
	often  []int32 // by block and mode: how often there was a session of late
	queue  []int
	keys   []Money
	here   []opening
	later  []chance // by pieces left: the best opening of a shift after the one at hand
}

// chance is what is to be had by an opening: w times marks and its place in first, plus 1, and the pieces of it.
type chance struct {
	gain Money
	mark int32
	made int16
}

// often is what one session adds to how often there was one.
const often = 1 << 16

// shift is the table of one of a station's windows.
type shift struct {
	from, to int     // blocks
	lot      *source // instead of a shift: what stands there at the beginning, to be taken from once
	goes     []bool  // something of it that serves one thing asked can serve the next
	least    []Money // of what is asked, what marinated units cost past their best at least
	gain     [][]Money
	opens    [][]chance  // what is opened, by pieces left, as far as something may be
	first    [][]opening // by asked thing: the cheapest sessions that can serve it
}

// opening is a session that may be opened: what it costs, and each piece of it until it can serve.
type opening struct {
	cost, lead Money
	most       int
	block      int16
	mode       int16
}

// marks is how many openings there can be of one shift before one thing asked.
const marks = 1 << 16

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
	for k := range p.lots[l][i] { // what stands elsewhere takes no place here
		if s := &p.lots[l][i][k]; s.kind != l {
			room += s.pieces
		}
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
	most := 0
	for k := range n {
		most = max(most, p.wanted(l, i, k))
	}
	c.later = make([]chance, most)
	c.use, c.keep = p.uses(l, i), make([]Money, n)
	c.shifts = append(c.shifts, p.newShift(l, i, c, shift{})) // nothing is taken yet
	c.lots = few(p.lots[l][i])
	for k := range c.lots {
		c.shifts = append(c.shifts, p.newShift(l, i, c, shift{lot: &c.lots[k]}))
	}
	station, modes, _, _ := p.station(l, i)
	c.often = make([]int32, p.blocks*len(modes))
	for b := 0; b < p.blocks; {
		to := int(p.open[station][b])
		if to == 0 {
			b++
			continue
		}
		for to < p.blocks && p.open[station][to] > 0 { // one begins where another ends
			to = int(p.open[station][to])
		}
		c.shifts = append(c.shifts, p.newShift(l, i, c, shift{from: b, to: min(to, p.blocks)}))
		b = to
	}
	return c
}

// fewLots is how many lots of one kind are kept apart: what a lot more costs in time grows with their square.
const fewLots = 2

// few puts lots that are alike together until there are few of each kind: whatever served one of them may be served by all.
func few(lots []source) []source {
	var list []source
	for from := 0; from < len(lots); {
		to := from + 1
		for to < len(lots) && lots[to].kind == lots[from].kind {
			to++
		}
		n := to - from
		for k := from; k < to; k++ {
			if part := min(fewLots, n); k > from && (k-from)*part/n == (k-1-from)*part/n {
				list[len(list)-1] = list[len(list)-1].and(&lots[k])
			} else {
				list = append(list, lots[k])
			}
		}
		from = to
	}
	return list
}

// and is two lots as one.
func (s source) and(o *source) source {
	s.pieces += o.pieces
	if s.span.to <= s.span.from {
		s.span = o.span
	} else if o.span.to > o.span.from {
		s.span = span{min(s.span.from, o.span.from), max(s.span.to, o.span.to)}
	}
	s.carry, s.place = s.carry || o.carry, min(s.place, o.place)
	if s.over != nil {
		over := make([]Money, len(s.over))
		for k, x := range s.over {
			if over[k] = min(x, o.over[k]); x < 0 || o.over[k] < 0 {
				over[k] = max(x, o.over[k])
			}
		}
		s.over = over
	}
	return s
}

func (p *pricing) newShift(l, i int, c *chain, w shift) shift {
	n := len(p.asks[i])
	w.goes, w.least = make([]bool, n+1), make([]Money, n)
	serve := func(can func(int) bool) {
		last := -1
		for k := range n {
			if !p.counts(l, i, k) || p.asks[i][k].most == 0 {
				w.goes[k] = true
				continue
			}
			if last >= 0 && can(last) && can(k) {
				w.goes[last] = true
			}
			last = k
		}
	}
	if w.lot != nil {
		in := w.lot.hull(n)
		serve(func(k int) bool { return in.from <= k && k < in.to })
		for k, over := range w.lot.over {
			w.least[k] = max(over, 0)
		}
	}
	for b := w.from; b < w.to; b++ {
		in := p.hull(l, i, b)
		serve(func(k int) bool { return in.from <= k && k < in.to })
	}
	for k := range n {
		low := Money(-1)
		for b := w.from; b < w.to && l == marinating; b++ {
			if o := p.over[i][b]; o != nil && o[k] >= 0 && (low < 0 || o[k] < low) {
				low = o[k]
			}
		}
		w.least[k] = max(low, w.least[k])
	}
	w.gain, w.opens, w.first = make([][]Money, n+1), make([][]chance, n+1), make([][]opening, n+1)
	w.gain[n] = make([]Money, 1)
	for k := n - 1; k >= 0; k-- {
		most, want := 0, p.wanted(l, i, k)
		if w.goes[k] {
			most = len(w.gain[k+1]) - 1
		}
		if most = min(most+want, c.rest[k]); w.lot == nil && w.from == w.to {
			most = 0
		}
		w.gain[k] = make([]Money, most+1)
		w.opens[k] = make([]chance, min(want, most+1))
	}
	return w
}

// sessions chooses an item's sessions of a layer that gain the most at the prices of stations and places.
func (p *pricing) sessions(l, i int) Money {
	c := p.chains[l][i]
	if c == nil || len(c.shifts) == 0 {
		return 0
	}
	asks := p.asks[i]
	for n := range asks {
		c.keep[n] = 0
		if n+1 < len(asks) {
			c.keep[n] = p.shelving(l, i, c.use[n], c.use[n+1])
		}
	}
	for w := range c.shifts {
		p.openings(l, i, c, &c.shifts[w])
		clear(c.shifts[w].gain[len(asks)])
	}
	for n := len(asks) - 1; n >= 0; n-- {
		for r := range p.wanted(l, i, n) {
			c.later[r] = chance{gain: none}
		}
		for w := len(c.shifts) - 1; w >= 0; w-- {
			p.sellAt(l, i, c, &c.shifts[w], n)
			p.openAt(l, i, c, w, n)
		}
	}
	p.retrace(l, i, c)
	sum := c.shifts[0].gain[0][0]
	for k := range c.lots {
		s := &c.lots[k]
		sum -= (p.loss(l, i, s) + p.shelving(l, i, 0, s.place)) * Money(s.pieces)
		p.spare(l, i, s, s.pieces)
		p.noteShelf(l, i, 0, s.place, s.pieces)
	}
	return sum
}

// retrace notes what the best sessions give, and what they take.
func (p *pricing) retrace(l, i int, c *chain) {
	asks := p.asks[i]
	_, modes, _, _ := p.station(l, i)
	for k := range c.often {
		c.often[k] -= c.often[k] / 16
	}
	r, w := 0, 0
	for n := range asks {
		for {
			if r >= len(c.shifts[w].opens[n]) {
				break
			}
			open := c.shifts[w].opens[n][r]
			x, made := int(open.mark)-1, int(open.made)
			if x < 0 {
				break
			}
			w = x / marks
			o := &c.shifts[w].first[n][x%marks]
			lot := c.shifts[w].lot
			if lot == nil {
				p.noteOpening(l, i, *o)
				c.often[int(o.block)*len(modes)+int(o.mode)] += often
			} else {
				p.noteShelf(l, i, 0, lot.place, -made)
				p.spare(l, i, lot, -made)
			}
			if lot == nil || lot.kind == l {
				p.noteShelf(l, i, int(o.block), c.use[n], made)
			}
			r += made
		}
		x := p.soldAt(l, i, c, &c.shifts[w], n, r)
		if x > 0 {
			p.have[l][i][n] += int32((x + asks[n].unit - 1) / asks[n].unit)
		}
		r -= x
		if r > 0 && n+1 < len(asks) {
			p.noteShelf(l, i, c.use[n], c.use[n+1], r)
		}
	}
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
	if l == coating {
		t := p.Start + b*p.Block
		if p.keeps(1, i, t, t+p.items[i].Coat.SetMax) {
			return span{slots, slots + 1}
		}
		return span{}
	}
	s := span{slots + 2, slots + 2}
	if p.over[i][b] == nil { // nobody is there
		return s
	}
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
