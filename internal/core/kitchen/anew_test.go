package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// leads takes a tub of a version through all stages of the tubs' competence, with Jun guided by Maren.
func (k *kit) leads(version uint32) {
	k.by("maren")
	tub, id := k.id(), k.id()
	k.sayOn("phone", tub, &entry.Start{Batch: tub, Code: "ABCD", Procedure: bone, Version: version, Stage: "mix", Vessel: "tub", Number: 1, Grams: 9000, Pieces: 60})
	k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: entry.Spot{Batch: tub, Stage: "mix"}, Crew: "jun", Trainer: "maren"})
	k.by("jun")
	for _, x := range [][2]string{{"mix", "marinate"}, {"marinate", "drain"}, {"drain", "coat"}} {
		k.wait(stamp.Minute)
		k.say(&entry.Move{Batch: tub, From: x[0], To: x[1]})
	}
	k.say(&entry.Discard{Batch: tub, Reason: "x"})
	k.wait(stamp.Minute)
}

// evidenced is a kitchen in which Jun showed all that the tubs ask for, and was signed off for that.
func evidenced(t *testing.T) *kit {
	k := crewed(t)
	k.setPin("maren", "2749")
	k.leads(7)
	k.leads(7)
	k.resigned(nil)
	return k
}

// resigned signs Jun off for the tubs once more, with all questions known: first refused where something must be shown anew, which
// is then done.
func (k *kit) resigned(lacks func()) {
	c := sign("jun")
	c.Pin = "2749"
	if lacks != nil {
		x := k.stands("jun", "tubs")
		require.True(k.t, x.Missing(100, 0))
		k.by("maren").refused(kitchen.RefEvidence, c)
		lacks()
	}
	k.by("maren").do(c)
	x := k.stands("jun", "tubs")
	require.True(k.t, x.Signed)
	require.Empty(k.t, x.Again)
	k.wait(stamp.Minute)
}

var tubStages = []string{"mix", "marinate", "drain"}

// After so long without the work one guided run of all of it comes before the signature; one from before it lapsed does not count.
func TestWhatLapsedUnusedIsLedThroughOnceMore(t *testing.T) {
	k := evidenced(t)
	require.Empty(t, k.stands("jun", "tubs").Again)
	k.wait(121 * stamp.Day)
	x := k.stands("jun", "tubs")
	require.Equal(t, kitchen.LapseUnused, x.Lapse)
	require.Equal(t, tubStages, x.Again)
	k.resigned(func() { k.leads(7) })
}

// A signature that was taken back asks for one guided run since then, and for all that it asked for at first.
func TestWhatWasTakenBackIsLedThroughOnceMore(t *testing.T) {
	k := evidenced(t)
	back := sign("jun")
	back.Closes, back.Reason = true, "left a tub warm"
	k.by("maren").do(back)
	require.Equal(t, tubStages, k.stands("jun", "tubs").Again)
	k.wait(stamp.Minute)
	k.resigned(func() { k.leads(7) })
}

// A run of deviations asks for one guided run after the last of them.
func TestARunOfDeviationsIsLedThroughOnceMore(t *testing.T) {
	k := evidenced(t)
	for k.stands("jun", "tubs").Signed {
		k.by("jun")
		tub := k.mixed()
		k.say(&entry.Move{Batch: tub, From: "mix", To: "marinate", Place: "cold-room"})
		k.wait(stamp.Minute)
		k.say(&entry.Move{Batch: tub, From: "marinate", To: "drain", Place: "cold-room"}) // hours too soon
		k.say(&entry.Discard{Batch: tub, Reason: "x"})
		k.wait(stamp.Hour)
	}
	x := k.stands("jun", "tubs")
	require.Equal(t, kitchen.LapseDeviations, x.Lapse)
	require.Equal(t, tubStages, x.Again)
	k.resigned(func() { k.leads(7) })
}

// A change asks for one guided run of the stage that changed, by the version in force; a run by the old one does not count, one by a
// newer that leaves the stage as it is does. What is not known of it is asked.
func TestWhatChangedIsLedThroughOnceMore(t *testing.T) {
	k := evidenced(t)
	k.publish("8", `"floor": "PT7H"`, `"floor": "PT8H"`)
	x := k.stands("jun", "tubs")
	require.Equal(t, kitchen.LapseChanged, x.Lapse)
	require.Equal(t, []string{"marinate"}, x.Changed)
	require.Equal(t, []string{"marinate"}, x.Again)
	k.leads(7)
	require.Equal(t, []string{"marinate"}, k.stands("jun", "tubs").Again, "a batch of the version before")
	k.leads(8)
	x = k.stands("jun", "tubs")
	require.Empty(t, x.Again)
	require.True(t, x.Missing(100, 1), "a question about what changed")
	k.leads(7)
	require.Empty(t, k.stands("jun", "tubs").Again, "what was shown stays shown")
	k.publish("9", `"floor": "PT7H"`, `"floor": "PT8H"`, `"title": {"en": "Bone-in`, `"title": {"en": "Our bone-in`)
	require.Empty(t, k.stands("jun", "tubs").Again, "nothing else of it changed")
	c := sign("jun")
	c.Pin, c.Unknown = "2749", 1
	k.by("maren").refused(kitchen.RefEvidence, c)
	k.resigned(nil)
	require.True(t, k.stands("jun", "tubs").Signed)
}

// What experience stood for once is not asked for when it lapses: only what must be shown anew.
func TestExperienceIsNotAskedToBeginAnew(t *testing.T) {
	k := crewed(t)
	k.setPin("maren", "2749")
	k.signs("jun", "tubs")
	k.publish("8", `"floor": "PT7H"`, `"floor": "PT8H"`)
	x := k.stands("jun", "tubs")
	guided, rung, questions := x.Needs()
	require.Equal(t, []int64{0, 0, 0}, []int64{guided, rung, questions})
	c := sign("jun")
	c.Pin, c.Known = "2749", 0
	k.by("maren").refused(kitchen.RefEvidence, c)
	k.leads(8)
	c.Unknown = 1
	k.by("maren").refused(kitchen.RefEvidence, c)
	c.Unknown = 0
	k.do(c)
	x = k.stands("jun", "tubs")
	require.Equal(t, entry.GroundsEvidence, x.Sign.Grounds)
	guided, _, _ = x.Needs()
	require.EqualValues(t, 2, guided, "from now on it rests on what was shown")
}

// A list is led through whole.
func TestAListThatLapsedIsLedThroughOnceMore(t *testing.T) {
	k := crewed(t)
	stands := func() kitchen.Standing {
		return k.s.Standing("jun", kitchen.WhatList, "closing", "closing", k.now)
	}
	l := k.s.List("closing")
	k.say(&entry.SignOff{Crew: "jun", What: kitchen.WhatList, Document: "closing", Competence: "closing", Version: l.Version, By: "maren", Gone: true, Reason: "fridge left open"})
	require.Equal(t, []string{""}, stands().Again)
	k.wait(stamp.Minute)
	day, id := k.s.WallDay(k.now), k.id()
	k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: entry.Spot{List: "closing", Day: day}, Crew: "jun", Trainer: "maren"})
	k.by("jun").say(&entry.ListClose{List: "closing", Day: day})
	require.Empty(t, stands().Again)
}
