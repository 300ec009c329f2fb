package screen

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// thumb taps a kitchen's screens as a cook would, knowing nothing but what stands on them.
type thumb struct {
	*world
	path string
	taps int
}

// buttons returns the buttons of the screen that do something or lead on, in their order, docked ones last.
func (f *thumb) buttons() []map[string]any {
	d := draw(f.t, f.ctx("maren", f.path))
	var out []map[string]any
	collect := func(list any) {
		for _, b := range list.([]any) {
			out = append(out, b.(map[string]any))
		}
	}
	for _, part := range d["parts"].([]any) {
		if actions, ok := part.(map[string]any)["actions"]; ok {
			collect(actions)
		}
	}
	if dock, ok := d["dock"]; ok {
		collect(dock)
	}
	return out
}

// press taps the first button of the style, answers what it asks, and follows where it leads. It returns the label.
func (f *thumb) press(style string) string {
	f.t.Helper()
	for _, b := range f.buttons() {
		if b["style"] != style {
			continue
		}
		f.taps++
		if do, ok := b["do"].(map[string]any); ok {
			if ask, ok := b["ask"].(map[string]any); ok {
				if ask["kind"] == "number" {
					do["value"] = f.answer(do) // in base units; how typed numbers are read, kitchen's tests say
					delete(do, "into")
					delete(do, "typedIn")
				} else {
					do[ask["name"].(string)] = answer(f.t, ask)
				}
			}
			f.tap("maren", drawn{"b": map[string]any{"do": do}}.commands(f.t)[0])
		}
		if to, ok := b["to"].(string); ok {
			f.path = to
		}
		return b["label"].(string)
	}
	return ""
}

// answer types a number well within the limit of the step.
func (f *thumb) answer(do map[string]any) int64 {
	c := drawn{"b": map[string]any{"do": do}}.commands(f.t)[0]
	st := f.s.Stage(f.s.Batch(c.Batch))
	for i := range st.Steps {
		if st.Steps[i].Name == c.Step {
			return stepCommand(c, &st.Steps[i]).Value
		}
	}
	require.Fail(f.t, "no such step", c.Step)
	return 0
}

// next returns an open batch that is not in the hold yet, nil when there is none.
func (f *thumb) next() *kitchen.Batch {
	for i := range f.s.Batches {
		b := &f.s.Batches[i]
		if b.Status == kitchen.Open && f.s.Stage(b).Kind != procedure.Hold {
			return b
		}
	}
	return nil
}

// ripen waits until the batch is ready.
func (f *thumb) ripen(b *kitchen.Batch) {
	w := f.s.Window(b)
	if window.At(&w, f.now.Since(b.Since)) == window.TooSoon {
		f.now = b.Since.Add(max(w.BestFrom, w.Floor))
	}
	for i := range f.s.Equipment().Devices {
		d := &f.s.Equipment().Devices[i]
		if at := f.s.Place(d.Name).EmptyAt; at > 0 && at.Add(d.Between) > f.now && f.s.Stage(b).Name == "set" {
			f.now = at.Add(d.Between)
		}
	}
}

// fill types into a form what it asks for: all of the weight and pieces that are there.
func (f *thumb) fill() {
	for range 3 {
		d := draw(f.t, f.ctx("maren", f.path))
		for _, part := range d["parts"].([]any) {
			o := part.(map[string]any)
			if o["p"] != "pad" || o["text"] != "" {
				continue
			}
			text := map[string]string{"g": "6.9", "c": "44"}[o["name"].(string)]
			if strings.Contains(f.path, "?") {
				f.path += "&" + o["name"].(string) + "=" + text
			} else {
				f.path += "?" + o["name"].(string) + "=" + text
			}
		}
	}
}

// TestTubToTrayByButtonsAlone takes a tub through all its stages by what stands on the screens, and nothing else: each
// leads on to the next, until everything is sold.
func TestTubToTrayByButtonsAlone(t *testing.T) {
	w := newWorld(t, at(0, 30))
	f := &thumb{world: w}
	f.path = "/start/bone-in?g=7.2&lots=FR-2611"
	require.Equal(t, "Start tub 1", f.press(act))
	require.Equal(t, "/", f.path)
	for b := f.next(); b != nil; b = f.next() {
		require.Less(t, f.taps, 80)
		f.ripen(b)
		f.read("fryer-1", 168_000)
		f.read("fryer-2", 168_000)
		f.path = toBatch(b)
		before := f.s.Folded
		label := f.press(act)
		require.NotEmpty(t, label, "%s at %s has nothing to tap", b.Code, b.Stage)
		if strings.HasPrefix(f.path, "/portion/") {
			f.fill()
			require.NotEmpty(t, f.press(act), f.path)
		}
		require.Greater(t, f.s.Folded, before, "%q at %s made no entry", label, b.Stage)
		f.wait(20 * stamp.Second)
	}
	f.path = "/hold"
	for f.press(act) != "" {
		require.Less(t, f.taps, 150)
		f.path = "/hold"
	}
	sold, made := int64(0), int64(0)
	for i := range f.s.Batches {
		b := &f.s.Batches[i]
		if f.s.Stage(b).Kind == procedure.Hold {
			sold, made = sold+b.Sold, made+b.InPieces
			require.Equal(t, kitchen.Finished, b.Status)
		}
	}
	require.Positive(t, made)
	require.Equal(t, made, sold)
	require.Empty(t, f.s.Deviations)
}
