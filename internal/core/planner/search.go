package planner

// search looks for a cheaper plan by changing a little at a time.
type search struct {
	*model
	now   []work // what is decided, by item
	best  []work
	cost  Money
	least Money
	trial [2]work

	taken  [][]int16 // fryers taken, by group and tick
	busy   [][]int16 // by station and block
	starts []int16   // sessions that start at a block
	pans   []int32   // places taken, all items, in parts
	tubs   []int32
	free   []int16 // of fill
	wish   wish
	luck   uint64
}

func newSearch(m *model, seed uint64) *search {
	s := &search{model: m, luck: seed}
	for range m.Groups {
		s.taken = append(s.taken, make([]int16, m.ticks+64))
	}
	for range m.Stations {
		s.busy = append(s.busy, make([]int16, m.blocks+64))
	}
	s.starts = make([]int16, m.blocks+1)
	s.pans, s.tubs = make([]int32, m.blocks+1), make([]int32, m.blocks+1)
	s.now, s.best = make([]work, len(m.items)), make([]work, len(m.items))
	for i := range s.now {
		s.cost += m.judge(i, &s.now[i])
		s.lift(i, &s.now[i], 1)
	}
	s.keep()
	return s
}

func (s *search) keep() {
	s.least = s.cost
	for i := range s.now {
		s.best[i].copyFrom(&s.now[i])
	}
}

// back goes back to the best.
func (s *search) back() {
	for i := range s.now {
		s.lift(i, &s.now[i], -1)
		s.now[i].copyFrom(&s.best[i])
		s.lift(i, &s.now[i], 1)
	}
	s.cost = s.least
}

// next returns a number below n.
func (s *search) next(n int) int {
	s.luck += 0x9e3779b97f4a7c15
	z := s.luck
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return int((z >> 33) % uint64(n))
}

// lift puts an item's work into what is taken, or out of it.
func (s *search) lift(i int, w *work, sign int16) {
	s.fry(i, w.loads, sign)
	if c := s.items[i].Coat; c != nil {
		s.man(c.Station, c.Modes, w.coats, sign)
	}
	if c := s.items[i].Marinate; c != nil {
		s.man(c.Station, c.Modes, w.salts, sign)
	}
	for b := range w.pans {
		s.pans[b] += int32(sign) * w.pans[b] * s.items[i].panWeight
	}
	for b := range w.tubs {
		s.tubs[b] += int32(sign) * w.tubs[b] * s.items[i].tubWeight
	}
}

func (s *search) fry(i int, loads []drop, sign int16) {
	it := &s.items[i]
	row := s.taken[it.Cook.Group]
	for _, l := range loads {
		for k := int(l.tick); k < int(l.tick)+it.span; k++ {
			row[k] += sign
		}
	}
}

func (s *search) man(station int, modes []Mode, spells []spell, sign int16) {
	row := s.busy[station]
	for _, p := range spells {
		for b := int(p.block); b < int(p.block)+modes[p.mode].Blocks; b++ {
			row[b] += sign
		}
		s.starts[p.block] += sign
	}
}

// place is how far too much stands in the cold room at a block.
type place struct {
	block, parts int32
	pans         bool
}

// fits puts an item's work in, its former work lifted out; when it has no room it is taken out again.
func (s *search) fits(i int, w *work) (bool, place) {
	s.lift(i, w, 1)
	ok, p := s.roomFor(&s.items[i], w)
	if !ok {
		s.lift(i, w, -1)
	}
	return ok, p
}

func (s *search) roomFor(it *itemModel, w *work) (bool, place) {
	row, room := s.taken[it.Cook.Group], s.room[it.Cook.Group]
	for _, l := range w.loads {
		for k := int(l.tick); k < int(l.tick)+it.span; k++ {
			if row[k] > room[k] {
				return false, place{}
			}
		}
	}
	if c := it.Coat; c != nil && !s.alone(c.Station, c.Modes, w.coats) {
		return false, place{}
	}
	if c := it.Marinate; c != nil && !s.alone(c.Station, c.Modes, w.salts) {
		return false, place{}
	}
	for n := range w.salts {
		if it.Marinate.Lacks(s.Start+int(w.salts[n].block)*s.Block) > 0 {
			return false, place{}
		}
	}
	pans, tubs := int32(s.Pans)*s.panLCM, int32(s.Tubs)*s.tubLCM
	for b := range s.starts {
		if s.starts[b] > 0 || b == 0 {
			if s.pans[b] > pans {
				return false, place{int32(b), s.pans[b] - pans, true}
			}
			if s.tubs[b] > tubs {
				return false, place{int32(b), s.tubs[b] - tubs, false}
			}
		}
	}
	return true, place{}
}

// trim makes the last session smaller that brings what is too much at a block, in the wish that the work came of; false when
// there is none.
func (s *search) trim(it *itemModel, w *work, p place) bool {
	if p.parts == 0 {
		return false
	}
	list, lots, weight := s.wish.coats, w.coated, it.panWeight
	if !p.pans {
		list, lots, weight = s.wish.salts, w.salted, it.tubWeight
	}
	if weight == 0 {
		return false
	}
	cut := int((p.parts + weight - 1) / weight)
	for k := len(lots) - 1; k >= 0; k-- {
		l := &lots[k]
		if l.from < 0 || l.used == 0 || l.block > int(p.block) {
			continue
		}
		for n := range list {
			if int(list[n].block) == l.block {
				list[n].most = int16(max(0, l.used-cut)) + 1
				return true
			}
		}
	}
	return false
}

// wish is what a work was to be before it was judged.
type wish struct {
	loads        []drop
	coats, salts []spell
}

func (x *wish) of(w *work) {
	x.loads = append(x.loads[:0], w.loads...)
	x.coats = append(x.coats[:0], w.coats...)
	x.salts = append(x.salts[:0], w.salts...)
}

func (x *wish) to(w *work) {
	w.loads = append(w.loads[:0], x.loads...)
	w.coats = append(w.coats[:0], x.coats...)
	w.salts = append(w.salts[:0], x.salts...)
}

func (s *search) alone(station int, modes []Mode, spells []spell) bool {
	row, open := s.busy[station], s.open[station]
	for _, p := range spells {
		end := int(p.block) + modes[p.mode].Blocks
		if int(open[p.block]) < end {
			return false
		}
		for b := int(p.block); b < end; b++ {
			if row[b] > 1 {
				return false
			}
		}
	}
	return true
}

// try puts a changed work of one item in the place of the one before if it has room and does not cost too much more.
func (s *search) try(i int, w *work, allow Money) bool {
	sortLoads(w)
	before := s.now[i].cost
	s.wish.of(w)
	for n := 0; ; n++ {
		if s.judge(i, w) > before+allow {
			return false
		}
		s.lift(i, &s.now[i], -1)
		ok, p := s.fits(i, w)
		if ok {
			break
		}
		s.lift(i, &s.now[i], 1)
		if n == 5 || !s.trim(&s.items[i], w, p) {
			return false
		}
		s.wish.to(w)
	}
	s.cost += w.cost - before
	s.now[i], *w = *w, s.now[i]
	return true
}

// heat is one cooling from hot to cold, over so many moves.
type heat struct {
	hot, cold   Money
	moves, done int
}

// cool goes on with a cooling for at most so many moves; true when it is over. Most of the moves are made in the cold: the
// temperature falls with the square of what is left.
func (s *search) cool(h *heat, most int) bool {
	for n := 0; n < most && h.done < h.moves; n++ {
		left := int64(h.moves - h.done)
		s.move(h.cold + Money(int64(h.hot-h.cold)/int64(h.moves)*left/int64(h.moves)*left))
		h.done++
		if s.cost < s.least {
			s.keep()
		}
	}
	return h.done >= h.moves
}

// allow draws how much worse a step may be at a temperature: -ln of an even draw, as a table of its quantiles.
func (s *search) allow(t Money) Money {
	return t / 1024 * Money(lnTable(s.next(1024)))
}

// lnTable returns -1024 ln((n+1/2)/1024), by halving the interval: exact enough for chance.
func lnTable(n int) int64 {
	x := int64(2*n + 1) // of 2048
	k := int64(0)
	for x < 1024 {
		x *= 2
		k++
	}
	// x/2048 in [1/2, 1): -ln(x/2048) by its series around 1
	y := 2048 - x // -ln(1-y/2048)
	f := y * 1024 / 2048
	g := f * y / 2048
	h := g * y / 2048
	q := h * y / 2048
	return k*710 + f + g/2 + h/3 + q/4 + q*y/2048/5
}
