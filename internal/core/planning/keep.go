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

// Keep puts rows of a plan that was taken on back where a new plan moved them, where that costs little. What was promised is the plan as
// Warm returns it.
func Keep(p *planner.Problem, x *planner.Plan, promised *planner.Plan) (*planner.Plan, Kept) {
	var kept Kept
	if promised == nil {
		return x, kept
	}
	best := x
	try := func(change func(y *planner.Plan) bool) {
		y := copied(best)
		if !change(y) {
			return
		}
		planner.Supply(p, y, true)
		costs, broken := planner.Check(p, y)
		y.Cost = costs.Sum()
		if len(broken) > 0 || y.Cost > best.Cost+x.Cost/keepOne || y.Cost > x.Cost+x.Cost/keepAll {
			return
		}
		y.Bound = min(x.Bound, y.Cost)
		best, kept.Rows = y, kept.Rows+1
	}
	for _, old := range promised.Loads {
		try(func(y *planner.Plan) bool {
			at := -1
			for n, l := range y.Loads {
				if l.Item != old.Item || promisedLoad(promised, l) && l.Start != old.Start {
					continue
				}
				if l.Start == old.Start && l.Units == old.Units {
					return false
				}
				if at < 0 || gap(l.Start, old.Start) < gap(y.Loads[at].Start, old.Start) {
					at = n
				}
			}
			if at < 0 || gap(y.Loads[at].Start, old.Start) > 60 {
				return false
			}
			y.Loads[at].Start, y.Loads[at].Units = old.Start, old.Units
			return true
		})
	}
	for stage := range 2 {
		for _, old := range sessions(promised, stage) {
			try(func(y *planner.Plan) bool { return restore(sessions(y, stage), old) })
		}
	}
	kept.Cost = best.Cost - x.Cost
	return best, kept
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

// promisedLoad tells whether a load stands in a plan as it is.
func promisedLoad(x *planner.Plan, l planner.Load) bool {
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
