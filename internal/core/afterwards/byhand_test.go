package afterwards

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/planner"
)

// byHand is a day small enough to be worked out on paper. One item, four pieces to the unit. Open from 600 to 660, four slots of
// 15 minutes, one fryer. A load is two units at most, keeps its fryer for 10 minutes, is out after 8, for sale 2 later and for
// 45 minutes from when it is out. Everything is thrown into one tub of four units at 420 and coated at 540.
func byHand() *Day {
	const u = planner.Unit
	p := &planner.Problem{ID: "by hand", Start: 420, Open: 600, Close: 660, Slot: 15, Tick: 5, Block: 15, Pans: 8, Tubs: 4,
		Groups:   []planner.Group{{Name: "fryers", Windows: []planner.Window{{From: 540, To: 720, Count: 1}}}},
		Stations: []planner.Station{{Name: "bench", Windows: []planner.Window{{From: 420, To: 660}}}},
		Items: []planner.Item{{Name: "pieces", UnitPieces: 4, Margin: u,
			Cook: planner.Cook{MaxUnits: 2, Busy: 10, Out: 8, Ready: 2, Hold: 45, LoadCost: u, WasteCost: u / 2},
			Coat: &planner.Coat{Modes: []planner.Mode{{Blocks: 1, Most: 4}, {Blocks: 2, Most: 8}}, SessionCost: u * 3 / 2, BlockCost: u / 2,
				SetMin: 15, SetMax: 120, UnitsPerPan: 1, DiscardCost: u * 8 / 10},
			Marinate: &planner.Marinate{Modes: []planner.Mode{{Blocks: 1, Most: 2}}, TubUnits: 4, SessionCost: 2 * u, BlockCost: u / 2, TubCost: u,
				Min: 60, Best: 120, Max: 240, OverBest: u / 1000, DiscardCost: u / 2},
		}}}
	return &Day{Problem: p,
		Items: []Item{{
			Sold: []int{5, 3, 1, 4}, Away: []int{0, 0, 2, 0},
			None:  []int{0, 8, 10, 0}, // none from 622 to 640
			Usual: []int64{5000, 6000, 6000, 4000},
		}},
		Done: Work{
			Loads:     []Load{{Start: 585, Units: 2}, {Start: 630, Units: 2}},
			Coats:     []planner.Session{{Start: 540, Blocks: 1, Units: 4}},
			Marinades: []planner.Session{{Start: 420, Blocks: 1, Units: 4, Tubs: 1}},
			Thrown:    []Thrown{{Stage: Fried, At: 665, Amount: 2, Grams: 310, Why: "Dropped"}},
		},
		Plan: &Work{
			Loads:     []Load{{Start: 585, Units: 2}, {Start: 610, Units: 2}},
			Coats:     []planner.Session{{Start: 540, Blocks: 1, Units: 4}},
			Marinades: []planner.Session{{Start: 420, Blocks: 1, Units: 4, Tubs: 1}},
		}}
}

func TestADayByHand(t *testing.T) {
	const u = planner.Unit
	r := LookBack(byHand(), 60_000)
	f := r.Items[0]

	// Asked for. In the slots with some all along 5 + 4 = 9 were sold where 5 + 4 = 9 are usual: the day was like others.
	// Slot 2 had none for 8 of its 15 minutes: 6 x 8 / 15 = 3.2, so 3 more than the 3 sold. Slot 3 had none for 10:
	// 6 x 10 / 15 = 4, of whom 2 were written down, so 2 more than 1 sold and 2 turned away.
	require.Equal(t, []int{5, 3 + 3, 1 + 2 + 2, 4}, f.Asked)
	require.Equal(t, []int{0, 3, 2, 0}, f.Guess)
	require.Equal(t, 13, f.Sold)
	require.Equal(t, 18, f.None)

	// What it cost. 20 asked for, 13 sold: 7.00. Two loads 2.00. 16 fried, 13 sold: 3 wasted, 1.50. One coat session of a
	// block 1.50 + 0.50. One of marinating 2.00 + 0.50, and a tub 1.00. Coated at 540, when best ends: nothing. 16.00.
	require.Equal(t, planner.Costs{Unmet: 7 * u, Load: 2 * u, Waste: 3 * u / 2, Coat: 2 * u, Marinate: 7 * u / 2}, f.Costs)
	require.Equal(t, 16*u, r.Cost)
	require.Equal(t, 3, f.Wasted)
	require.Equal(t, 1, f.Unwritten, "two of three were written down")
	require.Equal(t, u, f.ThrownCost[Fried])
	require.Equal(t, int64(310), f.ThrownGrams[Fried])

	// The plan to the letter. Guests come at 601 604 607 610 613, 616 618 621 623 626 628, 631 634 637 640 643, 646 650 654
	// 658. Load 1 is for sale from 595 to 638: the first 8. Load 2, dropped at 610, from 620 to 663: the next 8. The last 4
	// find none: 4.00 + loads 2.00 + coating 2.00 + marinating 3.50.
	require.Equal(t, 23*u/2, r.Plan)
	require.Equal(t, 4*u, f.Plan.Costs.Unmet)

	// Hindsight. One tub gives 16 pieces, and 20 are asked for: a second tub 1.00, a second block of coating 0.50 and a third
	// load 1.00 sell 4 more: 3.00 + 2.50 + 4.50 = 10.00. Without them 11.50 at least, as the plan.
	require.Equal(t, 10*u, r.Hindsight)
	require.Equal(t, planner.Costs{Load: 3 * u, Coat: 5 * u / 2, Marinate: 9 * u / 2}, f.Hindsight)

	// The one change. As it was, the 6 guests from 623 to 637 find none, and of load 2 (from 640) 6 are sold and 2 left: 6.00 +
	// 2.00 + 1.00 + 5.50 = 14.50. Ten minutes earlier it is for sale from 630: 623 626 628 and 658 find none, nothing is left:
	// 4.00 + 2.00 + 5.50 = 11.50. Earlier still saves no more. A tub more, coated and dropped at 610 with 2 units, sells all and
	// leaves 4: 3.00 + 2.00 + 2.50 + 4.50 = 12.00, so saves 2.50.
	require.Equal(t, Change{Sort: LoadEarlier, At: 630, By: 10, Units: 2, Saves: 3 * u}, r.Changes[0])
	require.Equal(t, Change{Sort: TubMore, At: 610, Units: 2, Coat: 540, Coated: 2, Tub: 420, Tubs: 1, Saves: 5 * u / 2}, r.Changes[1])
	require.Len(t, r.Changes, 2)
}

// TestWhatNobodyKnowsIsNotGuessed: without a usual day the slots around tell, without those nothing is guessed, and who was
// turned away counts in any case.
func TestWhatNobodyKnowsIsNotGuessed(t *testing.T) {
	it := Item{Sold: []int{4, 0, 8, 2}, None: []int{0, 15, 0, 0}}
	asked, guess := it.Asked(15)
	require.Equal(t, []int{4, 5, 8, 2}, asked, "(4 + 8 + 2) / 3, rounded")
	require.Equal(t, []int{0, 5, 0, 0}, guess)
	it = Item{Sold: []int{1, 0}, None: []int{15, 15}, Away: []int{3, 1}}
	asked, guess = it.Asked(15)
	require.Equal(t, []int{4, 1}, asked)
	require.Equal(t, []int{0, 0}, guess)
	it = Item{Sold: []int{10, 0}, None: []int{0, 15}, Usual: []int64{1000, 1000}}
	asked, _ = it.Asked(15)
	require.Equal(t, []int{10, 1}, asked, "a busy slot does not make a busy day")
	it = Item{Sold: []int{1, 0}, None: []int{0, 15}, Usual: []int64{10_000, 10_000}}
	asked, _ = it.Asked(15)
	require.Equal(t, []int{1, 5}, asked, "a day that sold a tenth in one slot is believed to be half as busy")
}
