package kitchen_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// commonKit is a kitchen that works by the procedure of testdata whose numbers are common practice, no source.
func commonKit(t *testing.T) *kit {
	text, err := os.ReadFile("../../../testdata/procedures/common-practice.json")
	require.NoError(t, err)
	k := newKit(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoPublish, Text: string(text)})
	return k
}

// lead lets the steps alone that are not looked at here.
func lead(c kitchen.Command) kitchen.Command {
	c.OverrideBy, c.OverrideReason = "ann", "steps are not looked at here"
	return c
}

// pound is the avoirdupois pound in grams, rounded down. Source: testdata/published/unit-factors.csv.
const pound = 453

// TestCommonPracticeTub: at most 14 lb of meat to a US gallon of water, 6 US fl oz of concentrate to the gallon
// (common practice, no source).
func TestCommonPracticeTub(t *testing.T) {
	k := commonKit(t)
	name := k.s.Procedures()[0].Name
	k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: name, Grams: 42 * pound, Pieces: 112})
	tub := k.s.Batches[0]
	gallon := int64(3785)
	require.InDelta(t, 3*gallon, tub.Mix.Water, 20, "42 lb go into 3 gal")
	require.InDelta(t, 18*2957/100, tub.Mix.Concentrate, 2, "18 fl oz for 3 gal")
	r := k.refused(kitchen.RefVesselFull, kitchen.Command{Do: kitchen.DoStart, Procedure: name, Grams: 43 * pound, Number: 1})
	require.Equal(t, int64(43*pound), r.Number)
}

// TestCommonPracticeSteps: birds of 2.75 to 3 lb, cut eight ways; marinade at 34 to 36 degF; oil at 360 degF (common
// practice, no source). Each a thousandth of a degree, a gram or a piece to either side.
func TestCommonPracticeSteps(t *testing.T) {
	for _, c := range []struct {
		stage, step, unit string
		good, bad         []int64
	}{
		{"mix", "bird", "g", []int64{1248, 1360}, []int64{1246, 1362}},
		{"mix", "cut", "1", []int64{8}, []int64{7, 9}},
		{"marinate", "air", "mC", []int64{1112, 2222}, []int64{1110, 2224}},
		{"load", "oil", "mC", []int64{182_222}, []int64{182_220, 182_224}},
	} {
		for _, good := range []bool{true, false} {
			values := map[bool][]int64{true: c.good, false: c.bad}[good]
			for _, v := range values {
				k := commonKit(t)
				id := k.say(&entry.Start{Procedure: k.s.Procedures()[0].Name, Version: 1, Stage: c.stage, Vessel: "tub", Grams: 9000})
				k.say(&entry.Step{Batch: id, Stage: c.stage, Step: c.step, Value: v, Unit: c.unit})
				if good {
					require.Empty(t, k.s.Deviations, "%s %d", c.step, v)
				} else {
					require.Equal(t, v, k.off(kitchen.DevOutOfLimit).Number, "%s %d", c.step, v)
				}
			}
		}
	}
}

// TestCommonPracticeWindows walks a tub by the common practice procedure, and tries every boundary one second to either
// side: marinade best 8 to 12 h and never over 24 h; drain cold at least 45 min; set cold 45 min to 12 h; drain 30 s
// after the cook; stage no longer than 5 min; serve within 1 h (common practice, no source).
func TestCommonPracticeWindows(t *testing.T) {
	const h, m, s = stamp.Hour, stamp.Minute, stamp.Second
	for _, c := range []struct {
		stage       string
		at          stamp.Span
		refused     kitchen.RefusalCode
		mayOverride bool
	}{
		{"marinate", 8*h - s, 0, false}, {"marinate", 24 * h, 0, false}, {"marinate", 24*h + s, kitchen.RefPastLimit, false},
		{"drain", 45*m - s, kitchen.RefTooSoon, true}, {"drain", 45 * m, 0, false}, {"drain", 45*m + s, 0, false},
		{"set", 45*m - s, kitchen.RefTooSoon, true}, {"set", 45 * m, 0, false}, {"set", 12 * h, 0, false},
		{"set", 12*h + s, kitchen.RefPastLimit, true},
		{"drip", 30*s - s, kitchen.RefTooSoon, true}, {"drip", 30 * s, 0, false}, {"drip", 31 * s, 0, false},
		{"stage", 5*m - s, 0, false}, {"stage", 5 * m, 0, false}, {"stage", 5*m + s, kitchen.RefPastLimit, true},
		{"hold", h - s, 0, false}, {"hold", h, 0, false}, {"hold", h + s, kitchen.RefPastLimit, false},
	} {
		k := commonKit(t)
		p := k.s.Procedures()[0]
		st, _ := p.Stage(c.stage)
		id := k.say(&entry.Start{
			Procedure: p.Name, Version: p.Version, Stage: c.stage, Vessel: st.Vessel, Number: 1, Grams: 3000, Pieces: 20,
		})
		for _, step := range st.Steps { // the one step of the marinade
			k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: step.Name, Value: 1700, Unit: "mC"})
		}
		k.wait(c.at)
		tap := kitchen.Command{Do: kitchen.DoMove, Batch: id}
		switch next := p.Next(c.stage); {
		case next == nil:
			tap = kitchen.Command{Do: kitchen.DoCount, Batch: id, Count: 1}
		case next.Vessel != st.Vessel:
			k.do(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 169_000, Unit: "mC"})
			tap = kitchen.Command{Do: kitchen.DoPortion, Batch: id}
		}
		if c.refused == kitchen.RefNone {
			k.do(tap)
			continue
		}
		require.Equal(t, c.mayOverride, k.refused(c.refused, tap).Override, "%s at %d ms", c.stage, c.at)
		if c.mayOverride {
			k.do(lead(tap))
		} else {
			k.refused(c.refused, lead(tap))
		}
	}
}
