package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// did notes that whoever acted did the work of a spot, and opens a deviation when they might not: the entry tells what
// happened. Reason is a lead's, who gave leave.
func (f *folding) did(at Spot, reason string) {
	crew := f.e.Crew
	if crew == "" {
		return
	}
	if r := f.s.MayDo(crew, at, f.at); r != nil {
		d := notAllowed(r, Deviation{Stage: at.Stage, Text: reason})
		if at.List != nil {
			d.List, d.Day = at.List.Name, at.Day
		}
		if at.Batch != nil {
			d.Batch, d.Place = at.Batch.ID, at.Batch.Place
		}
		if !f.s.toldOf(&d, crew) {
			f.deviate(d)
		}
		return
	}
	w := f.s.work(&at)
	if w.Competence == nil || f.s.guide(crew, at) != nil {
		return
	}
	put(&f.s.Worked, WorkMark{crew, w.what, w.document, w.Name, f.at, f.offs(crew, w)}, byWork)
}

// notAllowed is the deviation of somebody's work that a refusal would have kept them from.
func notAllowed(r *Refusal, d Deviation) Deviation {
	if d.Code = DevNotSigned; r.Code == RefTooYoung {
		d.Code, d.Number, d.Limit, d.Unit, d.Text = DevTooYoung, r.Number, r.Limit, "1", r.Name
	}
	return d
}

func (f *folding) offs(crew string, w work) []stamp.Milli {
	if m := f.s.worked(crew, w); m != nil {
		return m.Offs
	}
	return nil
}

// toldOf tells whether the lead has been told already: one deviation for each spot and member.
func (s *State) toldOf(d *Deviation, crew string) bool {
	return slices.ContainsFunc(s.Deviations, func(o Deviation) bool {
		return o.Code == d.Code && o.By == crew && o.Batch == d.Batch && o.Stage == d.Stage && o.List == d.List && o.Day == d.Day
	})
}

// againstWork lists the deviations that count against whoever does the work. What somebody read and wrote down honestly never
// does, nor what a lead gave leave for.
var againstWork = [...]DeviationCode{DevTooSoon, DevPastLimit, DevStepsMissing, DevOilUnchecked, DevNotRested, DevPlaceOut,
	DevPlaceBusy, DevMoreThanThere, DevAfterDiscard, DevFrozen}

// counts takes a deviation into what is held against a sign-off.
func (f *folding) counts(d *Deviation) {
	if d.By == "" || d.Text != "" && (d.Code == DevTooSoon || d.Code == DevPastLimit) || !slices.Contains(againstWork[:], d.Code) {
		return
	}
	at := Spot{Stage: d.Stage, Day: d.Day, List: f.s.List(d.List)}
	if at.List == nil {
		b := f.s.Batch(d.Batch)
		if b == nil {
			return
		}
		at = b.At(d.Stage)
	}
	w := f.s.work(&at)
	if w.Competence == nil || w.Deviations == 0 {
		return
	}
	x := f.s.standing(d.By, w, f.at)
	if !x.Signed || f.s.guide(d.By, at) != nil { // a trainer stands beside whoever is guided
		return
	}
	offs := append(slices.Clone(f.offs(d.By, w)), d.At)
	row := WorkMark{d.By, w.what, w.document, w.Name, 0, offs[max(0, len(offs)-offsMost):]}
	if m := f.s.worked(d.By, w); m != nil {
		row.At = m.At
	}
	put(&f.s.Worked, row, byWork)
}

// offsMost is how many deviations of somebody's work are remembered: as many as a competence may allow.
const offsMost = procedure.LapseMost

// finished counts a guided run when whoever was guided ends the work of a spot.
func (f *folding) finished(at Spot) {
	if f.e.Crew == "" || f.s.guide(f.e.Crew, at) == nil {
		return
	}
	row := GuidedCount{Crew: f.e.Crew, What: WhatProcedure, Document: at.Procedure, Stage: at.Stage}
	if at.List != nil {
		row.What, row.Document, row.Stage = WhatList, at.List.Name, ""
	}
	w := f.s.work(&at)
	w.what, w.document = row.What, row.Document
	row = f.s.guidedCount(f.e.Crew, w, row.Stage)
	row.Count, row.At = row.Count+1, f.at
	if w.Competence != nil && w.version >= row.Version {
		row.Version, row.Print = w.version, w.sum(row.Stage)
	}
	put(&f.s.GuidedRuns, row, byCount)
}

// begun ties guided work that was to begin a batch to the batch.
func (f *folding) begun(b *Batch) {
	for i := range f.s.Guides {
		g := &f.s.Guides[i]
		if g.Crew != f.e.Crew || g.List != "" {
			continue
		}
		if g.Batch.IsZero() && g.Stage == b.Procedure+"/"+b.Stage {
			g.Batch, g.Stage = b.ID, b.Stage
			return
		}
		if first := f.s.Batch(g.Batch); first != nil && first.MadeAt.Add(alike) >= f.at && g.Stage == b.Stage && first.Procedure == b.Procedure {
			g.Also = append(g.Also, b.ID)
			return
		}
	}
}

// training folds what is about learning the work.
func (f *folding) training(body entry.Body) {
	switch b := body.(type) {
	case *entry.Pin:
		put(&f.s.Pins, PinMark{Pin: *b, At: f.at, By: f.e.Crew}, byPin)
	case *entry.Guide:
		put(&f.s.Guides, GuideMark{Guide: *b, At: f.at, By: f.e.Crew}, byGuide)
	case *entry.GuideAsk:
		f.guideAsked(b)
	case *entry.GuideAnswer:
		f.guideAnswered(b)
	case *entry.GuideCheck:
		f.guideChecked(b)
	case *entry.TrainerNote:
		f.trainerNoted(b)
	case *entry.SignOff:
		f.signOff(b)
	case *entry.Rung:
		f.rung(b)
	default:
		f.demanded(body)
	}
}

func (f *folding) signOff(b *entry.SignOff) {
	put(&f.s.SignOffs, SignMark{SignOff: *b, Entry: f.e.ID, At: f.at}, bySign)
	w := work{what: b.What, document: b.Document}
	if l := f.s.List(b.Document); b.What == WhatList && l != nil && l.Version == b.Version {
		w.l, w.Competence = l, l.Competence
	}
	if p := f.s.Procedure(b.Document, b.Version); b.What == WhatProcedure && p != nil && b.Version != 0 {
		w.p, w.Competence = p, p.CompetenceNamed(b.Competence)
	}
	if w.Competence != nil && w.Name == b.Competence {
		f.s.print(w, b.Version)
	}
}

// rung keeps the best night of a rung: one that was passed, then the one with more settled rightly.
func (f *folding) rung(b *entry.Rung) {
	if f.e.Crew == "" {
		return
	}
	row := RungMark{Crew: f.e.Crew, Rung: *b, At: f.at}
	if i, ok := slices.BinarySearchFunc(f.s.Rungs, row, byRung); ok {
		if old := &f.s.Rungs[i]; old.Passed && !b.Passed || old.Passed == b.Passed && old.Right > b.Right {
			return
		}
	}
	put(&f.s.Rungs, row, byRung)
}

// put puts a row where it belongs in a sorted list, in the place of one of the same name.
func put[T any](list *[]T, row T, by func(a, b T) int) {
	i, ok := slices.BinarySearchFunc(*list, row, by)
	if ok {
		(*list)[i] = row
		return
	}
	*list = order.Insert(*list, i, row)
}
