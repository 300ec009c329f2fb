package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// deviations brings about each deviation once, mostly by what another phone says that was out of touch.
var deviations = map[kitchen.DeviationCode]func(k *kit){
	kitchen.DevNoted: func(k *kit) { k.do(kitchen.Command{Do: kitchen.DoDeviate, Batch: k.tub(), Text: "smells odd"}) },
	kitchen.DevTooSoon: func(k *kit) {
		k.say(&entry.Move{Batch: k.tub(), From: "marinate", To: "drain"})
	},
	kitchen.DevPastLimit: func(k *kit) {
		id := k.tub()
		k.wait(20*stamp.Hour + 1)
		k.say(&entry.Move{Batch: id, From: "marinate", To: "drain"})
	},
	kitchen.DevOutOfLimit: func(k *kit) {
		id := k.loaded().ID
		k.wait(11 * stamp.Minute)
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "lid"})
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "core", Value: 71_800, Unit: "mC"})
	},
	kitchen.DevAnsweredNo: func(k *kit) {
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: k.drained(), Step: "colour", Answer: "no", Text: "grey spots"})
	},
	kitchen.DevReadingOff: func(k *kit) {
		k.do(kitchen.Command{Do: kitchen.DoReading, Place: "cold-room", Value: 4001, Unit: "mC"})
	},
	kitchen.DevProbeFailed: func(k *kit) {
		k.do(kitchen.Command{Do: kitchen.DoCheck, Probe: "p1", Answer: entry.IcePoint, Value: 1001, Unit: "mC"})
	},
	kitchen.DevDelivery:   func(k *kit) { k.do(delivery(5001, 1300)) },
	kitchen.DevUnitWeight: func(k *kit) { k.do(delivery(5000, 1401)) },
	kitchen.DevTwiceMoved: func(k *kit) {
		id := k.tub()
		k.wait(9 * stamp.Hour)
		k.say(&entry.Move{Batch: id, From: "marinate", To: "drain"})
		k.wait(10*stamp.Second + 1)
		k.say(&entry.Move{Batch: id, From: "marinate", To: "drain"})
	},
	kitchen.DevAfterDiscard: func(k *kit) {
		id := k.tub()
		k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "dropped"})
		k.say(&entry.Move{Batch: id, From: "marinate", To: "drain"})
	},
	kitchen.DevMoreThanThere: func(k *kit) { k.say(&entry.Count{Batch: k.trays()[0].ID, Sold: 25}) },
	kitchen.DevUnknownBatch:  func(k *kit) { k.say(&entry.Count{Batch: k.id(), Sold: 1}) },
	kitchen.DevSameName: func(k *kit) {
		k.tub()
		k.say(&entry.Start{Procedure: "pieces", Version: 1, Stage: "marinate", Vessel: "tub", Number: 1, Grams: 900})
	},
	kitchen.DevPlaceBusy: func(k *kit) {
		load := k.loaded()
		pan := k.open("set")[0]
		k.say(&entry.Portioning{
			Out: []entry.Share{{Batch: pan.ID, Stage: "set", Grams: pan.Grams, Pieces: pan.Pieces, All: true}},
			In:  []entry.Portion{{Batch: k.id(), Stage: "cook", Vessel: "load", Place: load.Place, Pieces: pan.Pieces}},
		})
	},
	kitchen.DevClock: func(k *kit) {
		k.say(&entry.ClockDoubt{Device: "ann", Off: -26 * stamp.Hour})
		k.say(&entry.ClockDoubt{Device: "ann", Off: -26 * stamp.Hour})
	},
	kitchen.DevStepsMissing: func(k *kit) {
		k.crew = "ann"
		k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"})
	},
	kitchen.DevUnreadable: func(k *kit) {
		k.count++
		k.list = append(k.list, entry.Entry{
			ID: k.id(), At: stamp.Stamp{At: k.now, Count: k.count, Device: "old"}, Kind: entry.NoteMade, Ver: 1, Raw: []byte{1},
		})
		k.say(&entry.Note{Text: "after it"})
	},
	kitchen.DevDocument: func(k *kit) {
		d := piecesDoc(2)
		d.Text = d.Text[1:]
		k.say(&d)
	},
	kitchen.DevOilUnchecked: func(k *kit) {
		pan := k.pans()[0]
		k.say(&entry.Portioning{
			Out: []entry.Share{{Batch: pan.ID, Stage: "set", Grams: pan.Grams, Pieces: pan.Pieces, All: true}},
			In:  []entry.Portion{{Batch: k.id(), Stage: "cook", Vessel: "load", Place: "fryer-1", Pieces: pan.Pieces}},
		})
	},
	kitchen.DevAfterEnd: func(k *kit) {
		id := k.drained()
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		k.say(&entry.Count{Batch: id, Sold: 1})
		k.say(&entry.Count{Batch: id, Sold: 1})
	},
	kitchen.DevPlaceOut: func(k *kit) {
		k.do(kitchen.Command{Do: kitchen.DoEquipment, Place: "cold-room", Answer: "out", Reason: "no power"})
		k.say(&entry.Start{Procedure: "pieces", Version: 1, Stage: "marinate", Place: "cold-room", Grams: 900})
	},
	kitchen.DevNotRested: func(k *kit) {
		id := k.loaded().ID
		k.cooked(id)
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		k.do(kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1", OverrideBy: "ann", OverrideReason: "boat is early"})
	},
}

// TestEachDeviation brings about every deviation there is, once and alone.
func TestEachDeviation(t *testing.T) {
	for code := kitchen.DevNoted; code <= kitchen.DevNotRested; code++ {
		bring := deviations[code]
		require.NotNil(t, bring, "no test brings about deviation %d", code)
		k := newKit(t)
		bring(k)
		d := k.off(code)
		require.Len(t, k.s.Deviations, 1, "deviation %d comes alone: %v", code, k.codes())
		require.NotEmpty(t, d.Key)
		require.Equal(t, d, *k.s.Deviation(d.Key))

		k.refused(kitchen.RefNeedText, kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key})
		k.crew = "ben"
		k.refused(kitchen.RefNotLead, kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "done", Closes: true})
		k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "looked at it"})
		k.crew = "ann"
		k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "thrown away", Closes: true})
		d = k.off(code)
		require.True(t, d.Closed)
		require.Len(t, d.Answers, 2)
		k.wait(4 * stamp.Day)
		k.say(&entry.Note{Text: "later"})
		require.Nil(t, k.s.Deviation(d.Key), "closed for more than three days")
	}
}

func TestDeviationsNameNumbers(t *testing.T) {
	k := newKit(t)
	deviations[kitchen.DevOutOfLimit](k)
	d := k.off(kitchen.DevOutOfLimit)
	require.Equal(t, []int64{71_800, 75_000}, []int64{d.Number, d.Limit})
	require.Equal(t, []string{"cook", "core", "fryer-1", "mC"}, []string{d.Stage, d.Step, d.Place, d.Unit})

	k = newKit(t)
	deviations[kitchen.DevMoreThanThere](k)
	d = k.off(kitchen.DevMoreThanThere)
	require.Equal(t, []int64{25, 24}, []int64{d.Number, d.Limit})
	require.Zero(t, k.batch(d.Batch).Pieces, "nothing is left, never less")
	require.Equal(t, int64(25), k.batch(d.Batch).Sold, "counts add up")

	k = newKit(t)
	deviations[kitchen.DevPastLimit](k)
	d = k.off(kitchen.DevPastLimit)
	require.Equal(t, []int64{int64(20*stamp.Hour + 1), int64(20 * stamp.Hour)}, []int64{d.Number, d.Limit})
	require.Equal(t, "drain", k.batch(d.Batch).Stage, "what happened happened")
}

// TestTwoCooksDrainTheSameTub: within ten seconds it is one deed; later the first holds and the lead hears of it.
func TestTwoCooksDrainTheSameTub(t *testing.T) {
	for _, apart := range []stamp.Span{0, 10 * stamp.Second, 10*stamp.Second + 1} {
		k := newKit(t)
		id := k.tub()
		k.wait(9 * stamp.Hour)
		first := k.say(&entry.Move{Batch: id, From: "marinate", To: "drain", Place: "cold-room"})
		began := k.now
		k.wait(apart)
		k.sayOn("other", k.id(), &entry.Move{Batch: id, From: "marinate", To: "drain", Place: "cold-room"})
		b := k.batch(id)
		require.Equal(t, began, b.Since)
		require.Equal(t, first, b.Began)
		require.True(t, b.Events[2].Void)
		if apart <= 10*stamp.Second {
			require.Empty(t, k.s.Deviations)
		} else {
			require.Equal(t, "marinate", k.off(kitchen.DevTwiceMoved).Stage)
		}
	}
}

// TestTwoCooksCoatTheSameTub: nothing is doubled when they say the same, and what differs stays for the lead.
func TestTwoCooksCoatTheSameTub(t *testing.T) {
	k := newKit(t)
	id := k.drained()
	drafts, refused := k.try(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
	require.Nil(t, refused)
	other, refused := k.try(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
	require.Nil(t, refused)
	k.sayOn("phone", drafts[0].ID, drafts[0].Body)
	k.wait(8 * stamp.Second)
	k.sayOn("other", other[0].ID, other[0].Body)
	require.Len(t, k.open("set"), 2)
	require.Empty(t, k.s.Deviations)

	k.list = k.list[:len(k.list)-1]
	k.wait(stamp.Minute)
	k.sayOn("other", other[0].ID, other[0].Body)
	require.Len(t, k.open("set"), 4, "perhaps somebody holds them in his hands")
	require.Contains(t, k.codes(), kitchen.DevTwiceMoved)
	require.Contains(t, k.codes(), kitchen.DevSameName)
}

// TestOneDiscardsWhatTheOtherCooks: in whichever order, the pan is discarded and the load may go nowhere until a lead
// has looked.
func TestOneDiscardsWhatTheOtherCooks(t *testing.T) {
	for _, discardFirst := range []bool{true, false} {
		k := newKit(t)
		pan := k.pans()[0]
		k.readOil()
		load, refused := k.try(kitchen.Command{Do: kitchen.DoPortion, Batch: pan.ID, Place: "fryer-1"})
		require.Nil(t, refused)
		discard := &entry.Discard{Batch: pan.ID, Grams: pan.Grams, Pieces: pan.Pieces, Reason: "lid was off"}
		if discardFirst {
			k.say(discard)
			k.wait(stamp.Minute)
		}
		k.sayOn("other", load[0].ID, load[0].Body)
		if !discardFirst {
			k.wait(stamp.Minute)
			k.say(discard)
		}
		require.Equal(t, kitchen.Discarded, k.batch(pan.ID).Status)
		cooking := k.open("cook")
		require.Len(t, cooking, 1, "it is in the oil, whatever was said")
		off := k.off(kitchen.DevAfterDiscard)
		require.Equal(t, off.Key, cooking[0].Doubt)

		k.cooked(cooking[0].ID)
		c := kitchen.Command{Do: kitchen.DoPortion, Batch: cooking[0].ID}
		require.Equal(t, off.Key, k.refused(kitchen.RefDoubt, c).Name)
		k.crew = "ann"
		k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: off.Key, Text: "it was another pan", Closes: true})
		k.do(c)
	}
}

// TestDiscardOfTheRestIsNoContradiction: half a pan was loaded, the other half is thrown away.
func TestDiscardOfTheRestIsNoContradiction(t *testing.T) {
	k := newKit(t)
	pan := k.pans()[0]
	k.readOil()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: pan.ID, Pieces: 20, Place: "fryer-1"})
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pan.ID, Reason: "fell down"})
	require.Empty(t, k.s.Deviations)
	require.Empty(t, k.open("cook")[0].Doubt)
	require.Equal(t, entry.Loss{Why: "waste", Grams: 7500 - 3125, Pieces: 28}, k.batch(pan.ID).Lost[0])
}

// TestLateStepsTakeDeviationsBack: a step that was done in time and heard of late leaves nothing off.
func TestLateStepsTakeDeviationsBack(t *testing.T) {
	k := newKit(t)
	id := k.tub()
	k.wait(9 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "pour"})
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id, OverrideBy: "ann", OverrideReason: "Ben did it, his phone is off"})
	require.Equal(t, "colour", k.off(kitchen.DevStepsMissing).Step)
	k.now = k.now.Add(-30 * stamp.Minute)
	k.sayOn("other", k.id(), &entry.Step{Batch: id, Stage: "drain", Step: "colour", Answer: "yes"})
	require.Empty(t, k.s.Deviations)
}

// TestMoveAcrossAGap: the phone in between is still out of touch; the batch is believed to be where it is said to be.
func TestMoveAcrossAGap(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	id := trays[0].ID
	k.list = k.list[:len(k.list)-2] // both moves into the hold
	k.wait(stamp.Minute)
	k.say(&entry.Move{Batch: id, From: "drain", To: "hold"})
	require.Equal(t, "hold", k.batch(id).Stage)
	require.Equal(t, kitchen.DevTwiceMoved, k.s.Deviations[0].Code)
	k.say(&entry.Move{Batch: id, From: "set", To: "marinate"})
	require.Equal(t, "hold", k.batch(id).Stage, "nothing is believed to go back")
}
