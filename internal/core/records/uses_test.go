package records_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// What the journal says of how steps are worked is what a phone that holds all of it says.
func TestUsesAreThoseOfTheState(t *testing.T) {
	list, err := demo.Entries(morning, [32]byte{3})
	require.NoError(t, err)
	at := list[len(list)-1].At
	say := func(crew string, body entry.Body) {
		at.At = at.At.Add(stamp.Second)
		list = append(list, entry.New(entry.NewID(at.At, [10]byte{9}), at, crew, body))
	}
	s := kitchen.New()
	for i := range list {
		s.Apply(&list[i], kitchen.Amended{})
	}
	var spot entry.Spot
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Status == kitchen.Open && b.Stage == "cook" {
			spot = entry.Spot{Batch: b.ID, Stage: "release"}
		}
	}
	guide, ask := entry.NewID(at.At, [10]byte{1}), entry.NewID(at.At, [10]byte{2})
	say("jun", &entry.Guide{Guide: guide, Spot: spot, Crew: "jun", Trainer: "maren"})
	say("jun", &entry.GuideAsk{Ask: ask, Guide: guide, Spot: spot, Step: "gauge", Help: true})
	say("maren", &entry.TrainerNote{Crew: "jun", Spot: spot, Step: "gauge", Tone: entry.ToneWrong})
	s = kitchen.New()
	for i := range list {
		s.Apply(&list[i], kitchen.Amended{})
	}
	day := s.WallDay(morning)
	all := items(list)
	book := records.FoldOf(nil, all, day-2, day, []records.Kind{records.Cook, records.Reading, records.Step})
	got, want := records.UsesOf(book, all), s.Uses()
	require.NotEmpty(t, want.Worst())
	for _, x := range want {
		y := got.Of(x.What, x.Document, x.Stage, x.Step)
		require.GreaterOrEqual(t, len(y.Took), len(x.Took), "%s/%s", x.Stage, x.Step)
		require.Equal(t, []int64{x.Helps, x.Wrong}, []int64{y.Helps, y.Wrong}, "%s/%s", x.Stage, x.Step)
		require.GreaterOrEqual(t, y.Offs, x.Offs, "%s/%s", x.Stage, x.Step)
	}
	gauge := got.Of(kitchen.WhatProcedure, s.Batch(spot.Batch).Procedure, "release", "gauge")
	require.Equal(t, []int64{1, 1}, []int64{gauge.Helps, gauge.Wrong})
	require.NotEmpty(t, gauge.Took)
}

// From the first thing learnt to the first signature on the evidence; experience takes no time, and nothing counts twice.
func TestSignTimes(t *testing.T) {
	var list []entry.Entry
	at := stamp.Stamp{At: morning, Device: "d"}
	say := func(after stamp.Span, crew string, body entry.Body) {
		at.At = at.At.Add(after)
		list = append(list, entry.New(entry.NewID(at.At, [10]byte{byte(len(list))}), at, crew, body))
	}
	sign := func(crew, grounds string, gone bool) *entry.SignOff {
		return &entry.SignOff{Crew: crew, What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", By: "maren", Grounds: grounds, Gone: gone}
	}
	say(0, "maren", sign("teo", entry.GroundsExperience, false))
	say(0, "jun", &entry.QuizAnswer{Key: "k", Right: true})
	say(stamp.Day, "jun", &entry.Guide{Crew: "jun", Trainer: "maren"})
	say(stamp.Day, "maren", sign("jun", entry.GroundsEvidence, false))
	say(stamp.Day, "maren", sign("jun", entry.GroundsEvidence, true))
	say(stamp.Day, "maren", sign("jun", entry.GroundsEvidence, false))
	say(stamp.Day, "ines", &entry.Rung{Procedure: "bone-in", Rung: 1})
	say(stamp.Hour, "maren", sign("ines", entry.GroundsEvidence, false))
	got := records.SignTimes(items(list))
	require.Len(t, got, 2)
	require.Equal(t, "jun", got[0].Crew)
	require.Equal(t, 2*stamp.Day, got[0].At.Since(got[0].From))
	require.Equal(t, "ines", got[1].Crew)
	require.Equal(t, stamp.Hour, got[1].At.Since(got[1].From))
	for _, e := range list {
		require.True(t, records.Learns(e.Kind), "%d", e.Kind)
	}
}
