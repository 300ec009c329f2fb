package safety

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
)

// Limit and marks: FSIS-GD-2021-0014, p. 23 (lethality-operating.csv).
func TestComeUpMarksAreThePublishedOnes(t *testing.T) {
	for _, row := range published(t, "lethality-operating.csv") {
		switch v := row["value"]; row["id"] {
		case "fsis-cut":
			require.InDelta(t, number(t, v), float64(ComeUpMost)/float64(stamp.Hour), 0)
		case "fsis-cut-lo":
			require.InDelta(t, number(t, v), ComeUpLow, 0)
		case "fsis-cut-hi":
			require.InDelta(t, number(t, v), ComeUpHigh, 0)
		case "fsis-7log":
			require.InDelta(t, number(t, v), LogRequired, 0)
		}
	}
}

func TestComeUpIsDecidedToTheMillisecondAndTheTenth(t *testing.T) {
	six := 6 * stamp.Hour
	log := func(low, high int64, span stamp.Span) []Reading {
		return []Reading{{begin.Add(-stamp.Hour), Fahrenheit(40)}, {begin, Heat(low-320) * HeatF / 10}, {begin.Add(span), Heat(high-320) * HeatF / 10}}
	}
	for _, c := range []struct {
		name  string
		log   []Reading
		probe Heat
		want  Verdict
		got   stamp.Span
	}{
		{"exactly six hours", log(500, 1300, six), 0, Met, six},
		{"a millisecond more", log(500, 1300, six+1), 0, NotMet, six + 1},
		{"a second less", log(500, 1300, six-stamp.Second), 0, Met, six - stamp.Second},
		{"a tenth above the lower mark, the hour before counts", log(501, 1300, six), 0, NotMet, six + stamp.Hour},
		{"a tenth below the upper mark", log(500, 1299, six), 0, Unknown, six},
		{"the same, too long", log(500, 1299, six+1), 0, NotMet, six + 1},
		{"an error of 1 degF at the lower mark", log(500, 1310, six), HeatF, NotMet, six + stamp.Hour},
		{"an error of 1 degF met at both marks", log(490, 1310, six), HeatF, Met, six},
		{"an error of 1 degF, a tenth short", log(490, 1309, six), HeatF, Unknown, six},
		{"begins above", log(500, 1300, six)[2:], 0, Unknown, 0},
		{"falls back and climbs again", append(log(500, 1290, six), ramp(stamp.Hour, 400)[0]), 0, Unknown, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "falls back and climbs again" {
				c.log[3].At, c.got, c.want = c.log[2].At.Add(stamp.Minute), six+stamp.Minute, NotMet
			}
			out := assess(t, Cook{Species: Chicken, Fat: FatUnit, Probe: c.probe}, c.log...)
			require.Equal(t, c.want, out.ComeUp.Verdict)
			require.Equal(t, int64(c.got), out.ComeUp.Got.Value)
		})
	}
}

func TestFindingsNameKnownSources(t *testing.T) {
	out := assess(t, Cook{Species: Turkey, Fat: 1500}, ramp(stamp.Minute, 400, 1500, 1550, 1550)...)
	for _, f := range []Finding{out.Dwell, out.ComeUp} {
		require.NotEmpty(t, SourceOf(f.Source).Title, f.Rule)
		require.NotEmpty(t, f.Formula)
		require.NotEmpty(t, f.Inputs)
	}
}

func TestWarnings(t *testing.T) {
	good := ramp(stamp.Second, append([]int64{400, 900, 1310, 1590, 1595},
		1600, 1610, 1611, 1611, 1612, 1612, 1612, 1611, 1610, 1610, 1610, 1609, 1609, 1608, 1608, 1607)...)
	cook := Cook{Species: Chicken, Fat: FatUnit, Probe: HeatF}
	for _, c := range []struct {
		name string
		cook Cook
		log  []Reading
		want []Warning
	}{
		{"a fine log of one cook", cook, good, nil},
		{"a gap, over a dwell that was shorter", cook, ramp(61*stamp.Second, 400, 1310, 1600, 1610), []Warning{
			{Gaps, 3, 61000}, {Sparse, 61000, 55900}, {Coarse, 0, 0}}},
		{"gaps of exactly a minute are none", cook, ramp(60*stamp.Second, 400, 1310, 1371), []Warning{}},
		{"starts warm", cook, ramp(5*stamp.Second, 491, 1371, 1371), []Warning{{StartsWarm, 9500, 0}}},
		{"starts at the mark", cook, ramp(5*stamp.Second, 490, 1371, 1371), nil},
		{"no come-up, too cool", cook, ramp(5*stamp.Second, 400, 1309), []Warning{{NoComeUp, 0, 0}, {TooCool, 57778, 0}}},
		{"too cool by the probe's error", cook, ramp(5*stamp.Second, 400, 1310, 1369), []Warning{{TooCool, 57778, 0}}},
		{"between columns", Cook{Fat: 7500, Probe: HeatF}, good[:4], []Warning{{BetweenFats, 7, 8}}},
		{"lean", Cook{Fat: 500, Probe: HeatF}, good[:4], []Warning{{LeanFat, 0, 0}}},
		{"no error of the probe", Cook{Fat: FatUnit}, good[:4], []Warning{{NoProbe, 0, 0}}},
		{"the probe was in the oil", cook, ramp(5*stamp.Second, 400, 1310, 2300), []Warning{{TooHot, 110000, 0}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := assess(t, c.cook, c.log...)
			got := out.Warnings
			for i := range got {
				if got[i].Caution == Coarse {
					require.Greater(t, got[i].N, int64(100))
					got[i].N = 0
				}
			}
			require.ElementsMatch(t, c.want, got)
		})
	}
}

func TestLogsThatCannotBeAssessed(t *testing.T) {
	cook := Cook{Species: Chicken, Fat: FatUnit}
	_, err := AssessCook(cook, nil)
	require.ErrorIs(t, err, ErrEmpty)
	for _, later := range []stamp.Milli{begin, begin - 1} {
		_, err = AssessCook(cook, []Reading{{begin - 5, 0}, {begin, 0}, {later, 0}})
		var fault *LogFault
		require.ErrorAs(t, err, &fault)
		require.ErrorIs(t, err, ErrOrder)
		require.Equal(t, 2, fault.Row)
	}
	_, err = AssessCook(cook, []Reading{{begin, HeatMost + 1}})
	require.ErrorIs(t, err, ErrHeat)
	for _, probe := range []Heat{-1, 10*HeatC + 1} {
		_, err = AssessCook(Cook{Fat: FatUnit, Probe: probe}, []Reading{{begin, 0}})
		require.ErrorIs(t, err, ErrProbe)
	}
}
