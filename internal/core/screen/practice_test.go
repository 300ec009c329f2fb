package screen

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/practice"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

func saysAll(t *testing.T, d drawn) string {
	text, err := json.Marshal(d)
	require.NoError(t, err)
	return string(text)
}

// calm is the kitchen at an hour when nothing rings.
func calm(t *testing.T) *world {
	w := midshift(t)
	for range 40 {
		rings := false
		for _, b := range kitchen.Bells(w.s, w.now, stamp.Minute) {
			if rings = rings || b.Ringing; b.Ringing {
				w.tap("maren", &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key})
			}
		}
		if !rings {
			return w
		}
		w.wait(stamp.Second)
	}
	require.Fail(t, "it rings on")
	return nil
}

func TestPracticeIsForAPhoneInAQuietHourAndSomebodysHand(t *testing.T) {
	w := calm(t)
	d := draw(t, w.ctx("ines", "/practice"))
	nights := 0
	for _, c := range d.commands(t) {
		if c.Do == "page-practice" {
			nights++
			require.Equal(t, "ines", c.Crew)
			require.Zero(t, c.Number, "each time another night")
		}
	}
	require.GreaterOrEqual(t, nights, len(practice.Rungs(w.s, "bone-in")))
	none := func(ctx *Context, says string) {
		d := draw(t, ctx)
		require.Empty(t, d.commands(t))
		require.Contains(t, saysAll(t, d), says)
	}
	none(w.ctx("", "/practice"), "who")
	ctx := w.ctx("ines", "/practice")
	s := w.s.Clone()
	for i := range s.Devices {
		if s.Devices[i].Device == ctx.Device {
			s.Devices[i].Wall = true
		}
	}
	if s.Device(ctx.Device) == nil {
		s.Devices = append(s.Devices[:0:0], kitchen.Device{Pairing: entry.Pairing{Device: ctx.Device, Wall: true}})
	}
	ctx.State, ctx.Bells = s, nil
	none(ctx, "pantalla de pared")
	ctx = w.ctx("ines", "/practice")
	ctx.Bells = []kitchen.Bell{{Key: "x", Ringing: true, At: w.now, Level: kitchen.Attention, Point: kitchen.PointTimer}}
	d = draw(t, ctx)
	require.Contains(t, saysAll(t, d), "Primero eso, luego la práctica")
	for _, c := range d.commands(t) {
		require.NotEqual(t, "page-practice", c.Do)
	}
}

// TestEveryScreenOfPracticeSaysSo draws every place of a night, in both languages.
func TestEveryScreenOfPracticeSaysSo(t *testing.T) {
	w := calm(t)
	rung := practice.Rungs(w.s, "bone-in")[1]
	for lang, word := range map[string]string{"en": "PRACTICE", "es": "PRÁCTICA"} {
		n := &Practice{Night: practice.New(w.s, 4711, rung, "ines", lang), Rung: rung, Seed: 4711, Crew: "ines", Speed: 360}
		for n.Trouble() == nil {
			n.Pass(n.Now().Add(stamp.Minute))
		}
		kinds := map[string]bool{}
		for _, aside := range []bool{true, false} {
			n.Aside = aside
			for place := range nightPlaces {
				ctx := &Context{State: n.State(), Now: n.Now(), Pace: 0, Device: "practice", Crew: n.Crew, Lang: lang, Path: "/" + place,
					Saved: Saved{Joined: true, InTouch: true, Entries: true}, Practice: n}
				d := draw(t, ctx)
				require.Equal(t, word, d["practice"].(map[string]any)["word"], place)
				require.Equal(t, "practice", d["saved"].(map[string]any)["in"])
				require.Zero(t, d["now"].(map[string]any)["pace"])
				require.NotContains(t, saysAll(t, d), "practice.", "a text that does not exist")
				kinds[d["kind"].(string)] = true

			}
		}
		require.True(t, kinds["trouble"] && kinds["line"] && kinds["hold"], "%v", kinds)
		ctx := &Context{State: n.State(), Now: n.Now(), Crew: n.Crew, Lang: lang, Path: "/who", Saved: Saved{Entries: true}, Practice: n}
		n.Aside = true
		require.Empty(t, draw(t, ctx)["dock"])
		require.Equal(t, "missing", draw(t, ctx)["kind"], "who holds the phone is no matter of practice")
	}
}

// TestWhatRingsInPracticeSaysSo: the sentence that is spoken, and no cover over what runs too fast to be answered.
func TestWhatRingsInPracticeSaysSo(t *testing.T) {
	w := calm(t)
	rung := practice.Rungs(w.s, "bone-in")[1]
	n := &Practice{Night: practice.New(w.s, 4711, rung, "ines", "en"), Rung: rung, Crew: "ines", Speed: 10}
	ctx := &Context{State: n.State(), Now: n.Now(), Pace: 10, Crew: "ines", Lang: "en", Path: "/", Saved: Saved{Entries: true}, Practice: n,
		Bells: []kitchen.Bell{{Key: "x", Ringing: true, At: n.Now(), Level: kitchen.Attention, Point: kitchen.PointTimer}}}
	require.Contains(t, string(Ring(ctx)), `"say":"Practice. `)
	require.NotNil(t, draw(t, ctx)["ring"])
	n.Speed = 360
	require.Nil(t, draw(t, ctx)["ring"])
}

// TestDebriefDrawsWhatTroubleCost: a bar for each trouble that cost product or time, the dearest first, and no empty drawing.
func TestDebriefDrawsWhatTroubleCost(t *testing.T) {
	night := func(line ...practice.Moment) []map[string]any {
		p := &page{Context: &Context{State: &kitchen.State{}}, l: words.EN}
		d := practice.Debrief{Line: line, Troubles: len(line)}
		for i := range line {
			d.Grams, d.Lost = d.Grams+line[i].Grams, d.Lost+line[i].Lost
		}
		p.nightChart(&d)
		var plots []map[string]any
		for _, part := range p.parts {
			var w jsontext.Writer
			part.write(&w)
			plots = append(plots, map[string]any{})
			require.NoError(t, json.Unmarshal(w.Out, &plots[len(plots)-1]))
		}
		return plots
	}
	require.Empty(t, night())
	require.Empty(t, night(practice.Moment{Title: "A"}), "what cost nothing is not drawn")
	time := night(practice.Moment{Title: "A", Lost: 2 * stamp.Minute}, practice.Moment{Title: "B"}, practice.Moment{Title: "C", Lost: stamp.Hour})
	require.Len(t, time, 1)
	require.Equal(t, "Time lost", time[0]["title"])
	require.Equal(t, 2.0, time[0]["bars"])
	require.Len(t, time[0]["rows"], 3, "the table has all")
	longest := time[0]["items"].([]any)[1].(map[string]any)
	require.Equal(t, "C: 1\u00a0h", longest["text"], "the dearest first")
	both := night(practice.Moment{Title: "A", Lost: stamp.Minute, Grams: 3200})
	require.Equal(t, []any{"What was thrown away", "Time lost"}, []any{both[0]["title"], both[1]["title"]})
	require.Contains(t, both[0]["says"], "3.2\u00a0kg thrown away in all")
}
