package planner

// serves returns the slots that loads started from one minute to another can serve.
func (p *pricing) serves(it *itemModel, from, to int) span {
	s := span{len(it.Demand), 0}
	for k := max(0, (from-p.Start+p.Tick-1)/p.Tick); k < p.ticks && p.Start+k*p.Tick <= to; k++ {
		if it.last[k] >= it.first[k] {
			s.from = min(s.from, int(it.first[k]))
			s.to = max(s.to, int(it.last[k])+1)
		}
	}
	return s
}

// reaches works out what sessions and lots of the beginning can serve.
func (p *pricing) reaches(i int) {
	it := &p.items[i]
	slots := len(it.Demand)
	for _, l := range it.hot {
		s := source{pieces: l.most, span: span{l.ready, l.until + 1}, full: it.Cook.WasteCost}
		p.lots[frying][i] = append(p.lots[frying][i], s)
		s.full = 0
		p.lots[coating][i] = append(p.lots[coating][i], s)
		p.lots[marinating][i] = append(p.lots[marinating][i], s)
	}
	c := it.Coat
	if c == nil {
		return
	}
	for _, l := range it.coated {
		s := source{pieces: l.most * it.UnitPieces, span: p.serves(it, l.ready, l.until)}
		s.full = c.DiscardCost / Money(it.UnitPieces)
		s.kind, s.carry, s.place = coating, p.keeps(1, i, l.ready, l.until), p.placed(&l)
		p.lots[coating][i] = append(p.lots[coating][i], s)
		s.full, s.place = 0, 0
		p.lots[marinating][i] = append(p.lots[marinating][i], s)
	}
	p.reach[coating][i] = make([]span, p.blocks)
	short := c.Modes[0].Blocks
	for _, mode := range c.Modes {
		short = min(short, mode.Blocks)
	}
	coatable := make([]span, p.blocks) // by block of a coat session: what its units serve
	for b := range p.blocks {
		if p.open[c.Station][b] == 0 {
			continue
		}
		t := p.Start + b*p.Block
		coatable[b] = p.serves(it, t+short*p.Block+c.SetMin, t+c.SetMax)
		p.reach[coating][i][b] = coatable[b]
	}
	ma := it.Marinate
	if ma == nil {
		return
	}
	p.reach[marinating][i] = make([]span, p.blocks)
	p.over[i] = make([][]Money, p.blocks)
	quick := ma.Modes[0].Blocks
	for _, mode := range ma.Modes {
		quick = min(quick, mode.Blocks)
	}
	for b := range p.blocks {
		if p.open[ma.Station][b] == 0 || ma.Lacks(p.Start+b*p.Block) > 0 {
			continue
		}
		t := p.Start + b*p.Block + ma.Drain
		ready := t + quick*p.Block + ma.Min
		p.reach[marinating][i][b], p.over[i][b] = p.past(i, coatable, ready, t+ma.Max, t+ma.Best)
	}
	for _, l := range it.marinated {
		s := source{pieces: l.most * it.UnitPieces, full: min(ma.DiscardCost, c.DiscardCost) / Money(it.UnitPieces)}
		s.span, s.over = p.past(i, coatable, l.ready, l.until, l.best)
		s.kind, s.carry, s.place = marinating, s.over[slots+1] >= 0, p.placed(&l)
		p.lots[marinating][i] = append(p.lots[marinating][i], s)
	}
}

// placed returns the block before which nothing of a lot can have left its place in the cold room. Of what is never sold no more is
// known: a unit of which a part is thrown away when it is fried has left with the part that is sold.
func (p *pricing) placed(l *lot) int {
	if l.until < p.Start {
		return 0
	}
	return min(p.blocks, p.blockAt(l.ready))
}

// past returns what marinated units that are usable from one minute to another can serve, and what each piece costs then at
// least because it is past its best; -1: it can't be served.
func (p *pricing) past(i int, coatable []span, from, to, best int) (span, []Money) {
	it := &p.items[i]
	slots := len(it.Demand)
	over := make([]Money, slots+2)
	for n := range over {
		over[n] = -1
	}
	s := span{slots, 0}
	up := Money(it.UnitPieces)
	for b := p.blockAt(from); b < p.blocks; b++ {
		t := p.Start + b*p.Block
		if t > to {
			break
		}
		r := coatable[b]
		cost := it.Marinate.OverBest * Money(max(0, t-best)) / up
		for n := r.from; n < r.to; n++ {
			if over[n] < 0 || cost < over[n] {
				over[n] = cost
			}
		}
		if r.to > r.from {
			s.from, s.to = min(s.from, r.from), max(s.to, r.to)
			if p.keeps(1, i, t, t+it.Coat.SetMax) && (over[slots] < 0 || cost*up < over[slots]) {
				over[slots] = cost * up
			}
		} else if p.open[it.Coat.Station][b] > 0 && p.keeps(1, i, t, t+it.Coat.SetMax) && (over[slots] < 0 || cost*up < over[slots]) {
			over[slots] = cost * up
		}
	}
	if p.keeps(0, i, from, to) {
		over[slots+1] = it.Marinate.OverBest * Money(max(0, p.Problem.Carry[p.carry[0][i]].At-best))
	}
	return s, over
}

// keeps tells whether something usable between two minutes can be kept for tomorrow.
func (p *pricing) keeps(stage, i, from, to int) bool {
	n := p.carry[stage][i]
	return n >= 0 && from <= p.Problem.Carry[n].At && p.Problem.Carry[n].At <= to
}

// fromLot takes the dearest of what a lot can serve; it returns the gain, less what its rest costs.
func (p *pricing) fromLot(l, i int, s *source) Money {
	loss, fee := p.loss(l, i, s), p.feeOf(l, i, s)
	rank := p.ranked(l, i, s.span, s.carry, s.over, loss, fee)
	gain, left := p.walk(l, i, rank, s.over, fee, s.pieces, true)
	p.spare(l, i, s, left)
	return gain - loss*Money(left)
}

// ranked returns what can be served within a span, the dearest by the piece first.
func (p *pricing) ranked(l, i int, in span, carry bool, over []Money, loss, fee Money) []int {
	price, asks, slots := p.price[l][i], p.asks[i], len(p.items[i].Demand)
	rank, worth := p.rank[:0], p.worth[:0]
	add := func(n int) {
		a := &asks[n]
		if a.most == 0 || over != nil && over[n] < 0 {
			return
		}
		w := price[n]
		if over != nil {
			w -= over[n]
		}
		if a.unit > 1 {
			w /= Money(a.unit)
		}
		if n < slots {
			w -= fee
		}
		if w <= -loss {
			return
		}
		at := len(rank)
		rank, worth = append(rank, n), append(worth, w)
		for at > 0 && worth[at-1] < w {
			rank[at], worth[at] = rank[at-1], worth[at-1]
			at--
		}
		rank[at], worth[at] = n, w
	}
	for n := in.from; n < in.to; n++ {
		add(n)
	}
	if carry || over != nil {
		add(slots)
	}
	if over != nil {
		add(slots + 1)
	}
	p.rank, p.worth = rank, worth
	return rank
}

// walk takes what is ranked until the pieces are used up. A part of a unit for tomorrow counts whole: the bound is only the lower
// for it.
func (p *pricing) walk(l, i int, rank []int, over []Money, fee Money, pieces int, note bool) (gain Money, left int) {
	slots := len(p.items[i].Demand)
	price, asks := p.price[l][i], p.asks[i]
	for _, n := range rank {
		if pieces <= 0 {
			break
		}
		a := &asks[n]
		got := min(a.most*a.unit, pieces)
		whole := got
		if a.unit > 1 {
			whole = (got + a.unit - 1) / a.unit
		}
		x := price[n]
		if over != nil {
			x -= over[n]
		}
		if n < slots {
			x -= fee
		}
		gain += x * Money(whole)
		pieces -= got
		if note {
			p.have[l][i][n] += int32(whole)
		}
	}
	return gain, max(pieces, 0)
}
