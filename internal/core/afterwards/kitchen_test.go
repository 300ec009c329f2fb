package afterwards

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// TestYesterdayInTheDemoKitchen looks back on a day of which everything is known.
func TestYesterdayInTheDemoKitchen(t *testing.T) {
	now := stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())
	entries, err := demo.Yesterdays(now, [32]byte{7})
	require.NoError(t, err)
	s := kitchen.New()
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	day := s.WallDay(now) - 1
	require.True(t, Reach(s, day))
	require.False(t, Reach(s, day-1))
	x := Of(s, day, now)
	require.True(t, x.Over)
	require.True(t, x.Told)
	bone := &x.Items[0]
	require.Equal(t, "bone-in", x.Names.Items[0].Procedure)
	require.Equal(t, 342, bone.Sold, "as its counts add up")
	require.Equal(t, 6+8+3, bone.Away)
	require.Equal(t, 9, bone.Loads)
	require.Equal(t, 9*46, bone.Fried)
	require.Equal(t, 5, bone.Tubs, "those of the evening before, and none for the day after")
	require.Empty(t, x.Of.Problem.Marinated)
	require.Equal(t, []planner.Session{{Item: 0, Start: 335, Blocks: 3, Units: 46}, {Item: 0, Start: 530, Blocks: 2, Units: 23}, {Item: 0, Start: 650, Blocks: 3, Units: 35}},
		coats(x, 0), "tubs that were coated soon after one another were one spell of work")
	require.Equal(t, Load{Item: 0, Start: 390, Units: 12, Pieces: 46, Ready: 410, Until: 456}, x.Of.Done.Loads[0])
	require.NotNil(t, bone.Plan)
	require.Equal(t, 10, bone.Plan.Loads)
	require.Positive(t, x.Plan)

	// What was wasted adds up: by stage, by reason, and to what was counted.
	var byStage [Stages]planner.Money
	var all, thrown planner.Money
	grams := int64(0)
	for _, w := range x.Wastes() {
		byStage[w.Stage] += w.Cost
		all += w.Cost
		grams += w.Grams
	}
	done, _, _ := x.Costs()
	require.Equal(t, done.Waste+done.Discard, all)
	require.Equal(t, done.Waste, byStage[Fried])
	require.Equal(t, done.Discard, byStage[Marinated]+byStage[Coated])
	for i := range x.Items {
		thrown += x.Items[i].ThrownCost[Fried]
		require.Equal(t, x.Items[i].Fried, x.Items[i].Sold+x.Items[i].Thrown[Fried]+x.Items[i].Unwritten)
	}
	require.Equal(t, done.Waste, thrown, "all of it was written down")
	require.Positive(t, grams)

	require.NotEmpty(t, x.Changes)
	think := x.Thinker()
	think.Think(30_000)
	x.Know(think.Best())
	require.Less(t, x.Hindsight, x.Cost)
}

func coats(x *Seen, item int) (list []planner.Session) {
	for _, s := range x.Of.Done.Coats {
		if s.Item == item {
			list = append(list, s)
		}
	}
	return list
}

// TestAFryerThatWasOutIsMissing: hindsight has no more fryers than the day had.
func TestAFryerThatWasOutIsMissing(t *testing.T) {
	now := stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())
	entries, err := demo.Yesterdays(now, [32]byte{7})
	require.NoError(t, err)
	s := kitchen.New()
	day := int32(0)
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	day = s.WallDay(now) - 1
	s.Done = append([]kitchen.DayWork{{Day: day, Deeds: []kitchen.Deed{{Sort: kitchen.DeedOut, Minute: 720, Stage: "fryer-2", Why: "No heat"},
		{Sort: kitchen.DeedBack, Minute: 840, Stage: "fryer-2"}}}}, s.Done...)
	x := Of(s, day, now)
	windows := x.Of.Problem.Groups[0].Windows
	require.Len(t, windows, 4, "the evening before, when tubs are begun; and the day in three parts")
	require.Equal(t, planner.Window{From: 720, To: 840, Count: 1}, windows[2])
	require.Equal(t, 2, windows[1].Count)
	require.Equal(t, 2, windows[3].Count)
}
