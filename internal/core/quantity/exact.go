package quantity

// Exact is a temperature as it was read, with nothing rounded: whole numbers of a nine thousand millionth of a degree
// Celsius, which is a five thousand millionth of a degree Fahrenheit. Every reading of up to nine decimals in either
// unit is whole in it, so that a reading of 135 °F is at 135 °F and one of 57.222 °C is below. Zero is 0 °C.
type Exact int64

// Degrees of the two scales in Exact.
const (
	PerCelsius    Exact = 9_000_000_000
	PerFahrenheit Exact = 5_000_000_000
)

// Fahrenheit returns tenths of a degree Fahrenheit exactly.
func Fahrenheit(tenths int64) Exact { return Exact(tenths-320) * (PerFahrenheit / 10) }

// ReadExact returns a temperature written as a plain decimal in the unit that the UCUM code names, Cel or [degF].
func ReadExact(number, code string) (Exact, error) {
	s := find(scales[:], code)
	if s == nil {
		return 0, ErrUnit
	}
	if s.base != MilliC {
		return 0, ErrKind
	}
	d, err := parseDecimal(number)
	if err != nil {
		return 0, err
	}
	if d.mantissa > exactMost*pow10(d.places) {
		return 0, ErrLarge
	}
	per := PerCelsius
	if s.den == 9 {
		per = PerFahrenheit
	}
	d = d.shift(s.offset)
	n := int64(d.mantissa) * int64(uint64(per)/pow10(d.places))
	if d.negative {
		n = -n
	}
	return Exact(n), nil
}

// exactMost is the most degrees that a thermometer is believed to have read.
const exactMost = 1_000_000

// Kept returns what thousandths of a degree Celsius stand for. The nearest of them to a tenth of a degree Fahrenheit was
// typed as that tenth, since nobody types thousandths, and is taken for it.
func Kept(mC int64) Exact {
	if mC < -exactMost*1000 || mC > exactMost*1000 {
		mC = max(min(mC, exactMost*1000), -exactMost*1000)
	}
	tenths := divide(mC, 18, 1000, HalfEven)
	if divide(tenths, 500, 9, HalfEven) == mC {
		return Exact(tenths) * (PerFahrenheit / 10)
	}
	return Exact(mC) * (PerCelsius / 1000)
}

// MilliC returns the temperature in thousandths of a degree Celsius, rounded once, to the nearest.
func (e Exact) MilliC() int64 { return divide(int64(e), 1, uint64(PerCelsius/1000), HalfEven) }
