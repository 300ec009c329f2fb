package planning

import (
	"brinebell/internal/core/planner"
)

// What a row that was promised may cost at most to be kept: a four hundredth of the plan's cost for one, a fiftieth for all.
const (
	keepOne = 400
	keepAll = 50
)

// Kept is what of a plan that was promised was kept, and what that costs more than the cheapest plan known.
type Kept struct {
	Rows int
	Cost planner.Money
}

// Keep puts what a new plan moved of one that was taken on back where that costs little: it begins with what the promised plan becomes
// when it is only mended, if that is hardly dearer, and else with the new plan. What was promised is the plan as Warm returns it.
func Keep(p *planner.Problem, x *planner.Plan, promised *planner.Plan) (*planner.Plan, Kept) {
	if promised == nil {
		return x, Kept{}
	}
	k := keeping{p: p, x: x, best: x, promised: promised}
	for _, moves := range []int{0, polishMoves} {
		if mended := planner.Polish(p, promised, moves, 1); mended.Cost <= x.Cost+x.Cost/keepAll {
			k.best = mended
			break
		}
	}
	for _, old := range promised.Loads {
		k.try(func(y *planner.Plan) bool { return k.load(y, old) })
	}
	for stage := range 2 {
		for _, old := range sessions(promised, stage) {
			k.try(func(y *planner.Plan) bool { return restore(sessions(y, stage), old) })
		}
	}
	k.best.Bound = min(x.Bound, k.best.Cost)
	kept := Kept{Cost: max(0, k.best.Cost-x.Cost)}
	for _, l := range k.best.Loads {
		if has(promised, l) && !has(x, l) {
			kept.Rows++
		}
	}
	return k.best, kept
}

// polishMoves is how long a promised plan is mended: some hundredths of a second.
const polishMoves = 3000

// keeping is a plan on its way back to what was promised.
type keeping struct {
	p                 *planner.Problem
	x, best, promised *planner.Plan
}

// try changes a plan, and keeps the change if it breaks no rule and costs little.
func (k *keeping) try(change func(y *planner.Plan) bool) {
	y := copied(k.best)
	if !change(y) {
		return
	}
	planner.Supply(k.p, y, true)
	costs, broken := planner.Check(k.p, y)
	if y.Cost = costs.Sum(); len(broken) == 0 && y.Cost <= k.best.Cost+k.x.Cost/keepOne && y.Cost <= k.x.Cost+k.x.Cost/keepAll {
		k.best = y
	}
}

// load puts the load nearest to one that was promised in its place; false when it is there, or there is none near.
func (k *keeping) load(y *planner.Plan, old planner.Load) bool {
	if has(y, old) {
		return false
	}
	at := -1
	for n, l := range y.Loads {
		if l.Item == old.Item && !has(k.promised, l) && (at < 0 || gap(l.Start, old.Start) < gap(y.Loads[at].Start, old.Start)) {
			at = n
		}
	}
	if at < 0 || gap(y.Loads[at].Start, old.Start) > 60 {
		return false
	}
	y.Loads[at].Start, y.Loads[at].Units = old.Start, old.Units
	return true
}

func gap(a, b int) int { return max(a-b, b-a) }

func sessions(x *planner.Plan, stage int) []planner.Session {
	if stage == 1 {
		return x.Coats
	}
	return x.Marinades
}

// restore moves the session nearest to one that was promised to its time; false when it is there, or there is none near.
func restore(list []planner.Session, old planner.Session) bool {
	at := -1
	for n, s := range list {
		if s.Item != old.Item {
			continue
		}
		if s.Start == old.Start {
			return false
		}
		if at < 0 || gap(s.Start, old.Start) < gap(list[at].Start, old.Start) {
			at = n
		}
	}
	if at < 0 || gap(list[at].Start, old.Start) > 2*60 {
		return false
	}
	list[at].Start = old.Start
	return true
}

// has tells whether a load stands in a plan as it is.
func has(x *planner.Plan, l planner.Load) bool {
	for _, o := range x.Loads {
		if o.Item == l.Item && o.Start == l.Start && o.Units == l.Units {
			return true
		}
	}
	return false
}

func copied(x *planner.Plan) *planner.Plan {
	y := *x
	y.Loads = append([]planner.Load(nil), x.Loads...)
	y.Coats = append([]planner.Session(nil), x.Coats...)
	y.Marinades = append([]planner.Session(nil), x.Marinades...)
	y.Hot, y.Carry = nil, nil
	return &y
}
