package demand_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/demand"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// morning is 2026-11-24T06:00:00Z, a Tuesday; the kitchen's clocks show that too.
const morning stamp.Milli = 1_795_500_000_000

// house is a kitchen that sells what the demo kitchen sells.
type house struct {
	t     *testing.T
	s     *kitchen.State
	now   stamp.Milli
	count uint32
}

func newHouse(t *testing.T) *house {
	h := &house{t: t, s: kitchen.New(), now: morning}
	for _, name := range []string{"bone-in", "mushrooms", "thigh-strips", "wedges"} {
		text, err := os.ReadFile("../../demo/documents/procedure-" + name + ".json")
		require.NoError(t, err)
		doc, err := procedure.Open(text)
		require.NoError(t, err)
		h.say(&entry.Document{What: kitchen.WhatProcedure, Name: name, Version: doc.Procedure.Version, Text: string(text)})
	}
	require.Empty(t, h.s.Deviations)
	return h
}

func (h *house) say(body entry.Body) entry.ID {
	h.count++
	e := entry.New(entry.NewID(h.now, [10]byte{8: byte(h.count >> 8), 9: byte(h.count)}), stamp.Stamp{At: h.now, Count: h.count, Device: "d"}, "", body)
	h.s.Apply(&e, kitchen.Amended{})
	return e.ID
}

func (h *house) today() int32 { return h.s.WallDay(h.now) }

// week brings sales of an item for so many days before today, hour by hour from ten: the same every day.
func (h *house) past(item string, days int, hours ...int64) {
	for i := 1; i <= days; i++ {
		h.say(&entry.Sales{Item: item, Day: h.today() - int32(i), From: 600, Each: 15, Pieces: quarters(hours)})
	}
}

func quarters(hours []int64) (list []int64) {
	for _, n := range hours {
		list = append(list, n/4, n/4, n/4, n-3*(n/4))
	}
	return list
}

func (h *house) of(item string, more ...entry.Demand) *demand.Day {
	return demand.Of(h.s, demand.Ask{Now: h.now, Item: item, Day: h.today() + 1, From: 600, To: 840, Price: forecast.Ratio{Short: 3, Over: 1},
		More: more})
}

func TestWithNothingKnownNothingIsSaid(t *testing.T) {
	h := newHouse(t)
	d := h.of("bone-in")
	require.Zero(t, d.Outlook.Days)
	pieces, fixed, typed := d.Sum(600, 840)
	require.Zero(t, pieces+fixed)
	require.False(t, typed)
	require.Len(t, demand.Items(h.s), 4)
}

func TestWhatSoldEveryDayIsAskedForAgain(t *testing.T) {
	h := newHouse(t)
	h.past("bone-in", 28, 8, 40, 24, 12)
	d := h.of("bone-in")
	require.Equal(t, 28, d.Outlook.Days)
	pieces, _, _ := d.Sum(600, 840)
	require.InDelta(t, 95, pieces, 15, "a little more than the 84 of every day, since running out costs three times as much")
	noon, _, _ := d.Sum(660, 720)
	require.InDelta(t, 45, noon, 8)
	require.Greater(t, d.Enough(600, 840, pieces), d.Enough(600, 840, pieces-20))
	t.Log(d.Pieces, d.Enough(600, 840, pieces))
}
