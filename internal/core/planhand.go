package core

import (
	"strconv"
	"strings"

	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
)

// planHand works out what somebody changes by hand, and which rules it breaks.
func (c *Core) planHand() {
	r := c.phone.plans
	h := &r.told.Hand
	h.Changes = r.wish.Reason
	x := r.planChanged(r.wish.Reason)
	costs, breaches := planner.Breaches(r.problem, x)
	x.Cost, x.Bound = costs.Sum(), min(r.base.Bound, costs.Sum())
	for i := range breaches {
		h.Breaches = append(h.Breaches, r.planBreach(x, &breaches[i]))
	}
	if len(breaches) == 0 {
		h.Plan = planning.Rows(r.problem, x, r.names)
		h.Differs = planSwaps(planning.Difference(&r.told.Plan, &h.Plan, nil))
	}
}

// planChanged is the plan that was told last with changes by hand: what is left out goes first, and with it what hangs on it.
func (r *planRun) planChanged(changes string) *planner.Plan {
	x := &planner.Plan{}
	for _, l := range r.base.Loads {
		x.Loads = append(x.Loads, planner.Load{Item: l.Item, Start: l.Start, Units: l.Units})
	}
	for _, s := range r.base.Coats {
		x.Coats = append(x.Coats, planner.Session{Item: s.Item, Start: s.Start, Blocks: s.Blocks, Units: s.Units})
	}
	for _, s := range r.base.Marinades {
		x.Marinades = append(x.Marinades, planner.Session{Item: s.Item, Start: s.Start, Blocks: s.Blocks, Units: s.Units, Tubs: s.Tubs})
	}
	var outs [3]map[int]bool
	type change struct {
		sort, what byte
		n, value   int
	}
	var list []change
	for one := range strings.SplitSeq(changes, ";") {
		at := strings.IndexAny(one, "@*-")
		if at < 2 {
			continue
		}
		n, err := strconv.Atoi(one[1:at])
		value, bad := strconv.Atoi(one[at+1:])
		if err != nil || bad != nil && one[at] != '-' {
			continue
		}
		sort, row := strings.IndexByte("dct", one[0]), -1
		if sort >= 0 {
			row = r.planRowOf(sort, n)
		}
		switch {
		case row < 0:
		case one[at] == '-':
			if outs[sort] == nil {
				outs[sort] = map[int]bool{}
			}
			outs[sort][row] = true
		default:
			list = append(list, change{byte(sort), one[at], row, value})
		}
	}
	for _, ch := range list { // before what is left out moves the others up
		switch p := [...]func() (*int, *int){
			func() (*int, *int) { return &x.Loads[ch.n].Start, &x.Loads[ch.n].Units },
			func() (*int, *int) { return &x.Coats[ch.n].Start, &x.Coats[ch.n].Units },
			func() (*int, *int) { return &x.Marinades[ch.n].Start, &x.Marinades[ch.n].Units }}[ch.sort]; ch.what {
		case '@':
			start, _ := p()
			*start = ch.value
		case '*':
			_, units := p()
			*units = ch.value
		}
	}
	r.planFits(x)
	x.Loads = planWithout(x.Loads, outs[0])
	x.Coats = planWithout(x.Coats, outs[1])
	x.Marinades = planWithout(x.Marinades, outs[2])
	planner.Supply(r.problem, x, len(outs[0])+len(outs[1])+len(outs[2]) > 0 && len(list) == 0)
	return x
}

// planFits takes as many tubs, and as long a spell, as the amounts need.
func (r *planRun) planFits(x *planner.Plan) {
	for i := range x.Marinades {
		s := &x.Marinades[i]
		if m := r.problem.Items[s.Item].Marinate; m != nil {
			s.Tubs = (s.Units + m.TubUnits - 1) / m.TubUnits
			s.Blocks = planBlocks(m.Modes, s.Tubs, s.Blocks)
		}
	}
	for i := range x.Coats {
		s := &x.Coats[i]
		if k := r.problem.Items[s.Item].Coat; k != nil {
			s.Blocks = planBlocks(k.Modes, s.Units, s.Blocks)
		}
	}
}

func planBlocks(modes []planner.Mode, amount, now int) int {
	best := 0
	for _, m := range modes {
		if m.Most >= amount && (best == 0 || m.Blocks < best) {
			best = m.Blocks
		}
	}
	if best == 0 {
		return now
	}
	return best
}

func planWithout[T any](list []T, out map[int]bool) []T {
	kept := list[:0]
	for i := range list {
		if !out[i] {
			kept = append(kept, list[i])
		}
	}
	return kept
}

// planRowOf is which of the planner's loads or sessions a row of the plan is; -1: none.
func (r *planRun) planRowOf(sort, n int) int {
	find := func(item string, start stamp.Milli, skip int, of int, at func(int) (int, int)) int {
		for i := range of {
			it, minute := at(i)
			if r.names.Items[it].Procedure == item && r.names.At(minute) == start {
				if skip == 0 {
					return i
				}
				skip--
			}
		}
		return -1
	}
	switch p := &r.told.Plan; {
	case sort == 0 && n < len(p.Drops):
		skip := 0
		for i := range n {
			if p.Drops[i].Item == p.Drops[n].Item && p.Drops[i].Start == p.Drops[n].Start {
				skip++
			}
		}
		return find(p.Drops[n].Item, p.Drops[n].Start, skip, len(r.base.Loads), func(i int) (int, int) { return r.base.Loads[i].Item, r.base.Loads[i].Start })
	case sort == 1 && n < len(p.Coats):
		return find(p.Coats[n].Item, p.Coats[n].Start, 0, len(r.base.Coats), func(i int) (int, int) { return r.base.Coats[i].Item, r.base.Coats[i].Start })
	case sort == 2 && n < len(p.Tubs):
		return find(p.Tubs[n].Item, p.Tubs[n].Start, 0, len(r.base.Marinades), func(i int) (int, int) { return r.base.Marinades[i].Item, r.base.Marinades[i].Start })
	}
	return -1
}

// planBreach says of a broken rule which item and place it is about.
func (r *planRun) planBreach(x *planner.Plan, b *planner.Breach) screen.PlanBreach {
	out := screen.PlanBreach{Breach: *b, From: r.names.At(b.At), To: r.names.At(b.Need), Row: -1}
	item := -1
	switch b.Of {
	case planner.OfLoad:
		item = x.Loads[b.N].Item
	case planner.OfCoat:
		if b.Rule != planner.RuleRoom {
			item = x.Coats[b.N].Item
		}
	case planner.OfMarinade:
		if b.Rule != planner.RuleRoom {
			item = x.Marinades[b.N].Item
		}
	case planner.OfCarry:
		item = r.problem.Carry[b.N].Item
	}
	if item >= 0 {
		out.Item = r.names.Items[item].Procedure
	}
	if (b.Rule == planner.RuleShift || b.Rule == planner.RuleTwo) && b.Where < len(r.names.Stations) {
		out.Spot = r.names.Stations[b.Where]
	}
	return out
}
