package kitchen

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

// Tones are what a trainer may say of a step in a tap.
var Tones = [...]string{entry.ToneWell, entry.ToneSlow, entry.ToneWrong, entry.ToneOther}

// guided decides what belongs to guided work.
func (d *deciding) guided() *Refusal {
	switch d.c.Do {
	case DoGuide:
		return d.guide()
	case DoAsk:
		return d.ask()
	case DoAnswerAsk:
		return d.answerAsk()
	case DoCheckAsk:
		return d.checkAsk()
	case DoTrainerNote:
		return d.trainerNote()
	}
	return d.demanded()
}

// guide begins to be led through a stage or a list.
func (d *deciding) guide() *Refusal {
	body := entry.Guide{Crew: cmp.Or(d.c.Crew, d.who.Crew), Trainer: d.c.Trainer}
	if m := d.s.Member(body.Crew); m == nil || m.Gone || body.Crew != d.who.Crew && !d.s.Trains(d.who.Crew) {
		return &Refusal{Code: RefNotTrainer, Name: d.who.Crew}
	}
	if d.c.Procedure != "" { // a batch that is about to be begun
		p := d.s.Procedure(d.c.Procedure, d.c.Version)
		if p == nil {
			return &Refusal{Code: RefNoProcedure, Name: d.c.Procedure}
		}
		body.Stage = p.Name + "/" + p.Stages[0].Name
	} else if r := d.at(&body.Spot); r != nil {
		return r
	}
	if b := d.s.Batch(body.Batch); b != nil {
		if d.c.Stage != "" && d.c.Stage != b.Stage {
			p := d.s.Procedure(b.Procedure, b.Version)
			if p == nil || p.Next(b.Stage) == nil || p.Next(b.Stage).Name != d.c.Stage {
				return &Refusal{Code: RefMovedOn, Batch: b.ID, Stage: b.Stage}
			}
			body.Stage = d.c.Stage
		}
	}
	if r := d.trainer(body.Trainer, body.Crew, body.Spot); r != nil {
		return r
	}
	body.Guide = d.newID()
	d.drafts = append(d.drafts, Draft{ID: body.Guide, Body: &body})
	return nil
}

// at takes over the batch or the day's list that the command names.
func (d *deciding) at(spot *entry.Spot) *Refusal {
	if d.c.List != "" {
		l, on, r := d.list()
		if r == nil {
			spot.List, spot.Day = l.Name, on
		}
		return r
	}
	b, r := d.batch(d.c.Batch)
	if r == nil {
		spot.Batch, spot.Stage = b.ID, b.Stage
	}
	return r
}

// trainer refuses who may not train, or who would answer for his own work.
func (d *deciding) trainer(crew, learner string, at entry.Spot) *Refusal {
	if crew == learner || !d.s.TrainsAt(crew, at, d.now) {
		return &Refusal{Code: RefNotTrainer, Name: crew}
	}
	return nil
}

// ask calls the trainer. What waits for an answer already is not asked twice.
func (d *deciding) ask() *Refusal {
	body := entry.GuideAsk{Step: d.c.Step, Help: d.c.Closes, Text: clean(d.c.Text)}
	if r := d.at(&body.Spot); r != nil {
		return r
	}
	g := d.s.GuidedList(d.who.Crew, body.List, body.Day)
	if b := d.s.Batch(body.Batch); b != nil {
		g = d.s.GuidedAt(d.who.Crew, b)
	}
	if g == nil {
		return &Refusal{Code: RefNotGuided, Batch: body.Batch}
	}
	body.Guide = g.Guide.Guide
	if body.Step != "" && d.s.StepOf(body.Batch, body.List, body.Stage, body.Step) == nil || body.Step == "" && !body.Help {
		return &Refusal{Code: RefNoStep, Batch: body.Batch, Stage: body.Stage, Step: body.Step, Name: body.Step}
	}
	if a := d.s.AskAbout(g, body.Batch, body.Step, body.Help); a != nil && d.s.Waits(a) {
		return nil
	}
	body.Ask = d.newID()
	d.drafts = append(d.drafts, Draft{ID: body.Ask, Body: &body})
	return nil
}

// StepOf returns a step of a batch's procedure or of a list, nil when there is no such step.
func (s *State) StepOf(batch entry.ID, list, stage, step string) *procedure.Step {
	if list != "" {
		if l := s.List(list); l != nil {
			return stepOf(l.Steps, step)
		}
		return nil
	}
	if b := s.Batch(batch); b != nil {
		if p := s.Procedure(b.Procedure, b.Version); p != nil {
			if st, _ := p.Stage(stage); st != nil {
				return stepOf(st.Steps, step)
			}
		}
	}
	return nil
}

// answerAsk answers what was asked: on the trainer's own phone with the number that stands on the other screen, or on the
// phone of who asked with the trainer's PIN, to be looked at later. Where the step asks for a number the trainer gives the
// one that he sees.
func (d *deciding) answerAsk() *Refusal {
	a := d.s.Ask(d.c.Ask)
	if a == nil {
		return &Refusal{Code: RefNoEntry}
	}
	yes := d.c.Answer == "yes"
	if !yes && d.c.Answer != "no" {
		return &Refusal{Code: RefNeedAnswer, Batch: a.Batch, Stage: a.Stage, Step: a.Step}
	}
	body := entry.GuideAnswer{Ask: a.ID, Yes: yes, Trainer: d.who.Crew, Note: clean(d.c.Reason), Seen: clean(d.c.Text)}
	switch {
	case a.Answered != 0 && (yes || !a.Answer.Yes):
		return nil
	case a.Help && d.who.Crew == a.By: // who asked knows by now
		return d.add(&body)
	case d.c.Trainer != "":
		body.Trainer, body.Pin = d.c.Trainer, true
	case d.who.Device == a.Device || d.who.Crew == a.By:
		return &Refusal{Code: RefOwnPhone, Name: a.By}
	}
	if r := d.trainer(body.Trainer, a.By, a.Spot); r != nil {
		return r
	}
	if body.Pin {
		if r := d.checked(body.Trainer, d.c.Pin); r != nil {
			return r
		}
	}
	if yes && !a.Help {
		if r := d.matched(a, &body); r != nil {
			r.Batch, r.Stage, r.Step = a.Batch, a.Stage, a.Step
			return r
		}
	}
	return d.add(&body)
}

// matched asks for the number on the other screen and for what the trainer sees. What is off its limit cannot be confirmed.
func (d *deciding) matched(a *Ask, body *entry.GuideAnswer) *Refusal {
	if !body.Pin && d.c.Number != a.Code() {
		return &Refusal{Code: RefWrongNumber, Name: a.By}
	}
	step := d.s.StepOf(a.Batch, a.List, a.Stage, a.Step)
	if step == nil || !asksNumber(step.Kind) {
		return nil
	}
	if d.c.Unit != step.Unit {
		return &Refusal{Code: RefNeedNumber, Unit: step.Unit}
	}
	if r := likely(d.c.Value, d.c.Unit); r != nil {
		return r
	}
	if limit, off := offLimit(&step.Limit, d.c.Value); off {
		return &Refusal{Code: RefOffLimit, Number: d.c.Value, Limit: limit, Unit: d.c.Unit}
	}
	body.Seen = seenAs(d.c.Value, d.c.Unit)
	return nil
}

// checkAsk takes a trainer's word, on another device, for whether an answer by PIN was his.
func (d *deciding) checkAsk() *Refusal {
	a := d.s.Ask(d.c.Ask)
	mine := d.c.Answer == "yes"
	switch {
	case a == nil || !a.Answer.Pin:
		return &Refusal{Code: RefNoEntry}
	case !mine && d.c.Answer != "no":
		return &Refusal{Code: RefNeedAnswer, Batch: a.Batch, Stage: a.Stage, Step: a.Step}
	case d.who.Crew != a.Answer.Trainer || d.who.Device == a.On:
		return &Refusal{Code: RefOwnPhone, Name: a.Answer.Trainer}
	case a.Checked != 0 && (mine || !a.Mine):
		return nil
	}
	return d.add(&entry.GuideCheck{Ask: a.ID, Mine: mine})
}

// trainerNote writes down how somebody who learns does.
func (d *deciding) trainerNote() *Refusal {
	m := d.s.Member(d.c.Crew)
	body := entry.TrainerNote{Crew: d.c.Crew, Spot: entry.Spot{Batch: d.c.Batch, List: d.c.List, Day: d.c.Day, Stage: d.c.Stage}, Step: d.c.Step, Tone: d.c.Answer, Text: clean(d.c.Text)}
	known := false
	for _, tone := range Tones {
		known = known || tone == body.Tone
	}
	switch {
	case m == nil || !known:
		return &Refusal{Code: RefBadCommand, Name: d.c.Crew}
	case body.Tone == entry.ToneOther && body.Text == "":
		return &Refusal{Code: RefNeedText}
	}
	if r := d.trainer(d.who.Crew, d.c.Crew, entry.Spot{}); r != nil {
		return r
	}
	return d.add(&body)
}

// confirmed refuses a critical step of somebody who learns until the trainer has confirmed it. A lead may let it go on, and
// what says that something is off always goes through.
func (d *deciding) confirmed(step *procedure.Step, body *entry.Step) *Refusal {
	g := d.s.guided(d.who.Crew, body)
	if g == nil || !step.Critical || tellsOff(step, body.Value, body.Answer) {
		return nil
	}
	for i := range d.s.Asks {
		a := &d.s.Asks[i]
		if a.Guide == g.Guide.Guide && a.Batch == body.Batch && a.Step == step.Name && !a.Help && a.Answer.Yes && a.Answered != 0 && a.Used == 0 {
			return nil
		}
	}
	urgent := d.s.Urgent(d.s.Batch(body.Batch))
	if urgent && d.c.Urgent {
		return nil // oil waits for nobody: the lead is told
	}
	r := d.unless(Refusal{Code: RefNotConfirmed, Step: step.Name, Name: g.Trainer, Override: true, Urgent: urgent})
	if r == nil && body.Note == "" {
		body.Note = clean(d.c.OverrideReason)
	}
	return r
}
