// Package fixed computes estimates in whole numbers: 31 bits before the point and 32 after it, the same on every machine.
//
// Decisions never rest on it: they compare integers. Every function rounds to the nearest and saturates at Max and Min
// instead of wrapping. Where the result fits, it is off by at most one part in 10^8 or two units in the last place
// (2^-31), whichever is more.
package fixed

import (
	"math/bits"
	"strconv"
)

// Num is a number with 32 fraction bits: from about -2.1e9 to 2.1e9 in steps of 2.3e-10.
type Num int64

// The ends and the unit.
const (
	One Num = 1 << 32
	Max Num = 1<<63 - 1
	Min Num = -Max // not -1<<63, so that every number has its opposite
)

// FromInt returns n as a Num.
func FromInt(n int64) Num { return ratio(n, 1) }

// FromRatio returns num/den. A den of 0 saturates by the sign of num; 0/0 is 0.
func FromRatio(num, den int64) Num { return ratio(num, den) }

func ratio(num, den int64) Num {
	hi, lo := bits.Mul64(size(num), 1<<32)
	return divide(hi, lo, size(den), num < 0 != (den < 0), num == 0)
}

// divide returns hi:lo / den, rounded and saturated.
func divide(hi, lo, den uint64, negative, zero bool) Num {
	if zero {
		return 0
	}
	if hi >= den {
		return signed(1<<63, negative)
	}
	q, rest := bits.Div64(hi, lo, den)
	if rest >= den-rest {
		q++
	}
	return signed(q, negative)
}

// Add returns a + b.
func Add(a, b Num) Num {
	sum := a + b
	switch {
	case a > 0 && b > 0 && sum < 0:
		return Max
	case a < 0 && b < 0 && sum >= 0 || sum < Min:
		return Min
	}
	return sum
}

// Mul returns a * b.
func Mul(a, b Num) Num {
	hi, lo := bits.Mul64(size(int64(a)), size(int64(b)))
	return narrow(hi, lo, 32, a < 0 != (b < 0))
}

// Div returns a / b; a b of 0 saturates by the sign of a, and 0/0 is 0.
func Div(a, b Num) Num { return ratio(int64(a), int64(b)) }

// Round returns a * scale as the nearest whole number, halves away from zero: Round(x, 1000) gives thousandths.
func Round(a Num, scale int64) int64 {
	hi, lo := bits.Mul64(size(int64(a)), size(scale))
	return int64(narrow(hi, lo, 32, a < 0 != (scale < 0)))
}

// Text writes a number with so many places after the point, at most 9.
func (a Num) Text(places int) string {
	scale := uint64(1)
	for range places {
		scale *= 10
	}
	whole, part := size(int64(a))>>32, size(int64(a))&(1<<32-1)
	hi, lo := bits.Mul64(part, scale)
	part = uint64(narrow(hi, lo, 32, false))
	whole, part = whole+part/scale, part%scale
	text := strconv.FormatUint(whole, 10)
	if places > 0 {
		digits := strconv.FormatUint(part+scale, 10)
		text += "." + digits[1:]
	}
	if a < 0 && whole+part > 0 {
		return "-" + text
	}
	return text
}

// Sqrt returns the square root; of a negative number 0.
func Sqrt(a Num) Num {
	if a <= 0 {
		return 0
	}
	return root(a, 32, func(r uint64) (hi, lo uint64) { return bits.Mul64(r, r) })
}

// Cbrt returns the cube root, with the sign of a.
func Cbrt(a Num) Num {
	if a < 0 {
		return -Cbrt(-a)
	}
	return root(a, 64, func(r uint64) (hi, lo uint64) {
		hi, lo = bits.Mul64(r, r)
		over, low := bits.Mul64(lo, r)
		return hi*r + over, low
	})
}

// root finds the largest r whose power is at most a shifted by so many bits: bit by bit, so it is exact.
func root(a Num, shift uint, power func(uint64) (hi, lo uint64)) Num {
	wantHi, wantLo := uint64(a)>>(64-shift), uint64(a)<<shift
	if shift == 64 {
		wantHi, wantLo = uint64(a), 0
	}
	var r uint64
	for bit := uint64(1) << 47; bit > 0; bit >>= 1 {
		if shift == 64 && bit > 1<<42 {
			continue // its cube would not fit
		}
		if hi, lo := power(r | bit); hi < wantHi || hi == wantHi && lo <= wantLo {
			r |= bit
		}
	}
	return Num(r)
}

func size(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}

func signed(n uint64, negative bool) Num {
	if n > uint64(Max) {
		n = uint64(Max)
	}
	if negative {
		return -Num(n)
	}
	return Num(n)
}

// narrow drops so many low bits of hi:lo (1 to 63), rounds and saturates.
func narrow(hi, lo uint64, drop uint, negative bool) Num {
	lo, carry := bits.Add64(lo, 1<<(drop-1), 0)
	if hi += carry; hi>>(drop-1) != 0 {
		return signed(1<<63, negative)
	}
	return signed(hi<<(64-drop)|lo>>drop, negative)
}
