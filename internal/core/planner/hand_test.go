package planner

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSupplyAgreesWithTheCheck holds that loads and sessions of a good plan, supplied again from nothing, break no rule and cost
// no more than a hundredth more than the search's own dealing out of the same.
func TestSupplyAgreesWithTheCheck(t *testing.T) {
	for _, name := range []string{"tiny", "small-0001", "small-0004", "medium-0001", "cold-room-0001", "tub-discarded-0001", "friday-0001", "bus-0001"} {
		p := problem(t, name)
		x := solved(p, 60_000, 1)
		was := x.Cost
		for i := range x.Loads {
			x.Loads[i].From, x.Loads[i].Sells = nil, nil
		}
		for i := range x.Coats {
			x.Coats[i].From = nil
		}
		x.Hot, x.Carry = nil, nil
		Supply(p, x, false)
		costs, faults := Breaches(p, x)
		require.Empty(t, faults, name)
		require.LessOrEqual(t, costs.Sum(), was+was/100, name)
	}
}

// TestFaultsNameWhatIsBroken holds that each change by hand that cannot be comes back as the rule that it breaks.
func TestFaultsNameWhatIsBroken(t *testing.T) {
	p := problem(t, "medium-0001")
	rule := func(change func(x *Plan)) []Rule {
		x := solved(p, 40_000, 1)
		change(x)
		Supply(p, x, false)
		_, faults := Breaches(p, x)
		var out []Rule
		for _, f := range faults {
			out = append(out, f.Rule)
		}
		return out
	}
	coated := func(x *Plan) int {
		for n, l := range x.Loads {
			if p.Items[l.Item].Coat != nil {
				return n
			}
		}
		t.Fatal("nothing coated is dropped")
		return 0
	}
	require.Empty(t, rule(func(*Plan) {}))
	require.Contains(t, rule(func(x *Plan) { x.Loads[0].Units = p.Items[x.Loads[0].Item].Cook.MaxUnits + 1 }), RuleMost)
	require.Contains(t, rule(func(x *Plan) { x.Loads[0].Start++ }), RuleDay)
	require.Contains(t, rule(func(x *Plan) {
		for range 5 {
			x.Loads = append(x.Loads, x.Loads[0])
		}
	}), RuleFryer)
	require.Contains(t, rule(func(x *Plan) { x.Loads[coated(x)].Start = p.Start }), RuleStock)
	require.Contains(t, rule(func(x *Plan) { x.Coats = append(x.Coats, x.Coats[0]) }), RuleTwo)
	require.Contains(t, rule(func(x *Plan) { x.Coats[0].Start = p.Close + 600 - (p.Close+600-p.Start)%p.Block }), RuleShift)
}

// TestTrimTakesWhatThereIs holds that without a tub what hangs on it becomes smaller, and no rule is broken.
func TestTrimTakesWhatThereIs(t *testing.T) {
	for _, name := range []string{"small-0001", "medium-0001", "friday-0001"} {
		p := problem(t, name)
		x := solved(p, 40_000, 1)
		require.NotEmpty(t, x.Marinades, name)
		pieces := func() (n int) {
			for _, l := range x.Loads {
				n += l.Units
			}
			return n
		}
		before := pieces()
		x.Marinades = x.Marinades[1:]
		Supply(p, x, true)
		_, faults := Breaches(p, x)
		require.Empty(t, faults, name)
		require.LessOrEqual(t, pieces(), before, name)
	}
}
