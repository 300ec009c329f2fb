package safety

import (
	"testing"

	"brinebell/internal/core/stamp"
)

// longLog is a probe read once a second for 28 hours, in a fryer that is loaded again and again.
func longLog(n int) []Reading {
	log := make([]Reading, n)
	for i := range log {
		heat := int64(i%600) * 2250 / 10 // up to 134.8 above 32 degF, in tenths
		log[i] = Reading{begin.Add(stamp.Span(i) * stamp.Second), Fahrenheit(40) + Heat(heat)*HeatF/1000 - Heat(i%7)*HeatF/100}
	}
	return log
}

func BenchmarkAssess100000(b *testing.B) {
	log := longLog(100_000)
	for b.Loop() {
		if _, err := AssessCook(Cook{Species: Chicken, Fat: 7500, Probe: HeatF / 2}, log); err != nil {
			b.Fatal(err)
		}
	}
}
