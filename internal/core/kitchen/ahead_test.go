package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// TestBellsAreTrueAhead: on random kitchens, every bell that is announced rings at its instant, under the same key, if
// nothing is done until then; and nothing rings then that was not announced.
func TestBellsAreTrueAhead(t *testing.T) {
	announced := 0
	for seed := range uint64(150) {
		s := fold(random(seed, 250))
		now := s.Last.At
		if now < journalsBegin || now > journalsBegin.Add(400*stamp.Day) {
			continue // a clock from nowhere
		}
		bells := kitchen.Bells(s, now, 12*stamp.Hour)
		for i, b := range bells {
			require.Equal(t, b.At <= now, b.Ringing)
			require.False(t, b.Ringing && i > 0 && !bells[i-1].Ringing, "what rings comes first")
			at := ringing(s, max(b.At, now))
			require.Contains(t, at, b.Key, "seed %d", seed)
			announced++
		}
		for later := stamp.Hour; later <= 12*stamp.Hour; later += 3 * stamp.Hour {
			for _, key := range ringing(s, now.Add(later)) {
				require.Contains(t, keys(bells), key, "seed %d: it was not announced", seed)
			}
		}
	}
	require.Greater(t, announced, 1000)
}

func ringing(s *kitchen.State, at stamp.Milli) []string {
	var list []string
	for _, b := range kitchen.Bells(s, at, 0) {
		if b.Ringing {
			list = append(list, b.Key)
		}
	}
	return list
}

func keys(bells []kitchen.Bell) []string {
	var list []string
	for _, b := range bells {
		list = append(list, b.Key)
	}
	return list
}

// TestPastRings: each open batch past its limit rings with danger unless somebody answered, and rings once only.
func TestPastRings(t *testing.T) {
	past := 0
	for seed := range uint64(150) {
		s := fold(random(seed, 250))
		now := s.Last.At
		if now < journalsBegin || now > journalsBegin.Add(400*stamp.Day) {
			continue
		}
		bells := kitchen.Bells(s, now, stamp.Hour)
		for i := range s.Batches {
			b := &s.Batches[i]
			w := s.Window(b)
			if b.Status != kitchen.Open || window.At(&w, now.Since(b.Since)) != window.Past {
				continue
			}
			past++
			var of []kitchen.Bell
			for _, bell := range bells {
				if containsID(bell.Batches, b.ID) && bell.Log.IsZero() {
					of = append(of, bell)
				}
			}
			require.LessOrEqual(t, len(of), 1)
			if len(of) == 1 {
				require.Equal(t, kitchen.Danger, of[0].Level)
				require.True(t, of[0].Ringing || of[0].N > 0)
			} else {
				require.Empty(t, w.Patience, "it rings again after its patience")
			}
		}
	}
	require.Positive(t, past)
}

// TestOpensOnItsDays: a list that is for some weekdays only.
func TestOpensOnItsDays(t *testing.T) {
	weekly := &procedure.List{Days: []uint8{1, 5}}
	monday := int32(20785) // 2026-11-28 is a Saturday: day 20785 since 1970-01-01
	require.Equal(t, uint8(6), kitchen.Weekday(monday))
	monday += 2
	for day, opens := range []bool{true, false, false, false, true, false, false} {
		require.Equal(t, opens, kitchen.Opens(weekly, monday+int32(day)))
	}
	require.True(t, kitchen.Opens(&procedure.List{}, monday))
	require.Equal(t, uint8(3), kitchen.Weekday(-1), "the last day of 1969 was a Wednesday")
}

// TestLoadByWeight: a pan heavier than what a fryer takes gives as many pieces as weigh no more.
func TestLoadByWeight(t *testing.T) {
	k := newKit(t)
	id := k.say(&entry.Start{Procedure: "pieces", Version: 1, Stage: "set", Vessel: "pan", Grams: 9000, Pieces: 45})
	k.wait(stamp.Hour)
	k.readOil()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id, Place: "fryer-1"})
	load := k.open("cook")[0]
	require.Equal(t, []int64{40, 8000}, []int64{load.Pieces, load.Grams}, "8 kg at most, 200 g each")
	require.Equal(t, []int64{5, 1000}, []int64{k.batch(id).Pieces, k.batch(id).Grams})

	id = k.say(&entry.Start{Procedure: "pieces", Version: 1, Stage: "set", Vessel: "pan", Grams: 9000})
	k.wait(stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id, Place: "fryer-2"})
	require.Equal(t, int64(1000), k.batch(id).Grams, "by weight alone when nobody counted")
}

// TestCorrectAPortion: all vessels at once, what was taken, and what was lost.
func TestCorrectAPortion(t *testing.T) {
	k := newKit(t)
	id := k.drained()
	portion := k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})[0]
	k.do(kitchen.Command{
		Do: kitchen.DoCorrect, Entry: portion, Portions: []kitchen.Vessel{{Pieces: 47}, {Pieces: 46}},
		Shares: []kitchen.Wanted{{Batch: id, Grams: 14_900}}, Lost: []entry.Loss{{Why: "trim", Grams: 50, Pieces: 3}},
	})
	pans := k.open("set")
	require.Equal(t, []int64{47, 46}, []int64{pans[0].Pieces, pans[1].Pieces})
	require.Equal(t, []entry.Loss{{Why: "yield", Grams: 100}, {Why: "trim", Grams: 50, Pieces: 3}}, k.batch(id).Lost,
		"all of it was taken: what nobody named is yield")
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoCorrect, Entry: portion, Lost: []entry.Loss{{Why: "eaten"}}})

	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Number: 7, Grams: 16_000})
	require.Equal(t, int64(16_000), k.batch(id).InGrams)
	k.refused(kitchen.RefNoBatch, kitchen.Command{Do: kitchen.DoCorrect, Batch: k.id(), Entry: k.do(
		kitchen.Command{Do: kitchen.DoNote, Batch: id, Text: "x"})[0]})
}

// TestEquipmentAndCrew: what is already so needs no entry, and what is unclear is asked for.
func TestEquipmentAndCrew(t *testing.T) {
	k := newKit(t)
	k.refused(kitchen.RefNeedAnswer, kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1"})
	k.refused(kitchen.RefNeedReason, kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "out"})
	drafts, refused := k.try(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "in"})
	require.Nil(t, refused)
	require.Empty(t, drafts)
	k.do(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "out", Reason: "leaks"})
	require.Equal(t, "leaks", k.s.Place("fryer-1").Why)
	k.do(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "in"})
	require.Empty(t, k.s.Place("fryer-1").Why)

	k.crew = "ann"
	k.refused(kitchen.RefCrewKnown, kitchen.Command{Do: kitchen.DoMember, Crew: "eve", Name: "Eve", Answer: "boss"})
	k.refused(kitchen.RefNeedText, kitchen.Command{Do: kitchen.DoMember, Crew: "eve"})
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "eve", Name: "Eve", Answer: "trainee", Text: "fr"})
	require.Equal(t, entry.Trainee, k.s.Member("eve").Role)
	require.Equal(t, "en", k.s.Member("eve").Lang, "the tool speaks English and Spanish")
	k.refused(kitchen.RefNeedText, kitchen.Command{Do: kitchen.DoName})
}
