package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// deeds lists what was done with an item on all days that the state holds, by sort.
func (k *kit) deeds(item string, sort kitchen.DeedSort) (list []kitchen.Deed) {
	for i := range k.s.Done {
		for _, d := range k.s.Done[i].Deeds {
			if k.s.Done[i].Item == item && d.Sort == sort {
				list = append(list, d)
			}
		}
	}
	return list
}

// TestWhatWasDoneStaysForDays walks a tub to its trays: where the vessel changed, and when it came to the hold, is known long
// after the batches have left the state, and not for ever.
func TestWhatWasDoneStaysForDays(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	tub, came := k.s.Batches[0], k.deeds("pieces", kitchen.DeedCame)
	stages := map[string]int{}
	for _, d := range came {
		stages[d.Stage]++
		require.Positive(t, d.Pieces+d.Grams)
	}
	first := k.s.Procedure("pieces", 0).Stages[0].Name
	require.Equal(t, first, came[0].Stage)
	require.Equal(t, tub.InGrams, came[0].Grams)
	_, clock := k.s.Wall(tub.MadeAt)
	require.EqualValues(t, clock/stamp.Minute, came[0].Minute)
	require.Equal(t, 1, stages[first])
	require.Zero(t, stages["drain"], "the vessel stays the same")
	require.Equal(t, 2, stages["hold"])

	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: trays[0].ID, Count: 1, Wasted: 2, Reason: "Dropped or touched"})
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: trays[0].ID, Reason: "Past its limit"})
	thrown := k.deeds("pieces", kitchen.DeedThrown)
	require.Len(t, thrown, 2)
	require.Equal(t, []string{"Dropped or touched", "Past its limit"}, []string{thrown[0].Why, thrown[1].Why})
	require.EqualValues(t, 2, thrown[0].Pieces)
	require.Positive(t, thrown[0].Grams)
	require.Equal(t, "hold", thrown[1].Stage)

	k.wait(2 * stamp.Day)
	k.say(&entry.Note{Place: "fryer-1", Text: "days later"})
	require.Nil(t, k.s.Batch(trays[0].ID))
	require.Len(t, k.deeds("pieces", kitchen.DeedCame), len(came))
	k.wait(3 * stamp.Day)
	k.say(&entry.Note{Place: "fryer-1", Text: "a week later"})
	require.Empty(t, k.s.Done)
}

// TestWhatWasTakenBackWasNotDone: a discard that was taken back is no waste, and equipment that was out is told with why.
func TestWhatWasTakenBackWasNotDone(t *testing.T) {
	k := newKit(t)
	b := k.batch(k.tub())
	id := k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "Past its limit"})[0]
	require.Len(t, k.deeds("pieces", kitchen.DeedThrown), 1)
	k.say(&entry.Withdrawal{Entry: id})
	require.Empty(t, k.deeds("pieces", kitchen.DeedThrown))
	k.say(&entry.Equipment{Place: "fryer-1", Out: true, Reason: "No heat"})
	k.wait(stamp.Hour)
	k.say(&entry.Equipment{Place: "fryer-1"})
	out, back := k.deeds("", kitchen.DeedOut), k.deeds("", kitchen.DeedBack)
	require.Len(t, out, 1)
	require.Equal(t, "No heat", out[0].Why)
	require.Len(t, back, 1)
	require.Equal(t, (out[0].Minute+60)%1440, back[0].Minute)
}
