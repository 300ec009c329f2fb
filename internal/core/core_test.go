package core_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
	"brinebell/internal/simulation"
)

func TestATapIsKeptByTheKitchenAndSeenByTheOthers(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	b.same()
	out := anna.tap(`{"do":"timer","name":"rice","span":540000}`)
	require.Len(t, out.Keep, 1)
	require.Zero(t, out.Keep[0].Seq, "durable here first")
	require.Equal(t, 1, anna.waitingCount())
	b.flow()
	require.Zero(t, anna.waitingCount(), "its own entry came back with a number")
	require.Len(t, bea.core.State().Timers, 1)
	b.same()
}

func TestTapsWithoutALineAreBroughtLater(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	anna.hang()
	for range 700 { // more than one push
		b.now += 1000
		anna.note("offline")
		bea.note("online")
		b.flow()
	}
	require.Equal(t, 700, anna.waitingCount())
	anna.boot() // the phone is restarted before it finds the kitchen
	require.Equal(t, 700, anna.waitingCount())
	anna.dial()
	b.pass(20*stamp.Second, stamp.Second)
	require.Zero(t, anna.waitingCount())
	b.same()
}

// TestTwoUploadsAtOnce: two lines of one device push the same entries.
func TestTwoUploadsAtOnce(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna, twin := b.phone("anna"), b.phone("anna")
	anna.note("once")
	twin.stored = anna.stored
	twin.boot()
	anna.dial()
	twin.dial()
	require.Zero(t, anna.waitingCount())
	require.Zero(t, twin.waitingCount())
	n := b.head()
	anna.stored.Tail = append(anna.stored.Tail[:0:0], anna.stored.Tail...)
	b.push(anna, false, anna.stored.Tail[0].Record)
	require.Equal(t, n, b.head(), "what is known is not taken again")
	b.same()
}

// TestAGapIsAskedFor: entries that do not follow what a phone has are not taken, and what is missing is asked for.
func TestAGapIsAskedFor(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	out := anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Entries{Prev: b.head() + 3,
		Records: [][]byte{journaltest.Note("bea", 1, "after a gap")}})})
	require.Empty(t, out.Keep)
	require.Len(t, out.Send, 1)
	f, err := protocol.Read(out.Send[0].Frame)
	require.NoError(t, err)
	require.Equal(t, &protocol.Fetch{Have: b.head()}, f)
	b.flow()
	b.same()
}

func TestMalformedFramesCutOnlyTheirOwnLine(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna, bea := b.phone("anna"), b.phone("bea")
	bea.dial()
	for _, frame := range [][]byte{nil, {0}, {200, 1}, {byte(protocol.TypePush)}, {byte(protocol.TypePush), 9},
		{byte(protocol.TypeFetch), 0x80}, {byte(protocol.TypePush), 0, 0, 1, 5, 1}} {
		anna.dial()
		head := b.head()
		b.give(core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna", Frame: frame})
		require.Equal(t, protocol.ByeFrame, b.cuts[anna.peer], "%v", frame)
		require.Equal(t, head, b.head())
		bea.note("goes on")
		b.flow()
		require.Equal(t, head+1, b.head())
		require.NotEmpty(t, anna.cuts, "the phone was told")
	}
	anna.dial()
	b.same()
}

func TestAHelloComesFirst(t *testing.T) {
	b := newBench(t)
	b.give(core.Input{Op: core.OpFrame, Peer: "x", Device: "anna", Frame: protocol.Make(&protocol.Push{Records: [][]byte{{1}}})})
	require.Equal(t, protocol.ByeFrame, b.cuts["x"])
	b.give(core.Input{Op: core.OpFrame, Peer: "y", Device: "anna", Frame: protocol.Make(&protocol.Hello{Version: 99})})
	require.Equal(t, protocol.ByeVersion, b.cuts["y"])
	require.Zero(t, b.head())
}

func TestUnknownKindsAreKeptAndPassedOn(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	before := bea.core.State().Folded
	e := entry.New(entry.NewID(stamp.Milli(b.now), [10]byte{7}), stamp.Stamp{At: stamp.Milli(b.now), Device: "anna"}, "bo",
		&entry.Note{Text: "x"})
	e.Kind, e.Ver = 4000, 9
	b.push(anna, false, entry.AppendRecord(nil, &e))
	got := bea.stored.Tail[len(bea.stored.Tail)-1]
	require.Equal(t, e.ID, got.ID())
	require.Equal(t, b.head(), got.Seq)
	require.GreaterOrEqual(t, bea.core.State().Folded, before)
	b.same()
}

// TestTheBadThirdOfAPush: what cannot be read, is another's, or comes from a revoked device is set aside; the good
// entries of the same push are kept.
func TestTheBadThirdOfAPush(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	head := b.head()
	good := [][]byte{journaltest.Note("anna", 1, "one"), journaltest.Note("anna", 2, "two")}
	foreign := journaltest.Note("bea", 3, "not hers")
	clash := slices.Clone(good[0])
	clash[len(clash)-1] ^= 1 // another text under the same id
	b.push(anna, false, good[0], []byte("what is this, no record"), foreign, clash, good[1])
	require.Equal(t, head+2, b.head())
	list, err := b.keeper.Aside()
	require.NoError(t, err)
	var reasons []string
	for _, a := range list {
		require.Equal(t, "anna", a.Device)
		reasons = append(reasons, a.Reason)
	}
	require.Equal(t, []string{"unreadable", "foreign", "same id"}, reasons)
	b.same()
}

func TestARevokedDevice(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	out := b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: "anna", Reason: "lost"}}})
	require.Equal(t, []string{"anna"}, out.Revoked)
	require.Equal(t, protocol.ByeRevoked, b.cuts[anna.peer])
	require.Equal(t, []string{protocol.ByeRevoked}, anna.cuts)
	head := b.head()
	anna.hang()
	anna.note("after it was taken off")
	anna.dial()
	require.Equal(t, head, b.head())
	list, err := b.keeper.Aside()
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, "revoked", list[0].Reason)
	require.Equal(t, 1, anna.waitingCount(), "it stays on the phone too")

	anna.hang()
	b.boot() // the server still knows after a restart
	bea.dial()
	anna.dial()
	require.Equal(t, protocol.ByeRevoked, b.cuts[anna.peer])

	anna.hang()
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Pairing{Device: "anna", Name: "Anna's"}}})
	anna.dial()
	anna.note("paired again")
	b.flow()
	b.same()
}

// TestAServerThatBootsIn1970 never runs behind its last commit, and says so in the journal.
func TestAServerThatBootsIn1970(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	anna.note("before")
	b.flow()
	anna.hang()
	then := b.now
	b.now = 35_000
	b.boot()
	require.Contains(t, strings.Join(b.notes, "\n"), "the server's clock looks wrong")
	anna.off = then - b.now + 2000 // the phone's own clock is right
	anna.dial()
	anna.note("after")
	b.flow()
	list := anna.stored.Tail
	last, err := entry.ReadRecord(list[len(list)-1].Record)
	require.NoError(t, err)
	require.Greater(t, int64(last.At.At), then-1000)
	require.True(t, slices.ContainsFunc(b.server.State().Deviations, func(d kitchen.Deviation) bool { return d.Code == kitchen.DevClock }))
	b.same()
}

// TestAPhoneADayOff taps offline after a reload with its wall clock 26 h wrong; the entries come right before they
// leave it.
func TestAPhoneADayOff(t *testing.T) {
	for _, off := range []stamp.Span{26 * stamp.Hour, -26 * stamp.Hour} {
		b := newBench(t)
		b.furnish()
		anna := b.phone("anna")
		anna.dial()
		b.pass(30*stamp.Second, stamp.Second)
		anna.hang()
		anna.off = int64(off)
		anna.boot()
		b.now += 60_000
		anna.note("tapped with a wrong clock")
		made := b.now
		b.now += 60_000
		anna.dial()
		require.Zero(t, anna.waitingCount())
		seen := false
		for _, n := range anna.stored.Tail {
			if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.NoteMade {
				require.InDelta(t, made, int64(e.At.At), 65_000, "off by %d h", off/stamp.Hour)
				seen = true
			}
		}
		require.True(t, seen)
		mono := b.now - int64(journaltest.Begun) + 5000 // a clock is given only when it moved
		require.InDelta(t, b.now, anna.clock.Kitchen+mono-anna.clock.Mono, 10)
		b.same()
	}
}

func TestAnEmptyServerIsRefilled(t *testing.T) {
	for _, many := range []int{50, 1500} { // with and without a base
		b, anna, bea := twoInTouch(t, "anna", "bea")
		anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":50,"lots":["l"],"place":"cold-room"}`)
		for range many {
			b.now += 500
			anna.note("work")
			b.flow()
		}
		b.pass(10*stamp.Second, stamp.Second)
		b.same()
		want := anna.core.State().Batches
		require.NotEmpty(t, want)
		anna.hang()
		bea.hang()
		before, lost := b.keeper, b.head()
		b.keeper = simulation.NewMemory("01a21100-0000-7000-8000-000000000002")
		b.now += 5000
		b.boot()
		anna.note("while it was gone")
		b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.NamedKitchen{Name: "A new disk"}}})
		bea.dial()
		anna.dial()
		b.pass(20*stamp.Second, stamp.Second)
		for n := range before.Since(0) {
			if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.NoteMade && n.Seq+500 > lost {
				require.True(t, b.holds(n.ID()), "number %d of the lost journal", n.Seq)
			}
		}
		require.Equal(t, want, b.server.State().Batches, "counts and grams as before")
		require.Equal(t, b.server.StateBytes(), anna.core.StateBytes())
		require.Equal(t, b.server.StateBytes(), bea.core.StateBytes())
		anna.boot()
		b.boot()
		require.Equal(t, b.server.StateBytes(), anna.core.StateBytes(), "and after restarts")
	}
}

// TestARestoredServer gets back what came after its backup, once.
func TestARestoredServer(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	backup := b.keeper.Backup("01a21100-0000-7000-8000-000000000003")
	for range 40 {
		b.now += 500
		anna.note("after the backup")
		b.flow()
	}
	head := b.head()
	anna.hang()
	bea.hang()
	b.keeper = backup
	b.boot()
	require.Less(t, b.head(), head)
	anna.dial()
	bea.dial()
	require.Equal(t, head, b.head())
	b.same()
}

// TestADemoThatBeganAnewIsNotRefilled: its old batches are nobody's.
func TestADemoThatBeganAnewIsNotRefilled(t *testing.T) {
	b := newBench(t)
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.NamedKitchen{Name: "Demo", Demo: true}}})
	anna := b.phone("anna")
	anna.dial()
	anna.note("of the old demo")
	b.flow()
	anna.hang()
	anna.note("not sent")
	b.keeper = simulation.NewMemory("01a21100-0000-7000-8000-000000000004")
	b.boot()
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.NamedKitchen{Name: "Demo again", Demo: true}}})
	anna.dial()
	b.pass(5*stamp.Second, stamp.Second)
	require.EqualValues(t, 1, b.head())
	require.Equal(t, "Demo again", anna.core.State().Name)
	anna.boot()
	anna.dial()
	b.pass(5*stamp.Second, stamp.Second)
	require.EqualValues(t, 1, b.head())
	b.same()
}

func TestJoiningCodesAreForLeads(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	anna.tap(`{"do":"crew","crew":"al"}`)
	anna.tap(`{"do":"code"}`)
	b.flow()
	require.Empty(t, b.codes)
	anna.tap(`{"do":"crew","crew":"bo"}`)
	anna.tap(`{"do":"code"}`)
	b.flow()
	require.Equal(t, []core.CodeAsk{{Peer: anna.peer, Device: "anna", Crew: "bo"}}, b.codes)
	anna.step(core.Input{Op: core.OpLook, View: "page", Path: "/devices"})
	out := anna.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Code{Code: "7K4MXY", URL: "https://k/join", Until: stamp.Milli(b.now + 600_000)})})
	require.Len(t, out.Draw, 1)
	require.Contains(t, string(out.Draw[0].JSON), "7K4MXY")
}

func TestThePaceOfADemonstration(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.pass(10*stamp.Second, stamp.Second)
	from := anna.kitchen()
	anna.tap(`{"do":"pace","number":60}`)
	b.flow()
	require.EqualValues(t, 60, anna.clock.Pace)
	b.pass(10*stamp.Second, stamp.Second)
	require.InDelta(t, from+600_000, anna.kitchen(), 100)
	anna.tap(`{"do":"pace","number":600}`)
	b.flow()
	b.pass(10*stamp.Second, stamp.Second)
	require.InDelta(t, from+6_600_000, anna.kitchen(), 1000)
	require.Zero(t, b.server.Step(core.Input{Op: core.OpPace, Pace: 3601, Wall: b.now, Mono: b.now}).Send)
	b.same()
}

func TestALineFromWhichNothingComesIsGivenUp(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.pass(20*stamp.Second, stamp.Second)
	require.Empty(t, anna.cuts)
	b.lost = true
	b.pass(6*stamp.Second, stamp.Second)
	require.Empty(t, anna.cuts)
	b.pass(8*stamp.Second, stamp.Second)
	require.Equal(t, []string{"silent"}, anna.cuts)
}

func TestViews(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.pass(30*stamp.Second, stamp.Second)
	look := core.Input{Op: core.OpLook, View: "two", Path: "/who"}
	require.Len(t, anna.step(look).Draw, 1)
	require.Len(t, anna.step(look).Draw, 1, "every look is answered")
	require.Empty(t, anna.step(core.Input{Op: core.OpTick}).Draw, "a tick that changes nothing draws nothing")
	require.LessOrEqual(t, anna.wake, b.now+10_000)
	out := anna.tap(`{"do":"timer","name":"rice","span":60000}`)
	views := map[string]bool{}
	for _, d := range out.Draw {
		v, err := jsontext.Read(d.JSON)
		require.NoError(t, err)
		require.Equal(t, d.View, v.Str("view"))
		views[d.View] = true
	}
	require.True(t, views["page"], "the view that was tapped is always answered")
	anna.step(core.Input{Op: core.OpClose, View: "two"})
	for _, d := range anna.tap(`{"do":"nonsense"}`).Draw {
		require.Equal(t, "page", d.View)
		require.Contains(t, string(d.JSON), `"refusal"`)
	}
	for _, bad := range []string{`{`, `[]`, `{"do":5}`, ``} {
		out := anna.tap(bad)
		require.Empty(t, out.Keep)
		require.Len(t, out.Draw, 1)
		require.Contains(t, string(out.Draw[0].JSON), `"refusal"`, "%s", bad)
	}
	anna.step(core.Input{Op: core.OpAbility, Ability: []byte(`{"sound":true,"visible":true}`)})
	anna.step(core.Input{Op: core.OpAbility, Ability: []byte(`{`)})
}

// TestABellRingsOnEveryDeviceAtItsInstant, and one answer silences it everywhere.
func TestABellRingsOnEveryDeviceAtItsInstant(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna, bea, cole := b.phone("anna"), b.phone("bea"), b.phone("cole")
	for _, p := range b.phones {
		p.dial()
	}
	anna.tap(`{"do":"timer","name":"rice","span":60000}`)
	b.flow()
	cole.hang() // rings without the kitchen
	due := b.now + 60_000
	b.pass(59*stamp.Second, stamp.Second)
	for _, p := range b.phones {
		require.Empty(t, ringing(t, p), p.name)
		require.LessOrEqual(t, p.wake, due+2, "%s would sleep through it", p.name)
	}
	b.pass(2*stamp.Second, stamp.Second)
	for _, p := range b.phones {
		require.Len(t, ringing(t, p), 1, p.name)
	}
	bea.tap(`{"do":"got","bell":"` + ringing(t, bea)[0] + `"}`)
	b.flow()
	require.Empty(t, ringing(t, bea))
	require.Empty(t, ringing(t, anna), "silent everywhere")
	require.Len(t, ringing(t, cole), 1, "cole does not know yet")
	cole.dial()
	require.Empty(t, ringing(t, cole))
}

// ringing returns the keys of the bells that ring on a phone now.
func ringing(t *testing.T, p *phone) (keys []string) {
	require.NotEmpty(t, p.rings)
	v, err := jsontext.Read(p.rings[len(p.rings)-1])
	require.NoError(t, err)
	for _, b := range v.List("now") {
		keys = append(keys, b.Str("key"))
	}
	return keys
}
