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

// partOf returns the first part of a kind on a screen, or nil.
func partOf(d drawn, kind string) map[string]any {
	for _, p := range d["parts"].([]any) {
		if o := p.(map[string]any); o["p"] == kind {
			return o
		}
	}
	return nil
}

// TestMarkSaysHowItIsKept: raw product is kept cold; a tray that is held hot must not say so.
func TestMarkSaysHowItIsKept(t *testing.T) {
	w := midshift(t)
	kind := func(b *kitchen.Batch) string {
		return partOf(draw(t, w.ctx("teo", "/mark/"+b.ID.String())), "mark")["kind"].(string)
	}
	require.Equal(t, "RAW, setting cold. Keep cold.", kind(w.open("pan", 2)))
	require.Equal(t, "Cooked, for sale. Hold cabinet: at least 57.0\u00a0°C.", kind(w.open("tray", 2)))
	require.NotContains(t, kind(w.open("load", w.load("fryer-1"))), "Keep cold", "it lies in hot oil")
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "wedges", Grams: 9000, Lots: []string{"P-1"}})
	tub := w.s.Batch(w.last.Body.(*entry.Start).Batch)
	require.Regexp(t, `^Uncooked, .*\. Keep cold\.$`, kind(tub), "potatoes are neither raw poultry nor cooked")
}

// TestUndoNamesAllThatOneTapStarted: taking back the start of two tubs takes back both, so it names both.
func TestUndoNamesAllThatOneTapStarted(t *testing.T) {
	w := midshift(t)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 28500, Lots: []string{"FR-2612"}})
	undo := draw(t, w.ctx("teo", "/"))["undo"].(map[string]any)
	require.Regexp(t, `^Tub \d+ and Tub \d+, `, undo["detail"])
	w.tap("teo", &kitchen.Command{Do: kitchen.DoUndo, Entry: w.last.Entry})
	require.Empty(t, w.s.OneTap(w.last.Entry), "a withdrawal started nothing")
}

// TestTimerRingPutsItAway: a timer that is up has no steps; its second answer ends it, in one tap.
func TestTimerRingPutsItAway(t *testing.T) {
	w := midshift(t)
	w.gotAll()
	w.now = w.s.Timers[0].Due
	for _, b := range kitchen.Bells(w.s, w.now, 0) {
		if b.Point != kitchen.PointTimer {
			w.tap("teo", &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key})
		}
	}
	ring := draw(t, w.ctx("teo", "/"))["ring"].(map[string]any)
	steps := ring["steps"].(map[string]any)
	require.Equal(t, "Got it, put it away", steps["label"])
	w.tap("teo", drawn{"b": steps}.commands(t)[0])
	require.True(t, w.s.Timers[0].Ended)
	require.NotContains(t, draw(t, w.ctx("teo", "/")), "ring")
}

// TestClosedDeviationLeavesItsBatch: what a lead has answered no longer stands on the batch as if it were open.
func TestClosedDeviationLeavesItsBatch(t *testing.T) {
	w := midshift(t)
	b := w.open("load", w.load("fryer-1"))
	w.wait(stamp.Hour) // long past its limit, in hot oil
	w.on("ines", "load", w.load("fryer-1"))
	b = w.s.Batch(b.ID)
	require.NotEmpty(t, b.Doubt)
	path := "/batch/" + b.ID.String()
	off := "/deviation/" + escape(b.Doubt)
	require.Contains(t, draw(t, w.ctx("maren", path)).links(), off)
	w.tap("maren", &kitchen.Command{Do: kitchen.DoAnswer, Deviation: b.Doubt, Text: "discarded after release", Closes: true})
	require.NotContains(t, draw(t, w.ctx("maren", path)).links(), off)
}

// TestHoldSaysWhatItsMinutesCount: no bare number.
func TestHoldSaysWhatItsMinutesCount(t *testing.T) {
	w := midshift(t)
	found := false
	for _, p := range draw(t, w.ctx("teo", "/hold"))["parts"].([]any) {
		o := p.(map[string]any)
		sub, ok := o["sub"].([]any)
		if o["p"] != "strip" || !ok {
			continue
		}
		for _, r := range sub {
			if c, ok := r.(map[string]any)["c"].(map[string]any); ok {
				found = true
				require.NotEmpty(t, c["post"], "%v", c)
			}
		}
	}
	require.True(t, found)
}

// TestCorrectingWasteKeepsItWaste: what was counted as wasted is corrected as wasted, and both numbers stay readable.
func TestCorrectingWasteKeepsItWaste(t *testing.T) {
	w := midshift(t)
	tray := w.open("tray", 2).ID
	sold := w.s.Batch(tray).Sold
	row := func(i int) map[string]any {
		d := draw(t, w.ctx("maren", "/batch/"+tray.String()+"/history"))
		return partOf(d, "history")["rows"].([]any)[i].(map[string]any)
	}
	before := w.s.Append(nil)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoCount, Batch: tray, Wasted: 2})
	require.Equal(t, "Wasted 2 pieces", row(0)["text"])
	counted := entry.New(w.last.Entry, w.clock.Next(w.now), "teo", w.last.Body)

	w.wait(stamp.Minute)
	c := drawn{"b": row(0)["actions"].([]any)[0]}.commands(t)[0] // it answers 3
	require.Nil(t, w.decide("maren", c))
	correction := entry.New(w.last.Entry, w.clock.Next(w.now), "maren", w.last.Body)

	var err error // what a log does: it folds the count again, knowing its correction
	w.s, err = kitchen.Read(before)
	require.NoError(t, err)
	w.s.Apply(&counted, kitchen.Amended{By: &correction})
	w.s.Apply(&correction, kitchen.Amended{})
	require.Equal(t, []int64{sold, 3}, []int64{w.s.Batch(tray).Sold, w.s.Batch(tray).Wasted})
	require.Equal(t, []any{"Wasted 2 pieces", "Maren", true}, []any{row(0)["text"], row(0)["who"], row(0)["struck"] != nil})
	require.Equal(t, []any{"Wasted 3 pieces", "Teo", true}, []any{row(1)["text"], row(1)["who"], row(1)["corrected"] != nil})
}

// TestFastDemoRingsOnce: at real pace a bell comes back until the work is done; at 60 times as fast it is answered for good.
func TestFastDemoRingsOnce(t *testing.T) {
	w := midshift(t)
	w.gotAll()
	w.wait(10 * stamp.Minute)
	w.gotAll()
	w.wait(stamp.Minute + stamp.Second) // the patience of what lies in a fryer
	ctx := w.ctx("maren", "/kitchen")
	require.Contains(t, draw(t, ctx), "ring")
	ctx.Pace = 60
	require.NotContains(t, draw(t, ctx), "ring", "the switch can be reached")
}

// TestHotOilRingsFirst: of two bells that are equally urgent, what lies in hot oil comes first, however late the other is.
func TestHotOilRingsFirst(t *testing.T) {
	w := midshift(t)
	w.wait(5 * stamp.Minute) // a tray past its limit for a while, and both cooks past theirs
	ring := draw(t, w.ctx("maren", "/"))["ring"].(map[string]any)
	require.Equal(t, "danger", ring["level"])
	require.Regexp(t, "^Fryer", ring["name"])
	require.Contains(t, ring["also"], "Also Tray A: discard 5 pieces")
}

// TestGotItNamesWho: on every device the strip says who is on the way; nobody is named before, nor when nobody said.
func TestGotItNamesWho(t *testing.T) {
	w := midshift(t)
	w.wait(5 * stamp.Minute)
	b := w.open("load", w.load("fryer-1"))
	said := func(path string) bool {
		text, err := json.Marshal(draw(t, w.ctx("teo", path))["parts"])
		require.NoError(t, err)
		return strings.Contains(string(text), "Inés has it")
	}
	for _, path := range []string{"/", "/batch/" + b.ID.String()} {
		require.False(t, said(path))
	}
	w.gotAll()
	for _, path := range []string{"/", "/batch/" + b.ID.String()} {
		require.True(t, said(path), path)
	}
	w.wait(3 * stamp.Minute) // it rings again: whoever had it did not do it
	text, err := json.Marshal(stripOf(draw(t, w.ctx("teo", "/")), "Fryer 1"))
	require.NoError(t, err)
	require.NotContains(t, string(text), "has it")
}

// stripOf returns the strip of a name.
func stripOf(d drawn, name string) map[string]any {
	for _, p := range d["parts"].([]any) {
		if o := p.(map[string]any); o["p"] == "strip" && o["name"] == name {
			return o
		}
	}
	return nil
}

// TestVesselsAreNotOverfilledByMerging: two full pans do not go into one, and so it is not offered.
func TestVesselsAreNotOverfilledByMerging(t *testing.T) {
	w := midshift(t)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 30000, Number: 2, Lots: []string{"FR-2612"}})
	tubs := w.s.OneTap(w.last.Entry)
	require.Len(t, tubs, 2)
	both := &kitchen.Command{Do: kitchen.DoPortion, To: "mix", Number: 1,
		Shares: []kitchen.Wanted{{Batch: tubs[0], All: true}, {Batch: tubs[1], All: true}}}
	r := w.decide("teo", both)
	require.NotNil(t, r)
	require.Equal(t, []any{kitchen.RefVesselFull, int64(30000), int64(16000)}, []any{r.Code, r.Number, r.Limit})
	text, err := json.Marshal(draw(t, w.ctx("teo", "/portion/"+tubs[0].String()+"?split=1")))
	require.NoError(t, err)
	require.NotContains(t, string(text), "Put together with")
}

// TestJoinSaysWhereADeviceIs: a device that has a kitchen is not told that it has none.
func TestJoinSaysWhereADeviceIs(t *testing.T) {
	w := midshift(t)
	said := func(joined bool) string {
		ctx := w.ctx("teo", "/join")
		ctx.Saved.Joined = joined
		text, err := json.Marshal(draw(t, ctx)["parts"])
		require.NoError(t, err)
		return string(text)
	}
	require.Contains(t, said(true), "Halfmoon Ferry Canteen")
	require.NotContains(t, said(true), "no kitchen yet")
	require.Contains(t, said(false), "no kitchen yet")
}

// TestOilOffItsLimitStandsOnTheButton: on a small phone the verdict lies under the keys, so the button says it too.
func TestOilOffItsLimitStandsOnTheButton(t *testing.T) {
	w := midshift(t)
	small := func(typed string) any {
		return draw(t, w.ctx("teo", "/place/fryer-1?v="+typed))["dock"].([]any)[0].(map[string]any)["small"]
	}
	require.Equal(t, "14.0 °C under the limit", small("150"))
	require.Equal(t, "Fryer 1", small("168"))
}

// TestSheetJudgesWhileTyping: a number typed on a step's sheet is judged by the same rule as on a pad, before it is kept.
func TestSheetJudgesWhileTyping(t *testing.T) {
	w := midshift(t)
	draft := func(query string) map[string]any {
		for _, p := range draw(t, w.ctx("teo", "/list/cleaning"+query))["parts"].([]any) {
			if o := p.(map[string]any); o["state"] == "now" {
				return o["actions"].([]any)[0].(map[string]any)["ask"].(map[string]any)["draft"].(map[string]any)
			}
		}
		t.Fatal("no step to be done")
		return nil
	}
	said := func(typed string) (string, bool) {
		d := draft("?" + draft("")["name"].(string) + "=" + typed)
		require.Equal(t, typed, d["text"])
		text := ""
		for _, r := range d["verdict"].([]any) {
			text += r.(map[string]any)["t"].(string)
		}
		return text, d["bad"] != nil
	}
	require.NotContains(t, draft(""), "verdict", "nothing is typed yet")
	text, bad := said("71")
	require.Equal(t, "11.0\u00a0°C over the limit", text)
	require.True(t, bad)
	text, bad = said("58.5")
	require.Equal(t, "Limit met, 1.5\u00a0°C below", text)
	require.False(t, bad)
	_, bad = said("5..")
	require.True(t, bad, "no number at all")
}

// TestAnOpenStepHidesNoAct: the step comes first, but whoever must go on without it finds the act, and learns what is missing.
func TestAnOpenStepHidesNoAct(t *testing.T) {
	w := midshift(t)
	asked := 0
	for i := range w.s.Batches {
		b := &w.s.Batches[i]
		if b.Status != kitchen.Open || len(w.s.Missing(b)) == 0 {
			continue
		}
		text, err := json.Marshal(draw(t, w.ctx("teo", toBatch(b)))["parts"])
		require.NoError(t, err)
		if strings.Contains(string(text), `"do":"discard","reason"`) {
			continue // past its limit: there is only one way to go on
		}
		asked++
		require.Contains(t, string(text), `"state":"now"`, "the step")
		require.Regexp(t, `"(do":"move|to":"/portion/)`, string(text), "the act of %s", b.Stage)
		require.Regexp(t, `"small":"\d+ steps? (is|are) not done"`, string(text))
	}
	require.NotZero(t, asked)
}

// TestAThinBatchSaysWhereItsHistoryIs: an empty history would say that nothing had been done.
func TestAThinBatchSaysWhereItsHistoryIs(t *testing.T) {
	w := midshift(t)
	i := 0
	for w.s.Batches[i].Status == kitchen.Open {
		i++
	}
	b := &w.s.Batches[i]
	said := func(path string) string {
		text, err := json.Marshal(draw(t, w.ctx("teo", path))["parts"])
		require.NoError(t, err)
		return string(text)
	}
	const where = "in the kitchen's journal"
	require.NotContains(t, said(toBatch(b)), where)
	b.Thin, b.Steps, b.Events = true, nil, nil
	require.Contains(t, said(toBatch(b)), where)
	require.NotContains(t, said(toBatch(b)), "/history")
	require.Contains(t, said(toBatch(b)+"/history"), where)
}

// TestOwnTimeIsNotTheKitchens: a device that holds nothing of the kitchen knows no kitchen time.
func TestOwnTimeIsNotTheKitchens(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("teo", "/")
	require.NotContains(t, draw(t, ctx), "ownTime")
	ctx.Saved.Entries = false
	require.Contains(t, draw(t, ctx), "ownTime")
}

// TestWhatBarsALoadStandsBeforeThePad: nobody should weigh a load first and learn then that the fryer takes none.
func TestWhatBarsALoadStandsBeforeThePad(t *testing.T) {
	w := midshift(t)
	at := func(parts []any, kind string) int {
		for i, p := range parts {
			if p.(map[string]any)["p"] == kind {
				return i
			}
		}
		return -1
	}
	w.tap("teo", &kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 150_000, Unit: "mC"})
	parts := draw(t, w.ctx("teo", "/load/fryer-1"))["parts"].([]any)
	fault, pad := at(parts, "fault"), at(parts, "pad")
	require.Positive(t, fault)
	require.Less(t, fault, pad)
	text, err := json.Marshal(parts)
	require.NoError(t, err)
	require.NotContains(t, string(text), "-0 s", "read within this second")
	w.tap("teo", &kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 168_000, Unit: "mC"})
	for i := range w.s.Batches {
		if b := &w.s.Batches[i]; b.Status == kitchen.Open && b.Place == "fryer-1" {
			b.Status = kitchen.Finished
		}
	}
	text, err = json.Marshal(draw(t, w.ctx("teo", "/load/fryer-1"))["parts"])
	require.NoError(t, err)
	require.Contains(t, string(text), "Hot oil, pressure", "what it goes into is more dangerous than what it is")
}

// TestTimersTakeTwoTaps: from the Line a length is the second tap, and so is what was timed by its name before.
func TestTimersTakeTwoTaps(t *testing.T) {
	w := newWorld(t, at(8, 0))
	line := draw(t, w.ctx("teo", "/"))
	require.Contains(t, line.links(), "/timer/new", "the first tap")
	set := func(crew string) (labels []string, made []*kitchen.Command) {
		for _, part := range draw(t, w.ctx(crew, "/timer/new"))["parts"].([]any) {
			rows, _ := part.(map[string]any)["rows"].([]any)
			for _, r := range rows {
				row := r.(map[string]any)
				require.Equal(t, "/", row["to"], "it leads back to the Line")
				detail, _ := row["detail"].(string)
				labels = append(labels, strings.TrimSpace(row["label"].(string)+" "+detail))
				made = append(made, drawn{"row": row}.commands(t)[0])
			}
		}
		return labels, made
	}
	labels, made := set("teo")
	require.Equal(t, "1\u00a0min", labels[0], "nothing was named before")
	w.tap("teo", made[2])
	require.Equal(t, 3*stamp.Minute, w.s.Timers[0].Due.Since(w.now))
	require.Equal(t, "Timer 3\u00a0min", w.s.Timers[0].Name)
	w.wait(stamp.Second)
	_, spanish := set("ines")
	w.tap("ines", spanish[0])
	for _, name := range []string{"Rolls", "Stock", "Rolls", "Rice", "Beans"} {
		w.wait(stamp.Second)
		w.tap("teo", &kitchen.Command{Do: kitchen.DoTimer, Name: name, Span: 25 * stamp.Minute})
	}
	w.wait(stamp.Second)
	labels, made = set("teo")
	require.Equal(t, []string{"Beans 25\u00a0min", "Rice 25\u00a0min", "Rolls 25\u00a0min", "1\u00a0min"}, labels[:4],
		"the last three names, each once; no name that a timer got by itself, in whatever language")
	w.tap("teo", made[2])
	last := w.s.Timers[len(w.s.Timers)-1]
	require.Equal(t, "Rolls", last.Name)
	require.Equal(t, 25*stamp.Minute, last.Due.Since(w.now))
}
