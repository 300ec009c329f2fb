package procedure

import "math/bits"

// Tubs returns how many tubs grams of product need: the fewest that hold it.
func (m *MixRule) Tubs(grams int64) int64 {
	if grams <= 0 || m.TubMost <= 0 {
		return 0
	}
	return (grams + m.TubMost - 1) / m.TubMost
}

// Share returns the grams that go into tub i (from 0) of n: equal, the first ones a gram more where it does not divide.
func Share(grams, n, i int64) int64 {
	if n <= 0 {
		return 0
	}
	share := grams / n
	if i < grams%n {
		share++
	}
	return share
}

// Water returns the millilitres of water for grams of product, rounded up: the rule says how much product at most.
func (m *MixRule) Water(grams int64) int64 {
	if grams <= 0 || m.MeatMilligrams <= 0 {
		return 0
	}
	return muldiv(grams, 1000000, m.MeatMilligrams, m.MeatMilligrams-1)
}

// Concentrate returns the millilitres of concentrate for millilitres of water, to the nearest.
func (m *MixRule) Concentrate(water int64) int64 {
	if water <= 0 || m.ConcentrateMicrolitres <= 0 {
		return 0
	}
	return muldiv(water, m.ConcentrateMicrolitres, 1000000, 500000)
}

// productGramsPerLitre is the density of raw chicken meat, rounded down, so that it takes no less room than here.
// Source: testdata/published/density.csv.
const productGramsPerLitre = 1030

// Room returns the millilitres that a tub with grams of product, its water and its concentrate takes up.
func (m *MixRule) Room(grams int64) int64 {
	water := m.Water(grams)
	return muldiv(max(grams, 0), 1000, productGramsPerLitre, productGramsPerLitre-1) + water + m.Concentrate(water)
}

// muldiv returns (a*b + add) / c, none of them negative, without overflow in between; what does not fit becomes the
// largest number that does.
func muldiv(a, b, c, add int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	lo, carry := bits.Add64(lo, uint64(add), 0)
	if hi += carry; hi >= uint64(c) {
		return 1<<63 - 1
	}
	q, _ := bits.Div64(hi, lo, uint64(c))
	return int64(min(q, 1<<63-1))
}
