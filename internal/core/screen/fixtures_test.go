package screen

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	_ "github.com/cockroachdb/datadriven" // gives -rewrite
	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

func rewrite() bool { return flag.Lookup("rewrite").Value.String() == "true" }

// golden compares a screen with the file kept for it, or writes it with -rewrite. Kept screens are also what the
// drawing is developed and tested with.
func golden(t *testing.T, path string, got []byte) {
	t.Helper()
	var pretty bytes.Buffer
	require.NoError(t, json.Indent(&pretty, got, "", " "), "%s: %s", path, got)
	pretty.WriteByte('\n')
	if rewrite() {
		require.NoError(t, os.WriteFile(path, pretty.Bytes(), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), pretty.String())
}

// kept is a screen that is kept as a fixture.
type kept struct {
	name string
	path func(w *world) string
	with func(w *world, ctx *Context)
}

func fixed(path string) func(*world) string { return func(*world) string { return path } }

func fixtures(w *world) []kept {
	id := func(prefix, vessel string, n uint32, query string) func(*world) string {
		return func(w *world) string { return prefix + w.open(vessel, n).ID.String() + query }
	}
	fryer := w.load("fryer-1")
	return append(append(append(append(cookFixtures(w), logFixtures()...), records()...), guideFixtures()...), append(append(crewFixtures(), leadFixtures()...), []kept{
		{"ring", fixed("/"), nil},
		{"ringlate", fixed("/hold"), func(w *world, ctx *Context) { ctx.AwakeSince = w.now.Add(-2 * stamp.Second) }},
		{"line", fixed("/"), nil},
		{"out", fixed("/"), func(w *world, ctx *Context) {
			ctx.Saved = Saved{Joined: true, Entries: true, Waiting: 3, OutSince: w.now.Add(-21 * stamp.Minute)}
			ctx.Ability.Sound, ctx.Ability.Awake, ctx.NearNow = false, false, false
		}},
		{"batch", id("/batch/", "load", fryer, ""), nil},
		{"tub", id("/batch/", "tub", 3, ""), nil},
		{"pan", id("/batch/", "pan", 2, ""), nil},
		{"past", id("/batch/", "tray", 1, ""), nil},
		{"history", id("/batch/", "tub", 3, "/history"), nil},
		{"portion", id("/portion/", "tub", 3, "?g=13.2"), nil},
		{"load", fixed("/load/fryer-1"), nil},
		{"hold", fixed("/hold"), func(w *world, ctx *Context) {
			w.tap("ines", &kitchen.Command{Do: kitchen.DoCount, Batch: w.open("tray", 2).ID, Count: 4})
			w.wait(3 * stamp.Second)
			ctx.Now, ctx.Last = w.now, w.last
		}},
		{"startchoose", fixed("/start"), nil},
		{"start", fixed("/start/bone-in?g=27.6&lots=FR-2611"), nil},
		{"starttub", fixed("/start/bone-in?g=27.6&lots=FR-2611&holds=20"), nil},
		{"cooktime", fixed("/cooktime/bone-in?g=1.3"), nil},
		{"probes", fixed("/probes"), nil},
		{"records", fixed("/records"), nil},
		{"recordsday", func(w *world) string { return "/records/day/" + (&page{}).num(int(w.s.WallDay(w.now))) + "?show=cook" }, nil},
		{"dayclose", fixed("/dayclose"), nil},
		{"receive", fixed("/receive/bone-in?by=Reed+Farm&lot=L77&kg=30&w=1.3+1.25&t=5.1"), nil},
		{"probe", fixed("/probe/probe-1?by=boiling&v=97.9"), nil},
		{"lists", fixed("/lists"), nil},
		{"list", fixed("/list/cleaning"), nil},
		{"timers", fixed("/timers"), nil},
		{"timernew", fixed("/timer/new"), nil},
		{"deviations", fixed("/deviations"), nil},
		{"deviation", func(w *world) string { return "/deviation/" + w.s.Deviations[0].Key }, nil},
		{"mark", id("/mark/", "pan", 2, ""), nil},
		{"cook", fixed(cookPath), nil},
		{"charts", fixed("/charts"), charted},
		{"chart", fixed("/chart/place/fryer-1"), charted},
		{"oil", fixed("/oil/fryer-1"), oiled},
		{"find", func(w *world) string { return "/find?code=" + w.open("pan", 2).Code }, nil},
		{"who", fixed("/who"), nil},
		{"more", fixed("/more"), nil},
		{"kitchen", fixed("/kitchen"), nil},
		{"place", fixed("/place/fryer-1?v=162"), nil},
		{"devices", fixed("/devices"), func(w *world, ctx *Context) {
			ctx.Code = Code{Text: "7K3MQ2", URL: "https://kitchen.example/join?code=7K3MQ2", Until: w.now.Add(10 * stamp.Minute)}
		}},
		{"ringtest", fixed("/ring"), nil},
		{"settings", fixed("/settings"), nil},
		{"join", fixed("/join"), nil},
		{"wall", fixed("/wall"), nil},
		{"missing", fixed("/nowhere"), nil},
		{"refusal", id("/batch/", "tub", 3, ""), func(w *world, ctx *Context) {
			c := &kitchen.Command{Do: kitchen.DoMove, Batch: w.open("load", w.load("fryer-2")).ID}
			ctx.Refused = &Refused{Command: c, Why: w.decide("teo", c)}
		}},
	}...)...)
}

// crewFixtures are the pages of who may do what.
func crewFixtures() []kept {
	return []kept{
		{"crew", fixed("/crew"), learner},
		{"crewwork", fixed("/crew?by=work"), learner},
		{"person", fixed("/crew/jun"), learner},
		{"personwork", fixed("/crew/teo/procedure/bone-in/fryer"), learner},
		{"notsigned", fixed("/load/fryer-1"), func(w *world, ctx *Context) {
			learner(w, ctx)
			w.make("maren", &entry.Member{Crew: "jun", Name: "Jun Abara", Lang: w.s.Member("jun").Lang, Role: entry.Trainee})
			ctx.Crew = "jun"
			c := &kitchen.Command{Do: kitchen.DoMove, Batch: w.open("load", w.load("fryer-2")).ID}
			ctx.Refused = &Refused{Command: c, Why: w.decide("jun", c)}
		}},
	}
}

// learner lists somebody who learns, whom Teo trains and whose age a rule is about; and lets Teo's own sign-off lapse.
func learner(w *world, ctx *Context) {
	lang := "en"
	if ctx.Crew == "ines" {
		lang = "es"
	}
	w.make("maren", &entry.Member{Crew: "jun", Name: "Jun Abara", Lang: lang, Role: entry.Trainee, Born: w.s.WallDay(w.now) - 15*366})
	w.make("maren", &entry.Member{Crew: "teo", Name: "Teo Lind", Lang: "en", Trainer: true})
	w.make("jun", &entry.Rung{Procedure: "bone-in", Rung: 1, Troubles: 4, Right: 4, Passed: true})
	w.make("maren", &entry.SignOff{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: 5, By: "maren",
		Grounds: entry.GroundsEvidence})
	w.make("maren", &entry.SignOff{Crew: "jun", What: kitchen.WhatProcedure, Document: "wedges", Competence: "tubs", Version: 4, By: "maren",
		Grounds: entry.GroundsExperience, Reason: "Cut wedges all summer"})
}

// records are pages of what this phone does not hold, or not any more.
func records() []kept {
	return []kept{
		{"recordsdayfar", func(w *world) string { return "/records/day/" + (&page{}).num(int(w.s.WallDay(w.now)-1)) }, nil},
		{"recordsat", fixed("/records/at"), then},
		{"recordsatfar", fixed("/records/at?day=2026-11-17&time=11:05"), then},
		{"recordsatout", fixed("/records/at?day=2026-11-17&time=11:05"), func(w *world, ctx *Context) {
			then(w, ctx)
			ctx.Saved = Saved{Joined: true, Entries: true, OutSince: w.now.Add(-21 * stamp.Minute)}
		}},
	}
}

// then lets a phone know the last six hours: they were as they are now.
func then(w *world, ctx *Context) {
	ctx.Reach = w.now.Add(-6 * stamp.Hour)
	ctx.Past = func(at stamp.Milli) *kitchen.State {
		if at < ctx.Reach {
			return nil
		}
		return w.s
	}
}

// charted reads fryer 1 day after day: steady, then in a long run above its mean, with a jump.
func charted(w *world, ctx *Context) {
	r := kitchen.Series{Key: "place/fryer-1", Unit: "mC"}
	for i, off := range []int64{0, 12, -8, 5, -14, 3, 9, -6, 2, -11, 7, 4, -9, 13, -3, 1, 6, 10, 15, 8, 12, 19, 11, 14, 40} {
		at := w.now.Add(stamp.Span(i-25) * 9 * stamp.Hour)
		r.Values = append(r.Values, kitchen.Measured{At: at, Value: 168_000 + 100*off})
	}
	w.s.Series[slices.IndexFunc(w.s.Series, func(o kitchen.Series) bool { return o.Key == r.Key })] = r
}

// oiled fills fryer 1 anew eight days ago and tends its oil since.
func oiled(w *world, ctx *Context) {
	place := &w.s.Places[slices.IndexFunc(w.s.Places, func(p kitchen.Place) bool { return p.Name == "fryer-1" })]
	say := func(days, hours int, deed string, volume, polar int64) {
		place.Oil = append(place.Oil, kitchen.OilMark{Oil: entry.Oil{Place: "fryer-1", Deed: deed, Volume: volume, Polar: polar},
			ID: w.id(), At: w.now.Add(stamp.Span(days)*stamp.Day + stamp.Span(hours)*stamp.Hour), By: "teo", Loads: place.Loads})
	}
	say(-8, 0, entry.OilChanged, 18_000, 0)
	for i, polar := range []int64{5_500, 7_000, 8_100, 10_200, 11_000, 12_900} {
		place.Loads = int64(9 * i)
		say(i-7, -2, entry.OilMeasured, 0, polar)
		say(i-7, 8, entry.OilFiltered, 0, 0)
		say(i-7, 9, entry.OilToppedUp, 900, 0)
	}
	place.Loads = 51
}

func TestFixtures(t *testing.T) {
	const dir = "../../../frontend/fixtures/"
	for _, lang := range words.Langs() {
		for i := range fixtures(midshift(t)) {
			w := midshift(t) // a kitchen of its own, since some fixtures tap
			f := fixtures(w)[i]
			ctx := w.ctx("maren", f.path(w))
			if lang == words.ES {
				ctx.Crew = "ines"
			}
			if !strings.HasPrefix(f.name, "ring") || f.name == "ringtest" {
				w.gotAll()
				ctx.Last = nil
			}
			if f.with != nil {
				f.with(w, ctx)
			}
			ctx.Now = w.now
			t.Run(f.name+"."+string(lang), func(t *testing.T) { golden(t, dir+f.name+"."+string(lang)+".json", View(ctx)) })
		}
		golden(t, dir+"words."+string(lang)+".json", words.Page(lang))
	}
	w := newWorld(t, at(21, 52))
	golden(t, dir+"empty.en.json", View(w.ctx("maren", "/")))
}
