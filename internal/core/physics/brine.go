package physics

import "brinebell/internal/core/fixed"

// Saturated is the salt in saturated brine at 60 degrees Fahrenheit, which is 100 degrees of the salometer, in millionths
// of the brine's mass. Source: "The Salometer and how to use it" (salometer-facts.csv).
const Saturated = 263_950

// gravity is the specific gravity of brine at 60 degrees Fahrenheit at every ten degrees of the salometer, in thousandths.
// Source: salometer-table.csv, from memory.
var gravity = [...]int64{1000, 1019, 1038, 1058, 1078, 1098, 1118, 1139, 1160, 1182, 1204}

// waterGravity is the density of water at 60 degrees Fahrenheit in milligrams per millilitre, as that table has it.
const waterGravity = 999_030

// Brine is how strong a brine is.
type Brine struct {
	Salt    int64 // millionths of its mass
	Degrees int64 // thousandths of a degree of the salometer
	Gravity int64 // millionths of the weight of as much water, at 60 degrees Fahrenheit
}

// Salometer returns thousandths of a degree of the salometer for millionths of salt: percent over percent of saturated
// brine, times 100.
func Salometer(salt int64) int64 { return (salt*200_000 + Saturated) / (2 * Saturated) }

// BrineOf returns the brine that has so many milligrams of salt in a litre; ok is false when so much does not dissolve.
// Between the rows of the table its specific gravity goes straight.
func BrineOf(milligrams int64) (b Brine, ok bool) {
	milligrams = max(milligrams, 0)
	below := int64(0)
	for i := range gravity[1:] {
		above := Saturated * int64(i+1) / 10 * gravity[i+1] * waterGravity / 1_000_000_000 // salt by mass, times the mass of a litre
		if milligrams <= above {
			part := fixed.FromRatio(milligrams-below, above-below)
			b.Gravity = gravity[i]*1000 + fixed.Round(part, (gravity[i+1]-gravity[i])*1000)
			b.Salt = fixed.Round(fixed.FromRatio(milligrams*1000, b.Gravity*waterGravity/1_000_000), 1000)
			b.Degrees = Salometer(b.Salt)
			return b, true
		}
		below = above
	}
	return b, false
}

// MeatGravity is the density of raw chicken, rounded down, in grams per litre, so that it takes no less room than here and
// floats no later: a whole broiler with its skin at 4 degrees Celsius has 1037.5. Source: density.csv, computed.
const MeatGravity = 1030

// Floats tells whether raw chicken rises in the brine, so that something must hold it down.
func (b Brine) Floats() bool { return b.Gravity*waterGravity > MeatGravity*1_000_000_000 }

// Packed is how many hundredths of the room that pieces take up is pieces; the rest lies between them. Source: random
// close packing of spheres, 64 in 100, from memory; soft pieces lie closer.
const Packed = 64

// Submerged returns how many millilitres of liquid cover grams of product lying loosely: what fills the gaps between the
// pieces.
func Submerged(grams int64) int64 {
	return fixed.Round(fixed.FromRatio(max(grams, 0)*(100-Packed), MeatGravity*Packed), 1000)
}

// Gain returns by how many hundredths of a percent something has become heavier than it was: the pick-up of a marinade,
// (marinated - green) / green; less than 0 where it became lighter. Same basis as 9 CFR 381.117(h) (chicken-yields.csv).
func Gain(was, is int64) int64 {
	if was <= 0 {
		return 0
	}
	return fixed.Round(fixed.FromRatio(is-was, was), 10_000)
}

// PickUpLeast and PickUpMost are between what a marinade usually adds to raw chicken parts, in hundredths of a percent of
// their green weight. Source: chicken-yields.csv, from memory.
const (
	PickUpLeast = 500
	PickUpMost  = 2000
)
