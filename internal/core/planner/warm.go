package planner

// NewSolverFrom begins with a plan made earlier, of a problem that was much the same: whatever of it still has fryers, people, stock
// and places. From there it looks for a better one as NewSolver does.
func NewSolverFrom(p *Problem, old *Plan, seed uint64) *Solver {
	v := NewSolver(p, seed)
	s := v.now
	for i := range s.items {
		s.takeUp(i, old)
	}
	if s.cost < s.least {
		s.keep()
	}
	s.back()
	return v
}

// Polish makes so many moves from a plan made earlier, none of them bold: what comes out is near to it, and what of it no longer goes is
// mended.
func Polish(p *Problem, old *Plan, moves int, seed uint64) *Plan {
	s := newSearch(newModel(p), seed)
	for i := range s.items {
		s.takeUp(i, old)
	}
	s.keep()
	s.cool(&heat{Unit / 10, Unit / 50, max(moves, 1), 0}, moves)
	s.back()
	return s.plan()
}

// takeUp puts an old plan's loads and sessions of an item in its place, all at once if they fit, else what fits.
func (s *search) takeUp(i int, old *Plan) {
	var all work
	it := &s.items[i]
	for _, l := range old.Loads {
		if k := (l.Start - s.Start) / s.Tick; l.Item == i && l.Start >= s.Start && k < s.ticks && l.Units > 0 {
			all.loads = append(all.loads, drop{int16(k), int16(min(l.Units, it.Cook.MaxUnits))})
		}
	}
	if it.Coat != nil {
		all.coats = s.spells(i, old.Coats, it.Coat.Modes, 1)
	}
	if it.Marinate != nil {
		all.salts = s.spells(i, old.Marinades, it.Marinate.Modes, it.Marinate.TubUnits)
	}
	const anything = 1 << 58
	w := &s.trial[0]
	all.to(w)
	if s.try(i, w, anything) {
		return
	}
	var some work // one after another: first what makes stock, then what uses it
	grow := func() bool {
		some.to(w)
		return s.try(i, w, anything)
	}
	for _, x := range all.salts {
		if some.salts = append(some.salts, x); !grow() {
			some.salts = some.salts[:len(some.salts)-1]
		}
	}
	for _, x := range all.coats {
		if some.coats = append(some.coats, x); !grow() {
			some.coats = some.coats[:len(some.coats)-1]
		}
	}
	for _, x := range all.loads {
		if some.loads = append(some.loads, x); !grow() {
			some.loads = some.loads[:len(some.loads)-1]
		}
	}
	grow()
}

// to copies what is decided to another work.
func (w *work) to(o *work) {
	o.loads = append(o.loads[:0], w.loads...)
	o.coats = append(o.coats[:0], w.coats...)
	o.salts = append(o.salts[:0], w.salts...)
}

// spells lists an item's sessions as the search holds them: each in the shortest of its modes that does as much.
func (s *search) spells(i int, list []Session, modes []Mode, per int) (out []spell) {
	for _, x := range list {
		b := (x.Start - s.Start) / s.Block
		if x.Item != i || x.Start < s.Start || b >= s.blocks || x.Units < 1 {
			continue
		}
		mode := len(modes) - 1
		for m := len(modes) - 1; m >= 0; m-- {
			if modes[m].Blocks >= x.Blocks || modes[m].Most*per >= x.Units {
				mode = m
			}
		}
		out = append(out, spell{int16(b), int16(mode), int16(min(x.Units, modes[mode].Most*per) + 1)})
	}
	return out
}
