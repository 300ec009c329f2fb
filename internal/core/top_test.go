package core_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/stamp"
)

// drawn lets a phone's page look at a path and returns what is drawn, without the clock.
func (p *phone) drawn(path string) string {
	p.draws = nil
	p.step(core.Input{Op: core.OpLook, View: "v", Path: path})
	require.Len(p.b.t, p.draws, 1)
	return string(p.draws[0].JSON)
}

// TestAPhoneStartsFromWhatItFoldedBefore: it keeps its state once it is quiet, and starts from that with the same state and the
// same screens, folding only what came since.
func TestAPhoneStartsFromWhatItFoldedBefore(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	anna.drawn("/")
	b.grow(anna, 300)
	require.Nil(t, anna.stored.Top, "it is not quiet")
	b.pass(4*stamp.Second, stamp.Second)
	require.NotNil(t, anna.stored.Top)
	kept := string(anna.stored.Top)
	anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	b.pass(4*stamp.Second, stamp.Second)
	require.Equal(t, kept, string(anna.stored.Top), "once in a minute is enough")
	start := func() (string, string, uint64) {
		anna.boot()
		return string(anna.core.StateBytes()), anna.drawn("/"), anna.core.Folded()
	}
	state, screen, folded := start()
	require.Less(t, folded, uint64(10))
	top := anna.stored.Top
	for _, other := range [][]byte{nil, top[:len(top)/2], append([]byte{9}, top[1:]...)} {
		anna.stored.Top = other
		state2, screen2, all := start()
		require.Equal(t, state, state2)
		require.Equal(t, screen, screen2)
		require.Greater(t, all, uint64(300))
	}
	anna.stored.Top = nil
	before := anna.core
	anna.boot()
	anna.core = before.Again(core.Config{Device: "anna", Key: "0a"}) // as where its memory was kept, and not the core itself
	once := anna.core.Folded()
	read, err := core.ReadStored(core.AppendStored(nil, &anna.stored))
	require.NoError(t, err)
	anna.step(core.Input{Op: core.OpStart, Stored: read, Lang: "en"})
	require.Equal(t, state, string(anna.core.StateBytes()))
	require.Equal(t, screen, anna.drawn("/"))
	require.Less(t, anna.core.Folded()-once, uint64(10))
	anna.dial()
	b.pass(70*stamp.Second, stamp.Second)
	b.same()
	require.NotEqual(t, kept, string(anna.stored.Top), "the minute is over")
}
