package planner

// Solver makes a plan of a problem, and a better one the longer it thinks.
type Solver struct {
	m      *model
	best   *search // holds the best plan
	now    *search // what is being changed
	prices *pricing
	heat   heat
	stage  uint64
	seed   uint64
	owed   int // rounds of prices that come before the next stage
	debt   int // moves that were made beyond those asked for
}

// moves of one stage, and what is added to it with every round of stages.
const (
	stageMoves = 40_000
	starts     = 4     // stages from nothing before the best of them is changed on
	round      = 8     // of so many stages one begins from nothing again
	rounds     = 6     // of prices, after every stage
	fewRounds  = 4     // once prices hardly move
	roundMoves = 1_000 // moves that a round of prices counts for
)

// NewSolver begins with the plan to do nothing, improved by a moment's thought.
func NewSolver(p *Problem, seed uint64) *Solver {
	m := newModel(p)
	v := &Solver{m: m, best: newSearch(m, seed), seed: seed}
	v.now = v.best
	v.heat = heat{3 * Unit, Unit / 20, stageMoves / 10, 0}
	return v
}

// Think makes so many moves more; a round of prices counts for some. The same moves make the same plan, however they are divided
// among calls.
func (v *Solver) Think(moves int) {
	for moves -= v.debt; moves > 0; {
		switch {
		case v.owed > 0:
			v.prices.improve(v.best.least, 1)
			moves -= roundMoves
			if v.owed--; v.owed == 0 {
				v.begin()
			}
		default:
			n := min(moves, v.heat.moves-v.heat.done)
			moves -= n
			if v.now.cool(&v.heat, n) {
				v.end()
			}
		}
	}
	v.debt = -moves
}

// end ends a stage.
func (v *Solver) end() {
	v.now.back()
	if v.now.least < v.best.least {
		v.best = v.now
	}
	if v.prices == nil {
		v.prices = newPricing(v.m)
	}
	if v.owed = rounds; v.prices.settled {
		v.owed = fewRounds
	}
}

// begin begins a stage: from nothing at first, then by warming up the best and letting it cool.
func (v *Solver) begin() {
	v.stage++
	moves := stageMoves + stageMoves*int(v.stage/round)/2
	if v.stage <= starts || v.stage%round == 0 {
		v.now = newSearch(v.m, v.seed+v.stage)
		if v.stage%2 == 1 {
			v.now.guess(v.prices)
		}
		v.heat = heat{6 * Unit, Unit / 20, moves, 0}
		return
	}
	v.now = v.best
	v.heat = heat{[3]Money{3 * Unit, 2 * Unit, Unit}[v.stage%3], Unit / 50, moves, 0}
}

// Proven tells whether no plan can be cheaper.
func (v *Solver) Proven() bool { return v.prices != nil && v.prices.bound >= v.best.least }

// Plan returns the best plan so far.
func (v *Solver) Plan() *Plan {
	s := newSearch(v.m, 0)
	for i := range s.now {
		s.now[i].copyFrom(&v.best.best[i])
	}
	s.cost = v.best.least
	p := s.plan()
	if v.prices != nil {
		p.Bound = min(max(v.prices.bound, 0), p.Cost)
	}
	return p
}

// plan writes down what the search holds.
func (s *search) plan() *Plan {
	p := &Plan{Cost: s.cost, Carry: make([][]From, len(s.Problem.Carry))}
	for i := range s.now {
		w := &s.now[i]
		w.tell = &telling{}
		s.judge(i, w)
		t := w.tell
		w.tell = nil
		loads, coats, salts := len(p.Loads), len(p.Coats), len(p.Marinades)
		for n, l := range w.loads {
			load := Load{Item: i, Start: s.Start + int(l.tick)*s.Tick, Units: int(l.units)}
			if n < len(t.loads) {
				load.From = moved(t.loads[n], coats)
			}
			p.Loads = append(p.Loads, load)
		}
		for _, x := range t.sold {
			if x.source < 0 {
				p.Hot = append(p.Hot, Sale{-1 - x.source, x.slot, x.pieces})
			} else {
				l := &p.Loads[loads+x.source]
				l.Sells = append(l.Sells, Sale{0, x.slot, x.pieces})
			}
		}
		for n, c := range w.coats {
			x := Session{Item: i, Start: s.Start + int(c.block)*s.Block, Blocks: s.items[i].Coat.Modes[c.mode].Blocks}
			if n < len(t.coats) {
				x.From = moved(t.coats[n], salts)
			}
			p.Coats = append(p.Coats, x)
		}
		for _, l := range w.coated {
			if l.from >= 0 {
				p.Coats[coats+l.from].Units = l.used
			}
		}
		for _, c := range w.salts {
			p.Marinades = append(p.Marinades, Session{Item: i, Start: s.Start + int(c.block)*s.Block, Blocks: s.items[i].Marinate.Modes[c.mode].Blocks})
		}
		for _, l := range w.salted {
			if l.from >= 0 {
				x := &p.Marinades[salts+l.from]
				x.Units, x.Tubs = l.used, tubsFor(l.used, s.items[i].Marinate)
			}
		}
		for stage, from := range t.carry {
			if n := s.carry[stage][i]; n >= 0 {
				p.Carry[n] = moved(from, [2]int{salts, coats}[stage])
			}
		}
	}
	return p
}

// moved renumbers own sessions of an item among those of all.
func moved(list []From, by int) []From {
	for n := range list {
		if list[n].Own {
			list[n].Lot += by
		}
	}
	return list
}
