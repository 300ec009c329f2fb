package kitchen_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// TestListsOfDaysThatCannotBeGo: a list's step for a day at the end of the numbers does not stay in the state for ever.
func TestListsOfDaysThatCannotBeGo(t *testing.T) {
	k := newKit(t)
	today := k.s.WallDay(k.now)
	for _, day := range []int32{math.MinInt32, today, math.MaxInt32} {
		k.say(&entry.Step{List: "opening", Day: day, Step: "hands"})
	}
	require.Len(t, k.s.Runs, 3)
	k.wait(2 * stamp.Hour)
	k.say(&entry.Note{Text: "another hour"})
	require.Len(t, k.s.Runs, 1)
	require.Equal(t, today, k.s.Runs[0].Day)
}
