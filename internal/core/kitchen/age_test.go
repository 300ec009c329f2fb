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

// agedKit is the demo kitchen's documents in a country, with crew of 13, 15 and 17 years; old says how the equipment is changed.
func agedKit(t *testing.T, country string, changes ...string) *kit {
	k := newKit(t)
	k.say(&entry.NamedKitchen{Name: "Test", Zone: "UTC", Country: country})
	docs, err := demo.Documents()
	require.NoError(t, err)
	for i := range docs {
		if docs[i].What == kitchen.WhatEquipment {
			docs[i].Text = strings.NewReplacer(changes...).Replace(docs[i].Text)
		}
		k.say(&docs[i])
	}
	for crew, years := range map[string]int32{"thirteen": 13, "fifteen": 15, "seventeen": 17} {
		born := k.s.WallDay(k.now) - years*365 - years/4 - 1
		k.say(&entry.Member{Crew: crew, Name: crew, Lang: "en", Born: born})
	}
	require.Empty(t, k.s.Deviations)
	return k
}

func (k *kit) stageOf(name string) *procedure.Procedure {
	p := k.s.Procedure(name, 0)
	require.NotNil(k.t, p, name)
	return p
}

// Who is 15 is kept from the pressure fryer at every stage of it, and from the open one unless it lifts its baskets itself.
func TestTooYoungForStages(t *testing.T) {
	const lift = `"name": "fryer-2",`
	k := agedKit(t, "US", lift, lift+` "lift": true,`)
	for _, c := range []struct {
		crew, product, stage, place string
		rule                        string
	}{
		{"fifteen", "bone-in", "load", "fryer-1", "cook-1415-press"},
		{"fifteen", "bone-in", "cook", "fryer-2", "cook-1415-press"},
		{"fifteen", "bone-in", "release", "", "cook-1415-press"},
		{"fifteen", "wedges", "cook", "fryer-1", "cook-1415-fry"},
		{"fifteen", "wedges", "cook", "fryer-2", ""},
		{"fifteen", "wedges", "cook", "", "cook-1415-fry"}, // not said which: one of the two lifts nothing
		{"fifteen", "bone-in", "mix", "", ""},
		{"fifteen", "bone-in", "marinate", "cold-room", ""}, // taking something in is no work inside
		{"fifteen", "bone-in", "no-such", "", ""},
		{"seventeen", "bone-in", "cook", "fryer-1", ""},
		{"thirteen", "bone-in", "mix", "", "min-14"},
		{"thirteen", "bone-in", "cook", "fryer-1", "cook-1415-press"}, // of two the one that holds longest
		{"ann", "bone-in", "cook", "fryer-1", ""},                     // no day of birth was said
		{"nobody", "bone-in", "cook", "fryer-1", ""},
	} {
		r := k.s.TooYoungAt(c.crew, k.stageOf(c.product), c.stage, c.place, k.now)
		if c.rule == "" {
			require.Nil(t, r, "%+v", c)
			continue
		}
		require.NotNil(t, r, "%+v", c)
		require.Equal(t, kitchen.RefTooYoung, r.Code)
		require.Equal(t, c.rule, r.Name, "%+v", c)
		require.Equal(t, c.stage, r.Stage)
		require.False(t, r.Override, "no lead gives leave")
	}
	other := agedKit(t, "ES")
	require.Nil(t, other.s.TooYoungAt("fifteen", other.stageOf("bone-in"), "cook", "fryer-1", other.now), "nothing is known of that country")
}

// A kitchen's own rules hold in any country, on the day before the birthday and no longer on it.
func TestOwnAgeRules(t *testing.T) {
	own := `"ageRules": [{"under": 18, "hazard": "pressure", "text": {"en": "No pressure", "es": "Sin presión"}, "source": {"en": "House", "es": "Casa"}}], "boats"`
	k := agedKit(t, "ES", `"boats"`, own)
	r := k.s.TooYoungAt("seventeen", k.stageOf("bone-in"), "cook", "fryer-1", k.now)
	require.NotNil(t, r)
	require.Equal(t, "own-1", r.Name)
	require.EqualValues(t, 17, r.Number)
	require.EqualValues(t, 18, r.Limit)
	require.Nil(t, k.s.TooYoungAt("seventeen", k.stageOf("wedges"), "cook", "fryer-1", k.now), "no pressure there")
	require.Nil(t, k.s.TooYoungAt("seventeen", k.stageOf("bone-in"), "cook", "fryer-1", k.now.Add(366*stamp.Day)))
}

// Oil is filtered, carried and thrown away by who is 15 only when its last reading says that it is cold enough.
func TestTooYoungForOil(t *testing.T) {
	k := agedKit(t, "US")
	at := func(milliC int64) *kitchen.Refusal {
		k.say(&entry.Reading{Place: "fryer-1", MilliC: milliC})
		return k.s.TooYoungForOil("fifteen", "fryer-1", entry.OilFiltered, k.now)
	}
	require.Equal(t, "oil-1415", k.s.TooYoungForOil("fifteen", "fryer-1", entry.OilFiltered, k.now).Name, "never read")
	require.Equal(t, "oil-1415", at(168_000).Name)
	require.Equal(t, "oil-1415", at(37_779).Name)
	require.Nil(t, at(37_778))
	k.now = k.now.Add(2*stamp.Hour + 1)
	require.NotNil(t, k.s.TooYoungForOil("fifteen", "fryer-1", entry.OilDiscarded, k.now), "it was read too long ago")
	require.Nil(t, k.s.TooYoungForOil("fifteen", "fryer-1", entry.OilMeasured, k.now), "a strip in the oil moves none of it")
	require.Nil(t, k.s.TooYoungForOil("seventeen", "fryer-1", entry.OilFiltered, k.now))
}

// A list's step is about what its caution names: hot oil by the warmest fryer, hot surfaces by the warmest of all equipment.
func TestTooYoungForListSteps(t *testing.T) {
	k := agedKit(t, "US")
	list := k.s.List("weekly-fryers")
	step := func(name string) *procedure.Step {
		for i := range list.Steps {
			if list.Steps[i].Name == name {
				return &list.Steps[i]
			}
		}
		t.Fatal(name)
		return nil
	}
	read := func(place string, milliC int64) { k.say(&entry.Reading{Place: place, MilliC: milliC}) }
	require.Equal(t, "oil-1415", k.s.TooYoungForStep("fifteen", step("drain"), k.now).Name)
	require.Nil(t, k.s.TooYoungForStep("fifteen", step("cold"), k.now), "numbers are read at any age")
	read("fryer-1", 30_000)
	read("fryer-2", 150_000)
	r := k.s.TooYoungForStep("fifteen", step("drain"), k.now)
	require.Equal(t, []string{"oil-1415", "fryer-2"}, []string{r.Name, r.Place})
	read("fryer-2", 30_000)
	require.Nil(t, k.s.TooYoungForStep("fifteen", step("drain"), k.now))
	read("cold-room", 3_000)
	read("cabinet-1", 62_000)
	r = k.s.TooYoungForStep("fifteen", step("boil"), k.now)
	require.Equal(t, []string{"surf-1415", "cabinet-1"}, []string{r.Name, r.Place})
	read("cabinet-1", 25_000)
	require.Nil(t, k.s.TooYoungForStep("fifteen", step("boil"), k.now))
	require.Equal(t, "min-14", k.s.TooYoungForStep("thirteen", step("boil"), k.now).Name)
}

// No haste and no lead's leave lets who is 15 load a fryer or close its lid, while what throws away, and what is written down, is
// never refused. Who stands alone before a pressure that somebody else made writes down how it was let off: the lead is told.
func TestNoHasteLetsTheTooYoungAtTheFryer(t *testing.T) {
	k := agedKit(t, "US")
	k.crew = "fifteen"
	p := k.stageOf("bone-in")
	begin := func(stage string, number uint32, place string) entry.ID {
		return k.say(&entry.Start{Procedure: p.Name, Version: p.Version, Stage: stage, Vessel: "load", Number: number, Grams: 2000, Pieces: 12, Place: place})
	}
	young := func() (n int) {
		for i := range k.s.Deviations {
			if d := &k.s.Deviations[i]; d.Code == kitchen.DevTooYoung && d.By == "fifteen" {
				n++
			}
		}
		return n
	}
	basket := begin("load", 2, "fryer-2")
	for _, change := range []func(*kitchen.Command){func(*kitchen.Command) {}, func(c *kitchen.Command) { c.Urgent = true },
		func(c *kitchen.Command) { c.LeaveBy, c.LeaveReason = "ann", "it cannot wait" }} {
		for _, one := range []kitchen.Command{{Do: kitchen.DoMove, Batch: basket}, {Do: kitchen.DoStep, Batch: basket, Step: "lock"}} {
			change(&one)
			r := k.refused(kitchen.RefTooYoung, one)
			require.False(t, r.Urgent)
			require.False(t, r.Override)
		}
	}
	k.do(kitchen.Command{Do: kitchen.DoNote, Batch: basket, Text: "the lead is called"})
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: basket, Reason: "nobody came"}) // without pressure yet

	load := begin("cook", 1, "fryer-1")
	k.now = k.now.Add(11 * stamp.Minute)
	before := young()
	move := kitchen.Command{Do: kitchen.DoMove, Batch: load}
	require.True(t, k.refused(kitchen.RefTooYoung, move).Urgent)
	leave := move
	leave.LeaveBy, leave.LeaveReason = "ann", "it cannot wait"
	require.False(t, k.refused(kitchen.RefTooYoung, leave).Override, "no lead gives leave")
	move.Urgent = true
	k.do(move)
	require.Equal(t, "release", k.batch(load).Stage)
	require.Equal(t, before+1, young(), "the lead is told")
	for _, step := range []kitchen.Command{{Step: "tray"}, {Step: "vent"}, {Step: "gauge", Answer: "yes"}, {Step: "lid"}, {Step: "core", Value: 82_000, Unit: "mC"}} {
		step.Do, step.Batch = kitchen.DoStep, load
		k.do(step) // and is not asked at every step whether it is so
	}
	require.Equal(t, before+1, young(), "once")
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: load, Urgent: true})
	require.Equal(t, before+2, young())
}
