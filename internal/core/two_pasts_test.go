package core_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

// TestTwoPhonesRefillALostServer: one was out of touch when a batch was begun that the other has folded into its base. In
// whatever order they come, the batch is there again, on all devices and after restarts; and where the two pasts cannot be
// joined, because the server began anew in between, the second is kept aside, and lead and log are told.
func TestTwoPhonesRefillALostServer(t *testing.T) {
	for _, c := range []struct {
		name   string
		first  int
		booted bool
	}{{"the richer one second", 0, false}, {"the richer one first", 1, false}, {"after a restart in between", 0, true}} {
		t.Run(c.name, func(t *testing.T) {
			b, anna, bea, want := twoPasts(t)
			phones := []*phone{anna, bea}
			phones[c.first].dial()
			b.pass(3*stamp.Second, stamp.Second)
			if c.booted {
				phones[c.first].hang()
				b.boot()
			}
			phones[1-c.first].dial()
			b.pass(3*stamp.Second, stamp.Second)
			if phones[c.first].peer == "" {
				phones[c.first].dial()
			}
			b.pass(30*stamp.Second, stamp.Second)
			for _, p := range b.phones {
				for _, n := range p.stored.Tail {
					require.True(t, b.holds(n.ID()), "%s holds what the kitchen does not", p.name)
				}
			}
			pasts, told := b.pastsOf("bea")
			if c.booted {
				require.Equal(t, 1, pasts)
				require.Equal(t, 1, told, "the lead is told")
				require.Contains(t, strings.Join(b.notes, "\n"), "cannot be joined")
			} else {
				require.Zero(t, pasts+told)
				require.NotContains(t, strings.Join(b.notes, "\n"), "holds another state", "whoever was on the line was sent the new base")
				require.Equal(t, want, b.server.State().Batches)
			}
			for range 2 {
				for _, p := range b.phones {
					require.Equal(t, string(b.server.StateBytes()), string(p.core.StateBytes()), p.name)
					p.boot()
				}
				b.boot()
				for _, p := range b.phones {
					p.dial()
				}
				b.pass(15*stamp.Second, stamp.Second)
			}
			require.True(t, b.holds(b.note("anna", "made while it was out of touch")))
		})
	}
}

// twoPasts makes a kitchen whose server was lost: anna was out of touch when bea began a batch, long ago.
func twoPasts(t *testing.T) (b *bench, anna, bea *phone, want []kitchen.Batch) {
	b = newBench(t)
	b.furnish()
	anna, bea = b.phone("anna"), b.phone("bea")
	anna.dial()
	bea.dial()
	b.grow(bea, 1600)
	anna.hang()
	bea.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	b.grow(bea, 1600)
	require.NotEmpty(t, anna.stored.Base)
	require.Empty(t, anna.core.State().Batches)
	want = bea.core.State().Batches
	require.Len(t, want, 1)
	bea.hang()
	b.now += 60_000
	anna.note("made while it was out of touch")
	b.keeper = simulation.NewMemory("01a21100-0000-7000-8000-000000000002")
	b.boot()
	return b, anna, bea, want
}

// pastsOf counts the bases that are kept aside of a device, and what the lead is told of it.
func (b *bench) pastsOf(device string) (pasts, told int) {
	aside, err := b.keeper.Aside()
	require.NoError(b.t, err)
	for _, a := range aside {
		if a.Reason == "another past" && a.Device == device {
			pasts++
		}
	}
	for _, d := range b.server.State().Deviations {
		if d.Code == kitchen.DevNoted && strings.Contains(d.Text, device) {
			told++
		}
	}
	return pasts, told
}

// note finds a note of a device in the journal.
func (b *bench) note(device, text string) entry.ID {
	for n := range b.keeper.Since(0) {
		if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.NoteMade && e.At.Device == device {
			if body, err := e.Open(); err == nil && body.(*entry.Note).Text == text {
				return e.ID
			}
		}
	}
	b.t.Fatalf("no note %q of %s", text, device)
	return entry.ID{}
}
