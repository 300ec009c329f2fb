package core_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// TestTheLeadIsToldOnScreenOfADeviceThatBringsTooMuch: a log alone reaches nobody in the kitchen.
func TestTheLeadIsToldOnScreenOfADeviceThatBringsTooMuch(t *testing.T) {
	b := newBench(t)
	b.furnish()
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Pairing{Device: "gone", Name: "Old phone"}, &entry.Revocation{Device: "gone"}}})
	lead := b.phone("lead")
	lead.dial()
	b.give(core.Input{Op: core.OpFull, Device: "gone"})
	b.give(core.Input{Op: core.OpFull, Device: "gone"}) // it comes again, or the server starts anew
	b.pass(3*stamp.Second, stamp.Second)
	open := lead.core.State().Deviations
	require.Len(t, open, 1, "once")
	screen := lead.looks("/deviations")
	require.Contains(t, screen, "Old phone (gone)")
	key := open[0].Key
	require.Contains(t, lead.looks("/deviation/"+strings.ReplaceAll(key, "/", "%2F")), "10000 entries")
}
