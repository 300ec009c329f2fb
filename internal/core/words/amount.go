package words

import (
	"strconv"
	"strings"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

func (l Lang) style() quantity.Style { return quantity.Style{Lang: string(l)} }

// Amount prints a value in a base unit: "13.8 kg", "77.6 °C", "14 pieces", "32 min".
func (l Lang) Amount(value int64, unit string) string {
	switch quantity.Unit(unit) {
	case quantity.Piece:
		return l.N("pieces", value)
	case quantity.Milli:
		return l.Length(stamp.Span(value))
	}
	return quantity.Print(value, quantity.Unit(unit), l.style())
}

// Exact prints a value with all its digits: "48 kg", "1.25 L".
func (l Lang) Exact(value int64, unit string) string {
	switch quantity.Unit(unit) {
	case quantity.Piece:
		return l.N("pieces", value)
	case quantity.Milli:
		return quantity.LengthExact(value)
	}
	return quantity.PrintExact(value, quantity.Unit(unit), l.style())
}

// Difference prints how far two values are apart.
func (l Lang) Difference(value int64, unit string) string {
	if quantity.Unit(unit) == quantity.MilliC {
		return quantity.PrintDifference(value, quantity.MilliC, l.style())
	}
	return l.Amount(value, unit)
}

// Weight prints grams, or pieces where there is no weight, or both.
func (l Lang) Weight(grams, pieces int64) string {
	switch {
	case grams > 0 && pieces > 0:
		return l.N("pieces", pieces) + ", " + l.Amount(grams, "g")
	case pieces > 0 || grams == 0:
		return l.N("pieces", pieces)
	}
	return l.Amount(grams, "g")
}

// farAway bounds lengths, which come from entries that anybody may have sent: about 2,700 years.
const farAway = 1_000_000 * stamp.Day

// Length prints a length in a sentence: "30 s", "3:10", "32 min", "2 h 41", "3 days".
func (l Lang) Length(s stamp.Span) string {
	s = min(max(s, -farAway), farAway)
	switch {
	case s < 0:
		return "-" + l.Length(-s)
	case s < stamp.Minute:
		return quantity.LengthExact(int64(s))
	case s < 10*stamp.Minute && s%stamp.Minute < stamp.Second:
		return strconv.FormatInt(int64(s/stamp.Minute), 10) + "\u00a0min"
	case s >= 2*stamp.Day:
		return l.N("days", int64(s/stamp.Day))
	}
	return quantity.Length(int64(s))
}

// Over prints by how much something is out: like Length, but never less than it is, and never nothing.
func (l Lang) Over(s stamp.Span) string {
	s = min(max(s, -farAway), farAway)
	step := stamp.Second
	if s >= 10*stamp.Minute {
		step = stamp.Minute
	}
	return l.Length(max((s+step-1)/step*step, step))
}

// Limit prints what a number may be: "at least 75.0 °C", "at most 48 kg", "34.0 to 36.0 °C"; "" where there is none.
func (l Lang) Limit(limit procedure.Limit, unit string) string {
	u, s := quantity.Unit(unit), l.style()
	least, most := "", ""
	if limit.Min != nil {
		least = l.end(*limit.Min, u, quantity.PrintLeast(*limit.Min, u, s))
	}
	if limit.Max != nil {
		most = l.end(*limit.Max, u, quantity.PrintMost(*limit.Max, u, s))
	}
	switch {
	case least != "" && most != "":
		if _, unit, ok := strings.Cut(most, "\u00a0"); ok {
			least = strings.TrimSuffix(least, "\u00a0"+unit)
		}
		return l.T("limit.between", "min", least, "max", most)
	case least != "":
		return l.T("limit.least", "min", least)
	case most != "":
		return l.T("limit.most", "max", most)
	}
	return ""
}

func (l Lang) end(value int64, u quantity.Unit, printed string) string {
	if u == quantity.Piece || u == quantity.Milli {
		return l.Exact(value, string(u))
	}
	return printed
}

// Unit returns the unit that a pad shows for a base unit, how many base units it is, and whether only whole numbers
// make sense: °C is 1000 mC.
func (l Lang) Unit(unit string) (name string, scale int64, whole bool) {
	switch quantity.Unit(unit) {
	case quantity.MilliC:
		return "°C", 1000, false
	case quantity.Gram:
		return "kg", 1000, false
	case quantity.Millilitre:
		return "L", 1000, false
	case quantity.Milli:
		return "s", 1000, true
	case quantity.Piece:
		return l.T("unit.pieces"), 1, true
	}
	return unit, 1, true
}
