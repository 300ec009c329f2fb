package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

// New returns the state of a kitchen of which nothing is known.
func New() *State { return new(State) }

// Batch returns the batch, or nil.
func (s *State) Batch(id entry.ID) *Batch {
	if i, ok := s.batchAt(id); ok {
		return &s.Batches[i]
	}
	return nil
}

// batchAt returns where the batch stands, or would. It copies no batch to look at its id, since it is asked all the time.
func (s *State) batchAt(id entry.ID) (at int, found bool) {
	low, high := 0, len(s.Batches)
	for low < high {
		if mid := (low + high) / 2; s.Batches[mid].ID.Compare(id) < 0 {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low, low < len(s.Batches) && s.Batches[low].ID == id
}

// ByCode returns the batch with the short code, or nil: an open one, else the one made last.
func (s *State) ByCode(code string) *Batch {
	var found *Batch
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Code == code && (found == nil || b.Status == Open || found.Status != Open) {
			found = b
		}
	}
	return found
}

// Stage returns the stage at which the batch is, or nil if its procedure is not known.
func (s *State) Stage(b *Batch) *procedure.Stage {
	p := s.Procedure(b.Procedure, b.Version)
	if p == nil {
		return nil
	}
	stage, _ := p.Stage(b.Stage)
	return stage
}

// Run returns the list's run on the day, or nil if nothing of it is done yet.
func (s *State) Run(list string, day int32) *Run {
	if i, ok := slices.BinarySearchFunc(s.Runs, runKey{list, day}, byRun); ok {
		return &s.Runs[i]
	}
	return nil
}

type runKey struct {
	list string
	day  int32
}

func byRun(r Run, k runKey) int {
	return cmp.Or(cmp.Compare(r.List, k.list), cmp.Compare(r.Day, k.day))
}

// Member returns the crew member, or nil. Members who have gone stay listed, marked as gone.
func (s *State) Member(crew string) *entry.Member {
	if i, ok := slices.BinarySearchFunc(s.Crew, crew, byCrew); ok {
		return &s.Crew[i]
	}
	return nil
}

func byCrew(m entry.Member, crew string) int { return cmp.Compare(m.Crew, crew) }

// IsLead tells whether the crew member is a lead of this kitchen now.
func (s *State) IsLead(crew string) bool {
	m := s.Member(crew)
	return m != nil && m.Role == entry.Lead && !m.Gone
}

// Device returns the device, or nil. Revoked devices stay listed, marked as revoked.
func (s *State) Device(device string) *Device {
	if i, ok := slices.BinarySearchFunc(s.Devices, device, byDevice); ok {
		return &s.Devices[i]
	}
	return nil
}

func byDevice(d Device, device string) int { return cmp.Compare(d.Device, device) }

// Place returns what the journal says of a piece of equipment: never nil, and not to be changed.
func (s *State) Place(name string) *Place {
	if i, ok := slices.BinarySearchFunc(s.Places, name, byPlace); ok {
		return &s.Places[i]
	}
	return &Place{Name: name}
}

func byPlace(p Place, name string) int { return cmp.Compare(p.Name, name) }

// In returns the open batches that stand in a piece of equipment, in the order of their ids.
func (s *State) In(place string) []*Batch {
	var list []*Batch
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Status == Open && b.Place == place && place != "" {
			list = append(list, b)
		}
	}
	return list
}

// Timer returns the timer, or nil.
func (s *State) Timer(id entry.ID) *Timer {
	if i, ok := slices.BinarySearchFunc(s.Timers, id, byTimer); ok {
		return &s.Timers[i]
	}
	return nil
}

func byTimer(t Timer, id entry.ID) int { return t.ID.Compare(id) }

// Deviation returns the deviation, or nil.
func (s *State) Deviation(key string) *Deviation {
	if i, ok := slices.BinarySearchFunc(s.Deviations, key, byDeviation); ok {
		return &s.Deviations[i]
	}
	return nil
}

func byDeviation(d Deviation, key string) int { return cmp.Compare(d.Key, key) }

// Marked returns the last mark of a step of a batch's stage, or nil if it is not done.
func (b *Batch) Marked(stage, step string) *Mark {
	for i := len(b.Steps) - 1; i >= 0; i-- {
		if m := &b.Steps[i]; m.Stage == stage && m.Step == step {
			return m
		}
	}
	return nil
}

// Marked returns the last mark of a step of the list, or nil if it is not done.
func (r *Run) Marked(step string) *Mark {
	if r == nil {
		return nil
	}
	for i := len(r.Steps) - 1; i >= 0; i-- {
		if m := &r.Steps[i]; m.Step == step {
			return m
		}
	}
	return nil
}

// StepOfDocument returns a step of the newest version of a procedure or list, or nil.
func (s *State) StepOfDocument(what, document, stage, step string) *procedure.Step {
	if l := s.List(document); what == WhatList && l != nil {
		return stepOf(l.Steps, step)
	}
	if p := s.Procedure(document, 0); what == WhatProcedure && p != nil {
		if st, _ := p.Stage(stage); st != nil {
			return stepOf(st.Steps, step)
		}
	}
	return nil
}
