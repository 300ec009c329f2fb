package planning

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
)

// Fixing looks what would meet what a plan does not meet: each lack is mended in thought, and the day planned anew from the plan that
// there is. It is done one lack after another, so that whoever waits for it can stop.
type Fixing struct {
	s     *kitchen.State
	now   stamp.Milli
	o     Options
	plan  *Plan
	x     *planner.Plan
	left  []lack
	moves int
	least planner.Money // that the day costs as it is, after as much thought
}

// NewFixing begins to look for what would meet the unmet demand of a plan, which was made of a problem with these options. Each look
// thinks for so many moves.
func NewFixing(s *kitchen.State, now stamp.Milli, o Options, plan *Plan, x *planner.Plan, moves int) *Fixing {
	f := &Fixing{s: s, now: now, o: o, plan: plan, x: x, moves: moves}
	for _, u := range plan.Unmet {
		known := u.lack == lackNothing
		for _, l := range f.left {
			known = known || l == u.lack
		}
		if !known {
			f.left = append(f.left, u.lack)
		}
	}
	return f
}

// By how much each lack is mended: as the questions of the plan's page ask, so that one of them shows what would be otherwise.
const (
	earlier  = 30 // minutes
	morePans = 10
)

// If names the question that asks what a fix would change, "" where there is no fix.
func (s *Say) If() string {
	if s == nil {
		return ""
	}
	switch s.Text {
	case "pl.fix.fryer":
		return "fryer"
	case "pl.fix.pans":
		return "pans"
	case "pl.fix.tubs":
		return "tub"
	}
	return "earlier"
}

// Step mends one lack; false when none is left.
func (f *Fixing) Step() bool {
	if len(f.left) == 0 {
		return false
	}
	what := f.left[0]
	f.left = f.left[1:]
	o := f.o
	var say Say
	switch what {
	case lackFryers:
		o.Fryers++
		say.Text = "pl.fix.fryer"
	case lackPans:
		o.Pans += morePans
		say = Say{Text: "pl.fix.pans", Args: []Arg{{Name: "n", N: morePans}}}
	case lackTubs:
		o.Tubs++
		say.Text = "pl.fix.tubs"
	case lackMarinating, lackCoating:
		o.Earlier += earlier
		say = Say{Text: "pl.fix.earlier", Args: []Arg{{Name: "length", Kind: ArgMinutes, N: earlier}}}
	}
	if f.least == 0 {
		f.least = f.plan.Cost
		if as, ok := f.think(f.o); ok {
			f.least = min(f.least, as.Cost)
		}
	}
	other, ok := f.think(o)
	if !ok {
		return true
	}
	gain := f.least - other.Cost
	for i := range f.plan.Unmet {
		u := &f.plan.Unmet[i]
		if u.lack != what {
			continue
		}
		meets := u.Pieces - unmetIn(&other, u)
		if meets <= 0 || gain <= 0 {
			continue
		}
		fix := say
		fix.Args = append([]Arg{{Name: "meets", N: int64(meets)}, {Name: "gain", Kind: ArgMoney, N: int64(gain)}}, say.Args...)
		u.Fix, u.Gain = &fix, gain
	}
	return true
}

// think plans the day otherwise.
func (f *Fixing) think(o Options) (Plan, bool) {
	p, n, _ := Problem(f.s, f.now, f.plan.Day, o)
	if p == nil {
		return Plan{}, false
	}
	v := planner.NewSolverFrom(p, f.x, 1)
	v.Think(f.moves)
	return Rows(p, v.Plan(), n), true
}

// unmetIn is how much of an item another plan does not meet in the span of unmet demand.
func unmetIn(p *Plan, u *Unmet) (pieces int) {
	for _, o := range p.Unmet {
		if o.Item == u.Item && o.From < u.To && u.From < o.To {
			pieces += o.Pieces
		}
	}
	return pieces
}
