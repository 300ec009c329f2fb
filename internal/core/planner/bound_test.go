package planner

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// driven is the greatest bound that prices come to when they are driven towards more than any plan costs.
func driven(p *Problem, cost Money, rounds int) Money {
	prices := newPricing(newModel(p))
	prices.improve(2*cost+Unit, rounds)
	return prices.bound
}

// chained draws a little problem with the whole chain: something stands marinated, something coated, some of it past its best, and
// something is wanted for tomorrow.
func chained(t *rapid.T) *Problem {
	n := func(name string, least, most int) int { return rapid.IntRange(least, most).Draw(t, name) }
	cost := func(name string, least, most int) Money { return Money(n(name, least, most)) * Unit / 100 }
	p := little(t)
	p.Start, p.Open, p.Close = 0, 600, 690
	p.Groups = []Group{{"g", []Window{{540, 690, n("fryers", 0, 2)}}}}
	p.Stations = []Station{{"s", []Window{{From: 0, To: 90}, {From: 510, To: 660}}}}
	it := &p.Items[0]
	for len(it.Demand) < 6 {
		it.Demand = append(it.Demand, n(fmt.Sprint("demand", len(it.Demand)), 0, 7))
	}
	p.Coated, p.Hot = nil, nil
	it.Coat = &Coat{Modes: []Mode{{1, n("few", 1, 2)}, {2, n("more", 3, 5)}}, SessionCost: cost("coat", 20, 300), BlockCost: cost("block", 10, 100),
		SetMin: 15, SetMax: n("set", 60, 240), UnitsPerPan: n("pan", 1, 2), DiscardCost: cost("thrown", 0, 300)}
	it.Marinate = &Marinate{Modes: []Mode{{1, 1}, {2, 3}}, TubUnits: n("tub", 1, 3), SessionCost: cost("salt", 20, 300),
		BlockCost: cost("salts", 10, 100), TubCost: cost("tubs", 5, 80), Min: 300, Best: 500, Max: n("longest", 560, 800), Drain: 30,
		OverBest: cost("over", 0, 60) / 60, DiscardCost: cost("gone", 0, 300)}
	for range n("tub there", 0, 2) {
		p.Marinated = append(p.Marinated, Lot{0, n("units", 1, 3), 0, n("until", 540, 700), 520})
	}
	for k := 1; k < len(p.Marinated); k++ { // in order of age
		p.Marinated[k].Until = max(p.Marinated[k].Until, p.Marinated[k-1].Until)
	}
	for range n("pan there", 0, 1) {
		p.Coated = append(p.Coated, Lot{0, n("coated", 1, 2), 540, n("pan until", 570, 660), 0})
	}
	for stage := range 2 {
		if n(fmt.Sprint("tomorrow", stage), 0, 1) > 0 {
			p.Carry = append(p.Carry, Carry{0, stage == 1, 700, n(fmt.Sprint("keep", stage), 1, 3), cost(fmt.Sprint("short", stage), 0, 500)})
		}
	}
	p.Tubs = max(p.Tubs, 2*3) // what stands there has its place
	p.Pans = max(p.Pans, 2)
	return p
}

func TestNoBoundIsAboveAPlan(t *testing.T) {
	draw := rapid.Custom(little)
	for seed := range 300 {
		p := draw.Example(seed)
		least := everything(p)
		require.LessOrEqual(t, driven(p, least, 150), least, "of little problem %d", seed)
	}
	draw = rapid.Custom(chained)
	for seed := range 150 {
		p := draw.Example(seed)
		x := solved(p, 40_000, 1)
		holds(t, p, x)
		require.LessOrEqual(t, driven(p, x.Cost, 200), x.Cost, "of problem %d with the whole chain", seed)
	}
}

func TestNoBoundIsAboveTheProvenLeast(t *testing.T) {
	for _, row := range reference(t) {
		if row[4] == "optimal" {
			least := money(t, row[6])
			require.LessOrEqual(t, driven(problem(t, row[0]), least, 300), least+tolerance, row[0])
		}
	}
}
