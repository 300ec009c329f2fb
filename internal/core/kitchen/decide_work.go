package kitchen

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// discard throws away what is left of a batch.
func (d *deciding) discard() *Refusal {
	b, r := d.batch(d.c.Batch)
	if r != nil {
		return r
	}
	if r := d.underPressure(b); r != nil {
		return r
	}
	if blank(d.c.Reason) {
		return &Refusal{Code: RefNeedReason, Batch: b.ID}
	}
	return d.add(&entry.Discard{Batch: b.ID, Grams: b.Grams, Pieces: b.Pieces, Reason: clean(d.c.Reason)})
}

// count counts what left a tray in the hold: sold, or wasted. What is past its limit is not sold.
func (d *deciding) count() *Refusal {
	b, r := d.batch(d.c.Batch)
	if r != nil {
		return r
	}
	st := d.s.Stage(b)
	if st == nil || st.Kind != procedure.Hold {
		return &Refusal{Code: RefNotHold, Batch: b.ID, Stage: b.Stage}
	}
	if r := d.frozen(b); r != nil {
		return r
	}
	sold, wasted := d.c.Count, d.c.Wasted
	if r := cmp.Or(likely(sold, "1"), likely(wasted, "1")); r != nil {
		r.Batch = b.ID
		return r
	}
	switch {
	case sold+wasted == 0:
		return &Refusal{Code: RefNeedPieces, Batch: b.ID, Unit: "1"}
	case b.InPieces > 0 && sold+wasted > b.Pieces:
		return &Refusal{Code: RefMoreThanThere, Batch: b.ID, Number: sold + wasted, Limit: b.Pieces, Unit: "1"}
	}
	if sold > 0 {
		if r := d.doubt(b); r != nil {
			return r
		}
		w := d.s.Window(b)
		if window.At(&w, d.now.Since(b.Since)) == window.Past {
			if r := d.inTime(b, st); r != nil {
				return r
			}
		}
	}
	return d.add(&entry.Count{Batch: b.ID, Sold: sold, Wasted: wasted, Reason: clean(d.c.Reason)})
}

// step keeps that a step of a batch's stage or of a list was done.
func (d *deciding) step() *Refusal {
	if d.c.List != "" {
		return d.listStep()
	}
	b, r := d.batch(d.c.Batch)
	if r != nil {
		return r
	}
	st := d.s.Stage(b)
	if st == nil {
		return &Refusal{Code: RefNoProcedure, Batch: b.ID, Name: b.Procedure}
	}
	if d.c.Stage != "" && d.c.Stage != b.Stage {
		return &Refusal{Code: RefMovedOn, Batch: b.ID, Stage: b.Stage}
	}
	marked := func(name string) *Mark { return b.Marked(st.Name, name) }
	if r := d.mayDo(b.At(st.Name)); r != nil {
		return r
	}
	body := entry.Step{Batch: b.ID, Stage: st.Name}
	if r := d.fill(&body, st.Steps, marked); r != nil {
		r.Batch, r.Stage = b.ID, st.Name
		return r
	}
	if r := d.confirmed(stepOf(st.Steps, body.Step), &body); r != nil {
		r.Batch, r.Stage = b.ID, st.Name
		return r
	}
	return d.add(&body)
}

func (d *deciding) listStep() *Refusal {
	l, day, r := d.list()
	if r != nil {
		return r
	}
	if r := d.mayDo(Spot{List: l, Day: day, Step: stepOf(l.Steps, d.c.Step)}); r != nil {
		return r
	}
	body := entry.Step{List: l.Name, Day: day}
	if r := d.fill(&body, l.Steps, d.s.Run(l.Name, day).Marked); r != nil {
		return r
	}
	if r := d.confirmed(stepOf(l.Steps, body.Step), &body); r != nil {
		return r
	}
	return d.add(&body)
}

// list returns the list and the day that the command names, today when it names none, while it is not closed.
func (d *deciding) list() (*procedure.List, int32, *Refusal) {
	l := d.s.List(d.c.List)
	if l == nil {
		return nil, 0, &Refusal{Code: RefNoList, Name: d.c.List}
	}
	day, today := d.c.Day, d.s.WallDay(d.now)
	if day == 0 {
		day = today
	}
	if off := int64(day) - int64(today); off > 1 || off < -runDays {
		return nil, 0, &Refusal{Code: RefUnlikely, Name: l.Name, Number: int64(day), Limit: int64(today), Unit: "day"}
	}
	if run := d.s.Run(l.Name, day); run != nil && run.Closed {
		return nil, 0, &Refusal{Code: RefClosed, Name: l.Name}
	}
	return l, day, nil
}

// fill completes a step's body by what the step asks for. Critical steps are taken in their order.
func (d *deciding) fill(body *entry.Step, steps []procedure.Step, marked func(string) *Mark) *Refusal {
	step := stepOf(steps, d.c.Step)
	if step == nil {
		return &Refusal{Code: RefNoStep, Step: d.c.Step, Name: d.c.Step}
	}
	for i := range steps {
		o := &steps[i]
		if o.Name == step.Name {
			break
		}
		if o.Critical && !o.Optional && !d.s.done(o, marked(o.Name)) {
			return &Refusal{Code: RefStepFirst, Step: o.Name, Name: o.Name}
		}
	}
	body.Step, body.Note, body.Photo = step.Name, cmp.Or(clean(d.c.Text), d.leave), d.c.Photo
	return d.seen(body, step)
}

// seen takes over what was seen or said.
func (d *deciding) seen(body *entry.Step, step *procedure.Step) *Refusal {
	switch {
	case asksNumber(step.Kind):
		if d.c.Unit != step.Unit {
			return &Refusal{Code: RefNeedNumber, Step: step.Name, Unit: step.Unit}
		}
		if r := likely(d.c.Value, d.c.Unit); r != nil {
			r.Step = step.Name
			return r
		}
		body.Value, body.Unit = d.c.Value, d.c.Unit
		if step.Unit == "mC" {
			body.Probe = clean(cmp.Or(d.c.Probe, d.s.ProbeInHand(d.who.Crew)))
		}
	case step.Kind == procedure.Ask:
		if d.c.Answer != "yes" && d.c.Answer != "no" {
			return &Refusal{Code: RefNeedAnswer, Step: step.Name}
		}
		body.Answer = d.c.Answer
	case step.Kind == procedure.Sign:
		body.SignBy = d.c.Crew
		if body.SignBy == "" {
			body.SignBy = d.who.Crew
		}
		if m := d.s.Member(body.SignBy); m == nil || m.Gone || step.Role == "lead" && m.Role != entry.Lead {
			return &Refusal{Code: RefNeedSign, Step: step.Name, Name: step.Role}
		}
	case step.Kind == procedure.Photo:
		if d.c.Photo == "" && blank(d.c.Text) { // without a camera, a word on why keeps the work going
			return &Refusal{Code: RefNeedText, Step: step.Name}
		}
	}
	return nil
}

// likely refuses a number that nobody can mean, such as a temperature typed without its point.
func likely(n int64, unit string) *Refusal {
	least, most := int64(0), int64(startMost)
	switch unit {
	case "mC":
		least, most = -60_000, 400_000
	case "ms":
		most = int64(timerMost)
	}
	if n < least {
		return &Refusal{Code: RefUnlikely, Number: n, Limit: least, Unit: unit}
	}
	if n > most {
		return &Refusal{Code: RefUnlikely, Number: n, Limit: most, Unit: unit}
	}
	return nil
}

// reading keeps a temperature read at a piece of equipment.
func (d *deciding) reading() *Refusal {
	if d.s.Equipment().Device(d.c.Place) == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	}
	if d.c.Unit != "mC" {
		return &Refusal{Code: RefNeedNumber, Place: d.c.Place, Unit: "mC"}
	}
	if r := likely(d.c.Value, "mC"); r != nil {
		r.Place = d.c.Place
		return r
	}
	return d.add(&entry.Reading{
		Place: d.c.Place, MilliC: d.c.Value, Probe: clean(cmp.Or(d.c.Probe, d.c.Name)), Note: clean(d.c.Text),
	})
}

// got silences a bell. One that does not ring, or that somebody silenced already, needs nothing.
func (d *deciding) got() *Refusal {
	subject, n, ok := cutKey(d.c.Bell)
	if !ok {
		return &Refusal{Code: RefBadCommand, Name: d.c.Bell}
	}
	if n != d.s.answered(subject).N || !d.s.live(subject) {
		return nil
	}
	return d.add(&entry.GotIt{Bell: d.c.Bell})
}

// timer starts a plain named timer.
func (d *deciding) timer() *Refusal {
	if d.c.Span <= 0 || d.c.Span > timerMost {
		return &Refusal{Code: RefUnlikely, Number: int64(d.c.Span), Limit: int64(timerMost), Unit: "ms"}
	}
	id := d.newID()
	d.drafts = append(d.drafts, Draft{ID: id, Body: &entry.Timer{Timer: id, Name: clean(d.c.Name), Span: d.c.Span}})
	return nil
}

func (d *deciding) timerEnd() *Refusal {
	t := d.s.Timer(d.c.Timer)
	if t == nil {
		return &Refusal{Code: RefNoTimer}
	}
	if t.Ended {
		return nil
	}
	return d.add(&entry.TimerEnd{Timer: t.ID})
}

// equipment takes a piece of equipment out of use, or back.
func (d *deciding) equipment() *Refusal {
	if d.s.Equipment().Device(d.c.Place) == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	}
	out := d.c.Answer == "out"
	switch {
	case !out && d.c.Answer != "in":
		return &Refusal{Code: RefNeedAnswer, Place: d.c.Place}
	case out && blank(d.c.Reason):
		return &Refusal{Code: RefNeedReason, Place: d.c.Place}
	case out == d.s.Place(d.c.Place).Out:
		return nil
	}
	return d.add(&entry.Equipment{Place: d.c.Place, Out: out, Reason: clean(d.c.Reason)})
}

// listClose ends a day's run of a list. An incomplete one needs a lead.
func (d *deciding) listClose() *Refusal {
	l, day, r := d.list()
	if r != nil {
		return r
	}
	if r := d.mayDo(Spot{List: l, Day: day}); r != nil {
		return r
	}
	if missing := d.s.MissingOf(l, day); len(missing) > 0 && !d.s.IsLead(d.who.Crew) {
		r := Refusal{
			Code: RefStepMissing, Step: missing[0], Name: missing[0], Number: int64(len(missing)), Unit: "1", Override: true,
		}
		if r := d.unless(r); r != nil {
			return r
		}
	}
	return d.add(&entry.ListClose{List: l.Name, Day: day})
}

// undoFor is how long a tap may be undone; undoGrace lets through one whose seconds stood still on the page, because it
// was hidden or somebody's focus was on it, and one that was tapped in time and came late.
const (
	undoFor   = 10 * stamp.Second
	undoGrace = 15 * stamp.Second
)
