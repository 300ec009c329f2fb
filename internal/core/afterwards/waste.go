package afterwards

import (
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
)

// How is how something came to be waste.
type How uint8

// Ways.
const (
	Written   How = iota // somebody wrote it down, with why
	Unwritten            // it was fried, not sold, and nobody wrote down what became of it
	LeftOver             // it was never used, and is more than the next day wants
)

// Waste is what was thrown away or left over, for one reason.
type Waste struct {
	Item   int
	Stage  Stage
	How    How
	Why    string
	Amount int   // units that were marinated or coated, pieces that were fried; what is left over only has a cost
	Grams  int64 // of raw product
	Cost   planner.Money
}

// Wastes lists what was wasted by item, stage and reason, what costs most first; the sum of its costs is that of the report's
// Waste and Discard, unless more was written down than there was.
func (x *Seen) Wastes() []Waste {
	var list []Waste
	for i := range x.Report.Items {
		f, it, n := &x.Report.Items[i], &x.Of.Problem.Items[i], &x.Names.Items[i]
		each := [Stages]planner.Money{Fried: it.Cook.WasteCost}
		if it.Marinate != nil {
			each[Marinated] = it.Marinate.DiscardCost
		}
		if it.Coat != nil {
			each[Coated] = it.Coat.DiscardCost
		}
		left := f.Costs.Discard
		for _, t := range x.Of.Done.Thrown {
			if t.Item != i {
				continue
			}
			cost := each[t.Stage] * planner.Money(t.Amount)
			list = collect(list, Waste{i, t.Stage, Written, t.Why, t.Amount, t.Grams, cost})
			if t.Stage != Fried {
				left -= cost
			}
		}
		if f.Unwritten > 0 {
			grams := int64(f.Unwritten) * n.UnitGrams / int64(max(n.Pieces, 1))
			list = append(list, Waste{i, Fried, Unwritten, "", f.Unwritten, grams, each[Fried] * planner.Money(f.Unwritten)})
		}
		if left > 0 {
			list = append(list, Waste{Item: i, Stage: Marinated, How: LeftOver, Cost: left})
		}
	}
	order.Stable(list, func(a, b Waste) int {
		switch {
		case a.Cost > b.Cost:
			return -1
		case a.Cost < b.Cost:
			return 1
		}
		return 0
	})
	return list
}

func collect(list []Waste, w Waste) []Waste {
	for n := range list {
		if o := &list[n]; o.Item == w.Item && o.Stage == w.Stage && o.How == w.How && o.Why == w.Why {
			o.Amount, o.Grams, o.Cost = o.Amount+w.Amount, o.Grams+w.Grams, o.Cost+w.Cost
			return list
		}
	}
	return append(list, w)
}

// Costs adds up what all items cost: what was done, had the plan been kept, and in hindsight.
func (r *Report) Costs() (done, plan, best planner.Costs) {
	for i := range r.Items {
		f := &r.Items[i]
		add(&done, &f.Costs)
		add(&best, &f.Hindsight)
		if f.Plan != nil {
			add(&plan, &f.Plan.Costs)
		}
	}
	return done, plan, best
}

func add(to, c *planner.Costs) {
	to.Unmet, to.Load, to.Waste, to.Coat = to.Unmet+c.Unmet, to.Load+c.Load, to.Waste+c.Waste, to.Coat+c.Coat
	to.Marinate, to.OverBest, to.Discard, to.Short = to.Marinate+c.Marinate, to.OverBest+c.OverBest, to.Discard+c.Discard, to.Short+c.Short
}

// Came is pieces that came to the hold.
type Came struct{ At, Pieces int }

// Came lists what came to the hold of an item, by time, and how many pieces in all.
func (x *Seen) Came(item int) (list []Came, total int) {
	for n := range x.Of.Done.Loads {
		l := &x.Of.Done.Loads[n]
		if l.Item != item || l.Ready == 0 && l.Pieces == 0 && !x.Over {
			continue // it is still in the fryer
		}
		ready, _ := l.forSale(x.Of.Problem)
		pieces := l.pieces(x.Of.Problem)
		list, total = append(list, Came{ready, pieces}), total+pieces
	}
	order.Stable(list, func(a, b Came) int { return a.At - b.At })
	return list, total
}
