package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/pin"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Try counts the wrong PINs for a member on this device since the last right one.
type Try struct {
	Crew  string
	Count int64
	At    stamp.Milli // of the last
}

// After so many wrong PINs one must wait, twice as long each time.
const (
	triesFree = 3
	waitFirst = 30 * stamp.Second
	waitMost  = stamp.Hour
)

// Until is when the next PIN may be tried.
func (t *Try) Until() stamp.Milli {
	if t.Count < triesFree {
		return 0
	}
	wait := stamp.Span(waitFirst)
	for n := int64(triesFree); n < t.Count && wait < waitMost; n++ {
		wait *= 2
	}
	return t.At.Add(min(wait, waitMost))
}

// PinOf returns how a member's PIN is checked, or nil when none was set.
func (s *State) PinOf(crew string) *PinMark {
	row := PinMark{}
	row.Crew = crew
	if i, ok := slices.BinarySearchFunc(s.Pins, row, byPin); ok {
		return &s.Pins[i]
	}
	return nil
}

// checked asks for a member's PIN. A wrong one is RefPin, which the door counts.
func (d *deciding) checked(crew, given string) *Refusal {
	m := d.s.PinOf(crew)
	if m == nil {
		return &Refusal{Code: RefNoPin, Name: crew}
	}
	t := Try{Crew: crew}
	for _, o := range d.who.Tries {
		if o.Crew == crew {
			t = o
		}
	}
	if until := t.Until(); until > d.now {
		return &Refusal{Code: RefPinWait, Name: crew, Number: t.Count, Until: until}
	}
	if pin.Is(given, m.Salt, m.Rounds, m.Digest) {
		return nil
	}
	t.Count, t.At = t.Count+1, d.now
	return &Refusal{Code: RefPin, Name: crew, Number: t.Count, Until: t.Until()}
}

// training decides what is about learning the work.
func (d *deciding) training() *Refusal {
	switch d.c.Do {
	case DoPin:
		return d.setPin()
	case DoSignOff:
		return d.signOff()
	case DoRung:
		return d.rung()
	case DoPlan:
		return d.acceptPlan()
	case DoShift:
		return d.shift()
	}
	return d.guided()
}

// setPin sets a member's PIN: their own, with the one before; or another's by a lead, with the lead's.
func (d *deciding) setPin() *Refusal {
	crew := cmp.Or(d.c.Crew, d.who.Crew)
	if m := d.s.Member(crew); m == nil || m.Gone {
		return &Refusal{Code: RefNoCrew, Name: crew}
	}
	if crew != d.who.Crew {
		if r := d.lead(); r != nil {
			return r
		}
	}
	if d.s.PinOf(d.who.Crew) != nil {
		if r := d.checked(d.who.Crew, d.c.OldPin); r != nil {
			return r
		}
	} else if crew != d.who.Crew {
		return &Refusal{Code: RefNoPin, Name: d.who.Crew}
	}
	switch {
	case !pin.Form(d.c.Pin) || pin.Plain(d.c.Pin):
		return &Refusal{Code: RefPinForm}
	case d.c.Again != "" && d.c.Again != d.c.Pin:
		return &Refusal{Code: RefPinTwice}
	}
	id := d.newID()
	d.drafts = append(d.drafts, Draft{ID: id, Body: &entry.Pin{
		Crew: crew, Salt: id[:], Rounds: pin.Rounds, Digest: pin.Digest(d.c.Pin, id[:], pin.Rounds),
	}})
	return nil
}

// signOff signs somebody off for a competence, or takes that back.
func (d *deciding) signOff() *Refusal {
	c := d.c
	by := cmp.Or(c.Trainer, d.who.Crew)
	x := d.s.Standing(c.Crew, c.What, c.Name, c.Competence, d.now)
	if m := d.s.Member(c.Crew); x.Competence == nil || m == nil || m.Gone {
		return &Refusal{Code: RefBadCommand, Name: c.Competence}
	}
	experience := c.Answer == entry.GroundsExperience
	if !d.s.CanSign(by, c.Crew, &x, experience, d.now) {
		return &Refusal{Code: RefNotTrainer, Name: by}
	}
	b := entry.SignOff{Crew: c.Crew, What: c.What, Document: c.Name, Competence: c.Competence, Version: x.Version, By: by,
		Pin: by != d.who.Crew, Grounds: entry.GroundsEvidence, Gone: c.Closes, Reason: clean(c.Reason)}
	if experience {
		b.Grounds = entry.GroundsExperience
	}
	if (c.Closes || experience) && b.Reason == "" {
		return &Refusal{Code: RefNeedReason}
	}
	if c.Closes { // taking back never waits for a PIN: it makes nobody less safe
		if b.Pin {
			return &Refusal{Code: RefNotTrainer, Name: d.who.Crew}
		}
		return d.add(&b)
	}
	if !experience && x.Missing(c.Known, c.Unknown) {
		return &Refusal{Code: RefEvidence, Name: x.Competence.Name, Document: c.Name, Number: x.Guided, Limit: x.Competence.Guided, Unit: "1"}
	}
	if r := d.checked(by, c.Pin); r != nil {
		return r
	}
	return d.add(&b)
}

// CanSign tells whether somebody may sign another off for a competence: a lead, or a trainer who is signed off for it
// themselves. On grounds of experience only a lead may. Nobody signs for themselves, but a lead who is the only one there is.
func (s *State) CanSign(by, crew string, x *Standing, experience bool, now stamp.Milli) bool {
	m := s.Member(by)
	switch {
	case m == nil || m.Gone:
		return false
	case by == crew:
		return m.Role == entry.Lead && experience && !slices.ContainsFunc(s.Crew, func(o entry.Member) bool {
			return o.Crew != by && !o.Gone && (o.Role == entry.Lead || o.Trainer)
		})
	case m.Role == entry.Lead:
		return true
	case !m.Trainer || experience && !s.IsLead(crew): // a trainer says it of a lead, whom nobody else could
		return false
	case experience:
		return true
	}
	own := s.Standing(by, x.What, x.Document, x.Competence.Name, now)
	return own.Signed
}

// rung keeps what somebody did in a practice night.
func (d *deciding) rung() *Refusal {
	c := d.c
	if d.s.Procedure(c.Procedure, 0) == nil {
		return &Refusal{Code: RefNoProcedure, Name: c.Procedure}
	}
	if c.Number < 1 || c.Number > 1000 || c.Count < 0 || c.Pieces < 0 || c.Pieces > c.Count || c.Wasted < 0 || c.Grams < 0 {
		return &Refusal{Code: RefBadCommand, Name: c.Do}
	}
	return d.add(&entry.Rung{Procedure: c.Procedure, Rung: uint32(c.Number), Seed: uint64(c.Value), Troubles: c.Count, Right: c.Pieces,
		Hurt: c.Wasted, Grams: c.Grams, Passed: c.Closes})
}

// mayDo asks whether whoever taps may do a spot's work, unless a lead gives leave for a reason, or it cannot wait.
func (d *deciding) mayDo(at Spot) *Refusal {
	r := d.s.MayDo(d.who.Crew, at, d.now)
	if r == nil {
		return nil
	}
	r.Urgent = d.s.Urgent(at.Batch)
	told := Deviation{Code: DevNotSigned, Stage: at.Stage, Day: at.Day}
	if r.Code == RefTooYoung { // no haste makes anybody older; but what ends the pressure is written down, whoever was alone with it
		r.Urgent = r.Urgent && cannotStay(d.s.Stage(at.Batch))
		told.Code = DevTooYoung
	}
	if at.Batch != nil {
		told.Batch = at.Batch.ID
	}
	if at.List != nil {
		told.List = at.List.Name
	}
	known := r.Urgent || r.Code == RefNotSigned && (at.Batch != nil || at.List != nil)
	if r.Urgent && d.c.Urgent || known && d.s.toldOf(&told, d.who.Crew) {
		return nil // the lead knows of it, or will
	}
	return d.unlessLeft(r)
}

// unlessLeft lets a lead's reasoned leave stand against a refusal for want of a sign-off.
func (d *deciding) unlessLeft(r *Refusal) *Refusal {
	if r == nil || r.Code != RefNotSigned || d.c.LeaveBy == "" {
		return r
	}
	m := d.s.Member(d.c.LeaveBy)
	if !d.s.IsLead(d.c.LeaveBy) {
		return &Refusal{Code: RefNotLead, Batch: r.Batch, Name: d.c.LeaveBy}
	}
	if blank(d.c.LeaveReason) {
		return &Refusal{Code: RefNeedReason, Batch: r.Batch}
	}
	d.leave = m.Name + ": " + clean(d.c.LeaveReason)
	return nil
}

// Fields implements wire.Fielder.
func (t *Try) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &t.Crew)
	wire.Int(c, "count", &t.Count)
	wire.Int(c, "at", &t.At)
}
