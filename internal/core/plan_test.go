package core_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/demo"
)

// evening is before the last boats of a demo day, when the day after is planned.
var evening = stamp.Milli(time.Date(2026, 11, 26, 23, 55, 0, 0, time.UTC).UnixMilli())

// thinker is a core that plans for the demo kitchen.
type thinker struct {
	t *testing.T
	c *core.Core
	s *kitchen.State
}

func newThinker(t *testing.T) *thinker {
	entries, err := demo.Entries(evening, [32]byte{7})
	require.NoError(t, err)
	s := kitchen.New()
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	k := &thinker{t: t, c: core.New(core.Config{Device: "planner"}), s: s}
	k.c.Step(core.Input{Op: core.OpStart, Wall: int64(evening), Mono: 1})
	return k
}

// asks asks the planner and returns what it told last, having let it think as long as it wants, but no more than some steps.
func (k *thinker) asks(state bool, steps int, cmd map[string]any) *screen.Planned {
	k.t.Helper()
	told := new(screen.Planned)
	step := func(frame []byte, cmd map[string]any) bool {
		tap, err := json.Marshal(cmd)
		require.NoError(k.t, err)
		out := k.c.Step(core.Input{Op: core.OpPlan, Wall: int64(evening), Mono: 1, Frame: frame, Tap: tap})
		require.Empty(k.t, out.Notes)
		require.Empty(k.t, out.Keep, "a planner keeps nothing")
		require.Empty(k.t, out.Send)
		if out.Plan != nil {
			require.NoError(k.t, wire.Read(out.Plan, told))
		}
		return out.Wake != 0
	}
	var frame []byte
	if state {
		frame = k.s.Append(nil)
	}
	for more := step(frame, cmd); more && steps > 0; steps-- {
		more = step(nil, map[string]any{"do": "plan-think", "number": 4000, "closes": steps == 1})
	}
	return told
}

func (k *thinker) day() int32 { return k.s.WallDay(evening) + 1 }

func TestThePlannerThinksAndAnswers(t *testing.T) {
	k := newThinker(t)
	ask := map[string]any{"do": "plan", "day": k.day(), "value": int64(evening), "name": "one"}
	first := k.asks(true, 0, ask)
	require.Equal(t, "one", first.Key)
	require.NotEmpty(t, first.Plan.Drops)
	require.NotEmpty(t, first.Plan.Tubs, "tonight's starts")
	require.False(t, first.Rests)
	last := k.asks(false, 30, map[string]any{"do": "plan", "day": k.day(), "value": int64(evening), "name": "one"})
	require.True(t, last.Rests)
	require.LessOrEqual(t, last.Plan.Cost, first.Plan.Cost)
	require.Positive(t, last.Plan.Bound)
	require.LessOrEqual(t, last.Plan.Bound, last.Plan.Cost)
	ifs := k.asks(false, 100, map[string]any{"do": "plan", "day": k.day(), "text": "ifs", "name": "one"})
	require.Len(t, ifs.Ifs, len(screen.PlanIfs()))
	for _, f := range ifs.Ifs {
		require.True(t, f.Done)
		if f.Name != "dead" && f.Name != "spare" {
			require.LessOrEqual(t, f.Cost, last.Plan.Cost, f.Name)
		}
	}
}

// What the planner found out about one state it uses for the next, as far as that is the same: the plan must be that of a planner that
// has never seen another.
func TestWhatWasFoundOutBeforeChangesNoPlan(t *testing.T) {
	k := newThinker(t)
	today := k.day() - 1
	ask := map[string]any{"do": "plan", "day": k.day(), "value": int64(evening), "name": "one"}
	before := k.asks(true, 0, ask)
	different := 0
	for i, body := range []entry.Body{
		&entry.Sales{Item: "bone-in", Day: today, From: 13 * 60, Each: 15, Pieces: []int64{9, 9, 9}},
		&entry.Sales{Item: "bone-in", Day: today - 7, From: 13 * 60, Each: 15, Pieces: []int64{90, 90, 90, 90, 90, 90}},
		&entry.Sales{Item: "bone-in", Day: today - 1, From: 6 * 60, Each: 60, Pieces: []int64{40, 50}},
		&entry.Demand{Demand: entry.ID{1: 1}, Sort: entry.DemandEvent, Day: today + 1, From: 18 * 60, To: 19 * 60, Pieces: 60, Title: "a bus"},
		&entry.Demand{Demand: entry.ID{1: 2}, Sort: entry.DemandLike, Day: today - 7, Pieces: 7},
		&entry.Equipment{Place: "fryer-1", Out: true, Reason: "no heat"},
	} {
		at := evening.Add(stamp.Span(i-60) * stamp.Second)
		e := entry.New(entry.NewID(at, [10]byte{9: byte(i)}), stamp.Stamp{At: at, Count: uint32(i), Device: "zz"}, "", body)
		k.s.Apply(&e, kitchen.Amended{})
		alone := newThinker(t)
		alone.s = k.s
		told := k.asks(true, 0, ask)
		require.True(t, bytes.Equal(wire.Append(nil, alone.asks(true, 0, ask)), wire.Append(nil, told)), "after %T %d", body, i)
		if told.Plan.Cost != before.Plan.Cost {
			different++
		}
		before = told
	}
	require.GreaterOrEqual(t, different, 4, "what happened must matter")
}

func TestAPlanIsChangedByHand(t *testing.T) {
	k := newThinker(t)
	ask := func(text, changes string) map[string]any {
		return map[string]any{"do": "plan", "day": k.day(), "value": int64(evening), "name": "one", "text": text, "reason": changes}
	}
	base := k.asks(true, 6, ask("", ""))
	hand := func(changes string) screen.PlanHand {
		got := k.asks(false, 0, ask("hand", changes)).Hand
		require.Equal(t, changes, got.Changes)
		return got
	}
	require.Empty(t, hand("d0@30").Plan.Drops, "a plan that cannot be is not offered")
	require.NotEmpty(t, hand("d0@30").Breaches, "half past midnight")
	require.NotEmpty(t, hand("d0*99").Breaches)
	tub := hand("t0-")
	require.Empty(t, tub.Breaches)
	require.Len(t, tub.Plan.Tubs, len(base.Plan.Tubs)-1)
	require.Greater(t, tub.Plan.Cost, base.Plan.Cost, "a tub less costs something, or the plan had not been a good one")
	require.NotEmpty(t, tub.Differs)
	drop := hand("d0-")
	require.Empty(t, drop.Breaches)
	require.Len(t, drop.Plan.Drops, len(base.Plan.Drops)-1)
	require.Empty(t, hand("d99@600;x;d;d0;t0@").Breaches, "what is no change changes nothing")
}
