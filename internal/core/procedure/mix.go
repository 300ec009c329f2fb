package procedure

import (
	"math/bits"

	"brinebell/internal/core/physics"
)

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

// Room returns the millilitres that a tub with grams of product, its water and its concentrate takes up.
func (m *MixRule) Room(grams int64) int64 {
	return muldiv(max(grams, 0), 1000, physics.MeatGravity, physics.MeatGravity-1) + m.Liquid(grams)
}

// Liquid returns the millilitres of water and concentrate for grams of product.
func (m *MixRule) Liquid(grams int64) int64 {
	water := m.Water(grams)
	return water + m.Concentrate(water)
}

// Fits returns the most grams of product that a tub of so many millilitres takes with water and concentrate.
func (m *MixRule) Fits(holds int64) int64 {
	least, most := int64(0), min(max(holds, 0), 1<<30)*2 // nothing is twice as dense as water
	for least < most {
		if middle := (least + most + 1) / 2; m.Room(middle) <= holds {
			least = middle
		} else {
			most = middle - 1
		}
	}
	return least
}

// Bare returns by how many millilitres the liquid for grams of product is too little to cover them where they lie
// loosely: what does not fill the gaps between the pieces.
func (m *MixRule) Bare(grams int64) int64 { return max(physics.Submerged(grams)-m.Liquid(grams), 0) }

// Brine returns how strong the mix is; ok is false where the rule does not say how much salt is in it.
func (m *MixRule) Brine() (b physics.Brine, ok bool) {
	if m.SaltMilligrams <= 0 || m.ConcentrateMicrolitres <= 0 {
		return b, false
	}
	return physics.BrineOf(muldiv(m.SaltMilligrams, m.ConcentrateMicrolitres, 1_000_000+m.ConcentrateMicrolitres, 0))
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
