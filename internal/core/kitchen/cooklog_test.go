package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// holding is a log that stays at a temperature for so long, a reading a second.
func holding(f int64, seconds int) []safety.Reading {
	list := []safety.Reading{{At: 1, Heat: safety.Fahrenheit(40)}}
	for i := range seconds + 1 {
		list = append(list, safety.Reading{At: stamp.Milli(60_000 + i*1000), Heat: safety.Fahrenheit(f)})
	}
	return list
}

// cookLog is a log as a screen puts it together.
func cookLog(batch entry.ID, list []safety.Reading) *entry.CookLog {
	return &entry.CookLog{Batch: batch, Source: entry.LogFile, Name: "probe.csv", Rows: probelog.Pack(list), Degrees: "[degF]",
		Species: kitchen.Chicken, Fat: 7000, Probe: "p1"}
}

// kept returns the logs of a batch that hold.
func (k *kit) kept(batch entry.ID) (list []entry.CookLog) {
	for _, v := range k.batch(batch).Events {
		var b entry.CookLog
		if v.Kind == entry.CookAssessed && !v.Withdrawn {
			require.NoError(k.t, wire.Read(v.Body, &b))
			list = append(list, b)
		}
	}
	return list
}

// TestCookLogIsKeptOnItsBatch: chicken of 7 % fat at 158 degF asks for 24.5 s (lethality-chicken.csv): 25 s meet it.
func TestCookLogIsKeptOnItsBatch(t *testing.T) {
	k := newKit(t)
	load := k.loaded()
	k.wait(10 * stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(158, 25))})
	list := k.kept(load.ID)
	require.Len(t, list, 1)
	b := list[0]
	require.True(t, b.Met)
	require.Equal(t, int64(158), b.HeldAt)
	require.Equal(t, int64(25_000), b.Held)
	require.Equal(t, int64(24_500), b.Dwell)
	require.Equal(t, int64(27), b.Count)
	require.Equal(t, "fsis-a-chicken", b.Table)
	require.Equal(t, probelog.Digest(b.Rows), b.Digest)
	require.Greater(t, b.Linear, int64(7_000_000))
	require.Equal(t, holding(158, 25), probelog.Unpack(b.Rows), "the readings can be had again")
	require.Empty(t, k.codes())
	require.Equal(t, int64(1), k.s.Probe("p1").Reads)
}

// TestCookLogThatIsNotMetOpensADeviation: a second less, and a reading that the table does not have at all.
func TestCookLogThatIsNotMetOpensADeviation(t *testing.T) {
	k := newKit(t)
	load := k.loaded()
	id := k.do(kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(158, 24))})[0]
	d := k.off(kitchen.DevCookLog)
	require.Equal(t, load.ID, d.Batch)
	require.Equal(t, []any{int64(24_000), int64(24_500), "ms", "p1", true}, []any{d.Number, d.Limit, d.Unit, d.Probe, d.Critical})
	require.Len(t, d.Missing(), len(kitchen.Parts))
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: id})
	require.Empty(t, k.codes())
	require.Empty(t, k.kept(load.ID))
	k.wait(stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(135, 600))})
	d = k.off(kitchen.DevCookLog)
	require.Equal(t, []any{int64(57_222), int64(57_778), "mC"}, []any{d.Number, d.Limit, d.Unit})
}

// TestCookLogIsCorrectedAndWorkedOutAgain: what it was held against is put right; the readings never are.
func TestCookLogIsCorrectedAndWorkedOutAgain(t *testing.T) {
	k := newKit(t)
	load := k.loaded()
	id := k.do(kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(158, 25))})[0]
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Value: 12_000, Unit: "m%", Reason: "the label says 12"})
	b := k.kept(load.ID)[0]
	require.False(t, b.Met)
	require.Equal(t, int64(12_000), b.Fat)
	require.Equal(t, holding(158, 25), probelog.Unpack(b.Rows))
	k.off(kitchen.DevCookLog)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Typed: "7", TypedIn: "%", Into: "value", Unit: "m%", Reason: "misread"})
	require.True(t, k.kept(load.ID)[0].Met)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Typed: "0.5", TypedIn: "Cel", Into: "value", Unit: "mC", Reason: "the check says 0.5"})
	require.Equal(t, int64(safety.HeatC/2), k.kept(load.ID)[0].Error)
	require.False(t, k.kept(load.ID)[0].Met)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Answer: kitchen.Turkey, Reason: "it was turkey"})
	require.Equal(t, "fsis-a-turkey", k.kept(load.ID)[0].Table)
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Value: 12_001, Unit: "m%", Reason: "x"})
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Value: 10_001, Unit: "mC", Reason: "x"})
}

func TestCookLogsThatAreNotKept(t *testing.T) {
	k := newKit(t)
	load := k.loaded()
	k.do(kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(158, kitchen.LogRows-2))})
	r := k.refused(kitchen.RefLogLong, kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(load.ID, holding(158, kitchen.LogRows-1))})
	require.Equal(t, []int64{kitchen.LogRows + 1, kitchen.LogRows}, []int64{r.Number, r.Limit})
	k.refused(kitchen.RefNoBatch, kitchen.Command{Do: kitchen.DoCookLog, Cook: cookLog(entry.ID{9}, holding(158, 30))})
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoCookLog})
	bad := cookLog(load.ID, holding(158, 30))
	bad.Rows = bad.Rows[:7]
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoCookLog, Cook: bad})
}
