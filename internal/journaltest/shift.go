package journaltest

import (
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// tubEvery is how often a tub is begun: with some 45 entries for each, a day has about 3,000.
const tubEvery = 24 * stamp.Minute

// Shift makes n entries of a kitchen's orderly work, in canonical order: tubs that overlap and go through their stages
// into pans, loads and trays within their windows, and are sold, with every step that belongs to it, some 3,000 entries
// a day. What is open at any time stays about the same, so that sizes and times can be compared between journals of
// different length.
func Shift(seed uint64, n int) []entry.Entry {
	m := newMaker(seed)
	m.begin()
	for _, b := range demo.SignOffs(documents(), crew[:3]...) {
		m.add(&b)
	}
	p, err := procedure.Open([]byte(m.text("bone-in")))
	if err != nil {
		panic(err) // it is embedded, and has its own test
	}
	w := &worker{maker: m, p: p.Procedure}
	from := m.now
	for i := 0; len(m.made) < n+3000; i++ { // the last tubs are cut off in the middle, as at any moment
		m.now = from.Add(stamp.Span(i) * tubEvery)
		w.tub()
	}
	slices.SortFunc(m.made, func(a, b entry.Entry) int { return entry.Compare(&a, &b) })
	return m.made[:n]
}

// text returns the demo kitchen's document with the name.
func (m *maker) text(name string) string {
	for _, d := range documents() {
		if d.Name == name {
			return d.Text
		}
	}
	panic("no document " + name)
}

// worker takes tubs through a procedure.
type worker struct {
	*maker
	p *procedure.Procedure
}

// vessel is a batch under the worker's hands.
type vessel struct {
	id     entry.ID
	pieces int64
	fryer  int
}

func (w *worker) then(body entry.Body) {
	w.now = w.now.Add(stamp.Span(5_000 + w.rand.Int64N(9_000)))
	w.put(w.id(), body)
}

// put makes an entry at the worker's own time, which goes back to where the next batch's way begins.
func (w *worker) put(id entry.ID, body entry.Body) {
	at := stamp.Stamp{At: w.now, Count: uint32(len(w.made)), Device: pick(w.maker, devices[:4])}
	w.made = append(w.made, entry.New(id, at, pick(w.maker, crew[:3]), body))
}

func (w *worker) tub() {
	id := w.id()
	w.code++
	w.put(id, &entry.Start{Batch: id, Code: "T" + strconv.Itoa(w.code), Procedure: w.p.Name, Version: w.p.Version,
		Stage: w.p.Stages[0].Name, Vessel: "tub", Number: uint32(w.code%40 + 1), Place: "cold-room", Grams: 12_400, Pieces: 80,
		Lots: []string{"L-" + strconv.Itoa(w.code)}, Mix: entry.Mix{Water: 8270, Concentrate: 496}})
	w.stage(vessel{id, 80, w.code % 2}, 0)
}

// stage does what a batch's stage asks for, waits as long as it should, and goes on to the next one.
func (w *worker) stage(v vessel, i int) {
	s := &w.p.Stages[i]
	for j := range s.Steps {
		w.then(w.step(v, s, &s.Steps[j]))
	}
	w.now = w.now.Add(dwell(&s.Window))
	if i+1 == len(w.p.Stages) {
		for left := v.pieces; left > 0; left -= 8 {
			w.then(&entry.Count{Batch: v.id, Sold: min(left, 8)})
		}
		return
	}
	next := &w.p.Stages[i+1]
	if next.Vessel == s.Vessel {
		w.then(&entry.Move{Batch: v.id, From: s.Name, To: next.Name, Place: place(next, v.fryer)})
		w.stage(v, i+1)
		return
	}
	parts := w.portion(v, s, next)
	from := w.now
	for n, part := range parts {
		w.now = from.Add(stamp.Span(n+1) * 2 * stamp.Second) // each goes its own way from here
		w.stage(part, i+1)
	}
}

// dwell is how long a stage lasts in good hands.
func dwell(win *procedure.Window) stamp.Span {
	if d := max(win.Aim, win.BestFrom, win.Floor); d > 0 {
		return d + stamp.Second
	}
	return stamp.Minute
}

func (w *worker) step(v vessel, s *procedure.Stage, step *procedure.Step) *entry.Step {
	b := &entry.Step{Batch: v.id, Stage: s.Name, Step: step.Name, Unit: step.Unit, Answer: "yes"}
	switch l := step.Limit; {
	case l.Min != nil && l.Max != nil:
		b.Value = (*l.Min + *l.Max) / 2
	case l.Min != nil:
		b.Value = *l.Min + 2000
	case l.Max != nil:
		b.Value = *l.Max - 1500
	}
	if step.Kind == procedure.Sign {
		b.SignBy = "bo"
	}
	return b
}

func place(s *procedure.Stage, fryer int) string {
	switch s.Equipment {
	case "fryer":
		return "fryer-" + strconv.Itoa(fryer+1)
	case "cold room":
		return "cold-room"
	case "hold cabinet":
		return "cabinet-1"
	}
	return ""
}

// portion takes all of a batch into vessels of the next kind, forty pieces in each.
func (w *worker) portion(v vessel, from, to *procedure.Stage) (made []vessel) {
	p := &entry.Portioning{Out: []entry.Share{{Batch: v.id, Stage: from.Name, Grams: v.pieces * 155, Pieces: v.pieces, All: true}}}
	if to.Equipment == "fryer" {
		w.then(&entry.Reading{Place: place(to, v.fryer), MilliC: 170_000, Probe: "probe 1"})
	}
	w.now = w.now.Add(stamp.Second)
	for left := v.pieces; left > 0; left -= 40 {
		w.code++
		part := vessel{w.id(), min(left, 40), (v.fryer + len(made)) % 2}
		p.In = append(p.In, entry.Portion{Batch: part.id, Code: "V" + strconv.Itoa(w.code), Stage: to.Name, Vessel: to.Vessel,
			Number: uint32(w.code%40 + 1), Place: place(to, part.fryer), Grams: part.pieces * 155, Pieces: part.pieces})
		made = append(made, part)
	}
	w.put(w.id(), p)
	return made
}
