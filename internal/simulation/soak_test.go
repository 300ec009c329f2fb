package simulation_test

import (
	"flag"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

var soakSeed = flag.Uint64("soakseed", 1, "run the soak with this seed")

// TestSoak runs the kitchen with every trouble at once, a new seed each time, for as long as BRINEBELL_SOAK says
// (make soak), every fourth on the real store; one kitchen of a known seed when it says nothing. A seed that fails is printed, so that it can be kept.
func TestSoak(t *testing.T) {
	length := time.Nanosecond
	if text := os.Getenv("BRINEBELL_SOAK"); text != "" {
		var err error
		length, err = time.ParseDuration(text)
		require.NoError(t, err, "BRINEBELL_SOAK is a length of time, such as 10m")
	}
	kitchens, made := 0, 0
	for began := time.Now(); kitchens == 0 || time.Since(began) < length; kitchens++ {
		opt := kinds["all at once"]
		if opt.Seed = *soakSeed; length > time.Nanosecond && *soakSeed == 1 {
			opt.Seed = rand.Uint64()
		}
		if kitchens%4 == 3 {
			opt.Folder = t.TempDir()
		}
		k := simulation.New(opt)
		require.NoError(t, k.Run(30*stamp.Minute), "seed %d", opt.Seed)
		require.NoError(t, k.Rest(), "seed %d", opt.Seed)
		require.NoError(t, k.Close())
		made += k.Made
	}
	t.Logf("%d kitchens, %d entries made", kitchens, made)
	require.Positive(t, made)
}
