package quantity

import "strconv"

// Style says how amounts are printed.
type Style struct {
	Lang      string // BCP 47: en or es (decimal comma)
	Customary bool   // degrees Fahrenheit, pounds, US gallons and fluid ounces
}

// Print returns a value in base units as people read it, number and unit joined by a no-break space: "13.8 kg",
// "552 g", "9.2 L", "77.6 °C", "171.7 °F", "12 min"; pieces are a bare number. Masses from 1 kg and volumes from 1 L
// have one decimal, a tie going to the even neighbour; temperatures keep hundredths where they were typed.
func Print(value int64, unit Unit, s Style) string {
	return string(appendPrint(nil, value, unit, s, false))
}

// PrintExact is Print with all the digits there are and no zeros behind them: "48 kg", "1.25 L", "75 °C".
func PrintExact(value int64, unit Unit, s Style) string {
	return string(appendPrint(nil, value, unit, s, true))
}

// PrintLeast is Print for a least amount: what has to be rounded is rounded up, so that no limit looks wider.
func PrintLeast(value int64, unit Unit, s Style) string { return printLimit(value, unit, s, Up) }

// PrintMost is Print for a greatest amount: what has to be rounded is rounded down.
func PrintMost(value int64, unit Unit, s Style) string { return printLimit(value, unit, s, Down) }

func printLimit(value int64, unit Unit, s Style, r Rounding) string {
	if unit == MilliC {
		return string(appendTemperature(nil, value, s, false, r))
	}
	if s.Customary {
		return string(appendCustomary(nil, value, unit, s, r))
	}
	return PrintExact(value, unit, s)
}

// PrintDifference is Print for the length between two temperatures, where 32 °F is not 0 °C: 5 °C are 9 °F.
func PrintDifference(value int64, unit Unit, s Style) string {
	if unit == MilliC {
		return string(appendTemperature(nil, value, s, true, HalfEven))
	}
	return Print(value, unit, s)
}

// PrintApart is PrintDifference of two temperatures, in mC, rounded to the side that the caller names: what is missing is
// rounded up, so that it never looks like nothing, and what is left is rounded down.
func PrintApart(mC int64, s Style, r Rounding) string {
	return string(appendTemperature(nil, mC, s, true, r))
}

func appendPrint(dst []byte, value int64, unit Unit, s Style, exact bool) []byte {
	switch {
	case unit == Milli:
		return append(dst, Length(value)...)
	case unit == MilliC && exact && !s.Customary:
		return append(appendFixed(dst, value, 3, 0, s.point()), nbsp+"°C"...)
	case unit == MilliC:
		return appendTemperature(dst, value, s, false, HalfEven)
	case s.Customary && (unit == Gram || unit == Millilitre):
		return appendCustomary(dst, value, unit, s, HalfEven)
	case unit == MilliPercent:
		return append(appendFixed(dst, value, 3, 1, s.point()), nbsp+"%"...)
	case unit == Milligram:
		return append(appendFixed(dst, divide(value, 1, 100, HalfEven), 1, 1, s.point()), nbsp+"g"...)
	case unit == Gram:
		return appendMetric(dst, value, "g", "kg", s, exact)
	case unit == Millilitre:
		return appendMetric(dst, value, "mL", "L", s, exact)
	}
	return strconv.AppendInt(dst, value, 10)
}

func (s Style) point() byte {
	if s.Lang == "es" {
		return ','
	}
	return '.'
}

func appendMetric(dst []byte, value int64, small, large string, s Style, exact bool) []byte {
	switch {
	case value > -1000 && value < 1000:
		dst = append(strconv.AppendInt(dst, value, 10), nbsp...)
		return append(dst, small...)
	case exact:
		dst = appendFixed(dst, value, 3, 0, s.point())
	default:
		dst = appendFixed(dst, divide(value, 1, 100, HalfEven), 1, 1, s.point())
	}
	return append(append(dst, nbsp...), large...)
}

func appendTemperature(dst []byte, mC int64, s Style, difference bool, r Rounding) []byte {
	if s.Customary {
		twice := 2 * mC // a limit of tenths of °F stands within half a thousandth of °C, and must come back as it was
		switch r {
		case Up:
			twice--
		case Down:
			twice++
		}
		tenths := divide(twice, 9, 1000, r)
		if !difference {
			tenths += 320
		}
		return append(appendFixed(dst, tenths, 1, 1, s.point()), nbsp+"°F"...)
	}
	if mC%10 == 0 { // typed: nobody types thousandths, they come from conversion
		return append(appendFixed(dst, mC/10, 2, 1, s.point()), nbsp+"°C"...)
	}
	return append(appendFixed(dst, divide(mC, 1, 100, r), 1, 1, s.point()), nbsp+"°C"...)
}

// appendCustomary prints grams as ounces below a pound, else pounds; millilitres as fluid ounces below a gallon.
func appendCustomary(dst []byte, value int64, unit Unit, s Style, r Rounding) []byte {
	code, name := "[lb_av]", "lb"
	switch {
	case unit == Gram && value > -454 && value < 454:
		code, name = "[oz_av]", "oz"
	case unit == Millilitre && value > -3785 && value < 3785:
		code, name = "[foz_us]", "fl"+nbsp+"oz"
	case unit == Millilitre:
		code, name = "[gal_us]", "gal"
	case unit != Gram:
		return appendPrint(dst, value, unit, Style{Lang: s.Lang}, true)
	}
	k := find(scales[:], code)
	tenths := divide(value, 10*k.den, k.num, r)
	return append(appendFixed(dst, tenths, 1, 1, s.point()), nbsp+name...)
}

// divide returns value * num / den, rounded once; all that is printed here fits easily.
func divide(value int64, num, den uint64, r Rounding) int64 {
	n, err := signed(value).times(num, den, r)
	if err != nil {
		return valueMax
	}
	return n
}

// appendFixed appends value / 10^places, with at least keep decimals.
func appendFixed(dst []byte, value int64, places, keep int, point byte) []byte {
	if value < 0 {
		dst, value = append(dst, '-'), -value
	}
	for places > keep && value%10 == 0 {
		value, places = value/10, places-1
	}
	p := int64(pow10(places))
	dst = strconv.AppendInt(dst, value/p, 10)
	if places == 0 {
		return dst
	}
	dst = append(dst, point)
	for p /= 10; p > 0; p /= 10 {
		dst = append(dst, byte('0'+value/p%10))
	}
	return dst
}

// Length returns a length of time as the screen shows it: below 10 min "9:59", below 1 h "12 min", else "2 h 41" or
// "7 h". What is less than the last figure is dropped.
func Length(ms int64) string {
	sign := ""
	if ms < 0 {
		sign, ms = "-", -ms
	}
	s := ms / 1000
	switch m := s / 60; {
	case m < 10:
		return sign + strconv.FormatInt(m, 10) + ":" + two(s%60)
	case m < 60:
		return sign + strconv.FormatInt(m, 10) + nbsp + "min"
	case m%60 == 0:
		return sign + strconv.FormatInt(m/60, 10) + nbsp + "h"
	default:
		return sign + strconv.FormatInt(m/60, 10) + nbsp + "h" + nbsp + two(m%60)
	}
}

// LengthExact returns a length of time with nothing dropped, as limits are written: "7 h", "1 h 45 min", "40 min",
// "30 s", "10 min 30 s". Lengths are whole seconds; what is less is dropped.
func LengthExact(ms int64) string {
	s := ms / 1000
	out := ""
	for _, p := range []struct {
		secs int64
		name string
	}{{3600, "h"}, {60, "min"}, {1, "s"}} {
		if n := s / p.secs; n > 0 || p.secs == 1 && out == "" {
			if out != "" {
				out += nbsp
			}
			out += strconv.FormatInt(n, 10) + nbsp + p.name
			s %= p.secs
		}
	}
	return out
}

func two(n int64) string {
	if n < 10 {
		return "0" + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}
