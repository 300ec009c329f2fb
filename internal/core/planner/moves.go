package planner

// move changes a little of one item's work, or lets two items change places, and keeps it if it does not cost too much more.
// How often each kind of change is tried was found by trying.
func (s *search) move(t Money) {
	i := s.next(len(s.items))
	it := &s.items[i]
	kind := s.next(100)
	switch {
	case kind < 5:
		s.swapLoads(i, t)
		return
	case kind < 7:
		s.swapCoats(i, t)
		return
	}
	w := &s.trial[0]
	w.copyFrom(&s.now[i])
	changed := false
	switch {
	case kind < 72:
		changed = s.changeLoads(it, w, kind)
	case it.Coat != nil:
		changed = s.changeSpells(i, w, kind)
	}
	if changed {
		s.try(i, w, s.allow(t))
	}
}

// changeLoads changes an item's loads; kind is from 7 to 71.
func (s *search) changeLoads(it *itemModel, w *work, kind int) bool {
	switch {
	case kind < 29:
		return s.shift(it, w)
	case kind < 47:
		return s.resize(it, w)
	case kind < 57:
		return s.hand(it, w)
	case kind < 64:
		return s.addLoad(it, w)
	case kind < 69:
		return s.dropLoad(w)
	}
	return s.mergeLoads(it, w)
}

// changeSpells changes an item's sessions, and lets loads make use of it; kind is from 72 to 99.
func (s *search) changeSpells(i int, w *work, kind int) bool {
	it := &s.items[i]
	c, m := it.Coat, it.Marinate
	if kind < 75 {
		return s.limit(w)
	}
	changed, fill := false, true
	switch {
	case kind < 82:
		changed, fill = s.shiftSpell(&w.coats, c.Modes), false
	case kind < 85:
		changed = s.addSpell(&w.coats, c.Station, c.Modes)
		if s.next(8) == 0 {
			s.addSpell(&w.coats, c.Station, c.Modes)
		}
	case kind < 88:
		changed, fill = s.dropSpell(&w.coats, c.Modes), s.next(2) == 0
	case kind < 90:
		changed, fill = s.retime(&w.coats, c.Station, c.Modes), s.next(2) == 0
	case m == nil:
		return false
	case kind < 94:
		changed, fill = s.shiftSpell(&w.salts, m.Modes), false
	case kind < 96:
		changed = s.addSpell(&w.salts, m.Station, m.Modes)
		if s.next(2) == 0 {
			s.addSpell(&w.coats, c.Station, c.Modes)
		}
	case kind < 98:
		changed, fill = s.dropSpell(&w.salts, m.Modes), false
	default:
		changed, fill = s.retime(&w.salts, m.Station, m.Modes), false
	}
	if changed {
		w.free()
		if fill {
			s.fill(i, w)
		}
	}
	return changed
}

// shift moves a load by a few ticks.
func (s *search) shift(it *itemModel, w *work) bool {
	if len(w.loads) == 0 {
		return false
	}
	l := &w.loads[s.next(len(w.loads))]
	by := 1 + s.next(3)
	if s.next(4) == 0 {
		by = 1 + s.next(12)
	}
	if s.next(2) == 0 {
		by = -by
	}
	k := int(l.tick) + by
	if k < 0 || k >= s.ticks || it.last[k] < it.first[k] {
		return false
	}
	l.tick = int16(k)
	return true
}

// resize makes a load greater or smaller.
func (s *search) resize(it *itemModel, w *work) bool {
	if len(w.loads) == 0 {
		return false
	}
	k := s.next(len(w.loads))
	l := &w.loads[k]
	switch by := s.next(2)*2 - 1; {
	case by < 0 && l.units == 1:
		w.loads = append(w.loads[:k], w.loads[k+1:]...)
	case by > 0 && int(l.units) == it.Cook.MaxUnits:
		return false
	default:
		l.units += int16(by)
	}
	return true
}

// hand gives a unit of a load to the one before or after it.
func (s *search) hand(it *itemModel, w *work) bool {
	if len(w.loads) < 2 {
		return false
	}
	k := s.next(len(w.loads) - 1)
	from, to := &w.loads[k], &w.loads[k+1]
	if s.next(2) == 0 {
		from, to = to, from
	}
	n := 1 + s.next(2)
	n = min(n, int(from.units), it.Cook.MaxUnits-int(to.units))
	if n <= 0 {
		return false
	}
	from.units -= int16(n)
	to.units += int16(n)
	if s.next(3) == 0 {
		to.tick = int16(min(max(int(to.tick)+s.next(7)-3, 0), s.ticks-1))
	}
	if from.units == 0 {
		s.clean(w)
	}
	return true
}

func (s *search) clean(w *work) {
	keep := w.loads[:0]
	for _, l := range w.loads {
		if l.units > 0 {
			keep = append(keep, l)
		}
	}
	w.loads = keep
}

// addLoad adds one for a slot in which something is not met.
func (s *search) addLoad(it *itemModel, w *work) bool {
	n := len(w.unmet)
	if n == 0 {
		return false
	}
	at := s.next(n)
	for range n {
		if w.unmet[at] > 0 {
			break
		}
		at = (at + 1) % n
	}
	if w.unmet[at] == 0 && s.next(2) == 0 {
		return false
	}
	k := s.tickFor(it, at) - s.next(6)
	if k < 0 || k >= s.ticks || it.last[k] < it.first[k] {
		return false
	}
	w.loads = append(w.loads, drop{int16(k), int16(1 + s.next(it.Cook.MaxUnits))})
	return true
}

// tickFor returns the last tick whose load can sell in a slot.
func (s *search) tickFor(it *itemModel, slot int) int {
	t := s.Open + slot*s.Slot - it.Cook.Out - it.Cook.Ready
	if t < s.Start {
		return -1
	}
	return min((t-s.Start)/s.Tick, s.ticks-1)
}

func (s *search) dropLoad(w *work) bool {
	if len(w.loads) == 0 {
		return false
	}
	k := s.next(len(w.loads))
	w.loads = append(w.loads[:k], w.loads[k+1:]...)
	return true
}

// mergeLoads makes one of two, or lets a load's neighbours have its units.
func (s *search) mergeLoads(it *itemModel, w *work) bool {
	if len(w.loads) < 2 {
		return false
	}
	k := s.next(len(w.loads))
	rest := int(w.loads[k].units)
	for _, j := range [2]int{k - 1, k + 1} {
		if j >= 0 && j < len(w.loads) {
			n := min(rest, it.Cook.MaxUnits-int(w.loads[j].units))
			w.loads[j].units += int16(n)
			rest -= n
		}
	}
	w.loads = append(w.loads[:k], w.loads[k+1:]...)
	return true
}

// fill adds loads for what is not met, wherever a fryer is free, as full as demand asks for.
func (s *search) fill(i int, w *work) { s.refill(i, w, s.now[i].loads) }

// refill is fill where so many loads of the item stand among those that take fryers.
func (s *search) refill(i int, w *work, mine []drop) {
	it := &s.items[i]
	g := it.Cook.Group
	s.free = s.free[:0]
	for k, n := range s.room[g] {
		s.free = append(s.free, n-s.taken[g][k])
	}
	s.occupy(it, mine, 1)
	s.occupy(it, w.loads, -1)
	first := s.fillFrom(it, w)
	for at := range w.unmet {
		last := s.tickFor(it, at)
		for k := last; k >= max(first, last-12) && w.unmet[at] > 0; k-- {
			if int(it.last[k]) < at || !s.fryerFree(k, it.span) {
				continue
			}
			units := s.unitsFor(it, w, at, int(it.last[k]))
			if units == 0 {
				break
			}
			load := drop{int16(k), int16(units)}
			w.loads = append(w.loads, load)
			s.occupy(it, []drop{load}, -1)
			have := units * it.UnitPieces
			for n := at; n <= int(it.last[k]) && have > 0; n++ {
				x := min(have, int(w.unmet[n]))
				w.unmet[n] -= int16(x)
				have -= x
			}
		}
	}
}

// fillFrom returns the first tick to fill from: any, or that of what one of the coat sessions makes, now and then, since
// an earlier load would find nothing to take, or take the fryer of a better one.
func (s *search) fillFrom(it *itemModel, w *work) int {
	switch s.next(32) {
	case 0:
		return s.next(s.ticks)
	case 1:
		if len(w.coats) > 0 {
			p := w.coats[s.next(len(w.coats))]
			ready := (int(p.block)+it.Coat.Modes[p.mode].Blocks)*s.Block + it.Coat.SetMin
			return (ready + s.Tick - 1) / s.Tick
		}
	}
	return 0
}

func (s *search) occupy(it *itemModel, loads []drop, sign int16) {
	for _, l := range loads {
		for k := int(l.tick); k < int(l.tick)+it.span; k++ {
			s.free[k] += sign
		}
	}
}

// unitsFor is how many units are worth frying for what is not met from one slot to another.
func (s *search) unitsFor(it *itemModel, w *work, from, to int) int {
	want := 0
	for n := from; n <= to; n++ {
		want += int(w.unmet[n])
	}
	units := min(want/it.UnitPieces, it.Cook.MaxUnits)
	rest := want - units*it.UnitPieces
	if units < it.Cook.MaxUnits && it.Margin*Money(rest) > it.Cook.WasteCost*Money(it.UnitPieces-rest)+Unit {
		units++
	}
	return units
}

func (s *search) fryerFree(k, span int) bool {
	for n := k; n < k+span; n++ {
		if s.free[n] <= 0 {
			return false
		}
	}
	return true
}

// swapLoads lets a load of one item and a load of another of the same fryers change places.
func (s *search) swapLoads(i int, t Money) bool {
	j := s.next(len(s.items))
	if i == j || s.items[i].Cook.Group != s.items[j].Cook.Group || len(s.now[i].loads) == 0 || len(s.now[j].loads) == 0 {
		return false
	}
	w, x := &s.trial[0], &s.trial[1]
	w.copyFrom(&s.now[i])
	x.copyFrom(&s.now[j])
	a := &w.loads[s.next(len(w.loads))]
	near := -1
	for k := range x.loads {
		if d := abs(int(x.loads[k].tick) - int(a.tick)); d < 10 && (near < 0 || s.next(2) == 0) {
			near = k
		}
	}
	if near < 0 {
		return false
	}
	b := &x.loads[near]
	a.tick, b.tick = b.tick, a.tick
	if s.next(2) == 0 {
		by := int16(s.next(5) - 2)
		if s.next(2) == 0 {
			a.tick = max(0, min(int16(s.ticks-1), a.tick+by))
		} else {
			b.tick = max(0, min(int16(s.ticks-1), b.tick+by))
		}
	}
	return s.tryTwo(i, j, w, x, t)
}

// swapCoats lets sessions of two items on one station change places.
func (s *search) swapCoats(i int, t Money) bool {
	j := s.next(len(s.items))
	if i == j || s.items[i].Coat == nil || s.items[j].Coat == nil || s.items[i].Coat.Station != s.items[j].Coat.Station ||
		len(s.now[i].coats) == 0 || len(s.now[j].coats) == 0 {
		return false
	}
	w, x := &s.trial[0], &s.trial[1]
	w.copyFrom(&s.now[i])
	x.copyFrom(&s.now[j])
	a, b := &w.coats[s.next(len(w.coats))], &x.coats[s.next(len(x.coats))]
	la, lb := s.items[i].Coat.Modes[a.mode].Blocks, s.items[j].Coat.Modes[b.mode].Blocks
	if a.block > b.block { // the later one ends where the other ended
		a.block, b.block = b.block, a.block+int16(la-lb)
	} else {
		b.block, a.block = a.block, b.block+int16(lb-la)
	}
	if a.block < 0 || b.block < 0 {
		return false
	}
	return s.tryTwo(i, j, w, x, t)
}

// tryTwo is try of two items at once.
func (s *search) tryTwo(i, j int, w, x *work, t Money) bool {
	sortLoads(w)
	sortLoads(x)
	before := s.now[i].cost + s.now[j].cost
	if s.judge(i, w)+s.judge(j, x) > before+s.allow(t) {
		return false
	}
	s.lift(i, &s.now[i], -1)
	s.lift(j, &s.now[j], -1)
	if ok, _ := s.fits(i, w); ok {
		if ok, _ := s.fits(j, x); ok {
			s.cost += w.cost + x.cost - before
			s.now[i], *w = *w, s.now[i]
			s.now[j], *x = *x, s.now[j]
			return true
		}
		s.lift(i, w, -1)
	}
	s.lift(i, &s.now[i], 1)
	s.lift(j, &s.now[j], 1)
	return false
}

func abs(n int) int { return max(n, -n) }

func sortLoads(w *work) {
	for k := 1; k < len(w.loads); k++ {
		for j := k; j > 0 && w.loads[j].tick < w.loads[j-1].tick; j-- {
			w.loads[j], w.loads[j-1] = w.loads[j-1], w.loads[j]
		}
	}
	for _, list := range [2][]spell{w.coats, w.salts} {
		for k := 1; k < len(list); k++ {
			for j := k; j > 0 && list[j].block < list[j-1].block; j-- {
				list[j], list[j-1] = list[j-1], list[j]
			}
		}
	}
}
