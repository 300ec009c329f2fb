package screen

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// The model code's limit stands beside the kitchen's own, with its source, and what can be done when it is not met.
// Food Code 3-501.16: testdata/published/food-code-numbers.csv.
func TestAPlaceIsHeldAgainstTheModelCode(t *testing.T) {
	for _, c := range []struct {
		place string
		mC    int64
		says  string
		do    bool
	}{
		{"cold-room", 3_200, "Limit of 5.0 °C met, by 1.8 °C. FDA Food Code, 3-501.16(A)(2) (2022). Follow your local code.", false},
		{"cold-room", 5_000, "Limit of 5.0 °C met, by 0.0 °C.", false},
		{"cold-room", 5_100, "Limit of 5.0 °C not met, by 0.1 °C.", true},
		{"cabinet-1", 57_000, "Limit of 57.0 °C met, by 0.0 °C. FDA Food Code, 3-501.16(A)(1) (2022).", false},
		{"cabinet-1", 56_900, "Limit of 57.0 °C not met, by 0.1 °C.", true},
	} {
		w := midshift(t)
		w.read(c.place, c.mC)
		d := draw(t, w.ctx("maren", "/place/"+c.place))
		faults := partsOf(d, "fault")
		if !c.do {
			require.Empty(t, faults)
			require.Contains(t, said(d), c.says)
			continue
		}
		require.Len(t, faults, 1)
		require.Equal(t, "Limit not met", faults[0]["title"])
		require.Contains(t, strings.ReplaceAll(toStrings(faults[0]["lines"])[0], "\u00a0", " "), c.says)
		require.Contains(t, faults[0]["lines"], "Read again with a second, checked probe.")
		require.Contains(t, faults[0]["lines"], "Call the lead, who decides.")
	}
	require.NotContains(t, said(draw(t, midshift(t).ctx("maren", "/place/fryer-1"))), "Food Code")
}

// How long a place has been off its limit counts from the last reading within it, and what four hours are over is discarded.
func TestAPlaceSaysHowLongItHasBeenOff(t *testing.T) {
	w := midshift(t) // the cold room was read at 10:00: 3.2 °C
	w.read("cold-room", 7_000)
	w.wait(30 * stamp.Minute)
	w.read("cold-room", 6_000)
	page := func() string {
		return strings.Join(toStrings(partsOf(draw(t, w.ctx("maren", "/place/cold-room")), "fault")[0]["lines"]), "\n")
	}
	require.Contains(t, page(), "By the readings, off since 10:00: 2\u00a0h\u00a008 of the 4\u00a0h that time as a control allows, until 14:00. FDA Food Code, 3-501.19(B) (2022).")
	require.Contains(t, page(), "Use it first.")
	require.NotContains(t, page(), "Discard")
	w.now = at(14, 0)
	require.NotContains(t, page(), "Discard", "four hours exactly")
	w.now++
	require.True(t, strings.HasSuffix(page(), "Call the lead, who decides.\nDiscard it and count it as waste."), "it may have been off only since 11:38")
	w.now = at(15, 38) + 1
	require.Contains(t, page(), "(2022).\nDiscard it and count it as waste.")
	w.read("cold-room", 4_000)
	require.Empty(t, partsOf(draw(t, w.ctx("maren", "/place/cold-room")), "fault"))
	w.wait(stamp.Minute)
	w.read("cold-room", 6_000)
	require.Contains(t, page(), "off since 15:38: 1\u00a0min of the 4\u00a0h")
}

func toStrings(list any) []string {
	var out []string
	for _, s := range list.([]any) {
		out = append(out, s.(string))
	}
	return out
}

// A mark that ends with the days that the model code counts says so, with its source; one that a part of the batch
// carried says that it carries it.
func TestAMarkSaysWhichDaysItCounts(t *testing.T) {
	w := midshift(t)
	text, err := os.ReadFile("../../demo/documents/procedure-bone-in.json")
	require.NoError(t, err)
	long := strings.NewReplacer(`"ceiling": "PT50M"`, `"ceiling": "P10D"`, `"version": 7`, `"version": 8`).Replace(string(text))
	w.make("maren", &entry.Document{What: kitchen.WhatProcedure, Name: "bone-in", Version: 8, Text: long})
	id := w.id()
	w.make("maren", &entry.Start{Batch: id, Code: "7K3M", Procedure: "bone-in", Version: 8, Stage: "hold", Vessel: "tray", Number: 9, Grams: 900, Pieces: 8})
	b := w.open("tray", 9)
	require.Equal(t, w.s.DayStart(w.s.WallDay(w.now)+7)-1, b.UseBy)
	says := said(draw(t, w.ctx("maren", "/mark/"+id.String())))
	require.Contains(t, says, "at most 7 days, that of making counted as the first. FDA Food Code, 3-501.17(A) (2022). Follow your local code")
	require.NotContains(t, says, "at most 240 h")
	b.UseBy -= 1000
	require.Contains(t, said(draw(t, w.ctx("maren", "/mark/"+id.String()))), "the strictest limit that it carries")
}
