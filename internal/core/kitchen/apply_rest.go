package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// step keeps that a step was done, and what was seen.
func (f *folding) step(body *entry.Step) {
	m := Mark{
		Stage: body.Stage, Step: body.Step, Entry: f.e.ID, At: f.at, By: f.e.Crew, Value: body.Value, Unit: body.Unit,
		Answer: body.Answer, Note: body.Note, SignBy: body.SignBy, Photo: body.Photo, Probe: body.Probe,
	}
	f.used(body.Probe)
	if !body.Batch.IsZero() {
		f.batchStep(body, m)
		return
	}
	r := f.s.run(body.List, body.Day)
	r.Steps = append(r.Steps, m)
	if l := f.s.List(body.List); l != nil {
		f.did(Spot{List: l, Day: body.Day, Step: stepOf(l.Steps, body.Step)}, m.Note)
		d := Deviation{List: body.List, Day: body.Day}
		f.judge(stepOf(l.Steps, body.Step), &m, d)
		f.guidedStep(body, stepOf(l.Steps, body.Step), &m, d)
	}
}

func (f *folding) batchStep(body *entry.Step, m Mark) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	f.tell(b, body, !f.alive(b))
	b.Steps = append(b.Steps, m)
	if p := f.s.Procedure(b.Procedure, b.Version); p != nil {
		if st, _ := p.Stage(body.Stage); st != nil {
			f.did(b.At(body.Stage), m.Note)
			f.seenAt(b, st, &m)
			d := Deviation{Batch: b.ID, Stage: body.Stage, Place: b.Place}
			f.judge(stepOf(st.Steps, body.Step), &m, d)
			f.guidedStep(body, stepOf(st.Steps, body.Step), &m, d)
		}
	}
}

func stepOf(steps []procedure.Step, name string) *procedure.Step {
	for i := range steps {
		if steps[i].Name == name {
			return &steps[i]
		}
	}
	return nil
}

// asksNumber tells whether the step asks for a number.
func asksNumber(k procedure.StepKind) bool {
	return k == procedure.Read || k == procedure.Tally || k == procedure.Weigh
}

// judge opens a deviation when what was seen is not as it should be.
func (f *folding) judge(step *procedure.Step, m *Mark, d Deviation) {
	if step == nil {
		return
	}
	d.Step, d.Probe, d.Critical = m.Step, m.Probe, step.Limit.Critical
	if asksNumber(step.Kind) {
		if m.Unit != step.Unit {
			d.Code, d.Number, d.Unit = DevUnreadable, int64(f.e.Kind), "kind"
			f.deviate(d)
		} else if limit, off := offLimit(&step.Limit, m.Value); off {
			d.Code, d.Number, d.Limit, d.Unit, d.Text = DevOutOfLimit, m.Value, limit, m.Unit, m.Note
			f.deviate(d)
		}
	}
	if step.Kind == procedure.Ask && m.Answer == "no" {
		d.Code, d.Text = DevAnsweredNo, m.Note
		f.deviate(d)
	}
}

// run returns the list's run on the day, beginning it if need be.
func (s *State) run(list string, day int32) *Run {
	i, ok := slices.BinarySearchFunc(s.Runs, runKey{list, day}, byRun)
	if !ok {
		s.Runs = order.Insert(s.Runs, i, Run{List: list, Day: day})
	}
	return &s.Runs[i]
}

func (f *folding) listClose(body *entry.ListClose) {
	r := f.s.run(body.List, body.Day)
	if r.Closed {
		return
	}
	r.Closed, r.EndAt = true, f.at
	l := f.s.List(body.List)
	if l == nil {
		return
	}
	f.finished(Spot{List: l, Day: body.Day})
	if missing := f.s.MissingOf(l, body.Day); len(missing) > 0 {
		f.deviate(Deviation{
			Code: DevStepsMissing, List: body.List, Day: body.Day, Step: missing[0], Number: int64(len(missing)), Unit: "1",
		})
	}
}

// place returns what the journal says of a piece of equipment, to be changed.
func (s *State) place(name string) *Place {
	i, ok := slices.BinarySearchFunc(s.Places, name, byPlace)
	if !ok {
		s.Places = order.Insert(s.Places, i, Place{Name: name})
	}
	return &s.Places[i]
}

func (f *folding) reading(body *entry.Reading) {
	p := f.s.place(body.Place)
	p.Reading, p.ReadAt, p.ReadBy, p.ReadIn, p.Probe = body.MilliC, f.at, f.e.Crew, f.e.ID, body.Probe
	f.used(body.Probe)
	d := f.s.Equipment().Device(body.Place)
	if d == nil {
		return
	}
	f.measure("mC", body.MilliC, SeriesPlace, body.Place)
	if limit, off := offLimit(&d.Reading, body.MilliC); off {
		f.deviate(Deviation{
			Code: DevReadingOff, Place: body.Place, Number: body.MilliC, Limit: limit, Unit: "mC", Text: body.Note,
			Critical: d.Reading.Critical, Probe: body.Probe,
		})
	}
}

func (f *folding) equipment(body *entry.Equipment) {
	p := f.s.place(body.Place)
	p.Out, p.Why = body.Out, ""
	sort := DeedBack
	if body.Out {
		sort, p.Why = DeedOut, body.Reason
	}
	f.deed("", Deed{Sort: sort, Stage: body.Place, Why: p.Why})
}

func (f *folding) noted(body *entry.Deviation) {
	if b := f.s.Batch(body.Batch); b != nil {
		f.tell(b, body, false)
	}
	f.deviate(Deviation{Code: DevNoted, Batch: body.Batch, Place: body.Place, Text: body.Text})
}

func (f *folding) answer(body *entry.Answer) {
	d := f.s.Deviation(body.Deviation)
	if d == nil {
		return
	}
	d.Answers = append(d.Answers, DeviationAnswer{At: f.at, By: f.e.Crew, Action: body.Action})
	if body.Closes && !d.Closed && len(d.Missing()) == 0 {
		d.Closed, d.EndAt = true, f.at
	}
}

// timerMost is the longest that a plain timer may run.
const timerMost = 7 * stamp.Day

func (f *folding) timer(body *entry.Timer) {
	i, ok := slices.BinarySearchFunc(f.s.Timers, f.e.ID, byTimer)
	if ok {
		return
	}
	due := f.at.Add(min(max(body.Span, 0), timerMost))
	f.s.Timers = order.Insert(f.s.Timers, i, Timer{ID: f.e.ID, Name: body.Name, Set: f.at, Due: due, By: f.e.Crew})
}

func (f *folding) timerEnd(body *entry.TimerEnd) {
	if t := f.s.Timer(body.Timer); t != nil && !t.Ended {
		t.Ended, t.EndAt = true, f.at
		f.s.dropPrefix("timer/" + t.ID.String() + "/")
	}
}

func (f *folding) offsets(body *entry.Offsets) {
	list := slices.Clone(body.List)
	order.Stable(list, compareOffsets)
	f.s.Offsets = slices.CompactFunc(list, func(a, b entry.Offset) bool { return a.From == b.From })
	if body.Zone != "" {
		f.s.Zone = body.Zone
	}
}

func (f *folding) member(body *entry.Member) {
	i, ok := slices.BinarySearchFunc(f.s.Crew, body.Crew, byCrew)
	if !ok {
		f.s.Crew = order.Insert(f.s.Crew, i, entry.Member{})
	}
	f.s.Crew[i] = *body
}

func (f *folding) pairing(body *entry.Pairing) {
	*f.s.device(body.Device) = Device{Pairing: *body}
}

func (f *folding) revocation(body *entry.Revocation) {
	f.s.device(body.Device).Revoked = true
}

func (s *State) device(name string) *Device {
	i, ok := slices.BinarySearchFunc(s.Devices, name, byDevice)
	if !ok {
		s.Devices = order.Insert(s.Devices, i, Device{Pairing: entry.Pairing{Device: name}})
	}
	return &s.Devices[i]
}

// clockDoubt opens a deviation for a clock that looks wrong, unless one is open for it.
func (f *folding) clockDoubt(body *entry.ClockDoubt) {
	f.s.doubt(body.Device, f.at, body.Off)
	for i := range f.s.Deviations {
		if d := &f.s.Deviations[i]; d.Code == DevClock && !d.Closed && d.Text == body.Device {
			return
		}
	}
	f.deviate(Deviation{Code: DevClock, Number: int64(body.Off), Unit: "ms", Text: body.Device})
}

// gotIt keeps that somebody answered a bell of open work. What is answered twice counts once.
func (f *folding) gotIt(body *entry.GotIt) {
	subject, n, ok := cutKey(body.Bell)
	if !ok || !f.s.live(subject) {
		return
	}
	a := f.s.answered(subject)
	if n < a.N {
		return
	}
	a.N, a.At, a.By = a.N+1, f.at, f.e.Crew
	i, found := slices.BinarySearchFunc(f.s.Bells, subject, byAnswered)
	if !found {
		f.s.Bells = order.Insert(f.s.Bells, i, a)
	}
	f.s.Bells[i] = a
}
