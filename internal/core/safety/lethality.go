package safety

import (
	"errors"

	"brinebell/internal/core/fixed"
	"brinebell/internal/core/stamp"
)

// Species names a lethality table.
type Species uint8

// Species with a table.
const (
	Chicken Species = iota
	Turkey
)

// Bounds of the tables.
const (
	FatUnit     = 1000 // parts of a per cent of fat
	FatMost     = 12 * FatUnit
	LogRequired = 7 // log10 of Salmonella
	ProbeMost   = 10 * HeatC
	firstRow    = 136
	columns     = 12
)

// Errors of a cook's log. They name no row: LogFault does.
var (
	ErrFat     = errors.New("safety: the tables end at 12 % fat")
	ErrSpecies = errors.New("safety: no table for this species")
	ErrProbe   = errors.New("safety: the error of a probe is between 0 and 10 degrees Celsius")
	ErrEmpty   = errors.New("safety: a log without readings")
	ErrOrder   = errors.New("safety: times that do not rise")
	ErrHeat    = errors.New("safety: a temperature that nobody measures in food")
)

// LogFault says which reading of a log is at fault, counted from 0.
type LogFault struct {
	Row int
	Err error
}

func (f *LogFault) Error() string { return f.Err.Error() }

// Unwrap returns the error without its place.
func (f *LogFault) Unwrap() error { return f.Err }

// CheckLog tells what keeps a log from being assessed: it is empty, or its times do not rise.
func CheckLog(log []Reading) error {
	if len(log) == 0 {
		return ErrEmpty
	}
	for i, r := range log {
		if r.Heat > HeatMost || r.Heat < -HeatMost {
			return &LogFault{i, ErrHeat}
		}
		if i > 0 && r.At <= log[i-1].At {
			return &LogFault{i, ErrOrder}
		}
	}
	return nil
}

// Row is a printed row of a lethality table: how long a product must stay at a temperature or above.
type Row struct {
	F     int64 // whole degrees Fahrenheit, as printed
	Heat  Heat
	Dwell stamp.Span // 0 in the row from which on a reading counts at once
}

// Rows returns the printed rows for a species and a level of fat in thousandths of a per cent, the coolest first; the last
// one has no dwell. Between two columns each row is the larger of the two, below 1 % it is the first column's.
func Rows(s Species, fat int64) ([]Row, error) {
	if fat > FatMost || fat < 0 {
		return nil, ErrFat
	}
	text := chickenTable
	switch s {
	case Chicken:
	case Turkey:
		text = turkeyTable
	default:
		return nil, ErrSpecies
	}
	low := max(int(fat/FatUnit), 1) - 1
	high := low
	if fat > FatUnit && fat%FatUnit != 0 {
		high++
	}
	a, b := column(text, low), column(text, high)
	var rows []Row
	for i := range a {
		dwell := max(a[i], b[i])
		rows = append(rows, Row{F: int64(firstRow + i), Heat: Fahrenheit(int64(firstRow + i)), Dwell: dwell})
		if dwell == 0 {
			break
		}
	}
	return rows, nil
}

// column reads one column of a table and ends it with a 0.
func column(text string, want int) (dwells []stamp.Span) {
	at, n := 0, 0
	tenth := stamp.Minute / 10
	before := 0
	for _, c := range []byte(text[1:]) {
		if c >= '0' {
			n = n*10 + int(c-'0')
			continue
		}
		if at%columns == want {
			if n > before && before > 0 {
				tenth = stamp.Second / 10
			}
			before = n
			dwells = append(dwells, stamp.Span(n)*tenth)
		}
		at, n = at+1, 0
	}
	return append(dwells, 0)
}

// curve is the rate of killing over temperature, in log10 a second: its logarithm is a straight line between the rows, it is
// 0 below the first and stays what it is from the last one with a dwell.
type curve []point

type point struct {
	heat     Heat
	rate, ln fixed.Num
	mean     fixed.Num // of the rate from here to the next point
}

func newCurve(rows []Row) curve {
	c := make(curve, 0, len(rows))
	for _, r := range rows {
		if r.Dwell > 0 {
			rate := fixed.FromRatio(LogRequired*int64(stamp.Second), int64(r.Dwell))
			c = append(c, point{heat: r.Heat, rate: rate, ln: fixed.Ln(rate)})
		}
	}
	for i := range c[1:] {
		c[i].mean = mean(c[i], c[i+1])
	}
	last := &c[len(c)-1]
	last.mean = last.rate
	return c
}

// mean is the mean rate on the way from a to b, whose logarithms a straight line joins: (b - a) / (ln b - ln a).
func mean(a, b point) fixed.Num {
	d := b.ln - a.ln
	if d < fixed.One>>8 && d > -fixed.One>>8 {
		return a.rate/2 + b.rate/2 // off by less than a part in 700,000, where the quotient would lose its digits
	}
	return fixed.Div(b.rate-a.rate, d)
}

// level returns the index of the hottest point at or below a temperature, starting to look at a guess; -1 below the first.
func (c curve) level(h Heat, guess int) int {
	for guess >= 0 && h < c[guess].heat {
		guess--
	}
	for guess+1 < len(c) && h >= c[guess+1].heat {
		guess++
	}
	return guess
}

// at returns the curve at a temperature whose level is known.
func (c curve) at(h Heat, level int) point {
	switch {
	case level < 0:
		return point{heat: h}
	case level == len(c)-1 || h == c[level].heat:
		return point{heat: h, rate: c[level].rate, ln: c[level].ln}
	}
	a, b := &c[level], &c[level+1]
	ln := a.ln + fixed.Mul(b.ln-a.ln, fixed.FromRatio(int64(h-a.heat), int64(b.heat-a.heat)))
	return point{heat: h, rate: fixed.Exp(ln), ln: ln}
}

// along returns the mean rate on a straight line of temperature from one point of the curve to another, given their levels.
func (c curve) along(a, b point, from, to int) fixed.Num {
	if a.heat > b.heat {
		a, b, from, to = b, a, to, from
	}
	switch whole := int64(b.heat - a.heat); {
	case whole == 0:
		return a.rate
	case from == to && from < 0:
		return 0
	case from == to && from < len(c)-1:
		return mean(a, b)
	default:
		var sum fixed.Num
		for i := max(from, 0); i <= to; i++ {
			left, right, rate := c[i].heat, b.heat, c[i].mean
			if i == from {
				left = a.heat
			}
			if i < to {
				right = c[i+1].heat
			}
			switch {
			case i == len(c)-1: // the rate stays
			case i == from && i < to:
				rate = mean(a, c[i+1])
			case i == to:
				rate = mean(c[i], b)
			}
			sum += fixed.Mul(rate, fixed.FromRatio(int64(right-left), whole))
		}
		return sum
	}
}

// reduction returns both estimates of the log10 reduction: by the lower of the two readings around each interval, and along
// the straight line between them.
func (c curve) reduction(log []Reading, probe Heat) (lower, linear fixed.Num) {
	level := c.level(log[0].Heat-probe, 0)
	here := c.at(log[0].Heat-probe, level)
	for i, r := range log[1:] {
		was, before := here, level
		if h := r.Heat - probe; h != was.heat {
			level = c.level(h, before)
			here = c.at(h, level)
		}
		if was.rate|here.rate == 0 {
			continue
		}
		seconds := fixed.FromRatio(int64(r.At-log[i].At), int64(stamp.Second))
		lower = fixed.Add(lower, fixed.Mul(min(was.rate, here.rate), seconds))
		linear = fixed.Add(linear, fixed.Mul(c.along(was, here, before, level), seconds))
	}
	return lower, linear
}
