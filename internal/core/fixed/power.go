package fixed

import "math/bits"

// Logarithms and powers work inside with 57 fraction bits, so that a power of a logarithm keeps its precision.
const (
	fine  = 57
	ln2   = 99893036290645747  // ln 2 * 2^57
	ln10  = 331837483737498977 // ln 10 * 2^57
	log10 = 62588430939793522  // 2^57 / ln 10
	unit  = uint64(1) << 62    // 1 with 62 fraction bits
)

// Exp returns e to the power of x: 0 far below, Max from x = 21.49 on.
func Exp(x Num) Num { return expFine(int64(signedShift(x))) }

// Ln returns the natural logarithm; of 0 and less Min.
func Ln(x Num) Num {
	if x <= 0 {
		return Min
	}
	return coarse(lnFine(x))
}

// Log10 returns the decimal logarithm; of 0 and less Min.
func Log10(x Num) Num {
	if x <= 0 {
		return Min
	}
	return coarse(mulFine(lnFine(x), log10, fine))
}

// Pow10 returns 10 to the power of x.
func Pow10(x Num) Num { return expFine(mulFine(int64(x), ln10, 32)) }

// Pow returns x to the power of y; for x of 0 and less it is 0.
func Pow(x, y Num) Num {
	if x <= 0 {
		return 0
	}
	return expFine(mulFine(int64(y), lnFine(x), 32))
}

// signedShift takes a Num to 57 fraction bits. Beyond 32 the exponential is 0 or Max anyway.
func signedShift(x Num) Num { return max(min(x, 32*One-1), 1-32*One) << (fine - 32) }

// mulFine multiplies and drops so many bits.
func mulFine(a, b int64, drop uint) int64 {
	hi, lo := bits.Mul64(size(a), size(b))
	return int64(narrow(hi, lo, drop, a < 0 != (b < 0)))
}

// coarse takes 57 fraction bits to 32.
func coarse(x int64) Num { return narrow(0, size(x), fine-32, x < 0) }

// lnFine is the logarithm of x > 0 with 57 fraction bits: powers of two out, then 2 artanh((m-1)/(m+1)) for m in 1 to 2.
func lnFine(x Num) int64 {
	n := bits.Len64(uint64(x))
	m := uint64(x) << (63 - n) // 1 to 2, with 62 fraction bits
	s, _ := bits.Div64((m-unit)>>2, (m-unit)<<62, m+unit)
	square := mul62(s, s)
	sum, term := uint64(0), s
	for k := uint64(1); term > 0; k += 2 {
		sum += term / k
		term = mul62(term, square)
	}
	return int64(sum>>(62-fine-1)) + int64(n-33)*ln2
}

// expFine is the exponential of x with 57 fraction bits: powers of two out, then the series in the rest below ln 2.
func expFine(x int64) Num {
	power := x / ln2
	if x%ln2 < 0 {
		power--
	}
	if power >= 31 {
		return Max
	}
	if power < -34 {
		return 0
	}
	rest := uint64(x-power*ln2) << (62 - fine)
	sum := unit
	for k := uint64(20); k > 0; k-- {
		sum = unit + mul62(sum, rest)/k
	}
	drop := uint(30 - power)
	if drop == 0 {
		return signed(sum, false)
	}
	if drop > 63 {
		return 0
	}
	return narrow(0, sum, drop, false)
}

func mul62(a, b uint64) uint64 {
	hi, lo := bits.Mul64(a, b)
	return hi<<2 | lo>>62
}
