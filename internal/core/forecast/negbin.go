package forecast

import "math"

// Logarithm and power are written out here and not taken from the library, which has them in machine code on some computers:
// phone and server are to say the same number.

const ln2 = 0.693147180559945309417232121458

// ln is the natural logarithm of a number above 0, by the series of (1+t)/(1-t).
func ln(x float64) float64 {
	m, e := math.Frexp(x) // x = m 2^e, m from a half to 1
	if m < 0.7071067811865476 {
		m, e = m*2, e-1
	}
	t := (m - 1) / (m + 1)
	sum, power := 0.0, t
	for k := 1.0; k < 26; k += 2 {
		sum += power / k
		power = float64(power * float64(t*t))
	}
	return float64(2*sum) + float64(float64(e)*ln2)
}

// exp is e to the power of x.
func exp(x float64) float64 {
	if x > 700 {
		return math.Inf(1)
	}
	if x < -745 {
		return 0
	}
	n := math.Floor(x/ln2 + 0.5)
	r := x - float64(n*ln2)
	sum, term := 1.0, 1.0
	for k := 1.0; k < 18; k++ {
		term = float64(term*r) / k
		sum += term
	}
	return math.Ldexp(sum, int(n))
}

// walk goes through a negative binomial distribution of a mean and a size (none: as Poisson) from 0 upwards. What is summed is kept
// in range by a power of e beside it, since the chance of 0 may be smaller than a number can be.
type walk struct {
	mean, size float64
	n          float64
	p, sum     float64 // of n, and of all up to n, times e^-scale
	scale      float64
	unit       float64 // e^scale
}

func (w *walk) chance() float64 { return w.sum * w.unit }

func newWalk(mean, size float64) *walk {
	w := &walk{mean: mean, size: size, p: 1, sum: 1}
	w.scale = -mean
	if size > 0 {
		w.scale = -float64(size * ln(1+mean/size))
	}
	w.unit = exp(w.scale)
	return w
}

func (w *walk) next() {
	step := w.mean / (w.n + 1)
	if w.size > 0 {
		step = (w.n + w.size) / (w.n + 1) * (w.mean / (w.mean + w.size))
	}
	w.n++
	w.p = float64(w.p * step)
	w.sum += w.p
	if w.sum > 1e100 {
		w.p, w.sum = w.p/1e100, w.sum/1e100
		w.scale += 230.25850929940458 // of which 1e100 is the power
		w.unit = exp(w.scale)
	}
}

// most is more than any kitchen sells in a day.
const most = 1_000_000

// near is how much a sum may fall short of what it is held against and still count as it: sums are rounded.
const near = 1e-12

// quantile is the smallest number that is enough with the probability ratio.
func quantile(mean, size, ratio float64) int {
	if mean <= 0 || ratio <= 0 {
		return 0
	}
	w := newWalk(mean, size)
	for w.n < most && w.chance() < ratio-near {
		w.next()
	}
	return int(w.n)
}

// upTo is the probability that no more than n are asked for.
func upTo(mean, size float64, n int) float64 {
	if mean <= 0 || n >= most {
		return 1
	}
	if n < 0 {
		return 0
	}
	w := newWalk(mean, size)
	for int(w.n) < n {
		w.next()
	}
	return min(w.chance(), 1)
}

// sure is a probability so near to 1 that what is left of the distribution says nothing.
const sure = 0.999

// atLeast is the mean of those numbers that are no less than floor.
func atLeast(mean, size, floor float64) float64 {
	if floor <= 0 {
		return mean
	}
	w := newWalk(mean, size)
	below, part := 0.0, 0.0 // probability of less than floor, and its share of the mean
	for w.n < floor && below < sure {
		p := w.p * w.unit
		below += p
		part += float64(w.n * p)
		w.next()
	}
	if below >= sure {
		return floor + 1 // far above all that was thought of: what is known is the floor
	}
	return max((mean-part)/(1-below), floor)
}
