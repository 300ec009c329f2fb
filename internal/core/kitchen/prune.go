package kitchen

import (
	"slices"
	"strings"

	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// How long what is ended stays in the state: the state follows open work, the journal keeps everything. A device that
// joins fetches the state, so what a batch was ended long ago still tells must be short: after a shift its steps and
// history go, after a day all of it, unless something open came out of it.
const (
	stays        = 3 * stamp.Day // timers, deviations, lists, documents
	batchStays   = stamp.Day
	historyStays = 8 * stamp.Hour
)

// prune drops what ended long before at. It runs when the entries folded step into another hour, so that what is
// dropped depends on nothing but the entries.
func (s *State) prune(at stamp.Milli) {
	old := at.Add(-stays)
	s.pruneBatches(at)
	s.pruneSeries(at)
	s.Timers = slices.DeleteFunc(s.Timers, func(t Timer) bool { return t.Ended && t.EndAt <= old })
	s.Deviations = slices.DeleteFunc(s.Deviations, func(d Deviation) bool { return d.Closed && d.EndAt <= old })
	s.Logs = slices.DeleteFunc(s.Logs, func(l Log) bool { return l.Ended && l.EndAt <= old })
	today := s.WallDay(at)
	s.Runs = slices.DeleteFunc(s.Runs, func(r Run) bool {
		age := int64(today) - int64(r.Day) // an entry may name any day there is
		return r.Closed && r.EndAt <= old || age > runDays || age < -runDays
	})
	s.Bells = slices.DeleteFunc(s.Bells, func(a Answered) bool {
		return !s.live(a.Subject) || s.bellDay(a.Subject) < int64(today)-runDays
	})
	s.pruneDocuments(old)
	s.pruneSensors(at)
	s.Ahead = slices.DeleteFunc(s.Ahead, func(a Ahead) bool { return a.Until < at })
	s.pruneBooks(at)
	s.pruneGuided(at)
	s.pruneDone(at)
	s.Guides = slices.DeleteFunc(s.Guides, func(g GuideMark) bool {
		b := s.Batch(g.Batch)
		return g.At <= old && (b == nil || b.Status != Open)
	})
}

// AheadUntil is up to which stamp a device's stamps say nothing about what time it is, once the kitchen found at an instant
// that they were ahead by off: twice as far as needed, so that a device whose clock stays wrong is doubted once an
// hour at most, but not for ever.
func AheadUntil(at stamp.Milli, off stamp.Span) stamp.Milli {
	const end = 1<<63 - 1
	more := max(min(off, 400*stamp.Day), stamp.Hour)
	if off > stamp.Span(end-max(at, 0))-more {
		return end
	}
	return at.Add(off + more)
}

// doubt notes a device whose stamps are ahead of kitchen time by off. The kitchen's server writes such a doubt before it
// keeps the first of them, and again for one that is beyond AheadUntil: the doubt's own stamp, which is kitchen time, stands
// before all of them in the order of entries, on every device.
func (s *State) doubt(device string, at stamp.Milli, off stamp.Span) {
	if device == "" || off <= stamp.LeadMax {
		return
	}
	i, found := slices.BinarySearchFunc(s.Ahead, device, func(a Ahead, d string) int { return strings.Compare(a.Device, d) })
	if !found {
		s.Ahead = order.Insert(s.Ahead, i, Ahead{Device: device})
	}
	s.Ahead[i].Until = max(s.Ahead[i].Until, AheadUntil(at, off))
}

// isAhead tells whether a stamp says nothing about what time it is.
func (s *State) isAhead(at stamp.Stamp) bool {
	return slices.ContainsFunc(s.Ahead, func(a Ahead) bool { return a.Device == at.Device && at.At <= a.Until })
}

// runDays is for how many days a list that nobody closed stays in the state.
const runDays = 4

func (s *State) pruneBatches(at stamp.Milli) {
	keep := make([]bool, len(s.Batches))
	for i := range s.Batches {
		if s.Batches[i].Status == Open {
			s.keepTree(keep, i)
		}
	}
	kept := s.Batches[:0]
	for i := range s.Batches {
		b := &s.Batches[i]
		if !keep[i] && b.EndedAt <= at.Add(-batchStays) {
			continue
		}
		if !keep[i] && b.EndedAt <= at.Add(-historyStays) {
			b.Steps, b.Events, b.Thin = nil, nil, true
		}
		kept = append(kept, *b)
	}
	clear(s.Batches[len(kept):])
	s.Batches = kept
}

// keepTree keeps a batch and all that it came out of.
func (s *State) keepTree(keep []bool, i int) {
	todo := []int{i}
	for len(todo) > 0 {
		i, todo = todo[len(todo)-1], todo[:len(todo)-1]
		keep[i] = true
		for _, id := range s.Batches[i].Parents {
			if p, ok := s.batchAt(id); ok && !keep[p] {
				keep[p] = true
				todo = append(todo, p)
			}
		}
	}
}

// pruneDocuments drops versions that no batch uses and that have had a successor for long enough that no phone that was
// out of touch begins a batch by them any more.
func (s *State) pruneDocuments(old stamp.Milli) {
	var kept []Published
	for i := range s.Documents {
		d := &s.Documents[i]
		if s.newest(i) || s.Documents[i+1].At > old || d.What == WhatProcedure && s.uses(d) {
			kept = append(kept, *d)
		}
	}
	s.Documents = kept
}

func (s *State) uses(d *Published) bool {
	return slices.ContainsFunc(s.Batches, func(b Batch) bool { return b.Procedure == d.Name && b.Version == d.Version })
}
