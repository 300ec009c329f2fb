package words

import (
	"strconv"
	"strings"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Shown returns the unit in which a value is shown that is held in a base unit and typed in the unit of a UCUM code:
// customary codes, in brackets, are shown as they are typed, all others by their base unit.
func Shown(base, typedIn string) string {
	if strings.HasPrefix(typedIn, "[") {
		return typedIn
	}
	return base
}

// style returns how a value is printed whose unit is a base unit or, with the value in its base unit, a customary code.
func (l Lang) style(unit string) (quantity.Unit, quantity.Style) {
	if strings.HasPrefix(unit, "[") {
		return quantity.BaseOf(unit), quantity.Style{Lang: string(l), Customary: true}
	}
	return quantity.Unit(unit), quantity.Style{Lang: string(l)}
}

// Amount prints a value in a base unit: "13.8 kg", "77.6 °C", "14 pieces", "32 min"; or, given a customary code of
// Shown, "171.7 °F".
func (l Lang) Amount(value int64, unit string) string {
	switch quantity.Unit(unit) {
	case quantity.Piece:
		return l.N("pieces", value)
	case quantity.Milli:
		return l.Length(stamp.Span(value))
	}
	u, s := l.style(unit)
	return quantity.Print(value, u, s)
}

// Exact prints a value with all its digits: "48 kg", "1.25 L".
func (l Lang) Exact(value int64, unit string) string {
	switch quantity.Unit(unit) {
	case quantity.Piece:
		return l.N("pieces", value)
	case quantity.Milli:
		return quantity.LengthExact(value)
	}
	u, s := l.style(unit)
	return quantity.PrintExact(value, u, s)
}

// Difference prints how far two values are apart.
func (l Lang) Difference(value int64, unit string) string {
	if u, s := l.style(unit); u == quantity.MilliC {
		return quantity.PrintDifference(value, u, s)
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
	u, s := l.style(unit)
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

// Typing is how a number is typed on a pad. What it is in base units, package quantity says.
type Typing struct {
	Unit          string
	Code          string // UCUM
	Whole, Signed bool
}

// typings lists the units that documents may have numbers typed in.
var typings = [...]Typing{
	{Unit: "°C", Code: "Cel", Signed: true},
	{Unit: "°F", Code: "[degF]", Signed: true},
	{Unit: "g", Code: "g", Whole: true},
	{Unit: "kg", Code: "kg"},
	{Unit: "lb", Code: "[lb_av]"},
	{Unit: "oz", Code: "[oz_av]"},
	{Unit: "mL", Code: "mL", Whole: true},
	{Unit: "L", Code: "L"},
	{Unit: "gal", Code: "[gal_us]"},
	{Unit: "fl oz", Code: "[foz_us]"},
	{Unit: "s", Code: "s", Whole: true},
	{Unit: "min", Code: "min"},
	{Unit: "h", Code: "h"},
	{Unit: "%", Code: "%"},
}

// usual is what a number in a base unit is typed in when the document does not say.
var usual = map[quantity.Unit]string{quantity.MilliC: "Cel", quantity.Gram: "kg", quantity.Millilitre: "L", quantity.Milli: "s",
	quantity.MilliPercent: "%"}

// Typing returns how a number in a base unit is typed, in the unit of the UCUM code typedIn, or as usual without one.
func (l Lang) Typing(unit, typedIn string) Typing {
	if typedIn == "" || quantity.BaseOf(typedIn) != quantity.Unit(unit) {
		typedIn = usual[quantity.Unit(unit)]
	}
	for _, t := range typings {
		if t.Code == typedIn {
			return t
		}
	}
	return Typing{Unit: l.T("unit.pieces"), Code: "1", Whole: true}
}
