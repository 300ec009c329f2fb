package screen

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// drawn is what a test looks at in a screen.
type drawn map[string]any

func draw(t require.TestingT, ctx *Context) drawn {
	out := View(ctx)
	var d drawn
	require.NoError(t, json.Unmarshal(out, &d), "%s: %s", ctx.Path, out)
	return d
}

// each visits every object within a screen.
func each(v any, visit func(map[string]any)) {
	switch v := v.(type) {
	case drawn:
		each(map[string]any(v), visit)
	case map[string]any:
		visit(v)
		for _, x := range v {
			each(x, visit)
		}
	case []any:
		for _, x := range v {
			each(x, visit)
		}
	}
}

// links returns all addresses that a screen leads to, sorted.
func (d drawn) links() []string {
	var out []string
	each(d, func(o map[string]any) {
		if to, ok := o["to"].(string); ok && strings.HasPrefix(to, "/") && !strings.HasPrefix(to, "/api/") { // a command's "to" is a stage
			out = append(out, to)
		}
	})
	slices.Sort(out)
	return slices.Compact(out)
}

// commands returns the commands of all buttons of a screen, with what the button would have asked filled in.
func (d drawn) commands(t require.TestingT) []*kitchen.Command {
	var out []*kitchen.Command
	each(d, func(o map[string]any) {
		do, ok := o["do"].(map[string]any)
		if !ok {
			return
		}
		if ask, ok := o["ask"].(map[string]any); ok {
			do[ask["name"].(string)] = answer(t, ask)
		}
		text, err := json.Marshal(do)
		require.NoError(t, err)
		c, err := kitchen.ReadCommand(text)
		require.NoError(t, err, string(text))
		out = append(out, c)
	})
	return out
}

func answer(t require.TestingT, ask map[string]any) any {
	require.NotEmpty(t, ask["title"])
	switch ask["kind"] {
	case "number":
		return "3"
	case "text":
		return "so it was"
	case "photo":
		return strings.Repeat("ab", 32)
	case "pin":
		return "2468"
	case "choice":
		return ask["choices"].([]any)[0].(map[string]any)["value"]
	}
	require.Fail(t, "unknown kind of question", "%v", ask)
	return nil
}

// cooksMost is how many forms of a cook's log are drawn: what can be chosen on that page multiplies.
const cooksMost = 300

// crawl draws every screen that can be reached from the line and the plan, in one language.
func crawl(t require.TestingT, ctx Context, visit func(path string, d drawn)) {
	todo, seen := []string{"/", "/plan"}, map[string]bool{"/": true, "/plan": true}
	cooks := 0
	for len(todo) > 0 {
		ctx.Path, todo = todo[0], todo[1:]
		d := draw(t, &ctx)
		visit(ctx.Path, d)
		for _, to := range d.links() {
			if then := strings.HasPrefix(to, "/records/at?"); then && strings.HasPrefix(ctx.Path, "/records/at?") {
				continue // an hour earlier there is always another hour
			}
			if strings.HasPrefix(to, "/cook?") && !seen[to] {
				if cooks++; cooks > cooksMost {
					continue
				}
			}
			if !seen[to] {
				seen[to] = true
				todo = append(todo, to)
			}
		}
		require.Less(t, len(seen), 3000)
	}
}

var everyRoute = []string{"batch", "cooktime", "probe", "probes", "chart", "charts", "cook", "deviation", "deviations", "devices", "find", "hold", "kitchen", "line", "list", "lists", "plan",
	"mark", "more", "oil", "place", "portion", "ring", "settings", "start", "timernew", "timers", "sensors", "import", "wall", "who", "history",
	"records", "recordsday", "recordsfind", "recordskeep", "recordsat", "dayclose", "receive", "logs", "log", "lognew", "practice", "crew", "person", "personwork"}

func TestEveryLinkLeadsSomewhere(t *testing.T) {
	w := midshift(t)
	w.cools()
	for _, crew := range []string{"maren", "ines", ""} {
		kinds := map[string]bool{}
		crawl(t, *w.ctx(crew, "/"), func(path string, d drawn) {
			require.NotEqual(t, "missing", d["kind"], path)
			require.NotEmpty(t, d["title"], path)
			kinds[d["kind"].(string)] = true
		})
		for _, k := range everyRoute {
			require.True(t, kinds[k], "nothing leads to %s", k)
		}
	}
}

// malformed are refusals that a button of ours must never earn: it would have named what is not there.
var malformed = []kitchen.RefusalCode{kitchen.RefBadCommand, kitchen.RefNoProcedure, kitchen.RefNoBatch, kitchen.RefNoPlace,
	kitchen.RefNoList, kitchen.RefNoStep, kitchen.RefNoTimer, kitchen.RefNoDeviation, kitchen.RefNoEntry, kitchen.RefNoDevice,
	kitchen.RefDiscarded, kitchen.RefEnded, kitchen.RefMovedOn, kitchen.RefLastStage, kitchen.RefNotNext, kitchen.RefNeedsPortion,
	kitchen.RefNeedsMove, kitchen.RefNeedNumber, kitchen.RefNeedAnswer, kitchen.RefNeedSign, kitchen.RefNeedReason,
	kitchen.RefNeedText, kitchen.RefNotHold, kitchen.RefCrewKnown}

// ownDeeds are done by the device itself and never decided, or only with what the door puts in.
var ownDeeds = []string{kitchen.DoCrew, "code", "pace", kitchen.DoCookLog, "page-practice"}

func TestEveryButtonCanBeDecided(t *testing.T) {
	w := midshift(t)
	w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: w.open("pan", 2).ID})
	w.tap("ines", &kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Name: "Rice", Value: 60_000, Unit: "mC"})
	decided := map[string]int{}
	for _, crew := range []string{"maren", "ines"} {
		crawl(t, *w.ctx(crew, "/"), func(path string, d drawn) {
			for _, c := range d.commands(t) {
				if slices.Contains(ownDeeds, c.Do) {
					continue
				}
				_, r := kitchen.Decide(w.s, c, kitchen.Who{Crew: crew, Device: "d1"}, w.now, w.id)
				if r != nil {
					require.NotContains(t, malformed, r.Code, "%s: %+v: %+v", path, *c, *r)
				}
				decided[c.Do]++
			}
		})
	}
	for _, do := range []string{kitchen.DoMove, kitchen.DoDiscard, kitchen.DoCount, kitchen.DoStep, kitchen.DoGot,
		kitchen.DoCorrect, kitchen.DoTimer, kitchen.DoTimerEnd, kitchen.DoEquipment, kitchen.DoNote, kitchen.DoDeviate,
		kitchen.DoFreeze, kitchen.DoLogEnd, kitchen.DoAnswer, kitchen.DoListClose, kitchen.DoMember, kitchen.DoRevoke, kitchen.DoPost} {
		require.Positive(t, decided[do], "no button does %q", do)
	}
}

// TestNothingIrreversibleIsOneTap holds the rule of the look: what destroys takes a second tap on a sheet, and nothing
// of it is ever docked.
func TestNothingIrreversibleIsOneTap(t *testing.T) {
	w := midshift(t)
	crawl(t, *w.ctx("maren", "/"), func(path string, d drawn) {
		each(d, func(o map[string]any) {
			do, _ := o["do"].(map[string]any)
			if do != nil && (do["do"] == kitchen.DoDiscard || do["do"] == kitchen.DoRevoke) {
				require.NotNil(t, o["sure"], "%s: %v", path, o["label"])
			}
			if o["style"] == "stop" {
				require.NotNil(t, o["sure"], "%s: %v", path, o["label"])
			}
		})
	})
}

// TestCautionStandsBeforeTheAct looks at every batch: where its stage has a caution, the act that ends the stage comes
// after it on the same screen, and is not docked.
func TestCautionStandsBeforeTheAct(t *testing.T) {
	w := midshift(t)
	looked := 0
	for i := range w.s.Batches {
		b := &w.s.Batches[i]
		st := w.s.Stage(b)
		if b.Status != kitchen.Open || st == nil || st.Caution == nil {
			continue
		}
		for _, path := range []string{toBatch(b), "/portion/" + b.ID.String()} {
			d := draw(t, w.ctx("maren", path))
			cautioned := false
			for _, part := range d["parts"].([]any) {
				o := part.(map[string]any)
				cautioned = cautioned || o["p"] == "caution" && o["title"] == st.Caution.Title.EN
				for _, c := range (drawn{"x": o}).commands(t) {
					if c.Do == kitchen.DoMove || c.Do == kitchen.DoPortion {
						require.True(t, cautioned, "%s: %+v", path, *c)
						looked++
					}
				}
			}
			require.Nil(t, d["dock"], path)
		}
	}
	require.Greater(t, looked, 2)
}

// routesOf lists addresses of all kinds for a state.
func routesOf(s *kitchen.State) []string {
	out := []string{"/", "/hold", "/lists", "/timers", "/timer/new?own=1&m=7,5&name=Eis%20", "/deviations", "/find?code=7k3m",
		"/who", "/more", "/kitchen", "/devices", "/ring", "/settings", "/wall", "/join", "/start", "/batch/nonsense", "/%zz//?&=&&a",
		"/logs", "/log/none", "/list/none", "/place/none", "/load/none", "/mark/", "/deviation/", "/start/none?g=1e9"}
	for i := range s.Batches {
		id := s.Batches[i].ID.String()
		out = append(out, "/batch/"+id, "/batch/"+id+"/history", "/mark/"+id, "/portion/"+id, "/portion/"+id+"?g=4,2&c=18&n=2",
			"/portion/"+id+"?g=999999999999999999999&c=-3&n=0", "/find?code="+s.Batches[i].Code,
			"/portion/"+id+"?split=1&n=3", "/load/fryer-1?from="+id+"&also="+s.Batches[(i+1)%len(s.Batches)].ID.String())
	}
	for _, p := range s.Procedures() {
		out = append(out, "/start/"+p.Name, "/start/"+p.Name+"?g=27.6&lots=a,b", "/start/"+p.Name+"?by=c&c=44&tubs=3")
	}
	for i := range s.Logs {
		out = append(out, toLog(&s.Logs[i]), toLog(&s.Logs[i])+"?of=water&v=70")
	}
	for _, what := range []string{"cool?n=Rice&v=60", "time?n=a&v=1&r=tphc6", "thaw?n=x", "none"} {
		out = append(out, "/log/new/"+what)
	}
	for _, d := range s.Equipment().Devices {
		out = append(out, "/place/"+d.Name+"?v=-2.5", "/place/"+d.Name+"?v=x", "/load/"+d.Name, "/load/"+d.Name+"?g=3&c=20")
	}
	for _, l := range s.Lists() {
		out = append(out, "/list/"+l.Name, "/list/"+l.Name+"?day=20000", "/list/"+l.Name+"?skip=cold")
	}
	for i := range s.Deviations {
		out = append(out, "/deviation/"+s.Deviations[i].Key)
	}
	for i := range s.Batches {
		out = append(out, "/guide/"+s.Batches[i].ID.String())
	}
	for i := range s.Guides {
		out = append(out, "/trainer/guide/"+s.Guides[i].Guide.Guide.String())
	}
	for i := range s.Asks {
		out = append(out, toAsk(&s.Asks[i]))
	}
	return append(out, "/trainer", "/guide/list/opening", "/guide/list/closing")
}

func TestEveryRouteDrawsOnRandomKitchens(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		seed := rapid.Uint64().Draw(rt, "seed")
		s := fold(journaltest.Random(seed, rapid.IntRange(0, 300).Draw(rt, "entries")))
		now := s.Last.At.Add(stamp.Span(rapid.Int64Range(-3_600_000, 90_000_000).Draw(rt, "later")))
		ctx := &Context{State: s, Now: now, Device: "anna-1", Lang: "es", View: "v", Ability: Ability{Known: true}, Saved: Saved{Entries: true},
			AwakeSince: now, Crew: rapid.SampledFrom([]string{"al", "bo", "nobody"}).Draw(rt, "crew")}
		routes := routesOf(s)
		every := rapid.IntRange(1, 1+len(routes)/20).Draw(rt, "every")
		for i := rapid.IntRange(0, every-1).Draw(rt, "from"); i < len(routes); i += every {
			ctx.Path = routes[i]
			d := draw(rt, ctx)
			require.NotEmpty(rt, d["kind"], ctx.Path)
			require.NotContains(rt, strings.ReplaceAll(fmt.Sprint(d), "{0}", ""), "{", ctx.Path)
		}
		require.True(rt, json.Valid(Ring(ctx)))
		if next := Next(ctx); next != 0 {
			require.Greater(rt, next, now)
		}
	})
}

func TestEveryRefusalIsASentence(t *testing.T) {
	w := midshift(t)
	b := w.open("tub", 3)
	for code := kitchen.RefNone + 1; code <= kitchen.RefCrewKnown; code++ {
		for _, lang := range []string{"maren", "ines"} {
			ctx := w.ctx(lang, "/")
			ctx.Refused = &Refused{Command: &kitchen.Command{Do: kitchen.DoMove, Batch: b.ID}, Why: &kitchen.Refusal{Code: code,
				Batch: b.ID, Place: "fryer-1", Stage: b.Stage, Step: "pour", Name: "colour", Number: 24000, Limit: 42000, Unit: "ms",
				Age: stamp.Hour, Until: w.now.Add(stamp.Minute), Override: true}}
			r, ok := draw(t, ctx)["refusal"].(map[string]any)
			require.True(t, ok)
			require.NotEmpty(t, r["title"])
			require.NotContains(t, r["title"], "ref.")
			require.NotContains(t, fmt.Sprint(r["title"], r["lines"]), "{", "code %d", code)
			require.NotEmpty(t, r["actions"], "a lead may override code %d", code)
		}
	}
}

func TestOverrideCarriesTheCommand(t *testing.T) {
	w := midshift(t)
	b := w.open("tub", 3)
	w.steps("teo", "tub", 3)
	w.now = b.Since.Add(10 * stamp.Minute)
	c := &kitchen.Command{Do: kitchen.DoPortion, Batch: b.ID, To: "coat", Grams: 13000}
	ctx := w.ctx("teo", toBatch(b))
	ctx.Refused = &Refused{Command: c, Why: w.decide("teo", c)}
	require.Equal(t, kitchen.RefTooSoon, ctx.Refused.Why.Code)
	r := draw(t, ctx)["refusal"].(map[string]any)
	require.Equal(t, "Too soon by 30\u00a0min", r["title"])
	again := drawn(r).commands(t)
	require.Len(t, again, 1)
	require.Equal(t, "maren", again[0].OverrideBy)
	require.NotEmpty(t, again[0].OverrideReason)
	again[0].OverrideBy, again[0].OverrideReason = "", ""
	require.Equal(t, c, again[0])
}

func TestUnknownIDs(t *testing.T) {
	w := midshift(t)
	id := entry.NewID(w.now, [10]byte{1: 4})
	for _, path := range []string{"/batch/" + id.String(), "/mark/" + id.String(), "/portion/" + id.String(), "/nowhere"} {
		require.Equal(t, "missing", draw(t, w.ctx("teo", path))["kind"], path)
	}
}

// TestOffLimitSaysWhatToDo: a reading off its limit stands above the steps with what the procedure says, until it is
// read again; both stay in the record.
func TestOffLimitSaysWhatToDo(t *testing.T) {
	w := newWorld(t, at(8, 0))
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 12000})
	b := w.open("tub", 1)
	look := func() (faults []map[string]any) {
		for _, part := range draw(t, w.ctx("teo", toBatch(b)))["parts"].([]any) {
			if o := part.(map[string]any); o["p"] == "fault" {
				faults = append(faults, o)
			}
		}
		return faults
	}
	require.Empty(t, look())
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: "mix", Step: "meat-temp", Value: 7400, Unit: "mC"})
	f := look()
	require.Len(t, f, 1)
	require.Equal(t, "7.4\u00a0°C is 2.4\u00a0°C over the limit", f[0]["title"])
	step, _ := w.s.Procedure("bone-in", 7).Stage("mix")
	lines := fmt.Sprint(f[0]["lines"])
	require.Contains(t, lines, step.Steps[1].IfNot.EN)
	require.Contains(t, lines, step.Steps[1].Limit.Source.EN)
	again := drawn(f[0]).commands(t)[0]
	again.Value = 3900
	w.tap("teo", again)
	require.Empty(t, look(), "read again, within the limit")
	require.Len(t, w.s.Deviations, 1, "what was read first stays")

	w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: "mix", Step: "trim"})
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: "mix", Step: "brine"})
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: "mix", Step: "under", Answer: "no"})
	f = look()
	require.Len(t, f, 1)
	require.Contains(t, f[0]["title"], "Answered no")
	require.Len(t, drawn(f[0]).commands(t), 2, "asked again: yes or no")
}

func TestSplitAndPutTogether(t *testing.T) {
	w := midshift(t)
	f := &thumb{world: w, path: "/portion/" + w.open("pan", 2).ID.String() + "?split=1&n=2"}
	grams := w.open("pan", 2).Grams
	require.Equal(t, "Split or put together", f.press(act))
	one, two := w.open("pan", 1), w.open("pan", 4)
	require.Equal(t, grams, one.Grams+two.Grams)
	f.path = "/portion/" + one.ID.String() + "?split=1"
	require.Equal(t, "Put together with Pan 4", f.press(quiet))
	require.Equal(t, grams, w.open("pan", 2).Grams, "together again, in a pan with a free number")
}

// TestAncestryBothWays: from a tray back to its tub, and from the tub down to its trays, on one screen each.
func TestAncestryBothWays(t *testing.T) {
	w := midshift(t)
	labels := func(b *kitchen.Batch) (out []string) {
		each(draw(t, w.ctx("maren", toBatch(b))), func(o map[string]any) {
			if o["p"] == "tree" {
				for _, r := range o["rows"].([]any) {
					out = append(out, r.(map[string]any)["label"].(string))
				}
			}
		})
		return out
	}
	tray := w.open("tray", 1)
	require.Equal(t, []string{"From Load 1", "From Pan 1", "From Tub 1"}, labels(tray))
	load := w.s.Batch(tray.Parents[0])
	tub := w.s.Batch(w.s.Batch(load.Parents[0]).Parents[0])
	require.Equal(t, []string{"Went to Pan 1", "Went to Load 1", "Went to Load 2", "Went to Tray A", "Went to Tray B"}, labels(tub))
	require.Equal(t, []string{"From Pan 1", "From Tub 1", "Went to Tray A"}, labels(load))
}

func TestRevokedDeviceSaysSoEverywhereAndIsSilent(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("teo", "/")
	require.NotEqual(t, `{"now":[],"book":[]}`, string(Ring(ctx)), "something must ring, or silence proves nothing")
	ctx.Saved.Revoked = true
	require.Equal(t, `{"now":[],"book":[]}`, string(Ring(ctx)))
	for _, path := range []string{"/", "/hold", "/devices", "/nowhere"} {
		ctx.Path = path
		first := draw(t, ctx)["parts"].([]any)[0].(map[string]any)
		require.Equal(t, "fault", first["p"], path)
		require.Equal(t, "A lead took this device off the kitchen", first["title"], path)
	}
}
