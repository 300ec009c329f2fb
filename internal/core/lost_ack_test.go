package core_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// once checks that a phone's note is in the journal once, that nothing was set aside, and that all agree, also after
// restarts of everybody.
func (b *bench) once(p *phone) {
	b.t.Helper()
	for range 2 {
		count := 0
		for n := range b.keeper.Since(0) {
			if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.NoteMade && e.At.Device == p.name {
				count++
			}
		}
		require.Equal(b.t, 1, count)
		aside, err := b.keeper.Aside()
		require.NoError(b.t, err)
		require.Empty(b.t, aside)
		require.NotContains(b.t, strings.Join(b.notes, "\n"), "set aside")
		require.Zero(b.t, p.waitingCount())
		for _, p := range b.phones {
			require.True(b.t, bytes.Equal(b.server.StateBytes(), p.core.StateBytes()), p.name)
		}
		p.hang()
		p.boot()
		p.dial()
		b.pass(3*stamp.Second, stamp.Second)
	}
	b.same()
}

// TestAnAckThatWasLostBeforeARestartWithAWrongClock: the kitchen kept an entry, the answer was lost, and the phone came
// up again with its clock set back. What has left the phone keeps its time.
func TestAnAckThatWasLostBeforeARestartWithAWrongClock(t *testing.T) {
	for _, off := range []stamp.Span{-26 * stamp.Hour, 26 * stamp.Hour, -90 * stamp.Second, 0} {
		b, anna, bea := twoInTouch(t, "anna", "bea")
		b.pass(5*stamp.Second, stamp.Second)
		b.lost = true
		anna.note("kept, but the answer is lost")
		b.flow()
		b.lost = false
		anna.hang()
		bea.hang()
		require.Equal(t, 1, anna.waitingCount())
		before := b.find(entry.NoteMade)
		b.now += 300_000 // while it is off, its clock is set
		anna.off = int64(off)
		anna.boot()
		anna.dial()
		bea.dial()
		b.pass(3*stamp.Second, stamp.Second)
		require.Equal(t, before, b.find(entry.NoteMade))
		require.NotContains(t, strings.Join(b.notes, "\n"), "kept first", "it was pushed as it was made")
		b.once(anna)
	}
}

// TestAnEntryThatComesAgainWithAnotherTime is what older apps bring after a lost answer: the same entry, restamped. It is
// one entry, be the first one in everybody's tail, in the base that the device is sent, or in nobody's tail any more.
func TestAnEntryThatComesAgainWithAnotherTime(t *testing.T) {
	for _, many := range []int{0, 1500, 3500} {
		b, anna, bea := twoInTouch(t, "anna", "bea")
		b.pass(3*stamp.Second, stamp.Second)
		b.lost = true
		anna.note("kept, but the answer is lost")
		b.flow()
		b.lost = false
		anna.hang()
		bea.hang()
		bea.dial()
		i := len(anna.stored.Tail) - 1
		record := anna.stored.Tail[i].Record
		b.grow(bea, many)
		e, err := entry.ReadRecord(record)
		require.NoError(t, err)
		e.At.At = stamp.Milli(b.now)
		anna.stored.Tail[i].Record = entry.AppendRecord(nil, &e)
		anna.boot()
		anna.dial()
		b.pass(3*stamp.Second, stamp.Second)
		require.Equal(t, record, b.find(entry.NoteMade), "what was kept first stays as it is")
		b.once(anna)
	}
}

// TestAnotherEntryWithTheSameIDIsSetAside: only the time may differ.
func TestAnotherEntryWithTheSameIDIsSetAside(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	anna.note("one")
	b.flow()
	e, err := entry.ReadRecord(b.find(entry.NoteMade))
	require.NoError(t, err)
	other := entry.New(e.ID, e.At, e.Crew, &entry.Note{Text: "two"})
	other.At.At++
	out := b.give(core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna",
		Frame: protocol.Make(&protocol.Push{Records: [][]byte{entry.AppendRecord(nil, &other)}})})
	require.Len(t, out.Aside, 1)
	require.Equal(t, "same id", out.Aside[0].Reason)
}

// TestAnEntryWhoseIDIsAheadComesAgain: its id was made by a clock days ahead, its time was put right, the answer was lost. By
// then it is folded into everybody's base, which the time in its id does not tell.
func TestAnEntryWhoseIDIsAheadComesAgain(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	b.pass(3*stamp.Second, stamp.Second)
	id := entry.NewID(stamp.Milli(b.now).Add(72*stamp.Hour), [10]byte{7})
	e := entry.New(id, stamp.Stamp{At: stamp.Milli(b.now), Count: 1, Device: "anna"}, "al", &entry.Note{Text: "three days ahead"})
	first := entry.AppendRecord(nil, &e)
	b.push(anna, false, first)
	b.flow()
	b.grow(bea, 3500)
	e.At.At = stamp.Milli(b.now)
	b.push(anna, false, entry.AppendRecord(nil, &e))
	b.flow()
	b.pass(3*stamp.Second, stamp.Second)
	require.Equal(t, first, b.find(entry.NoteMade), "what was kept first stays as it is")
	b.once(anna)
}
