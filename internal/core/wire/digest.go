package wire

import (
	"hash/fnv"
	"math/bits"
)

// Digest takes eight bytes at a time into two lanes, multiplies each by an odd number and folds its upper half into its
// lower. Every step can be undone, so that one difference is never lost on the way: it finds mistakes, not malice. Two
// builds that reckon it differently have different fingerprints, and do not compare.
func Digest(b []byte) [16]byte {
	x, y := 0xcbf29ce484222325+uint64(len(b)), uint64(len(b))
	take := func(w uint64) {
		x = (x ^ w) * 0x9e3779b97f4a7c15
		y = (y ^ bits.RotateLeft64(w, 32)) * 0xc2b2ae3d27d4eb4f
		x, y = x^x>>32, y^y>>29
	}
	for ; len(b) >= 8; b = b[8:] {
		take(uint64(b[0]) | uint64(b[1])<<8 | uint64(b[2])<<16 | uint64(b[3])<<24 |
			uint64(b[4])<<32 | uint64(b[5])<<40 | uint64(b[6])<<48 | uint64(b[7])<<56)
	}
	for _, c := range b {
		take(uint64(c))
	}
	var out [16]byte
	copy(out[:8], Fixed64(x))
	copy(out[8:], Fixed64(y))
	return out
}

// Sum is FNV-1a of a text in 32 bits: a short name for it, where a clash does little harm.
func Sum(s string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(s))
	return h.Sum32()
}
