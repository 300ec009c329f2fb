package screen

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// learns lists two who learn, one in each language, and lets them be led by Maren through the steps of a tub that drains.
func (w *world) learns() *kitchen.Batch {
	w.make("", &entry.Member{Crew: "jun", Name: "Jun", Lang: "en", Role: entry.Trainee})
	w.make("", &entry.Member{Crew: "luz", Name: "Luz", Lang: "es", Role: entry.Trainee})
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 12_000, Lots: []string{"FR-2611"}})
	b := w.s.Batch(w.s.OneTap(w.last.Entry)[0])
	for _, crew := range []string{"jun", "luz"} {
		w.tapOn(crew, "d-"+crew, &kitchen.Command{Do: kitchen.DoGuide, Batch: b.ID, Trainer: "maren"})
	}
	return w.s.Batch(b.ID)
}

// tapOn taps on a device of its own.
func (w *world) tapOn(crew, device string, c *kitchen.Command) *kitchen.Refusal {
	clock := stamp.Clock{Device: device}
	drafts, r := kitchen.Decide(w.s, c, kitchen.Who{Crew: crew, Device: device}, w.now, w.id)
	for _, d := range drafts {
		e := entry.New(d.ID, clock.Next(w.now), crew, d.Body)
		w.s.Apply(&e, kitchen.Amended{})
	}
	return r
}

// hers is the page of who learns, as seen by them: Jun in English, Luz in Spanish.
func hers(ctx *Context) {
	if ctx.Crew == "ines" {
		ctx.Crew = "luz"
	} else {
		ctx.Crew = "jun"
	}
	ctx.Device = "d-" + ctx.Crew
}

func (w *world) asks(help bool) *kitchen.Ask {
	b := w.learns()
	for _, crew := range []string{"jun", "luz"} {
		require.Nil(w.t, w.tapOn(crew, "d-"+crew, &kitchen.Command{Do: kitchen.DoAsk, Batch: b.ID, Step: "meat-temp", Closes: help}))
	}
	w.wait(40 * stamp.Second)
	return &w.s.Asks[0]
}

// lets brings the load of fryer 1 to where its pressure is let off, with those who learn before a step.
func (w *world) lets(step string) string {
	w.learns()
	b := w.open("load", w.load("fryer-1"))
	w.wait(2 * stamp.Minute)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoMove, Batch: b.ID})
	for _, crew := range []string{"jun", "luz"} {
		require.Nil(w.t, w.tapOn(crew, "d-"+crew, &kitchen.Command{Do: kitchen.DoGuide, Batch: b.ID, Trainer: "maren"}))
	}
	if step == "vent" {
		w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Step: "tray"})
	}
	return "/guide/" + b.ID.String()
}

// ofTrainer lets Maren look, in either language.
func ofTrainer(w *world, ctx *Context) {
	if ctx.Crew == "ines" {
		w.make("", &entry.Member{Crew: "maren", Name: "Maren", Lang: "es", Role: entry.Lead})
	}
	ctx.Crew = "maren"
}

func guideFixtures() []kept {
	of := func(query string) func(*world) string {
		return func(w *world) string { return "/guide/" + w.learns().ID.String() + query }
	}
	mine := func(w *world, ctx *Context) { hers(ctx) }
	return []kept{
		{"guidebegin", func(w *world) string {
			b := w.learns()
			w.s.Guides = nil
			return "/guide/" + b.ID.String()
		}, mine},
		{"guidecaution", of(""), mine},
		{"guide", of("?skip=label&read=meat-temp"), mine},
		{"guidewait", func(w *world) string { return "/guide/" + w.asks(false).Batch.String() + "?skip=label&read=meat-temp" }, mine},
		{"guidepin", func(w *world) string {
			return "/guide/" + w.asks(false).Batch.String() + "?skip=label&read=meat-temp&pin=1&seen=3.2"
		}, mine},
		{"guidehelp", func(w *world) string { return "/guide/" + w.asks(true).Batch.String() + "?skip=label&read=meat-temp" }, mine},
		{"guidelid", func(w *world) string { return w.lets("vent") + "?read=vent" }, mine},
		{"guidelidcaution", func(w *world) string { return w.lets("vent") }, mine},
		{"trainer", func(w *world) string { w.asks(false); return "/trainer" }, ofTrainer},
		{"trainerask", func(w *world) string { return "/trainer/ask/" + w.asks(false).ID.String() }, ofTrainer},
		{"trainerhelp", func(w *world) string { return "/trainer/ask/" + w.asks(true).ID.String() }, ofTrainer},
		{"learner", func(w *world) string { w.asks(false); return "/trainer/guide/" + w.s.Guides[0].Guide.Guide.String() }, ofTrainer},
		{"ringhelp", func(w *world) string {
			w.gotAll()
			w.asks(true)
			return "/"
		}, ofTrainer},
	}
}

// rungFor tells whether what was asked rings for somebody on a device.
func (w *world) rungFor(crew, device string, near ...Near) bool {
	ctx := w.ctx(crew, "/")
	ctx.Device, ctx.Near, ctx.NearNow = device, near, len(near) > 0
	for _, b := range BellsAt(ctx) {
		if b.Ringing && b.Ask == w.s.Asks[0].ID {
			return true
		}
	}
	return false
}

func TestWhatIsAskedRingsForTheTrainerThenForLeads(t *testing.T) {
	w := midshift(t)
	w.make("", &entry.Member{Crew: "anna", Name: "Anna", Role: entry.Lead})
	w.gotAll()
	w.asks(true)
	require.True(t, w.rungFor("maren", "d1"))
	require.True(t, w.rungFor("", "d2"), "a wall screen shows it")
	wall := w.ctx("", "/wall")
	wall.Device = "d2"
	first := draw(t, wall)["parts"].([]any)[0].(map[string]any)
	require.Equal(t, []any{"strip", "Jun", "Is not sure", "last"}, []any{first["p"], first["name"], first["word"], first["state"]}, "and before all else")
	require.Contains(t, first["deed"], "step ")
	require.False(t, w.rungFor("teo", "d1"), "it is not his")
	require.False(t, w.rungFor("maren", "d-jun"), "whose phone it was asked on")
	require.False(t, w.rungFor("jun", "d1"))
	require.False(t, w.rungFor("anna", "d1"), "a lead is called later")
	require.True(t, w.rungFor("anna", "d1", Near{Device: "d9", Crew: "maren", Since: w.now}), "the trainer is out of touch")
	require.False(t, w.rungFor("anna", "d1", Near{Device: "d9", Crew: "maren"}))
	ctx := w.ctx("anna", "/")
	ctx.NearNow = false
	booked := w.s.Asks[0].At.Add(stamp.Minute)
	for _, b := range BellsAt(ctx) {
		if b.Ask == w.s.Asks[0].ID {
			require.Equal(t, booked, b.At)
		}
	}
	require.LessOrEqual(t, Next(ctx), booked)
	w.wait(booked.Since(w.now))
	require.True(t, w.rungFor("anna", "d1"))
}

func TestTheCautionStandsAlone(t *testing.T) {
	w := midshift(t)
	b := w.learns()
	kinds := func(query string) (list []string) {
		ctx := w.ctx("jun", "/guide/"+b.ID.String()+query)
		for _, p := range draw(t, ctx)["parts"].([]any) {
			list = append(list, p.(map[string]any)["p"].(string))
		}
		return list
	}
	require.Equal(t, []string{"head", "track", "caution", "spoken", "buttons"}, kinds(""))
	require.Contains(t, kinds("?read=label"), "guided")
	require.NotContains(t, kinds("?read=label"), "caution")
	w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Step: "label", Text: "no camera"})
	require.Contains(t, kinds("?read=label"), "guided", "the next step has none of its own")
}

func TestACriticalStepIsNotOfferedBeforeTheAnswer(t *testing.T) {
	w := midshift(t)
	b := w.learns()
	does := func() (list []string) {
		for _, c := range draw(t, w.ctx("jun", "/guide/"+b.ID.String()+"?skip=label&read=meat-temp")).commands(t) {
			if c.Do != kitchen.DoUndo && c.Do != kitchen.DoGot {
				list = append(list, c.Do)
			}
		}
		return list
	}
	require.Equal(t, []string{kitchen.DoAsk, kitchen.DoStep, kitchen.DoAsk}, does(), "what is off may be written down at any time")
	require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoAsk, Batch: b.ID, Step: "meat-temp"}))
	a := &w.s.Asks[0]
	require.Equal(t, []string{kitchen.DoStep, kitchen.DoAsk}, does())
	require.Nil(t, w.tapOn("maren", "d1", &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes", Number: a.Code(), Value: 3200, Unit: "mC"}))
	require.Equal(t, []string{kitchen.DoStep, kitchen.DoAsk}, does())
	require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Step: "meat-temp", Value: 3400, Unit: "mC"}))
	require.Empty(t, w.s.Deviations[1:], "only what midshift left open")
}

// TestSlowIsSaidAgainstOthers: the median of those who do not learn, and of how many.
func TestSlowIsSaidAgainstOthers(t *testing.T) {
	w := midshift(t)
	b := w.learns()
	for range 3 {
		w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 9_000, Lots: []string{"FR-2611"}})
		o := w.s.OneTap(w.last.Entry)[0]
		w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: o, Step: "meat-temp", Value: 3200, Unit: "mC"})
		w.wait(20 * stamp.Second)
		w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: o, Step: "trim"})
	}
	p := newPage(w.ctx("maren", "/trainer"))
	l := p.leadsOf(w.s.GuidedAt("jun", w.s.Batch(b.ID)))[0]
	require.Empty(t, p.slow(&l, "trim", 45*stamp.Second))
	require.Equal(t, "Slow: others took 20\u00a0s here (median of 6)", p.slow(&l, "trim", 80*stamp.Second))
	require.Empty(t, p.slow(&l, "under-water", stamp.Hour), "nobody is known to have done it")
}

// Who is not sure stands first on the trainer's page, whoever began later.
func TestWhoWaitsForAnAnswerStandsFirst(t *testing.T) {
	w := newWorld(t, noon)
	b := w.learns()
	require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoAsk, Batch: b.ID, Step: "meat-temp", Closes: true}))
	p := newPage(w.ctx("maren", "/trainer"))
	p.trainerScreen()
	first, ok := p.parts[0].(*strip)
	require.True(t, ok)
	require.Equal(t, "Jun", first.name, "Luz was led later, and would stand above")
	require.Equal(t, "last", first.state)
	second, ok := p.parts[1].(*strip)
	require.True(t, ok)
	require.Equal(t, "Luz", second.name)
}

// A caution stands alone before a dangerous step, and with the step whenever it can be tapped or waits for its answer.
func TestACautionStaysWithItsStep(t *testing.T) {
	w := midshift(t)
	path := w.lets("vent")
	cue := func(path string) (cue any, steps int) {
		ctx := w.ctx("jun", path)
		ctx.Device = "d-jun"
		each(draw(t, ctx), func(o map[string]any) {
			if o["p"] == "guided" {
				cue, steps = o["cue"], steps+1
			}
		})
		return cue, steps
	}
	_, steps := cue(path)
	require.Zero(t, steps, "alone at first")
	said, steps := cue(path + "?read=vent")
	require.Equal(t, 1, steps)
	require.Equal(t, "Hot oil and pressure: stand to the side. Dry mitts. Lid shut until the gauge is at zero.", said)
	b := w.s.In("fryer-1")[0]
	require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoAsk, Batch: b.ID, Step: "vent"}))
	said, _ = cue(path + "?read=vent")
	require.NotNil(t, said, "while the trainer comes")
}

// A trainer's stop stands as a caution does, out of all else; leave to go on does not.
func TestAStopStandsOut(t *testing.T) {
	for answer, want := range map[string]bool{"no": true, "yes": false} {
		w := newWorld(t, noon)
		b := w.learns()
		require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoAsk, Batch: b.ID, Step: "meat-temp", Closes: true}))
		require.Nil(t, w.tapOn("maren", "d1", &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: w.s.Asks[0].ID, Answer: answer}))
		ctx := w.ctx("jun", "/guide/"+b.ID.String()+"?skip=label&read=meat-temp")
		ctx.Device = "d-jun"
		d := draw(t, ctx)
		stops := false
		each(d, func(o map[string]any) {
			stops = stops || o["p"] == "caution" && o["title"] == "Maren: stop, hands off, I am coming"
		})
		require.Equal(t, want, stops, answer)
		require.Equal(t, !want, strings.Contains(said(d), "Maren: go on as it stands there"))
	}
}

// A stage that is a wait alone has no steps to count, and none that are done.
func TestNoStepsAreNotCounted(t *testing.T) {
	w := midshift(t)
	w.learns()
	b := w.open("load", w.load("fryer-1"))
	require.Equal(t, "cook", b.Stage)
	require.Nil(t, w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoGuide, Batch: b.ID, Trainer: "maren"}))
	ctx := w.ctx("jun", "/guide/"+b.ID.String())
	ctx.Device = "d-jun"
	text := said(draw(t, ctx))
	require.Contains(t, text, "Guided, real work")
	require.NotContains(t, text, "of 0")
	require.NotContains(t, text, "All steps are done")
}

// TestEveryButtonOfGuidedWorkCanBeDecided taps all that those who learn, their trainer and a wall screen are offered.
func TestEveryButtonOfGuidedWorkCanBeDecided(t *testing.T) {
	w := midshift(t)
	a := w.asks(true)
	b := a.Batch.String()
	w.tapOn("jun", "d-jun", &kitchen.Command{Do: kitchen.DoAsk, Batch: a.Batch, Step: "meat-temp"})
	decided := map[string]int{}
	for _, at := range []struct{ crew, device, path string }{
		{"jun", "d-jun", "/guide/" + b + "?skip=label&read=meat-temp"}, {"jun", "d-jun", "/guide/" + b + "?skip=label&read=meat-temp&pin=1&seen=3"},
		{"luz", "d-luz", "/guide/" + b + "?skip=label&read=meat-temp"}, {"luz", "d-luz", "/guide/list/closing"}, {"luz", "d-luz", "/batch/" + b},
		{"maren", "d1", "/trainer"}, {"maren", "d1", toAsk(&w.s.Asks[0])}, {"maren", "d1", toAsk(&w.s.Asks[2])},
		{"maren", "d1", "/trainer/guide/" + w.s.Guides[0].Guide.Guide.String()}, {"maren", "d1", "/"}, {"", "d2", "/wall"}, {"teo", "d1", "/trainer"},
	} {
		ctx := w.ctx(at.crew, at.path)
		ctx.Device = at.device
		d := draw(t, ctx)
		require.NotEqual(t, "missing", d["kind"], at.path)
		for _, c := range d.commands(t) {
			if slices.Contains(ownDeeds, c.Do) {
				continue
			}
			if _, r := kitchen.Decide(w.s, c, kitchen.Who{Crew: at.crew, Device: at.device}, w.now, w.id); r != nil {
				require.NotContains(t, malformed, r.Code, "%s: %+v: %+v", at.path, *c, *r)
			}
			decided[c.Do]++
		}
	}
	for _, do := range []string{kitchen.DoGuide, kitchen.DoAsk, kitchen.DoAnswerAsk, kitchen.DoTrainerNote, kitchen.DoStep, kitchen.DoGot} {
		require.Positive(t, decided[do], "no button does %q", do)
	}
}
