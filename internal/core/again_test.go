package core_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// TestAnUndoOfAnUndoOfWhatIsFolded: the entry in between is in everybody's tail, but what it took back is in their base.
func TestAnUndoOfAnUndoOfWhatIsFolded(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
	start := anna.stored.Tail[len(anna.stored.Tail)-1].ID()
	b.grow(anna, 2800)
	require.Len(t, b.server.State().Batches, 1)
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Withdrawal{Entry: start}}})
	b.flow()
	b.grow(anna, 60)
	require.Empty(t, b.server.State().Batches)
	record := b.find(entry.EntryWithdrawn)
	undo := (&core.Numbered{Record: record}).ID()
	for range 3 { // each takes back the one before
		out := b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Withdrawal{Entry: undo}}})
		require.NotNil(t, out.Need)
		b.flow()
		b.pass(2*stamp.Second, stamp.Second)
		b.same()
		stored, err := b.keeper.Newest()
		require.NoError(t, err)
		undo = stored.Tail[len(stored.Tail)-1].ID()
	}
	require.Len(t, b.server.State().Batches, 1)
	require.Len(t, bea.core.State().Batches, 1)
	b.boot()
	b.same()
}

// TestHistoryThatCannotBeUsed: an entry that no history has room for is set aside, and not waited for for ever.
func TestHistoryThatCannotBeUsed(t *testing.T) {
	b, anna, late := twoInTouch(t, "anna", "late")
	late.hang()
	b.now += 1000
	late.note("hours ago")
	b.grow(anna, 2800)
	record := late.stored.Tail[len(late.stored.Tail)-1].Record
	in := core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "late", Wall: b.now, Mono: b.now,
		Frame: protocol.Make(&protocol.Push{Records: [][]byte{record}})}
	b.server.Step(core.Input{Op: core.OpOpened, Peer: "x", Wall: b.now, Mono: b.now})
	b.server.Step(core.Input{Op: core.OpFrame, Peer: "x", Device: "late", Wall: b.now, Mono: b.now,
		Frame: protocol.Make(&protocol.Hello{Version: protocol.Version, Device: "late", Unsent: 1})})
	in.Peer = "x"
	out := b.server.Step(in)
	require.NotNil(t, out.Need)
	out = b.server.Step(core.Input{Op: core.OpHistory, Wall: b.now, Mono: b.now, Stored: &core.Stored{Base: []byte{77}}})
	require.Nil(t, out.Need)
	require.Len(t, out.Aside, 1)
	require.Equal(t, record, out.Aside[0].Record)
}

// TestAPhoneThatNeverKnewKitchenTime taps before its first exchange, its clock a day off.
func TestAPhoneThatNeverKnewKitchenTime(t *testing.T) {
	for _, off := range []stamp.Span{26 * stamp.Hour, -26 * stamp.Hour} {
		b := newBench(t)
		b.furnish()
		p := &phone{b: b, name: "new", off: int64(off)}
		b.phones = append(b.phones, p)
		p.boot()
		p.tap(`{"do":"timer","name":"rice","span":60000}`)
		require.Equal(t, 1, p.waitingCount())
		made := b.now
		b.now += 5000
		p.dial()
		require.Zero(t, p.waitingCount())
		e, err := entry.ReadRecord(b.find(entry.TimerSet))
		require.NoError(t, err)
		require.InDelta(t, made, int64(e.At.At), 10_000, "off by %d h", off/stamp.Hour)
		b.same()
	}
}

// TestARevokedDeviceLearnsNothing: it may bring what it announced, but neither a joining code nor the state is for it.
func TestARevokedDeviceLearnsNothing(t *testing.T) {
	b := newBench(t)
	b.furnish()
	hear := func(f protocol.Frame) core.Outcome {
		return b.give(core.Input{Op: core.OpFrame, Peer: "x", Device: "stolen", Revoked: true, Frame: protocol.Make(f)})
	}
	for _, f := range []protocol.Frame{&protocol.CodeAsk{Crew: "bo"}, &protocol.HashAsk{Have: b.head()}, &protocol.Fetch{}, &protocol.PaceSet{Pace: 60}} {
		b.cuts = map[string]string{}
		b.give(core.Input{Op: core.OpOpened, Peer: "x"})
		hear(&protocol.Hello{Version: protocol.Version, Device: "stolen", Unsent: 1})
		require.Empty(t, b.cuts)
		out := hear(f)
		require.Equal(t, protocol.ByeRevoked, b.cuts["x"], "%T", f)
		require.Empty(t, out.Codes)
		require.Len(t, out.Send, 1, "the goodbye")
	}

	// Revoked while it still brings what it announced: it is heard out, and told nothing.
	b.cuts = map[string]string{}
	b.give(core.Input{Op: core.OpOpened, Peer: "y"})
	say := func(f protocol.Frame) core.Outcome {
		return b.give(core.Input{Op: core.OpFrame, Peer: "y", Device: "lost", Frame: protocol.Make(f)})
	}
	say(&protocol.Hello{Version: protocol.Version, Device: "lost", Unsent: 1})
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: "lost", Reason: "stolen"}}})
	require.Empty(t, b.cuts)
	out := say(&protocol.Push{Last: true})
	require.Equal(t, protocol.ByeRevoked, b.cuts["y"])
	require.Empty(t, out.Live)
	require.Len(t, out.Send, 1, "the goodbye")
}

// TestAFloodOfLargeEntriesFitsIntoFrames: many records near the largest in one group are still read and queued by all.
func TestAFloodOfLargeEntriesFitsIntoFrames(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna, bea := b.phone("anna"), b.phone("bea")
	anna.dial()
	var records [][]byte
	for i := range 200 {
		records = append(records, journaltest.Note("kitchen", int64(i+1), strings.Repeat("n", 200_000)))
	}
	frames := len(anna.seen)
	b.give(core.Input{Op: core.OpTake, Records: records})
	b.flow()
	bea.dial()
	require.Greater(t, len(anna.seen)-frames, 5)
	for _, f := range slices.Concat(anna.seen[frames:], bea.seen) {
		if f, ok := f.(*protocol.Entries); ok {
			require.LessOrEqual(t, len(protocol.Make(f)), protocol.DownMax/4)
		}
	}
	require.Equal(t, b.server.StateBytes(), anna.core.StateBytes())
	b.give(core.Input{Op: core.OpTake, Records: [][]byte{journaltest.Note("kitchen", 999, "after")}})
	b.flow()
	require.Equal(t, b.server.StateBytes(), anna.core.StateBytes())
}

// TestAfterAGapABaseIsStillAskedFor: what was missing in between has come; later things can be missing again.
func TestAfterAGapABaseIsStillAskedFor(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	asked := func() (have []uint64) {
		for _, frame := range anna.waiting {
			if f, err := protocol.Read(frame); err == nil && f.Type() == protocol.TypeFetch {
				have = append(have, f.(*protocol.Fetch).Have)
			}
		}
		return have
	}
	gap := func() {
		anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Entries{Prev: b.head() + 3,
			Records: [][]byte{journaltest.Note("bea", 1, "after a gap")}})})
	}
	for range 2 {
		gap()
		gap()
		require.Equal(t, []uint64{b.head()}, asked(), "once")
		b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.NamedKitchen{Name: "What was missing"}}})
		require.Equal(t, []uint64{b.head() - 1}, asked())
		b.flow()
	}
	b.grow(anna, 1500)
	require.NotEmpty(t, anna.stored.Base)
	gap()
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.NamedKitchen{Name: "And again"}}})
	b.flow()
	early := entry.New(entry.ID{9, 9}, stamp.Stamp{At: journaltest.Begun, Device: "late"}, "", &entry.Note{Text: "older than its base"})
	anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Entries{Prev: b.head(),
		Records: [][]byte{entry.AppendRecord(nil, &early)}})})
	require.Equal(t, []uint64{0}, asked())
}

// TestAGoodbyeIsForOneOnly: a device that is cut for a bad frame in the step in which it is revoked is told once, and
// nobody else is told.
func TestAGoodbyeIsForOneOnly(t *testing.T) {
	b, anna, bad := twoInTouch(t, "anna", "bad")
	out := b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: "bad", Reason: "lost"}}},
		core.Input{Op: core.OpFrame, Peer: bad.peer, Device: "bad",
			Frame: protocol.Make(&protocol.Push{Records: [][]byte{journaltest.Note("bad", 5, "too late")}})},
		core.Input{Op: core.OpFrame, Peer: bad.peer, Device: "bad", Frame: []byte{99}})
	goodbyes := 0
	for _, m := range out.Send {
		f, err := protocol.Read(m.Frame)
		require.NoError(t, err)
		if f.Type() != protocol.TypeEntries {
			require.Equal(t, bad.peer, m.Peer, "a %s frame to all", f.Type())
		}
		if f.Type() == protocol.TypeBye {
			goodbyes++
		}
	}
	require.Equal(t, 1, goodbyes)
	require.Len(t, out.Aside, 1)
	require.Empty(t, anna.cuts)
}

// TestAKitchenOfAnotherVersion: the phone gives the reason to whoever can say it, keeps what is tapped, and brings it when
// the two understand each other again.
func TestAKitchenOfAnotherVersion(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	out := anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Bye{Reason: protocol.ByeVersion, Text: "reload"})})
	require.Equal(t, []core.Cut{{Reason: protocol.ByeVersion}}, out.Cut)
	out = anna.tap(`{"do":"note","text":"meanwhile"}`)
	require.NotEmpty(t, out.Keep)
	require.Empty(t, out.Send)
}
