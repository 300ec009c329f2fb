package planner

// none is what cannot be gained.
const none = Money(-1 << 60)

// wanted is how many pieces something asked takes of a layer.
func (p *pricing) wanted(l, i, n int) int {
	if !p.counts(l, i, n) {
		return 0
	}
	return p.asks[i][n].most * p.asks[i][n].unit
}

// sellAt works out how much of what is left is best sold to one thing asked.
func (p *pricing) sellAt(l, i int, c *chain, w *shift, n int) {
	worth, keep, most := p.worthOf(l, i, n, w), c.keep[n], p.wanted(l, i, n)
	now, next := w.gain[n], w.gain[n+1]
	if !w.goes[n] {
		next = next[:1]
	}
	if most == 0 {
		for r := range now {
			now[r] = next[r] - keep*Money(r)
		}
		return
	}
	// of all amounts that may be left, the best is at the head of a queue that falls
	q, keys := c.queue[:len(now)+1], c.keys[:len(now)+1]
	head, tail := 0, 0
	less, gain := Money(0), Money(0)
	for r := range now {
		if r < len(next) {
			v := next[r] - less
			less += keep + worth
			for tail > head && keys[tail-1] <= v {
				tail--
			}
			q[tail], keys[tail] = r, v
			tail++
		}
		if q[head] < r-most {
			head++
		}
		now[r] = keys[head] + gain
		gain += worth
	}
}

// soldAt is how much sellAt sells of so much.
func (p *pricing) soldAt(l, i int, c *chain, w *shift, n, have int) int {
	worth, next := p.worthOf(l, i, n, w), w.gain[n+1]
	if !w.goes[n] {
		next = next[:1]
	}
	best, sold := none, 0
	for x := max(0, have-len(next)+1); x <= min(have, p.wanted(l, i, n)); x++ {
		if g := next[have-x] + worth*Money(x) - c.keep[n]*Money(have-x); g > best {
			best, sold = g, x
		}
	}
	return sold
}

// openAt lets a session be opened before one thing asked, in the same shift or a later one, once or again. What is older is sold
// first, so that less is left of it than is asked for here: else the session would be opened before a later one.
func (p *pricing) openAt(l, i int, c *chain, shift, n int) {
	w := &c.shifts[shift]
	now, opens := w.gain[n], w.opens[n]
	for r := range opens {
		if opens[r] = (chance{}); c.later[r].gain > now[r] {
			now[r], opens[r] = c.later[r].gain, c.later[r]
		}
	}
	less := p.wanted(l, i, n) // left of what is older, at least one less than this
	t := peaks{from: now, less: less, top: c.keys, at: c.queue, lead: none}
	for o := range w.first[n] {
		f := &w.first[n][o]
		t.of(f.lead)
		mark := int32(shift*marks+o) + 1
		near, at := none, 0
		for r := less - 1; r >= 0; r-- {
			if to := r + 1; to < less && to < len(now) {
				if g := now[to] - f.lead*Money(to); g > near && to <= r+f.most {
					near, at = g, to
				}
				if at > r+f.most {
					near, at = t.best(r+1, min(less-1, len(now)-1, r+f.most))
				}
			}
			best, to := near, at
			if g, x := t.upTo(r + f.most); g > best {
				best, to = g, x
			}
			if best == none {
				continue
			}
			g := chance{best + f.lead*Money(r) - f.cost, mark, int16(to - r)}
			if w.lot == nil && r < len(now) && g.gain > now[r] {
				now[r], opens[r] = g.gain, g
			}
			if g.gain > c.later[r].gain {
				c.later[r] = g
			}
		}
	}
}

// peaks finds the best amount to have, beginning with an amount.
type peaks struct {
	from []Money
	less int
	top  []Money // by amount from less on, the most that has been up to it
	at   []int   // and where
	lead Money   // what a piece pays in top
}

// of works out the best from less on where each piece pays a lead.
func (t *peaks) of(lead Money) {
	if lead == t.lead {
		return
	}
	t.lead = lead
	best, at := none, 0
	for to := t.less; to < len(t.from); to++ {
		if g := t.from[to] - lead*Money(to); g > best {
			best, at = g, to
		}
		t.top[to], t.at[to] = best, at
	}
}

// upTo returns the best from less up to an amount.
func (t *peaks) upTo(most int) (Money, int) {
	if most = min(most, len(t.from)-1); most < t.less {
		return none, 0
	}
	return t.top[most], t.at[most]
}

// best returns the best from one amount to another.
func (t *peaks) best(from, to int) (Money, int) {
	best, at := none, 0
	for n := from; n <= to; n++ {
		if g := t.from[n] - t.lead*Money(n); g > best {
			best, at = g, n
		}
	}
	return best, at
}

// openings finds the cheapest sessions of a shift that can serve each thing asked: each has something, what it costs or
// what its pieces cost until they serve or how many there can be, that none of the others has better.
func (p *pricing) openings(l, i int, c *chain, w *shift) {
	for n := range w.first {
		w.first[n] = w.first[n][:0]
	}
	if w.lot != nil {
		p.lotOpenings(l, i, c, w)
		return
	}
	per := Money(p.perPlace(l, i))
	sum := p.shelf[l-coating]
	for b := w.from; b < w.to; b++ {
		here := p.beginnings(l, i, c, b)
		if len(here) == 0 {
			continue
		}
		for _, in := range [2]span{p.reach[l][i][b], p.later(l, i, b)} {
			for n := in.from; n < in.to; n++ {
				lead := Money(0)
				if to := c.use[n]; to > b && p.shelved {
					lead = (sum[to] - sum[b]) / per
				}
				list := w.first[n]
				for _, x := range here {
					x.lead = lead
					list = cheaper(list, x)
				}
				w.first[n] = list
			}
		}
	}
}

// beginnings finds the cheapest sessions that begin at a block.
func (p *pricing) beginnings(l, i int, c *chain, b int) []opening {
	c.here = c.here[:0]
	station, modes, session, block := p.station(l, i)
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
			x := opening{cost, 0, c.caps[o], int16(b), int16(m)}
			if l == marinating {
				x.cost += p.items[i].Marinate.TubCost * Money(o+1)
			}
			c.here = cheaper(c.here, x)
		}
	}
	return c.here
}

// lotOpenings lets a lot of the beginning be taken from: who takes a piece need not throw it away, but it stands there until then.
func (p *pricing) lotOpenings(l, i int, c *chain, w *shift) {
	s := w.lot
	back := p.loss(l, i, s) + p.shelving(l, i, 0, s.place)
	if s.carry { // what is kept for tomorrow pays no fee
		back += max(0, p.fee(l, i)-p.feeOf(l, i, s))
	} else {
		back += p.fee(l, i) - p.feeOf(l, i, s)
	}
	slots := len(p.items[i].Demand)
	last := s.hull(len(w.least)).to - 1
	for n := range w.least {
		in := s.span.from <= n && n < s.span.to
		if n >= slots {
			in = s.over == nil && n == slots && s.carry || s.over != nil && s.over[n] >= 0
		}
		if in && p.counts(l, i, n) {
			lead := p.shelving(l, i, 0, c.use[n])
			if s.kind != l { // it takes no place here: what it will seem to pay for one at most is given back
				lead = -p.shelving(l, i, c.use[n], c.use[max(n, last)])
			}
			w.first[n] = append(w.first[n], opening{0, lead - back, s.pieces, 0, -1})
		}
	}
}

// hull reaches from the first to the last of n things asked that a lot can serve.
func (s *source) hull(n int) span {
	in := s.span
	if in.to <= in.from {
		in = span{n, n}
	}
	if s.over == nil {
		if s.carry {
			in = span{min(in.from, n-2), n - 1}
		}
		return in
	}
	for k := n - 2; k < n; k++ {
		if s.over[k] >= 0 {
			in.to = k + 1
			in.from = min(in.from, k)
		}
	}
	return in
}

// cheaper puts an opening among others unless one of them is as good in all.
func cheaper(list []opening, x opening) []opening {
	keep := list[:0]
	for k := range list {
		o := list[k]
		if o.cost <= x.cost && o.lead <= x.lead && o.most >= x.most {
			return list // nothing has been taken out yet: x is no better than what it would have been better than
		}
		if x.cost > o.cost || x.lead > o.lead || x.most < o.most {
			keep = append(keep, o)
		}
	}
	return append(keep, x)
}
