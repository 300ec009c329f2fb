package protocol_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/wire"
)

// frames has one of each type, with all fields set.
var frames = []protocol.Frame{
	&protocol.Hello{Version: 1, Fingerprint: "1", Device: "anna", Key: []byte{1, 2}, Generation: "g", Have: 7, Unsent: 2,
		Kitchen: 1_795_582_800_000, Bound: -1},
	&protocol.Hello{Version: protocol.VersionFork, Device: "anna", Key: []byte{1}, Generation: "g", Held: 9, Last: []byte{15: 1}},
	&protocol.Welcome{Version: protocol.VersionFork, Generation: "g", Head: 9, Forked: true},
	&protocol.Welcome{Version: 1, Fingerprint: "1", Generation: "g", Head: 9, Kitchen: 5, Pace: 60, Revoked: true},
	&protocol.Push{Refill: true, Last: true, Records: [][]byte{{1}, {2, 3}}},
	&protocol.Entries{Prev: 8, Records: [][]byte{{1}, {2, 3}}},
	&protocol.Base{Head: 4, State: []byte{9}, Tail: []journal.Numbered{{Seq: 3, Record: []byte{1}}, {Seq: 4, Record: []byte{2}}}},
	&protocol.Fetch{Have: 3},
	&protocol.ClockAsk{T1: -5},
	&protocol.ClockAnswer{T1: -5, T2: 6, T3: 7, Pace: 1},
	&protocol.HashAsk{Have: 1, Hash: [16]byte{1, 15: 2}},
	&protocol.HashAnswer{Have: 1, Hash: [16]byte{1, 15: 2}, Same: true},
	&protocol.CodeAsk{Crew: "bo"},
	&protocol.Code{Code: "7K4M", URL: "https://kitchen/join?code=7K4M", Until: 5, Refused: "crew"},
	&protocol.PaceSet{Kitchen: 5, Pace: 10},
	&protocol.SetAside{Reason: "revoked", IDs: []entry.ID{{1}, {2}}},
	&protocol.Bye{Reason: protocol.ByeRevoked, Text: "x"},
	&protocol.Offer{State: []byte{1, 2}},
	&protocol.Kept{List: []protocol.KeptEntry{{Seq: 5, ID: entry.ID{1}}}},
	&protocol.Near{Rows: [][]byte{{1}, {2, 3}}},
}

func TestFramesComeBack(t *testing.T) {
	seen := map[protocol.Type]bool{}
	for _, f := range frames {
		back, err := protocol.Read(protocol.Make(f))
		require.NoError(t, err, f.Type())
		require.Equal(t, f, back)
		seen[f.Type()] = true
	}
	for typ := protocol.TypeHello; typ <= protocol.TypeNear; typ++ {
		require.True(t, seen[typ], "no %s frame is examined", typ)
	}
}

// TestBytesOfAFrame holds the bytes of one frame still, so that a change of the format does not go unnoticed.
func TestBytesOfAFrame(t *testing.T) {
	require.Equal(t, []byte{3, 0, 1, 2, 1, 7, 2, 8, 9}, protocol.Make(&protocol.Push{Last: true, Records: [][]byte{{7}, {8, 9}}}))
	row := protocol.Row{Device: "a", Can: 15, Crew: "bo", Since: 5}
	require.Equal(t, []byte{18, 1, 7, 1, 'a', 15, 2, 'b', 'o', 10}, protocol.Make(&protocol.Near{Rows: [][]byte{wire.Append(nil, &row)}}))
	require.Equal(t, []byte{8, 9, 12, 14, 2}, protocol.Make(&protocol.ClockAnswer{T1: -5, T2: 6, T3: 7, Pace: 1}))
}

func TestMalformedFramesAreNamed(t *testing.T) {
	for _, f := range frames {
		good := protocol.Make(f)
		for n := 1; n < len(good); n++ {
			_, err := protocol.Read(good[:n])
			var fault *protocol.Fault
			require.ErrorAs(t, err, &fault, "%s cut after %d bytes", f.Type(), n)
			require.Equal(t, f.Type(), fault.Frame)
			require.Equal(t, n, fault.Bytes)
			require.Contains(t, err.Error(), f.Type().String())
		}
		_, err := protocol.Read(append(bytes.Clone(good), 0))
		require.ErrorContains(t, err, "goes on", f.Type())
	}
	_, err := protocol.Read(nil)
	require.ErrorIs(t, err, protocol.ErrEmpty)
	for _, typ := range []byte{0, 99, byte(protocol.Packed), 255} {
		_, err := protocol.Read([]byte{typ, 1})
		require.ErrorContains(t, err, "does not know")
	}
	_, err = protocol.Read([]byte{byte(protocol.TypePush), 0, 2, 0})
	require.ErrorContains(t, err, "cannot be read", "a truth value of 2")
	_, err = protocol.Read([]byte{byte(protocol.TypeFetch), 0x87, 0x00})
	require.ErrorContains(t, err, "padded")
	_, err = protocol.Read([]byte{byte(protocol.TypePush), 0, 0, 0xff, 0xff, 0xff, 0xff, 0x0f})
	require.ErrorContains(t, err, "cannot be read", "a list of four thousand million records")
}

// TestFramesOfTheMomentMayBeUnknown: only those are passed over which tell how things stand at this moment.
func TestFramesOfTheMomentMayBeUnknown(t *testing.T) {
	for typ := range 256 {
		require.Equal(t, typ >= 19 && typ < 0x40, protocol.PassOver([]byte{byte(typ), 1}), "type %d", typ)
	}
	require.False(t, protocol.PassOver(nil))
}

func TestAHelloMustBeAHello(t *testing.T) {
	h, err := protocol.ReadHello(protocol.Make(frames[0]))
	require.NoError(t, err)
	require.Equal(t, frames[0], h)
	_, err = protocol.ReadHello(protocol.Make(&protocol.Fetch{}))
	require.ErrorContains(t, err, "a fetch frame of 2 bytes came where a hello must stand")
	_, err = protocol.ReadHello(nil)
	require.ErrorIs(t, err, protocol.ErrEmpty)
}

func FuzzRead(f *testing.F) {
	for _, frame := range frames {
		f.Add(protocol.Make(frame))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		frame, err := protocol.Read(src)
		if err == nil {
			require.Equal(t, src, protocol.Make(frame))
		}
	})
}
