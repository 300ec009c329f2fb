package planner

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// scaled is the problem in a money of which so many are one of the other.
func scaled(p *Problem, by Money) *Problem {
	q := *p
	q.Items = nil
	for _, it := range p.Items {
		it.Margin *= by
		it.Cook.LoadCost *= by
		it.Cook.WasteCost *= by
		if c := it.Coat; c != nil {
			x := *c
			x.SessionCost *= by
			x.BlockCost *= by
			x.DiscardCost *= by
			it.Coat = &x
		}
		q.Items = append(q.Items, it)
	}
	return &q
}

// longer is the problem with later ceilings: of what is coated, and of what is in the hold.
func longer(p *Problem, minutes int) *Problem {
	q := *p
	q.Items = nil
	for _, it := range p.Items {
		it.Cook.Hold += minutes
		if c := it.Coat; c != nil {
			x := *c
			x.SetMax += minutes
			it.Coat = &x
		}
		q.Items = append(q.Items, it)
	}
	return &q
}

// TestWhatAPlanRestsOn asks of little problems, always the same ones, what must hold whatever their numbers are.
func TestWhatAPlanRestsOn(t *testing.T) {
	draw := rapid.Custom(little)
	for seed := range 25 {
		p := draw.Example(seed)
		cost := solved(p, 150_000, 1).Cost
		require.Equal(t, 3*cost, solved(scaled(p, 3), 150_000, 1).Cost, "three times as dear, of problem %d", seed)
		require.LessOrEqual(t, solved(longer(p, 30), 150_000, 1).Cost, cost, "a longer ceiling, of problem %d", seed)

		more := *p
		more.Groups = []Group{{"g", []Window{{540, 645, p.Groups[0].Windows[0].Count + 1}}}}
		require.LessOrEqual(t, solved(&more, 150_000, 1).Cost, cost, "a fryer more, of problem %d", seed)
		more = *p
		more.Pans++
		require.LessOrEqual(t, solved(&more, 150_000, 1).Cost, cost, "a place more, of problem %d", seed)
	}
}
