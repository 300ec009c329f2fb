package screen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// fix is the button that puts something right, by its words, in the row whose text begins so.
func (w *world) fix(t *testing.T, path, row, label string) map[string]any {
	t.Helper()
	var found map[string]any
	each(draw(t, w.ctx("maren", path)), func(o map[string]any) {
		text, _ := o["text"].(string)
		if actions, ok := o["actions"].([]any); ok && len(text) >= len(row) && text[:len(row)] == row && found == nil {
			for _, a := range actions {
				if b := a.(map[string]any); b["label"] == label {
					found = b
				}
			}
		}
	})
	require.NotNil(t, found, "%s: no %q at %q", path, label, row)
	return found
}

// corrected is what an entry says after the button was tapped.
func (w *world) corrected(t *testing.T, button map[string]any, body entry.Body) {
	t.Helper()
	require.Nil(t, w.decide("maren", drawn{"b": button}.commands(t)[0]))
	c := w.last.Body.(*entry.Correction)
	require.Equal(t, body.Kind(), c.To)
	require.NoError(t, wire.Read(c.Body, body))
}

// TestWhatWasTappedWrongCanBePutRightLater: hours after its ten seconds, on the screen that shows it.
func TestWhatWasTappedWrongCanBePutRightLater(t *testing.T) {
	w := midshift(t)
	history := func(vessel string, n uint32) string { return toBatch(w.open(vessel, n)) + "/history" }

	var start entry.Start
	w.corrected(t, w.fix(t, history("tub", 3), "Started", "Correct the lots"), &start)
	require.Equal(t, []string{"it", "so", "was"}, start.Lots, "the words that were typed")

	load := w.load("fryer-1")
	var loaded entry.Portioning
	b := w.fix(t, history("load", load), "Portioned", "It was another fryer")
	require.Equal(t, "It says: Fryer 1", b["ask"].(map[string]any)["title"])
	drafts, r := kitchen.Decide(w.s, drawn{"b": b}.commands(t)[0], kitchen.Who{Crew: "maren", Device: "d1"}, w.now, w.id)
	require.Nil(t, r)
	require.Len(t, drafts, 2, "the load, and the stage after it in the same fryer")
	var moved entry.Move
	for i, body := range []entry.Body{&loaded, &moved} {
		c := drafts[i].Body.(*entry.Correction)
		require.Equal(t, body.Kind(), c.To)
		require.NoError(t, wire.Read(c.Body, body))
	}
	require.Equal(t, []string{"fryer-2", "fryer-2"}, []string{loaded.In[0].Place, moved.Place})
	w.corrected(t, w.fix(t, history("load", load), "Portioned", "Correct"), &loaded)
	require.EqualValues(t, 3, loaded.In[0].Pieces, "the number that was typed")

	tray := w.open("tray", 1)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoDiscard, Batch: tray.ID, Reason: "fell down"})
	w.wait(stamp.Minute)
	var gone entry.Discard
	b = w.fix(t, toBatch(tray)+"/history", "Discarded", "It was another one")
	w.corrected(t, b, &gone)
	require.Equal(t, w.open("tray", 2).ID, gone.Batch)
}

// TestListsAndReadingsCanBePutRightLater: what is typed in a list or at a fryer has no batch whose history would offer it.
func TestListsAndReadingsCanBePutRightLater(t *testing.T) {
	w := midshift(t)
	day, _ := w.s.Wall(w.now)
	run := w.s.Run("opening", day)
	require.NotNil(t, run)
	numbers, answers := 0, 0
	for _, m := range run.Steps {
		path := "/list/opening"
		li := w.s.List("opening")
		for i := range li.Steps {
			if li.Steps[i].Name != m.Step {
				continue
			}
			switch text := li.Steps[i].Text.EN; {
			case m.Unit != "":
				var step entry.Step
				w.corrected(t, w.fix(t, path, text, "Correct"), &step)
				require.Equal(t, []any{"opening", m.Step, m.Unit}, []any{step.List, step.Step, step.Unit})
				require.NotEqual(t, m.Value, step.Value)
				numbers++
			case m.Answer == "yes":
				var step entry.Step
				w.corrected(t, w.fix(t, path, text, "Correct to: No"), &step)
				require.Equal(t, "no", step.Answer)
				answers++
			}
		}
	}
	require.Positive(t, numbers, "the list asks for a number")
	require.Positive(t, answers, "and has a question")

	w.read("fryer-1", 119_000)
	var offered map[string]any
	each(draw(t, w.ctx("maren", "/place/fryer-1")), func(o map[string]any) {
		if o["label"] == "Correct" {
			offered = o
		}
	})
	require.NotNil(t, offered)
	require.Equal(t, "119.0\u00a0°C", offered["small"])
	var reading entry.Reading
	w.corrected(t, offered, &reading)
	require.Equal(t, []any{"fryer-1", int64(3000)}, []any{reading.Place, reading.MilliC})
}
