package report

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
)

// learning is the demo kitchen's journal with all that a training record may hold: guided work with its questions and answers,
// a PIN answer that was denied, notes, practice, questions, a signature with a PIN, one taken back, and an entry undone.
func learning(t testing.TB) []entry.Entry {
	t.Helper()
	all, _ := aDay(t)
	s := kitchen.New()
	for i := range all {
		s.Apply(&all[i], kitchen.Amended{})
	}
	var load entry.ID
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Status == kitchen.Open && b.Stage == "cook" {
			load = b.ID
		}
	}
	require.False(t, load.IsZero())
	at := all[len(all)-1].At
	id := func(n byte) entry.ID { return entry.NewID(at.At, [10]byte{9, n}) }
	spot := entry.Spot{Batch: load, Stage: "release"}
	n := byte(0)
	say := func(crew, device string, body entry.Body) entry.ID {
		n++
		at.At, at.Device = at.At.Add(stamp.Second), device
		e := entry.New(id(100+n), at, crew, body)
		all = append(all, e)
		return e.ID
	}
	guide, ask, other := id(1), id(2), id(3)
	say("maren", "pass", &entry.Member{Crew: "jun", Name: "Jun Abara", Lang: "en", Role: entry.Trainee, Born: 14_000})
	say("jun", "jun-phone", &entry.Pin{Crew: "jun", Salt: []byte{1}, Rounds: 2, Digest: []byte{3}})
	say("jun", "jun-phone", &entry.Guide{Guide: guide, Spot: spot, Crew: "jun", Trainer: "maren"})
	say("jun", "jun-phone", &entry.GuideAsk{Ask: ask, Guide: guide, Spot: spot, Step: "gauge"})
	say("maren", "pass", &entry.GuideAnswer{Ask: ask, Yes: true, Trainer: "maren", Seen: "0 bar"})
	hot := id(4)
	say("jun", "jun-phone", &entry.GuideAsk{Ask: hot, Guide: guide, Spot: spot, Step: "core"})
	say("maren", "pass", &entry.GuideAnswer{Ask: hot, Yes: true, Trainer: "maren", Seen: "78400 mC"})
	say("jun", "jun-phone", &entry.GuideAsk{Ask: other, Guide: guide, Spot: spot, Step: "core", Help: true, Text: "which piece?"})
	say("jun", "jun-phone", &entry.GuideAnswer{Ask: other, Yes: true, Trainer: "maren", Pin: true})
	say("maren", "pass", &entry.GuideCheck{Ask: other, Mine: false})
	say("maren", "pass", &entry.TrainerNote{Crew: "jun", Spot: spot, Step: "vent", Tone: entry.ToneSlow, Text: "waits for the valve"})
	wrong := say("maren", "pass", &entry.TrainerNote{Crew: "jun", Spot: spot, Tone: entry.ToneWrong, Text: "meant for Teo"})
	say("maren", "pass", &entry.Withdrawal{Entry: wrong})
	say("jun", "jun-phone", &entry.Rung{Procedure: "bone-in", Rung: 2, Seed: 77, Troubles: 5, Right: 4, Hurt: 1, Grams: 1200, Passed: true})
	say("jun", "jun-phone", &entry.QuizAnswer{Key: "bone-in/cook/ceiling", Right: true})
	say("jun", "jun-phone", &entry.QuizAnswer{Key: "bone-in/cook/floor"})
	say("teo", "pass", &entry.QuizAnswer{Key: "bone-in/cook/floor"})
	say("jun", "jun-phone", &entry.SignOff{Crew: "jun", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: 4, By: "maren", Pin: true, Grounds: entry.GroundsEvidence})
	say("maren", "pass", &entry.SignOff{Crew: "jun", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: 4, By: "maren", Gone: true, Reason: "lid opened at 0.2 bar"})
	say("maren", "pass", &entry.SignOff{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: 4, By: "maren", Grounds: entry.GroundsExperience})
	return all
}

func trainingOf(t testing.TB, lang string, standing ...Standing) *Training {
	all := learning(t)
	from := records.TrainingOf("jun", kitchen.New(), itemsOf(all))
	tr := CollectTraining(Ask{Lang: lang, By: "maren", At: all[len(all)-1].At.At, Device: "pass"}, from, standing)
	tr.Chain = Chain{Entries: uint64(len(all)), Head: strings.Repeat("3fa9c01be4d27788", 4)}
	return tr
}

// The paper holds every signature with who, when, on which version and device, and what led to it.
func TestATrainingRecordHoldsEverySignature(t *testing.T) {
	standing := []Standing{{Work: "Bone-in pieces", Title: "Fryer", State: "not signed: guided runs 1 of 3", Bold: true}}
	for lang, want := range map[string][]string{
		"en": {"Training record", "Jun Abara, trainee", "2008-05-01", "Guided by Maren Oduya", "Asked to confirm: Does the gauge read zero?", "Maren Oduya confirmed",
			"Seen: 0 bar", "Seen: 78.4 °C", "Not sure, asked for help", "which piece?", "THE ANSWER BY PIN WAS NOT THE TRAINER'S", "Slow:", "waits for the valve", "meant for Teo",
			"Taken back by Maren Oduya", "Rung 2 passed", "4 of 5 troubles settled rightly", "2 questions answered, 1 right", "Signed by Maren Oduya, lead", "version 4",
			"By PIN on another's device.", "lid opened at 0.2 bar", "On the evidence", "guided runs 1 of 3", "PIN set", "night 77"},
		"es": {"Registro de formación", "Guía de Maren Oduya", "LA RESPUESTA CON PIN NO ERA DE QUIEN FORMA", "Firmado por Maren Oduya, jefe de turno", "Peldaño 2 superado",
			"2 preguntas contestadas, 1 bien"},
	} {
		tr := trainingOf(t, lang, standing...)
		pdf, err := tr.PDF()
		require.NoError(t, err)
		check(t, pdf)
		text := squeeze(textOf(t, pdf))
		for _, s := range want {
			require.Contains(t, text, squeeze(s), lang)
		}
		require.NotContains(t, text, "tr.", "every text has its words")
		experience := map[string]string{"en": "On grounds of experience", "es": "Por experiencia anterior"}[lang]
		require.Equal(t, 1, strings.Count(text, squeeze(experience)), "his own from before: another's signature stands on another's record")
		for _, part := range tr.Parts {
			for _, l := range part.Rows {
				if l.Entry != "" {
					require.Contains(t, text, squeeze(l.Entry), "each line names its entry")
				}
			}
		}
	}
}

// The same journal, person and instant print the same bytes; another person prints others.
func TestATrainingRecordPrintsTheSameBytes(t *testing.T) {
	a, err := trainingOf(t, "en").PDF()
	require.NoError(t, err)
	b, err := trainingOf(t, "en").PDF()
	require.NoError(t, err)
	require.Equal(t, a, b)
	all := learning(t)
	items := itemsOf(all)
	for i, j := 0, len(items)-1; i < j; i, j = i+1, j-1 { // in whatever order they come
		items[i], items[j] = items[j], items[i]
	}
	tr := CollectTraining(Ask{Lang: "en", By: "maren", At: all[len(all)-1].At.At, Device: "pass"}, records.TrainingOf("jun", kitchen.New(), items), nil)
	tr.Chain = Chain{Entries: uint64(len(all)), Head: strings.Repeat("3fa9c01be4d27788", 4)}
	c, err := tr.PDF()
	require.NoError(t, err)
	require.Equal(t, a, c)
	if dir := os.Getenv("PAPER"); dir != "" {
		require.NoError(t, os.WriteFile(dir+"/training.pdf", a, 0o600))
	}
}

// Somebody of whom nothing is on record has a record that says so.
func TestATrainingRecordOfNothing(t *testing.T) {
	tr := CollectTraining(Ask{Lang: "en", ByName: "brinebell export"}, records.TrainingOf("nobody", kitchen.New(), nil), nil)
	pdf, err := tr.PDF()
	require.NoError(t, err)
	check(t, pdf)
	text := textOf(t, pdf)
	require.Equal(t, len(learntParts), strings.Count(text, "Nothing on record."))
	require.Contains(t, text, "name no competence")
}
