package screen

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// world is a kitchen in which a test taps.
type world struct {
	t     testing.TB
	s     *kitchen.State
	clock stamp.Clock
	now   stamp.Milli
	count byte
	high  byte
	last  *Tap
}

// noon of 26 November 2026, a Thursday, in a kitchen five hours behind UTC.
const noon stamp.Milli = 1795712400000

func at(hour, minute int) stamp.Milli {
	return noon.Add(stamp.Span(hour-12)*stamp.Hour + stamp.Span(minute)*stamp.Minute)
}

func newWorld(t testing.TB, now stamp.Milli) *world {
	w := &world{t: t, s: kitchen.New(), clock: stamp.Clock{Device: "d1"}, now: now}
	w.make("", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US", Demo: true})
	w.make("", &entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{From: now.Add(-90 * stamp.Day), Minutes: -300, Name: "EST"}}})
	w.make("", &entry.Member{Crew: "maren", Name: "Maren", Lang: "en", Role: entry.Lead})
	w.make("", &entry.Member{Crew: "ines", Name: "Inés", Lang: "es"})
	w.make("", &entry.Member{Crew: "teo", Name: "Teo", Lang: "en"})
	w.make("", &entry.Pairing{Device: "d1", Name: "Fry station"})
	w.make("", &entry.Pairing{Device: "d2", Name: "Wall", Wall: true, Place: "Kitchen"})
	files, err := filepath.Glob("../../demo/documents/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		doc, err := procedure.Open(text)
		require.NoError(t, err, f)
		body := &entry.Document{Text: string(text)}
		switch {
		case doc.Procedure != nil:
			body.What, body.Name, body.Version = kitchen.WhatProcedure, doc.Procedure.Name, doc.Procedure.Version
		case doc.List != nil:
			body.What, body.Name, body.Version = kitchen.WhatList, doc.List.Name, doc.List.Version
		case doc.Plan != nil:
			body.What, body.Name, body.Version = kitchen.WhatPlan, doc.Plan.Name, doc.Plan.Version
		default:
			body.What, body.Name, body.Version = kitchen.WhatEquipment, doc.Equipment.Name, doc.Equipment.Version
		}
		if doc.Plan != nil { // its id is not counted, so that those of all else stay as they are
			e := entry.New(entry.NewID(w.now, [10]byte{0: 1}), w.clock.Next(w.now), "", body)
			w.s.Apply(&e, kitchen.Amended{})
			continue
		}
		w.make("", body)
	}
	w.signAll()
	return w
}

// signAll signs everybody off for all that the newest documents ask for.
func (w *world) signAll() {
	var docs []entry.Document
	for _, p := range w.s.Documents {
		docs = append(docs, p.Document)
	}
	for i, b := range demo.SignOffs(docs, "maren", "ines", "teo") {
		e := entry.New(entry.NewID(w.now, [10]byte{6: 1, 9: byte(i)}), w.clock.Next(w.now), "", &b)
		w.s.Apply(&e, kitchen.Amended{})
	}
}

func (w *world) id() entry.ID {
	w.count++
	if w.count == 0 {
		w.high++
	}
	return entry.NewID(w.now, [10]byte{7: w.high, 8: w.count, 9: w.count * 37})
}

func (w *world) make(crew string, body entry.Body) {
	e := entry.New(w.id(), w.clock.Next(w.now), crew, body)
	if s, ok := body.(*entry.Start); ok {
		e.ID = s.Batch
	}
	w.s.Apply(&e, kitchen.Amended{})
}

// decide applies a command as a crew member's tap, and returns why it was refused.
func (w *world) decide(crew string, c *kitchen.Command) *kitchen.Refusal {
	drafts, refusal := kitchen.Decide(w.s, c, kitchen.Who{Crew: crew, Device: "d1"}, w.now, w.id)
	for _, d := range drafts {
		e := entry.New(d.ID, w.clock.Next(w.now), crew, d.Body)
		w.s.Apply(&e, kitchen.Amended{})
		w.last = &Tap{Entry: d.ID, At: w.now, Body: d.Body}
	}
	return refusal
}

func (w *world) tap(crew string, c *kitchen.Command) {
	w.t.Helper()
	if r := w.decide(crew, c); r != nil {
		require.Fail(w.t, "refused", "%+v: %+v", *c, *r)
	}
}

func (w *world) wait(s stamp.Span) { w.now = w.now.Add(s) }

// open returns the open batch in a vessel.
func (w *world) open(vessel string, number uint32) *kitchen.Batch {
	w.t.Helper()
	for i := range w.s.Batches {
		if b := &w.s.Batches[i]; b.Status == kitchen.Open && b.Vessel == vessel && b.Number == number {
			return b
		}
	}
	require.Fail(w.t, "no such vessel", "%s %d", vessel, number)
	return nil
}

// steps does all steps of the stage of a batch, each well within its limit.
func (w *world) steps(crew, vessel string, number uint32) {
	w.t.Helper()
	b := w.open(vessel, number)
	st := w.s.Stage(b)
	for i := range st.Steps {
		t := &st.Steps[i]
		if !t.Optional && b.Marked(st.Name, t.Name) == nil {
			w.tap(crew, stepCommand(&kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: st.Name}, t))
			b = w.open(vessel, number)
		}
	}
}

// stepCommand fills in what a step asks for.
func stepCommand(c *kitchen.Command, t *procedure.Step) *kitchen.Command {
	c.Step = t.Name
	switch t.Kind {
	case procedure.Ask:
		c.Answer = "yes"
	case procedure.Photo:
		c.Text = "camera is broken"
	case procedure.Sign:
		c.Crew = "maren"
	case procedure.Read, procedure.Weigh, procedure.Tally:
		c.Unit, c.Value = t.Unit, 3600
		switch {
		case t.Limit.Min != nil && t.Limit.Max != nil:
			c.Value = (*t.Limit.Min + *t.Limit.Max) / 2
		case t.Limit.Min != nil:
			c.Value = *t.Limit.Min + 2600
		case t.Limit.Max != nil:
			c.Value = *t.Limit.Max - 600
		}
	}
	return c
}

// on takes a batch to its next stage, all steps done, in its own vessel.
func (w *world) on(crew, vessel string, number uint32) {
	w.t.Helper()
	w.steps(crew, vessel, number)
	b := w.open(vessel, number)
	next := w.s.Procedure(b.Procedure, b.Version).Next(b.Stage)
	w.tap(crew, &kitchen.Command{Do: kitchen.DoMove, Batch: b.ID, From: b.Stage, To: next.Name})
}

// into portions a batch into its next stage's vessels, all steps done.
func (w *world) into(crew, vessel string, number uint32, c kitchen.Command) {
	w.t.Helper()
	w.steps(crew, vessel, number)
	b := w.open(vessel, number)
	c.Do, c.Batch, c.From = kitchen.DoPortion, b.ID, b.Stage
	w.tap(crew, &c)
}

func (w *world) read(place string, milliC int64) {
	w.t.Helper()
	w.tap("teo", &kitchen.Command{Do: kitchen.DoReading, Place: place, Value: milliC, Unit: "mC"})
}

// shift is a list of what happens when.
type shift struct {
	w    *world
	jobs []job
}

type job struct {
	at stamp.Milli
	do func()
}

// add plans a job at a wall time, h hours and m minutes and s seconds after midnight.
func (f *shift) add(h, m, s int, do func()) {
	f.jobs = append(f.jobs, job{at(h, m).Add(stamp.Span(s) * stamp.Second), do})
}

func (f *shift) run() {
	slices.SortStableFunc(f.jobs, func(a, b job) int { return cmp.Compare(a.at, b.at) })
	for _, j := range f.jobs {
		f.w.now = max(f.w.now, j.at)
		j.do()
	}
}

// tub plans a tub: started, and eight minutes later in marinade.
func (f *shift) tub(h, m int, name string, grams int64, number uint32) {
	f.add(h, m, 0, func() {
		f.w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: name, Grams: grams, Lots: []string{"FR-2611"}})
	})
	f.add(h, m+8, 0, func() { f.w.on("teo", "tub", number) })
}

// coat plans how a drained tub is coated into one pan and set cold.
func (f *shift) coat(h, m int, tub, pan uint32, grams int64) {
	f.add(h, m, 0, func() { f.w.into("ines", "tub", tub, kitchen.Command{Grams: grams}) })
	f.add(h, m+10, 0, func() { f.w.on("ines", "pan", pan) })
}

// load plans a load and, ninety seconds later, the beginning of its cook.
func (f *shift) load(h, m int, pan uint32, place string, pieces, grams int64) {
	f.add(h, m, 0, func() {
		f.w.into("ines", "pan", pan, kitchen.Command{Place: place, Pieces: pieces, Grams: grams})
	})
	f.add(h, m+1, 30, func() { f.w.on("ines", "load", f.w.load(place)) })
}

// serve plans the end of a cook, and the tray that is in hold five minutes later.
func (f *shift) serve(h, m, s int, place string, pieces int64, tray uint32) {
	f.add(h, m, s, func() { f.w.on("ines", "load", f.w.load(place)) })
	f.add(h, m, s+60, func() { f.w.on("ines", "load", f.w.load(place)) })
	f.add(h, m, s+115, func() { f.w.into("ines", "load", f.w.load(place), kitchen.Command{Pieces: pieces}) })
	f.add(h, m, s+240, func() { f.w.on("ines", "tray", tray) })
}

// midshift is the kitchen at 11:38 on a busy day: tubs in marinade, one draining, pans set cold, a load in each fryer,
// trays in hold of which one is past its limit, a deviation, lists and a timer.
func midshift(t testing.TB) *world {
	w := newWorld(t, at(-6, 0))
	f := &shift{w: w}
	f.tub(-6, 30, "bone-in", 9000, 1)
	f.tub(-4, 50, "bone-in", 13800, 2)
	f.tub(-1, 20, "bone-in", 13800, 3)
	f.add(5, 20, 0, func() { w.on("teo", "tub", 1) })
	f.coat(6, 25, 1, 1, 8800)
	f.add(8, 40, 0, func() { w.on("teo", "tub", 2) })
	f.tub(4, 0, "thigh-strips", 8000, 4)
	f.add(9, 30, 0, func() { w.on("teo", "tub", 4) })
	f.coat(10, 0, 4, 3, 4800)
	f.coat(9, 50, 2, 2, 9000)
	f.add(10, 50, 0, func() { w.on("teo", "tub", 3) })
	f.readings()
	f.load(10, 26, 1, "fryer-1", 26, 4000)
	f.serve(10, 38, 45, "fryer-1", 22, 1)
	f.load(10, 48, 1, "fryer-1", 30, 4800)
	f.serve(11, 1, 0, "fryer-1", 24, 2)
	f.load(11, 25, 2, "fryer-1", 40, 6200)
	f.load(11, 32, 3, "fryer-2", 24, 3100)
	f.add(11, 20, 0, func() {
		w.tap("ines", &kitchen.Command{Do: kitchen.DoCount, Batch: w.open("tray", 1).ID, Count: 17})
		w.tap("ines", &kitchen.Command{Do: kitchen.DoCount, Batch: w.open("tray", 2).ID, Count: 10})
	})
	f.add(11, 30, 0, func() { w.tap("teo", &kitchen.Command{Do: kitchen.DoTimer, Name: "Stock", Span: 20 * stamp.Minute}) })
	for _, m := range []int{-60, 0, 10, 20} { // whoever hears a bell says so
		f.add(11, m, 30, w.gotAll)
	}
	f.add(-1, 55, 0, func() { w.tap("maren", w.closing()) })
	f.run()
	w.now = at(11, 38)
	return w
}

// readings plans the readings of the equipment, the lists, and one reading that is off.
func (f *shift) readings() {
	w := f.w
	f.add(5, 0, 0, func() { w.list("opening", 99) })
	f.add(9, 45, 0, func() { w.list("cleaning", 3) })
	f.add(10, 0, 0, func() { w.read("cold-room", 3200) })
	f.add(10, 5, 0, func() { w.read("cabinet-1", 55800) })
	f.add(10, 20, 0, func() { w.read("fryer-1", 168400) })
	f.add(10, 21, 0, func() { w.read("fryer-2", 169000) })
	f.add(11, 20, 0, func() { w.read("cabinet-1", 62400) })
}

// gotAll answers every bell that rings.
func (w *world) gotAll() {
	for _, b := range kitchen.Bells(w.s, w.now, 0) {
		w.tap("ines", &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key})
	}
}

// closing ends the evening's list with steps undone, as a lead may.
func (w *world) closing() *kitchen.Command {
	w.list("closing", 99)
	return &kitchen.Command{Do: kitchen.DoListClose, List: "closing", Day: w.s.WallDay(w.now)}
}

// list does the first n steps of a list.
func (w *world) list(name string, n int) {
	w.t.Helper()
	day := w.s.WallDay(w.now)
	for i := range w.s.List(name).Steps {
		if i < n {
			w.tap("maren", stepCommand(&kitchen.Command{Do: kitchen.DoStep, List: name, Day: day}, &w.s.List(name).Steps[i]))
		}
	}
}

func (w *world) load(place string) uint32 {
	w.t.Helper()
	in := w.s.In(place)
	require.Len(w.t, in, 1, place)
	return in[0].Number
}

// ctx is what a phone sees at a path.
func (w *world) ctx(crew, path string) *Context {
	return &Context{State: w.s, Now: w.now, Mono: 5000, Device: "d1", Crew: crew, Lang: "en", View: "main", Path: path,
		Saved: Saved{Joined: true, InTouch: true, Entries: true}, Last: w.last,
		Ability: Ability{Known: true, Sound: true, Awake: true, Vibrate: true, Visible: true, Secure: true}, NearNow: true,
		Near: []Near{{Device: "d1", Crew: crew, Can: canRing}, {Device: "d2", Can: canRing | CanHeard}}}
}

// fold folds entries in canonical order, those that were taken back or corrected as they then stand.
func fold(list []entry.Entry) *kitchen.State {
	amended := map[entry.ID]kitchen.Amended{}
	for i := range list {
		switch body, _ := list[i].Open(); b := body.(type) {
		case *entry.Withdrawal:
			a := amended[b.Entry]
			a.Withdrawn = true
			amended[b.Entry] = a
		case *entry.Correction:
			a := amended[b.Entry]
			a.By = &list[i]
			amended[b.Entry] = a
		}
	}
	s := kitchen.New()
	for i := range list {
		s.Apply(&list[i], amended[list[i].ID])
	}
	return s
}
