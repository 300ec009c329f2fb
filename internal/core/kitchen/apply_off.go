package kitchen

import (
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// deviate opens a deviation that the entry shows, and returns its key.
func (f *folding) deviate(d Deviation) string {
	base := f.e.ID.String() + "/" + strconv.Itoa(int(d.Code))
	d.Key = base
	for n := 2; f.s.Deviation(d.Key) != nil; n++ {
		d.Key = base + "/" + strconv.Itoa(n)
	}
	f.file(d)
	return d.Key
}

// deviateAs opens a deviation in the name of another entry, once.
func (f *folding) deviateAs(e *entry.Entry, d Deviation) {
	d.Key = e.ID.String() + "/" + strconv.Itoa(int(d.Code))
	if f.s.Deviation(d.Key) == nil {
		f.file(d)
	}
}

// deviateOnce opens a deviation unless one of its sort is open for the batch and stage already.
func (f *folding) deviateOnce(d Deviation) {
	for i := range f.s.Deviations {
		o := &f.s.Deviations[i]
		if !o.Closed && o.Code == d.Code && o.Batch == d.Batch && o.Stage == d.Stage && o.Place == d.Place {
			return
		}
	}
	f.deviate(d)
}

// off is a deviation whose number is the kind of the entry that does not fit.
func (f *folding) off(code DeviationCode, batch entry.ID, stage string) Deviation {
	return Deviation{Code: code, Batch: batch, Stage: stage, Number: int64(f.e.Kind), Unit: "kind"}
}

func (f *folding) file(d Deviation) {
	d.At, d.By = f.at, f.e.Crew
	f.counts(&d)
	i, _ := slices.BinarySearchFunc(f.s.Deviations, d.Key, byDeviation)
	f.s.Deviations = order.Insert(f.s.Deviations, i, d)
}

// leaving looks at what is off when the batch leaves its stage now.
func (f *folding) leaving(b *Batch, over entry.Override) {
	st := f.s.Stage(b)
	if st == nil {
		return
	}
	w := f.s.Window(b)
	lasted := f.at.Since(b.Since)
	f.waited(b, st, lasted)
	d := Deviation{Batch: b.ID, Stage: b.Stage, Number: int64(lasted), Unit: "ms", Text: over.Reason, Critical: w.Critical}
	switch window.At(&w, lasted) {
	case window.TooSoon:
		d.Code, d.Limit = DevTooSoon, int64(w.Floor)
		f.deviate(d)
	case window.Past:
		d.Code, d.Limit = DevPastLimit, int64(w.Ceiling)
		if key := f.deviate(d); cannotStay(st) && b.Doubt == "" {
			b.Doubt = key
		}
	}
	if missing := f.s.Missing(b); len(missing) > 0 {
		f.deviate(Deviation{
			Code: DevStepsMissing, Batch: b.ID, Stage: b.Stage, Step: missing[0],
			Number: int64(len(missing)), Unit: "1", Text: strings.Join(missing, " "),
		})
	}
}

// soldLate opens a deviation when something is sold after the hold's limit, once.
func (f *folding) soldLate(b *Batch) {
	w := f.s.Window(b)
	if lasted := f.at.Since(b.Since); window.At(&w, lasted) == window.Past {
		f.deviateOnce(Deviation{
			Code: DevPastLimit, Batch: b.ID, Stage: b.Stage, Number: int64(lasted), Limit: int64(w.Ceiling), Unit: "ms",
			Critical: w.Critical,
		})
	}
}

// Window returns the window of the stage at which the batch is. Where the stage writes a date mark, the date of the
// mark is its ceiling, since it may be stricter than the stage alone.
func (s *State) Window(b *Batch) procedure.Window {
	st := s.Stage(b)
	if st == nil {
		return procedure.Window{}
	}
	w := st.Window
	if mark := b.UseBy.Since(b.Since); st.Mark && b.UseBy != 0 && mark < w.Ceiling {
		w.Ceiling = max(mark, 1)
		w.BestUntil = min(w.BestUntil, w.Ceiling)
	}
	s.away(b, &w)
	return w
}

// Missing lists the required steps of the batch's stage that are not done, in their order.
func (s *State) Missing(b *Batch) []string {
	var names []string
	if st := s.Stage(b); st != nil {
		for i := range st.Steps {
			step := &st.Steps[i]
			if !step.Optional && !s.done(step, b.Marked(st.Name, step.Name)) {
				names = append(names, step.Name)
			}
		}
	}
	return names
}

// done tells whether the mark does the step: a lead's signature is one only if it is a lead's.
func (s *State) done(step *procedure.Step, m *Mark) bool {
	return m != nil && (step.Kind != procedure.Sign || step.Role != "lead" || s.IsLead(m.SignBy))
}

// MissingOf lists the required steps of a list that are not done on a day, in their order.
func (s *State) MissingOf(l *procedure.List, day int32) []string {
	var names []string
	run := s.Run(l.Name, day)
	for i := range l.Steps {
		if step := &l.Steps[i]; !step.Optional && !s.done(step, run.Marked(step.Name)) {
			names = append(names, step.Name)
		}
	}
	return names
}

// sameName opens a deviation when another open batch is in a vessel of the same name.
func (f *folding) sameName(b *Batch) {
	if b.Number == 0 {
		return
	}
	for i := range f.s.Batches {
		o := &f.s.Batches[i]
		if o.Status == Open && o.ID != b.ID && o.Vessel == b.Vessel && o.Number == b.Number {
			f.deviate(Deviation{Code: DevSameName, Batch: b.ID, Stage: b.Stage, Number: int64(b.Number), Text: b.Vessel})
			return
		}
	}
}

// placed looks whether the batch may be where it has just been put.
func (f *folding) placed(b *Batch) {
	d := f.s.Equipment().Device(b.Place)
	if b.Place == "" || d == nil {
		return
	}
	if d.Kind == fryer {
		f.loaded(b.Place)
	}
	p := f.s.Place(b.Place)
	off := Deviation{Batch: b.ID, Place: b.Place, Stage: b.Stage}
	if p.Out {
		off.Code, off.Text = DevPlaceOut, p.Why
		f.deviate(off)
	}
	if d.Single && len(f.s.others(b)) > 0 {
		off.Code, off.Text = DevPlaceBusy, ""
		f.deviate(off)
	}
	if rest := f.at.Since(p.EmptyAt); p.EmptyAt != 0 && rest < d.Between {
		f.deviate(Deviation{
			Code: DevNotRested, Batch: b.ID, Place: b.Place, Stage: b.Stage,
			Number: int64(rest), Limit: int64(d.Between), Unit: "ms",
		})
	}
	if r := f.s.unchecked(d, f.at); r != nil {
		f.deviate(Deviation{
			Code: DevOilUnchecked, Batch: b.ID, Place: b.Place, Stage: b.Stage, Number: r.Number, Limit: r.Limit, Unit: r.Unit,
			Critical: d.Reading.Critical,
		})
	}
}

// others lists the open batches beside b in its piece of equipment.
func (s *State) others(b *Batch) []*Batch {
	return slices.DeleteFunc(s.In(b.Place), func(o *Batch) bool { return o.ID == b.ID })
}

// Unchecked says why a load may not go into a piece of equipment by its readings; nil when it may.
func (s *State) Unchecked(d *procedure.Device, at stamp.Milli) *Refusal { return s.unchecked(d, at) }

// unchecked says why a load may not go into equipment whose reading is checked; nil if it may.
func (s *State) unchecked(d *procedure.Device, at stamp.Milli) *Refusal {
	p := s.Place(d.Name)
	r := Refusal{Place: d.Name, Unit: "mC", Number: p.Reading}
	if !d.Checked {
		return nil
	}
	if p.ReadIn.IsZero() {
		r.Code, r.Number = RefNoReading, 0
		r.Limit, _ = bound(&d.Reading)
		return &r
	}
	r.Age = at.Since(p.ReadAt)
	if limit, off := offLimit(&d.Reading, p.Reading); off {
		r.Code, r.Limit = RefReadingOff, limit
		return &r
	}
	if d.ReadEvery > 0 && r.Age > d.ReadEvery {
		r.Code, r.Limit = RefReadingOld, int64(d.ReadEvery)
		return &r
	}
	return nil
}

// offLimit returns the end of the limit that n is beyond.
func offLimit(l *procedure.Limit, n int64) (limit int64, off bool) {
	switch {
	case l.Min != nil && n < *l.Min:
		return *l.Min, true
	case l.Max != nil && n > *l.Max:
		return *l.Max, true
	}
	return 0, false
}

// bound returns one end of a limit, the lower one first.
func bound(l *procedure.Limit) (limit int64, ok bool) {
	switch {
	case l.Min != nil:
		return *l.Min, true
	case l.Max != nil:
		return *l.Max, true
	}
	return 0, false
}
