package kitchen_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// post says what a sensor read: thousandths of a degree, one every so often, the last of them now.
func (k *kit) post(source string, every stamp.Span, milliC ...int64) entry.ID {
	b := &entry.Sensing{Place: "cold-room", Source: source, Probe: "air", From: k.now.Add(-every * stamp.Span(len(milliC)-1))}
	for i, c := range milliC {
		b.List = append(b.List, entry.Sensed{After: every * stamp.Span(i), MilliC: c})
	}
	return k.sayOn(source, k.id(), b)
}

// degreeMinutes is how heat is counted, in thousandths of a degree times milliseconds.
const degreeMinutes = 1000 * int64(stamp.Minute)

// TestExcursionIsReckonedByHand: 3, 5, 5, 3 degrees, ten minutes apart, against a limit of 4. Between
// readings of which either is beyond it all of the time counts: 30 minutes. The straight line is beyond it from five minutes
// after the first to five minutes before the last: 2.5 + 10 + 2.5 degree-minutes. A tub that came in half way has 15
// minutes and 7.5 degree-minutes of it.
func TestExcursionIsReckonedByHand(t *testing.T) {
	k := newKit(t)
	first := k.tub()
	began := k.now
	k.wait(15 * stamp.Minute)
	second := k.tub()
	k.wait(15 * stamp.Minute)
	k.post("cold-a", 10*stamp.Minute, 3000, 5000, 5000, 3000)
	d := k.off(kitchen.DevExcursion)
	require.Equal(t, "cold-room", d.Place)
	require.Equal(t, "cold-a", d.Text)
	require.Equal(t, int64(30*stamp.Minute), d.Number)
	x := k.s.Excursion(d.Key)
	require.NotNil(t, x)
	require.Equal(t, began, x.From)
	require.Equal(t, began.Add(30*stamp.Minute), x.Until)
	require.Equal(t, int64(4000), x.Limit)
	require.Equal(t, int64(5000), x.Peak)
	require.Equal(t, 15*degreeMinutes, x.Heat)
	require.False(t, x.Before)
	had := map[entry.ID]kitchen.Had{}
	for _, u := range x.Used {
		had[u.Batch] = u
	}
	require.Equal(t, kitchen.Had{Batch: first, Over: 30 * stamp.Minute, Heat: 15 * degreeMinutes}, had[first])
	require.Equal(t, kitchen.Had{Batch: second, Over: 15 * stamp.Minute, Heat: 75 * degreeMinutes / 10}, had[second])
	p := k.s.Place("cold-room")
	require.Equal(t, int64(3000), p.Reading)
	require.Equal(t, k.now, p.ReadAt)
	require.Equal(t, "air", p.Probe)
}

// TestLimitIsMetAtTheLimit: at the limit is not beyond it, a thousandth above is; one reading alone has no length.
func TestLimitIsMetAtTheLimit(t *testing.T) {
	k := newKit(t)
	k.post("cold-a", stamp.Minute, 4000, 4000, 4000)
	k.wait(stamp.Hour)
	require.Empty(t, k.s.Deviations)
	k.post("cold-b", stamp.Minute, 4001)
	require.Empty(t, k.s.Deviations)
	k.wait(stamp.Minute)
	k.post("cold-b", stamp.Minute, 4001)
	require.Equal(t, int64(stamp.Minute), k.off(kitchen.DevExcursion).Number)
}

// TestAllowanceIsHeld: as long as the equipment's document allows, nothing opens; a millisecond longer, and it does.
func TestAllowanceIsHeld(t *testing.T) {
	for _, c := range []struct {
		last stamp.Span
		off  int
	}{{20 * stamp.Minute, 0}, {20*stamp.Minute + 1, 1}} {
		k := newKit(t)
		eq := equipmentDoc(2)
		eq.Text = strings.Replace(eq.Text, `"every": "PT4H"`, `"every": "PT4H", "allow": "PT20M"`, 1)
		k.say(&eq)
		k.wait(stamp.Hour)
		b := &entry.Sensing{Place: "cold-room", Source: "cold-a", From: k.now.Add(-stamp.Hour),
			List: []entry.Sensed{{After: 0, MilliC: 9000}, {After: c.last, MilliC: 9000}}}
		k.say(b)
		require.Len(t, k.s.Deviations, c.off)
	}
}

// TestPlaceWithALowestLimitIsWatchedWhenItsDocumentSaysSo: a cabinet that is off at night is no excursion, unless the
// document gives it an allowance.
func TestPlaceWithALowestLimitIsWatchedWhenItsDocumentSaysSo(t *testing.T) {
	k := newKit(t)
	cold := &entry.Sensing{Place: "cabinet", Source: "hot", List: []entry.Sensed{{MilliC: 20_000}, {After: stamp.Hour, MilliC: 20_000}}}
	cold.From = k.now.Add(-stamp.Hour)
	k.say(cold)
	require.Empty(t, k.s.Deviations)
	eq := equipmentDoc(2)
	eq.Text = strings.Replace(eq.Text, `"min": "57 Cel",
        "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H"`, `"min": "57 Cel",
        "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H", "allow": "PT5M"`, 1)
	require.Contains(t, eq.Text, "PT5M")
	k.say(&eq)
	k.wait(stamp.Hour)
	cold.From, cold.Source = k.now.Add(-30*stamp.Minute), "hot-2"
	cold.List = []entry.Sensed{{MilliC: 60_000}, {After: 10 * stamp.Minute, MilliC: 54_000}, {After: 20 * stamp.Minute, MilliC: 60_000}}
	k.say(cold)
	x := k.s.Excursion(k.off(kitchen.DevExcursion).Key)
	require.Equal(t, int64(54_000), x.Peak)
	require.Equal(t, 20*stamp.Minute, x.Until.Since(x.From))
	require.Equal(t, 15*degreeMinutes, x.Heat, "57 is crossed half way down and half way up")
}

// TestExcursionGoesOnFromEntryToEntry: readings that come one by one make the same excursion as those that come at once.
func TestExcursionGoesOnFromEntryToEntry(t *testing.T) {
	milliC := []int64{3000, 5000, 6500, 6000, 4500, 2000}
	once, singly := newKit(t), newKit(t)
	for _, c := range milliC {
		singly.wait(7 * stamp.Minute)
		singly.post("cold-a", 0, c)
	}
	once.wait(42 * stamp.Minute)
	once.post("cold-a", 7*stamp.Minute, milliC...)
	a, b := *once.s.Excursion(once.off(kitchen.DevExcursion).Key), *singly.s.Excursion(singly.off(kitchen.DevExcursion).Key)
	a.Key, b.Key = "", ""
	require.Equal(t, a, b)
}

// TestAfterTheAnswerItOpensAnew: a closed deviation stays as it was answered; what goes on opens another.
func TestAfterTheAnswerItOpensAnew(t *testing.T) {
	k := newKit(t)
	k.wait(stamp.Hour)
	k.post("cold-a", 10*stamp.Minute, 9000, 9000)
	first := k.off(kitchen.DevExcursion)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: first.Key, Text: "door shut", Closes: true})
	k.wait(10 * stamp.Minute)
	k.post("cold-a", 0, 9000)
	require.Len(t, k.s.Deviations, 2)
	require.Equal(t, int64(10*stamp.Minute), k.s.Deviation(first.Key).Number)
	for _, d := range k.s.Deviations {
		require.Equal(t, int64(10*stamp.Minute), d.Number)
	}
}

// TestExcursionsAreThoseOfPackageSafety: folded reading by reading, random logs give the runs, and what batches had of
// them, that the limit's own mathematics gives for the whole log.
func TestExcursionsAreThoseOfPackageSafety(t *testing.T) {
	runs := 0
	for seed := range uint64(40) {
		k := newKit(t)
		chance := chance(seed)
		limit := safety.HoldLimit{Cold: true, Limit: safety.Celsius(4)}
		var log []safety.Reading
		var tubs []entry.ID
		var since []stamp.Milli
		for range 30 {
			k.wait(stamp.Span(1+chance.Below(20)) * stamp.Minute)
			c := int64(chance.Below(5000) + 1500)
			k.post("cold-a", 0, c)
			log = append(log, safety.Reading{At: k.now, Heat: safety.FromMilliC(c)})
			if chance.One(6) {
				tubs, since = append(tubs, k.tub()), append(since, k.now)
			}
		}
		off := limit.OutOf(log)
		require.Len(t, k.s.Excursions, len(off.Runs), "seed %d", seed)
		spent := map[entry.ID]stamp.Span{}
		for _, x := range k.s.Excursions {
			i := slices.IndexFunc(off.Runs, func(r safety.OffRun) bool { return r.From == x.From })
			require.GreaterOrEqual(t, i, 0, "seed %d", seed)
			require.Equal(t, off.Runs[i].To, x.Until)
			require.Equal(t, off.Runs[i].Worst.MilliC(), x.Peak)
			for _, u := range x.Used {
				spent[u.Batch] += u.Over
			}
			runs++
		}
		for i, id := range tubs {
			require.Equal(t, off.Between(since[i], log[len(log)-1].At), spent[id], "seed %d", seed)
		}
	}
	require.Greater(t, runs, 100)
}

// TestStateStaysSmall: a sensor that reads every ten seconds for three days leaves one day of quarters, not its readings.
func TestStateStaysSmall(t *testing.T) {
	k := newKit(t)
	for range 72 {
		k.wait(stamp.Hour)
		b := &entry.Sensing{Place: "cold-room", Source: "cold-a", From: k.now.Add(-stamp.Hour + 10*stamp.Second)}
		for i := range 360 {
			b.List = append(b.List, entry.Sensed{After: stamp.Span(i) * 10 * stamp.Second, MilliC: 2000 + int64(i%7)*100})
		}
		k.list = append(k.list, entry.New(k.id(), stamp.Stamp{At: k.now, Device: "cold-a"}, "", b))
	}
	k.s = fold(k.list)
	f := k.s.Feed("cold-room", "cold-a")
	require.Len(t, f.Quarters, 96)
	for _, q := range f.Quarters[:95] { // the last has only begun
		require.Equal(t, int64(2000), q.Min)
		require.Equal(t, int64(2600), q.Max)
	}
	require.Less(t, len(k.s.Append(nil)), 20_000)
	require.Equal(t, k.now, f.At)
}

// TestSilentSensorRings: after three times its interval, for the lead, until it is heard again or taken off.
func TestSilentSensorRings(t *testing.T) {
	k := newKit(t)
	silent := func() []kitchen.Bell {
		var list []kitchen.Bell
		for _, b := range kitchen.Bells(k.s, k.now, 0) {
			if b.Point == kitchen.PointSilent {
				list = append(list, b)
			}
		}
		return list
	}
	k.say(&entry.SensorPairing{Sensor: "cold-a", Name: "Cold room, back", Every: 5 * stamp.Minute, Places: []string{"cold-room"}})
	k.wait(10 * stamp.Minute)
	k.post("cold-a", 0, 3000)
	k.wait(15*stamp.Minute - 1)
	require.Empty(t, silent())
	k.wait(1)
	bells := silent()
	require.Len(t, bells, 1)
	require.Equal(t, kitchen.Attention, bells[0].Level)
	require.True(t, bells[0].Escalated, "it is the lead's")
	require.Equal(t, "cold-a", bells[0].Sensor)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: bells[0].Key})
	require.Empty(t, silent())
	k.wait(stamp.Hour)
	require.Len(t, silent(), 1, "it comes back")
	k.post("cold-a", 0, 3000)
	require.Empty(t, silent())
	k.wait(15 * stamp.Minute)
	require.Equal(t, 0, silent()[0].N, "a new silence begins from none answered")
	k.say(&entry.SensorRevocation{Sensor: "cold-a", Reason: "broken"})
	require.Empty(t, silent())
}
