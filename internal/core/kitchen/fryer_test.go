package kitchen_test

import (
	"testing"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"github.com/stretchr/testify/require"
)

// TestNothingIsLeftInHotOil: a load past its limit may come out of the fryer at once, without a lead. What came out is
// in doubt: it goes no further until a lead has answered, or it is discarded.
func TestNothingIsLeftInHotOil(t *testing.T) {
	k := newKit(t)
	load := k.loaded().ID
	k.cooked(load)
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: load})
	off := k.off(kitchen.DevPastLimit)
	require.Equal(t, load, off.Batch)
	tray := k.open("stage")[0]
	require.Equal(t, off.Key, tray.Doubt)
	k.wait(stamp.Minute)
	require.Equal(t, off.Key, k.refused(kitchen.RefDoubt, kitchen.Command{Do: kitchen.DoMove, Batch: tray.ID}).Name)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: off.Key, Text: "probed each piece, over its limit", Closes: true})
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: tray.ID})
}

// TestInTimeIsNotInDoubt: one millisecond before, nothing is off.
func TestInTimeIsNotInDoubt(t *testing.T) {
	k := newKit(t)
	load := k.loaded().ID
	k.cooked(load)
	w := k.s.Window(k.batch(load))
	k.wait(w.Ceiling - k.now.Since(k.batch(load).Since))
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: load})
	require.Empty(t, k.s.Deviations)
	require.Empty(t, k.open("stage")[0].Doubt)
}

// TestTypedNumbers: numbers come as they were typed, in the unit of the document, and are read here and nowhere else.
func TestTypedNumbers(t *testing.T) {
	for _, c := range []struct {
		typed, in string
		want      int64
	}{{"77.6", "Cel", 77_600}, {"77,6", "Cel", 77_600}, {"-2.1", "Cel", -2100}, {"165", "[degF]", 73_889}, {"77.", "Cel", 77_000}} {
		k := newKit(t)
		k.do(kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Unit: "mC", Typed: c.typed, TypedIn: c.in, Into: "value"})
		require.Equal(t, c.want, k.s.Place("cold-room").Reading, c.typed)
	}
	k := newKit(t)
	tray := k.trays()[0]
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Typed: "3", TypedIn: "1", Into: "wasted"})
	require.EqualValues(t, 3, k.batch(tray.ID).Wasted)
	for _, typed := range []string{"", "-", "warm", "7.7.7"} {
		k.refused(kitchen.RefNeedNumber, kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Unit: "mC", Typed: typed, TypedIn: "Cel", Into: "value"})
	}
	k.refused(kitchen.RefNeedNumber, kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Unit: "mC", Typed: "4", TypedIn: "kg", Into: "value"})
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoNote, Batch: entry.ID{1}, Text: "x", Typed: "4", TypedIn: "1", Into: "lots"})
}
