package safety

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/stamp"
)

// anyLog draws a log around the rows of the tables, in tenths of a degree Fahrenheit and whole or broken seconds.
func anyLog(t *rapid.T) []Reading {
	step := rapid.SampledFrom([]int64{1, 5, 30, 120}).Draw(t, "pace")
	at := begin
	var log []Reading
	for _, f := range rapid.SliceOfN(rapid.Int64Range(1300, 1640), 1, 40).Draw(t, "tenths of degF") {
		log = append(log, Reading{at, Heat(f-320) * HeatF / 10})
		at = at.Add(stamp.Span(rapid.Int64Range(1, step*1000).Draw(t, "ms")))
	}
	return log
}

func anyCook(t *rapid.T) Cook {
	return Cook{
		Species: rapid.SampledFrom([]Species{Chicken, Turkey}).Draw(t, "species"),
		Fat:     rapid.Int64Range(0, FatMost).Draw(t, "fat"),
		Probe:   Heat(rapid.Int64Range(0, 30).Draw(t, "probe")) * HeatF / 10,
	}
}

// slack is what fixed point may lose in one interval, summed over a log.
func slack(log []Reading) float64 { return 1e-6 * float64(len(log)+1) }

// noLess sees that b, which had at least as much heat, came to at least as much as a.
func noLess(t require.TestingT, a, b *Cooked, slack float64) {
	require.True(t, b.Met || !a.Met, "met")
	require.True(t, b.Instant >= 0 || a.Instant < 0, "instant")
	require.GreaterOrEqual(t, float(b.Lower)+slack+float(a.Lower)*1e-6, float(a.Lower))
	require.GreaterOrEqual(t, float(b.Linear)+slack+float(a.Linear)*1e-6, float(a.Linear))
	if a.HeldAt() != 0 {
		require.NotZero(t, b.HeldAt())
		require.LessOrEqual(t, b.Run.Held, a.Run.Held, "not later either")
	}
}

func TestMoreHeatNeverLowersLethality(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cook, log := anyCook(t), anyLog(t)
		before := assess(t, cook, log...)
		var hotter []Reading
		for _, r := range log {
			r.Heat += Heat(max(0, rapid.Int64Range(-3, 40).Draw(t, "more"))) * HeatF / 10
			hotter = append(hotter, r)
		}
		noLess(t, before, assess(t, cook, hotter...), slack(log))
	})
}

func TestAProbeErrorNeverHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cook, log := anyCook(t), anyLog(t)
		for i := range log {
			log[i].Heat -= rapid.SampledFrom([]Heat{0, 0, 90 * HeatF}).Draw(t, "cold")
		}
		worse := cook
		worse.Probe += Heat(rapid.Int64Range(0, 40).Draw(t, "more error")) * HeatF / 10
		a, b := assess(t, worse, log...), assess(t, cook, log...)
		noLess(t, a, b, slack(log))
		require.GreaterOrEqual(t, a.ComeUp.Got.Value, b.ComeUp.Got.Value)
		require.True(t, a.ComeUp.Verdict != Met || b.ComeUp.Verdict == Met)
		require.True(t, b.ComeUp.Verdict != NotMet || a.ComeUp.Verdict == NotMet)
	})
}

// The parts of a log that is cut at a reading, which both keep, add up to the whole.
func TestCuttingALogAtAReadingChangesNoEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cook, log := anyCook(t), anyLog(t)
		rows, err := Rows(cook.Species, cook.Fat)
		require.NoError(t, err)
		c := newCurve(rows)
		cut := rapid.IntRange(0, len(log)-1).Draw(t, "cut")
		lower, linear := c.reduction(log, cook.Probe)
		lower1, linear1 := c.reduction(log[:cut+1], cook.Probe)
		lower2, linear2 := c.reduction(log[cut:], cook.Probe)
		require.InDelta(t, float(lower), float(lower1+lower2), slack(log))
		require.InDelta(t, float(linear), float(linear1+linear2), slack(log))
	})
}

// A reading put in on the straight line between two changes what the line gives by less than 0.2 %, raises what the lower
// reading gives, and unmakes no decision.
func TestAReadingOnTheLineChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cook, log := anyCook(t), anyLog(t)
		for i := range log {
			log[i].At = begin.Add(log[i].At.Since(begin) * 4) // so that a quarter is a whole millisecond
		}
		if len(log) < 2 {
			return
		}
		i := rapid.IntRange(1, len(log)-1).Draw(t, "before")
		a, b := log[i-1], log[i]
		between := Reading{a.At + (b.At-a.At)/4, a.Heat + (b.Heat-a.Heat)/4}
		more := append(append(append([]Reading{}, log[:i]...), between), log[i:]...)
		x, y := assess(t, cook, log...), assess(t, cook, more...)
		require.InDelta(t, float(x.Linear), float(y.Linear), float(x.Linear)*0.002+slack(log))
		require.GreaterOrEqual(t, float(y.Lower)+slack(log), float(x.Lower))
		require.True(t, y.Met || !x.Met)
	})
}

// The decision by its own words, without any cleverness: some row, some first and some last reading.
func TestDecisionIsWhatItsWordsSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cook, log := anyCook(t), anyLog(t)
		out := assess(t, cook, log...)
		heldAt, heldBy, instant := int64(0), len(log), false
		for _, row := range out.Rows {
			for first := range log {
				for last := first; last < len(log) && log[last].Heat-cook.Probe >= row.Heat; last++ {
					if row.Dwell == 0 {
						instant = true
					} else if log[last].At.Since(log[first].At) >= row.Dwell && last < heldBy {
						heldAt, heldBy = row.F, last
					}
				}
			}
		}
		require.Equal(t, instant, out.Instant >= 0)
		require.Equal(t, heldAt, out.HeldAt())
		require.Equal(t, instant || heldAt != 0, out.Met)
		if heldAt != 0 {
			require.Equal(t, heldBy, out.Run.Held)
		}
	})
}

// Temperatures compare exactly, whatever they were written in.
func TestHeatIsExactOnBothScales(t *testing.T) {
	parse := func(text string, fahrenheit bool) Heat {
		h, err := ParseHeat(text, fahrenheit)
		require.NoError(t, err, text)
		return h
	}
	require.Equal(t, Fahrenheit(158), Celsius(70))
	require.Equal(t, parse("158", true), parse("70.0", false))
	require.Equal(t, parse("159.8", true), parse("71", false))
	require.Equal(t, Fahrenheit(160), parse("160.000000000", true))
	require.Less(t, parse("159.9999999999999", true), Fahrenheit(160))
	require.Greater(t, parse("160.0000000001", true)+1, Fahrenheit(160))
	require.Less(t, parse("71.1111111111111", false), Fahrenheit(160), "160 degF are 71.1 recurring")
	require.Less(t, parse("-0.00000000001", false), Celsius(0), "cut downwards")
	require.Equal(t, Fahrenheit(-40), parse("-40", false))
	require.Equal(t, int64(71111), Fahrenheit(160).MilliC())
	require.Equal(t, int64(-17778), Fahrenheit(0).MilliC())
	for _, bad := range []string{"", "-", "NaN", "1e2", "1.", ".5", "+4", "1,5", "1.2.3", "--1", "0x10", "Inf", "99999999", "1001"} {
		_, err := ParseHeat(bad, false)
		require.Error(t, err, bad)
	}
	e, err := ParseDifference("1.0", true)
	require.NoError(t, err)
	require.Equal(t, HeatF, e)
	e, err = ParseDifference("0.55555555555", false)
	require.NoError(t, err)
	require.Equal(t, Heat(5_000_000_004), e, "cut upwards")
	_, err = ParseDifference("-1", true)
	require.Error(t, err)
	rapid.Check(t, func(t *rapid.T) {
		mF := rapid.Int64Range(-60000, 400000).Draw(t, "thousandths of degF")
		text := strconv.FormatInt(mF/1000, 10) + "." + strconv.FormatInt(1000+max(mF, -mF)%1000, 10)[1:]
		if mF < 0 && mF > -1000 {
			text = "-" + text
		}
		require.Equal(t, Heat(mF-32000)*(HeatF/1000), parse(text, true))
		row := rapid.Int64Range(136, 165).Draw(t, "row")
		require.Equal(t, mF >= row*1000, parse(text, true) >= Fahrenheit(row))
	})
}
