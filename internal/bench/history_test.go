package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
)

// The figures of a join mean something only if the past is one that a kitchen could have: work of every kind, little
// of it open at the end, and no more of it open after a long past than after a short one.
func TestHistoryIsBelievable(t *testing.T) {
	short, long := lived(t, 4_000), lived(t, 16_000)
	for _, k := range []entry.Kind{entry.BatchStarted, entry.BatchMoved, entry.BatchPortioned, entry.HoldCounted, entry.StepDone, entry.ReadingTaken} {
		require.Greater(t, long.kinds[k], 100, k)
	}
	require.Positive(t, long.open)
	require.Less(t, long.open, 30)
	require.Less(t, len(long.state), len(short.state)*13/10, "state follows open work")
}

type lifetime struct {
	kinds map[entry.Kind]int
	open  int
	state []byte
}

func lived(t *testing.T, entries int) lifetime {
	t.Helper()
	records, err := history(entries)
	require.NoError(t, err)
	out := lifetime{kinds: map[entry.Kind]int{}}
	s := kitchen.New()
	for i := range records {
		e := read(t, &records[i])
		out.kinds[e.Kind]++
		s.Apply(&e, kitchen.Amended{})
	}
	for i := range s.Batches {
		if s.Batches[i].Status == kitchen.Open {
			out.open++
		}
	}
	out.state = s.Append(nil)
	return out
}

func read(t *testing.T, n *journal.Numbered) entry.Entry {
	t.Helper()
	e, err := entry.ReadRecord(n.Record)
	require.NoError(t, err)
	return e
}

func TestPercentile(t *testing.T) {
	require.Equal(t, 3, percentile([]int{5, 1, 3, 2, 4}, 50))
	require.Equal(t, 5, percentile([]int{5, 1, 3, 2, 4}, 99))
	require.Zero(t, percentile([]int(nil), 50))
	require.Equal(t, []float64{2, 0.5}, ratios([]float64{4, 1, 9}, []float64{2, 2}))
}

func TestFigureHoldsOnlyWithinItsGoal(t *testing.T) {
	require.True(t, most("x", 1.3, "x floor", 1.3).Holds)
	require.False(t, most("x", 1.3001, "x floor", 1.3).Holds)
	require.True(t, scale("x", 99, "ms").Holds)
}
