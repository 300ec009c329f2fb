package simulation_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

// TestKitchensOnTheRealStore runs some kitchens whose server keeps its journal with SQLite on a disk. A power cut there
// leaves the files as they are in the middle of things.
func TestKitchensOnTheRealStore(t *testing.T) {
	for _, name := range []string{"power cuts", "short tails", "wrong clocks", "devices revoked"} {
		t.Run(name, func(t *testing.T) {
			opt := kinds[name]
			opt.Seed, opt.Folder = 1, t.TempDir()
			k := simulation.New(opt)
			require.NoError(t, k.Run(20*stamp.Minute))
			require.NoError(t, k.Rest())
			require.Positive(t, k.Made)
			require.NoError(t, k.Close())
		})
	}
}

// TestTheStoreMakesNoDifference runs one seed on the disk and in memory.
func TestTheStoreMakesNoDifference(t *testing.T) {
	var states [][]byte
	for _, folder := range []string{"", t.TempDir()} {
		opt := kinds["power cuts"]
		opt.Seed, opt.Folder = 7, folder
		k := simulation.New(opt)
		require.NoError(t, k.Run(20*stamp.Minute))
		require.NoError(t, k.Rest())
		states = append(states, k.StateBytes())
		require.NoError(t, k.Close())
	}
	require.Equal(t, states[0], states[1])
}
