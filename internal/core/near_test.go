package core_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// looks returns what the phone shows at a path.
func (p *phone) looks(path string) string {
	out := p.step(core.Input{Op: core.OpLook, View: "page", Path: path, Lang: "en"})
	require.NotEmpty(p.b.t, out.Draw)
	return string(out.Draw[len(out.Draw)-1].JSON)
}

// told returns the rows of each Near that the phone was sent.
func (p *phone) told() (list [][]protocol.Row) {
	for _, f := range p.seen {
		if n, ok := f.(*protocol.Near); ok {
			list = append(list, rowsOf(p.b.t, n))
		}
	}
	return list
}

func rowsOf(t *testing.T, n *protocol.Near) (rows []protocol.Row) {
	for _, text := range n.Rows {
		var r protocol.Row
		require.NoError(t, wire.Read(text, &r))
		rows = append(rows, r)
	}
	return rows
}

func (p *phone) able(json string) {
	p.step(core.Input{Op: core.OpAbility, View: "page", Ability: []byte(json)})
}

const rings = `{"sound":true,"visible":true,"heard":true}`

// threePhones are paired, in touch, and held by Al.
func threePhones(t *testing.T) (b *bench, anna, bea, cleo *phone) {
	b = newBench(t)
	b.furnish()
	var all []*phone
	for _, name := range []string{"anna", "bea", "cleo"} {
		b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Pairing{Device: name, Name: name}}})
		p := b.phone(name)
		p.dial()
		p.tap(`{"do":"crew","crew":"al"}`)
		p.able(rings)
		all = append(all, p)
	}
	b.pass(3*stamp.Second, stamp.Second)
	return b, all[0], all[1], all[2]
}

func TestPhonesComeIntoTouchAndGo(t *testing.T) {
	b, anna, bea, cleo := threePhones(t)
	state, head := b.server.StateBytes(), b.head()
	for _, p := range b.phones {
		require.Contains(t, p.looks("/more"), "3 devices in touch", p.name)
	}
	require.Contains(t, anna.looks("/devices"), "Al has it, rings now")

	cleo.hang()
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/more"), "2 devices in touch")
	require.Contains(t, anna.looks("/devices"), "out of touch since")
	for _, path := range []string{"/more", "/wall", "/devices"} {
		require.NotContains(t, cleo.looks(path), "in touch\"", "out of touch nobody knows, at %s", path)
		require.NotContains(t, cleo.looks(path), "rings now", path)
	}

	bea.able(`{"sound":false,"visible":true,"heard":true}`)
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/devices"), "sound is locked")

	cleo.dial()
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/more"), "3 devices in touch")
	require.Contains(t, cleo.looks("/more"), "3 devices in touch")

	require.Equal(t, head, b.head(), "none of it is an entry")
	require.Equal(t, state, b.server.StateBytes())
	b.same()
}

// TestAFrozenPhoneIsOutOfTouch: its line stays open, but nothing comes, and it could not ring.
func TestAFrozenPhoneIsOutOfTouch(t *testing.T) {
	b, anna, bea, cleo := threePhones(t)
	began := b.now
	b.phones = []*phone{anna, cleo} // bea does not step
	b.pass(10*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/more"), "3 devices in touch")
	for range 20 {
		b.pass(stamp.Second, stamp.Second)
	}
	require.Contains(t, anna.looks("/more"), "2 devices in touch")
	rows := anna.told()
	require.Less(t, b.now-began, int64(31*stamp.Second))
	require.NotZero(t, rows[len(rows)-1][1].Since)
	b.phones = []*phone{anna, bea, cleo}
	b.give(core.Input{Op: core.OpFrame, Peer: bea.peer, Device: "bea", Frame: protocol.Make(&protocol.ClockAsk{T1: 1})})
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/more"), "3 devices in touch")
}

// TestAPhoneThatComesBackAtOnceIsTold: for the others nothing has changed, but on its new line it knows nothing.
func TestAPhoneThatComesBackAtOnceIsTold(t *testing.T) {
	b, anna, bea, cleo := threePhones(t)
	bea.able(`{"sound":false,"visible":true}`)
	b.flow() // told now, and not again for a second
	cleo.hang()
	cleo.dial()
	require.NotContains(t, cleo.looks("/more"), "in touch\"")
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, cleo.looks("/more"), "3 devices in touch")
	for _, row := range anna.told()[len(anna.told())-1] {
		require.Zero(t, row.Since)
	}
}

// TestPresenceIsCoalesced: however often things change, nobody says more than one word of it in a second, and the last
// one is right.
func TestPresenceIsCoalesced(t *testing.T) {
	b, anna, bea, _ := threePhones(t)
	before := len(anna.told())
	said := 0
	for i := range 100 { // five seconds
		bea.able(fmt.Sprintf(`{"sound":%t,"visible":true}`, i%2 == 0))
		for _, f := range bea.waiting {
			if protocol.Type(f[0]) == protocol.TypeNear {
				said++
			}
		}
		b.pass(50, 50)
	}
	bea.able(`{"sound":true,"visible":true}`)
	b.pass(3*stamp.Second, 50)
	all := anna.told()
	require.LessOrEqual(t, said, 6)
	require.LessOrEqual(t, len(all)-before, 8)
	require.Greater(t, len(all), before)
	require.Equal(t, screen.CanTell|screen.CanSound|screen.CanSeen, all[len(all)-1][1].Can)
	quiet := len(all)
	b.pass(60*stamp.Second, stamp.Second)
	require.Len(t, anna.told(), quiet, "nothing changes, so nothing is said")
}

// TestManyPhonesAtOnceCostOneMessage: the same frame goes to all.
func TestManyPhonesAtOnceCostOneMessage(t *testing.T) {
	b := newBench(t)
	b.furnish()
	var in []core.Input
	for i := range 200 {
		name := fmt.Sprintf("phone %d", i)
		in = append(in, core.Input{Op: core.OpFrame, Peer: name, Device: name,
			Frame: protocol.Make(&protocol.Hello{Version: protocol.Version, Device: name})})
	}
	n, rows := 0, 0
	count := func(out core.Outcome) {
		for _, m := range out.Send {
			if protocol.Type(m.Frame[0]) == protocol.TypeNear {
				require.Empty(t, m.Peer)
				f, err := protocol.Read(m.Frame)
				require.NoError(t, err)
				n, rows = n+1, len(rowsOf(t, f.(*protocol.Near)))
			}
		}
	}
	count(b.give(in...))
	for range 40 {
		b.now += 50
		count(b.give(core.Input{Op: core.OpTick}))
	}
	require.Equal(t, 1, n)
	require.Equal(t, 200, rows)
	for i := range 200 { // they leave one after the other within a second
		b.now += 5
		count(b.give(core.Input{Op: core.OpShut, Peer: in[i].Peer}))
	}
	require.LessOrEqual(t, n, 3)
}

// TestTheGoneAreForgottenWhenThereAreTooMany: a server that runs for years must not remember every device that ever came.
func TestTheGoneAreForgottenWhenThereAreTooMany(t *testing.T) {
	b, anna, _, _ := threePhones(t)
	for i := range 2 * protocol.NearMost {
		name := fmt.Sprintf("guest %d", i)
		b.give(core.Input{Op: core.OpFrame, Peer: name, Device: name,
			Frame: protocol.Make(&protocol.Hello{Version: protocol.Version, Device: name})})
		b.now += 1000
		b.give(core.Input{Op: core.OpTick})
		b.give(core.Input{Op: core.OpShut, Peer: name})
	}
	b.pass(12*stamp.Second, stamp.Second)
	all := anna.told()
	rows := all[len(all)-1]
	require.LessOrEqual(t, len(rows), protocol.NearMost)
	require.Contains(t, rows, protocol.Row{Device: "anna", Can: 15, Crew: "al"})
}

// TestAnOldAppIsToldNothingNew: it would hang up at a frame that it does not know.
func TestAnOldAppIsToldNothingNew(t *testing.T) {
	b, anna, _, _ := threePhones(t)
	before := len(anna.told())
	hello := protocol.Make(&protocol.Hello{Version: 1, Device: "old"})
	toOld := func(out core.Outcome) {
		for _, m := range out.Send {
			if near := protocol.Type(m.Frame[0]) == protocol.TypeNear; near {
				require.NotContains(t, []string{"", "old"}, m.Peer)
			}
			if f, err := protocol.Read(m.Frame); m.Peer == "old" && err == nil && f.Type() == protocol.TypeWelcome {
				require.EqualValues(t, 1, f.(*protocol.Welcome).Version)
			}
		}
	}
	toOld(b.give(core.Input{Op: core.OpFrame, Peer: "old", Device: "old", Frame: hello}))
	for range 10 {
		b.now += 500
		toOld(b.give(core.Input{Op: core.OpTick}))
	}
	require.Greater(t, len(anna.told()), before)
	rows := anna.told()[len(anna.told())-1]
	require.Contains(t, rows, protocol.Row{Device: "old"}, "it is in touch, and nothing is known of its sound")
}

// TestANewAppSaysNothingNewToAnOldServer: that would cut the line.
func TestANewAppSaysNothingNewToAnOldServer(t *testing.T) {
	b := newBench(t)
	p := b.phone("anna")
	for _, version := range []uint32{1, protocol.VersionNear} {
		p.step(core.Input{Op: core.OpOpened})
		p.waiting = nil
		p.step(core.Input{Op: core.OpFrame, Frame: protocol.Make(&protocol.Welcome{Version: version, Generation: "g"})})
		b.now += 5000
		p.able(rings)
		said := false
		for _, f := range p.waiting {
			said = said || protocol.Type(f[0]) == protocol.TypeNear
		}
		require.Equal(t, version > 1, said)
	}
}

func TestFramesOfTheMomentThatAreUnknownAreIgnored(t *testing.T) {
	b, anna, bea, _ := threePhones(t)
	b.give(core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna", Frame: []byte{0x3f, 1, 2}})
	require.Empty(t, b.cuts[anna.peer])
	bea.step(core.Input{Op: core.OpFrame, Frame: []byte{0x13, 9}})
	require.Empty(t, bea.cuts)
	bea.step(core.Input{Op: core.OpFrame, Frame: []byte{0x40, 9}})
	require.NotEmpty(t, bea.cuts, "other types are not")
}

func TestADeviceSpeaksForItself(t *testing.T) {
	row := wire.Append(nil, &protocol.Row{Device: "cleo", Can: 15, Crew: "nobody", Since: 7})
	for name, rows := range map[string][][]byte{"none": nil, "two": {row, row}, "half": {row[:1]}} {
		b, anna, _, _ := threePhones(t)
		b.give(core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna", Frame: protocol.Make(&protocol.Near{Rows: rows})})
		require.Equal(t, protocol.ByeFrame, b.cuts[anna.peer], name)
	}
	b, anna, bea, _ := threePhones(t)
	b.give(core.Input{Op: core.OpFrame, Peer: anna.peer, Device: "anna", Frame: protocol.Make(&protocol.Near{Rows: [][]byte{row}})})
	b.pass(2*stamp.Second, stamp.Second)
	require.Empty(t, b.cuts[anna.peer])
	rows := bea.told()[len(bea.told())-1]
	require.Equal(t, protocol.Row{Device: "anna", Can: 15}, rows[0], "of itself only, in touch, held by nobody of the kitchen")
	require.Equal(t, "al", rows[2].Crew)
}

// TestARevokedDeviceIsNotInTouch: it does not count, whatever its line does.
func TestARevokedDeviceIsNotInTouch(t *testing.T) {
	b, anna, _, _ := threePhones(t)
	b.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: "cleo", Reason: "lost"}}})
	b.pass(2*stamp.Second, stamp.Second)
	require.Contains(t, anna.looks("/more"), "2 devices in touch")
	hello := &protocol.Hello{Version: protocol.Version, Device: "cleo", Unsent: 3}
	b.give(core.Input{Op: core.OpFrame, Peer: "cleo again", Device: "cleo", Frame: protocol.Make(hello)})
	b.pass(2*stamp.Second, stamp.Second)
	require.Empty(t, b.cuts["cleo again"], "it is still listened to for what it announced")
	require.Contains(t, anna.looks("/more"), "2 devices in touch")
}
