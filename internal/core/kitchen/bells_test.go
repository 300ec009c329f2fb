package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// ringing lists what rings now.
func (k *kit) ringing() []kitchen.Bell {
	var list []kitchen.Bell
	for _, b := range kitchen.Bells(k.s, k.now, 24*stamp.Hour) {
		if b.Ringing {
			list = append(list, b)
		}
	}
	return list
}

// coming lists what will ring within a day.
func (k *kit) coming() []kitchen.Bell {
	var list []kitchen.Bell
	for _, b := range kitchen.Bells(k.s, k.now, 24*stamp.Hour) {
		if !b.Ringing {
			list = append(list, b)
		}
	}
	return list
}

// quiet closes today's opening list, so that only batches ring.
func quiet(t *testing.T) *kit {
	k := newKit(t)
	for day := k.s.WallDay(evening) - 1; day < k.s.WallDay(evening)+4; day++ {
		k.say(&entry.Step{List: "opening", Day: day, Step: "hands"})
		k.say(&entry.Step{List: "opening", Day: day, Step: "cold", Value: 3000, Unit: "mC"})
		k.say(&entry.Step{List: "opening", Day: day, Step: "sign", SignBy: "ann"})
		k.say(&entry.ListClose{List: "opening", Day: day})
	}
	require.Empty(t, kitchen.Bells(k.s, k.now, 48*stamp.Hour))
	require.Empty(t, k.s.Deviations)
	return k
}

// TestBellsOfAStage: each point rings at its instant, only the highest one reached, and each says how urgent it is.
func TestBellsOfAStage(t *testing.T) {
	k := quiet(t)
	id := k.tub()
	began := k.now
	require.Empty(t, k.ringing())
	points := k.coming()
	require.Len(t, points, 3)
	want := []struct {
		after stamp.Span
		point kitchen.Point
		level kitchen.Level
	}{
		{9 * stamp.Hour, kitchen.PointBest, kitchen.Information},
		{12*stamp.Hour + 30*stamp.Minute, kitchen.PointLast, kitchen.Attention},
		{20*stamp.Hour + 1, kitchen.PointPast, kitchen.Danger},
	}
	for i, w := range want {
		require.Equal(t, began.Add(w.after), points[i].At)
		require.Equal(t, w.point, points[i].Point)
		require.Equal(t, w.level, points[i].Level)
		require.Equal(t, id.String()+"/"+string(w.point)+"/0", points[i].Key)
		k.now = began.Add(w.after - 1)
		require.Len(t, k.ringing(), min(i, 1))
		k.now = began.Add(w.after)
		require.Equal(t, w.point, k.ringing()[0].Point)
		require.Len(t, k.ringing(), 1)
	}
	require.Equal(t, []entry.ID{id}, k.ringing()[0].Batches)
}

// TestGotIt: it silences, rings again after the stage's patience, and calls the lead.
func TestGotIt(t *testing.T) {
	k := quiet(t)
	k.tub()
	k.wait(12*stamp.Hour + 30*stamp.Minute)
	bell := k.ringing()[0]
	require.False(t, bell.Escalated)
	k.wait(10*stamp.Minute - 1)
	require.False(t, k.ringing()[0].Escalated)
	k.wait(1)
	require.True(t, k.ringing()[0].Escalated, "nobody answered for as long as the stage is patient")

	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: bell.Key})
	answered := k.now
	require.Equal(t, "ben", k.s.Bells[0].By)
	require.Empty(t, k.ringing())
	drafts, refused := k.try(kitchen.Command{Do: kitchen.DoGot, Bell: bell.Key})
	require.Nil(t, refused)
	require.Empty(t, drafts, "somebody has it already")

	k.wait(10*stamp.Minute - 1)
	require.Empty(t, k.ringing())
	require.Equal(t, answered.Add(10*stamp.Minute), k.coming()[0].At)
	k.wait(1)
	again := k.ringing()[0]
	require.True(t, again.Escalated)
	require.Equal(t, 1, again.N)
	require.Equal(t, bell.Key[:len(bell.Key)-1]+"1", again.Key)
	require.Equal(t, bell.At, again.First)
	require.Equal(t, "ben", again.GotBy)
	require.Equal(t, answered, again.GotAt)
}

// TestTwoAnswersCountOnce: two cooks silence the same bell at about the same time.
func TestTwoAnswersCountOnce(t *testing.T) {
	k := quiet(t)
	k.tub()
	k.wait(9 * stamp.Hour)
	key := k.ringing()[0].Key
	k.say(&entry.GotIt{Bell: key})
	first := k.now
	k.wait(stamp.Second)
	k.sayOn("other", k.id(), &entry.GotIt{Bell: key})
	require.Len(t, k.s.Bells, 1)
	require.Equal(t, first, k.s.Bells[0].At)
}

// TestInformationComesBackSlower: nothing is lost while it is best, so that it does not ring every ten minutes.
func TestInformationComesBackSlower(t *testing.T) {
	k := quiet(t)
	k.tub()
	k.wait(9 * stamp.Hour)
	var gaps []stamp.Span
	for range 5 {
		k.do(kitchen.Command{Do: kitchen.DoGot, Bell: k.ringing()[0].Key})
		at := k.coming()[0].At
		gaps = append(gaps, at.Since(k.now))
		k.now = at
	}
	require.Equal(t, []stamp.Span{10 * stamp.Minute, 20 * stamp.Minute, 40 * stamp.Minute, 80 * stamp.Minute, 60 * stamp.Minute}, gaps,
		"the last of them gives way to last call")
	require.Equal(t, kitchen.PointLast, k.ringing()[0].Point)
}

// TestOnePortioningRingsOnce: pans out of one tub are one bell that names them all, until they are gone.
func TestOnePortioningRingsOnce(t *testing.T) {
	k := quiet(t)
	pans := k.pans()
	bells := k.ringing()
	require.Len(t, bells, 1)
	require.Equal(t, []entry.ID{pans[0].ID, pans[1].ID}, bells[0].Batches)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: bells[0].Key})
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pans[0].ID, Reason: "dropped"})
	require.Len(t, k.s.Bells, 1, "the other pan is still there")
	require.Len(t, k.coming()[0].Batches, 1)
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pans[1].ID, Reason: "dropped"})
	require.Empty(t, k.s.Bells)
	require.Empty(t, kitchen.Bells(k.s, k.now, 24*stamp.Hour))
}

// TestCookRingsAtItsAim: what is in a fryer calls for attention at the length that the kitchen aims at.
func TestCookRingsAtItsAim(t *testing.T) {
	k := quiet(t)
	load := k.loaded()
	var of []kitchen.Bell
	for _, b := range k.coming() {
		if b.Batches[0] == load.ID {
			of = append(of, b)
		}
	}
	require.Len(t, of, 3)
	require.Equal(t, load.Since.Add(11*stamp.Minute+30*stamp.Second), of[0].At)
	require.Equal(t, kitchen.Attention, of[0].Level)
	require.Equal(t, load.Since.Add(11*stamp.Minute+40*stamp.Second), of[1].At, "20 s before the end of best")
	require.Equal(t, load.Since.Add(13*stamp.Minute+1), of[2].At)
}

// TestMostUrgentFirst: of several that ring, danger before attention before information, then the one that waits longest.
func TestMostUrgentFirst(t *testing.T) {
	k := quiet(t)
	k.tub()
	k.wait(8 * stamp.Hour)
	k.tub()
	k.do(kitchen.Command{Do: kitchen.DoTimer, Name: "rice", Span: 12 * stamp.Hour})
	k.do(kitchen.Command{Do: kitchen.DoTimer, Name: "beans", Span: 11 * stamp.Hour})
	k.wait(12*stamp.Hour + stamp.Minute)
	var points []kitchen.Point
	for _, b := range k.ringing() {
		points = append(points, b.Point)
	}
	require.Equal(t, []kitchen.Point{kitchen.PointPast, kitchen.PointTimer, kitchen.PointTimer, kitchen.PointBest}, points)
	require.Less(t, k.ringing()[1].At, k.ringing()[2].At)
}

func TestTimers(t *testing.T) {
	k := quiet(t)
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoTimer, Name: "rice"})
	id := k.do(kitchen.Command{Do: kitchen.DoTimer, Name: "rice", Span: 12 * stamp.Minute})[0]
	require.Equal(t, "timer/"+id.String()+"/0", k.coming()[0].Key)
	k.wait(12*stamp.Minute - 1)
	require.Empty(t, k.ringing())
	k.wait(1)
	require.Equal(t, id, k.ringing()[0].Timer)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: k.ringing()[0].Key})
	require.Equal(t, k.now.Add(2*stamp.Minute), k.coming()[0].At)
	k.do(kitchen.Command{Do: kitchen.DoTimerEnd, Timer: id})
	require.Empty(t, kitchen.Bells(k.s, k.now, stamp.Day))
	require.Empty(t, k.s.Bells)
	drafts, refused := k.try(kitchen.Command{Do: kitchen.DoTimerEnd, Timer: id})
	require.Nil(t, refused)
	require.Empty(t, drafts)
}

// TestListRings: from when it is due until it is complete, or until the next one opens.
func TestListRings(t *testing.T) {
	k := newKit(t)
	require.Empty(t, k.ringing(), "published after today's was due")
	due := k.s.WallAt(k.s.WallDay(k.now)+1, 6*stamp.Hour+15*stamp.Minute)
	require.Equal(t, due, k.coming()[0].At)
	k.now = due
	bell := k.ringing()[0]
	require.Equal(t, "opening", bell.List)
	require.Equal(t, kitchen.Attention, bell.Level)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: bell.Key})
	require.Empty(t, k.ringing())
	k.wait(10 * stamp.Minute)
	require.True(t, k.ringing()[0].Escalated)

	k.now = k.s.WallAt(bell.Day+1, 5*stamp.Hour-1)
	require.Len(t, k.ringing(), 1)
	k.now++
	require.Empty(t, k.ringing(), "tomorrow's opens")

	k.now = k.s.WallAt(bell.Day+1, 6*stamp.Hour+15*stamp.Minute)
	require.Len(t, k.ringing(), 1)
	k.do(kitchen.Command{Do: kitchen.DoStep, List: "opening", Step: "hands"})
	k.do(kitchen.Command{Do: kitchen.DoStep, List: "opening", Step: "cold", Value: 3500, Unit: "mC"})
	require.Len(t, k.ringing(), 1)
	require.True(t, k.refused(kitchen.RefStepMissing, kitchen.Command{Do: kitchen.DoListClose, List: "opening"}).Override)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoStep, List: "opening", Step: "sign"})
	require.Empty(t, k.ringing(), "complete")
	k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"})
	require.Empty(t, k.s.Deviations)
}

// TestANewVersionOfAListDoesNotSilenceTheDay: what is due and not done rings on when the list is published anew.
func TestANewVersionOfAListDoesNotSilenceTheDay(t *testing.T) {
	k := newKit(t)
	k.now = k.s.WallAt(k.s.WallDay(k.now)+1, 7*stamp.Hour)
	require.Len(t, k.ringing(), 1)
	second := openingDoc(2)
	k.say(&second)
	require.Len(t, k.ringing(), 1)
}

// TestAnAnswerByAWrongClockSilencesNothing: it is from two days ahead, and would keep the kitchen quiet until then.
func TestAnAnswerByAWrongClockSilencesNothing(t *testing.T) {
	k := quiet(t)
	k.tub()
	k.wait(20*stamp.Hour + 1)
	bell, now := k.ringing()[0], k.now
	require.Equal(t, kitchen.Danger, bell.Level)
	k.now = now.Add(2 * stamp.Day)
	k.sayOn("wrong", k.id(), &entry.GotIt{Bell: bell.Key})
	k.now = now
	require.Equal(t, kitchen.Danger, k.ringing()[0].Level)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: k.ringing()[0].Key})
	require.Empty(t, k.ringing(), "an answer by a right clock does")
}

// TestAnAnswerFromBeforeTheBellRangSilencesNothing: on a device whose clock was ahead it rang too soon.
func TestAnAnswerFromBeforeTheBellRangSilencesNothing(t *testing.T) {
	k := quiet(t)
	id := k.tub()
	past := k.now.Add(20*stamp.Hour + 1)
	k.now = past.Add(-5 * stamp.Minute)
	k.sayOn("ahead", k.id(), &entry.GotIt{Bell: id.String() + "/past/0"})
	k.now = past - 1
	require.Equal(t, kitchen.PointLast, k.ringing()[0].Point)
	k.now = past
	require.Equal(t, kitchen.PointPast, k.ringing()[0].Point)
	require.Equal(t, past, k.ringing()[0].At)
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: k.ringing()[0].Key})
	require.Empty(t, k.ringing())
}

// TestWildAnswersAreLeftOut: answers to bells of nothing that is open leave nothing behind.
func TestWildAnswersAreLeftOut(t *testing.T) {
	k := quiet(t)
	id := k.tub().String()
	for _, key := range []string{
		"", "/", "x", id, id + "/best", id + "/worst/0", id + "/best/-1", id + "/best/01", id + "/best/99999999999",
		k.id().String() + "/best/0", "timer/" + id + "/0", "list/none/3/0", "list/opening/x/0", "list/opening/0",
	} {
		k.say(&entry.GotIt{Bell: key})
		require.Empty(t, k.s.Bells, "%q", key)
	}
	k.say(&entry.GotIt{Bell: id + "/best/5"})
	require.Equal(t, int64(1), k.s.Bells[0].N, "counted as the first answer that it is")
}
