package core_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// TestADeviceIsShutOutOnlyOnceItHandedEverythingOver: the cut that has the shell wipe the phone comes when nothing waits
// any more, and what was handed over is set aside in the kitchen.
func TestADeviceIsShutOutOnlyOnceItHandedEverythingOver(t *testing.T) {
	b, anna, lost := twoInTouch(t, "anna", "lost")
	b.pass(3*stamp.Second, stamp.Second)
	lost.note("known to the kitchen")
	b.flow()
	b.lost = true // of what follows nothing reaches it
	lost.note("told, but not answered")
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: "lost", Reason: "left on the boat"}}})
	b.lost = false
	lost.cuts = nil
	lost.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Bye{Reason: protocol.ByeRevoked})})
	require.Equal(t, []string{"waiting"}, lost.cuts, "one entry is not handed over yet")
	lost.waiting = nil

	lost.cuts = nil
	lost.boot()
	lost.note("made while it was off")
	lost.dial()
	aside, err := b.keeper.Aside()
	require.NoError(t, err)
	require.Len(t, aside, 2)
	require.Equal(t, "revoked", b.cuts[lost.peer])
	require.Equal(t, []string{protocol.ByeRevoked}, lost.cuts)

	for _, reason := range []string{protocol.ByeUnknown, protocol.ByeFull, protocol.ByeRestart} {
		anna.cuts = nil
		anna.step(core.Input{Op: core.OpOpened})
		anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Bye{Reason: reason})})
		require.Equal(t, []string{reason}, anna.cuts, "nobody was shut out")
	}
}
