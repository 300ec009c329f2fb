package kitchen_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// delivery is one that came in at a temperature, with one unit weighed among three.
func delivery(warmth, unit int64) kitchen.Command {
	return kitchen.Command{
		Do: kitchen.DoDeliver, Procedure: "pieces", Name: "Reed Farm", Lots: []string{"L7"}, Grams: 30_000, Value: warmth, Unit: "mC",
		Probe: "p1", Weights: []int64{1250, unit, 1390}, Place: "cold-room",
	}
}

// criticalKit is the test kitchen with a critical limit on the core temperature.
func criticalKit(t *testing.T) *kit {
	k := newKit(t)
	k.crew = "ann"
	doc := piecesDoc(2)
	doc.Text = strings.Replace(doc.Text, `"hard": true`, `"hard": true, "critical": true`, 1)
	k.do(kitchen.Command{Do: kitchen.DoPublish, Text: doc.Text})
	return k
}

// core does the steps that end a load's cook, with the core at a temperature.
func (k *kit) core(batch entry.ID, mC int64, probe string) {
	k.t.Helper()
	k.wait(11*stamp.Minute + 30*stamp.Second)
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: batch, Step: "lid"})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: batch, Step: "core", Value: mC, Unit: "mC", Probe: probe})
}

// TestACriticalDeviationNeedsEveryPart: cause, product, correction, prevention and verification, each signed, before it can
// be closed (9 CFR 417.3(a), 21 CFR 120.10(b): testdata/published/records-cfr.csv).
func TestACriticalDeviationNeedsEveryPart(t *testing.T) {
	k := criticalKit(t)
	k.core(k.loaded().ID, 71_800, "p1")
	key := k.off(kitchen.DevOutOfLimit).Key
	require.True(t, k.off(kitchen.DevOutOfLimit).Critical)
	require.Equal(t, "p1", k.off(kitchen.DevOutOfLimit).Probe)
	shut := kitchen.Command{Do: kitchen.DoAnswer, Deviation: key, Text: "cooked on", Closes: true}
	for i, part := range kitchen.Parts {
		r := k.refused(kitchen.RefPartMissing, shut)
		require.Equal(t, part, r.Name, "the first that is missing is named")
		require.Equal(t, int64(len(kitchen.Parts)-i), r.Number)
		k.crew = "ben"
		write := kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: part, Text: "so it was", Grams: int64(i)}
		if part == entry.PartVerification {
			k.refused(kitchen.RefNotLead, write)
			k.crew = "ann"
		}
		k.do(write)
		k.crew = "ann"
		k.wait(stamp.Minute)
	}
	d := k.s.Deviation(key)
	require.Len(t, d.Parts, len(kitchen.Parts))
	require.Equal(t, "ben", d.PartOf(entry.PartCause).By)
	require.Equal(t, "ann", d.PartOf(entry.PartVerification).By)
	require.NotEqual(t, d.Parts[0].At, d.Parts[1].At, "each has its own time")
	k.do(shut)
	require.True(t, k.s.Deviation(key).Closed)
	k.refused(kitchen.RefClosed, kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: entry.PartCause, Text: "x"})
}

// TestACloseThatLacksAPartDoesNotHold: a phone that was out of touch closed what still lacked a part.
func TestACloseThatLacksAPartDoesNotHold(t *testing.T) {
	k := criticalKit(t)
	k.core(k.loaded().ID, 71_800, "")
	key := k.off(kitchen.DevOutOfLimit).Key
	k.say(&entry.Answer{Deviation: key, Action: "done", Closes: true})
	require.False(t, k.s.Deviation(key).Closed)
	require.Len(t, k.s.Deviation(key).Answers, 1, "what was said stays")
	for _, part := range kitchen.Parts {
		k.say(&entry.Part{Deviation: key, Part: part, Text: "x"})
	}
	require.False(t, k.s.Deviation(key).Closed)
	k.say(&entry.Answer{Deviation: key, Action: "done", Closes: true})
	require.True(t, k.s.Deviation(key).Closed)
}

func TestAnOrdinaryDeviationIsClosedAsBefore(t *testing.T) {
	k := newKit(t)
	k.core(k.loaded().ID, 71_800, "")
	d := k.off(kitchen.DevOutOfLimit)
	require.False(t, d.Critical)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "cooked on", Closes: true})
	require.True(t, k.s.Deviation(d.Key).Closed)
}

// TestAProbeThatFailedPutsItsReadingsUnderReview: those since its last good check, and those made with it until the next.
func TestAProbeThatFailedPutsItsReadingsUnderReview(t *testing.T) {
	k := newKit(t)
	check := func(mC int64) {
		k.wait(stamp.Minute)
		k.do(kitchen.Command{Do: kitchen.DoCheck, Probe: "p1", Answer: entry.IcePoint, Value: mC, Unit: "mC"})
		k.wait(stamp.Minute)
	}
	read := func(probe string) stamp.Milli {
		k.wait(stamp.Minute)
		k.do(kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Value: 3000, Unit: "mC", Probe: probe})
		return k.now
	}
	early := read("p1")
	check(1000) // at the limit: met
	one, other, two := read("p1"), read("p2"), read("p1")
	check(-1001)
	d := k.off(kitchen.DevProbeFailed)
	require.Equal(t, int64(2), d.Number)
	require.Equal(t, "p1", d.Text)
	require.True(t, d.Critical)
	three := read("p1")
	check(1500) // still off: one deviation, and one more reading in it
	require.Equal(t, int64(3), k.off(kitchen.DevProbeFailed).Number)
	check(0)
	late := read("p1")
	for _, at := range []stamp.Milli{one, two, three} {
		require.Equal(t, d.Key, k.s.UnderReview("p1", at))
	}
	require.Empty(t, k.s.UnderReview("p1", early))
	require.Empty(t, k.s.UnderReview("p1", late))
	require.Empty(t, k.s.UnderReview("p2", other))
	for _, part := range kitchen.Parts {
		k.say(&entry.Part{Deviation: d.Key, Part: part, Text: "x"})
	}
	k.say(&entry.Answer{Deviation: d.Key, Action: "looked at each", Closes: true})
	require.Empty(t, k.s.UnderReview("p1", one), "once the deviation is closed they are not in doubt any more")
}

// TestProbeChecksAtTheirLimit: an accuracy of 1 degC, or 2 degF for a scale in degF alone (Food Code 4-203.11:
// testdata/published/thermometers.csv), a thousandth of a degree to either side; water boils here at 310 m.
func TestProbeChecksAtTheirLimit(t *testing.T) {
	for _, c := range []struct {
		probe  string
		within int64
	}{{"p1", 1000}, {"p2", 1111}} {
		for _, by := range []int64{-1, 0, 1} {
			k := newKit(t)
			k.do(kitchen.Command{Do: kitchen.DoCheck, Probe: c.probe, Answer: entry.IcePoint, Value: -c.within - by, Unit: "mC"})
			require.Equal(t, by <= 0, k.s.Probe(c.probe).Check.Met(), "%s %d", c.probe, by)
			require.Equal(t, by > 0, len(k.s.Deviations) == 1)
		}
	}
	k := newKit(t)
	k.do(kitchen.Command{Do: kitchen.DoCheck, Probe: "p1", Answer: entry.Boiling, Value: 99_000, Unit: "mC"})
	p := k.s.Probe("p1")
	require.Equal(t, int64(310_000), p.Check.Altitude)
	require.InDelta(t, 98_960, p.Check.Expected, 100, "some 1 degC less than at the sea: altitude-pressure-boiling.csv")
	require.True(t, p.Check.Met())
	k.refused(kitchen.RefNoProbe, kitchen.Command{Do: kitchen.DoCheck, Probe: "p9", Answer: entry.IcePoint, Unit: "mC"})
	k.refused(kitchen.RefNeedAnswer, kitchen.Command{Do: kitchen.DoCheck, Probe: "p1", Answer: "spit", Unit: "mC"})
	k.refused(kitchen.RefNeedText, kitchen.Command{Do: kitchen.DoCheck, Probe: "p1", Answer: entry.Reference, Unit: "mC"})
}

func TestTheProbeInHandIsTheOneReadLast(t *testing.T) {
	k := newKit(t)
	id := k.loaded().ID
	require.Empty(t, k.s.ProbeInHand("ben"))
	k.do(kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Value: 3000, Unit: "mC", Probe: "p2"})
	k.wait(12 * stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "lid"})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "core", Value: 78_000, Unit: "mC"})
	require.Equal(t, "p2", k.batch(id).Marked("cook", "core").Probe)
}

// TestReceivingAtItsLimits: temperature and unit weight, one base unit to either side.
func TestReceivingAtItsLimits(t *testing.T) {
	for _, c := range []struct {
		warmth, unit, number, limit int64
		off                         kitchen.DeviationCode
	}{
		{5000, 1400, 0, 0, 0}, {5001, 1300, 5001, 5000, kitchen.DevDelivery}, {5000, 1401, 1401, 1400, kitchen.DevUnitWeight},
		{5000, 1200, 0, 0, 0}, {5000, 1199, 1199, 1200, kitchen.DevUnitWeight},
	} {
		k := newKit(t)
		k.do(delivery(c.warmth, c.unit))
		require.NotNil(t, k.s.Delivery("L7"))
		if c.off == 0 {
			require.Empty(t, k.s.Deviations)
			continue
		}
		d := k.off(c.off)
		require.Equal(t, []int64{c.number, c.limit}, []int64{d.Number, d.Limit})
		require.Equal(t, "L7", d.Text)
		require.Equal(t, c.off == kitchen.DevDelivery, d.Critical)
	}
	k := newKit(t)
	for code, change := range map[kitchen.RefusalCode]func(*kitchen.Command){
		kitchen.RefNoProcedure: func(c *kitchen.Command) { c.Procedure = "none" },
		kitchen.RefNeedText:    func(c *kitchen.Command) { c.Name = " " },
		kitchen.RefNeedAmount:  func(c *kitchen.Command) { c.Grams = 0 },
		kitchen.RefNeedNumber:  func(c *kitchen.Command) { c.Unit = "" },
		kitchen.RefNeedReason:  func(c *kitchen.Command) { c.Closes = true },
		kitchen.RefNoPlace:     func(c *kitchen.Command) { c.Place = "roof" },
		kitchen.RefUnlikely:    func(c *kitchen.Command) { c.Weights = []int64{-1} },
	} {
		c := delivery(4000, 1300)
		change(&c)
		k.refused(code, c)
	}
}

func TestACorrectedDeliveryIsJudgedAnew(t *testing.T) {
	k := newKit(t)
	id := k.do(delivery(50_000, 1300))[0]
	k.off(kitchen.DevDelivery)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Value: 5000, Unit: "mC", Reason: "a point too far right"})
	require.Empty(t, k.s.Deviations)
	require.Equal(t, int64(5000), k.s.Delivery("L7").MilliC)
}

// TestADayIsClosedWhenNothingIsOpen: what is open is closed or handed on with a reason, by a lead.
func TestADayIsClosedWhenNothingIsOpen(t *testing.T) {
	k := newKit(t)
	shut := kitchen.Command{Do: kitchen.DoDayClose}
	k.refused(kitchen.RefNotLead, shut)
	k.crew = "ann"
	day := k.s.WallDay(k.now)
	r := k.refused(kitchen.RefDayOpen, shut)
	require.Equal(t, []any{"list/opening", int64(1)}, []any{r.Name, r.Number})
	k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"}) // incomplete: a deviation
	key := k.off(kitchen.DevStepsMissing).Key
	require.Equal(t, key, k.refused(kitchen.RefDayOpen, shut).Name)
	k.do(kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: kitchen.PartCarried, Text: "Cleo does it at six"})
	seal, folded := k.s.Seal, k.s.Folded
	k.do(shut)
	d := k.s.DayClosed(day)
	require.True(t, d.Same)
	require.Equal(t, seal, d.Seal)
	require.Equal(t, folded, d.Entries)
	require.Equal(t, "ann", d.By)
	require.Equal(t, []entry.Carry{{Subject: key, Reason: "Cleo does it at six"}}, d.Carried)
	k.refused(kitchen.RefClosed, shut)
	k.wait(stamp.Day)
	next := kitchen.Command{Do: kitchen.DoDayClose, Day: day + 1}
	require.Equal(t, int64(2), k.refused(kitchen.RefDayOpen, next).Number, "the list of that day, and what was handed on to it")
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoDayClose, Day: day + 2})
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoDayClose, Day: day - 7})
}

func TestABatchPastItsLimitKeepsTheDayOpen(t *testing.T) {
	k := newKit(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"})
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: k.off(kitchen.DevStepsMissing).Key, Text: "done", Closes: true})
	id := k.tub()
	shut := kitchen.Command{Do: kitchen.DoDayClose, Day: k.s.WallDay(k.now)}
	k.wait(20 * stamp.Hour)
	k.do(shut) // a tub rests over night: at its limit nothing is off yet
	k.wait(1)
	k.say(&entry.Note{Text: "late"})
	require.Contains(t, k.s.OpenOn(shut.Day, k.now), "batch/"+id.String())
}

// TestWhatComesAfterTheCloseShows: a late entry that belongs before the close, and one of the same day that was made after
// it, are counted; the lead's own bytes stay as they were.
func TestWhatComesAfterTheCloseShows(t *testing.T) {
	k := newKit(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"})
	k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: k.off(kitchen.DevStepsMissing).Key, Text: "done", Closes: true})
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoDayClose})
	day := k.s.WallDay(k.now)
	was := *k.s.DayClosed(day)
	k.wait(stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Value: 3000, Unit: "mC"})
	require.Equal(t, []any{true, int64(0), int64(1)}, []any{k.s.DayClosed(day).Same, k.s.DayClosed(day).Late, k.s.DayClosed(day).After})
	k.now = k.now.Add(-30 * stamp.Minute) // a phone that was out of touch
	k.sayOn("other-phone", k.id(), &entry.Reading{Place: "cold-room", MilliC: 9000})
	d := k.s.DayClosed(day)
	require.Equal(t, []any{false, int64(1), int64(1)}, []any{d.Same, d.Late, d.After})
	require.Equal(t, was.Seal, d.Seal)
	require.Equal(t, was.Entries, d.Entries)
	k.now = k.now.Add(stamp.Hour)
	require.Equal(t, kitchen.RefDayOpen, k.refused(kitchen.RefDayOpen, kitchen.Command{Do: kitchen.DoDayClose}).Code)
	k.say(&entry.DayClose{Day: day, Entries: k.s.Folded, Seal: [16]byte{1}})
	require.False(t, k.s.DayClosed(day).Same, "as many entries, but not the same ones")
}

// TestTheSealSeesEveryEntry: a byte changed, an entry left out or put in gives another seal.
func TestTheSealSeesEveryEntry(t *testing.T) {
	list := random(5, 120)
	seals := map[[16]byte]string{fold(list).Seal: "as it was"}
	see := func(what string, list []entry.Entry) {
		seal := fold(list).Seal
		require.Empty(t, seals[seal], what)
		seals[seal] = what
	}
	for i := range list {
		see("without "+strconv.Itoa(i), append(append([]entry.Entry{}, list[:i]...), list[i+1:]...))
		other := append([]entry.Entry{}, list...)
		other[i].Crew += "x"
		see("another's "+strconv.Itoa(i), other)
	}
}

// TestRecordsAreKeptAsLongAsTheLawAsks: testdata/published/records-cfr.csv, 417.5e-ref, 417.5e-frz, 117.315a.
func TestRecordsAreKeptAsLongAsTheLawAsks(t *testing.T) {
	f, err := os.Open("../../../testdata/published/records-cfr.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	of := map[string]string{"417.5e-ref": entry.SetKeepChilled, "417.5e-frz": entry.SetKeepFrozen, "117.315a": entry.SetKeepFrozen}
	seen := 0
	for _, r := range rows[1:] {
		name := of[r[0]]
		if name == "" {
			continue
		}
		seen++
		years, err := strconv.ParseInt(strings.Fields(r[2])[0], 10, 64)
		require.NoError(t, err)
		k := newKit(t)
		k.crew = "ann"
		require.Equal(t, 365*years, k.s.Setting(name), "%s", r[0])
		for i := range kitchen.Keeps {
			if keep := &kitchen.Keeps[i]; keep.Name == name {
				require.Equal(t, r[5] == "from memory", keep.Memory)
				require.Contains(t, keep.Source, r[4])
			}
		}
		less := k.refused(kitchen.RefKeepLess, kitchen.Command{Do: kitchen.DoSet, Name: name, Number: 365*years - 1})
		require.Equal(t, []any{365*years - 1, 365 * years}, []any{less.Number, less.Limit})
		require.Contains(t, less.Name, r[4], "the source is named")
		k.say(&entry.Setting{Name: name, Number: 1})
		require.Equal(t, 365*years, k.s.Setting(name), "nothing that comes in shortens it")
		k.do(kitchen.Command{Do: kitchen.DoSet, Name: name, Number: 365*years + 1})
		require.Equal(t, 365*years+1, k.s.Setting(name))
	}
	require.Equal(t, 3, seen)
}

func TestOilIsTendedInFryers(t *testing.T) {
	k := newKit(t)
	tend := func(deed string, volume, polar int64) kitchen.Command {
		c := kitchen.Command{Do: kitchen.DoOil, Place: "fryer-1", Answer: deed, Value: volume, Unit: "mL"}
		if deed == entry.OilMeasured {
			c.Value, c.Unit = polar, "m%"
		}
		return c
	}
	k.do(tend(entry.OilFiltered, 0, 0))
	k.do(tend(entry.OilMeasured, 0, 21_500))
	require.Equal(t, int64(21_500), k.s.Place("fryer-1").Oil[1].Polar)
	k.do(tend(entry.OilChanged, 14_000, 0))
	require.Len(t, k.s.Place("fryer-1").Oil, 1, "a new filling begins anew")
	k.refused(kitchen.RefNotEquipment, kitchen.Command{Do: kitchen.DoOil, Place: "cold-room", Answer: entry.OilFiltered})
	k.refused(kitchen.RefNeedAnswer, tend("drunk", 0, 0))
	k.refused(kitchen.RefUnlikely, tend(entry.OilMeasured, 0, 100_001))
	k.refused(kitchen.RefUnlikely, tend(entry.OilMeasured, 0, 0))
	k.refused(kitchen.RefUnlikely, tend(entry.OilToppedUp, -1, 0))
}
