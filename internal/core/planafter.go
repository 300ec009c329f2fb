package core

import (
	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/wire"
)

// afterRun is thought about what hindsight would have made of a day that is over.
type afterRun struct {
	thinker *afterwards.Thinker
	moves   int
}

// afterMoves is how many moves are made about one day: as many as the kitchen's server makes.
const afterMoves = 150_000

// afterBegin makes the problem of the day.
func (c *Core) afterBegin() {
	r := c.phone.plans
	x := afterwards.Of(r.state, r.wish.Day, r.now)
	r.after = &afterRun{}
	if x == nil || !x.Over {
		return
	}
	r.after.thinker = x.Thinker()
	c.wakeAt(c.wall + 1)
}

// afterThink goes on thinking, and tells at the end what came of it.
func (c *Core) afterThink(moves int, ends bool) {
	r := c.phone.plans
	if r.after.thinker == nil {
		return
	}
	moves = min(max(moves, 1), afterMoves-r.after.moves)
	r.after.thinker.Think(moves)
	if r.after.moves += moves; r.after.moves < afterMoves && !ends {
		c.wakeAt(c.wall + 1)
		return
	}
	told := screen.Planned{Key: r.key, After: screen.AfterKnown{Key: r.key}}
	for _, costs := range r.after.thinker.Best() {
		told.After.Costs = append(told.After.Costs, screen.AfterCosts{Costs: costs})
	}
	r.after.thinker = nil
	c.out.Plan = wire.Append(nil, &told)
}
