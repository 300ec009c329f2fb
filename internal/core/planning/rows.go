package planning

import (
	"cmp"

	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
)

// rowing is a plan that is turned into rows.
type rowing struct {
	p       *planner.Problem
	x       *planner.Plan
	n       *Names
	out     Plan
	given   [2][]int64 // grams given out of each lot so far, of marinated and coated ones
	tubRow  []int      // row of a session of the plan
	coatRow []int
	fulls   [2]*bool    // of tubs and pans, once known
	uses    [2][2][]int // see used
	free    [][]int     // fryers, by group and tick
}

// Rows turns the planner's plan into rows that a cook can do, by time.
func Rows(p *planner.Problem, x *planner.Plan, n *Names) Plan {
	r := &rowing{p: p, x: x, n: n}
	costs, _ := planner.Check(p, x)
	r.out = Plan{Day: n.Day, Made: n.Now, Until: n.At(p.Close), Version: n.Version, Costs: costs, Cost: costs.Sum() + n.lost,
		Bound: min(x.Bound, costs.Sum()) + n.lost, Proven: x.Bound >= costs.Sum()}
	r.given = [2][]int64{make([]int64, len(p.Marinated)), make([]int64, len(p.Coated))}
	r.tubs()
	r.coats()
	r.drops()
	r.keeps()
	r.sold()
	r.oldest()
	r.unmet()
	return r.out
}

// byStart lists numbers of what is planned by its start.
func byStart(count int, start func(n int) int) []int {
	list := make([]int, count)
	for n := range list {
		list[n] = n
	}
	order.Stable(list, func(a, b int) int { return cmp.Compare(start(a), start(b)) })
	return list
}

// ends returns the end of the window of a station in which a session lies.
func (r *rowing) ends(station, start int) int {
	for _, w := range r.p.Stations[station].Windows {
		if w.From <= start && start < w.To {
			return w.To
		}
	}
	return start
}

// needed returns the first minute at which something is taken out of the plan's own session, of marinades (0) or coats (1).
func (r *rowing) needed(stage, session int) int {
	first := 1 << 30
	look := func(from []planner.From, at int) {
		for _, f := range from {
			if f.Own && f.Lot == session {
				first = min(first, at)
			}
		}
	}
	if stage == 0 {
		for _, s := range r.x.Coats {
			look(s.From, s.Start)
		}
	} else {
		for _, l := range r.x.Loads {
			look(l.From, l.Start)
		}
	}
	for n, from := range r.x.Carry {
		if n < len(r.p.Carry) && r.p.Carry[n].Coated == (stage == 1) {
			look(from, r.p.Carry[n].At)
		}
	}
	return first
}

func (r *rowing) tubs() {
	r.tubRow = make([]int, len(r.x.Marinades))
	for _, k := range byStart(len(r.x.Marinades), func(n int) int { return r.x.Marinades[n].Start }) {
		s := r.x.Marinades[k]
		it, name := &r.p.Items[s.Item], &r.n.Items[s.Item]
		m := it.Marinate
		work := s.Blocks * r.p.Block
		ready, end := s.Start+work+m.Min+m.Drain, s.Start+m.Drain
		t := Tub{Item: name.Procedure, Start: r.n.At(s.Start), End: r.n.At(s.Start + work), Station: r.n.Stations[m.Station], Units: s.Units,
			Grams: int64(s.Units) * name.UnitGrams, Ready: r.n.At(ready), BestUntil: r.n.At(end + m.Best), Until: r.n.At(end + m.Max)}
		latest := r.ends(m.Station, s.Start) - work
		if first := r.needed(0, k); first < 1<<30 {
			latest = min(latest, first-ready+s.Start)
			t.Drains = r.n.At(first - m.Drain)
		}
		t.Latest = r.n.At(max(latest, s.Start))
		for i := range int64(s.Tubs) {
			v := Vessel{Grams: share(t.Grams, int64(s.Tubs), i)}
			if name.mix != nil {
				v.Water = name.mix.Water(v.Grams)
				v.Concentrate = name.mix.Concentrate(v.Water)
			}
			t.Vessels = append(t.Vessels, v)
			t.Water, t.Concentrate = t.Water+v.Water, t.Concentrate+v.Concentrate
		}
		r.tubRow[k] = len(r.out.Tubs)
		r.out.Tubs = append(r.out.Tubs, t)
	}
}

// share is part i of n alike parts, the first ones larger where it does not divide.
func share(grams, n, i int64) int64 {
	s := grams / n
	if i < grams%n {
		s++
	}
	return s
}

func (r *rowing) coats() {
	r.coatRow = make([]int, len(r.x.Coats))
	for _, k := range byStart(len(r.x.Coats), func(n int) int { return r.x.Coats[n].Start }) {
		s := r.x.Coats[k]
		it, name := &r.p.Items[s.Item], &r.n.Items[s.Item]
		c := it.Coat
		work := s.Blocks * r.p.Block
		o := Coat{Item: name.Procedure, Start: r.n.At(s.Start), End: r.n.At(s.Start + work), Station: r.n.Stations[c.Station], Units: s.Units,
			Grams: int64(s.Units) * name.UnitGrams, Pans: (s.Units + c.UnitsPerPan - 1) / c.UnitsPerPan, From: r.sources(0, s.From),
			Ready: r.n.At(s.Start + work + c.SetMin), Until: r.n.At(s.Start + c.SetMax)}
		if it.Marinate != nil && r.drainsFor(s) {
			o.Drain = r.n.At(s.Start - name.work)
		}
		latest := r.ends(c.Station, s.Start) - work
		if first := r.needed(1, k); first < 1<<30 {
			latest = min(latest, first-work-c.SetMin)
		}
		for _, f := range s.From {
			latest = min(latest, r.until(0, f))
		}
		o.Latest = r.n.At(max(latest, s.Start))
		r.coatRow[k] = len(r.out.Coats)
		r.out.Coats = append(r.out.Coats, o)
	}
}

// until is until when a lot can be used, of marinated (0) and coated (1) ones.
func (r *rowing) until(stage int, f planner.From) int {
	switch {
	case stage == 0 && !f.Own:
		return r.p.Marinated[f.Lot].Until
	case stage == 1 && !f.Own:
		return r.p.Coated[f.Lot].Until
	case stage == 0:
		s := r.x.Marinades[f.Lot]
		m := r.p.Items[s.Item].Marinate
		return s.Start + m.Max + m.Drain
	}
	s := r.x.Coats[f.Lot]
	return s.Start + r.p.Items[s.Item].Coat.SetMax
}

// drainsFor tells whether what a session coats must still be put to drain.
func (r *rowing) drainsFor(s planner.Session) bool {
	work := r.n.Items[s.Item].work
	for _, f := range s.From {
		if f.Own || !r.n.drains(f.Lot) {
			return work > 0
		}
	}
	return false
}

// drains tells whether all of a marinated lot drains already.
func (n *Names) drains(lot int) bool {
	for _, s := range n.Marinated[lot] {
		if !s.Drains {
			return false
		}
	}
	return true
}

// sources says out of which batches something is taken, the oldest first.
func (r *rowing) sources(stage int, from []planner.From) (list []Source) {
	lots, rows, names := r.p.Marinated, r.tubRow, r.n.Marinated
	if stage == 1 {
		lots, rows, names = r.p.Coated, r.coatRow, r.n.Coated
	}
	for _, f := range from {
		if f.Own {
			list = append(list, Source{Own: rows[f.Lot], Units: f.Units})
			continue
		}
		want := int64(f.Units) * r.n.Items[lots[f.Lot].Item].UnitGrams
		at := r.given[stage][f.Lot]
		r.given[stage][f.Lot] += want
		first := len(list)
		for _, s := range names[f.Lot] {
			skip := min(at, s.Grams)
			at -= skip
			if got := min(want, s.Grams-skip); got > 0 {
				want -= got
				s.Grams = got
				list = append(list, Source{Share: s, Own: -1})
			}
		}
		if first < len(list) {
			list[first].Units = f.Units
		}
	}
	return list
}

func (r *rowing) drops() {
	free := make([][]int, len(r.n.Groups)) // by group and fryer: from when
	last := make([][]int, len(r.n.Groups)) // the drop that went before
	for g := range r.n.Groups {
		for _, f := range r.n.Groups[g].Fryers {
			free[g], last[g] = append(free[g], f.Free), append(last[g], -1)
		}
	}
	for _, k := range byStart(len(r.x.Loads), func(n int) int { return r.x.Loads[n].Start }) {
		l := r.x.Loads[k]
		it, name := &r.p.Items[l.Item], &r.n.Items[l.Item]
		c := &it.Cook
		out := l.Start + c.Out
		d := Drop{Item: name.Procedure, Start: r.n.At(l.Start), Free: r.n.At(l.Start + c.Busy), Out: r.n.At(out), Ready: r.n.At(out + c.Ready),
			Until: r.n.At(out + c.Hold), Units: l.Units, Pieces: l.Units * it.UnitPieces, Grams: int64(l.Units) * name.UnitGrams, Rush: -1}
		if it.Coat != nil {
			d.From = r.sources(1, l.From)
		}
		latest := l.Start + c.Out + c.Hold
		d.Waste = d.Pieces
		for _, s := range l.Sells {
			d.Waste -= s.Pieces
			latest = min(latest, r.p.Open+s.Slot*r.p.Slot-c.Out-c.Ready)
		}
		for _, f := range l.From {
			latest = min(latest, r.until(1, f))
		}
		d.Latest = r.n.At(max(latest, l.Start))
		for f := range free[c.Group] {
			if free[c.Group][f] <= l.Start {
				if before := last[c.Group][f]; before >= 0 { // nothing may be late into the next
					o := &r.out.Drops[before]
					o.Latest = max(min(o.Latest, d.Start.Add(-o.Free.Since(o.Start))), o.Start)
				}
				d.Fryer = r.n.Groups[c.Group].Fryers[f].Name
				free[c.Group][f], last[c.Group][f] = l.Start+c.Busy, len(r.out.Drops)
				break
			}
		}
		for i, rush := range r.n.Rushes {
			if d.Ready <= rush.At.Add(15*stamp.Minute) {
				if rush.At.Since(d.Ready) <= 70*stamp.Minute {
					d.Rush = i
				}
				break
			}
		}
		r.out.Drops = append(r.out.Drops, d)
	}
}

func (r *rowing) keeps() {
	for n, want := range r.p.Carry {
		var from []planner.From
		if n < len(r.x.Carry) {
			from = r.x.Carry[n]
		}
		k := Carried{Item: r.n.Items[want.Item].Procedure, Coated: want.Coated, At: r.n.At(want.At), Want: want.Units}
		for _, f := range from {
			k.Units += f.Units
		}
		k.Grams = int64(k.Units) * r.n.Items[want.Item].UnitGrams
		k.Short = want.ShortCost * planner.Money(want.Units-k.Units)
		stage := 0
		if want.Coated {
			stage = 1
		}
		k.From = r.sources(stage, from)
		r.out.Keeps = append(r.out.Keeps, k)
	}
}

// sold sums up what is asked for and sold, and what of the hold is sold.
func (r *rowing) sold() {
	for i := range r.p.Items {
		it, name := &r.p.Items[i], r.n.Items[i].Procedure
		s := Sold{Item: name}
		for _, n := range it.Demand {
			s.Asked += n
		}
		r.out.Demand = append(r.out.Demand, Asked{Item: name, From: r.n.At(r.p.Open), Each: r.p.Slot, By: it.Demand})
		r.out.Sold = append(r.out.Sold, s)
	}
	for _, l := range r.x.Loads {
		s := &r.out.Sold[l.Item]
		s.Wasted += l.Units * r.p.Items[l.Item].UnitPieces
		for _, x := range l.Sells {
			s.Sold, s.Wasted = s.Sold+x.Pieces, s.Wasted-x.Pieces
		}
	}
	for n, l := range r.p.Hot {
		h := HotLot{Item: r.n.Items[l.Item].Procedure, From: r.n.Hot[n], Ready: r.n.At(l.Ready), Until: r.n.At(l.Until), Pieces: l.Amount}
		for _, x := range r.x.Hot {
			if x.Lot == n {
				h.Sold += x.Pieces
			}
		}
		s := &r.out.Sold[l.Item]
		s.Sold, s.Wasted = s.Sold+h.Sold, s.Wasted+h.Pieces-h.Sold
		r.out.Hot = append(r.out.Hot, h)
	}
}

// oldest works out what it would save to leave the oldest marinated units of each item, and use newer ones in their place: of what is
// left over in the end it is always the same that it costs to throw away, but what is older is longer past its best.
func (r *rowing) oldest() {
	for i := range r.p.Items {
		m := r.p.Items[i].Marinate
		if m == nil {
			continue
		}
		var lots []planner.Lot // by age: their units, and whether the plan leaves some
		left := 0
		for _, l := range r.p.Marinated {
			if l.Item == i {
				lots, left = append(lots, l), left+l.Amount
			}
		}
		for _, s := range r.x.Marinades {
			if s.Item == i {
				at := s.Start + m.Drain
				lots = append(lots, planner.Lot{Amount: s.Units, Ready: at + s.Blocks*r.p.Block + m.Min, Until: at + m.Max, Best: at + m.Best})
				left += s.Units
			}
		}
		var uses []planner.Lot // when so many units are taken: Ready is the minute
		for _, s := range r.x.Coats {
			if s.Item == i {
				uses, left = append(uses, planner.Lot{Amount: s.Units, Ready: s.Start}), left-s.Units
			}
		}
		for n, want := range r.p.Carry {
			if want.Item == i && !want.Coated && n < len(r.out.Keeps) {
				uses, left = append(uses, planner.Lot{Amount: r.out.Keeps[n].Units, Ready: want.At}), left-r.out.Keeps[n].Units
			}
		}
		order.Stable(uses, func(a, b planner.Lot) int { return cmp.Compare(a.Ready, b.Ready) })
		as, ok := pastBest(lots, uses, 0)
		for skip := 1; ok && skip <= left; skip++ {
			if now, fine := pastBest(lots, uses, skip); fine && m.OverBest*planner.Money(as-now) > r.out.Saves {
				r.out.Saves, r.out.Leaves = m.OverBest*planner.Money(as-now), skip
			}
		}
	}
}

// pastBest is how many minutes past their best the units are that are taken, oldest first, when the oldest skip units are left;
// false when that is not enough.
func pastBest(lots, uses []planner.Lot, skip int) (minutes int, ok bool) {
	left := make([]int, len(lots))
	for n, l := range lots {
		gone := min(skip, l.Amount)
		skip, left[n] = skip-gone, l.Amount-gone
	}
	for _, u := range uses {
		want := u.Amount
		for n, l := range lots {
			if got := min(want, left[n]); got > 0 && l.Ready <= u.Ready && u.Ready <= l.Until {
				want, left[n] = want-got, left[n]-got
				minutes += got * max(0, u.Ready-l.Best)
			}
		}
		if want > 0 {
			return 0, false
		}
	}
	return minutes, true
}
