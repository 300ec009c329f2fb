package demo

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// TestYesterdayLeavesNothingOpen: a day before changes nothing of the kitchen as it is opened, and makes its making little longer.
func TestYesterdayLeavesNothingOpen(t *testing.T) {
	began := time.Now()
	entries, err := Yesterdays(noon, [32]byte{7})
	require.NoError(t, err)
	t.Log(len(entries), time.Since(began))
	with, alone := fold(t, entries), fold(t, mustEntries(t, noon))
	require.Len(t, with.Deviations, len(alone.Deviations), "%+v", with.Deviations)
	open := 0
	for i := range with.Batches {
		if with.Batches[i].Status == 0 {
			open++
		}
	}
	for i := range alone.Batches {
		if alone.Batches[i].Status == 0 {
			open--
		}
	}
	require.Zero(t, open)
	require.NotNil(t, with.PlanOf(with.WallDay(noon)-1))
}

// TestNothingRingsWhenItIsOpened looks at the kitchen that is served, at any hour of a day and any minute of an hour.
func TestNothingRingsWhenItIsOpened(t *testing.T) {
	for _, later := range []stamp.Span{0, 20 * m, 59 * m, 5*h + 31*m, 11*h + 7*m, 17*h + 45*m, 23*h + 58*m} {
		now := noon.Add(later)
		entries, err := Yesterdays(now, [32]byte{7})
		require.NoError(t, err)
		state := fold(t, entries)
		for _, b := range kitchen.Bells(state, now, h) {
			require.False(t, b.Ringing, "the first look is at the line, not at a ring: %+v after %d min", b, later/m)
			require.False(t, b.List != "" && b.First <= now, "a list was forgotten: %+v after %d min", b, later/m)
		}
	}
}
