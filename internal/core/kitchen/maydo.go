package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Spot is where somebody wants to work: a stage of a batch (none yet: of a procedure that is begun), or a list.
type Spot struct {
	Batch     *Batch
	Procedure string
	Version   uint32
	Stage     string
	List      *procedure.List
	Day       int32
	Step      *procedure.Step // of a list: one of its steps, where it is about one
	Place     string          // where the batch goes; empty: it stays where it is
}

// At returns the spot of a batch's stage.
func (b *Batch) At(stage string) Spot {
	return Spot{Batch: b, Procedure: b.Procedure, Version: b.Version, Stage: stage}
}

// work returns the competence that the spot's work needs; one without Competence: none.
func (s *State) work(at *Spot) work {
	if at.List != nil {
		return work{WhatList, at.List.Name, at.List.Competence, at.List.Version, nil, at.List}
	}
	p := s.Procedure(at.Procedure, at.Version)
	if p == nil {
		return work{}
	}
	return work{WhatProcedure, p.Name, p.Competence(at.Stage), p.Version, p, nil}
}

// MayDo says why somebody may not do the work of a stage or list now, or nil: no sign-off and not guided, or too young.
func (s *State) MayDo(crew string, at Spot, now stamp.Milli) *Refusal {
	if r := s.tooYoungAt(crew, at, now); r != nil {
		return r
	}
	w := s.work(&at)
	if crew == "" || w.Competence == nil || s.guide(crew, at) != nil {
		return nil
	}
	x := s.standing(crew, w, now)
	if x.Signed {
		return nil
	}
	r := Refusal{Code: RefNotSigned, Stage: at.Stage, Name: w.Name, Document: w.document, Lapse: x.Lapse}
	if at.Batch != nil {
		r.Batch = at.Batch.ID
	}
	switch x.Lapse {
	case LapseUnused:
		r.Number, r.Limit, r.Unit = int64(x.Unused), int64(w.Unused), "ms"
	case LapseDeviations:
		r.Number, r.Limit, r.Unit = x.Offs, w.Deviations, "1"
	case LapseChanged:
		r.Stage, r.Step, r.Number = x.Stage, x.Step, int64(w.version)
	}
	return &r
}

// tooYoungAt says by which rule somebody is too young for a spot's work, or nil.
func (s *State) tooYoungAt(crew string, at Spot, now stamp.Milli) *Refusal {
	if m := s.Member(crew); m == nil || m.Born == 0 {
		return nil
	}
	if p := s.Procedure(at.Procedure, at.Version); p != nil && at.List == nil {
		if at.Place == "" && at.Batch != nil {
			at.Place = at.Batch.Place
		}
		if r := s.TooYoungAt(crew, p, at.Stage, at.Place, now); r != nil {
			return r
		}
	}
	if at.Step != nil {
		if r := s.TooYoungForStep(crew, at.Step, now); r != nil {
			return r
		}
	}
	return nil
}

// Urgent tells whether food, oil or pressure cannot wait until somebody who is signed off has come: what is in a fryer, or
// under pressure, is taken further by whoever stands there.
func (s *State) Urgent(b *Batch) bool {
	if b == nil || b.Status != Open {
		return false
	}
	st, d := s.Stage(b), s.Equipment().Device(b.Place)
	return st != nil && cannotStay(st) || d != nil && d.Kind == fryer
}

// Guided returns the guided work that covers a stage of a batch, or a list of a day, for a member: the latest one; nil when none
// does. It covers its own batch and what came out of that, at its own stage and at the others of the same competence.
func (s *State) Guided(crew string, at entry.Spot) *GuideMark {
	if l := s.List(at.List); l != nil {
		return s.guide(crew, Spot{List: l, Day: at.Day})
	}
	if b := s.Batch(at.Batch); b != nil {
		return s.guide(crew, b.At(at.Stage))
	}
	return nil
}

func (s *State) guide(crew string, at Spot) *GuideMark {
	var found *GuideMark
	for i := range s.Guides {
		g := &s.Guides[i]
		if g.Crew == crew && g.Trainer != crew && s.Trains(g.Trainer) && (found == nil || g.At >= found.At) && s.covers(g, &at) {
			found = g
		}
	}
	return found
}

func (s *State) covers(g *GuideMark, at *Spot) bool {
	if at.List != nil {
		return g.List == at.List.Name && g.Day == at.Day
	}
	if g.List != "" {
		return false
	}
	w := s.work(at)
	if g.Batch.IsZero() { // what is about to be begun
		return at.Batch == nil && g.Stage == at.Procedure+"/"+at.Stage
	}
	if g.Stage != at.Stage && (w.Competence == nil || !w.Covers(g.Stage)) {
		return false
	}
	return at.Batch != nil && s.cameOf(at.Batch, g)
}

// cameOf tells whether a batch is one of a guided run, or came out of one.
func (s *State) cameOf(b *Batch, g *GuideMark) bool {
	todo := []*Batch{b}
	for i := 0; i < len(todo) && i < generations; i++ {
		if id := todo[i].ID; id == g.Batch || slices.Contains(g.Also, id) {
			return true
		}
		for _, id := range todo[i].Parents {
			if p := s.Batch(id); p != nil {
				todo = append(todo, p)
			}
		}
	}
	return false
}

// generations bounds how many ancestors are looked at.
const generations = 64

// OilWork lists the competences of the newest procedures that cover a fryer: who is signed off for one of them looks after
// oil.
func (s *State) oilWork() []work {
	var list []work
	for _, p := range s.Procedures() {
		for i := range p.Stages {
			if c := p.Competence(p.Stages[i].Name); c != nil && p.Stages[i].Equipment == fryer {
				list = append(list, work{WhatProcedure, p.Name, c, p.Version, p, nil})
			}
		}
	}
	return list
}

// mayOil says why somebody may not do something with the oil of a fryer, or nil.
func (s *State) mayOil(crew, place, deed string, now stamp.Milli) *Refusal {
	if crew == "" {
		return nil
	}
	if r := s.TooYoungForOil(crew, place, deed, now); r != nil || deed == entry.OilMeasured {
		return r
	}
	list := s.oilWork()
	for _, w := range list {
		if s.standing(crew, w, now).Signed {
			return nil
		}
	}
	if len(list) == 0 {
		return nil
	}
	return &Refusal{Code: RefNotSigned, Name: list[0].Name, Document: list[0].document, Place: place}
}
