package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// TestTubToTray walks a tub through all its stages and adds up what became of it.
func TestTubToTray(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	require.Len(t, trays, 2, "48 pieces go into two trays of 24")
	require.Empty(t, k.s.Deviations)

	tub := k.batch(k.batch(k.batch(trays[0].Parents[0]).Parents[0]).Parents[0])
	require.Equal(t, kitchen.Used, tub.Status)
	require.Len(t, tub.Children, 2, "96 pieces go into two pans of 48")
	require.Equal(t, []string{"L7"}, trays[0].Lots, "the supplier's lot is known at the tray")
	require.Equal(t, int64(24), trays[0].Pieces)
	require.Equal(t, k.now.Add(stamp.Hour), trays[0].UseBy, "the raw product's date mark ended with the raw stages")

	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 20})
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 1, Wasted: 3})
	k.wait(stamp.Hour + 1)
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: trays[1].ID, Reason: "Past its limit"})
	left, sold, wasted, lost := k.whatBecameOf(tub.ID)
	require.Equal(t, int64(96), left+sold+wasted+lost)
	require.Equal(t, []int64{48, 21, 3, 24}, []int64{left, sold, wasted, lost})
	require.Equal(t, kitchen.Finished, k.batch(trays[0].ID).Status)
	require.Equal(t, kitchen.Discarded, k.batch(trays[1].ID).Status)
}

// whatBecameOf adds up pieces over a batch and all that came out of it, each once.
func (k *kit) whatBecameOf(id entry.ID) (left, sold, wasted, lost int64) {
	seen := []entry.ID{id}
	for i := 0; i < len(seen); i++ {
		b := k.batch(seen[i])
		left, sold, wasted = left+b.Pieces, sold+b.Sold, wasted+b.Wasted
		for _, l := range b.Lost {
			lost += l.Pieces
		}
		for _, child := range b.Children {
			if !containsID(seen, child) {
				seen = append(seen, child)
			}
		}
	}
	return left, sold, wasted, lost
}

func containsID(list []entry.ID, id entry.ID) bool {
	for _, o := range list {
		if o == id {
			return true
		}
	}
	return false
}

func TestStartWorksOutTubs(t *testing.T) {
	k := newKit(t)
	k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 40_001, Pieces: 256})
	tubs := k.open("marinate")
	require.Len(t, tubs, 3, "16 kg at most in a tub")
	require.Equal(t, []int64{13_334, 13_334, 13_333}, []int64{tubs[0].Grams, tubs[1].Grams, tubs[2].Grams})
	require.Equal(t, []uint32{1, 2, 3}, []uint32{tubs[0].Number, tubs[1].Number, tubs[2].Number})
	require.Equal(t, int64(8890), tubs[0].Mix.Water, "13.334 kg at 1.5 kg/L, rounded up: 8.8894 L")
	require.Equal(t, int64(533), tubs[0].Mix.Concentrate, "60 mL/L of 8.890 L")
	require.Equal(t, "cold-room", tubs[0].Place)
	require.Len(t, tubs[0].Code, 4)
	require.Same(t, k.s.ByCode(tubs[1].Code), k.s.Batch(tubs[1].ID))

	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: tubs[1].ID, Reason: "dropped"})
	k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 3000})
	again := k.open("marinate")[1]
	require.Equal(t, uint32(2), again.Number, "the lowest number that is free")
	require.Equal(t, int64(3000), again.Grams)
}

// TestPortionNamesLosses: what is missing is named, what the coating adds is not a loss.
func TestPortionNamesLosses(t *testing.T) {
	k := newKit(t)
	id := k.drained()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id, Grams: 14_200, Pieces: 95})
	require.Equal(t, []entry.Loss{{Why: "waste", Pieces: 1}, {Why: "drip", Grams: 800}}, k.batch(id).Lost)
	pans := k.open("set")
	require.Equal(t, []int64{48, 47}, []int64{pans[0].Pieces, pans[1].Pieces})
	require.Equal(t, int64(14_200), pans[0].Grams+pans[1].Grams)

	k = newKit(t)
	id = k.drained()
	lost := []entry.Loss{{Why: "trim", Grams: 200}}
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id, Lost: lost, Portions: []kitchen.Vessel{
		{Grams: 7900, Pieces: 48}, {Grams: 7950, Pieces: 48},
	}})
	require.Equal(t, lost, k.batch(id).Lost, "15.85 kg out of 15 kg: flour")
	require.Empty(t, k.s.Deviations)
}

// TestLoadTakesTheOldest: without saying which, the pan that waits longest; when more is asked, the next one too.
func TestLoadTakesTheOldest(t *testing.T) {
	k := newKit(t)
	pans := k.pans()
	k.readOil()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1", Pieces: 30})
	load := k.open("cook")[0]
	require.Equal(t, []entry.ID{pans[0].ID}, load.Parents)
	require.Equal(t, int64(30), load.Pieces)
	require.Equal(t, int64(18), k.batch(pans[0].ID).Pieces)
	require.Equal(t, int64(7500-4688), k.batch(pans[0].ID).Grams, "30 of 48 pieces weigh 4688 of 7500 g")

	k.do(kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-2", Pieces: 40})
	load = k.open("cook")[1]
	require.Equal(t, []entry.ID{pans[0].ID, pans[1].ID}, load.Parents)
	require.Equal(t, kitchen.Used, k.batch(pans[0].ID).Status)
	require.Equal(t, int64(26), k.batch(pans[1].ID).Pieces)
	require.Equal(t, []string{"L7"}, load.Lots)
}

// TestOtherVesselsKeepTheTime: pans merged into one, or a tray split, do not begin their stage anew.
func TestOtherVesselsKeepTheTime(t *testing.T) {
	k := newKit(t)
	first := k.pans()[0]
	since, useBy := first.Since, first.UseBy
	pans := k.open("set")
	k.do(kitchen.Command{Do: kitchen.DoPortion, To: "set", Portions: []kitchen.Vessel{{Grams: 7900, Pieces: 48}}, Shares: []kitchen.Wanted{
		{Batch: pans[0].ID, Pieces: 20}, {Batch: pans[1].ID, Pieces: 28},
	}})
	merged := k.open("set")[2]
	require.Equal(t, since, merged.Since)
	require.Equal(t, useBy, merged.UseBy)
	require.Empty(t, k.s.Deviations, "splitting and merging within a stage is not leaving it")
	require.Equal(t, int64(96), pans[0].InPieces+pans[1].InPieces)
	require.Equal(t, []int64{28, 20, 48}, []int64{k.open("set")[0].Pieces, k.open("set")[1].Pieces, merged.Pieces})
}

// TestMergedTraysHoldNoMore: what is put together later goes into the same vessels, with the limit with which they were
// filled.
func TestMergedTraysHoldNoMore(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	filled, _ := k.s.Procedure("pieces", 0).Stage("stage")
	held, _ := k.s.Procedure("pieces", 0).Stage("hold")
	require.Equal(t, int64(24), filled.Enter.MostPiece)
	require.Zero(t, held.Enter.MostPiece, "what stands in it already does not say one")
	r := k.refused(kitchen.RefVesselFull, kitchen.Command{Do: kitchen.DoPortion, To: "hold", Number: 1, Shares: []kitchen.Wanted{
		{Batch: trays[0].ID, All: true}, {Batch: trays[1].ID, All: true},
	}})
	require.Equal(t, []int64{48, 24}, []int64{r.Number, r.Limit})
}

func TestHistoryTellsAll(t *testing.T) {
	k := newKit(t)
	id := k.tub()
	k.wait(10 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id})
	k.do(kitchen.Command{Do: kitchen.DoNote, Batch: id, Text: "  smells of pepper "})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "pour"})
	undone := k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "look"})[0]
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: undone})
	var kinds []entry.Kind
	for _, v := range k.batch(id).Events {
		kinds = append(kinds, v.Kind)
	}
	require.Equal(t, []entry.Kind{
		entry.BatchStarted, entry.BatchMoved, entry.NoteMade, entry.StepDone, entry.StepDone,
	}, kinds)
	require.Equal(t, "smells of pepper", k.batch(id).Events[2].Text)
	require.True(t, k.batch(id).Events[4].Withdrawn)
	require.Len(t, k.batch(id).Steps, 1, "the withdrawn step is not done")
}

// TestPruneFollowsOpenWork: what ended three days ago goes, what still has open descendants stays.
func TestPruneFollowsOpenWork(t *testing.T) {
	k := newKit(t)
	old := k.tub()
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: old, Reason: "dropped"})
	pans := k.pans()
	tub := pans[0].Parents[0]
	k.wait(3*stamp.Day + 2*stamp.Hour)
	k.say(&entry.Note{Text: "the entries step into another hour"})
	require.Nil(t, k.s.Batch(old))
	require.NotNil(t, k.s.Batch(tub), "its pans are still there")
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pans[0].ID, Reason: "old"})
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: pans[1].ID, Reason: "old"})
	k.wait(4 * stamp.Day)
	k.say(&entry.Note{Text: "another"})
	require.Empty(t, k.s.Batches)
	require.Empty(t, k.s.Recent[:len(k.s.Recent)-1])
}

// TestOldVersionsStayWhileNeeded: a batch keeps the version that it began with.
func TestOldVersionsStayWhileNeeded(t *testing.T) {
	k := newKit(t)
	id := k.tub()
	two := piecesDoc(2)
	k.say(&two)
	k.wait(5 * stamp.Day)
	three := piecesDoc(3)
	k.say(&three)
	k.wait(5 * stamp.Day)
	k.say(&entry.Note{Text: "later"})
	require.NotNil(t, k.s.Procedure("pieces", 1), "the open tub uses it")
	require.Nil(t, k.s.Procedure("pieces", 2), "nobody uses it")
	require.Equal(t, uint32(3), k.s.Procedure("pieces", 0).Version)
	require.NotNil(t, k.s.Stage(k.batch(id)))
}
