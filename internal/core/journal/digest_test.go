package journal

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// TestDigestSeesEveryBit turns each bit of texts of many lengths, cuts them and lengthens them by zeros, and swaps words:
// no two give the same digest, nor the same half of one.
func TestDigestSeesEveryBit(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	halves := map[[9]byte][]byte{}
	see := func(text []byte) {
		d := wire.Digest(text)
		for lane := range 2 {
			half := [9]byte{byte(lane)}
			copy(half[1:], d[8*lane:])
			if old, ok := halves[half]; ok && !bytes.Equal(old, text) {
				t.Fatalf("%x and %x have the same half %d of their digests", old, text, lane)
			}
			halves[half] = bytes.Clone(text)
		}
	}
	for n := range 40 {
		text := make([]byte, n)
		for i := range text {
			text[i] = byte(r.Uint32())
		}
		see(text)
		see(append(bytes.Clone(text), 0))
		for bit := range 8 * n {
			text[bit/8] ^= 1 << (bit % 8)
			see(text)
			text[bit/8] ^= 1 << (bit % 8)
		}
		if n >= 16 {
			see(append(append(bytes.Clone(text[8:16]), text[:8]...), text[16:]...))
		}
	}
	see(make([]byte, 8))
	see(make([]byte, 16))
	require.Greater(t, len(halves), 12_000)
}

// TestTheHashIsThatOfTheState asks for the hash again and again while entries come, go and come late.
func TestTheHashIsThatOfTheState(t *testing.T) {
	var l Log
	same := func() {
		require.Equal(t, wire.Digest(l.Bytes()), l.Hash())
		require.Equal(t, wire.Digest(l.Bytes()), l.Hash(), "asked twice")
	}
	same()
	list := make([]entry.Entry, 200)
	for i := range list {
		at := stamp.Milli(1_795_582_800_000).Add(stamp.Span(i*7919%200) * stamp.Minute)
		list[i] = entry.New(entry.NewID(at, [10]byte{byte(i)}), stamp.Stamp{At: at, Device: "a"}, "bo", &entry.Reading{Place: "cold", MilliC: int64(i)})
		_, err := l.Add(Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
		require.NoError(t, err)
		if i%3 == 0 {
			same()
		}
		if i%11 == 10 {
			l.Remove(list[i-5].ID)
			same()
		}
	}
	require.NotNil(t, l.Advance(20, 40, 1<<62))
	same()
	_, err := l.Load(&Stored{Base: l.BaseBytes()})
	require.NoError(t, err)
	same()
}
