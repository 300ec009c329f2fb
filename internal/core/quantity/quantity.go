// Package quantity holds amounts as whole numbers in base units, converts written amounts to them exactly, and prints
// them in the cook's language.
//
// Base units: mC (thousandths of a degree Celsius), g (grams), mL (millilitres), ms (milliseconds) and 1 (pieces).
// Two more serve mixes: mg/L (milligrams of product per litre of water) and uL/L (microlitres per litre of water). Two
// serve the equipment: Pa (pascals, of a fryer's pressure) and mm (millimetres, of depth and altitude).
// Conversions multiply by the full factor and round once, at the end, in the direction that the caller names.
package quantity

// Unit is a base unit.
type Unit string

// Base units.
const (
	MilliC             Unit = "mC"
	Gram               Unit = "g"
	Millilitre         Unit = "mL"
	Milli              Unit = "ms"
	Piece              Unit = "1"
	MilligramPerLitre  Unit = "mg/L"
	MicrolitrePerLitre Unit = "uL/L"
	Pascal             Unit = "Pa"
	Millimetre         Unit = "mm"
	Milligram          Unit = "mg" // of a piece's mean weight
	MilliPercent       Unit = "m%" // thousandths of a per cent
)

const (
	nbsp        = "\u00a0"              // between a number and its unit
	mantissaMax = 1_000_000_000_000_000 // digits of a written number
	valueMax    = 1 << 50               // of anything in base units, so that sums fit
	lengthMax   = 400 * 24 * 3600 * 1000
)

// Known tells whether u is one of the base units that a step may ask for.
func (u Unit) Known() bool {
	switch u {
	case MilliC, Gram, Millilitre, Milli, Piece:
		return true
	}
	return false
}

// Rounding says what happens to what a unit cannot hold.
type Rounding uint8

// Roundings. What is written in documents and what cooks type is rounded alike, to the nearest, so that a reading equal
// to its limit meets it; where a limit is printed, a least is rounded up and a greatest down, so that it never looks
// wider than it is.
const (
	HalfEven Rounding = iota // to the nearest, a tie to the even neighbour
	Up                       // towards more
	Down                     // towards less
)

// scale says how a written unit becomes a base unit: base = (value + offset) * num / den.
type scale struct {
	code     string // UCUM, case sensitive
	base     Unit
	num, den uint64
	offset   int64 // whole units, taken before the factor: degrees Fahrenheit begin 32 above
}

// scales lists the codes of the Unified Code for Units of Measure that are known; documents may use the first of them.
// Customary factors are exact by definition (the pound is 0.45359237 kg, the US gallon 231 cubic inches, the inch 25.4 mm):
// testdata/published/unit-factors.csv. The psi is its definition as a fraction, 4.4482216152605 N on 0.0254 m squared.
var scales = [...]scale{
	{"Cel", MilliC, 1000, 1, 0},
	{"[degF]", MilliC, 5000, 9, -32},
	{"g", Gram, 1, 1, 0},
	{"kg", Gram, 1000, 1, 0},
	{"[lb_av]", Gram, 45359237, 100000, 0},
	{"[oz_av]", Gram, 28349523125, 1000000000, 0},
	{"mL", Millilitre, 1, 1, 0},
	{"L", Millilitre, 1000, 1, 0},
	{"[gal_us]", Millilitre, 3785411784, 1000000, 0},
	{"[foz_us]", Millilitre, 295735295625, 10000000000, 0},
	{"ms", Milli, 1, 1, 0},
	{"s", Milli, 1000, 1, 0},
	{"min", Milli, 60000, 1, 0},
	{"h", Milli, 3600000, 1, 0},
	{"1", Piece, 1, 1, 0},
	{"m", Millimetre, 1000, 1, 0}, // an altitude
	{"[ft_i]", Millimetre, 3048, 10, 0},
	{"%", MilliPercent, 1000, 1, 0},                // of fat
	{"[qt_us]", Millilitre, 946352946, 1000000, 0}, // from here on not in documents
	{"[pt_us]", Millilitre, 473176473, 1000000, 0},
	{"[cup_us]", Millilitre, 2365882365, 10000000, 0},
	{"[tbs_us]", Millilitre, 1478676478125, 100000000000, 0},
	{"[tsp_us]", Millilitre, 492892159375, 100000000000, 0},
	{"[cin_i]", Millilitre, 16387064, 1000000, 0},
	{"[gr]", Gram, 6479891, 100000000, 0},
	{"[ston_av]", Gram, 90718474, 100, 0},
	{"d", Milli, 86400000, 1, 0},
	{"mm", Millimetre, 1, 1, 0},
	{"cm", Millimetre, 10, 1, 0},
	{"[in_i]", Millimetre, 254, 10, 0},
	{"[yd_i]", Millimetre, 9144, 10, 0},
	{"Pa", Pascal, 1, 1, 0},
	{"kPa", Pascal, 1000, 1, 0},
	{"bar", Pascal, 100000, 1, 0},
	{"atm", Pascal, 101325, 1, 0},
	{"[psi]", Pascal, 44482216152605, 6451600000, 0},
}

// documented is how many of the scales documents may use: the published schema lists the same codes.
const documented = 18

// BaseOf returns the base unit of a UCUM code, or "" if documents may not use it for what is measured at a step.
func BaseOf(code string) Unit {
	if s := find(scales[:documented], code); s != nil && s.base.Known() {
		return s.base
	}
	return ""
}

func find(list []scale, code string) *scale {
	for i := range list {
		if list[i].code == code {
			return &list[i]
		}
	}
	return nil
}
