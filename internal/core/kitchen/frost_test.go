package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// Food Code 3-501.17 and .18(A)(1), testdata/published/food-code-numbers.csv, date-max, date-day1 and date-frozen: kept for four
// days, frozen, and three left on the day of thawing, that day counted.
func TestFreezingStopsTheDateMark(t *testing.T) {
	k := newKit(t)
	b := k.tray(1200)
	log := k.cools(b, 60_000)
	k.wait(stamp.Hour)
	k.reads(log, f70)
	k.wait(stamp.Hour)
	k.reads(log, f41)
	monday := k.s.WallDay(k.now)
	require.Equal(t, monday+6, k.s.WallDay(k.batch(b.ID).UseBy))
	k.wait(3 * stamp.Day) // the fourth day
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
	require.False(t, k.s.Window(k.batch(b.ID)).Any())
	k.wait(40 * stamp.Day)
	require.Zero(t, countRinging(k), "nothing of it is overdue")
	require.Equal(t, kitchen.NotFrozen, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1}).Name)
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: entry.ThawCold})
	thawed := k.batch(b.ID)
	require.Equal(t, k.s.DayStart(k.s.WallDay(k.now)+3)-1, thawed.UseBy, "today is the fifth day, two more follow")
	require.Equal(t, thawed.UseBy, thawed.Since.Add(k.s.Window(thawed).Ceiling))
	k.now = thawed.UseBy
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
	k.now++
	k.refused(kitchen.RefPastLimit, kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
	k.refused(kitchen.RefPastLimit, kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
}

func countRinging(k *kit) (n int) {
	for _, b := range kitchen.Bells(k.s, k.now, 0) {
		if b.Ringing && b.Point != kitchen.PointList {
			n++
		}
	}
	return n
}

// TestTheMarkCountsAsSafetyDoes freezes and thaws at random, and compares with package safety's own count of days.
func TestTheMarkCountsAsSafetyDoes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := newKit(t)
		b := k.tray(1200)
		k.say(&entry.Log{What: entry.LogCool, Rule: "food-code", Batch: b.ID, Measured: true, MilliC: f41})
		m := safety.Make(k.s.WallDay(k.now))
		for range rapid.IntRange(1, 6).Draw(rt, "events") {
			k.wait(stamp.Span(rapid.Int64Range(1, 50).Draw(rt, "hours")) * stamp.Hour)
			day := k.s.WallDay(k.now)
			if x := k.batch(b.ID); x.Frozen == 0 {
				if k.now > x.UseBy {
					return // past its mark nobody freezes it
				}
				k.say(&entry.Frost{Batch: b.ID})
				m = m.Freeze(day)
				continue
			}
			k.say(&entry.Frost{Batch: b.ID, Way: entry.ThawCold})
			m = m.Thaw(day)
			require.Equal(rt, m.Until(k.s.DayStart), k.batch(b.ID).UseBy)
		}
	})
}

// While it is frozen the time of a stage stands still: it is not ready the sooner for it, and not past its limit.
func TestFrozenTimeStandsStill(t *testing.T) {
	k := newKit(t)
	tub := k.tub()
	k.wait(3 * stamp.Hour)
	began := k.batch(tub).Began
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub})
	require.Empty(t, k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub}), "it is frozen already")
	k.wait(9 * stamp.Hour)
	k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoMove, Batch: tub, From: "marinate"})
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub, Answer: entry.ThawCold})
	require.Equal(t, kitchen.NotThawable, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoFreeze, Batch: tub, Answer: entry.ThawCook}).Name)
	b := k.batch(tub)
	require.Equal(t, 3*stamp.Hour, k.now.Since(b.Since))
	require.NotEqual(t, began, b.Began, "its bells are other ones")
	require.Equal(t, "cold-room", b.Place)
	r := k.refused(kitchen.RefTooSoon, kitchen.Command{Do: kitchen.DoMove, Batch: tub, From: "marinate"})
	require.EqualValues(t, 3*stamp.Hour, r.Number)
	k.wait(7 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: tub, From: "marinate"})
	require.Empty(t, k.s.Deviations)
}

// What began the log of a thawing was a frozen batch that was taken out: there is no number in it to be corrected.
func TestTakingOutIsNotCorrected(t *testing.T) {
	k := newKit(t)
	tub := k.tub()
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub})
	k.wait(stamp.Hour)
	log := k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub, Answer: entry.ThawWater})[0]
	require.NotNil(t, k.s.Log(log))
	k.refused(kitchen.RefNotUndoable, kitchen.Command{Do: kitchen.DoCorrect, Entry: log, Value: 3_000, Unit: "mC"})
}

// Somebody took it out and went on without saying so: it happened, the time ran from then, and the lead looks at it.
func TestWhatIsDoneWithAFrozenBatchShows(t *testing.T) {
	k := newKit(t)
	tub := k.tub()
	k.wait(8 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub})
	k.wait(2 * stamp.Day)
	k.say(&entry.Move{Batch: tub, From: "marinate", To: "drain"})
	require.Equal(t, "drain", k.batch(tub).Stage)
	require.Zero(t, k.batch(tub).Frozen)
	d := k.off(kitchen.DevFrozen)
	require.EqualValues(t, 2*stamp.Day, d.Number)
	require.Equal(t, []kitchen.DeviationCode{kitchen.DevFrozen}, k.codes(), "eight hours are not too many")
}
