package quantity

import (
	"errors"
	"math/bits"
	"strings"
)

// Errors of conversion.
var (
	ErrNumber = errors.New("quantity: not a plain decimal number")
	ErrUnit   = errors.New("quantity: not a unit that is known here")
	ErrKind   = errors.New("quantity: a unit of another kind")
	ErrLarge  = errors.New("quantity: the number is too large")
)

// decimal is a written number: mantissa / 10^places, negative or not.
type decimal struct {
	mantissa uint64
	places   int
	negative bool
}

// parseDecimal reads an optional minus, digits, and optionally a point and digits: no exponent, no sign "+", at most
// 15 digits in all and 9 after the point.
func parseDecimal(s string) (decimal, error) {
	var d decimal
	if strings.HasPrefix(s, "-") {
		d.negative, s = true, s[1:]
	}
	whole, fraction, point := strings.Cut(s, ".")
	if whole == "" || point && fraction == "" {
		return d, ErrNumber
	}
	for _, b := range []byte(whole + fraction) {
		if b < '0' || b > '9' {
			return d, ErrNumber
		}
		if d.mantissa = d.mantissa*10 + uint64(b-'0'); d.mantissa >= mantissaMax {
			return d, ErrLarge
		}
	}
	if d.places = len(fraction); d.places > 9 {
		return d, ErrNumber
	}
	return d, nil
}

func pow10(n int) uint64 {
	p := uint64(1)
	for range n {
		p *= 10
	}
	return p
}

// shift adds whole units to a decimal.
func (d decimal) shift(units int64) decimal {
	if units == 0 {
		return d
	}
	v := int64(d.mantissa)
	if d.negative {
		v = -v
	}
	v += units * int64(pow10(d.places))
	if d.negative = v < 0; d.negative {
		v = -v
	}
	d.mantissa = uint64(v)
	return d
}

// times returns d * num / den as a whole number, rounded once.
func (d decimal) times(num, den uint64, r Rounding) (int64, error) {
	scale := pow10(d.places)
	for _, p := range []*uint64{&d.mantissa, &num} { // shorten first, so that the products fit
		for _, q := range []*uint64{&scale, &den} {
			if g := gcd(*p, *q); g > 1 {
				*p, *q = *p/g, *q/g
			}
		}
	}
	over, below := bits.Mul64(scale, den)
	hi, lo := bits.Mul64(d.mantissa, num)
	if over != 0 || hi >= below {
		return 0, ErrLarge
	}
	q, rest := bits.Div64(hi, lo, below)
	if q > valueMax {
		return 0, ErrLarge
	}
	if rest > 0 && roundsAway(q, rest, below, r, d.negative) {
		q++
	}
	if d.negative {
		return -int64(q), nil
	}
	return int64(q), nil
}

// roundsAway tells whether q and a rest become q+1 in size.
func roundsAway(q, rest, den uint64, r Rounding, negative bool) bool {
	switch r {
	case Up:
		return !negative
	case Down:
		return negative
	}
	twice := den - rest // rest > half exactly when rest > den - rest
	return rest > twice || rest == twice && q&1 == 1
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Convert returns number, a plain decimal text in the unit that the UCUM code names, as a whole number of base units.
func Convert(number, code string, base Unit, r Rounding) (int64, error) {
	return convert(scales[:], number, code, base, r)
}

func convert(known []scale, number, code string, base Unit, r Rounding) (int64, error) {
	d, err := parseDecimal(number)
	if err != nil {
		return 0, err
	}
	if top, bottom, ok := strings.Cut(code, "/"); ok {
		return convertRatio(d, find(known, top), find(known, bottom), base, r)
	}
	s := find(known, code)
	switch {
	case s == nil:
		return 0, ErrUnit
	case s.base != base:
		return 0, ErrKind
	}
	return d.shift(s.offset).times(s.num, s.den, r)
}

// convertRatio converts so much per volume, such as kg/L or [foz_us]/[gal_us].
func convertRatio(d decimal, t, b *scale, base Unit, r Rounding) (int64, error) {
	if t == nil || b == nil {
		return 0, ErrUnit
	}
	want := Gram // to milligrams per litre: a thousandth of a gram per thousand millilitres
	if base == MicrolitrePerLitre {
		want = Millilitre
	} else if base != MilligramPerLitre {
		return 0, ErrKind
	}
	if t.base != want || b.base != Millilitre {
		return 0, ErrKind
	}
	num, den, ok := fraction([]uint64{t.num, b.den, 1000000}, []uint64{t.den, b.num})
	if !ok {
		return 0, ErrLarge
	}
	return d.times(num, den, r)
}

// fraction multiplies both lists after shortening them by each other, and tells whether the products fit.
func fraction(over, under []uint64) (num, den uint64, ok bool) {
	for i := range over {
		for j := range under {
			if g := gcd(over[i], under[j]); g > 1 {
				over[i], under[j] = over[i]/g, under[j]/g
			}
		}
	}
	num, den = 1, 1
	for _, f := range over {
		hi, lo := bits.Mul64(num, f)
		if num = lo; hi != 0 {
			return 0, 0, false
		}
	}
	for _, f := range under {
		hi, lo := bits.Mul64(den, f)
		if den = lo; hi != 0 {
			return 0, 0, false
		}
	}
	return num, den, true
}

// Written returns an amount written as a number, a space and a UCUM code ("75 Cel", "6 [foz_us]/[gal_us]") as a whole
// number of base units. It knows the codes that documents may use.
func Written(text string, base Unit, r Rounding) (int64, error) {
	number, code, ok := strings.Cut(text, " ")
	if !ok {
		return 0, ErrUnit
	}
	return convert(scales[:documented], number, code, base, r)
}

// In returns value, in base units, as a whole number of 10^-places of the unit that the UCUM code names, rounded once:
// 73_889 mC are 1650 tenths of a [degF]. It is Convert the other way round.
func In(value int64, code string, base Unit, places int, r Rounding) (int64, error) {
	s := find(scales[:], code)
	switch {
	case s == nil:
		return 0, ErrUnit
	case s.base != base:
		return 0, ErrKind
	case value < -valueMax || value > valueMax || places < 0 || places > 9:
		return 0, ErrLarge
	}
	num, den, ok := fraction([]uint64{s.den, pow10(places)}, []uint64{s.num})
	if !ok {
		return 0, ErrLarge
	}
	n, err := signed(value).times(num, den, r)
	if err != nil {
		return 0, err
	}
	return n - s.offset*int64(pow10(places)), nil
}

// signed is a whole number as a decimal.
func signed(value int64) decimal {
	if value < 0 {
		return decimal{mantissa: uint64(-value), negative: true}
	}
	return decimal{mantissa: uint64(value)}
}

// Typed returns what a cook typed, with point or comma, in a unit of the cook's choice, as a whole number of base
// units, to the nearest.
func Typed(text, code string, base Unit) (int64, error) {
	text = strings.TrimSpace(text)
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	text = strings.TrimSuffix(text, ".") // "75." while typing
	return Convert(text, code, base, HalfEven)
}
