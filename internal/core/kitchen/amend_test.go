package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// TestUndo: everything that a tap does to a batch can be taken back for ten seconds.
func TestUndo(t *testing.T) {
	k := newKit(t)
	before := k.s
	ids := k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 40_000})
	require.Len(t, ids, 3)
	k.wait(9 * stamp.Second)
	require.Len(t, k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: ids[1]}), 3, "the tap started three tubs, all go")
	require.Empty(t, k.s.Batches)
	require.Equal(t, before.Batches, k.s.Batches)

	id := k.drained()
	portion := k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})[0]
	require.Equal(t, kitchen.Used, k.batch(id).Status)
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: portion})
	require.Equal(t, kitchen.Open, k.batch(id).Status)
	require.Equal(t, int64(96), k.batch(id).Pieces)
	require.Empty(t, k.open("set"))
	require.Empty(t, k.batch(id).Children)

	discard := k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "dropped"})[0]
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: discard})
	require.Equal(t, kitchen.Open, k.batch(id).Status, "what was taken back does not beat anything")
	events := k.batch(id).Events
	require.True(t, events[len(events)-1].Withdrawn)
	require.Equal(t, "dropped", events[len(events)-1].Text, "both stay readable")
}

// TestUndoOfWhatWentOn: what somebody has gone on with is not pulled away from under it.
func TestUndoOfWhatWentOn(t *testing.T) {
	k := newKit(t)
	id := k.drained()
	portion := k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})[0]
	pan := k.open("set")[0].ID
	discard := k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pan, Reason: "fell down"})[0]
	require.Equal(t, pan, k.refused(kitchen.RefMovedOn, kitchen.Command{Do: kitchen.DoUndo, Entry: portion}).Batch)
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: discard})
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: portion})
	require.Equal(t, kitchen.Open, k.batch(id).Status)
}

// TestUndoByTheSameHands: the same crew member on another device, or another one on the same device.
func TestUndoByTheSameHands(t *testing.T) {
	k := newKit(t)
	id := k.sayOn("other", k.id(), &entry.Timer{Name: "rice", Span: stamp.Minute})
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: id})
	require.Empty(t, k.s.Timers)
	id = k.say(&entry.Timer{Name: "rice", Span: stamp.Minute})
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: id})
	require.Empty(t, k.s.Timers)
}

// TestCorrections: what was typed wrong is put right at its own time, and both stay readable.
func TestCorrections(t *testing.T) {
	k := newKit(t)
	start := k.tub()
	k.wait(stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: start, Grams: 12_000, Pieces: 80, Lots: []string{"L9"}, Reason: "wrong scale"})
	b := k.batch(start)
	require.Equal(t, []int64{12_000, 80, 12_000, 80}, []int64{b.Grams, b.Pieces, b.InGrams, b.InPieces})
	require.Equal(t, []string{"L9"}, b.Lots)
	require.Equal(t, int64(8000), b.Mix.Water, "12 kg at 1.5 kg/L")
	require.Equal(t, evening, b.MadeAt)
	require.True(t, b.Events[0].Corrected)
	require.Equal(t, int64(80), b.Events[0].Number)
	was := b.Events[len(b.Events)-1]
	require.Equal(t, start, was.Entry)
	require.True(t, was.Withdrawn && was.Corrected, "what it said before stays readable")
	require.Greater(t, was.At, b.Events[0].At, "told when it was corrected")
	require.NotEqual(t, int64(80), was.Number)

	k.wait(9 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: start})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: start, Step: "pour"})
	no := k.do(kitchen.Command{Do: kitchen.DoStep, Batch: start, Step: "colour", Answer: "no"})[0]
	require.Equal(t, "colour", k.off(kitchen.DevAnsweredNo).Step)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: no, Answer: "yes"})
	require.Empty(t, k.s.Deviations, "the deviation came from a slip of the thumb")
	require.Equal(t, "yes", k.batch(start).Marked("drain", "colour").Answer)

	k.wait(stamp.Hour)
	portion := k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: start})[0]
	pan := k.open("set")[0]
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: portion, Batch: pan.ID, Pieces: pan.Pieces - 2})
	require.Equal(t, pan.Pieces-2, k.batch(pan.ID).InPieces)
}

func TestCorrectReadingsAndCounts(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	count := k.do(kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 5})[0]
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: count, Count: 3, Wasted: 1, Reason: "counted twice"})
	for _, v := range k.batch(trays[0].ID).Events {
		if sold, wasted := v.Counted(); v.Entry == count {
			require.Equal(t, map[bool][]int64{true: {5, 0}, false: {3, 1}}[v.Withdrawn], []int64{sold, wasted})
		}
	}
	require.Equal(t, []int64{3, 1, 20}, []int64{k.batch(trays[0].ID).Sold, k.batch(trays[0].ID).Wasted, k.batch(trays[0].ID).Pieces})
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: count, Count: 3, Wasted: 1, Batch: trays[1].ID})
	require.Equal(t, int64(24), k.batch(trays[0].ID).Pieces, "it was the other tray")
	require.Equal(t, int64(20), k.batch(trays[1].ID).Pieces)
	struck := k.batch(trays[0].ID).Events
	require.True(t, struck[len(struck)-1].Withdrawn)

	reading := k.do(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-2", Value: 119_000, Unit: "mC"})[0]
	k.off(kitchen.DevReadingOff)
	r := k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: reading, Value: 1_690_000})
	require.Equal(t, int64(400_000), r.Limit)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: reading, Value: 169_000})
	require.Empty(t, k.s.Deviations)
	require.Equal(t, int64(169_000), k.s.Place("fryer-2").Reading)
}

// TestDiscardOfTheWrongPan: the discard is turned to the pan that was meant; the other one is there again.
func TestDiscardOfTheWrongPan(t *testing.T) {
	k := newKit(t)
	pans := k.pans()
	id := k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pans[0].ID, Reason: "fell down"})[0]
	k.wait(stamp.Minute)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Batch: pans[1].ID, Reason: "it was pan 2"})
	require.Equal(t, kitchen.Open, k.batch(pans[0].ID).Status)
	require.Equal(t, kitchen.Discarded, k.batch(pans[1].ID).Status)
	require.Empty(t, k.s.Deviations)
}

// TestOddCorrections: what cannot be read, or would make another kind of it, changes nothing but is seen.
func TestOddCorrections(t *testing.T) {
	k := newKit(t)
	id := k.tub()
	k.say(&entry.Correction{Entry: id, To: entry.NoteMade, Ver: 1, Body: wire.Append(nil, &entry.Note{Text: "x"})})
	require.Equal(t, int64(15_000), k.batch(id).Grams)
	k.off(kitchen.DevUnreadable)
	k.say(&entry.Correction{Entry: id, To: entry.BatchStarted, Ver: 1, Body: []byte{0xff}})
	require.Equal(t, int64(15_000), k.batch(id).Grams)
	require.Len(t, k.s.Deviations, 1, "only the correction in force counts, and it shows once")
	k.refused(kitchen.RefNotUndoable, kitchen.Command{Do: kitchen.DoCorrect, Entry: k.do(
		kitchen.Command{Do: kitchen.DoDeviate, Batch: id, Text: "smells"})[0]})
	k.refused(kitchen.RefNoEntry, kitchen.Command{Do: kitchen.DoCorrect, Entry: k.list[0].ID})
}

// TestUnknownKindsArePassedOver: an entry from a newer build changes nothing here, and is not a fault.
func TestUnknownKindsArePassedOver(t *testing.T) {
	k := newKit(t)
	for _, e := range []entry.Entry{{Kind: 900, Ver: 1}, {Kind: entry.BatchMoved, Ver: 2}, {Kind: entry.NoteMade, Ver: 0}} {
		e.ID, e.At = k.id(), stamp.Stamp{At: k.now.Add(1), Device: "new"}
		k.list = append(k.list, e)
	}
	k.say(&entry.Note{Text: "after"})
	require.Empty(t, k.s.Deviations)
	require.Equal(t, uint64(len(k.list)), k.s.Folded)
}

// TestHousehold: names, crew, devices and documents.
func TestHousehold(t *testing.T) {
	k := newKit(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoName, Name: "Ferry", Text: "Europe/Berlin", Answer: "DE"})
	require.Equal(t, []string{"Ferry", "Europe/Berlin", "DE"}, []string{k.s.Name, k.s.Zone, k.s.Country})
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "dia", Name: "Día", Text: "es", Answer: "lead"})
	require.True(t, k.s.IsLead("dia"))
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "ann", Name: "Ann", Closes: true})
	require.False(t, k.s.IsLead("ann"))
	k.refused(kitchen.RefNoCrew, kitchen.Command{Do: kitchen.DoName, Name: "Again"})
	k.crew = "dia"
	k.say(&entry.Pairing{Device: "phone", Name: "Phone"})
	k.do(kitchen.Command{Do: kitchen.DoRevoke, Device: "phone", Reason: "lost"})
	require.True(t, k.s.Device("phone").Revoked)
	drafts, refused := k.try(kitchen.Command{Do: kitchen.DoRevoke, Device: "phone"})
	require.Nil(t, refused)
	require.Empty(t, drafts)
	k.say(&entry.Pairing{Device: "phone", Name: "Phone, found"})
	require.False(t, k.s.Device("phone").Revoked)
	k.do(kitchen.Command{Do: kitchen.DoPublish, Text: piecesDoc(2).Text})
	require.Equal(t, uint32(2), k.s.Procedure("pieces", 0).Version)
	require.Len(t, k.s.Procedures(), 1)
	require.Len(t, k.s.Lists(), 1)
}

// TestSameVersionTwice: two leads out of touch publish the same version; the first holds.
func TestSameVersionTwice(t *testing.T) {
	k := newKit(t)
	two := piecesDoc(2)
	k.say(&two)
	k.say(&two)
	require.Empty(t, k.s.Deviations, "the same text is no contradiction")
	other := two
	other.Text += " "
	k.say(&other)
	require.Equal(t, int64(2), k.off(kitchen.DevDocument).Number)
	require.True(t, two.Text == k.s.Documents[3].Text)
}

// TestCorrectWhereAndWhat: a lot, what went over, and the fryer, each as it is typed on the screen of the vessel it is about.
func TestCorrectWhereAndWhat(t *testing.T) {
	k := newKit(t)
	load := k.loaded()
	from := load.Parents[0]
	of := func(b *kitchen.Batch, kind entry.Kind) entry.ID {
		for _, v := range k.batch(b.ID).Events {
			if v.Kind == kind && !v.Withdrawn {
				return v.Entry
			}
		}
		t.Fatalf("no %s", kind)
		return entry.ID{}
	}
	loading := of(load, entry.BatchPortioned)
	k.refused(kitchen.RefNoPlace, kitchen.Command{Do: kitchen.DoCorrect, Entry: loading, Batch: load.ID, Place: "nowhere"})
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: loading, Batch: load.ID, Grams: 1 << 60})
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: loading, Batch: load.ID, Place: "fryer-2"})
	require.Equal(t, "fryer-2", k.batch(load.ID).Place)
	require.Empty(t, k.s.In("fryer-1"))
	require.Len(t, k.s.In("fryer-2"), 1)
	require.Equal(t, load.Since, k.batch(load.ID).Since, "its time stays")

	for _, v := range k.batch(load.ID).Events {
		require.True(t, v.Withdrawn || v.Place == "fryer-2", "%+v", v)
	}

	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: loading, Batch: load.ID, Grams: load.Grams - 300})
	require.Equal(t, load.Grams-300, k.batch(load.ID).InGrams)
	require.Equal(t, "fryer-2", k.batch(load.ID).Place, "what was corrected before stays")
	tub := k.batch(from)
	for len(tub.Parents) > 0 {
		tub = k.batch(tub.Parents[0])
	}
	start := of(tub, entry.BatchStarted)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: start, Batch: tub.ID, Text: "FR-7; FR-8, FR-7"})
	require.Equal(t, []string{"FR-7", "FR-8"}, k.batch(tub.ID).Lots)
	require.Equal(t, []string{"FR-7", "FR-8"}, k.batch(load.ID).Lots, "and so of all that came out of it")
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: start, Grams: 1 << 60})

	out := of(k.batch(from), entry.BatchPortioned)
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: out, Batch: from, Pieces: 41})
	for _, v := range k.batch(from).Events {
		if v.Entry == out && !v.Withdrawn {
			require.Equal(t, int64(41), v.Number, "what came out of the vessel that the screen is about")
		}
	}
}
