package screen

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/stamp"
)

// texts returns all texts on a screen, one a line, a no-break space as a space.
func texts(t testing.TB, d drawn) string {
	t.Helper()
	var out []string
	each(d, func(o map[string]any) {
		for _, v := range o {
			if s, ok := v.(string); ok {
				out = append(out, s)
			}
			run := ""
			list, _ := v.([]any)
			for _, x := range list {
				if s, ok := x.(string); ok {
					out = append(out, s)
				} else if o, ok := x.(map[string]any); ok && o["t"] != nil {
					run += o["t"].(string)
				}
			}
			out = append(out, run)
		}
	})
	return strings.ReplaceAll(strings.Join(out, "\n"), "\u00a0", " ")
}

// changed publishes a demo document anew with something in it replaced, and everybody is signed off for it.
func (w *world) changed(file, what, name string, version uint32, pairs ...string) {
	w.publish(file, what, name, version, pairs...)
	w.signAll()
}

func (w *world) publish(file, what, name string, version uint32, pairs ...string) {
	text, err := os.ReadFile("../../demo/documents/" + file)
	require.NoError(w.t, err)
	s := regexp.MustCompile(`"version": \d+`).ReplaceAllString(string(text), fmt.Sprintf(`"version": %d`, version))
	for i := 0; i < len(pairs); i += 2 {
		require.Equal(w.t, 1, strings.Count(s, pairs[i]), pairs[i])
		s = strings.Replace(s, pairs[i], pairs[i+1], 1)
	}
	w.make("", &entry.Document{What: what, Name: name, Version: version, Text: s})
}

// A probe is held against ice, then against water that boils at 310 m: what it should read is what the published formulas
// say, and the number typed is judged to the tenth.
func TestProbeIsCheckedInIceAndBoilingWater(t *testing.T) {
	w := newWorld(t, noon)
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/kitchen"))), "Probe 1: never checked")
	d := draw(t, w.ctx("teo", "/probes"))
	require.Contains(t, d.links(), "/probe/probe-1")
	require.Contains(t, texts(t, d), "never checked")
	choose := texts(t, draw(t, w.ctx("teo", "/probe/probe-1")))
	require.Contains(t, choose, "Should read 0.0 °C")
	require.Equal(t, int64(98_944), physics.BoilingPoint(310_000), "between the table's 98.977 at 300 m and 98.312 at 500 m")
	require.Contains(t, choose, "Should read 98.94 °C at 310 m")

	good := draw(t, w.ctx("teo", "/probe/probe-1?by=ice&v=0.9"))
	require.NotNil(t, partOf(good, "caution"))
	require.Nil(t, partOf(good, "fault"))
	w.tap("teo", deed(t, good, kitchen.DoCheck))
	require.True(t, w.s.Probe("probe-1").Check.Met())
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/probes"))), "good check until", "due a week later")
	w.wait(7*stamp.Day + stamp.Minute)
	require.Equal(t, 2, strings.Count(texts(t, draw(t, w.ctx("teo", "/probes"))), "Check due"), "the other was never checked")

	for text, met := range map[string]bool{"1": true, "1.1": false, "-1": true, "-1.1": false} {
		d := draw(t, w.ctx("teo", "/probe/probe-1?by=ice&v="+text))
		require.Equal(t, met, partOf(d, "fault") == nil, text)
	}
	bad := draw(t, w.ctx("teo", "/probe/probe-1?by=boiling&v=97.9"))
	require.Contains(t, texts(t, bad), "scald", "the caution stands before the step")
	require.Contains(t, texts(t, bad), "97656 Pa at 310 m")
	require.Contains(t, texts(t, bad), "97.94 to 99.94 °C")
	require.Contains(t, texts(t, bad), "0.04 °C under the limit", "never none where it is off")
	require.Contains(t, texts(t, bad), "Read nothing with it")
	w.tap("teo", deed(t, bad, kitchen.DoCheck))
	require.False(t, w.s.Probe("probe-1").Check.Met())
	last := texts(t, draw(t, w.ctx("teo", "/probe/probe-1")))
	require.Contains(t, last, "reads 1.04 °C too little")
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/kitchen"))), "Do not use")
	require.NotContains(t, strings.ToLower(last), "safe")
}

// Readings with a probe since its last good check go under review when it fails, and the screen says how many beforehand.
func TestFailedProbePutsItsReadingsUnderReview(t *testing.T) {
	w := newWorld(t, noon)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoCheck, Probe: "probe-2", Answer: entry.IcePoint, Value: 300, Unit: "mC"})
	for range 3 {
		w.wait(stamp.Hour)
		w.tap("teo", &kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 168_000, Unit: "mC", Probe: "probe-2"})
	}
	w.wait(stamp.Hour)
	d := draw(t, w.ctx("teo", "/probe/probe-2?by=ice&v=2.5"))
	require.Contains(t, texts(t, d), "3 readings with it go under review.")
	w.tap("teo", deed(t, d, kitchen.DoCheck))
	after := draw(t, w.ctx("teo", "/probe/probe-2"))
	require.Contains(t, texts(t, after), "3 readings with it go under review.")
	require.NotEmpty(t, w.s.UnderReview("probe-2", noon.Add(2*stamp.Hour)))
	found := false
	for _, to := range after.links() {
		found = found || strings.HasPrefix(to, "/deviation/")
	}
	require.True(t, found, "one tap to the deviation")
}

// A probe with a scale in degrees Fahrenheit alone has the wider limit; without an altitude the boiling point is doubted.
func TestProbeInFahrenheitWithoutAltitude(t *testing.T) {
	w := newWorld(t, noon)
	w.changed("equipment.json", kitchen.WhatEquipment, "kitchen", 90, "\"altitude\": \"310 m\",\n", "", "Sonda 1\"}, \"unit\": \"Cel\"", "Sonda 1\"}, \"unit\": \"[degF]\"")
	require.Equal(t, "[degF]", w.s.Equipment().Probe("probe-1").TypedIn)
	for text, met := range map[string]bool{"34": true, "34.1": false, "30": true, "29.9": false} {
		d := draw(t, w.ctx("teo", "/probe/probe-1?by=ice&v="+text))
		require.Equal(t, met, partOf(d, "fault") == nil, text)
		require.Contains(t, texts(t, d), "30.0 to 34.0 °F")
	}
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/probe/probe-1?by=boiling"))), "Nothing says how high")
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/probe/probe-1?by=boiling"))), "211.9 °F at 0 m")
}

// What the screen says of altitude and weather follows from the formulas: 1000 m 3.3 °C, 20 hPa 0.6 °C.
func TestWhatIsSaidOfAltitudeAndWeather(t *testing.T) {
	require.InDelta(t, 3300, physics.BoilingPoint(0)-physics.BoilingPoint(1_000_000), 50)
	require.InDelta(t, 550, physics.SteamPoint(0, 2000)-physics.SteamPoint(0, 0), 50)
}

// 27.6 kg in two tubs are 13.8 kg and 22.6 L each: a tub of 28 L has headroom, one of 20 L is too small, and then there is
// no way to start, but one to more tubs.
func TestStartSaysWhenTheTubIsTooSmall(t *testing.T) {
	w := newWorld(t, noon)
	d := draw(t, w.ctx("teo", "/start/bone-in?g=27.6&lots=L1"))
	require.Contains(t, texts(t, d), "Headroom")
	require.Contains(t, texts(t, d), "1.7 % salt, 6.6 °SAL, specific gravity 1.012 (estimate)", "310 g/L x 60/1060")
	require.Nil(t, partOf(d, "fault"))
	require.NotEmpty(t, d["dock"])

	small := draw(t, w.ctx("teo", "/start/bone-in?g=27.6&lots=L1&holds=20"))
	fault := partOf(small, "fault")
	require.Equal(t, "The tub is too small by 3.2\u00a0L", fault["title"])
	require.Nil(t, small["dock"], "raw juice on the floor is no start")
	require.EqualValues(t, 11_922, w.s.Procedure("bone-in", 0).Mix.Fits(20_000))
	require.Contains(t, texts(t, small), "At most 11.9 kg go in", "rounded down")
	require.Contains(t, small.links(), "/start/bone-in?tubs=3&g=27.6&lots=L1&holds=20")
	three := draw(t, w.ctx("teo", "/start/bone-in?tubs=3&g=27.6&lots=L1&holds=20"))
	require.Nil(t, partOf(three, "fault"))
	require.NotEmpty(t, three["dock"])
	why := texts(t, draw(t, w.ctx("teo", "/start/bone-in?g=27.6&lots=L1&why=1")))
	require.Contains(t, why, "product / 1030 g/L (raw chicken")
	require.Contains(t, why, "from memory")
}

// Little brine for much meat leaves meat bare; a strong one lifts it. Neither is said of potatoes.
func TestStartSaysWhenMeatStandsOutOrFloats(t *testing.T) {
	w := newWorld(t, noon)
	w.changed("procedure-bone-in.json", kitchen.WhatProcedure, "bone-in", 90,
		`"meatPerWater": "1.5 kg/L", "concentratePerWater": "60 mL/L"`, `"meatPerWater": "2.5 kg/L", "concentratePerWater": "300 mL/L"`)
	d := texts(t, draw(t, w.ctx("teo", "/start/bone-in?g=15&lots=L1")))
	require.Contains(t, d, "Meat stands out of the brine")
	require.Contains(t, d, "8.2 L of brine to be covered; there are 7.8 L, ")
	require.Contains(t, d, "pieces rise")
	require.NotContains(t, texts(t, draw(t, w.ctx("teo", "/start/wedges?g=9&lots=L1"))), "pieces rise")
}

// A tub's pick-up is its drained weight against its green weight; a pan's yield is what came out of it.
func TestPickUpAndYieldOfABatch(t *testing.T) {
	w := newWorld(t, noon)
	p := newPage(w.ctx("teo", "/"))
	b := kitchen.Batch{ID: w.id(), InGrams: 18_144, Status: kitchen.Used, Mix: entry.Mix{Water: 12_000}}
	one := kitchen.Batch{ID: w.id(), InGrams: 19_777, Parents: []entry.ID{b.ID}}
	w.s.Batches = append(w.s.Batches, b, one)
	p.State = w.s
	b.Children = []entry.ID{one.ID}
	row := func() string {
		var r pairs
		if p.yieldRow(&r, &b); len(r.rows) == 0 {
			return ""
		}
		return r.rows[0].key + ": " + flat(r.rows[0].value)
	}
	require.Equal(t, "Pick-up: 9.0 %: 18.1\u00a0kg in, 19.8\u00a0kg out; usual are 5 to 20 % (from memory)", row())
	b.Mix = entry.Mix{}
	require.Equal(t, "Yield: 109.0 %: 18.1\u00a0kg in, 19.8\u00a0kg out", row())
	w.s.Batches[1].InGrams = 15_000
	require.Equal(t, "Yield: 82.7 %: 18.1\u00a0kg in, 15.0\u00a0kg out", row())
	b.Status = kitchen.Open
	require.Empty(t, row(), "not yet")
	b.Status = kitchen.Used
	w.s.Batches[1].Parents = append(w.s.Batches[1].Parents, w.id())
	require.Empty(t, row(), "two pans in one load: nobody can tell them apart")
}

// A time is proposed only with its basis and the caution; further out than 15 % there is none, and the numbers say why.
func TestCookTimeByWeight(t *testing.T) {
	w := newWorld(t, noon)
	require.Contains(t, draw(t, w.ctx("teo", "/start/bone-in")).links(), "/cooktime/bone-in")
	for grams, want := range map[string]string{"1.2": "For 1.2 kg: 10 min 50 s", "1.3": "For 1.3 kg: 11 min 2", "1.8": "For 1.8 kg: 13 min 42 s", "0.85": "For 850 g: 8 min 49 s"} {
		d := texts(t, draw(t, w.ctx("teo", "/cooktime/bone-in?g="+grams)))
		require.Contains(t, d, want)
		require.Contains(t, d, "probe the thickest piece of the first load")
		require.Contains(t, d, "Invented table for the demo kitchen")
	}
	for _, grams := range []string{"0.849", "1.841", "9"} {
		d := texts(t, draw(t, w.ctx("teo", "/cooktime/bone-in?g="+grams)))
		require.Contains(t, d, "No time for")
		require.Contains(t, d, "15 % beyond it end at 850 g and 1.84 kg")
	}
	require.Equal(t, "missing", draw(t, w.ctx("teo", "/cooktime/wedges"))["kind"], "no table, no time")
}

// A delivery whose birds are off the procedure's range opens a deviation, and its screen proposes the time; where the
// procedure gives no range, the table's rows are the range.
func TestDeliveryOffItsWeightProposesATime(t *testing.T) {
	w := newWorld(t, noon)
	deliver := func(weights ...int64) int {
		before := len(w.s.Deviations)
		w.wait(stamp.Minute)
		w.tap("maren", &kitchen.Command{Do: kitchen.DoDeliver, Procedure: "bone-in", Name: "Farm", Lots: []string{"L9"}, Grams: 20_000,
			Value: 3000, Unit: "mC", Weights: weights})
		return len(w.s.Deviations) - before
	}
	proposed := func() string {
		d := w.s.Deviations[len(w.s.Deviations)-1]
		require.Equal(t, kitchen.DevUnitWeight, d.Code)
		return texts(t, draw(t, w.ctx("maren", "/deviation/"+d.Key)))
	}
	require.Equal(t, 1, deliver(1300, 1500), "1150 to 1450 g")
	require.Contains(t, proposed(), "For 1.5 kg: 12 min 1")
	require.Contains(t, proposed(), "Estimate, between rows of the table")
	require.Contains(t, proposed(), "The fryer's manual and the probe decide")

	w.changed("procedure-bone-in.json", kitchen.WhatProcedure, "bone-in", 90, `"min": "1150 g",`, `"min": "1 kg",`, `"max": "1450 g",`, `"max": "1.6 kg",`)
	require.Equal(t, 0, deliver(1300, 1500))
	require.Equal(t, 1, deliver(1300, 1700, 1500))
	require.Contains(t, proposed(), "For 1.7 kg: 13 min 11 s")
	require.Contains(t, proposed(), "Estimate, from the nearest row by mass to the two thirds")
	require.Equal(t, 1, deliver(2000))
	require.Contains(t, proposed(), "No time for 2 kg")
}

// deed returns the command of a screen's button that does something of a kind: what rings has buttons of its own.
func deed(t *testing.T, d drawn, do string) *kitchen.Command {
	for _, c := range d.commands(t) {
		if c.Do == do {
			return c
		}
	}
	require.Fail(t, "no button", "that does %q", do)
	return nil
}
