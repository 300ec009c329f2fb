// Package physics computes what water, heat and brine do, for probe checks, cook times and tubs.
//
// What it returns are estimates in fixed point, and the integers that they round to; what is decided compares integers.
package physics

import "brinebell/internal/core/fixed"

// Sources as the screens name them. The figures stand in testdata/published.
const (
	SourceAtmosphere = "ICAO Doc 7488"
	SourceWater      = "IAPWS-IF97"
	SourceProbe      = "FDA Food Code 4-203.11"
)

// Altitudes, in millimetres, at which somebody cooks; the formula of the air holds up to 11 km.
const (
	LowestAltitude  = -500_000
	HighestAltitude = 11_000_000
)

// AirPressure returns the pressure of the standard atmosphere at an altitude in millimetres, in pascals:
// p0 (1 - L h / T0)^(g0 / (R L)). Source: ICAO Doc 7488, constants from memory (isa-formula.csv).
func AirPressure(altitude int64) fixed.Num {
	altitude = min(max(altitude, LowestAltitude), HighestAltitude)
	cooler := fixed.FromRatio(altitude*65, 288_150_000*10) // L h / T0: 6.5 K in each km of 288.15 K
	exponent := fixed.FromRatio(9_806_650_000, 1_865_843_655)
	return fixed.Mul(fixed.FromInt(101_325), fixed.Pow(fixed.One-cooler, exponent))
}

// Pascals is AirPressure in whole pascals.
func Pascals(altitude int64) int64 { return fixed.Round(AirPressure(altitude), 1) }

// region4 holds the ten coefficients of IAPWS-IF97, region 4, as mantissa and decimals (if97-region4-coefficients.csv).
var region4 = [...][2]int64{
	{11670521452767, 1e10}, {-72421316703206, 1e8}, {-17073846940092, 1e12}, {12020824702470, 1e9},
	{-32325550322333, 1e7}, {14915108613530, 1e12}, {-48232657361591, 1e10}, {40511340542057, 1e8},
	{-23855557567849, 1e14}, {65017534844798, 1e11},
}

// n returns coefficient i of region 4, counted from 1.
func n(i int) fixed.Num { return fixed.FromRatio(region4[i-1][0], region4[i-1][1]) }

// megapascal is the fourth root of the pascals in the megapascal, in which region 4 is written.
func megapascal() fixed.Num { return fixed.FromRatio(316_227_766_016_838, 1e13) }

// quadratic returns a x^2 + b x + c.
func quadratic(a, b, c, x fixed.Num) fixed.Num {
	return fixed.Mul(fixed.Mul(a, x)+b, x) + c
}

// Boiling returns the temperature at which water boils under a pressure in pascals, in kelvins: IAPWS-IF97, equation 31.
// It holds from 611.213 Pa to 22.064 MPa, and answers for the nearer end outside.
func Boiling(pressure fixed.Num) fixed.Num {
	pressure = min(max(pressure, fixed.FromRatio(611_213, 1000)), fixed.FromInt(22_064_000))
	beta := fixed.Div(fixed.Sqrt(fixed.Sqrt(pressure)), megapascal())
	e := quadratic(fixed.One, n(3), n(6), beta)
	f := quadratic(n(1), n(4), n(7), beta)
	g := quadratic(n(2), n(5), n(8), beta)
	d := fixed.Div(2*g, -f-fixed.Sqrt(fixed.Mul(f, f)-4*fixed.Mul(e, g)))
	sum, apart := n(10)+d, n(10)-d
	return (sum - fixed.Sqrt(fixed.Mul(apart, apart)-4*n(9))) / 2 // (n10+D)^2 - 4(n9 + n10 D), without the large terms
}

// Saturation returns the pressure at which water boils at a temperature in kelvins, in pascals: IAPWS-IF97, equation 30.
func Saturation(kelvin fixed.Num) fixed.Num {
	theta := kelvin + fixed.Div(n(9), kelvin-n(10))
	thousand := fixed.FromInt(1000) // keeps the squares within the numbers that there are
	a := fixed.Div(quadratic(fixed.One, n(1), n(2), theta), thousand)
	b := fixed.Div(quadratic(n(3), n(4), n(5), theta), thousand)
	c := fixed.Div(quadratic(n(6), n(7), n(8), theta), thousand)
	x := fixed.Div(fixed.Mul(2*c, megapascal()), fixed.Sqrt(fixed.Mul(b, b)-4*fixed.Mul(a, c))-b)
	x = fixed.Mul(x, x)
	return fixed.Mul(x, x)
}

// milliC returns kelvins as whole thousandths of a degree Celsius.
func milliC(kelvin fixed.Num) int64 { return fixed.Round(kelvin, 1000) - 273_150 }

// BoilingPoint returns the temperature in thousandths of a degree Celsius at which water boils in a kitchen at an
// altitude in millimetres, on a day of the standard atmosphere.
func BoilingPoint(altitude int64) int64 { return milliC(Boiling(AirPressure(altitude))) }

// ProbePoint is BoilingPoint to the hundredth of a degree, as it is shown and as a probe is held against it.
func ProbePoint(altitude int64) int64 { return (BoilingPoint(altitude) + 5) / 10 * 10 }

// SteamPoint is BoilingPoint under a gauge pressure in pascals: in a closed fryer.
func SteamPoint(altitude, gauge int64) int64 {
	return milliC(Boiling(AirPressure(altitude) + fixed.FromInt(gauge)))
}
