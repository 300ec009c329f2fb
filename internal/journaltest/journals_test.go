package journaltest_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/journaltest"
)

// TestAShiftIsOrderly: nothing in it is off, so that what it measures is not the growth of open deviations.
func TestAShiftIsOrderly(t *testing.T) {
	s := kitchen.New()
	for _, e := range journaltest.Shift(1, 9000) {
		s.Apply(&e, kitchen.Amended{})
	}
	require.Empty(t, s.Deviations)
	open := 0
	for i := range s.Batches {
		if s.Batches[i].Status == kitchen.Open {
			open++
		}
	}
	require.Greater(t, open, 10)
	require.Less(t, open, 100)
}

func TestJournalsFollowFromTheirSeeds(t *testing.T) {
	for _, make := range []func(uint64, int) []entry.Entry{journaltest.Random, journaltest.Shift} {
		require.Equal(t, make(7, 200), make(7, 200))
		require.NotEqual(t, make(7, 200), make(8, 200))
		require.Len(t, make(7, 200), 200)
	}
}
