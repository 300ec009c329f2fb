package kitchen_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// taps lets somebody tap on a device; what is refused changes nothing.
func (k *kit) taps(crew, device string, c kitchen.Command) *kitchen.Refusal {
	before := k.crew
	defer func() { k.crew = before }()
	k.crew = crew
	drafts, refused := kitchen.Decide(k.s, &c, kitchen.Who{Crew: crew, Device: device}, k.now, k.id)
	for _, d := range drafts {
		k.sayOn(device, d.ID, d.Body)
	}
	return refused
}

// guided brings a load under its lid, with Luz led by Ann, and 11 minutes gone.
func guided(t *testing.T) (*kit, *kitchen.Batch) {
	k := newKit(t)
	k.say(&entry.Member{Crew: "luz", Name: "Luz", Lang: "es", Role: entry.Trainee})
	load := k.loaded()
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: load.ID, Trainer: "ann"}))
	k.wait(11 * stamp.Minute)
	require.NotNil(t, k.s.GuidedAt("luz", k.batch(load.ID)))
	return k, k.batch(load.ID)
}

func lid(b *kitchen.Batch) kitchen.Command {
	return kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Step: "lid"}
}

func TestACriticalStepWaitsForTheTrainer(t *testing.T) {
	k, load := guided(t)
	r := k.taps("luz", "hers", lid(load))
	require.NotNil(t, r)
	require.Equal(t, []any{kitchen.RefNotConfirmed, "lid", "ann"}, []any{r.Code, r.Step, r.Name})

	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid"}))
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid"}), "asked once")
	require.Len(t, k.s.Asks, 1)
	a := k.s.Asks[0]
	yes := kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Number: a.Code()}
	wrong := yes
	wrong.Number = a.Codes()[0]
	if wrong.Number == a.Code() {
		wrong.Number = a.Codes()[1]
	}
	for _, o := range []struct {
		crew, device string
		c            kitchen.Command
		code         kitchen.RefusalCode
	}{
		{"ann", "hers", yes, kitchen.RefOwnPhone},
		{"luz", "anns", yes, kitchen.RefOwnPhone},
		{"ben", "bens", yes, kitchen.RefNotTrainer},
		{"ann", "anns", wrong, kitchen.RefWrongNumber},
	} {
		r := k.taps(o.crew, o.device, o.c)
		require.NotNil(t, r)
		require.Equal(t, o.code, r.Code)
		require.Zero(t, k.s.Ask(a.ID).Answered)
	}
	require.NotNil(t, k.taps("luz", "hers", lid(load)), "it waits still")
	require.Nil(t, k.taps("ann", "anns", yes))
	require.Nil(t, k.taps("luz", "hers", lid(load)))
	require.NotContains(t, k.codes(), kitchen.DevNotConfirmed)
	r = k.taps("luz", "hers", lid(load))
	require.NotNil(t, r, "an answer is good for once")
	require.Equal(t, kitchen.RefNotConfirmed, r.Code)
}

func TestTheTrainerSaysTheNumber(t *testing.T) {
	k, load := guided(t)
	core := kitchen.Command{Do: kitchen.DoStep, Batch: load.ID, Step: "core", Value: 78_000, Unit: "mC"}
	k.do(lid(load)) // Ben is not led
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "core"}))
	a := k.s.Asks[0]
	yes := kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Number: a.Code()}
	require.Equal(t, kitchen.RefNeedNumber, k.taps("ann", "anns", yes).Code)
	yes.Value, yes.Unit = 74_000, "mC"
	require.Equal(t, kitchen.RefOffLimit, k.taps("ann", "anns", yes).Code, "off its limit it is not confirmed")
	yes.Value = 77_500
	require.Nil(t, k.taps("ann", "anns", yes))
	value, unit, ok := k.s.Ask(a.ID).Saw()
	require.Equal(t, []any{int64(77_500), "mC", true}, []any{value, unit, ok})
	require.Nil(t, k.taps("luz", "hers", core))
}

func TestWhatIsOffIsNeverHeldBack(t *testing.T) {
	k, load := guided(t)
	k.do(lid(load))
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoStep, Batch: load.ID, Step: "core", Value: 70_000, Unit: "mC"}))
	require.Equal(t, []kitchen.DeviationCode{kitchen.DevOutOfLimit}, k.codes())
}

func TestANoAfterTheYesCounts(t *testing.T) {
	k, load := guided(t)
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid"}))
	a := k.s.Asks[0]
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Number: a.Code()}))
	require.Nil(t, k.taps("luz", "hers", lid(load)))
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "no", Reason: "still hisses"}))
	d := k.off(kitchen.DevNotConfirmed)
	require.Equal(t, []any{load.ID, "cook", "lid", "still hisses"}, []any{d.Batch, d.Stage, d.Step, d.Text})
}

func TestALeadLetsAStepGoOnWithAReason(t *testing.T) {
	k, load := guided(t)
	c := lid(load)
	c.OverrideBy = "ann"
	require.Equal(t, kitchen.RefNeedReason, k.taps("luz", "hers", c).Code)
	c.OverrideReason = "she showed me on the way"
	require.Nil(t, k.taps("luz", "hers", c))
	require.Equal(t, "she showed me on the way", k.off(kitchen.DevNotConfirmed).Text)
}

// TestStepsOfTwoPhones: what a phone out of touch says of a step that nobody confirmed is kept, and a lead is told.
func TestStepsThatNobodyConfirmedAreTold(t *testing.T) {
	k, load := guided(t)
	before := k.crew
	k.crew = "luz"
	k.say(&entry.Step{Batch: load.ID, Stage: "cook", Step: "lid"})
	k.crew = before
	require.Equal(t, "lid", k.off(kitchen.DevNotConfirmed).Step)
}

func TestHelpRingsUntilItIsAnswered(t *testing.T) {
	k, load := guided(t)
	bells := func() []kitchen.Bell {
		return slices.DeleteFunc(kitchen.Bells(k.s, k.now, stamp.Hour), func(b kitchen.Bell) bool { return b.Ask.IsZero() })
	}
	help := kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid", Closes: true}
	require.Nil(t, k.taps("luz", "hers", help))
	require.Len(t, bells(), 1)
	b := bells()[0]
	require.Equal(t, []any{kitchen.PointHelp, kitchen.Attention, true, false, k.s.Asks[0].ID}, []any{b.Point, b.Level, b.Ringing, b.Escalated, b.Ask})
	k.wait(stamp.Minute)
	require.True(t, bells()[0].Escalated, "nobody came")
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoGot, Bell: b.Key}))
	require.False(t, bells()[0].Ringing)
	k.wait(stamp.Minute)
	require.True(t, bells()[0].Ringing, "got it is not an answer")
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: b.Ask, Answer: "yes"}), "she knows by now")
	require.Empty(t, bells())
	require.Empty(t, k.s.Bells)

	require.Nil(t, k.taps("luz", "hers", help))
	require.Len(t, bells(), 1)
	k.do(lid(load)) // somebody else did it
	require.Len(t, bells(), 1)
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: load.ID, Step: "core", Value: 78_000, Unit: "mC"})
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: load.ID})
	require.Empty(t, bells(), "the work is over")
}

func TestWhatComesOutOfABatchIsGuidedToo(t *testing.T) {
	k := newKit(t)
	k.say(&entry.Member{Crew: "luz", Name: "Luz", Role: entry.Trainee})
	pan := k.pans()[0]
	k.readOil()
	require.Equal(t, kitchen.RefMovedOn, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: pan.ID, Stage: "hold", Trainer: "ann"}).Code)
	require.Equal(t, kitchen.RefNotTrainer, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: pan.ID, Trainer: "ben"}).Code)
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: pan.ID, Stage: "cook", Trainer: "ann"}))
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: pan.ID, Place: "fryer-1"})
	load := k.open("cook")[0]
	g := k.s.GuidedAt("luz", load)
	require.True(t, k.s.GuideRuns(g))
	require.Equal(t, load.ID, k.s.GuidedBatches(g)[0].ID)
	require.Equal(t, kitchen.RefNotConfirmed, k.taps("luz", "hers", lid(load)).Code)
}

func TestATrainersNote(t *testing.T) {
	k, load := guided(t)
	note := kitchen.Command{Do: kitchen.DoTrainerNote, Crew: "luz", Batch: load.ID, Stage: "cook", Step: "lid", Answer: entry.ToneSlow}
	require.Equal(t, kitchen.RefNotTrainer, k.taps("ben", "bens", note).Code)
	require.Nil(t, k.taps("ann", "anns", note))
	require.Equal(t, []any{"luz", "ann", entry.ToneSlow}, []any{k.s.Notes[0].Crew, k.s.Notes[0].By, k.s.Notes[0].Tone})
	note.Answer = entry.ToneOther
	require.Equal(t, kitchen.RefNeedText, k.taps("ann", "anns", note).Code)
}

func TestCodesAreFourOfWhichOneIsRight(t *testing.T) {
	for i := range 2000 {
		a := kitchen.Ask{ID: entry.ID{15: byte(i), 14: byte(i >> 8)}}
		list := a.Codes()
		require.Len(t, slices.Compact(slices.Clone(list)), 4)
		require.True(t, slices.IsSorted(list))
		require.Contains(t, list, a.Code())
		require.True(t, list[0] >= 10 && list[3] <= 99, "%v", list)
	}
}

func TestAnAnswerTakenBackConfirmsNothing(t *testing.T) {
	k, load := guided(t)
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid"}))
	a := k.s.Asks[0]
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Number: a.Code()}))
	answer := k.list[len(k.list)-1].ID
	require.Equal(t, kitchen.RefNotYours, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoUndo, Entry: answer}).Code)
	require.Nil(t, k.taps("luz", "hers", lid(load)))
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoUndo, Entry: answer}))
	require.Equal(t, "lid", k.off(kitchen.DevNotConfirmed).Step)
}

func TestOilWaitsForNobody(t *testing.T) {
	k, load := guided(t)
	r := k.taps("luz", "hers", lid(load))
	require.True(t, r.Urgent, "it lies in oil, under pressure")
	c := lid(load)
	c.Urgent = true
	require.Nil(t, k.taps("luz", "hers", c))
	require.Equal(t, "lid", k.off(kitchen.DevNotConfirmed).Step, "the lead is told")
}

// TestAPinIsCheckedOnAnotherPhone: it is good at once, and the trainer says later, elsewhere, whether it was theirs.
func TestAPinIsCheckedOnAnotherPhone(t *testing.T) {
	k, load := guided(t)
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoAsk, Batch: load.ID, Step: "lid"}))
	a := k.s.Asks[0]
	with := kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Trainer: "ann", Pin: "8350"}
	require.Equal(t, kitchen.RefNoPin, k.taps("luz", "hers", with).Code)
	require.Nil(t, k.taps("ann", "anns", kitchen.Command{Do: kitchen.DoPin, Pin: "8350"}))
	wrong := with
	wrong.Pin = "8351"
	require.Equal(t, kitchen.RefPin, k.taps("luz", "hers", wrong).Code)
	require.Nil(t, k.taps("luz", "hers", with))
	require.Nil(t, k.taps("luz", "hers", lid(load)))
	require.NotContains(t, k.codes(), kitchen.DevNotConfirmed)
	require.Len(t, k.s.ToCheck("ann"), 1)
	check := kitchen.Command{Do: kitchen.DoCheckAsk, Ask: a.ID, Answer: "no"}
	require.Equal(t, kitchen.RefOwnPhone, k.taps("ann", "hers", check).Code)
	require.Equal(t, kitchen.RefOwnPhone, k.taps("luz", "anns", check).Code)
	k.wait(4 * stamp.Day)
	k.do(kitchen.Command{Do: kitchen.DoTimer, Name: "rice", Span: stamp.Minute})
	require.Len(t, k.s.ToCheck("ann"), 1, "it waits until it is looked at")
	require.Nil(t, k.taps("ann", "anns", check))
	require.Empty(t, k.s.ToCheck("ann"))
	d := k.off(kitchen.DevPinDenied)
	require.Equal(t, []any{load.ID, "lid", "ann"}, []any{d.Batch, d.Step, d.Text})
}

// TestATrainerKnowsTheWork: who is listed as a trainer guides what they may do themselves; a lead guides all.
func TestATrainerKnowsTheWork(t *testing.T) {
	k := newKit(t)
	k.say(&entry.Member{Crew: "luz", Name: "Luz", Role: entry.Trainee})
	k.say(&entry.Member{Crew: "ben", Name: "Ben", Trainer: true})
	tub := entry.Spot{Batch: k.tub(), Stage: "marinate"}
	require.True(t, k.s.TrainsAt("ann", tub, k.now))
	require.True(t, k.s.TrainsAt("ben", tub, k.now), "nobody needs a signature for it")
	require.False(t, k.s.TrainsAt("luz", tub, k.now))
	v2 := piecesDoc(2)
	v2.Text = strings.Replace(v2.Text, `"reasons":`, `"competences": [{"name": "tubs", "title": {"en": "Tubs", "es": "Cubetas"}, "stages": ["marinate", "drain"], "needs": {"guided": 1}}], "reasons":`, 1)
	k.say(&v2)
	k.crew = "ann"
	k.say(&entry.SignOff{Crew: "ann", What: kitchen.WhatProcedure, Document: "pieces", Competence: "tubs", Version: 2, By: "ann", Grounds: entry.GroundsExperience})
	tub.Batch = k.tub()
	require.False(t, k.s.TrainsAt("ben", tub, k.now), "he has no signature for it")
	require.Equal(t, kitchen.RefNotTrainer, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: tub.Batch, Trainer: "ben"}).Code)
	k.say(&entry.SignOff{Crew: "ben", What: kitchen.WhatProcedure, Document: "pieces", Competence: "tubs", Version: 2, By: "ann", Grounds: entry.GroundsExperience})
	require.True(t, k.s.TrainsAt("ben", tub, k.now))
	require.Nil(t, k.taps("luz", "hers", kitchen.Command{Do: kitchen.DoGuide, Batch: tub.Batch, Trainer: "ben"}))
}

// TestTheNewestPhotoOfAStepStays: also when the batches that it was taken of are long gone.
func TestTheNewestPhotoOfAStepStays(t *testing.T) {
	k, load := guided(t)
	k.say(&entry.Step{Batch: load.ID, Stage: "cook", Step: "core", Value: 78_000, Unit: "mC", Photo: "aa"})
	k.wait(stamp.Minute)
	k.say(&entry.Step{Batch: load.ID, Stage: "cook", Step: "core", Value: 78_000, Unit: "mC", Photo: "bb"})
	k.say(&entry.Step{Batch: load.ID, Stage: "cook", Step: "core", Value: 78_000, Unit: "mC"})
	require.Equal(t, "bb", k.s.PhotoOf(kitchen.WhatProcedure, "pieces", "cook", "core").Hash)
	require.Nil(t, k.s.PhotoOf(kitchen.WhatProcedure, "pieces", "cook", "lid"))
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: k.tub(), Reason: "Past its limit"})
	k.wait(9 * stamp.Day)
	k.tub()
	require.Equal(t, "bb", k.s.PhotoOf(kitchen.WhatProcedure, "pieces", "cook", "core").Hash)
}
