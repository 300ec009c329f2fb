package screen

import (
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// labelled returns where the row or button with the label leads.
func labelled(t *testing.T, d drawn, label string) string {
	to := ""
	each(d, func(o map[string]any) {
		if o["label"] == label && o["to"] != nil {
			to = o["to"].(string)
		}
	})
	require.NotEmpty(t, to, "nothing leads on by %q", label)
	return to
}

// TestYesterdaysCookTemperaturesAreFourTapsAway: from the line to the printable record.
func TestYesterdaysCookTemperaturesAreFourTapsAway(t *testing.T) {
	w := midshift(t)
	taps := []string{"/more"} // of the bar that stands below every screen
	for _, label := range []string{"Records", "Yesterday's cook temperatures", "Record as PDF"} {
		taps = append(taps, labelled(t, draw(t, w.ctx("maren", taps[len(taps)-1])), label))
	}
	require.Len(t, taps, 4)
	file, err := url.Parse(taps[3])
	require.NoError(t, err)
	require.Equal(t, "/api/report", file.Path)
	q := file.Query()
	require.Equal(t, "cook", q.Get("show"))
	require.Equal(t, "maren", q.Get("by"))
	require.Equal(t, "en", q.Get("lang"))
	require.Equal(t, q.Get("from"), q.Get("to"))
	require.Regexp(t, `^2026-\d\d-\d\d$`, q.Get("from"))
}

// TestADaysReadingsStandWithTheirLimits: value, by how much the limit is met or not, limit, batch, who; cook temperatures
// alone where they are asked for.
func TestADaysReadingsStandWithTheirLimits(t *testing.T) {
	w := midshift(t)
	load := w.someAt(t, "release", "cook")
	w.say("ines", &entry.Step{Batch: load.ID, Stage: "release", Step: "core", Value: 71_800, Unit: "mC", Probe: "probe-1"})
	w.say("ines", &entry.Step{Batch: load.ID, Stage: "release", Step: "core", Value: 77_600, Unit: "mC", Probe: "probe-1"})
	day := "/records/day/" + (&page{}).num(int(w.s.WallDay(w.now)))
	all, cook := texts(t, draw(t, w.ctx("maren", day))), texts(t, draw(t, w.ctx("maren", day+"?show=cook")))
	for _, text := range []string{all, cook} {
		require.Contains(t, text, "71.8 °C, limit not met by 3.2 °C (at least 75.0 °C)")
		require.Contains(t, text, "77.6 °C, limit met by 2.6 °C (at least 75.0 °C)")
		require.Contains(t, text, "Probe 1")
		require.Contains(t, text, "Inés")
	}
	require.Contains(t, all, "Oil: ")
	require.NotContains(t, cook, "Oil: ")
	require.NotContains(t, cook, "Oil temperature")
	w.say("ines", &entry.ProbeCheck{Probe: "probe-1", Method: entry.IcePoint, Read: 1500, Within: 1000})
	require.Contains(t, texts(t, draw(t, w.ctx("maren", day+"?show=cook"))), "under review: its probe was off")
	other := texts(t, draw(t, w.ctx("maren", day+"?show=cook&crew=teo")))
	require.NotContains(t, other, "71.8 °C")
	found := texts(t, draw(t, w.ctx("maren", "/records/find?code="+load.Code)))
	require.Contains(t, found, "71.8 °C")
	require.NotContains(t, texts(t, draw(t, w.ctx("maren", "/records/find?lot=none"))), "71.8 °C")
	require.Contains(t, texts(t, draw(t, w.ctx("maren", "/records/find?limit="+load.Procedure+"/release/core"))), "71.8 °C")
	require.Equal(t, "missing", draw(t, w.ctx("maren", "/records/day/x"))["kind"])
}

// someAt returns an open batch at one of the stages.
func (w *world) someAt(t *testing.T, stages ...string) *kitchen.Batch {
	for i := range w.s.Batches {
		for _, st := range stages {
			if b := &w.s.Batches[i]; b.Status == kitchen.Open && b.Stage == st {
				return b
			}
		}
	}
	require.Fail(t, "no batch there")
	return nil
}

// say puts an entry into the journal that no rule looked at.
func (w *world) say(crew string, body entry.Body) {
	w.wait(stamp.Second)
	w.make(crew, body)
}

// TestACriticalDeviationAsksForItsParts: its screen offers each part that is missing, and the close only when none is.
func TestACriticalDeviationAsksForItsParts(t *testing.T) {
	w := midshift(t)
	load := w.someAt(t, "release", "cook")
	w.say("ines", &entry.Step{Batch: load.ID, Stage: "release", Step: "core", Value: 71_800, Unit: "mC"})
	d := w.s.Deviations[len(w.s.Deviations)-1]
	for i := range w.s.Deviations {
		if x := &w.s.Deviations[i]; x.Code == kitchen.DevOutOfLimit && x.Batch == load.ID {
			d = *x
		}
	}
	require.True(t, d.Critical)
	closes := func() bool {
		for _, c := range draw(t, w.ctx("maren", "/deviation/"+d.Key)).commands(t) {
			if c.Do == kitchen.DoAnswer && c.Closes {
				return true
			}
		}
		return false
	}
	for range kitchen.Parts {
		require.False(t, closes())
		missing := w.s.Deviation(d.Key).Missing()
		offered := map[string]bool{}
		for _, c := range draw(t, w.ctx("maren", "/deviation/"+d.Key)).commands(t) {
			if c.Do == kitchen.DoPart {
				offered[c.Answer] = true
				if c.Answer == missing[0] {
					w.tap("maren", c)
				}
			}
		}
		for _, name := range missing {
			require.True(t, offered[name], name)
		}
	}
	require.True(t, closes())
	screen := texts(t, draw(t, w.ctx("maren", "/deviation/"+d.Key)))
	require.Contains(t, screen, "Product held: which, where, how much: so it was")
	require.Contains(t, screen, "Maren")
}

// TestTheDayIsClosedOnItsScreen: what is open leads to itself; then the signature with its seal, and what comes late.
func TestTheDayIsClosedOnItsScreen(t *testing.T) {
	w := midshift(t)
	d := draw(t, w.ctx("maren", "/dayclose"))
	require.Contains(t, texts(t, d), "things open")
	day := w.s.WallDay(w.now)
	for _, subject := range w.s.OpenOn(day, w.now) {
		switch {
		case strings.HasPrefix(subject, "list/"):
			w.tap("maren", &kitchen.Command{Do: kitchen.DoListClose, List: subject[5:]})
		case strings.HasPrefix(subject, "batch/"):
			id, err := entry.ParseID(subject[6:])
			require.NoError(t, err)
			w.say("maren", &entry.Discard{Batch: id, Reason: "past"})
		}
	}
	for _, key := range w.s.OpenOn(day, w.now) {
		require.Contains(t, draw(t, w.ctx("maren", "/dayclose")).links(), "/deviation/"+strings.ReplaceAll(key, "/", "%2F"))
		w.tap("maren", &kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: kitchen.PartCarried, Text: "the mechanic comes at six"})
	}
	w.tap("maren", deed(t, draw(t, w.ctx("maren", "/dayclose")), kitchen.DoDayClose))
	screen := texts(t, draw(t, w.ctx("maren", "/dayclose")))
	require.Contains(t, screen, "What was signed is what is there now")
	require.Contains(t, screen, "the mechanic comes at six")
	require.Regexp(t, `[0-9a-f]{4}( [0-9a-f]{4}){7}`, screen, "the seal")
	w.say("ines", &entry.Note{Text: "one more thing"})
	require.Contains(t, texts(t, draw(t, w.ctx("maren", "/dayclose"))), "1 entry of that day was made after it.")
}

// TestADeliveryIsTakenInByItsForm: typed as people type it, judged before it is kept.
func TestADeliveryIsTakenInByItsForm(t *testing.T) {
	w := midshift(t)
	form := "/receive/bone-in?by=Reed+Farm&lot=L77&kg=30&w=1.3+1.25&t="
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/receive/bone-in"))), "Raw poultry")
	warm := draw(t, w.ctx("teo", form+"5.1"))
	require.Contains(t, texts(t, warm), "0.1 °C over the limit")
	require.Contains(t, warm["dock"].([]any)[0].(map[string]any)["small"], "over the limit", "on the button too")
	good := draw(t, w.ctx("teo", form+"4.9&probe=probe-2"))
	for _, c := range good.commands(t) {
		if c.Do == kitchen.DoDeliver && !c.Closes {
			w.tap("teo", c)
		}
	}
	d := w.s.Delivery("L77")
	require.NotNil(t, d)
	require.Equal(t, []any{"Reed Farm", int64(30_000), int64(4900), "probe-2", "cold-room"}, []any{d.Supplier, d.Grams, d.MilliC, d.Probe, d.Place})
	require.Equal(t, []int64{1300, 1250}, d.Weights)
	require.Contains(t, texts(t, draw(t, w.ctx("teo", "/receive"))), "Reed Farm, lot L77")
	require.Empty(t, draw(t, w.ctx("teo", "/receive/bone-in?by=Reed&lot=L&kg=30&w=heavy&t=4"))["dock"])
}

// TestHowLongRecordsAreKeptIsSaid with its source, its mark, and that nothing is deleted.
func TestHowLongRecordsAreKeptIsSaid(t *testing.T) {
	w := midshift(t)
	d := draw(t, w.ctx("maren", "/records/keep"))
	require.Contains(t, texts(t, d), "At least 365 days: 9 CFR 417.5(e)(1) (from memory)")
	c := deed(t, d, kitchen.DoSet)
	c.Typed = "100"
	off := w.decide("maren", c)
	require.NotNil(t, off)
	require.Equal(t, kitchen.RefKeepLess, off.Code)
	require.NotContains(t, texts(t, draw(t, w.ctx("teo", "/records/keep"))), "Keep longer", "only a lead")
}
