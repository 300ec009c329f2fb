package web

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
)

// TestPhotosOfOneDeviceAreBounded by number and by bytes, within a day for a device of the kitchen, for good for one that
// was taken off; each error names the limit and what to do.
func TestPhotosOfOneDeviceAreBounded(t *testing.T) {
	var a allowances
	now := time.Unix(1_800_000_000, 0)
	for range photosMost {
		require.NoError(t, a.take("d", false, 100_000, now))
	}
	err := a.take("d", false, 1, now.Add(photosIn-time.Second))
	require.Equal(t, fail.Busy, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "1000 photos or 512 MiB")
	require.Contains(t, fail.Sentence(err), "keeps the others")
	require.NoError(t, a.take("e", false, 1, now), "another device")
	a.giveBack("d", 100_000)
	require.NoError(t, a.take("d", false, 1, now), "one was not kept after all")
	require.NoError(t, a.take("d", false, 1, now.Add(photosIn)), "a day later")

	for range photosBytes / PhotoBytesMax {
		require.NoError(t, a.take("big", false, PhotoBytesMax, now))
	}
	require.Error(t, a.take("big", false, 1, now))

	for range photosOutBytes / PhotoBytesMax {
		require.NoError(t, a.take("out", true, PhotoBytesMax, now))
	}
	require.Error(t, a.take("out", true, 1, now))
	require.Error(t, a.take("out", true, 1, now.Add(100*photosIn)), "time gives it no more")
}
