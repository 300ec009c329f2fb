package window

import (
	"os"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

const h, m, s = stamp.Hour, stamp.Minute, stamp.Second

// marinade is the demo kitchen's: floor 7 h, best 9-13 h with a last call of 30 min, ceiling 20 h.
var marinade = procedure.Window{Floor: 7 * h, BestFrom: 9 * h, BestUntil: 13 * h, LastCall: 30 * m, Ceiling: 20 * h}

func TestStates(t *testing.T) {
	for at, want := range map[stamp.Span]State{
		-s: TooSoon, 0: TooSoon, 7*h - 1: TooSoon, 7 * h: Ready, 9*h - 1: Ready, 9 * h: Best, 12*h + 30*m - 1: Best,
		12*h + 30*m: LastCall, 13 * h: LastCall, 20 * h: LastCall, 20*h + 1: Past, 400 * h: Past,
	} {
		require.Equal(t, want, At(&marinade, at), "after %d ms", at)
	}
}

func TestPartialWindows(t *testing.T) {
	for _, c := range []struct {
		name string
		w    procedure.Window
		at   map[stamp.Span]State
	}{
		{"none", procedure.Window{Aim: h, Patience: m}, map[stamp.Span]State{0: None, 99 * h: None}},
		{"floor alone", procedure.Window{Floor: h}, map[stamp.Span]State{h - 1: TooSoon, h: Best, 99 * h: Best}},
		{"ceiling alone", procedure.Window{Ceiling: h}, map[stamp.Span]State{0: Best, h: Best, h + 1: Past}},
		{"best until alone", procedure.Window{BestUntil: h, LastCall: m}, map[stamp.Span]State{0: Best, 59 * m: LastCall, 99 * h: LastCall}},
		{"hold", procedure.Window{BestUntil: 40 * m, LastCall: 5 * m, Ceiling: 50 * m},
			map[stamp.Span]State{0: Best, 35*m - 1: Best, 35 * m: LastCall, 50 * m: LastCall, 50*m + 1: Past}},
		{"no last call", procedure.Window{BestFrom: h, BestUntil: 2 * h, Ceiling: 3 * h},
			map[stamp.Span]State{0: Ready, h: Best, 2*h - 1: Best, 2 * h: LastCall, 3*h + 1: Past}},
	} {
		for at, want := range c.at {
			require.Equal(t, want, At(&c.w, at), "%s after %d ms", c.name, at)
		}
	}
}

// The ceiling wins over everything, the floor over what is best, whatever a window's marks.
func TestStatesOnlyGoForward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		span := rapid.Int64Range(0, int64(30*h))
		w := procedure.Window{
			Floor: stamp.Span(span.Draw(t, "floor")), BestFrom: stamp.Span(span.Draw(t, "from")),
			BestUntil: stamp.Span(span.Draw(t, "until")), LastCall: stamp.Span(span.Draw(t, "call")),
			Ceiling: stamp.Span(span.Draw(t, "ceiling")),
		}
		a, b := stamp.Span(span.Draw(t, "a")), stamp.Span(span.Draw(t, "b"))
		if a > b {
			a, b = b, a
		}
		require.LessOrEqual(t, At(&w, a), At(&w, b), "a longer wait is never an earlier state")
		if w.Ceiling > 0 {
			require.Equal(t, Past, At(&w, PastFrom(&w)))
			require.NotEqual(t, Past, At(&w, w.Ceiling))
		}
	})
}

func commonPractice(t *testing.T) *procedure.Procedure {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/procedures/common-practice.json")
	require.NoError(t, err)
	doc, faults := procedure.Parse(text)
	require.Empty(t, faults)
	require.NotNil(t, doc.Procedure)
	return doc.Procedure
}

// Every boundary of the test procedure, one second to either side. The lengths are common practice, no source; the
// cook's own (10 and 14 min) is made up for the test.
func TestCommonPracticeBoundaries(t *testing.T) {
	p := commonPractice(t)
	for _, c := range []struct {
		stage        string
		at           stamp.Span
		before, then State // a second before, and a second after
	}{
		{"marinate", 8 * h, Ready, Best},          // common practice, no source: best from 8 h
		{"marinate", 11*h + 30*m, Best, LastCall}, // half an hour's warning before the end of best
		{"marinate", 12 * h, LastCall, LastCall},  // common practice, no source: best until 12 h
		{"marinate", 24 * h, LastCall, Past},      // common practice, no source: never over 24 h
		{"drain", 45 * m, TooSoon, Best},          // common practice, no source: drain cold at least 45 min
		{"set", 45 * m, TooSoon, Best},            // common practice, no source: set cold at least 45 min
		{"set", 12 * h, Best, Past},               // common practice, no source: at most 12 h, longer darkens the crust
		{"cook", 10 * m, TooSoon, Best},           // made up for the test
		{"cook", 14 * m, Best, Past},              // made up for the test
		{"drip", 30 * s, TooSoon, Best},           // common practice, no source: drain 30 s
		{"stage", 5 * m, Best, Past},              // common practice, no source: stage 5 min and no longer
		{"hold", 60 * m, Best, Past},              // common practice, no source: serve within 1 h
	} {
		stage, _ := p.Stage(c.stage)
		require.NotNil(t, stage, c.stage)
		require.Equal(t, c.before, At(&stage.Window, c.at-s), "%s, a second before %d ms", c.stage, c.at)
		require.Equal(t, c.then, At(&stage.Window, c.at+s), "%s, a second after %d ms", c.stage, c.at)
	}
	for _, name := range []string{"marinate", "set", "cook", "stage", "hold"} {
		stage, _ := p.Stage(name)
		require.NotEqual(t, Past, At(&stage.Window, stage.Window.Ceiling), "%s: at most means that the limit itself is within", name)
	}
	marinate, _ := p.Stage("marinate")
	require.True(t, p.Stages[0].Raw && marinate.Raw)
}

// Waits are lengths: the nights on which the clocks change, eight hours are eight hours. Dates of the changes are those
// of the IANA time zone database for 2026.
func TestWaitsThroughClockChanges(t *testing.T) {
	window := procedure.Window{Floor: 8 * h, BestFrom: 9 * h, BestUntil: 12 * h, Ceiling: 24 * h}
	for _, c := range []struct {
		zone, evening string // the wall time at which the wait begins
		wall          string // what the kitchen's clocks show 8 h later
		ceiling       string // and 24 h later
	}{
		{"America/New_York", "2026-03-07T22:00", "2026-03-08T07:00", "2026-03-08T23:00"},
		{"America/New_York", "2026-10-31T22:00", "2026-11-01T05:00", "2026-11-01T21:00"},
		{"America/New_York", "2026-03-06T22:00", "2026-03-07T06:00", "2026-03-07T22:00"},
		{"Europe/Berlin", "2026-03-28T22:00", "2026-03-29T07:00", "2026-03-29T23:00"},
		{"Europe/Berlin", "2026-10-24T22:00", "2026-10-25T05:00", "2026-10-25T21:00"},
		{"Europe/Berlin", "2026-10-23T22:00", "2026-10-24T06:00", "2026-10-24T22:00"},
	} {
		zone, err := time.LoadLocation(c.zone)
		require.NoError(t, err)
		wall := func(text string) stamp.Milli {
			at, err := time.ParseInLocation("2006-01-02T15:04", text, zone)
			require.NoError(t, err)
			return stamp.Milli(at.UnixMilli())
		}
		began := wall(c.evening)
		require.Equal(t, began.Add(8*h), wall(c.wall), "%s from %s", c.zone, c.evening)
		require.Equal(t, TooSoon, At(&window, wall(c.wall).Add(-s).Since(began)))
		require.Equal(t, Ready, At(&window, wall(c.wall).Since(began)))
		require.Equal(t, Ready, At(&window, wall(c.wall).Add(s).Since(began)))
		require.Equal(t, LastCall, At(&window, wall(c.ceiling).Since(began)))
		require.Equal(t, Past, At(&window, wall(c.ceiling).Add(s).Since(began)))
	}
}
