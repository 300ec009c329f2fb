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

// TestNothingSoldBecauseThereWasNone is no low demand: a kitchen that runs out at noon on two days of three is told what it would have sold.
func TestNothingSoldBecauseThereWasNone(t *testing.T) {
	full, short := newHouse(t), newHouse(t)
	for i := 21; i > 0; i-- {
		for _, h := range []*house{full, short} {
			h.now = morning.Add(-stamp.Span(i) * stamp.Day)
			h.serve(h == short && i%3 != 0)
		}
	}
	full.now, short.now = morning, morning
	sum := func(h *house) int {
		n, _, _ := h.of("bone-in").Sum(600, 840)
		return n
	}
	require.Positive(t, sum(full))
	require.InDelta(t, sum(full), sum(short), 12, "a third less was sold, and as much was asked for")
	past := demand.History(short.s, "bone-in", short.today())
	require.Len(t, past, 21)
	require.False(t, past[1].Short[42])
	require.True(t, past[1].Short[54], "the hold was empty")
	require.False(t, past[0].Short[54])
}

// serve sells from ten to two four pieces a quarter out of a fresh tray, or (short) until all is gone at twelve.
func (h *house) serve(short bool) {
	day := h.now
	h.now = day.Add(4 * stamp.Hour)
	for i := range 16 {
		if short && i == 8 {
			break
		}
		tray := entry.NewID(h.now, [10]byte{1, 2, 3})
		pieces := int64(10)
		if short {
			pieces = 4
		}
		h.sayAs(tray, &entry.Start{Batch: tray, Procedure: "bone-in", Version: h.s.Procedure("bone-in", 0).Version, Stage: "hold", Vessel: "tray", Number: uint32(i + 1), Pieces: pieces})
		h.now = h.now.Add(14 * stamp.Minute)
		h.say(&entry.Count{Batch: tray, Sold: 4})
		h.now = h.now.Add(stamp.Minute)
		if !short {
			h.say(&entry.Discard{Batch: tray, Reason: "a fresh one is there"})
		}
	}
	h.now = day
}

func (h *house) sayAs(id entry.ID, body entry.Body) {
	h.count++
	e := entry.New(id, stamp.Stamp{At: h.now, Count: h.count, Device: "d"}, "", body)
	h.s.Apply(&e, kitchen.Amended{})
}

// TestWhatIsToldStandsOverTheForecast: a typed number in its place, an order on top of it, guests by what is usual, a day as another one.
func TestWhatIsToldStandsOverTheForecast(t *testing.T) {
	h := newHouse(t)
	h.past("bone-in", 28, 8, 40, 24, 12)
	h.past("wedges", 28, 8, 40, 24, 12)
	day := h.today() + 1
	sum := func(d *demand.Day) int { n, _, _ := d.Sum(600, 840); return n }
	plain := sum(h.of("bone-in"))
	tell := func(sort string, pieces int64, item string) entry.Demand {
		return entry.Demand{Item: item, Day: day, From: 660, To: 720, Pieces: pieces, Sort: sort}
	}
	typed := h.of("bone-in", tell(entry.DemandTyped, 70, "bone-in"))
	noon, _, is := typed.Sum(660, 720)
	require.Equal(t, 70, noon)
	require.True(t, is)
	require.Equal(t, plain, sum(h.of("wedges", tell(entry.DemandTyped, 70, "bone-in"))), "another item's")
	ordered := h.of("bone-in", tell(entry.DemandOrder, 30, "bone-in"))
	require.Equal(t, plain+30, sum(ordered))
	both := h.of("bone-in", tell(entry.DemandTyped, 70, "bone-in"), tell(entry.DemandOrder, 30, "bone-in"))
	noon, fixed, _ := both.Sum(660, 720)
	require.Equal(t, []int{70, 30}, []int{noon, fixed}, "a typed number has the order in it")
	guests := h.of("bone-in", tell(entry.DemandEvent, 40, ""))
	require.InDelta(t, plain+50, sum(guests), 12, "forty guests ask for a hundred pieces, half of them of this")
	require.Zero(t, sum(h.of("bone-in", tell(entry.DemandLike, 0, ""))), "closed")
	require.Equal(t, uint8(7), h.of("bone-in", tell(entry.DemandLike, 7, "")).Like)
}

// TestAnEventOfThePastIsLeftOut, and so is what was ordered: neither comes again by itself.
func TestAnEventOfThePastIsLeftOut(t *testing.T) {
	h := newHouse(t)
	h.past("bone-in", 28, 8, 40, 24, 12)
	plain, _, _ := h.of("bone-in").Sum(600, 840)
	yesterday := h.today() - 1
	h.say(&entry.Sales{Item: "bone-in", Day: yesterday, From: 600, Each: 15, Pieces: quarters([]int64{8, 240, 24, 12})})
	wild, _, _ := h.of("bone-in").Sum(600, 840)
	require.Greater(t, wild, plain)
	h.say(&entry.Demand{Item: "bone-in", Day: yesterday, From: 660, To: 720, Pieces: 200, Sort: entry.DemandOrder, Title: "Wedding"})
	told, _, _ := h.of("bone-in").Sum(600, 840)
	require.InDelta(t, plain, told, 3)
}

// TestHoursAreSpreadAsFinerDaysSell: a file that has only hours or days tells the rest of the week's profile nothing wrong.
func TestHoursAreSpreadAsFinerDaysSell(t *testing.T) {
	h := newHouse(t)
	h.past("bone-in", 14, 8, 40, 24, 12)
	h.say(&entry.Sales{Item: "bone-in", Day: h.today() - 1, From: 600, Each: 240, Pieces: []int64{84}})
	past := demand.History(h.s, "bone-in", h.today())
	last := past[len(past)-1]
	noon := int32(0)
	for _, n := range last.Sold[44:48] {
		noon += n
	}
	require.InDelta(t, 40, noon, 2)
}
