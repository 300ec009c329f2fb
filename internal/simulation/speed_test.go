package simulation_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

// BenchmarkQuiet and BenchmarkTrouble run an hour of a kitchen.
func BenchmarkQuiet(b *testing.B) { benchHour(b, "a quiet day") }

// BenchmarkDay runs hours at the pace of a kitchen that makes 3,000 entries in a day of sixteen hours.
func BenchmarkDay(b *testing.B) { benchHour(b, "a real pace") }

// BenchmarkTrouble runs an hour in which everything goes wrong.
func BenchmarkTrouble(b *testing.B) { benchHour(b, "all at once") }

func benchHour(b *testing.B, kind string) {
	steps, made, hours := 0, 0, 0
	for seed := uint64(1); b.Loop(); seed++ {
		opt := kinds[kind]
		if kind == "a real pace" {
			opt = simulation.Options{Phones: 3, Taps: 50_000}
		}
		opt.Seed = seed
		k := simulation.New(opt)
		require.NoError(b, k.Run(stamp.Hour))
		steps, made, hours = steps+k.Steps, made+k.Made, hours+1
	}
	b.ReportMetric(float64(steps)/float64(hours), "steps/hour")
	b.ReportMetric(float64(made)/float64(hours), "entries/hour")
	b.ReportMetric(3600*float64(hours)/b.Elapsed().Seconds(), "x-real")
}
