package kitchen_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// crewed is a demo kitchen: Maren leads, Inés and Teo (who trains) cook, Jun learns, and nobody is signed off for anything.
func crewed(t *testing.T) *kit {
	k := &kit{t: t, chance: 5, now: evening, s: kitchen.New(), crew: "maren"}
	k.say(&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "UTC"})
	for _, m := range []entry.Member{{Crew: "maren", Name: "Maren Oduya", Role: entry.Lead}, {Crew: "ines", Name: "Inés Calloway"},
		{Crew: "teo", Name: "Teo Lind", Trainer: true}, {Crew: "jun", Name: "Jun Abara", Role: entry.Trainee}} {
		k.say(&m)
	}
	for _, d := range documentsOf(t) {
		k.say(&d)
	}
	return k
}

func documentsOf(t *testing.T) []entry.Document {
	docs, err := demo.Documents()
	require.NoError(t, err)
	return docs
}

// by lets somebody else hold the device.
func (k *kit) by(crew string) *kit {
	k.crew = crew
	return k
}

const bone = "bone-in"

func (k *kit) signs(crew, competence string) {
	k.say(&entry.SignOff{Crew: crew, What: kitchen.WhatProcedure, Document: bone, Competence: competence, Version: 7, By: "maren",
		Grounds: entry.GroundsExperience, Reason: "long here"})
}

func (k *kit) stands(crew, competence string) kitchen.Standing {
	return k.s.Standing(crew, kitchen.WhatProcedure, bone, competence, k.now)
}

func (k *kit) mixed() entry.ID {
	id := k.id()
	return k.sayOn("phone", id, &entry.Start{Batch: id, Code: "ABCD", Procedure: bone, Version: 7, Stage: "mix", Vessel: "tub", Number: 1, Grams: 9000, Pieces: 60})
}

func start() kitchen.Command {
	return kitchen.Command{Do: kitchen.DoStart, Procedure: bone, Grams: 9000, Lots: []string{"L"}}
}

// Nobody begins a tub alone without a sign-off; with one they do. Old documents, which ask for none, go on as before.
func TestWhoIsNotSignedOffBeginsNothingAlone(t *testing.T) {
	k := crewed(t).by("ines")
	r := k.refused(kitchen.RefNotSigned, start())
	require.Equal(t, []string{"tubs", bone, "mix"}, []string{r.Name, r.Document, r.Stage})
	require.False(t, r.Urgent)
	k.signs("ines", "fryer")
	k.refused(kitchen.RefNotSigned, start())
	k.signs("ines", "tubs")
	k.do(start())
	require.Empty(t, k.s.Deviations)
	k.by("maren").refused(kitchen.RefNotSigned, start()) // leads too

	plain := newKit(t)
	plain.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 1200, Pieces: 12, Lots: []string{"L"}})
	require.Empty(t, plain.s.Deviations)
}

// A lead gives leave with a reason: it goes on, and a deviation says who did it and why. It is asked once for a batch and
// stage.
func TestALeadsLeaveIsADeviation(t *testing.T) {
	k := crewed(t).by("ines")
	c := start()
	c.LeaveBy = "teo"
	k.refused(kitchen.RefNotLead, c)
	c.LeaveBy = "maren"
	k.refused(kitchen.RefNeedReason, c)
	c.LeaveReason = "Salma is ill"
	k.do(c)
	require.Len(t, k.s.Deviations, 1)
	d := k.s.Deviations[0]
	require.Equal(t, kitchen.DevNotSigned, d.Code)
	require.Equal(t, "ines", d.By)
	b := k.s.Batch(d.Batch)
	require.Equal(t, "mix", b.Stage)
	require.Contains(t, textOf(b), "Maren Oduya: Salma is ill")

	step := k.s.Stage(b).Steps[0]
	k.do(k.doing(b, &step)) // the lead knows of it
	require.Len(t, k.s.Deviations, 1)
	k.by("jun").refused(kitchen.RefNotSigned, k.doing(b, &step)) // but not of this one
}

func textOf(b *kitchen.Batch) string {
	var out []string
	for i := range b.Events {
		out = append(out, b.Events[i].Text)
	}
	return strings.Join(out, "\n")
}

// doing is the command that does a step as it should be.
func (k *kit) doing(b *kitchen.Batch, step *procedure.Step) kitchen.Command {
	c := kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: b.Stage, Step: step.Name, Unit: step.Unit, Answer: "yes", Text: "so"}
	if step.Limit.Min != nil || step.Limit.Max != nil {
		c.Value = within(&step.Limit)
	}
	return c
}

// What is in a fryer or under pressure is taken further by whoever stands there; what makes anybody safer is never refused.
func TestFoodAndPressureDoNotWaitForASignature(t *testing.T) {
	k := crewed(t).by("ines")
	tub := k.mixed()
	require.Len(t, k.s.Deviations, 1, "what came anyway is a deviation")
	load := k.id()
	k.say(&entry.Portioning{Out: []entry.Share{{Batch: tub, Stage: "mix", All: true}}, In: []entry.Portion{
		{Batch: load, Code: "LOAD", Stage: "cook", Vessel: "load", Number: 1, Place: "fryer-1", Grams: 5000, Pieces: 40}}})
	k.wait(12 * stamp.Minute)
	k.by("jun")
	move := kitchen.Command{Do: kitchen.DoMove, Batch: load, From: "cook"}
	r := k.refused(kitchen.RefNotSigned, move)
	require.True(t, r.Urgent)
	move.Urgent = true
	k.do(move)
	require.Equal(t, "release", k.batch(load).Stage)
	off := 0
	for _, d := range k.s.Deviations {
		if d.Code == kitchen.DevNotSigned && d.By == "jun" && d.Stage == "release" {
			off++
		}
	}
	require.Equal(t, 1, off)

	for _, c := range []kitchen.Command{
		{Do: kitchen.DoReading, Place: "fryer-1", Value: 168_000, Unit: "mC"}, {Do: kitchen.DoNote, Batch: load, Text: "smells odd"},
		{Do: kitchen.DoDeviate, Place: "fryer-2", Text: "lid does not lock"}, {Do: kitchen.DoEquipment, Place: "fryer-2", Answer: "out", Reason: "lid"},
		{Do: kitchen.DoOil, Place: "fryer-2", Answer: entry.OilMeasured, Value: 12_000, Unit: "m%"},
		{Do: kitchen.DoTimer, Name: "rice", Span: 5 * stamp.Minute},
	} {
		k.do(c)
	}
	other := k.by("ines").mixed()
	k.by("jun").do(kitchen.Command{Do: kitchen.DoDiscard, Batch: other, Reason: "too warm"})
	oil := kitchen.Command{Do: kitchen.DoOil, Place: "fryer-2", Answer: entry.OilFiltered}
	k.refused(kitchen.RefNotSigned, oil)
	k.signs("jun", "fryer")
	k.do(oil)
	start := k.mixed()
	start2 := kitchen.Command{Do: kitchen.DoMove, Batch: start, From: "mix", Urgent: true}
	k.refused(kitchen.RefNotSigned, start2) // a tub can wait
}

// Guided work lets somebody go on through all stages of the competence, with what comes out of the batch, and counts a run of
// each stage when it is left.
func TestGuidedWorkCountsRuns(t *testing.T) {
	k := crewed(t)
	k.signs("teo", "tubs")
	tub := k.by("teo").mixed()
	mine := entry.Spot{Batch: tub, Stage: "mix"}
	k.by("jun").refused(kitchen.RefNotSigned, kitchen.Command{Do: kitchen.DoStep, Batch: tub, Step: "meat-temp", Value: 3000, Unit: "mC"})
	for _, trainer := range []string{"jun", "ines", "nobody"} { // none of these may train
		k.say(&entry.Guide{Guide: k.id(), Spot: mine, Crew: "jun", Trainer: trainer})
		require.Nil(t, k.s.Guided("jun", mine), trainer)
	}
	id := k.id()
	k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: mine, Crew: "jun", Trainer: "teo"})
	require.NotNil(t, k.s.Guided("jun", mine))
	require.NotNil(t, k.s.Guided("jun", entry.Spot{Batch: tub, Stage: "drain"}), "the same competence")
	require.Nil(t, k.s.Guided("jun", entry.Spot{Batch: tub, Stage: "coat"}), "another one")
	require.Nil(t, k.s.Guided("ines", mine))
	for _, x := range []struct {
		from, to string
		runs     int64
	}{{"mix", "marinate", 0}, {"marinate", "drain", 0}, {"drain", "coat", 1}} { // the stage with the fewest counts
		k.say(&entry.Move{Batch: tub, From: x.from, To: x.to, Place: "cold-room"})
		k.wait(stamp.Hour)
		require.Equal(t, x.runs, k.stands("jun", "tubs").Guided, x.from)
	}
	k.say(&entry.Move{Batch: tub, From: "coat", To: "set"})
	require.EqualValues(t, 0, k.stands("jun", "coating").Guided, "coating was not guided")
	off := map[string]bool{}
	for _, d := range k.s.Deviations {
		if d.Code == kitchen.DevNotSigned {
			off[d.Stage] = true
		}
	}
	require.Equal(t, map[string]bool{"coat": true, "set": true}, off)
}

// A batch that is to be begun has no id yet: guided work names its first stage, and is tied to what is begun.
func TestGuidedFromTheBeginning(t *testing.T) {
	k := crewed(t).by("jun")
	k.refused(kitchen.RefNotSigned, start())
	id := k.id()
	k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: entry.Spot{Stage: bone + "/mix"}, Crew: "jun", Trainer: "maren"})
	c := start()
	c.Grams, c.Number = 18_000, 2
	k.do(c)
	require.Empty(t, k.s.Deviations)
	require.Len(t, k.s.Batches, 2)
	for i := range k.s.Batches {
		require.NotNil(t, k.s.Guided("jun", entry.Spot{Batch: k.s.Batches[i].ID, Stage: "mix"}))
	}
	k.wait(stamp.Minute)
	k.refused(kitchen.RefNotSigned, start()) // that was it
}

// Without use it lapses after the length that the document says: to the millisecond. Work renews it, a signature too.
func TestItLapsesUnused(t *testing.T) {
	k := crewed(t)
	k.signs("ines", "tubs")
	const most = 120 * stamp.Day
	signed := k.now
	k.now = signed.Add(most)
	require.True(t, k.stands("ines", "tubs").Signed)
	k.now = signed.Add(most + 1)
	x := k.stands("ines", "tubs")
	require.False(t, x.Signed)
	require.Equal(t, kitchen.LapseUnused, x.Lapse)
	require.Equal(t, most+1, x.Unused)
	r := k.by("ines").refused(kitchen.RefNotSigned, start())
	require.Equal(t, []int64{int64(most) + 1, int64(most)}, []int64{r.Number, r.Limit})

	k.now = signed.Add(100 * stamp.Day)
	k.do(start())
	worked := k.now
	k.now = worked.Add(most)
	require.True(t, k.stands("ines", "tubs").Signed)
	k.now = worked.Add(most + 1)
	require.Equal(t, kitchen.LapseUnused, k.stands("ines", "tubs").Lapse)
	k.mixed() // what is done without one renews nothing
	require.Equal(t, kitchen.LapseUnused, k.stands("ines", "tubs").Lapse)
	k.signs("ines", "tubs")
	require.True(t, k.stands("ines", "tubs").Signed)
}

// publish publishes bone-in anew with something in it replaced.
func (k *kit) publish(version string, pairs ...string) {
	for _, d := range documentsOf(k.t) {
		if d.Name != bone {
			continue
		}
		text := strings.Replace(d.Text, `"version": 7`, `"version": `+version, 1)
		for i := 0; i < len(pairs); i += 2 {
			require.Contains(k.t, text, pairs[i])
			text = strings.Replace(text, pairs[i], pairs[i+1], 1)
		}
		doc, err := procedure.Open([]byte(text))
		require.NoError(k.t, err)
		d.Version, d.Text = doc.Procedure.Version, text
		k.say(&d)
		require.NotNil(k.t, k.s.Procedure(bone, d.Version))
	}
}

// A critical step or a limit of its stages that a newer version changes makes it lapse, and is named; what is not critical, and
// other stages, do not.
func TestItLapsesWithWhatChanged(t *testing.T) {
	k := crewed(t)
	p := k.s.Procedure(bone, 0)
	var critical *procedure.Step
	release, _ := p.Stage("release")
	for i := range release.Steps {
		if release.Steps[i].Critical && critical == nil {
			critical = &release.Steps[i]
		}
	}
	require.NotNil(t, critical)
	for _, one := range []struct {
		name, old, now string
		stage, step    string
		tubs           bool // it is the tubs' that lapses
	}{
		{"the title", `"title": {"en": "Bone-in`, `"title": {"en": "Our bone-in`, "", "", false},
		{"a critical step's words", `"en": "` + critical.Text.EN, `"en": "Now: ` + critical.Text.EN, "release", critical.Name, false},
		{"the marinade's floor", `"floor": "PT7H"`, `"floor": "PT8H"`, "marinate", "", true},
	} {
		k := crewed(t)
		k.signs("ines", "fryer")
		k.signs("ines", "tubs")
		if !strings.Contains(documentText(t), one.old) {
			require.Fail(t, "the document has changed", one.old)
		}
		k.publish("8", one.old, one.now)
		fryer, tubs := k.stands("ines", "fryer"), k.stands("ines", "tubs")
		lapsed := &fryer
		if one.tubs {
			lapsed = &tubs
		}
		if one.stage == "" {
			require.True(t, fryer.Signed && tubs.Signed, one.name)
			continue
		}
		require.Equal(t, one.tubs, fryer.Signed, one.name)
		require.Equal(t, !one.tubs, tubs.Signed, one.name)
		require.Equal(t, kitchen.LapseChanged, lapsed.Lapse, one.name)
		require.Equal(t, []any{one.stage, one.step, uint32(8)}, []any{lapsed.Stage, lapsed.Step, lapsed.Version}, one.name)
		k.wait(10 * stamp.Day) // the version that was signed leaves the state by and by
		k.say(&entry.Note{Text: "later"})
		k.wait(2 * stamp.Hour)
		k.say(&entry.Note{Text: "later"})
		require.Nil(t, k.s.Procedure(bone, 7), one.name)
		again := k.stands("ines", lapsed.Competence.Name)
		require.Equal(t, []any{one.stage, one.step}, []any{again.Stage, again.Step}, one.name)
		k.say(&entry.SignOff{Crew: "ines", What: kitchen.WhatProcedure, Document: bone, Competence: lapsed.Competence.Name, Version: 8, By: "maren"})
		require.True(t, k.stands("ines", lapsed.Competence.Name).Signed, one.name)
	}
}

func documentText(t *testing.T) string {
	for _, d := range documentsOf(t) {
		if d.Name == bone {
			return d.Text
		}
	}
	return ""
}

// A run of deviations of somebody's own work makes it lapse: as many as the document says, within 30 days. What was read off
// and written down honestly never counts, nor what a lead allowed, nor another's.
func TestItLapsesWithARunOfDeviations(t *testing.T) {
	soon := func(k *kit, crew string, over entry.Override) {
		k.by(crew)
		tub := k.mixed()
		k.say(&entry.Move{Batch: tub, From: "mix", To: "marinate", Place: "cold-room"})
		k.wait(stamp.Minute)
		k.say(&entry.Move{Batch: tub, From: "marinate", To: "drain", Place: "cold-room", Override: over}) // hours too soon
		k.say(&entry.Discard{Batch: tub, Reason: "x"})
	}
	k := crewed(t)
	for _, m := range []string{"ines", "teo"} {
		k.signs(m, "tubs")
	}
	k.wait(stamp.Minute)
	step := func() { // honest readings: off the limit, and written down
		k.by("ines")
		tub := k.mixed()
		k.say(&entry.Step{Batch: tub, Stage: "mix", Step: "meat-temp", Value: 60_000, Unit: "mC"})
		k.say(&entry.Discard{Batch: tub, Reason: "warm"})
	}
	for range 8 {
		step()
	}
	require.Zero(t, k.stands("ines", "tubs").Offs)
	most := k.stands("ines", "tubs").Competence.Deviations
	require.EqualValues(t, 6, most)
	before := k.stands("ines", "tubs").Offs
	soon(k, "ines", entry.Override{})
	each := k.stands("ines", "tubs").Offs - before // steps that were left out, and too soon
	require.Positive(t, each)
	for k.stands("ines", "tubs").Offs < most {
		require.True(t, k.stands("ines", "tubs").Signed)
		k.wait(stamp.Hour)
		soon(k, "ines", entry.Override{})
	}
	x := k.stands("ines", "tubs")
	require.Equal(t, kitchen.LapseDeviations, x.Lapse)
	require.True(t, k.stands("teo", "tubs").Signed)
	k.wait(100 * stamp.Day)
	require.Equal(t, kitchen.LapseDeviations, k.stands("ines", "tubs").Lapse, "time alone heals nothing")
	k.signs("ines", "tubs")
	require.True(t, k.stands("ines", "tubs").Signed)
}

// A run counts only within 30 days, to the millisecond.
func TestDeviationsFarApartAreNoRun(t *testing.T) {
	run := func(apart stamp.Span) int64 {
		k := crewed(t)
		k.signs("ines", "fryer")
		k.wait(stamp.Minute)
		k.say(&entry.Equipment{Place: "fryer-2", Out: true, Reason: "lid"})
		k.by("ines")
		for i := range 2 {
			if i > 0 && apart < 0 {
				break
			}
			if i > 0 {
				k.now = k.now.Add(apart)
			}
			pan := k.id()
			k.sayOn("phone", pan, &entry.Start{Batch: pan, Code: "PAN", Procedure: bone, Version: 7, Stage: "set", Vessel: "pan", Grams: 5000, Pieces: 40})
			k.say(&entry.Move{Batch: pan, From: "set", To: "load", Place: "fryer-2"}) // out of use, and its oil never read
			k.say(&entry.Discard{Batch: pan, Reason: "x"})
		}
		return k.stands("ines", "fryer").Offs
	}
	once, twice := run(-1), run(stamp.Day)
	require.Positive(t, once)
	require.Greater(t, twice, once)
	require.Equal(t, twice, run(procedure.LapseWithin))
	require.Equal(t, once, run(procedure.LapseWithin+1))
}
