package safety

import (
	"brinebell/internal/core/fixed"
	"brinebell/internal/core/stamp"
)

// Caution is something about a log that does not change the decision but should be known beside it.
type Caution uint8

// Cautions, with what N and M of their warning hold.
const (
	Gaps        Caution = iota // N gaps over a minute, the longest M ms
	Sparse                     // the readings around the run are N ms apart, its dwell is M ms
	Coarse                     // the straight line gives more than the lower reading: by N thousandths of a log10
	StartsWarm                 // the first reading N mC is above the lower mark of the come-up
	NoComeUp                   // the log ends before the upper mark of the come-up
	BetweenFats                // the larger dwell of the columns N and M % was taken
	LeanFat                    // below the first column, which was taken
	TooCool                    // no reading reached the first row, N mC: nothing counts
	NoProbe                    // no error of the probe was given
	TooHot                     // a reading of N mC: food hardly gets so hot
)

// Warning is a caution with its numbers.
type Warning struct {
	Caution Caution
	N, M    int64
}

// Marks of the warnings. They are ours.
const (
	gapMost    = stamp.Minute
	coarseFrom = fixed.One / 10 // and a tenth of the whole
	hotFrom    = 105 * HeatC    // water boils away below: the probe may have been in the oil, or in the wrong unit
)

func (out *Cooked) warn(c Cook, log []Reading) {
	add := func(on bool, what Caution, n, m int64) {
		if on {
			out.Warnings = append(out.Warnings, Warning{what, n, m})
		}
	}
	gaps := int64(0)
	var widest stamp.Span // between readings of the run that counts
	for i := 1; i < len(log); i++ {
		step := log[i].At.Since(log[i-1].At)
		if step > gapMost {
			gaps++
		}
		if i > out.Run.First && i <= out.Run.Last {
			widest = max(widest, step)
		}
	}
	add(gaps > 0, Gaps, gaps, int64(out.longestStep))
	if out.Run.First == out.Run.Last {
		widest = out.longestStep
	}
	add(out.Run.Row.F != 0 && widest > out.Run.Row.Dwell, Sparse, int64(widest), int64(out.Run.Row.Dwell))
	over := out.Linear - out.Lower
	add(over > coarseFrom && over > out.Linear/10, Coarse, fixed.Round(over, 1000), 0)
	add(log[0].Heat+c.Probe > Fahrenheit(ComeUpLow), StartsWarm, log[0].Heat.MilliC(), 0)
	add(out.Hottest < Fahrenheit(ComeUpHigh), NoComeUp, 0, 0)
	column := c.Fat / FatUnit
	add(c.Fat > FatUnit && c.Fat%FatUnit != 0, BetweenFats, column, column+1)
	add(c.Fat < FatUnit, LeanFat, 0, 0)
	add(out.Hottest < out.Rows[0].Heat, TooCool, out.Rows[0].Heat.MilliC(), 0)
	add(c.Probe == 0, NoProbe, 0, 0)
	add(out.Hottest+c.Probe > hotFrom, TooHot, (out.Hottest + c.Probe).MilliC(), 0)
}
