package main

import (
	"cmp"
	"slices"
	"time"
)

// percentile returns the value that p of 100 do not exceed. It sorts what it is given.
func percentile[T cmp.Ordered](values []T, p int) T {
	var none T
	if len(values) == 0 {
		return none
	}
	slices.Sort(values)
	return values[min(len(values)*p/100, len(values)-1)]
}

func median[T cmp.Ordered](values []T) T { return percentile(slices.Clone(values), 50) }

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

func millis(ds []time.Duration) []float64 {
	list := make([]float64, len(ds))
	for i, d := range ds {
		list[i] = ms(d)
	}
	return list
}

// ratios returns a[i] / b[i]: contenders that ran in the same round are compared with each other, so that a busy spell
// of the machine falls on both.
func ratios(a, b []float64) []float64 {
	var list []float64
	for i := range min(len(a), len(b)) {
		if b[i] > 0 {
			list = append(list, a[i]/b[i])
		}
	}
	return list
}
