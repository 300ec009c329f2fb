package main

import (
	"fmt"
	"os"
	"time"

	"brinebell/internal/core/planner"
)

// planCommand makes a plan of one day.
type planCommand struct {
	Instance string `long:"instance" value-name:"FILE" description:"The problem: demand, stock, fryers, stations and places as JSON (testdata/plan/README.md)."`
	Out      string `long:"out" value-name:"FILE" description:"Where the plan goes, as JSON."`
	Time     length `long:"time" value-name:"TIME" default:"1s" description:"How long it may think: the longer, the better or equal the plan."`
	Moves    count  `long:"moves" value-name:"N" description:"Think for so many changes instead, however long they take: the same number gives the same plan."`
}

// movesAtOnce is how often the clock is looked at.
const movesAtOnce = 500

// Run writes a plan that keeps every rule, with what it costs and a cost below which no plan is.
func (c *planCommand) Run(to streams) error {
	switch {
	case c.Instance == "":
		return refuse("--instance is missing: the file with the problem")
	case c.Out == "":
		return refuse("--out is missing: the file to write the plan to")
	case c.Time <= 0 || c.Moves < 0:
		return refuse("--time must be longer than nothing, such as 100ms or 3s, and --moves not below 0")
	}
	began := time.Now()
	text, err := os.ReadFile(c.Instance)
	if err != nil {
		return refuse("the file %s cannot be read: %v", c.Instance, reason(err))
	}
	p, err := planner.Read(text)
	if err != nil {
		return refuse("%s: %v", c.Instance, err)
	}
	x := c.think(planner.NewSolver(p, 1), began)
	if costs, broken := planner.Check(p, x); len(broken) > 0 || costs.Sum() != x.Cost {
		return fmt.Errorf("the plan does not hold when it is checked, so it was not written: %v; costs %s, said %s", broken, costs.Sum(), x.Cost)
	}
	if err := os.WriteFile(c.Out, x.Write(p), 0o644); err != nil {
		return refuse("the plan cannot be written to %s: %v", c.Out, reason(err))
	}
	_, err = fmt.Fprintf(to.out, "costs %s, no plan costs less than %s; %d loads, %d coat sessions, %d marinade sessions\n",
		x.Cost, x.Bound, len(x.Loads), len(x.Coats), len(x.Marinades))
	return err
}

func (c *planCommand) think(v *planner.Solver, began time.Time) *planner.Plan {
	if c.Moves > 0 {
		v.Think(int(c.Moves))
		return v.Plan()
	}
	for time.Since(began) < time.Duration(c.Time) && !v.Proven() {
		v.Think(movesAtOnce)
	}
	return v.Plan()
}
