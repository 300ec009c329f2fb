package kitchen_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// f135 and f70 are the model code's marks as entries hold them: 135 °F and 70 °F in thousandths of a degree Celsius.
const (
	f135 = 57_222
	f70  = 21_111
	f41  = 5_000
)

func (k *kit) reads(log entry.ID, milliC int64) entry.ID {
	k.t.Helper()
	return k.do(kitchen.Command{Do: kitchen.DoLogRead, Log: log, Value: milliC, Unit: "mC"})[0]
}

// cools begins to cool a tray of a keptKit at a temperature.
func (k *kit) cools(b *kitchen.Batch, milliC int64) entry.ID {
	k.t.Helper()
	return k.do(kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: b.ID, Value: milliC, Unit: "mC"})[0]
}

// logBells lists what the logs ring, by point and instant.
func (k *kit) logBells(at stamp.Milli) (list []string) {
	for _, b := range kitchen.Bells(k.s, at, 36*stamp.Hour) {
		if !b.Log.IsZero() {
			list = append(list, string(b.Point)+" "+time.UnixMilli(int64(b.First)).UTC().Format("15:04:05.000"))
		}
	}
	return list
}

// Food Code 3-501.14(A), testdata/published/food-code-numbers.csv, cool-1-end to cool-total: a second and a tenth of a degree to
// either side.
func TestCoolingOnItsLimits(t *testing.T) {
	for _, c := range []struct {
		name   string
		at     stamp.Span
		milliC int64
		missed int
	}{
		{"70 °F after 2 h", 2 * stamp.Hour, f70, 0},
		{"70 °F a second late", 2*stamp.Hour + stamp.Second, f70, 1},
		{"70 °F a second early", 2*stamp.Hour - stamp.Second, f70, 0},
		{"70.1 °F after 2 h", 2 * stamp.Hour, 21_167, 0}, // it may still fall in this very millisecond
		{"70.1 °F a second late", 2*stamp.Hour + stamp.Second, 21_167, 1},
		{"69.9 °F after 2 h", 2 * stamp.Hour, 21_056, 0},
	} {
		k := newKit(t)
		b := k.tray(1200)
		log := k.cools(b, f135)
		k.now = evening.Add(c.at)
		k.reads(log, c.milliC)
		require.Len(t, k.s.Deviations, c.missed, c.name)
		if c.missed > 0 {
			d := k.off(kitchen.DevCooling)
			require.Equal(t, b.ID, d.Batch)
			require.EqualValues(t, 2*stamp.Hour, d.Limit)
			require.Equal(t, int64(c.at), d.Number)
			require.Contains(t, k.s.Log(log).Judge(k.now).Actions, safety.Discard)
			require.Contains(t, k.s.Log(log).Judge(k.now).Actions, safety.Reheat)
		}
	}
	for _, c := range []struct { // the second mark
		name   string
		at     stamp.Span
		milliC int64
		missed int
		ended  bool
	}{
		{"41 °F after 6 h", 6 * stamp.Hour, f41, 0, true},
		{"41 °F a second late", 6*stamp.Hour + stamp.Second, f41, 1, true},
		{"41 °F a second early", 6*stamp.Hour - stamp.Second, f41, 0, true},
		{"41.1 °F a second early", 6*stamp.Hour - stamp.Second, 5_056, 0, false},
		{"40.9 °F after 6 h", 6 * stamp.Hour, 4_944, 0, true},
	} {
		k := newKit(t)
		log := k.cools(k.tray(1200), f135)
		k.now = evening.Add(stamp.Hour)
		k.reads(log, f70)
		k.now = evening.Add(c.at)
		k.reads(log, c.milliC)
		require.Len(t, k.s.Deviations, c.missed, c.name)
		require.Equal(t, c.ended, k.s.Log(log).Ended, c.name)
		if c.missed > 0 {
			require.EqualValues(t, 6*stamp.Hour, k.off(kitchen.DevCooling).Limit)
		}
	}
}

func TestCoolingIsWatchedAndEndsWithAMark(t *testing.T) {
	k := newKit(t)
	b := k.tray(1200)
	k.refused(kitchen.RefNeedNumber, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: b.ID})
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Procedure: "tphc4", Batch: b.ID, Unit: "mC"})
	log := k.cools(b, 62_000)
	require.Equal(t, kitchen.NotLogged, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: b.ID, Unit: "mC"}).Name)
	require.Equal(t, kitchen.NotLogged, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID}).Name)
	require.Equal(t, []string{"read 21:00:00.000", "last 21:30:00.000", "past 22:00:00.001"}, k.logBells(k.now))
	require.False(t, k.s.Window(k.batch(b.ID)).Any(), "the time of the hold does not run on")

	k.wait(30 * stamp.Minute)
	k.reads(log, 58_000) // still above 135 °F: the time begins with the last such reading
	require.Equal(t, []string{"read 21:30:00.000", "last 22:00:00.000", "past 22:30:00.001"}, k.logBells(k.now))
	k.wait(stamp.Hour)
	k.reads(log, 21_000)
	j := k.s.Log(log).Judge(k.now)
	require.Equal(t, evening.Add(6*stamp.Hour+30*stamp.Minute), j.Until)
	require.EqualValues(t, f41, j.Mark)
	require.Equal(t, []string{"read 22:30:00.000", "last 02:00:00.000", "past 02:30:00.001"}, k.logBells(k.now))
	k.wait(2 * stamp.Hour)
	k.reads(log, 4_800)
	l := k.s.Log(log)
	require.True(t, l.Ended)
	require.Equal(t, entry.LogCooled, l.Outcome)
	require.Empty(t, k.logBells(k.now))
	require.Empty(t, k.s.Deviations)
	b = k.batch(b.ID)
	require.True(t, b.Kept)
	require.Equal(t, k.s.DayStart(k.s.WallDay(evening)+safety.DateDays)-1, b.UseBy, "the day of making is the first of seven")
	require.Equal(t, b.UseBy, b.Since.Add(k.s.Window(b).Ceiling))
	require.Equal(t, kitchen.NotLog, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLogRead, Log: log, Value: 1, Unit: "mC"}).Name)
	k.now = b.UseBy
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
	k.now++
	k.refused(kitchen.RefPastLimit, kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1})
}

// A food that missed its first mark is heated and cooled again, once: after that it is thrown away.
func TestCoolingAgainOnceOnly(t *testing.T) {
	k := newKit(t)
	log := k.do(kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Name: "Beans", Value: 60_000, Unit: "mC"})[0]
	k.wait(3 * stamp.Hour)
	k.reads(log, 30_000)
	require.Equal(t, "Beans", k.off(kitchen.DevCooling).Text)
	require.Equal(t, kitchen.NotOver, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDone}).Name)
	k.reads(log, 29_000)
	k.off(kitchen.DevCooling) // one miss, one deviation
	k.wait(20 * stamp.Minute)
	k.reads(log, 75_000)
	j := k.s.Log(log).Judge(k.now)
	require.Empty(t, j.Late, "it is hot again: the time begins anew")
	require.Equal(t, k.now.Add(2*stamp.Hour), j.Until)
	k.wait(2*stamp.Hour + stamp.Second)
	k.reads(log, 30_000)
	require.Len(t, k.s.Deviations, 2)
	require.Equal(t, []safety.Action{safety.Discard, safety.CallLead}, k.s.Log(log).Judge(k.now).Actions)
	k.do(kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDiscarded})
	require.True(t, k.s.Log(log).Ended)
}

// Two phones of which one is out of touch begin to cool one tray: it is one log with the readings of both.
func TestTwoPhonesCoolOneTray(t *testing.T) {
	k := newKit(t)
	b := k.tray(1200)
	first := k.cools(b, 60_000)
	k.wait(stamp.Minute)
	other := k.say(&entry.Log{What: entry.LogCool, Rule: "food-code", Batch: b.ID, Measured: true, MilliC: 59_000})
	drafts, r := k.try(kitchen.Command{Do: kitchen.DoCorrect, Entry: other, Value: 58_000, Unit: "mC"})
	require.Nil(t, r)
	require.Equal(t, entry.LogBegun, drafts[0].Body.(*entry.Correction).To, "it is corrected as what it is")
	k.wait(stamp.Hour)
	k.say(&entry.LogReading{Log: other, Batch: b.ID, MilliC: 20_000})
	require.Len(t, k.s.Logs, 1)
	l := k.s.Log(other)
	require.Equal(t, first, l.ID)
	require.Len(t, l.Reads, 2)
	require.Equal(t, evening.Add(stamp.Minute+6*stamp.Hour), l.Judge(k.now).Until)
}

// The kitchen's rule is a setting, and stands in the log: a later change changes no past.
func TestTheKitchenChoosesItsCoolingRule(t *testing.T) {
	k := newKit(t)
	k.refused(kitchen.RefNotLead, kitchen.Command{Do: kitchen.DoSet, Name: entry.SetCoolRule, Number: 4})
	old := k.cools(k.tray(1200), 60_000)
	k.crew = "ann"
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoSet, Name: entry.SetCoolRule, Number: 8})
	for i, rule := range safety.CoolRules() {
		if i == 3 {
			k.do(kitchen.Command{Do: kitchen.DoSet, Name: entry.SetCoolRule, Number: 4})
			require.Equal(t, rule.ID, k.s.CoolRule().ID)
		}
	}
	young := k.cools(k.tray(1200), 60_000)
	require.Equal(t, "fsis-1", k.s.Log(young).Rule)
	require.Equal(t, "food-code", k.s.Log(old).Rule)
	require.Equal(t, k.now.Add(90*stamp.Minute), k.s.Log(young).Judge(k.now).Until)
}

// Food Code 3-501.19, testdata/published/food-code-numbers.csv, tphc4-* and tphc6-*.
func TestTimeAsControl(t *testing.T) {
	begin := func(k *kit, b *kitchen.Batch, rule string, milliC int64) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogTime, Procedure: rule, Batch: b.ID, Value: milliC, Unit: "mC"}
	}
	for _, c := range []struct {
		rule   string
		milliC int64
		may    bool
	}{
		{"tphc4", f41, true}, {"tphc4", 5_056, false}, {"tphc4", f135, true}, {"tphc4", 57_167, false},
		{"tphc6", f41, true}, {"tphc6", 5_056, false}, {"tphc6", 60_000, false}, {"tphc4-70", f70, true}, {"tphc4-70", 21_167, false},
	} {
		k := keptKit(t, "P1D", time.UnixMilli(int64(evening)))
		b := k.tray(1200)
		if c.may {
			k.do(begin(k, b, c.rule, c.milliC))
			continue
		}
		r := k.refused(kitchen.RefNot, begin(k, b, c.rule, c.milliC))
		require.Equal(t, kitchen.NotStart, r.Name)
	}

	k := keptKit(t, "P1D", time.UnixMilli(int64(evening)))
	b := k.tray(1200)
	log := k.do(begin(k, b, "tphc4", 60_000))[0]
	until := evening.Add(4 * stamp.Hour)
	b = k.batch(b.ID)
	require.Equal(t, until, b.Since.Add(k.s.Window(b).Ceiling))
	require.True(t, k.s.Window(b).Hard)
	require.Equal(t, []string{"last 23:30:00.000"}, k.logBells(k.now), "its end is the batch's own bell")
	require.Equal(t, kitchen.NotTimed, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDone}).Name)
	require.Equal(t, kitchen.NotTimed, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: b.ID, Value: 6, Unit: "mC"}).Name)
	require.Equal(t, kitchen.NotTimed, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID}).Name)

	k.wait(stamp.Hour) // what comes out of it is under the same time
	k.do(kitchen.Command{Do: kitchen.DoPortion, To: "hold", Batch: b.ID, Number: 2})
	trays := k.open("hold")
	require.Len(t, trays, 2)
	require.Len(t, k.s.Log(log).Batches, 2)
	for _, b := range trays {
		require.Equal(t, until, b.Since.Add(k.s.Window(b).Ceiling))
	}
	k.now = until
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 1})
	k.now++
	k.refused(kitchen.RefPastLimit, kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 1})
	rings := 0
	for _, bell := range kitchen.Bells(k.s, k.now, 0) {
		if bell.Ringing && bell.Point == kitchen.PointPast {
			require.Equal(t, kitchen.Danger, bell.Level)
			rings += len(bell.Batches)
		}
	}
	require.Equal(t, 2, rings)
	for _, b := range trays {
		k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "Past its limit"})
	}
	require.True(t, k.s.Log(log).Ended, "nothing is left under it")
}

func TestSixHoursHaveACeiling(t *testing.T) {
	for _, c := range []struct {
		milliC int64
		over   bool
	}{{f70, false}, {21_056, false}, {21_167, true}} {
		k := newKit(t)
		log := k.do(kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogTime, Procedure: "tphc6", Name: "Salad", Value: f41, Unit: "mC"})[0]
		require.Equal(t, []string{"read 21:00:00.000", "last 01:30:00.000", "past 02:00:00.001"}, k.logBells(k.now))
		k.wait(stamp.Hour)
		k.reads(log, c.milliC)
		if !c.over {
			require.Empty(t, k.s.Deviations)
			k.now = evening.Add(6 * stamp.Hour)
			k.do(kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDone})
			continue
		}
		d := k.off(kitchen.DevTimeOver)
		require.EqualValues(t, f70, d.Limit)
		require.Equal(t, k.now, k.s.Log(log).Judge(k.now).Until, "from this reading on")
		require.Equal(t, []safety.Action{safety.Discard}, k.s.Log(log).Judge(k.now).Actions)
		k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDone})
	}
	k := newKit(t)
	log := k.do(kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogTime, Procedure: "tphc6", Name: "Salad", Value: f41, Unit: "mC"})[0]
	k.now = evening.Add(6*stamp.Hour + stamp.Second)
	k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLogEnd, Log: log, Answer: entry.LogDone})
	open := k.s.OpenOn(k.s.WallDay(evening), k.now)
	require.Contains(t, open, "log/"+log.String(), "a day is not closed over it")
}

// Food Code 3-501.13(B): water at 70 °F at most, what is raw above 41 °F for 4 h at most, counted from the last reading within.
func TestThawingUnderWater(t *testing.T) {
	k := newKit(t)
	k.pans()
	b := k.open("set")[0]
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
	k.wait(20 * stamp.Hour)
	log := k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: entry.ThawWater})[0]
	l := k.s.Log(log)
	require.NotNil(t, l, "it begins by itself")
	require.Equal(t, entry.RuleThawRaw, l.Rule)
	from := k.now
	require.Equal(t, from.Add(4*stamp.Hour), l.Judge(k.now).Until)
	water := func(milliC int64) {
		k.do(kitchen.Command{Do: kitchen.DoLogRead, Log: log, Answer: "water", Value: milliC, Unit: "mC"})
	}
	water(f70)
	require.Empty(t, k.s.Deviations)
	k.wait(stamp.Hour)
	k.reads(log, f41)
	require.Equal(t, from.Add(5*stamp.Hour), k.s.Log(log).Judge(k.now).Until)
	k.wait(30 * stamp.Minute)
	k.reads(log, 5_056)
	require.Equal(t, from.Add(5*stamp.Hour), k.s.Log(log).Judge(k.now).Until, "all of the time since the last reading within counts")
	water(21_167)
	require.EqualValues(t, f70, k.off(kitchen.DevThawing).Limit)
	k.now = from.Add(5 * stamp.Hour)
	k.reads(log, 8_000)
	require.Len(t, k.s.Deviations, 1)
	k.wait(stamp.Second)
	k.reads(log, 8_000)
	require.Len(t, k.s.Deviations, 2)
	require.Contains(t, k.s.Log(log).Judge(k.now).Actions, safety.Discard)

	// what is ready to eat may not rise above 41 °F at all
	k = newKit(t)
	log = k.do(kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogThaw, Procedure: entry.RuleThawReady, Name: "Cake"})[0]
	require.Zero(t, k.s.Log(log).Judge(k.now).Until)
	k.reads(log, f41)
	require.Empty(t, k.s.Deviations)
	k.reads(log, 5_056)
	require.EqualValues(t, 5_056, k.off(kitchen.DevThawing).Number)
}

// A thawing ends by itself when what is thawed goes into the fryer.
func TestThawingEndsInTheFryer(t *testing.T) {
	k := newKit(t)
	k.pans()
	k.readOil()
	b := k.open("set")[0]
	k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
	k.wait(stamp.Hour)
	require.Equal(t, kitchen.NotFrozen, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoPortion, Batch: b.ID, Place: "fryer-1"}).Name)
	log := k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: entry.ThawWater})[0]
	k.wait(stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: b.ID, Place: "fryer-1"})
	require.Empty(t, k.s.Deviations)
	require.True(t, k.s.Log(log).Ended)
}

func TestFreezingIsUndoneAndReadingsAreCorrected(t *testing.T) {
	k := newKit(t)
	tub := k.tub()
	k.wait(stamp.Hour)
	frost := k.do(kitchen.Command{Do: kitchen.DoFreeze, Batch: tub})[0]
	k.wait(5 * stamp.Second)
	drafts, r := k.try(kitchen.Command{Do: kitchen.DoUndo, Entry: frost})
	require.Nil(t, r)
	require.Len(t, drafts, 1)
	b := k.tray(1200)
	log := k.cools(b, 60_000)
	k.wait(2*stamp.Hour + stamp.Minute)
	read := k.reads(log, 41_000)
	k.off(kitchen.DevCooling)
	drafts, r = k.try(kitchen.Command{Do: kitchen.DoCorrect, Entry: read, Value: 14_000, Unit: "mC", Reason: "misread"})
	require.Nil(t, r)
	c := drafts[0].Body.(*entry.Correction)
	body, err := (&entry.Entry{Kind: c.To, Ver: c.Ver, Raw: c.Body}).Open()
	require.NoError(t, err)
	require.Equal(t, &entry.LogReading{Log: log, Batch: b.ID, MilliC: 14_000}, body)
	require.EqualValues(t, 41_000, k.s.Log(log).Reads[0].MilliC, "a decision changes no state")
	require.Equal(t, procedure.Window{}, k.s.Window(k.batch(b.ID)))
}

func TestHotIsNotFrozen(t *testing.T) {
	k := newKit(t)
	require.Equal(t, kitchen.NotHot, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoFreeze, Batch: k.tray(1200).ID}).Name)
	load := k.loaded()
	require.Equal(t, kitchen.NotInOil, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoFreeze, Batch: load.ID}).Name)
	k.refused(kitchen.RefNotHold, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: k.tub(), Value: 60_000, Unit: "mC"})
	require.Equal(t, kitchen.NotInOil, k.refused(kitchen.RefNot, kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogTime, Procedure: "tphc4", Batch: load.ID, Unit: "mC"}).Name)
}

// What missed a mark and came to the cold all the same is in doubt: nobody sells it before a lead has closed the deviation.
func TestWhatCooledTooSlowlyIsInDoubt(t *testing.T) {
	k := newKit(t)
	b := k.tray(1200)
	log := k.cools(b, 60_000)
	k.wait(2*stamp.Hour + stamp.Minute)
	k.reads(log, 20_000)
	k.wait(stamp.Hour)
	k.reads(log, f41)
	require.True(t, k.s.Log(log).Ended)
	d := k.off(kitchen.DevCooling)
	sell := kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: 1}
	require.Equal(t, d.Key, k.refused(kitchen.RefDoubt, sell).Name)
	k.refused(kitchen.RefDoubt, kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Wasted: 1})
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "looked at it", Closes: true})
	k.do(sell)
}
