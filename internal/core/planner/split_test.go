package planner

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// paired is a little problem whose four slots are two pairs: baskets are dropped every half an hour, and each is ready at the beginning of a
// pair and past its ceiling at the end of one. So whatever serves one slot of a pair serves the other.
func paired(t *rapid.T) *Problem {
	p := little(t)
	p.Open, p.Close, p.Tick = 610, 670, 30
	p.Groups[0].Windows[0].To = 690
	it := &p.Items[0]
	it.Cook.Hold = rapid.IntRange(32, 46).Draw(t, "hold of pairs") + 30*rapid.IntRange(0, 1).Draw(t, "pairs")
	it.Demand = append(it.Demand, rapid.IntRange(0, 7).Draw(t, "demand 3"))
	for i := range p.Hot {
		p.Hot[i].Until = rapid.IntRange(610, 624).Draw(t, "hot until, of pairs") + 30*rapid.IntRange(0, 1).Draw(t, "hot pairs")
	}
	return p
}

// servers names all that may ever sell in a slot, by the format's own rule: the whole slot is covered.
func servers(p *Problem, s int) (list []string) {
	from, to := p.Open+s*p.Slot, p.Open+(s+1)*p.Slot
	c, fryers := &p.Items[0].Cook, p.Groups[0].Windows[0]
	for at := p.Start; at <= p.Close; at += p.Tick {
		if at < fryers.From || at+c.Busy > fryers.To || fryers.Count == 0 {
			continue
		}
		if out := at + c.Out; out+c.Ready <= from && to <= out+c.Hold {
			list = append(list, fmt.Sprint("load ", at))
		}
	}
	for k, l := range p.Hot {
		if l.Ready <= from && to <= l.Until {
			list = append(list, fmt.Sprint("hot ", k))
		}
	}
	return list
}

// shifted is the problem with some pieces asked for in another slot.
func shifted(p *Problem, from, to, pieces int) *Problem {
	q := *p
	q.Items = slices.Clone(p.Items)
	q.Items[0].Demand = slices.Clone(p.Items[0].Demand)
	q.Items[0].Demand[from] -= pieces
	q.Items[0].Demand[to] += pieces
	return &q
}

// proven is the cost of the best plan, where the solver can prove it.
func proven(p *Problem) (Money, bool) {
	x := solved(p, 30_000, 1)
	return x.Cost, x.Bound == x.Cost
}

// TestSplittingWhatOneLoadServes: demand that is split otherwise between slots of which everything that serves one serves the other
// changes nothing, since any plan for one split sells the same pieces in the other. Against all plans, and against what the solver proves.
func TestSplittingWhatOneLoadServes(t *testing.T) {
	draw := rapid.Custom(paired)
	splits, sold, both := 0, 0, 0
	for seed := range 60 {
		p := draw.Example(seed)
		least, nothing := everything(p), shifted(p, 0, 1, 0)
		nothing.Groups = []Group{{"g", []Window{{540, 690, 0}}}}
		if least < everything(nothing) {
			sold++ // something is fried at all
		}
		cost, sure := proven(p)
		for _, pair := range [][2]int{{0, 1}, {2, 3}} {
			a, b := pair[0], pair[1]
			require.Equal(t, servers(p, a), servers(p, b), "of problem %d", seed)
			d := p.Items[0].Demand
			for pieces := -d[b]; pieces <= d[a]; pieces++ {
				q := shifted(p, a, b, pieces)
				require.Equal(t, least, everything(q), "%d pieces from slot %d to %d, of problem %d", pieces, a, b, seed)
				splits++
			}
			if other, too := proven(shifted(p, a, b, d[a])); sure && too {
				require.Equal(t, cost, other, "proven, all of slot %d in %d, of problem %d", a, b, seed)
				both++
			}
		}
	}
	t.Log(splits, "splits;", sold, "problems in which something is fried;", both, "times proven of both")
	require.Greater(t, splits, 600)
	require.Greater(t, sold, 20)
	require.Greater(t, both, 10)
}

// TestMovingDemandToWhereMoreServes: in general, pieces asked for in another slot that all that serves the first one serves too never
// cost more. The other way round they may: a basket for the first slot is past its ceiling in the next.
func TestMovingDemandToWhereMoreServes(t *testing.T) {
	draw := rapid.Custom(func(t *rapid.T) *Problem {
		p := little(t)
		p.Groups[0].Windows[0].From = 540 + 15*rapid.IntRange(0, 3).Draw(t, "fryers from")
		p.Items[0].Cook.Hold += rapid.IntRange(0, 30).Draw(t, "more hold")
		return p
	})
	moved, cheaper, dearer := 0, 0, 0
	for seed := range 80 {
		p := draw.Example(seed)
		least := everything(p)
		for a := range 3 {
			for b := range 3 {
				d := p.Items[0].Demand[a]
				if a == b || d == 0 {
					continue
				}
				other := everything(shifted(p, a, b, d))
				if !slices.ContainsFunc(servers(p, a), func(s string) bool { return !slices.Contains(servers(p, b), s) }) {
					require.LessOrEqual(t, other, least, "slot %d into %d, of problem %d", a, b, seed)
					moved++
					if other < least {
						cheaper++
					}
				} else if other > least {
					dearer++
				}
			}
		}
	}
	t.Log(moved, "moves,", cheaper, "of them cheaper;", dearer, "dearer where something serves only the first slot")
	require.Greater(t, moved, 40)
	require.Positive(t, cheaper)
	require.Positive(t, dearer, "the condition is needed")
}
