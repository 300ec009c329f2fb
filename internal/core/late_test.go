package core_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// grow lets a phone make n notes a second apart, and the server shelve on the way.
func (b *bench) grow(p *phone, n int) {
	for i := range n {
		b.now += 1000
		p.note("busy")
		if i%5 == 4 {
			b.flow()
			b.now += 300
			b.give(core.Input{Op: core.OpTick})
			b.flow()
		}
	}
	b.flow()
}

// TestAnEntryOlderThanEveryBase comes hours late, when server and phones have long folded what surrounds it.
func TestAnEntryOlderThanEveryBase(t *testing.T) {
	b, anna, late := twoInTouch(t, "anna", "late")
	late.hang()
	b.now += 1000
	late.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	b.grow(anna, 2800)
	stored, err := b.keeper.Newest()
	require.NoError(t, err)
	require.NotEmpty(t, stored.Base, "the server has a checkpoint")
	require.Less(t, len(stored.Tail), journal.KitchenMost)
	require.NotEmpty(t, anna.stored.Base)
	late.dial()
	for _, p := range b.phones {
		p.hang()
	}
	b.boot() // at once: no checkpoint from before the entry may be used
	require.Len(t, b.server.State().Batches, 1)
	anna.dial()
	late.dial()
	b.pass(20*stamp.Second, stamp.Second)
	require.Zero(t, late.waitingCount())
	require.Len(t, anna.core.State().Batches, 1, "it is folded in at its own time")
	b.same()
	b.boot()
	b.same()
	for _, p := range []*phone{anna, late} {
		p.boot()
	}
	b.same()

	// A phone that was cut off before it heard that it was kept brings it once more, long after: known.
	head := b.head()
	late.put([]core.Numbered{{Record: b.find(entry.BatchStarted)}, {Record: late.stored.Tail[1].Record}})
	require.Equal(t, 2, late.waitingCount())
	late.boot()
	late.dial()
	b.pass(5*stamp.Second, stamp.Second)
	require.Equal(t, head, b.head())
	require.Zero(t, late.waitingCount())
	b.same()
}

// TestACorrectionOfWhatIsFolded changes an entry that is in everybody's base.
func TestACorrectionOfWhatIsFolded(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	start := anna.stored.Tail[len(anna.stored.Tail)-1].ID()
	b.grow(anna, 2800)
	out := b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Withdrawal{Entry: start}, &entry.Withdrawal{Entry: entry.ID{9}}}})
	require.NotNil(t, out.Need)
	b.flow()
	b.pass(5*stamp.Second, stamp.Second)
	require.Empty(t, bea.core.State().Batches)
	b.same()
	b.boot()
	b.same()
}

func TestABrokenShelfIsFetchedAnew(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.grow(anna, 1500)
	anna.hang()
	anna.note("not sent")
	require.NotEmpty(t, anna.stored.Base)
	anna.stored.Base[len(anna.stored.Base)-3] ^= 0x55
	anna.stored.Base[0] = 77
	anna.stored.Memory = []byte("nonsense")
	anna.boot()
	require.Contains(t, strings.Join(b.notes, "\n"), "memory of this device cannot be read")
	require.Contains(t, strings.Join(b.notes, "\n"), "base of this device cannot be read")
	anna.dial()
	b.pass(5*stamp.Second, stamp.Second)
	require.Zero(t, anna.waitingCount())
	b.same()
}

// TestStatesAreCompared: a phone that holds another state after the same entries notices and builds it anew.
func TestStatesAreCompared(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.grow(anna, 1500)
	b.pass(5*stamp.Second, stamp.Second)
	last, state, err := journal.ReadBase(anna.stored.Base)
	require.NoError(t, err)
	s, err := kitchen.Read(state)
	require.NoError(t, err)
	s.Name = "a kitchen that took a wrong turn"
	anna.stored.Base = journal.AppendBase(nil, last, s.Append(nil))
	anna.boot()
	require.NotEqual(t, b.server.StateBytes(), anna.core.StateBytes())
	anna.dial()
	b.pass(40*stamp.Second, stamp.Second)
	require.Contains(t, strings.Join(b.notes, "\n"), "holds another state after the same entries")
	b.notes = nil
	b.same()
}
