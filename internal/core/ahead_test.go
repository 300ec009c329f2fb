package core_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// noteAt is a note that a device stamped so far ahead of kitchen time.
func (b *bench) noteAt(device string, ahead stamp.Span) []byte {
	b.dice++
	at := stamp.Stamp{At: stamp.Milli(b.now).Add(ahead), Count: uint32(b.dice), Device: device}
	e := entry.New(entry.ID{b.dice, b.dice ^ 0x5a, 0xee, byte(b.now >> 10), byte(ahead >> 20)}, at, "", &entry.Note{Text: "from the future"})
	return entry.AppendRecord(nil, &e)
}

// TestAClockInTheFutureDropsNothing: what ended an hour ago is still in the state of every device, however far ahead the
// entries of one device are stamped, whether its clock is wrong or it means harm, in whatever order they are folded, and
// after restarts; and it goes a day after it ended, though that device's clock is still wrong.
func TestAClockInTheFutureDropsNothing(t *testing.T) {
	b, anna, bad := twoInTouch(t, "anna", "bad")
	anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	b.flow()
	batch := b.server.State().Batches[0].ID.String()
	anna.tap(`{"do":"discard","batch":"` + batch + `","reason":"temperature"}`)
	anna.tap(`{"do":"timer","name":"rice","span":60000}`)
	b.flow()
	require.NotEqual(t, kitchen.Open, b.server.State().Batches[0].Status)
	b.pass(10*stamp.Second, stamp.Second)
	for _, ahead := range []stamp.Span{2 * stamp.Minute, 2 * stamp.Day, 10 * stamp.Day, 3 * stamp.Day, 4000 * stamp.Day,
		math.MaxInt64 - stamp.Span(b.now) - stamp.Hour, 26 * stamp.Hour} {
		for range 3 {
			b.now += 1000
			b.push(bad, false, b.noteAt("bad", ahead))
			require.Len(t, b.server.State().Batches, 1, "%d h ahead", ahead/stamp.Hour)
			require.Len(t, b.server.State().Timers, 1)
		}
	}
	b.same()
	doubts := 0
	var all []core.Numbered
	for n := range b.keeper.Since(0) {
		all = append(all, n)
		if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.ClockDoubted {
			doubts++
		}
	}
	require.LessOrEqual(t, doubts, 6, "one for each time that it is twice as far ahead")
	want := b.server.StateBytes()
	for range 20 {
		rand.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
		var l journal.Log
		_, err := l.Load(&core.Stored{Tail: all})
		require.NoError(t, err)
		require.Equal(t, want, l.Bytes())
	}
	b.boot()
	require.Equal(t, want, b.server.StateBytes())
	for _, p := range b.phones {
		p.boot()
		p.dial()
	}

	b.now += int64(25 * stamp.Hour)
	for _, p := range b.phones {
		p.hang()
		p.dial()
	}
	b.push(bad, false, b.noteAt("bad", 2*stamp.Day))
	anna.note("a day later")
	b.flow()
	require.Empty(t, b.server.State().Batches)
	b.same()
}

// TestABaseDoesNotEndInTheFuture: thousands of entries from clocks in the future do not push a base past kitchen time, so
// that what others say now is not late; and each device has its bound, beyond which they are set aside.
func TestABaseDoesNotEndInTheFuture(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.grow(anna, 500)
	for n, name := range []string{"b0", "b1", "b2", "b3", "b4", "b5", "b6", "b7", "b8"} {
		bad := b.phone(name)
		bad.dial()
		var records [][]byte
		for i := range 300 {
			id := entry.NewID(stamp.Milli(b.now), [10]byte{0, 0, byte(n), byte(i), byte(i >> 8), 9})
			e := entry.New(id, stamp.Stamp{At: stamp.Milli(b.now).Add(10 * stamp.Day), Count: uint32(i), Device: name}, "", &entry.Note{Text: "x"})
			records = append(records, entry.AppendRecord(nil, &e))
		}
		before := b.head()
		b.push(bad, false, records...)
		require.EqualValues(t, 256+1, b.head()-before, "and a doubt")
		for _, r := range records {
			require.True(t, b.holds(entry.ID(r[1:17])), "nothing is lost")
		}
		b.push(bad, false, b.noteAt(name, 0))
		require.EqualValues(t, 256+2, b.head()-before, "what it stamps rightly is taken")
		bad.hang()
	}
	b.grow(anna, 600)
	stored, err := b.keeper.Newest()
	require.NoError(t, err)
	last, _, err := journal.ReadBase(stored.Base)
	require.NoError(t, err)
	require.LessOrEqual(t, last.At.At, stamp.Milli(b.now).Add(stamp.LeadMax))
	for _, p := range b.phones {
		last, _, err := journal.ReadBase(p.stored.Base)
		require.NoError(t, err)
		require.LessOrEqual(t, last.At.At, stamp.Milli(b.now).Add(stamp.LeadMax), p.name)
	}
	anna.note("now")
	in := core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna", Frame: anna.waiting[0]}
	anna.waiting = nil
	out := b.give(in)
	require.Nil(t, out.Need, "it is not late")
	e, err := entry.ReadRecord(anna.stored.Tail[len(anna.stored.Tail)-1].Record)
	require.NoError(t, err)
	require.InDelta(t, b.now, int64(e.At.At), 60_000, "nor stamped in the future")
	for _, p := range b.phones {
		p.hang()
		p.dial()
	}
	b.same()
}
