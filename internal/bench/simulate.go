package main

import (
	"runtime/debug"
	"syscall"
	"time"

	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

// How much faster than life the simulated kitchen runs: a server and three phones at the pace of a kitchen that makes some
// 3,000 entries in a day of sixteen hours, with real frames, real screens and every phone listened to.
const (
	simPhones = 3
	simTaps   = 50_000 // ms between two taps on one phone
	simRounds = 5
)

// cpu returns the CPU time that this process has used: in memory it is what a core to oneself would take, however busy the
// machine is.
func cpu() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

var begun = time.Now()

// wall returns the time that has passed: on a disk there is waiting too.
func wall() time.Duration { return time.Since(begun) }

// pace returns how many times as fast as life kitchens ran for so long, in rounds of another seed each.
func pace(span stamp.Span, clock func() time.Duration, folder func() (string, error)) ([]float64, error) {
	var times []float64
	for seed := range uint64(simRounds) {
		opt := simulation.Options{Seed: seed + 1, Phones: simPhones, Taps: simTaps}
		var err error
		if opt.Folder, err = folder(); err != nil {
			return nil, err
		}
		began := clock()
		k := simulation.New(opt)
		if err := k.Run(span); err != nil {
			return nil, err
		}
		times = append(times, float64(span)/ms(clock()-began))
		if err := k.Close(); err != nil {
			return nil, err
		}
	}
	return times, nil
}

func simulate() ([]figure, error) {
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // a kitchen holds a few MB: collecting it all the time is no use
	memory, err := pace(4*stamp.Hour, cpu, func() (string, error) { return "", nil })
	if err != nil {
		return nil, err
	}
	return inFolder(func(data string) ([]figure, error) {
		n := 0
		disk, err := pace(stamp.Hour, wall, func() (string, error) {
			n++
			return data + "/" + string(rune('a'+n)), nil
		})
		if err != nil {
			return nil, err
		}
		return []figure{
			least("simulated kitchen, in memory, by CPU time", median(memory), "x life", 100_000),
			least("simulated kitchen, on SQLite", median(disk), "x life", 2000),
		}, nil
	})
}
