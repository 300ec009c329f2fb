package wire_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/wire"
)

// part and whole use every walk there is.
type part struct {
	N int64
	S string
}

func (p *part) Fields(c *wire.Coder) {
	wire.Int(c, "n", &p.N)
	wire.Str(c, "s", &p.S)
}

type whole struct {
	I     int32
	U     uint16
	S     string
	B     []byte
	F     [4]byte
	T     bool
	Parts []part
	Words []string
	One   part
	More  []part
}

func (w *whole) Fields(c *wire.Coder) {
	wire.Int(c, "i", &w.I)
	wire.Uint(c, "u", &w.U)
	wire.Str(c, "s", &w.S)
	c.Bytes("b", &w.B)
	c.Fixed("f", w.F[:])
	c.Bool("t", &w.T)
	wire.List(c, "parts", &w.Parts, wire.Framed[part])
	wire.List(c, "words", &w.Words, wire.Word[string])
	wire.Nest(c, "one", &w.One)
	wire.List(c, "more", &w.More, wire.Struct[part])
}

func drawPart(t *rapid.T) part {
	return part{rapid.Int64().Draw(t, "n"), rapid.String().Draw(t, "s")}
}

func draw(t *rapid.T) whole {
	w := whole{I: rapid.Int32().Draw(t, "i"), U: rapid.Uint16().Draw(t, "u"), S: rapid.String().Draw(t, "s"),
		F: [4]byte(rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "f")), T: rapid.Bool().Draw(t, "t"), One: drawPart(t)}
	if b := rapid.SliceOf(rapid.Byte()).Draw(t, "b"); len(b) > 0 {
		w.B = b
	}
	for range rapid.IntRange(0, 3).Draw(t, "parts") {
		w.Parts, w.More = append(w.Parts, drawPart(t)), append(w.More, drawPart(t))
		w.Words = append(w.Words, rapid.String().Draw(t, "word"))
	}
	return w
}

func TestValuesComeBackFromBytesAndFromJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := draw(t)
		var fromBytes, fromJSON whole
		require.NoError(t, wire.Read(wire.Append(nil, &w), &fromBytes))
		require.Equal(t, w, fromBytes)
		v, err := jsontext.Read(wire.AppendJSON(nil, &w))
		require.NoError(t, err)
		require.NoError(t, wire.ReadJSON(&v, &fromJSON))
		require.Equal(t, w, fromJSON)
	})
}

// TestFieldsMayBeAdded: a reader that knows more or fewer fields than the writer still reads.
func TestFieldsMayBeAdded(t *testing.T) {
	w := whole{I: 5, U: 6, S: "x", More: []part{{1, "a"}}}
	full := wire.Append(nil, &w)
	var p part
	require.NoError(t, wire.Read(wire.Append(nil, &whole{I: 5}), &p), "what the reader does not know is ignored")
	var short whole
	require.NoError(t, wire.Read(full[:1], &short))
	require.Equal(t, whole{I: 5}, short)
}

func TestBytesThatEndWithinAField(t *testing.T) {
	var p part
	require.ErrorIs(t, wire.Read([]byte{0x80}, &p), wire.ErrShort)
	require.ErrorIs(t, wire.Read([]byte{2, 5, 'a'}, &p), wire.ErrShort)
	require.ErrorIs(t, wire.Read([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f}, &p), wire.ErrBad)
	var w whole
	require.ErrorIs(t, wire.Read([]byte{0xfe, 0xff, 0xff, 0xff, 0xff, 0x01}, &w), wire.ErrBad, "more than 32 bits")
}

func TestJSONOfAnotherKindIsRefused(t *testing.T) {
	for _, text := range []string{`{"i":"5"}`, `{"i":1.5}`, `{"i":3000000000}`, `{"u":-1}`, `{"s":5}`, `{"b":"0"}`, `{"f":"00"}`,
		`{"t":1}`, `{"parts":{}}`, `{"one":[]}`, `{"words":[5]}`, `[]`} {
		v, err := jsontext.Read([]byte(text))
		require.NoError(t, err)
		require.Error(t, wire.ReadJSON(&v, new(whole)), text)
	}
	v, err := jsontext.Read([]byte(`{"i":null,"parts":null,"one":null,"s":null,"t":null,"unknown":[1]}`))
	require.NoError(t, err)
	w := whole{I: 7}
	require.NoError(t, wire.ReadJSON(&v, &w))
	require.Equal(t, whole{I: 7}, w)
	require.ErrorIs(t, wire.ReadJSON(nil, &w), wire.ErrBad)
}

func TestHex(t *testing.T) {
	b, ok := wire.FromHex("00aAfF")
	require.True(t, ok)
	require.Equal(t, []byte{0, 0xaa, 0xff}, b)
	require.Equal(t, "00aaff", wire.Hex(b))
	for _, bad := range []string{"0", "0g", "zz", "é"} {
		_, ok := wire.FromHex(bad)
		require.False(t, ok, bad)
	}
}

func TestNumbersOfFixedWidth(t *testing.T) {
	require.Equal(t, []byte{1, 2, 0, 0, 0, 0, 0, 0x80}, wire.Fixed64(0x8000000000000201))
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Uint64().Draw(t, "n")
		require.Equal(t, n, wire.TakeFixed64(wire.Fixed64(n)))
		v, rest, err := wire.TakeUvarint(append(wire.AppendUvarint(nil, n), 9))
		require.NoError(t, err)
		require.Equal(t, n, v)
		require.Equal(t, []byte{9}, rest)
	})
	b, rest, err := wire.TakeBytes(append(wire.AppendBytes(nil, []byte("ab")), 'c'))
	require.NoError(t, err)
	require.Equal(t, "ab", string(b))
	require.Equal(t, "c", string(rest))
	_, _, err = wire.TakeBytes([]byte{9, 1})
	require.ErrorIs(t, err, wire.ErrShort)
}

func FuzzRead(f *testing.F) {
	f.Add(wire.Append(nil, &whole{I: -1, U: 2, S: "s", B: []byte{1}, Parts: []part{{1, "x"}}, Words: []string{"w"}, More: []part{{}}}))
	f.Fuzz(func(t *testing.T, src []byte) {
		var w, again whole
		if wire.Read(src, &w) == nil {
			require.NoError(t, wire.Read(wire.Append(nil, &w), &again))
			require.Equal(t, w, again)
		}
	})
}
