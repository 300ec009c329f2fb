package main

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"

	"brinebell/internal/core/forecast"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
)

// A year of invented days of the demo kitchen. Four kitchens meet the same guests, each decides in the evening before what it will
// cook, from what it has itself sold, and the same sales judge them.

const (
	yearDays  = 365
	yearFirst = 28     // days before that are for learning, and not counted
	yearMoves = 60_000 // of the planner for each day
	yearLook  = 6      // who knows more is asked on one day in so many, which meets all weekdays
	yearDay   = 45     // size of how days vary beyond their weekday, season and growth
	yearHour  = 25     // and hours beyond their day
)

// guests is what is asked for in the year, by day, item and slot, and what is known of it in the evening before.
type guests struct {
	asked [][][]int
	told  [][][]int // groups that have said that they come
	event []bool    // a day unlike others, so known when it is over
	level []float64 // what a usual day's amounts are to be taken times, before chance
}

// invent draws a year: weekdays, a season, growth, days and hours that are busier or not, holidays, boats that do not come, and buses
// that have said so.
func (c *canteen) invent(r *rand.Rand, days int) guests {
	var g guests
	factor := [7]float64{0.85, 0.7, 0.8, 0.95, 1.25, 1.55, 0.9} // Monday first
	for d := range days {
		weekday := d % 7
		level := factor[weekday] * (1 + 0.35*math.Sin(2*math.Pi*float64(d)/yearDays)) * (1 + 0.15*float64(d)/yearDays)
		g.level = append(g.level, level)
		level *= around(r, yearDay)
		holiday, boat, bus := r.IntN(40) == 0, -1, -1
		if holiday {
			level *= 1.5
		}
		if r.IntN(25) == 0 {
			boat = r.IntN(len(c.plan.Rushes))
		}
		if r.IntN(20) == 0 {
			bus = 12 + r.IntN(c.slots-24)
		}
		asked, told := make([][]int, len(c.usual)), make([][]int, len(c.usual))
		for i := range c.usual {
			asked[i], told[i] = c.oneDay(r, i, level, boat), make([]int, c.slots)
			if bus >= 0 {
				for s := bus; s < bus+4; s++ {
					told[i][s] = int(total(c.usual[i])/40*around(r, 30) + 0.5)
					asked[i][s] += told[i][s]
				}
			}
		}
		g.asked, g.told, g.event = append(g.asked, asked), append(g.told, told), append(g.event, holiday || boat >= 0 || bus >= 0)
	}
	return g
}

// oneDay draws what is asked for of one item. On Sundays the first two hours are half as busy, whatever the day.
func (c *canteen) oneDay(r *rand.Rand, i int, level float64, boat int) []int {
	out := make([]int, c.slots)
	hour := 1.0
	for s := range out {
		if s%4 == 0 {
			hour = around(r, yearHour)
		}
		mean := c.usual[i][s] * level * hour
		if boat >= 0 {
			since := c.open + s*quarter - int(c.plan.Rushes[boat].At/stamp.Minute)
			if since > -quarter && since < 60 {
				mean /= 3
			}
		}
		out[s] = chance(r, mean)
	}
	return out
}

func total(list []float64) (all float64) {
	for _, x := range list {
		all += x
	}
	return all
}

// around draws a factor with mean 1: of a gamma distribution of so large a shape.
func around(r *rand.Rand, shape float64) float64 {
	third := shape - 1.0/3
	for {
		x := r.NormFloat64()
		v := math.Pow(1+x/math.Sqrt(9*third), 3)
		if v > 0 && math.Log(r.Float64()) < x*x/2+third-third*v+third*math.Log(v) {
			return third * v / shape
		}
	}
}

// chance draws a count: Poisson.
func chance(r *rand.Rand, mean float64) int {
	least, n, p := math.Exp(-mean), 0, r.Float64()
	for p > least {
		p *= r.Float64()
		n++
	}
	return n
}

// kitchenYear is one kitchen's year: a way to decide, what it has sold, what came of each day.
type kitchenYear struct {
	name   string
	decide func(k *kitchenYear, d int) [][]int
	every  int                      // it lives one day in so many
	past   [][]forecast.Past        // by item
	plans  map[string]*planner.Plan // made already, where the same is wanted again
	days   map[int]*outcome
}

// outcome is what came of a day, or of many.
type outcome struct {
	cost                        planner.Money
	asked, unmet, cooked, waste int
}

func (o *outcome) add(x *outcome) {
	o.cost += x.cost
	o.asked, o.unmet, o.cooked, o.waste = o.asked+x.asked, o.unmet+x.unmet, o.cooked+x.cooked, o.waste+x.waste
}

// of adds up the days that count and that another kitchen lived too.
func (k *kitchenYear) of(other *kitchenYear, first int) (sum outcome) {
	for d, o := range k.days {
		if d >= first && other.days[d] != nil {
			sum.add(o)
		}
	}
	return sum
}

// doAsLastWeek is how a cook decides by feel: for each span between the boats what was sold in it on that weekday, a fifth more where it
// ran out, and what is usual where there was none at all.
func (c *canteen) doAsLastWeek(k *kitchenYear, d int) [][]int {
	if d < 7 {
		return c.alwaysTheSame(k, d)
	}
	out := make([][]int, len(c.usual))
	for i := range out {
		p := k.past[i][d-7]
		out[i] = make([]int, c.slots)
		for _, u := range c.plan.Items[i].Usual {
			from, to := c.quarters(u.Hours)
			sold, short, usual := 0.0, false, total(c.usual[i][from:to])
			for s := from; s < to; s++ {
				sold, short = sold+float64(p.Sold[s]), short || p.Short[s]
			}
			if sold == 0 && short {
				sold = usual
			} else if short {
				sold *= 1.2
			}
			so, before := 0.0, 0
			for s := from; s < to; s++ {
				so += sold * c.usual[i][s] / usual
				out[i][s] = int(so+0.5) - before
				before = int(so + 0.5)
			}
		}
	}
	return out
}

// alwaysTheSame is a par level: what the plan document says of a usual day, with a margin of a seventh.
func (c *canteen) alwaysTheSame(_ *kitchenYear, _ int) [][]int {
	out := make([][]int, len(c.usual))
	for i := range out {
		so, before := 0.0, 0
		for _, x := range c.usual[i] {
			so += x * 8 / 7
			out[i] = append(out[i], int(so+0.5)-before)
			before = int(so + 0.5)
		}
	}
	return out
}

// byForecast learns from what was sold, and where nothing was learnt yet takes the document's usual day.
func (c *canteen) byForecast(k *kitchenYear, d int) [][]int {
	out := c.byMeans(1)
	for i := range out {
		o := c.outlook(k.past[i][max(0, d-56):], d)
		if o.Days < 3 {
			continue
		}
		it := &c.plan.Items[i]
		out[i] = forecast.Demand(o, int64(it.Margin), int64(it.Waste))
	}
	return out
}

// outlook learns from what was sold, and knows that nothing is asked for in the quarters before the kitchen opens and after it has closed.
func (c *canteen) outlook(past []forecast.Past, d int) forecast.Outlook {
	day := make([]forecast.Past, len(past))
	for n, p := range past {
		offered := slices.Contains(p.Short, false)
		p.Sold = append(append([]int32{0}, p.Sold...), 0)
		p.Short = append(append([]bool{!offered}, p.Short...), !offered)
		day[n] = p
	}
	o := forecast.Fit(day, int32(d), c.slots+2).Day(int32(d), uint8(d%7))
	o.Mean = o.Mean[1 : c.slots+1]
	return o
}

// byMeans takes the document's usual day times something for the mean, and knows how days and hours vary.
func (c *canteen) byMeans(level float64) [][]int {
	out := make([][]int, len(c.usual))
	for i := range out {
		o := forecast.Outlook{Size: 1000 * yearDay * yearHour / (yearDay + yearHour)}
		for _, x := range c.usual[i] {
			o.Mean = append(o.Mean, int64(1000*x*level+0.5))
		}
		it := &c.plan.Items[i]
		out[i] = forecast.Demand(o, int64(it.Margin), int64(it.Waste))
	}
	return out
}

// live goes through one day: decide, plan, cook as planned, sell what is asked for as long as there is any, and remember.
func (k *kitchenYear) live(c *canteen, g *guests, d, moves int) error {
	wanted := k.decide(k, d)
	for i := range wanted {
		wanted[i] = slices.Clone(wanted[i])
		for s, n := range g.told[d][i] {
			wanted[i][s] += n
		}
	}
	plan := k.planned(c, d, wanted, moves)
	real := c.day(d%7, g.asked[d])
	for i := range c.usual {
		k.past[i] = append(k.past[i], forecast.Past{Day: int32(d), Weekday: uint8(d % 7), Event: g.event[d], Sold: make([]int32, c.slots),
			Short: slices.Repeat([]bool{true}, c.slots)}) // what is not on offer is short all day
	}
	came := &outcome{}
	for n, i := range c.items[d%7] {
		came.sell(plan, &real, n, &k.past[i][len(k.past[i])-1])
	}
	costs, broken := planner.Check(&real, plan)
	if len(broken) > 0 {
		return errors.New(k.name + ": " + strings.Join(broken, "; "))
	}
	came.cost = costs.Sum()
	k.days[d] = came
	return nil
}

// planned is the plan for what is wanted.
func (k *kitchenYear) planned(c *canteen, d int, wanted [][]int, moves int) *planner.Plan {
	key := fmt.Sprint(d%7, wanted)
	if k.plans[key] == nil {
		p := c.day(d%7, wanted)
		v := planner.NewSolver(&p, 1)
		v.Think(moves)
		k.plans[key] = v.Plan()
	}
	plan := *k.plans[key]
	plan.Loads = slices.Clone(plan.Loads)
	return &plan
}

// sell sells an item by the slot, oldest first, and writes down what a kitchen can know of it.
func (o *outcome) sell(plan *planner.Plan, p *planner.Problem, item int, past *forecast.Past) {
	it := &p.Items[item]
	var loads []*planner.Load
	left := map[*planner.Load]int{}
	for n := range plan.Loads {
		if l := &plan.Loads[n]; l.Item == item {
			l.Sells = nil
			loads, left[l] = append(loads, l), l.Units*it.UnitPieces
		}
	}
	slices.SortStableFunc(loads, func(a, b *planner.Load) int { return a.Start - b.Start })
	clear(past.Short)
	for s, asked := range it.Demand {
		from := p.Open + s*p.Slot
		rest, have := asked, 0
		for _, l := range loads {
			out := l.Start + it.Cook.Out
			if out+it.Cook.Ready > from || from+p.Slot > out+it.Cook.Hold {
				continue
			}
			if n := min(rest, left[l]); n > 0 {
				l.Sells = append(l.Sells, planner.Sale{Slot: s, Pieces: n})
				rest, left[l] = rest-n, left[l]-n
			}
			have += left[l]
		}
		q := s * p.Slot / quarter
		past.Sold[q] += int32(asked - rest)
		past.Short[q] = past.Short[q] || have == 0
		o.asked, o.unmet = o.asked+asked, o.unmet+rest
	}
	for l, n := range left {
		o.cooked, o.waste = o.cooked+l.Units*it.UnitPieces, o.waste+n
	}
}

// live lives some days in each kitchen: with a forecast, as last week, always the same, and with hindsight.
func (c *canteen) live(g *guests, days, moves int) ([]*kitchenYear, error) {
	kitchens := []*kitchenYear{{name: "plan", decide: c.byForecast, every: 1}, {name: "as last week", decide: c.doAsLastWeek, every: 1},
		{name: "always the same", decide: c.alwaysTheSame, every: 1},
		{name: "who knows the means", every: yearLook, decide: func(_ *kitchenYear, d int) [][]int { return c.byMeans(g.level[d]) }},
		{name: "hindsight", decide: g.hindsight, every: yearLook}}
	faults := make([]error, len(kitchens))
	var all sync.WaitGroup
	for n, k := range kitchens {
		k.past, k.plans, k.days = make([][]forecast.Past, len(c.usual)), map[string]*planner.Plan{}, map[int]*outcome{}
		all.Go(func() {
			for d := 0; d < days && faults[n] == nil; d += k.every {
				faults[n] = k.live(c, g, d, moves)
			}
		})
	}
	all.Wait()
	return kitchens, errors.Join(faults...)
}

// hindsight knows what will be asked for. What is told is added to it as to all.
func (g *guests) hindsight(_ *kitchenYear, d int) [][]int {
	out := make([][]int, len(g.asked[d]))
	for i := range out {
		for s, n := range g.asked[d][i] {
			out[i] = append(out[i], n-g.told[d][i][s])
		}
	}
	return out
}

// years compares the kitchens. Costs are those of the planner, for what was really asked for: what was asked for in vain, baskets,
// work, and all that was thrown away, each at the price at which it was planned. That more is thrown away than by who goes by last
// week is what the prices ask for: of bone-in pieces one that is not there costs 1.55 and one too many 0.70, so seven days in ten shall
// be enough, and last week alone is enough on half of them. Whoever plans as if waste were dearer throws away less and pays no less.
func years() ([]figure, error) {
	c, err := openCanteen()
	if err != nil {
		return nil, err
	}
	g := c.invent(rand.New(rand.NewPCG(2026, 11)), yearDays)
	kitchens, err := c.live(&g, yearDays, yearMoves)
	if err != nil {
		return nil, err
	}
	plan := kitchens[0]
	goals := map[string]float64{"as last week": 0.97, "always the same": 0.97, "who knows the means": 1.08, "hindsight": 1.7}
	var figures []figure
	for _, other := range kitchens[1:] {
		a, b := plan.of(other, yearFirst), other.of(plan, yearFirst)
		name := "a year of invented days, plan to " + other.name + ": "
		figures = append(figures, most(name+"cost", float64(a.cost)/float64(b.cost), "x", goals[other.name]), scale(name+"asked for in vain", float64(a.unmet)/float64(b.unmet), "x"),
			scale(name+"thrown away, as the prices of a piece short and one too many ask for", float64(a.waste)/float64(b.waste), "x"))
	}
	for _, k := range kitchens {
		sum := k.of(k, yearFirst)
		figures = append(figures, scale("a year, "+k.name+": cost of a day", float64(sum.cost)/float64(planner.Unit)/float64(len(k.days)-(yearFirst+k.every-1)/k.every), "$"),
			scale("a year, "+k.name+": asked for in vain", 100*float64(sum.unmet)/float64(sum.asked), "%"),
			scale("a year, "+k.name+": of what was cooked, thrown away", 100*float64(sum.waste)/float64(sum.cooked), "%"))
	}
	return figures, nil
}
