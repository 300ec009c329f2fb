package clock

import "brinebell/internal/core/stamp"

// Limits of what is learned of a rate.
const (
	// WanderPPM is by how much a crystal's rate may change with its temperature: 0.035 ppm per kelvin squared away from 25 degC
	// makes 15 in a cold room (from memory).
	WanderPPM  = 20
	learnLeast = 10 * stamp.Minute // what two exchanges must be apart to tell anything
	learnMost  = 3 * stamp.Hour    // and what they may be apart, so that a day's mean does not hide an hour's warmth
	learnFresh = stamp.Hour        // after which a newer measure counts, be it wider
	million    = 1_000_000
	billion    = 1_000_000_000
)

// rate is how much faster the kitchen's clock runs than this device's steady clock, in billionths. The zero value knows no
// more than that both are clocks.
type rate struct {
	low, high int64 // it lies between these, when measured
	known     bool
	at        int64    // mono when it was measured
	first     exchange // what it is measured from
	begun     bool
}

// mid is the rate to count with.
func (r *rate) mid() int64 {
	if !r.known {
		return 0
	}
	return (r.low + r.high) / 2
}

// run returns by how much kitchen time goes on beyond mono's pace within a time of the steady clock.
func (r *rate) run(past int64, pace int32) stamp.Span {
	return stamp.Span(past * int64(pace) / 1000 * r.mid() / million)
}

// drift returns by how much that may be wrong.
func (r *rate) drift(past int64) stamp.Span {
	off := int64(DriftPPM * 1000)
	if r.known {
		off = min(off, (r.high-r.low+1)/2+WanderPPM*1000)
	}
	return stamp.Span(past / 1000 * off / million)
}

// learn compares an exchange with one long before: what the two clocks gained on each other, give or take both bounds.
func (r *rate) learn(x exchange, pace int32) {
	p, apart := int64(pace), x.mono-r.first.mono
	switch {
	case !r.begun || apart < 0:
		r.first, r.begun = x, true
		return
	case apart < int64(learnLeast):
		if x.half < r.first.half {
			r.first = x
		}
		return
	}
	gained := int64(x.kitchen.Since(r.first.kitchen)) - apart*p
	off := int64(r.first.half+x.half) + 2*p // clocks are read in whole milliseconds
	low, high := (gained-off)*billion/p/apart, (gained+off)*billion/p/apart
	const most = DriftPPM * 1000
	if low > most || high < -most {
		*r = rate{first: x, begun: true} // that is no drift: a clock was set
		return
	}
	low, high = max(low, -most), min(high, most)
	if !r.known || high-low < r.high-r.low || x.mono-r.at > int64(learnFresh) {
		r.low, r.high, r.known, r.at = low, high, true, x.mono
	}
	if apart > int64(learnMost) {
		r.first = x
	}
}

// afresh forgets what it was measuring from, not what it learned.
func (r *rate) afresh() { r.begun, r.at = false, 0 }
