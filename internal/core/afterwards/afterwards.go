// Package afterwards tells what a day cost against its plan, what hindsight would have made of it, and which one change would
// have saved most.
//
// Done and planned are held against each other by the same costs: those of the planner's problem. A day is replayed minute
// by minute, since what really happens keeps to no grid and not always to the rules that a plan keeps.
package afterwards

import (
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
)

// Day is one day of a kitchen. Minutes are those of its problem.
type Day struct {
	Problem *planner.Problem // what stood there at its start, who worked and which fryers ran; Demand is not used
	Items   []Item           // as Problem.Items
	Done    Work
	Plan    *Work // what was planned; nil: nothing was
}

// Item is what was seen of an item, by slot.
type Item struct {
	Sold  []int
	Away  []int   // somebody asked and there was none
	None  []int   // minutes during which there was none
	Usual []int64 // what is usually asked for, in thousandths; empty: nobody knows
}

// Work is what was done, or was to be done.
type Work struct {
	Loads     []Load
	Coats     []planner.Session // From is not used: oldest first
	Marinades []planner.Session
	Thrown    []Thrown
}

// Load is a basket. From Ready to Until it may be sold; where Ready is 0, by its procedure.
type Load struct {
	Item, Start, Units int
	Pieces             int // 0: as many as its units have
	Ready, Until       int
}

// Stage is how far something had come when it was thrown away.
type Stage uint8

// Stages.
const (
	Marinated Stage = iota
	Coated
	Fried
	Stages = 3
)

// Thrown is something that was thrown away: units that were marinated or coated, pieces that were fried.
type Thrown struct {
	Item   int
	Stage  Stage
	At     int
	Amount int
	Grams  int64
	Why    string
}

// Asked is what was really asked for of an item, by slot: what was sold, whom there was none for, and an estimate for the
// minutes in which there was none and nobody was told. Guess is that estimate's part.
func (it *Item) Asked(slot int) (asked, guess []int) {
	known := func(list []int, s int) int {
		if s < len(list) {
			return list[s]
		}
		return 0
	}
	asked, guess = make([]int, len(it.Sold)), make([]int, len(it.Sold))
	level := it.level(slot)
	for s := range asked {
		asked[s] = it.Sold[s] + known(it.Away, s)
		none := min(known(it.None, s), slot)
		if none == 0 {
			continue
		}
		var rate int64 // thousandths a slot
		if len(it.Usual) == len(it.Sold) {
			rate = it.Usual[s] * level / 1000
		} else {
			rate = it.around(s, max(hour/slot, 1))
		}
		// Of a whole slot at this rate, what falls into the minutes without any; those who said so are among them.
		missed := int((rate*int64(none)/int64(slot) + 500) / 1000)
		guess[s] = max(missed-known(it.Away, s), 0)
		asked[s] += guess[s]
	}
	return asked, guess
}

// level is how much was sold in slots that had some all along against what is usual in them, in thousandths: at least half, since
// a few slots tell little, and never more, since who finds none often waits, and is sold to when there is some.
func (it *Item) level(slot int) int64 {
	var sold, usual int64
	for s := range it.Sold {
		if s < len(it.None) && it.None[s] > 0 || s >= len(it.Usual) {
			continue
		}
		sold, usual = sold+int64(it.Sold[s])*1000, usual+it.Usual[s]
	}
	if usual <= 0 {
		return 1000
	}
	return min(max(sold*1000/usual, 500), 1000)
}

// hour is how far from a slot others tell about it, in minutes.
const hour = 60

// around is the mean of the nearest two slots on either side that had some all along, in thousandths, no farther than reach.
func (it *Item) around(s, reach int) int64 {
	var sum, n int64
	for _, step := range [2]int{-1, 1} {
		found := 0
		for o := s + step; o >= max(0, s-reach) && o < min(len(it.Sold), s+reach+1) && found < 2; o += step {
			if o < len(it.None) && it.None[o] > 0 {
				continue
			}
			sum, n, found = sum+int64(it.Sold[o])*1000, n+1, found+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// Fact is what became of an item.
type Fact struct {
	Asked, Guess []int // by slot
	Sold, Away   int
	Guessed      int
	None         int // minutes without any
	Fried        int // pieces out of the fryers, with what stood hot at the beginning
	Wasted       int // of them, what was not sold
	Unwritten    int // of what was wasted, what nobody wrote down
	Loads        int
	Coats        int // blocks of coating
	Marinades    int // blocks of marinating
	Tubs         int
	Coated       int // units
	Marinated    int // units
	Costs        planner.Costs
	Thrown       [Stages]int           // units or pieces that somebody wrote down
	ThrownGrams  [Stages]int64         //
	ThrownCost   [Stages]planner.Money // at the problem's costs
	Plan         *Fact                 // had the plan been kept to the letter, with what was really asked for; nil: there was none
	Hindsight    planner.Costs         // with Report.Hindsight
}

// Report is a day looked back on.
type Report struct {
	Items     []Fact
	Cost      planner.Money // of what was done
	Plan      planner.Money // had the plan been kept to the letter; -1: there was none
	Hindsight planner.Money // of the best that was found knowing what was asked for; never more than Cost; -1: nobody thought
	Same      bool          // nothing better than what was done was found
	Changes   []Change      // each alone, what saves most first; the best of each sort and item
	asked     *planner.Problem
}

// LookBack works out a report, with moves of thought about hindsight: the same moves make the same report.
func LookBack(d *Day, moves int) *Report {
	r := Look(d)
	t := r.Thinker()
	t.Think(moves)
	r.Know(t.Best())
	return r
}

// Look works out a report, but for hindsight.
func Look(d *Day) *Report {
	p := *d.Problem
	p.Items = append([]planner.Item(nil), d.Problem.Items...)
	r := &Report{Items: make([]Fact, len(p.Items)), Plan: -1, Hindsight: -1, asked: &p}
	for i := range p.Items {
		f, it := &r.Items[i], &d.Items[i]
		f.Asked, f.Guess = it.Asked(p.Slot)
		p.Items[i].Demand = f.Asked
		f.Sold, f.Away, f.Guessed, f.None = sum(it.Sold), sum(it.Away), sum(f.Guess), sum(it.None)
	}
	done := newReplay(&p, &d.Done)
	for i := range p.Items {
		done.fact(i, &r.Items[i])
		c := &r.Items[i].Costs
		c.Unmet = p.Items[i].Margin * planner.Money(max(sum(r.Items[i].Asked)-r.Items[i].Sold, 0))
		r.Items[i].Wasted = max(r.Items[i].Fried-r.Items[i].Sold, 0)
		r.Items[i].Unwritten = max(r.Items[i].Wasted-r.Items[i].Thrown[Fried], 0)
		c.Waste = p.Items[i].Cook.WasteCost * planner.Money(r.Items[i].Wasted)
		r.Cost += c.Sum()
	}
	if d.Plan != nil {
		r.Plan = 0
		plan := newReplay(&p, d.Plan)
		for i := range p.Items {
			f := &r.Items[i]
			f.Plan = new(Fact)
			plan.fact(i, f.Plan)
			r.Plan += f.Plan.Costs.Sum()
		}
	}
	r.Changes = done.changes()
	return r
}

// Thinker plans a day anew, knowing what was asked for.
type Thinker struct {
	p *planner.Problem
	v *planner.Solver
}

// Thinker begins to think about hindsight.
func (r *Report) Thinker() *Thinker { return &Thinker{r.asked, planner.NewSolver(r.asked, 1)} }

// Think makes so many moves more.
func (t *Thinker) Think(moves int) { t.v.Think(moves) }

// Best returns what the best plan so far costs, by item.
func (t *Thinker) Best() []planner.Costs {
	again := newReplay(t.p, WorkOf(t.v.Plan()))
	var list []planner.Costs
	for i := range again.base {
		list = append(list, again.base[i].costs)
	}
	return list
}

// Know takes what hindsight costs by item. A plan keeps to a grid and to every rule, which what was done need not have: where that
// cost less, nothing better is known.
func (r *Report) Know(costs []planner.Costs) {
	r.Hindsight = 0
	for i := range costs {
		r.Hindsight += costs[i].Sum()
	}
	if r.Same = r.Cost <= r.Hindsight; r.Same {
		r.Hindsight = r.Cost
	}
	for i := range r.Items {
		r.Items[i].Hindsight = r.Items[i].Costs
		if !r.Same {
			r.Items[i].Hindsight = costs[i]
		}
	}
}

// WorkOf is a plan as work.
func WorkOf(x *planner.Plan) *Work {
	w := &Work{Coats: x.Coats, Marinades: x.Marinades}
	for _, l := range x.Loads {
		w.Loads = append(w.Loads, Load{Item: l.Item, Start: l.Start, Units: l.Units})
	}
	return w
}

func sum(list []int) (n int) {
	for _, v := range list {
		n += v
	}
	return n
}

// byStart puts work in the order of its beginning, so that the order in which it was told does not matter.
func byStart(a, b planner.Session) int {
	for _, d := range [...]int{a.Start - b.Start, a.Blocks - b.Blocks, a.Units - b.Units, a.Tubs - b.Tubs} {
		if d != 0 {
			return d
		}
	}
	return 0
}

func loadsByStart(a, b Load) int {
	for _, d := range [...]int{a.Start - b.Start, a.Units - b.Units, a.Pieces - b.Pieces, a.Ready - b.Ready, a.Until - b.Until} {
		if d != 0 {
			return d
		}
	}
	return 0
}

func thrownByTime(a, b Thrown) int {
	for _, d := range [...]int{a.At - b.At, int(a.Stage) - int(b.Stage), a.Amount - b.Amount} {
		if d != 0 {
			return d
		}
	}
	return 0
}

func sorted[T any](list []T, item int, of func(*T) int, compare func(a, b T) int) []T {
	var mine []T
	for i := range list {
		if of(&list[i]) == item {
			mine = append(mine, list[i])
		}
	}
	order.Stable(mine, compare)
	return mine
}
