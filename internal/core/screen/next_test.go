package screen

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// still is a screen without the instant at which it was drawn.
func still(t require.TestingT, ctx Context, now stamp.Milli) string {
	ctx.Now = now
	out := View(&ctx)
	from := bytes.Index(out, []byte(`"now":{`))
	require.Positive(t, from)
	to := from + bytes.IndexByte(out[from:], '}')
	return string(out[:from]) + string(out[to:])
}

// TestNothingChangesBeforeNext holds the promise of Next: between now and then, every screen stays as it is.
func TestNothingChangesBeforeNext(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := fold(journaltest.Random(rapid.Uint64Range(0, 40).Draw(rt, "seed"), rapid.IntRange(30, 250).Draw(rt, "entries")))
		now := s.Last.At.Add(stamp.Span(rapid.Int64Range(0, 40_000_000).Draw(rt, "later")))
		ctx := Context{State: s, Now: now, Device: "anna-1", Crew: "al", View: "v", Saved: Saved{Joined: true, Entries: true}}
		ctx.Path = rapid.SampledFrom(routesOf(s)).Draw(rt, "path")
		next := Next(&ctx)
		if next == 0 {
			next = now.Add(stamp.Day)
		}
		require.Greater(rt, next, now)
		between := now + stamp.Milli(rapid.Int64Range(0, int64(next-now)-1).Draw(rt, "between"))
		require.Equal(rt, still(rt, ctx, now), still(rt, ctx, between), "%s: at %d and %d, next %d", ctx.Path, now, between, next)
		ctx.Now = between
		require.Equal(rt, next, orFar(Next(&ctx), next), "the next change does not move")
	})
}

// orFar stands for never by the end of what was looked at.
func orFar(next, far stamp.Milli) stamp.Milli {
	if next == 0 {
		return far
	}
	return next
}

func TestScreenWakesAtEachMark(t *testing.T) {
	w := newWorld(t, at(8, 0))
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 12000})
	w.wait(8 * stamp.Minute)
	w.on("teo", "tub", 1)
	b := w.open("tub", 1)
	for _, c := range []struct {
		after stamp.Span
		state string
	}{{0, "soon"}, {7 * stamp.Hour, "ready"}, {9 * stamp.Hour, "best"}, {12*stamp.Hour + 30*stamp.Minute, "last"},
		{20 * stamp.Hour, "last"}, {20*stamp.Hour + 1, "past"}} {
		w.now = b.Since.Add(c.after)
		head := draw(t, w.ctx("teo", toBatch(b)))["parts"].([]any)[0].(map[string]any)
		require.Equal(t, c.state, head["state"], "after %d", c.after)
		if c.after > 0 { // a millisecond before, Next names this instant
			ctx := w.ctx("teo", toBatch(b))
			ctx.Now--
			if c.state != "last" || c.after < 20*stamp.Hour {
				require.Equal(t, w.now, Next(ctx), "after %d", c.after)
			}
		}
	}
}

func TestUndoBar(t *testing.T) {
	w := midshift(t)
	w.tap("ines", &kitchen.Command{Do: kitchen.DoCount, Batch: w.open("tray", 2).ID, Count: 4})
	tapped := w.now
	undo := func(now stamp.Milli) map[string]any {
		ctx := w.ctx("maren", "/hold")
		ctx.Now = now
		u, _ := draw(t, ctx)["undo"].(map[string]any)
		return u
	}
	u := undo(tapped.Add(UndoFor - 1))
	require.Equal(t, "Sold 4", u["text"])
	require.Equal(t, "Tray B, 11:38:00, Maren", u["detail"])
	require.EqualValues(t, tapped.Add(UndoFor), u["until"])
	require.Nil(t, undo(tapped.Add(UndoFor)), "after ten seconds there is no undo")
	c := drawn{"u": u}.commands(t)[0]
	w.tap("ines", c)
	require.IsType(t, &entry.Withdrawal{}, w.last.Body)
	require.Nil(t, undo(w.now), "an undo is not undone")
}

func TestRingEscalates(t *testing.T) {
	w := newWorld(t, at(8, 0))
	w.read("fryer-1", 168000)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoTimer, Name: "Stock", Span: 5 * stamp.Minute})
	ring := func() (now, book []any) {
		var r map[string]any
		require.NoError(t, json.Unmarshal(Ring(w.ctx("teo", "/")), &r))
		return r["now"].([]any), r["book"].([]any)
	}
	now, book := ring()
	require.Empty(t, now)
	first := book[0].(map[string]any)
	require.EqualValues(t, at(8, 5), first["at"], "booked ahead, with no network needed")
	require.Equal(t, "Stock: time is up", first["say"])
	require.Equal(t, "attention", first["level"])

	w.now = at(8, 5)
	now, _ = ring()
	require.Equal(t, first, now[0], "the same bell, now")
	over := draw(t, w.ctx("teo", "/"))["ring"].(map[string]any)
	require.Equal(t, "Stock", over["name"])
	require.Contains(t, over["note"], "Maren")
	require.Nil(t, over["late"])

	w.tap("teo", drawn{"got": over["got"]}.commands(t)[0])
	now, book = ring()
	require.Empty(t, now, "got it silences")
	again := book[0].(map[string]any)
	require.Greater(t, again["at"], first["at"], "it comes back when nobody puts the timer away")
	require.Equal(t, "Maren: Stock: time is up", again["say"], "and calls the lead")
	require.NotEqual(t, first["key"], again["key"])

	w.now = stamp.Milli(again["at"].(float64)).Add(40 * stamp.Second)
	ctx := w.ctx("teo", "/")
	ctx.AwakeSince = w.now
	over = draw(t, ctx)["ring"].(map[string]any)
	require.Equal(t, "40\u00a0s late on this device", over["late"])
	for i := range w.s.Timers {
		w.tap("teo", &kitchen.Command{Do: kitchen.DoTimerEnd, Timer: w.s.Timers[i].ID})
	}
	now, _ = ring()
	require.Empty(t, now)
	require.Nil(t, draw(t, w.ctx("teo", "/"))["ring"])
}

func TestMostUrgentBellFirstAndNoneLost(t *testing.T) {
	w := midshift(t)
	d := draw(t, w.ctx("ines", "/"))["ring"].(map[string]any)
	require.Equal(t, "danger", d["level"], "past a limit before what is only late")
	require.Equal(t, "Bandeja A", d["name"])
	ringing := 0
	for _, b := range kitchen.Bells(w.s, w.now, 0) {
		if b.Ringing {
			ringing++
		}
	}
	require.Len(t, d["also"], ringing-1)
	require.Equal(t, "Suenan 4: primero esto", d["count"])
	require.Nil(t, draw(t, w.ctx("ines", "/wall"))["ring"], "a wall screen is not covered: it shows what rings first")
	var rings []any
	for i, part := range draw(t, w.ctx("ines", "/wall"))["parts"].([]any) {
		if strip := part.(map[string]any); strip["rings"] != nil {
			require.Len(t, rings, i, "what does not ring stands below")
			rings = append(rings, strip["name"])
		}
	}
	require.Equal(t, []any{"Bandeja A", "Freidora 1", "Fuente 2", "Fuente 3"}, rings)
}
