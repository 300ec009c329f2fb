package afterwards

import (
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
)

// replay works out what comes of work: guests come one by one, evenly within each slot, and are given what has stood longest.
type replay struct {
	p      *planner.Problem
	guests [][]int // by item: the minutes at which a piece is asked for
	works  []work
	base   []outcome // of the work as it was
}

// work is the work on one item. The places in the list that it was made from are kept, so that what was so once can be so
// again in a changed day; -1: it is new.
type work struct {
	loads  []Load
	coats  []planner.Session
	salts  []planner.Session
	thrown []Thrown
	loadOf []int
	coatOf []int
}

// outcome is what came of it.
type outcome struct {
	costs  planner.Costs
	missed []int // minutes at which there was none
	sold   int
	left   []int // pieces of each load that nobody bought
	over   []int // units of each coat session that no load took
	rest   []int // units of each marinade session that no coat session took
	// What the work as it was took although no plan could have: units out of lots before or after their time, or of which
	// nobody knows where they came from.
	looseLoad, looseCoat []int
	live                 []int  // of what was thrown away, what could still have been used
	short                int    // units that loads and coat sessions had too little of
	kept                 [2]int // units that were there for the next day, marinated and coated
}

// heap is a lot on the way to the next stage, and from when on it stands there.
type heap struct{ ready, until, best, left, made int }

func newReplay(p *planner.Problem, w *Work) *replay {
	r := &replay{p: p, guests: make([][]int, len(p.Items)), works: make([]work, len(p.Items)), base: make([]outcome, len(p.Items))}
	for i := range p.Items {
		for s, n := range p.Items[i].Demand {
			for k := range n {
				r.guests[i] = append(r.guests[i], p.Open+s*p.Slot+(2*k+1)*p.Slot/(2*n))
			}
		}
		session := func(s *planner.Session) int { return s.Item }
		x := &r.works[i]
		x.loads = sorted(w.Loads, i, func(l *Load) int { return l.Item }, loadsByStart)
		x.coats = sorted(w.Coats, i, session, byStart)
		x.salts = sorted(w.Marinades, i, session, byStart)
		x.thrown = sorted(w.Thrown, i, func(t *Thrown) int { return t.Item }, thrownByTime)
		x.loadOf, x.coatOf = count(len(x.loads)), count(len(x.coats))
		r.base[i] = r.run(i, x, nil)
	}
	return r
}

func count(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// run works out what comes of the work on an item. Base is what came of it as it was: what was done then although no plan could
// have is believed again, and no more. Without it everything is believed.
func (r *replay) run(i int, w *work, base *outcome) outcome {
	o := outcome{looseLoad: make([]int, len(w.loads)), looseCoat: make([]int, len(w.coats)), live: make([]int, len(w.thrown))}
	loads := make([]Load, len(w.loads))
	copy(loads, w.loads)
	coats := make([]planner.Session, len(w.coats))
	copy(coats, w.coats)
	it := &r.p.Items[i]
	if it.Marinate != nil {
		r.marinated(i, w, coats, base, &o)
	}
	if it.Coat != nil {
		r.coated(i, w, coats, loads, base, &o)
	}
	r.fried(i, w, loads, base, &o)
	return o
}

// deed is something that takes out of a stage: n of coats or loads, of what was thrown away, or what is kept for tomorrow.
type deed struct{ at, sort, n int }

const (
	takes = iota
	throws
	keeps
)

// deeds puts all that takes out of a stage in the order of time.
func (r *replay) deeds(i int, w *work, stage Stage, starts []int) []deed {
	var list []deed
	for n, at := range starts {
		list = append(list, deed{at, takes, n})
	}
	for n := range w.thrown {
		if w.thrown[n].Stage == stage {
			list = append(list, deed{w.thrown[n].At, throws, n})
		}
	}
	for n, k := range r.p.Carry {
		if k.Item == i && k.Coated == (stage == Coated) && stage != Fried {
			list = append(list, deed{k.At, keeps, n})
		}
	}
	order.Stable(list, func(a, b deed) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return a.sort - b.sort
	})
	return list
}

// draw takes units at a minute: of what may be taken then the oldest first, of other lots or of nowhere what loose allows. It
// tells how many units past their best minutes it took.
func draw(lots []heap, at, units, loose int, believe bool) (got, odd, over int) {
	if units <= 0 {
		return 0, 0, 0
	}
	for k := range lots {
		l := &lots[k]
		if n := min(l.left, units-got); n > 0 && l.ready <= at && at <= l.until {
			l.left, got, over = l.left-n, got+n, over+n*max(0, at-l.best)
		}
	}
	odd = units - got
	if !believe {
		odd = min(odd, loose)
	}
	want := odd
	for k := range lots {
		if n := min(lots[k].left, want); n > 0 && lots[k].made <= at {
			lots[k].left, want = lots[k].left-n, want-n
		}
	}
	return got + odd, odd, over
}

// marinated takes coat sessions' units out of tubs, and works out what tubs cost.
func (r *replay) marinated(i int, w *work, coats []planner.Session, base, o *outcome) {
	m := r.p.Items[i].Marinate
	var lots []heap
	for _, l := range r.p.Marinated {
		if l.Item == i {
			lots = append(lots, heap{l.Ready, l.Until, l.Best, l.Amount, r.p.Start})
		}
	}
	first := len(lots)
	for _, s := range w.salts {
		end := s.Start + m.Drain
		lots = append(lots, heap{end + s.Blocks*r.p.Block + m.Min, end + m.Max, end + m.Best, s.Units, s.Start})
		o.costs.Marinate += m.SessionCost + m.BlockCost*planner.Money(s.Blocks) + m.TubCost*planner.Money(s.Tubs)
	}
	starts := make([]int, len(coats))
	for n := range coats {
		starts[n] = coats[n].Start
	}
	gone := 0
	for _, d := range r.deeds(i, w, Marinated, starts) {
		switch d.sort {
		case takes:
			loose := 0
			if base != nil && w.coatOf[d.n] >= 0 {
				loose = base.looseCoat[w.coatOf[d.n]]
			}
			got, odd, over := draw(lots, d.at, coats[d.n].Units, loose, base == nil)
			o.short += coats[d.n].Units - got
			coats[d.n].Units, o.looseCoat[d.n] = got, odd
			o.costs.OverBest += m.OverBest * planner.Money(over)
		case throws:
			gone += throwOut(lots, d, w, base, o)
		default:
			r.keep(lots, d, o)
		}
	}
	for k := range lots {
		o.costs.Discard += m.DiscardCost * planner.Money(lots[k].left)
		if k >= first {
			o.rest = append(o.rest, lots[k].left)
		}
	}
	o.costs.Discard += m.DiscardCost * planner.Money(gone)
}

// throwOut takes what was thrown away although it could still have been used out of its lots, and tells how much. What was past
// its time lies there anyway.
func throwOut(lots []heap, d deed, w *work, base, o *outcome) int {
	n := w.thrown[d.n].Amount
	if base != nil {
		n = base.live[d.n]
	} else {
		for k := range lots {
			if lots[k].until < d.at {
				n = max(n-lots[k].left, 0)
			}
		}
	}
	out := 0
	for k := range lots {
		if x := min(lots[k].left, n); x > 0 && lots[k].until >= d.at && lots[k].made <= d.at {
			lots[k].left, n, out = lots[k].left-x, n-x, out+x
		}
	}
	o.live[d.n] = out
	return out
}

// keep takes what is wanted for tomorrow.
func (r *replay) keep(lots []heap, d deed, o *outcome) {
	c := &r.p.Carry[d.n]
	got, _, over := draw(lots, d.at, c.Units, 0, false)
	if !c.Coated {
		o.costs.OverBest += r.p.Items[c.Item].Marinate.OverBest * planner.Money(over)
	}
	stage := Marinated
	if c.Coated {
		stage = Coated
	}
	o.kept[stage] += got
	o.costs.Short += c.ShortCost * planner.Money(c.Units-got)
}

// coated takes loads' units out of pans, and works out what coating costs.
func (r *replay) coated(i int, w *work, coats []planner.Session, loads []Load, base, o *outcome) {
	c := r.p.Items[i].Coat
	var lots []heap
	for _, l := range r.p.Coated {
		if l.Item == i {
			lots = append(lots, heap{l.Ready, l.Until, 0, l.Amount, r.p.Start})
		}
	}
	first := len(lots)
	for _, s := range coats {
		lots = append(lots, heap{s.Start + s.Blocks*r.p.Block + c.SetMin, s.Start + c.SetMax, 0, s.Units, s.Start})
		if s.Units > 0 {
			o.costs.Coat += c.SessionCost + c.BlockCost*planner.Money(s.Blocks)
		}
	}
	starts := make([]int, len(loads))
	for n := range loads {
		starts[n] = loads[n].Start
	}
	gone := 0
	for _, d := range r.deeds(i, w, Coated, starts) {
		switch d.sort {
		case takes:
			loose, l := 0, &loads[d.n]
			if base != nil && w.loadOf[d.n] >= 0 {
				loose = base.looseLoad[w.loadOf[d.n]]
			}
			got, odd, _ := draw(lots, d.at, l.Units, loose, base == nil)
			if got < l.Units {
				l.Pieces = l.pieces(r.p) * got / l.Units
			}
			o.short += l.Units - got
			l.Units, o.looseLoad[d.n] = got, odd
		case throws:
			gone += throwOut(lots, d, w, base, o)
		default:
			r.keep(lots, d, o)
		}
	}
	for k := range lots {
		o.costs.Discard += c.DiscardCost * planner.Money(lots[k].left)
		if k >= first {
			o.over = append(o.over, lots[k].left)
		}
	}
	o.costs.Discard += c.DiscardCost * planner.Money(gone)
}

func (l *Load) pieces(p *planner.Problem) int {
	if l.Pieces > 0 {
		return l.Pieces
	}
	return l.Units * p.Items[l.Item].UnitPieces
}

// forSale is when a load may be sold.
func (l *Load) forSale(p *planner.Problem) (ready, until int) {
	k := &p.Items[l.Item].Cook
	ready, until = l.Start+k.Out+k.Ready, l.Start+k.Out+k.Hold
	if l.Ready > 0 {
		ready, until = l.Ready, max(until, l.Until)
	}
	return ready, until
}

// fried sells what comes out of the fryers to the guests.
func (r *replay) fried(i int, w *work, loads []Load, base, o *outcome) {
	k := &r.p.Items[i].Cook
	var lots []heap
	wasted := 0
	for _, l := range r.p.Hot {
		if l.Item == i {
			lots = append(lots, heap{l.Ready, l.Until, 0, l.Amount, r.p.Start})
		}
	}
	first := len(lots)
	for n := range loads {
		l := &loads[n]
		pieces := 0
		if l.Units > 0 {
			pieces = l.pieces(r.p)
			o.costs.Load += k.LoadCost
		}
		ready, until := l.forSale(r.p)
		lots = append(lots, heap{ready, until, 0, pieces, ready})
	}
	thrown := r.deeds(i, w, Fried, nil)
	from := 0
	for _, at := range r.guests[i] {
		for ; len(thrown) > 0 && thrown[0].at <= at; thrown = thrown[1:] {
			wasted += throwOut(lots, thrown[0], w, base, o)
		}
		served := false
		for n := from; n < len(lots) && !served; n++ {
			l := &lots[n]
			if n == from && (l.left == 0 || l.until <= at) {
				from++
				continue
			}
			if l.left > 0 && l.ready <= at && at < l.until {
				l.left, served = l.left-1, true
			}
		}
		if served {
			o.sold++
		} else {
			o.missed = append(o.missed, at)
		}
	}
	for _, d := range thrown {
		wasted += throwOut(lots, d, w, base, o)
	}
	for n := range lots {
		wasted += lots[n].left
		if n >= first {
			o.left = append(o.left, lots[n].left)
		}
	}
	o.costs.Waste = k.WasteCost * planner.Money(wasted)
	o.costs.Unmet = r.p.Items[i].Margin * planner.Money(len(o.missed))
}

// fact writes down what was done on an item.
func (r *replay) fact(i int, f *Fact) {
	w, it := &r.works[i], &r.p.Items[i]
	f.Costs = r.base[i].costs
	f.Loads = len(w.loads)
	for _, l := range r.p.Hot {
		if l.Item == i {
			f.Fried += l.Amount
		}
	}
	for n := range w.loads {
		f.Fried += w.loads[n].pieces(r.p)
	}
	for _, s := range w.coats {
		f.Coats, f.Coated = f.Coats+s.Blocks, f.Coated+s.Units
	}
	for _, s := range w.salts {
		f.Marinades, f.Marinated, f.Tubs = f.Marinades+s.Blocks, f.Marinated+s.Units, f.Tubs+s.Tubs
	}
	cost := [Stages]planner.Money{Fried: it.Cook.WasteCost}
	if it.Marinate != nil {
		cost[Marinated] = it.Marinate.DiscardCost
	}
	if it.Coat != nil {
		cost[Coated] = it.Coat.DiscardCost
	}
	for _, t := range w.thrown {
		f.Thrown[t.Stage] += t.Amount
		f.ThrownGrams[t.Stage] += t.Grams
		f.ThrownCost[t.Stage] += cost[t.Stage] * planner.Money(t.Amount)
	}
}
