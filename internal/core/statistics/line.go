package statistics

import "brinebell/internal/core/fixed"

// Pair is a point to lay a line through.
type Pair struct{ X, Y fixed.Num }

// Fit is the straight line of least squares through points.
type Fit struct {
	N       int
	X, Y    fixed.Num // the means
	Slope   fixed.Num
	Scatter fixed.Num // the residual standard deviation, on N-2 degrees of freedom
	spread  fixed.Num // the sum of squares of X about its mean
	t       fixed.Num
}

// FewestPairs is how many points a line with an interval needs: with three, one single degree of freedom would be left to judge the
// scatter by.
const FewestPairs = 4

// t90 are the values that Student's t exceeds with probability 0.05, for 1 to 30 degrees of freedom, in thousandths: half of a
// 90 % interval lies beyond each. NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
var t90 = [...]uint16{6314, 2920, 2353, 2132, 2015, 1943, 1895, 1860, 1833, 1812, 1796, 1782, 1771, 1761, 1753, 1746, 1740,
	1734, 1729, 1725, 1721, 1717, 1714, 1711, 1708, 1706, 1703, 1701, 1699, 1697}

// Least lays the line through the points, and tells whether there is one: at least FewestPairs, not all at one X.
func Least(points []Pair) (Fit, bool) {
	n := int64(len(points))
	f := Fit{N: len(points)}
	if n < FewestPairs {
		return f, false
	}
	var sx, sy, sxy, rest fixed.Num
	for _, p := range points {
		sx, sy = fixed.Add(sx, p.X), fixed.Add(sy, p.Y)
	}
	f.X, f.Y = fixed.Div(sx, fixed.FromInt(n)), fixed.Div(sy, fixed.FromInt(n))
	for _, p := range points {
		dx := p.X - f.X
		f.spread = fixed.Add(f.spread, fixed.Mul(dx, dx))
		sxy = fixed.Add(sxy, fixed.Mul(dx, p.Y-f.Y))
	}
	if f.spread <= 0 {
		return f, false
	}
	f.Slope = fixed.Div(sxy, f.spread)
	for _, p := range points {
		d := p.Y - f.At(p.X)
		rest = fixed.Add(rest, fixed.Mul(d, d))
	}
	f.Scatter = fixed.Sqrt(fixed.Div(rest, fixed.FromInt(n-2)))
	f.t = fixed.FromRatio(int64(t90[min(n-3, int64(len(t90)-1))]), 1000)
	return f, true
}

// At returns the line's height at x.
func (f *Fit) At(x fixed.Num) fixed.Num { return fixed.Add(f.Y, fixed.Mul(f.Slope, x-f.X)) }

// Half returns half the width of the 90 % prediction interval at x: one further measurement there lies within it nine
// times out of ten, if the line holds.
func (f *Fit) Half(x fixed.Num) fixed.Num {
	dx := x - f.X
	under := fixed.One + fixed.FromRatio(1, int64(f.N)) + fixed.Div(fixed.Mul(dx, dx), f.spread)
	return fixed.Mul(fixed.Mul(f.t, f.Scatter), fixed.Sqrt(under))
}

// Reach returns where the rising line reaches a level, and between which places a measurement there is to be expected: from
// where the upper end of the 90 % prediction interval reaches it to where the lower end does. It tells whether both ends
// are found: with much scatter, or a line that does not clearly rise, the lower one never gets there.
func (f *Fit) Reach(level fixed.Num) (at, early, late fixed.Num, ok bool) {
	if f.Slope <= 0 {
		return 0, 0, 0, false
	}
	d, ts := level-f.Y, fixed.Mul(f.t, f.Scatter)
	steep := fixed.Mul(f.Slope, f.Slope) - fixed.Div(fixed.Mul(ts, ts), f.spread)
	if steep <= 0 {
		return 0, 0, 0, false
	}
	n := int64(f.N)
	under := fixed.Add(fixed.Div(fixed.Mul(d, d), f.spread), fixed.Mul(steep, fixed.FromRatio(n+1, n)))
	middle, half := fixed.Mul(f.Slope, d), fixed.Mul(ts, fixed.Sqrt(under))
	at = fixed.Add(f.X, fixed.Div(d, f.Slope))
	early = fixed.Add(f.X, fixed.Div(middle-half, steep))
	late = fixed.Add(f.X, fixed.Div(fixed.Add(middle, half), steep))
	return at, early, late, true
}
