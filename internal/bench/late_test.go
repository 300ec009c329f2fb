package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestLateAndNewEntriesAreFolded opens a small shop and lets entries come to it: what is measured is what is meant.
func TestLateAndNewEntriesAreFolded(t *testing.T) {
	s, err := openShop(t.TempDir(), 6000)
	require.NoError(t, err)
	before := s.core.Folded()
	_, err = s.takes(0)
	require.NoError(t, err)
	require.EqualValues(t, 1, s.core.Folded()-before, "an entry made now is folded alone")
	before = s.core.Folded()
	_, err = s.takes(lateBy)
	require.NoError(t, err)
	late := s.core.Folded() - before
	require.Greater(t, late, uint64(800), "a shift is folded again")
	require.Less(t, late, uint64(2000), "and hardly more than that")
	require.NoError(t, s.store.Close())
}

func BenchmarkLate(b *testing.B) {
	s, err := openShop(b.TempDir(), 20_000)
	require.NoError(b, err)
	for b.Loop() {
		_, err := s.takes(lateBy)
		require.NoError(b, err)
	}
	b.ReportMetric(float64(s.core.Folded())/float64(b.N), "folded/op")
	require.NoError(b, s.store.Close())
}
