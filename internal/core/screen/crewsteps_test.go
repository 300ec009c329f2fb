package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// troubled is a kitchen in which one step was slow and asked about, and one window was missed.
func troubled(t *testing.T) *world {
	w := newWorld(t, noon)
	for i := range byte(5) {
		id := w.id()
		w.make("teo", &entry.Start{Batch: id, Procedure: "bone-in", Version: w.s.Procedure("bone-in", 0).Version, Stage: "release", Vessel: "load", Number: uint32(i) + 1, Pieces: 8, Place: "fryer-1"})
		mark := func(step string, after stamp.Span, value int64) {
			w.wait(after)
			w.make("teo", &entry.Step{Batch: id, Stage: "release", Step: step, Value: value, Unit: "mC", Answer: "yes"})
		}
		mark("vent", 10*stamp.Second, 0)
		long := 20 * stamp.Second
		if i == 3 {
			long = 2 * stamp.Minute
		}
		mark("gauge", long, 0)
		mark("core", 20*stamp.Second, 60_000) // under its limit
		if i == 4 {
			spot := entry.Spot{Batch: id, Stage: "release"}
			guide, ask := w.id(), w.id()
			w.make("teo", &entry.Guide{Guide: guide, Spot: spot, Crew: "teo", Trainer: "maren"})
			w.make("teo", &entry.GuideAsk{Ask: ask, Guide: guide, Spot: spot, Step: "gauge", Help: true})
			w.make("maren", &entry.TrainerNote{Crew: "teo", Spot: spot, Step: "gauge", Tone: entry.ToneSlow})
			w.make("maren", &entry.TrainerNote{Crew: "teo", Spot: spot, Step: "gauge", Tone: entry.ToneWell})
		}
	}
	return w
}

func TestStepsThatMakeTrouble(t *testing.T) {
	w := troubled(t)
	uses := w.s.Uses()
	gauge := uses.Of(kitchen.WhatProcedure, "bone-in", "release", "gauge")
	require.Equal(t, []int64{0, 1, 1, 1}, []int64{gauge.Offs, gauge.Slow(), gauge.Helps, gauge.Wrong})
	require.Equal(t, 20*stamp.Second, gauge.Median())
	core := uses.Of(kitchen.WhatProcedure, "bone-in", "release", "core")
	require.EqualValues(t, 5, core.Offs)
	require.Equal(t, "core", uses.Worst()[0].Step, "the worst comes first")
	for _, u := range uses.Worst() {
		require.Positive(t, u.Trouble())
	}
	p := newPage(w.ctx("maren", "/crew/steps"))
	p.Saved.InTouch = false
	p.stepsScreen()
	var d drawn
	require.NoError(t, json.Unmarshal(p.render(), &d))
	text := said(d)
	require.Contains(t, text, "5 deviations (last 60.0 °C, limit 75.0 °C)")
	require.Contains(t, text, "1 slow tap of 5, 1 call for help, 1 trainer's note; timed 5 times, usually 20 s")
	require.Contains(t, d.links(), "/crew/steps/of/procedure/bone-in/release/gauge")

	p = newPage(w.ctx("maren", "/crew/steps/of/procedure/bone-in/release/core"))
	p.stepsScreen()
	require.NoError(t, json.Unmarshal(p.render(), &d))
	require.Contains(t, said(d), "Is the limit what the equipment can hold?")
	require.Contains(t, said(d), "Numbers that were off")
	require.Equal(t, 6, strings.Count(said(d), "60.0 °C, limit 75.0 °C"), "each of the five, and the last one beside their count")
	p = newPage(w.ctx("ines", "/crew/steps/of/procedure/bone-in/cook/"))
	p.stepsScreen()
	require.NoError(t, json.Unmarshal(p.render(), &d))
	require.Contains(t, said(d), "Ventana: Fritura")
	require.Contains(t, said(d), "13 min")
}

// The kitchen's server draws the same parts from what it found, and the days to a signature beside them.
func TestStepsPageOfTheServer(t *testing.T) {
	w := troubled(t)
	ctx := w.ctx("maren", "/crew/steps")
	out := StepsPage(ctx, w.s.Uses(), []SignTime{{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Took: 50 * stamp.Hour, At: w.now},
		{Crew: "ines", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Took: 9 * stamp.Day, At: w.now}})
	var d drawn
	require.NoError(t, json.Unmarshal(out, &d))
	text := said(d)
	require.Contains(t, text, "Teo")
	require.Contains(t, text, "3 days", "a day begun is a day")
	require.Contains(t, text, "9 days")
	require.NotContains(t, text, "signtime")
	out = StepsPage(w.ctx("ines", "/crew/steps"), w.s.Uses(), []SignTime{{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Took: 50 * stamp.Hour, At: w.now},
		{Crew: "ines", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Took: 9 * stamp.Day, At: w.now}})
	require.Contains(t, string(out), "9 días")
	require.NotContains(t, string(out), "3 días", "how long another took is for who teaches and leads")
	empty := StepsPage(newWorld(t, noon).ctx("maren", "/crew/steps"), nil, nil)
	require.Contains(t, string(empty), "No step stands out")
}
