package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// refusals brings about each refusal once, in a kitchen of its own.
var refusals = map[kitchen.RefusalCode]func(k *kit) kitchen.Command{
	kitchen.RefBadCommand: func(*kit) kitchen.Command { return kitchen.Command{Do: "fly"} },
	kitchen.RefNoCrew: func(k *kit) kitchen.Command {
		k.crew = "stranger"
		return kitchen.Command{Do: kitchen.DoTimer, Span: stamp.Minute}
	},
	kitchen.RefNotLead: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoName, Name: "Ours"}
	},
	kitchen.RefNoProcedure: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStart, Procedure: "soup", Grams: 1000}
	},
	kitchen.RefNoBatch: func(k *kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoMove, Batch: k.id()} },
	kitchen.RefNoPlace: func(*kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoReading, Place: "roof"} },
	kitchen.RefNoList: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoListClose, List: "none"}
	},
	kitchen.RefNoStep: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStep, Batch: k.tub(), Step: "dance"}
	},
	kitchen.RefNoTimer:     func(k *kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoTimerEnd, Timer: k.id()} },
	kitchen.RefNoDeviation: func(*kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoAnswer, Deviation: "x"} },
	kitchen.RefNoEntry:     func(k *kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoUndo, Entry: k.id()} },
	kitchen.RefNoDevice: func(k *kit) kitchen.Command {
		k.crew = "ann"
		return kitchen.Command{Do: kitchen.DoRevoke, Device: "x"}
	},
	kitchen.RefDiscarded: func(k *kit) kitchen.Command {
		id := k.tub()
		k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "dropped"})
		return kitchen.Command{Do: kitchen.DoMove, Batch: id}
	},
	kitchen.RefEnded: func(k *kit) kitchen.Command {
		id := k.drained()
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		return kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "late"}
	},
	kitchen.RefMovedOn: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoMove, Batch: k.drained(), From: "marinate"}
	},
	kitchen.RefLastStage: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoMove, Batch: k.trays()[0].ID}
	},
	kitchen.RefNotNext: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoMove, Batch: k.tub(), To: "hold"}
	},
	kitchen.RefNeedsPortion: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoMove, Batch: k.drained()}
	},
	kitchen.RefNeedsMove: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoPortion, Batch: k.tub()}
	},
	kitchen.RefTooSoon: func(k *kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoMove, Batch: k.tub()} },
	kitchen.RefPastLimit: func(k *kit) kitchen.Command {
		id := k.tub()
		k.wait(21 * stamp.Hour)
		return kitchen.Command{Do: kitchen.DoMove, Batch: id}
	},
	kitchen.RefStepMissing: func(k *kit) kitchen.Command {
		id := k.tub()
		k.wait(10 * stamp.Hour)
		k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id})
		k.wait(stamp.Hour)
		return kitchen.Command{Do: kitchen.DoPortion, Batch: id}
	},
	kitchen.RefStepFirst: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStep, Batch: k.loaded().ID, Step: "core", Value: 78_000, Unit: "mC"}
	},
	kitchen.RefOffLimit: func(k *kit) kitchen.Command {
		id := k.loaded().ID
		k.cooked(id)
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "core", Value: 74_999, Unit: "mC"})
		return kitchen.Command{Do: kitchen.DoPortion, Batch: id, OverrideBy: "ann", OverrideReason: "rush"}
	},
	kitchen.RefPlaceOut: func(k *kit) kitchen.Command {
		k.pans()
		k.readOil()
		k.do(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "out", Reason: "leaks"})
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"}
	},
	kitchen.RefPlaceBusy: func(k *kit) kitchen.Command {
		k.loaded()
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"}
	},
	kitchen.RefPlaceResting: func(k *kit) kitchen.Command {
		id := k.loaded().ID
		k.cooked(id)
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		k.wait(4*stamp.Minute - 1)
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"}
	},
	kitchen.RefPlaceFull: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 180_001}
	},
	kitchen.RefNoReading: func(k *kit) kitchen.Command {
		k.pans()
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"}
	},
	kitchen.RefReadingOff: func(k *kit) kitchen.Command {
		k.pans()
		k.do(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 163_999, Unit: "mC"})
		k.wait(3 * stamp.Minute)
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"}
	},
	kitchen.RefReadingOld: func(k *kit) kitchen.Command {
		k.pans()
		k.readOil()
		k.wait(2*stamp.Hour + 1)
		return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1", OverrideBy: "ann", OverrideReason: "rush"}
	},
	kitchen.RefNeedAmount: func(*kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces"} },
	kitchen.RefNeedPieces: func(k *kit) kitchen.Command {
		k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 5000})
		id := k.open("marinate")[0].ID
		k.wait(10 * stamp.Hour)
		k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id})
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "pour"})
		k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "colour", Answer: "yes"})
		k.wait(stamp.Hour)
		return kitchen.Command{Do: kitchen.DoPortion, Batch: id}
	},
	kitchen.RefNeedGrams: func(k *kit) kitchen.Command {
		doc := weighedDoc()
		k.say(&doc)
		k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "weighed", Pieces: 30})
		return kitchen.Command{Do: kitchen.DoPortion, Batch: k.open("tub")[0].ID}
	},
	kitchen.RefNeedNumber: func(*kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1"} },
	kitchen.RefNeedAnswer: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStep, Batch: k.drained(), Step: "colour", Answer: "perhaps"}
	},
	kitchen.RefNeedSign: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStep, List: "opening", Step: "sign"}
	},
	kitchen.RefNeedReason: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoDiscard, Batch: k.tub(), Reason: "  "}
	},
	kitchen.RefNeedText: func(k *kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoNote, Batch: k.tub()} },
	kitchen.RefMoreThanThere: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoCount, Batch: k.trays()[0].ID, Count: 25}
	},
	kitchen.RefVesselFull: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 32_001, Number: 2}
	},
	kitchen.RefUnlikely: func(*kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 1_690_000, Unit: "mC"}
	},
	kitchen.RefMixed: func(k *kit) kitchen.Command {
		pans, tub := k.pans(), k.tub()
		return kitchen.Command{Do: kitchen.DoPortion, Shares: []kitchen.Wanted{{Batch: pans[0].ID}, {Batch: tub}}}
	},
	kitchen.RefNothingReady: func(*kit) kitchen.Command { return kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"} },
	kitchen.RefDoubt: func(k *kit) kitchen.Command {
		load := k.loaded()
		k.say(&entry.Discard{Batch: load.Parents[0], Reason: "fell on the floor"})
		k.cooked(load.ID)
		return kitchen.Command{Do: kitchen.DoPortion, Batch: load.ID, OverrideBy: "ann", OverrideReason: "rush"}
	},
	kitchen.RefNotHold: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoCount, Batch: k.tub(), Count: 1}
	},
	kitchen.RefUndoLate: func(k *kit) kitchen.Command {
		id := k.tub()
		k.wait(25*stamp.Second + 1)
		return kitchen.Command{Do: kitchen.DoUndo, Entry: id}
	},
	kitchen.RefNotYours: func(k *kit) kitchen.Command {
		id := k.sayOn("other", k.id(), &entry.Reading{Place: "fryer-1", MilliC: 169_000})
		k.crew = "ann"
		return kitchen.Command{Do: kitchen.DoUndo, Entry: id}
	},
	kitchen.RefNotUndoable: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoUndo, Entry: k.list[0].ID}
	},
	kitchen.RefWithdrawn: func(k *kit) kitchen.Command {
		id := k.tub()
		k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: id})
		return kitchen.Command{Do: kitchen.DoUndo, Entry: id}
	},
	kitchen.RefSameVersion: func(k *kit) kitchen.Command {
		k.crew = "ann"
		return kitchen.Command{Do: kitchen.DoPublish, Text: piecesDoc(1).Text}
	},
	kitchen.RefDocument: func(k *kit) kitchen.Command {
		k.crew = "ann"
		return kitchen.Command{Do: kitchen.DoPublish, Text: `{"format": "brinebell procedure 1"}`}
	},
	kitchen.RefClosed: func(k *kit) kitchen.Command {
		k.crew = "ann"
		k.do(kitchen.Command{Do: kitchen.DoListClose, List: "opening"})
		return kitchen.Command{Do: kitchen.DoStep, List: "opening", Step: "hands"}
	},
	kitchen.RefUnderPressure: func(k *kit) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoDiscard, Batch: k.loaded().ID, Reason: "fell on the floor"}
	},
	kitchen.RefCrewKnown: func(k *kit) kitchen.Command {
		k.crew = "ann"
		return kitchen.Command{Do: kitchen.DoMember, Crew: "ann", Name: "Ann", Closes: true} // the last lead
	},
}

// TestEachRefusal brings about every refusal there is.
func TestEachRefusal(t *testing.T) {
	for code := kitchen.RefBadCommand; code <= kitchen.RefCrewKnown; code++ {
		bring := refusals[code]
		require.NotNil(t, bring, "no test brings about refusal %d", code)
		k := newKit(t)
		c := bring(k)
		k.refused(code, c)
	}
}

// TestRefusalsNameNumbers: what is out, which limit, and from when it may be.
func TestRefusalsNameNumbers(t *testing.T) {
	k := newKit(t)
	r := k.refused(kitchen.RefTooSoon, refusals[kitchen.RefTooSoon](k))
	require.Equal(t, int64(7*stamp.Hour), r.Limit)
	require.Equal(t, int64(0), r.Number)
	require.Equal(t, evening.Add(7*stamp.Hour), r.Until)
	require.True(t, r.Override)
	require.Equal(t, "marinate", r.Stage)

	k = newKit(t)
	r = k.refused(kitchen.RefReadingOff, refusals[kitchen.RefReadingOff](k))
	require.Equal(t, []int64{163_999, 164_000, int64(3 * stamp.Minute)}, []int64{r.Number, r.Limit, int64(r.Age)})
	require.Equal(t, "mC", r.Unit)
	require.False(t, r.Override)

	k = newKit(t)
	r = k.refused(kitchen.RefReadingOld, refusals[kitchen.RefReadingOld](k))
	require.Equal(t, []int64{169_000, int64(2 * stamp.Hour), int64(2*stamp.Hour + 1)}, []int64{r.Number, r.Limit, int64(r.Age)})

	k = newKit(t)
	r = k.refused(kitchen.RefPlaceResting, refusals[kitchen.RefPlaceResting](k))
	require.Equal(t, k.now.Add(1), r.Until)
	require.Equal(t, int64(4*stamp.Minute-1), r.Number)

	k = newKit(t)
	r = k.refused(kitchen.RefStepMissing, refusals[kitchen.RefStepMissing](k))
	require.Equal(t, "pour", r.Step)
	require.Equal(t, int64(2), r.Number)

	k = newKit(t)
	r = k.refused(kitchen.RefOffLimit, refusals[kitchen.RefOffLimit](k))
	require.Equal(t, []int64{74_999, 75_000}, []int64{r.Number, r.Limit})
	require.Equal(t, "core", r.Step)
}

// TestBoundaries tries each window one second to either side, and at the mark itself.
func TestBoundaries(t *testing.T) {
	type edge struct {
		at      stamp.Span
		refused kitchen.RefusalCode
	}
	marinade := []edge{
		{7*stamp.Hour - stamp.Second, kitchen.RefTooSoon}, {7 * stamp.Hour, 0}, {7*stamp.Hour + stamp.Second, 0},
		{20*stamp.Hour - stamp.Second, 0}, {20 * stamp.Hour, 0}, {20*stamp.Hour + stamp.Second, kitchen.RefPastLimit},
	}
	for _, e := range marinade {
		k := newKit(t)
		c := kitchen.Command{Do: kitchen.DoMove, Batch: k.tub()}
		k.wait(e.at)
		k.expect(e.refused, c)
	}
	set := []edge{
		{45*stamp.Minute - stamp.Second, kitchen.RefTooSoon}, {45 * stamp.Minute, 0},
		{12*stamp.Hour - stamp.Second, 0}, {12 * stamp.Hour, 0}, {12*stamp.Hour + stamp.Second, kitchen.RefPastLimit},
	}
	for _, e := range set { // "coat by" was met when it was coated, 10 h 45 min after the start
		k := newKit(t)
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: k.drained()})
		k.wait(e.at)
		k.readOil()
		k.expect(e.refused, kitchen.Command{Do: kitchen.DoPortion, Batch: k.open("set")[0].ID, Place: "fryer-1"})
	}
	hold := []edge{{stamp.Hour - stamp.Second, 0}, {stamp.Hour, 0}, {stamp.Hour + stamp.Second, kitchen.RefPastLimit}}
	for _, e := range hold {
		k := newKit(t)
		c := kitchen.Command{Do: kitchen.DoCount, Batch: k.trays()[0].ID, Count: 1, OverrideBy: "ann", OverrideReason: "rush"}
		k.wait(e.at)
		k.expect(e.refused, c)
	}
	between := []edge{{4*stamp.Minute - stamp.Second, kitchen.RefPlaceResting}, {4 * stamp.Minute, 0}}
	for _, e := range between {
		k := newKit(t)
		id := k.loaded().ID
		k.cooked(id)
		k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		k.wait(e.at)
		k.expect(e.refused, kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"})
	}
	oil := []edge{{2*stamp.Hour - stamp.Second, 0}, {2 * stamp.Hour, 0}, {2*stamp.Hour + stamp.Second, kitchen.RefReadingOld}}
	for _, e := range oil {
		k := newKit(t)
		k.pans()
		k.readOil()
		k.wait(e.at)
		k.expect(e.refused, kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"})
	}
	undo := []edge{{10 * stamp.Second, 0}, {25 * stamp.Second, 0}, {26 * stamp.Second, kitchen.RefUndoLate}}
	for _, e := range undo {
		k := newKit(t)
		c := kitchen.Command{Do: kitchen.DoUndo, Entry: k.tub()}
		k.wait(e.at)
		k.expect(e.refused, c)
	}
}

// expect taps; code 0 means that it is allowed.
func (k *kit) expect(code kitchen.RefusalCode, c kitchen.Command) {
	k.t.Helper()
	if code == kitchen.RefNone {
		k.do(c)
	} else {
		k.refused(code, c)
	}
}

// TestOverride: a lead's reasoned leave lets a batch go too soon or too late, and that is a deviation. Nothing lets it
// go against a hard limit.
func TestOverride(t *testing.T) {
	k := newKit(t)
	c := kitchen.Command{Do: kitchen.DoMove, Batch: k.tub(), OverrideBy: "ben", OverrideReason: "boat is early"}
	k.refused(kitchen.RefNotLead, c)
	c.OverrideBy, c.OverrideReason = "ann", " "
	require.True(t, k.refused(kitchen.RefNeedReason, c).Override)
	c.OverrideReason = "boat is early"
	k.do(c)
	d := k.off(kitchen.DevTooSoon)
	require.Equal(t, "boat is early", d.Text)
	require.Equal(t, []int64{0, int64(7 * stamp.Hour)}, []int64{d.Number, d.Limit})

	k = newKit(t)
	load := k.loaded()
	c = kitchen.Command{Do: kitchen.DoPortion, Batch: load.ID, OverrideBy: "ann", OverrideReason: "boat is early"}
	r := k.refused(kitchen.RefTooSoon, c)
	require.False(t, r.Override, "the floor of the cook is a hard one")

	k = newKit(t)
	pans := k.pans()
	k.readOil()
	k.wait(13 * stamp.Hour)
	k.readOil()
	c = kitchen.Command{Do: kitchen.DoPortion, Batch: pans[0].ID, Place: "fryer-1", OverrideBy: "ann", OverrideReason: "rush"}
	r = k.refused(kitchen.RefPastLimit, c)
	require.False(t, r.Override, "the procedure allows no override after the set")
}
