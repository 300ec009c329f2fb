package screen

import (
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Planned is what a device's planner has come to: nobody has taken it on yet, and nothing of it is an entry.
type Planned struct {
	Key      string // of the state that it was made from
	Day      int32
	Currency string
	Zero     stamp.Milli // minute 0 of the planner's problem
	Items    []planning.ItemName
	Rushes   []planning.Rush
	Missing  []planning.Missing
	Plan     planning.Plan
	Enough   []PlanEnough
	Differs  []planning.Say // from the plan that was taken on last
	Hand     PlanHand
	Ifs      []PlanIf
	Rests    bool // no more thought is given to it
	After    AfterKnown
}

// AfterKnown is what hindsight would have made of a day that is over.
type AfterKnown struct {
	Key   string // of the day that was looked back on; empty: nobody thought about one
	Costs []AfterCosts
}

// AfterCosts is what an item would have cost.
type AfterCosts struct{ planner.Costs }

// PlanEnough is how often what is ready of an item for a rush will be enough, in thousandths.
type PlanEnough struct {
	Rush   int
	Item   string
	Pieces int
	Often  int
	Days   int // of history behind it
}

// PlanHand is a plan that somebody changes by hand.
type PlanHand struct {
	Changes  string // as in the address
	Plan     planning.Plan
	Breaches []PlanBreach
	Differs  []planning.Say
}

// PlanBreach is a rule that a change by hand breaks.
type PlanBreach struct {
	planner.Breach
	From, To stamp.Milli // when, and until when if it is a span
	Item     string
	Spot     string // fryers' kind or the station
	Row      int    // of the changed plan's drops, coats or tubs; -1: none
}

// PlanIf is what would be if something were otherwise.
type PlanIf struct {
	Name    string
	Cost    planner.Money
	Bound   planner.Money
	Differs []planning.Say
	Done    bool
}

// Fields implements wire.Fielder.
func (p *Planned) Fields(c *wire.Coder) {
	wire.Str(c, "key", &p.Key)
	wire.Int(c, "day", &p.Day)
	wire.Str(c, "currency", &p.Currency)
	wire.Int(c, "zero", &p.Zero)
	wire.List(c, "items", &p.Items, wire.Struct[planning.ItemName])
	wire.List(c, "rushes", &p.Rushes, wire.Struct[planning.Rush])
	wire.List(c, "missing", &p.Missing, wire.Struct[planning.Missing])
	p.Plan.Fields(c)
	wire.List(c, "enough", &p.Enough, wire.Struct[PlanEnough])
	wire.List(c, "differs", &p.Differs, wire.Struct[planning.Say])
	wire.Str(c, "changes", &p.Hand.Changes)
	p.Hand.Plan.Fields(c)
	wire.List(c, "breaches", &p.Hand.Breaches, wire.Struct[PlanBreach])
	wire.List(c, "hand", &p.Hand.Differs, wire.Struct[planning.Say])
	wire.List(c, "ifs", &p.Ifs, wire.Struct[PlanIf])
	c.Bool("rests", &p.Rests)
	wire.Str(c, "after", &p.After.Key)
	wire.List(c, "afterCosts", &p.After.Costs, wire.Struct[AfterCosts])
}

// Fields implements wire.Fielder.
func (x *AfterCosts) Fields(c *wire.Coder) {
	for _, m := range [...]*planner.Money{&x.Unmet, &x.Load, &x.Waste, &x.Coat, &x.Marinate, &x.OverBest, &x.Discard, &x.Short} {
		wire.Int(c, "", m)
	}
}

// Fields implements wire.Fielder.
func (e *PlanEnough) Fields(c *wire.Coder) {
	wire.Int(c, "rush", &e.Rush)
	wire.Str(c, "item", &e.Item)
	wire.Int(c, "pieces", &e.Pieces)
	wire.Int(c, "often", &e.Often)
	wire.Int(c, "days", &e.Days)
}

// Fields implements wire.Fielder.
func (b *PlanBreach) Fields(c *wire.Coder) {
	wire.Uint(c, "rule", &b.Rule)
	wire.Uint(c, "of", &b.Of)
	wire.Int(c, "n", &b.N)
	wire.Int(c, "have", &b.Have)
	wire.Int(c, "need", &b.Need)
	wire.Int(c, "from", &b.From)
	wire.Int(c, "to", &b.To)
	wire.Str(c, "item", &b.Item)
	wire.Str(c, "spot", &b.Spot)
	wire.Int(c, "row", &b.Row)
}

// Fields implements wire.Fielder.
func (f *PlanIf) Fields(c *wire.Coder) {
	wire.Str(c, "name", &f.Name)
	wire.Int(c, "cost", &f.Cost)
	wire.Int(c, "bound", &f.Bound)
	wire.List(c, "differs", &f.Differs, wire.Struct[planning.Say])
	c.Bool("done", &f.Done)
}
