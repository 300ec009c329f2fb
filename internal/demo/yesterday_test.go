package demo

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
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
