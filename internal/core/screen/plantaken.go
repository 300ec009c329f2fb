package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planning"
)

// PlanTaken is what a device's planner has come to, as it can be taken on: of the day, with the changes by hand, that the command names; nil
// where there is no such plan any more.
func PlanTaken(ctx *Context, c *kitchen.Command) *entry.PlanAccepted {
	x := ctx.Planned
	if x == nil || x.Key == "" || x.Day != c.Day {
		return nil
	}
	plan := &x.Plan
	if c.Text != "" {
		if c.Text != x.Hand.Changes || len(x.Hand.Breaches) > 0 {
			return nil
		}
		plan = &x.Hand.Plan
	}
	if len(plan.Sold) < len(x.Items) {
		return nil
	}
	names := planning.Names{Zero: x.Zero, Items: x.Items, Rushes: x.Rushes}
	return planning.Accept(plan, &names, c.Answer == "ring")
}
