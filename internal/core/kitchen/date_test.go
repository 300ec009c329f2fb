package kitchen_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// keptKit is a kitchen in New York, where the clocks go back in the night to 2026-11-01, with a procedure whose cooked trays
// may be kept for a length.
func keptKit(t *testing.T, keep string, now time.Time) *kit {
	k := newKit(t)
	k.now = stamp.Milli(now.UnixMilli())
	k.say(&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{
		{From: 1772953200000, Minutes: -240, Name: "EDT"}, {From: 1793512800000, Minutes: -300, Name: "EST"},
	}})
	doc := document(kitchen.WhatProcedure, "pieces", 2, strings.Replace(pieces, `"window": {"ceiling": "PT1H"`, `"window": {"ceiling": "`+keep+`"`, 1))
	require.Contains(t, doc.Text, keep)
	k.say(&doc)
	return k
}

func (k *kit) tray(grams int64) *kitchen.Batch {
	return k.batch(k.say(&entry.Start{Procedure: "pieces", Version: k.s.Procedure("pieces", 0).Version, Stage: "hold", Vessel: "tray", Number: uint32(len(k.s.Batches) + 1), Grams: grams, Pieces: 8}))
}

// Food Code 3-501.17(A): at most 7 days, the day of making counted as the first, by the kitchen's own days.
func TestDateMarkEndsWithTheSeventhDay(t *testing.T) {
	ny, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	for _, c := range []struct {
		keep string
		made time.Time
		want time.Time
	}{
		{"P10D", time.Date(2026, 10, 30, 23, 59, 59, 0, ny), time.Date(2026, 11, 6, 0, 0, 0, 0, ny)},
		{"P10D", time.Date(2026, 10, 31, 0, 0, 0, 0, ny), time.Date(2026, 11, 7, 0, 0, 0, 0, ny)},
		{"P7D", time.Date(2026, 11, 10, 15, 0, 0, 0, ny), time.Date(2026, 11, 17, 0, 0, 0, 0, ny)},
		{"P2D", time.Date(2026, 10, 31, 15, 0, 0, 0, ny), time.Date(2026, 11, 2, 14, 0, 0, 1e6, ny)}, // 48 hours
		{"PT24H", time.Date(2026, 10, 31, 15, 0, 0, 0, ny), time.Date(2026, 11, 1, 14, 0, 0, 1e6, ny)},
	} {
		k := keptKit(t, c.keep, c.made)
		b := k.tray(1200)
		last := stamp.Milli(c.want.UnixMilli()) - 1
		require.Equal(t, last, b.UseBy, "%s from %s", c.keep, c.made)
		w := k.s.Window(b)
		require.Equal(t, last, b.Since.Add(w.Ceiling))
		k.now = last
		k.do(kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
		k.now++
		k.refused(kitchen.RefPastLimit, kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
	}
}

// What is put together keeps the days of the oldest.
func TestPutTogetherTakesTheOldestMark(t *testing.T) {
	k := keptKit(t, "P10D", time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC))
	old := k.tray(1000)
	k.wait(2 * stamp.Day)
	young := k.tray(1000)
	require.Equal(t, old.UseBy.Add(2*stamp.Day), young.UseBy)
	k.do(kitchen.Command{Do: kitchen.DoPortion, To: "hold", Portions: []kitchen.Vessel{{Pieces: 16}}, Shares: []kitchen.Wanted{
		{Batch: young.ID, Pieces: 8}, {Batch: old.ID, Pieces: 8},
	}})
	left := k.open("hold")
	require.Len(t, left, 1, "both are used up")
	merged := left[0]
	require.Equal(t, old.UseBy, merged.UseBy)
}
