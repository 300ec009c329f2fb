// Package statistics says how steady a series of measurements is, by control charts, and where a straight line through one
// leads, with an interval.
package statistics

// The constants of charts of single values, in thousandths, for moving ranges of two: d2, the mean range of two normal
// values against their standard deviation, and D4, the upper limit of ranges against their mean. NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2.2, computes its limits with d2; 3/1.128 is the textbooks' rounded 2.66.
const (
	d2 = 1128
	d4 = 3267
)

// Most is how many values a chart takes, the newest, and Far how far from 0 they are taken: exact products fit then.
const (
	Most = 100
	Far  = 100_000_000_000
)

// Chart is a chart of individuals and moving ranges. Its lines are in the unit of the values, rounded to the nearest whole,
// a tie going to the even neighbour; what is beyond a line is judged exactly, not by the rounded line.
type Chart struct {
	Values               []int64
	Mean, Lower, Upper   int64
	MeanRange, MostRange int64
	sum, ranges          int64
}

// Individuals returns the chart of a series, the oldest value first.
func Individuals(values []int64) *Chart {
	values = values[max(0, len(values)-Most):]
	c := &Chart{Values: make([]int64, len(values))}
	for i, v := range values {
		c.Values[i] = min(max(v, -Far), Far)
		c.sum += c.Values[i]
		if i > 0 {
			c.ranges += c.Range(i)
		}
	}
	n := int64(len(values))
	if n == 0 {
		return c
	}
	c.Mean = nearest(c.sum, n)
	c.Lower, c.Upper = c.Mean, c.Mean
	if n > 1 {
		reach, under := 3*1000*c.ranges*n, d2*n*(n-1)
		c.Lower, c.Upper = nearest(c.sum*d2*(n-1)-reach, under), nearest(c.sum*d2*(n-1)+reach, under)
		c.MeanRange = nearest(c.ranges, n-1)
		c.MostRange = nearest(c.ranges*d4, 1000*(n-1))
	}
	return c
}

// nearest returns a/b, b above 0, to the nearest whole, a tie to the even one.
func nearest(a, b int64) int64 {
	q := a / b
	rest := a - q*b
	if rest < 0 {
		q, rest = q-1, rest+b
	}
	if rest > b-rest || rest == b-rest && q&1 == 1 {
		q++
	}
	return q
}

// Range returns how far value i is from the one before it.
func (c *Chart) Range(i int) int64 {
	d := c.Values[i] - c.Values[i-1]
	return max(d, -d)
}

// side returns 1 when value i is more than so many standard deviations above the mean, -1 below, else 0.
func (c *Chart) side(i int, sigmas int64) int {
	n := int64(len(c.Values))
	off := (c.Values[i]*n - c.sum) * d2 * (n - 1)
	reach := sigmas * 1000 * c.ranges * n
	switch {
	case off > reach:
		return 1
	case off < -reach:
		return -1
	}
	return 0
}

// Rule is a sign that a process has changed.
type Rule uint8

// The run rules. The first four are those of the Western Electric Company's Statistical Quality Control Handbook (1956); the
// run of six is in Nelson, Journal of Quality Technology 16 (1984) 237-239, as test 3. NIST/SEMATECH's e-Handbook, 6.3.2, lists
// all five. Numbers and years are from memory.
const (
	Beyond3 Rule = iota // one value more than 3 standard deviations off the mean
	Beyond2             // two of three more than 2, on one side
	Beyond1             // four of five more than 1, on one side
	OneSide             // eight in a row on one side of the mean
	Trend               // six in a row, each higher than the last, or each lower
	Spread              // a moving range above its limit
	Rules
)

// zones are the rules that count values on one side: so many of the last few, beyond so many standard deviations.
var zones = [...]struct{ need, of, sigmas int }{{1, 1, 3}, {2, 3, 2}, {4, 5, 1}, {8, 8, 0}}

// Signal is a rule that a value has completed.
type Signal struct {
	Rule  Rule
	At    int // which value completed it
	Above bool
}

// Signals lists what the rules say of each value in turn, the oldest first.
func (c *Chart) Signals() []Signal {
	var list []Signal
	for i := range c.Values {
		for r, z := range zones {
			if s := c.side(i, int64(z.sigmas)); s != 0 && c.count(i, z.of, int64(z.sigmas), s) >= z.need {
				list = append(list, Signal{Rule(r), i, s > 0})
			}
		}
		if s := c.trend(i); s != 0 {
			list = append(list, Signal{Trend, i, s > 0})
		}
		if i > 0 && c.Range(i)*1000*int64(len(c.Values)-1) > c.ranges*d4 {
			list = append(list, Signal{Spread, i, c.Values[i] > c.Values[i-1]})
		}
	}
	return list
}

// count tells how many of the last few values up to i are on the side.
func (c *Chart) count(i, of int, sigmas int64, side int) int {
	n := 0
	for j := max(0, i-of+1); j <= i; j++ {
		if c.side(j, sigmas) == side {
			n++
		}
	}
	return n
}

const trend = 6

// trend returns 1 when the last six values up to i rise, -1 when they fall.
func (c *Chart) trend(i int) int {
	if i < trend-1 {
		return 0
	}
	up, down := true, true
	for j := i - trend + 2; j <= i; j++ {
		up = up && c.Values[j] > c.Values[j-1]
		down = down && c.Values[j] < c.Values[j-1]
	}
	switch {
	case up:
		return 1
	case down:
		return -1
	}
	return 0
}
