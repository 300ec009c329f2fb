package safety

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Come-up: how long a product may be between two temperatures while it is heated.
const (
	ComeUpLow  int64 = 50 // degF
	ComeUpHigh int64 = 130
	ComeUpMost       = 6 * stamp.Hour
)

// comeUp counts every interval until the first reading at or above the upper mark, unless both its readings are at or below the
// lower one. The probe's error is subtracted at the upper mark and added at the lower one, so that it never helps. A log
// that begins above the lower mark or ends below the upper one hides a part of the way: then only too long is certain.
func (out *Cooked) comeUp(c Cook, log []Reading) {
	low, high := Fahrenheit(ComeUpLow)-c.Probe, Fahrenheit(ComeUpHigh)+c.Probe
	reached := log[0].Heat >= high
	var sum stamp.Span
	for i := 1; i < len(log) && !reached; i++ {
		if log[i].Heat > low || log[i-1].Heat > low {
			sum += log[i].At.Since(log[i-1].At)
		}
		reached = log[i].Heat >= high
	}
	f := &out.ComeUp
	f.Rule, f.Source, f.Formula = "cook.comeup", "fsis-a-comeup", "time(T > 50 degF, until T >= 130 degF) <= limit"
	f.Inputs = []Amount{
		{"low", Fahrenheit(ComeUpLow).MilliC(), quantity.MilliC}, {"high", Fahrenheit(ComeUpHigh).MilliC(), quantity.MilliC},
		{"error", c.Probe.MilliC(), quantity.MilliC},
	}
	f.Got = Amount{"between", int64(sum), quantity.Milli}
	f.Limit = Amount{"limit", int64(ComeUpMost), quantity.Milli}
	switch {
	case sum > ComeUpMost:
		f.Verdict, f.By = NotMet, int64(sum-ComeUpMost)
	case reached && log[0].Heat <= low:
		f.Verdict, f.By = Met, int64(ComeUpMost-sum)
	}
}
