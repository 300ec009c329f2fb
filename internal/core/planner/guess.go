package planner

// guess begins with sessions that were worth their price of late, the more often the sooner, wherever their station is still
// free: the prices know who needs a station most, which a search that changes one item at a time hardly finds out.
func (s *search) guess(p *pricing) {
	type likely struct {
		weight int32
		l, i   int
		spell
	}
	var all []likely
	for l := coating; l <= marinating; l++ {
		for i, c := range p.chains[l] {
			if c == nil {
				continue
			}
			_, modes, _, _ := p.station(l, i)
			for k, x := range c.often {
				if x < often/2 {
					continue
				}
				x = x / 8 * int32(4+s.next(8))
				all = append(all, likely{x, l, i, spell{int16(k / len(modes)), int16(k % len(modes)), 0}})
				for n := len(all) - 1; n > 0 && all[n].weight > all[n-1].weight; n-- {
					all[n], all[n-1] = all[n-1], all[n]
				}
			}
		}
	}
	busy := make([][]bool, len(s.Stations))
	for st := range busy {
		busy[st] = make([]bool, s.blocks+64)
	}
	works := make([]work, len(s.items))
	for _, x := range all {
		station, modes, _, _ := p.station(x.l, x.i)
		row := busy[station][x.block : int(x.block)+modes[x.mode].Blocks]
		free := true
		for _, b := range row {
			free = free && !b
		}
		if !free {
			continue
		}
		for k := range row {
			row[k] = true
		}
		if x.l == coating {
			works[x.i].coats = append(works[x.i].coats, x.spell)
		} else {
			works[x.i].salts = append(works[x.i].salts, x.spell)
		}
	}
	first := s.next(len(works))
	for n := range works {
		i := (first + n) % len(works)
		s.lift(i, &s.now[i], -1)
		was := s.now[i].cost
		if w := &works[i]; s.place(i, w) {
			s.cost += w.cost - was
			s.now[i], *w = *w, s.now[i]
		} else {
			s.lift(i, &s.now[i], 1)
		}
	}
	s.keep()
}

// place fills an item's sessions with loads and puts it in, as well as it goes; false where it does not.
func (s *search) place(i int, w *work) bool {
	sortLoads(w)
	s.sell(i, w)
	s.refill(i, w, nil)
	sortLoads(w)
	s.wish.of(w)
	for n := 0; n < 6; n++ {
		if s.judge(i, w); w.wrong {
			return false
		}
		ok, p := s.fits(i, w)
		if ok {
			return true
		}
		if !s.trim(&s.items[i], w, p) {
			return false
		}
		s.wish.to(w)
	}
	return false
}
