package screen

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// planned is the demo kitchen at 11:38 with a plan of the day that its lead took on.
type planned struct {
	t     *testing.T
	s     *kitchen.State
	now   stamp.Milli
	count uint32
}

func newPlanned(t *testing.T) *planned {
	k := &planned{t: t, s: kitchen.New(), now: stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())}
	entries, err := demo.Entries(k.now, [32]byte{7})
	require.NoError(t, err)
	for i := range entries {
		k.s.Apply(&entries[i], kitchen.Amended{})
	}
	p, n, _ := planning.Problem(k.s, k.now, k.s.WallDay(k.now), planning.Options{})
	v := planner.NewSolver(p, 1)
	v.Think(60_000)
	rows := planning.Rows(p, v.Plan(), n)
	k.tap(kitchen.Command{Do: kitchen.DoPlan, Plan: planning.Accept(&rows, n, true)})
	return k
}

// tap taps as the lead.
func (k *planned) tap(c kitchen.Command) {
	k.t.Helper()
	drafts, r := kitchen.Decide(k.s, &c, kitchen.Who{Crew: "maren", Device: "d1"}, k.now, func() entry.ID {
		k.count++
		return entry.NewID(k.now, [10]byte{0: 9, 8: byte(k.count >> 8), 9: byte(k.count)})
	})
	require.Nil(k.t, r, "%+v", r)
	for _, d := range drafts {
		k.say(d.ID, d.Body)
	}
}

func (k *planned) say(id entry.ID, body entry.Body) {
	k.count++
	e := entry.New(id, stamp.Stamp{At: k.now, Count: 1<<20 + k.count, Device: "d1"}, "maren", body)
	k.s.Apply(&e, kitchen.Amended{})
}

// again plans anew and returns what is different, in words.
func (k *planned) again(lang string) (list []string, x planning.Plan) {
	k.t.Helper()
	mark := k.s.PlanOf(k.s.WallDay(k.now))
	p, n, _ := planning.Problem(k.s, k.now, mark.Day, planning.Options{})
	require.NotNil(k.t, p)
	warm := planning.Warm(k.s, p, n)
	v := planner.NewSolverFrom(p, warm, 1)
	v.Think(10_000)
	best := v.Plan()
	kept, what := planning.Keep(p, best, warm)
	costs, broken := planner.Check(p, kept)
	require.Empty(k.t, broken)
	require.Equal(k.t, costs.Sum(), kept.Cost)
	require.LessOrEqual(k.t, kept.Cost, best.Cost+best.Cost/50)
	require.Equal(k.t, max(0, kept.Cost-best.Cost), what.Cost)
	x = planning.Rows(p, kept, n)
	last := planning.Left(k.s, mark)
	crew := map[string]string{"en": "maren", "es": "ines"}[lang]
	page := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: crew, Lang: lang, View: "main", Path: "/plan"})
	for _, say := range planning.Difference(&last, &x, planning.Changes(k.s, mark, k.now)) {
		list = append(list, page.planSay(&say))
	}
	return list, x
}

func TestScenarios(t *testing.T) {
	out := func(f string) kitchen.Command {
		return kitchen.Command{Do: kitchen.DoEquipment, Place: f, Answer: "out", Reason: "The gasket leaks"}
	}
	for _, c := range []struct {
		name   string
		change func(k *planned)
		en, es string // how one of the sentences ends
		unmet  string // why something is not met; empty: it does not matter
	}{
		{"a fryer dies", func(k *planned) { k.tap(out("fryer-2")) }, ": fryer 2 is out.", ": freidora 2 está fuera de servicio.", "pl.why.fryers"},
		{"no fryer at all", func(k *planned) { k.tap(out("fryer-1")); k.tap(out("fryer-2")) }, ": fryer 1 is out.", ": freidora 1 está fuera de servicio.", "pl.why.nofryer"},
		{"the oil is too hot", func(k *planned) {
			k.tap(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-2", Value: 181_000, Unit: "mC", Probe: "probe-1"})
		}, ": the oil of Fryer 2 is off its limit.", ": el aceite de Freidora 2 está fuera de límite.", ""},
		{"a bus", func(k *planned) {
			id := entry.NewID(k.now, [10]byte{3})
			k.say(id, &entry.Demand{Demand: id, Day: k.s.WallDay(k.now), From: 14 * 60, To: 15 * 60, Pieces: 40, Sort: entry.DemandEvent, Title: "Bus"})
		}, ": 40 guests more from 14:00.", ": 40 comensales más desde las 14:00.", ""},
		{"a tub is discarded", func(k *planned) {
			for i := range k.s.Batches {
				if b := &k.s.Batches[i]; b.Status == kitchen.Open && b.Stage == "drain" {
					k.tap(kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "Found warm"})
					return
				}
			}
		}, "of bone-in was discarded.", "(con hueso).", ""},
		{"a cook goes home", func(k *planned) {
			k.tap(kitchen.Command{Do: kitchen.DoShift, Name: "coating-table", Day: k.s.WallDay(k.now), Value: 330, Number: 720})
		}, ": coating table is manned from 05:30 to 12:00.", ": mesa de empanar está atendido de 05:30 a 12:00.", "pl.why.nobody"},
		{"nothing is done in time", func(k *planned) { k.now = k.now.Add(50 * stamp.Minute) }, "is late.", "va con retraso.", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := newPlanned(t)
			k.now = k.now.Add(2 * stamp.Minute)
			c.change(k)
			for lang, end := range map[string]string{"en": c.en, "es": c.es} {
				list, x := k.again(lang)
				said := ""
				for _, l := range list {
					require.NotContains(t, l, "{")
					require.NotContains(t, l, "pl.")
					if strings.HasSuffix(l, end) {
						said = l
					}
				}
				require.NotEmpty(t, said, "%s: nothing ends with %q among %q", lang, end, list)
				t.Log(said)
				why := c.unmet == ""
				for _, u := range x.Unmet {
					why = why || u.Why.Text == c.unmet
				}
				require.True(t, why, "nothing is unmet because of %s: %+v", c.unmet, x.Unmet)
			}
		})
	}
}

// A fryer that is out changes dozens of rows: they are told by reason in a few sentences, which leave none of them out.
func TestManyChangesAreToldInAFewSentences(t *testing.T) {
	k := newPlanned(t)
	k.now = k.now.Add(2 * stamp.Minute)
	k.tap(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-2", Answer: "out", Reason: "The gasket leaks"})
	_, x := k.again("en")
	mark := k.s.PlanOf(k.s.WallDay(k.now))
	last := planning.Left(k.s, mark)
	list := planning.Difference(&last, &x, planning.Changes(k.s, mark, k.now))
	require.Greater(t, len(list), 12)
	said := 0
	for _, told := range planning.Sum(list) {
		for _, s := range told.Says {
			if strings.HasPrefix(s.Text, "pl.sum.") {
				require.Greater(t, s.Args[0].N, int64(1))
				said += int(s.Args[0].N)
			} else {
				said++
			}
		}
	}
	require.Equal(t, len(list), said)
	for crew, want := range map[string][]string{
		"maren": {`"title":"Fryer 2 is out"`, `drops are left out, the first at \d\d:\d\d: \d+ p`, `"label":"All \d+ changes, one by one"`},
		"ines":  {`"title":"Freidora 2 está fuera de servicio"`, `cargas se quitan; la primera, a las \d\d:\d\d: \d+ r`, `"label":"Los \d+ cambios, uno por uno"`},
	} {
		page := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: crew, View: "main", Path: "/plan"})
		page.planSum(list)
		w := new(jsontext.Writer)
		w.Object("")
		w.List("parts")
		lines := 0
		for _, part := range page.parts {
			part.write(w)
			if s, ok := part.(*sentences); ok {
				lines += len(s.lines)
			}
		}
		text := string(w.Out)
		require.LessOrEqual(t, lines, 8, text)
		for _, one := range want {
			require.Regexp(t, one, text)
		}
		require.NotContains(t, text, "{n}")
		require.NotContains(t, text, "pl.")
		t.Log(text)
	}
}

// What is done as planned changes nothing, and a plan that is asked for again at once is the same.
func TestNoNewsNoDifference(t *testing.T) {
	k := newPlanned(t)
	list, _ := k.again("en")
	require.Empty(t, list)
}

// The bell of a drop says how much of what goes where, in both languages, under the caution of hot oil.
func TestThePlanRingsInWords(t *testing.T) {
	k := newPlanned(t)
	mark := k.s.PlanOf(k.s.WallDay(k.now))
	for _, row := range mark.Rows {
		if row.Deed == entry.PlanLoad && row.Start >= mark.From {
			k.now = mark.PlanAccepted.At(row.Start)
			break
		}
	}
	for crew, want := range map[string]string{"maren": `^drop \d+ (pieces|portions?) now: Fryer \d$`, "ines": `^meter \d+ (piezas|raci(ón|ones)) ahora: Freidora \d$`} {
		p := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: crew, View: "main", Path: "/"})
		found := false
		for i := range p.bells {
			if b := &p.bells[i]; b.Point == kitchen.PointPlan && b.Ringing && b.Fryer {
				r := p.ringOf(b, false)
				require.Regexp(t, want, r.deed)
				require.NotNil(t, r.caution)
				require.Contains(t, r.caution.Hazards, "hot oil")
				require.Equal(t, "/plan", p.ringSteps(b, &r, &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key}).to)
				found = true
			}
		}
		require.True(t, found, "nothing of the plan rings")
	}
}

// What was known when a plan was taken on is no reason for another one: a fryer that had failed by then, though baskets were planned for it
// before.
func TestWhatWasKnownIsNoReason(t *testing.T) {
	k := newPlanned(t)
	k.now = k.now.Add(40 * stamp.Minute)
	k.tap(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-2", Answer: "out", Reason: "The gasket leaks"})
	require.Contains(t, differing(k.again("en")), "fryer 2 is out")
	p, n, _ := planning.Problem(k.s, k.now, k.s.WallDay(k.now), planning.Options{})
	v := planner.NewSolver(p, 1)
	v.Think(60_000)
	rows := planning.Rows(p, v.Plan(), n)
	k.tap(kitchen.Command{Do: kitchen.DoPlan, Plan: planning.Accept(&rows, n, true)})
	k.now = k.now.Add(stamp.Minute)
	id := entry.NewID(k.now, [10]byte{3})
	k.say(id, &entry.Demand{Demand: id, Day: k.s.WallDay(k.now), From: 15 * 60, To: 16 * 60, Pieces: 40, Sort: entry.DemandEvent, Title: "Bus"})
	said := differing(k.again("en"))
	require.Contains(t, said, "40 guests more")
	require.NotContains(t, said, "fryer 2 is out")
}

func differing(list []string, _ planning.Plan) string { return strings.Join(list, " ") }
