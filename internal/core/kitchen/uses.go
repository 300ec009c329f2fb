package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// Use is how one step is worked, or, without a step, how the window of a stage is kept: what a lead looks at to find the wording
// or the window that makes trouble.
type Use struct {
	What, Document string // procedure or list, and its name
	Stage, Step    string
	Took           []stamp.Span // from the step before it, each time that it was done
	Offs           int64        // deviations
	Found          []Found      // the numbers that were off, oldest first
	Helps          int64        // calls for help
	Wrong          int64        // notes of a trainer that it was slow or wrong
}

// Found is a number that was off, and the limit that it was held against.
type Found struct {
	At            stamp.Milli
	Number, Limit int64
	Unit          string
}

// Off takes up a deviation of it.
func (u *Use) Off(d *Deviation) {
	u.Offs++
	one := Found{d.At, d.Number, d.Limit, d.Unit}
	if d.Step == "" {
		one.Unit = "ms" // of a window
	}
	if one.Unit != "" && one.Number != one.Limit {
		u.Found = append(u.Found, one)
		order.Stable(u.Found, func(a, b Found) int { return cmp.Compare(a.At, b.At) })
	}
}

// Trouble counts all that was off with it.
func (u *Use) Trouble() int64 { return u.Offs + u.Helps + u.Wrong + u.Slow() }

// slowLeast is by how much a tap must be longer than usual to be slow; twice as long it must be too: common practice, no
// source.
const slowLeast = 30 * stamp.Second

// Median is how long it usually takes; 0 when it was never timed.
func (u *Use) Median() stamp.Span {
	if len(u.Took) == 0 {
		return 0
	}
	list := slices.Clone(u.Took)
	order.Stable(list, func(a, b stamp.Span) int { return cmp.Compare(a, b) })
	return list[len(list)/2]
}

// Slow counts the times that took more than twice as long as usual.
func (u *Use) Slow() (n int64) {
	usual := u.Median()
	for _, took := range u.Took {
		if took > 2*usual && took >= usual+slowLeast {
			n++
		}
	}
	return n
}

// Uses collects how steps are worked.
type Uses []*Use

// Of returns the use of a step, new if it was not known.
func (u *Uses) Of(what, document, stage, step string) *Use {
	for _, x := range *u {
		if x.What == what && x.Document == document && x.Stage == stage && x.Step == step {
			return x
		}
	}
	x := &Use{What: what, Document: document, Stage: stage, Step: step}
	*u = append(*u, x)
	return x
}

// Worst puts those with the most trouble first, and leaves out those without any.
func (u Uses) Worst() Uses {
	out := slices.DeleteFunc(slices.Clone(u), func(x *Use) bool { return x.Trouble() == 0 })
	order.Stable(out, func(a, b *Use) int { return cmp.Compare(b.Trouble(), a.Trouble()) })
	return out
}

// at returns the use of a step at a spot, nil when it is not known what the spot is about.
func (u *Uses) at(s *State, spot *entry.Spot, step string) *Use {
	if spot.List != "" {
		return u.Of(WhatList, spot.List, "", step)
	}
	if b := s.Batch(spot.Batch); b != nil && spot.Stage != "" {
		return u.Of(WhatProcedure, b.Procedure, spot.Stage, step)
	}
	return nil
}

// Timed takes up marks in the order in which they were made: each step took from the one before it at the same stage.
func (u *Uses) Timed(what, document string, marks []Mark) {
	for i := range marks {
		if m := &marks[i]; i > 0 && marks[i-1].Stage == m.Stage && marks[i-1].Step != m.Step {
			x := u.Of(what, document, m.Stage, m.Step)
			x.Took = append(x.Took, m.At.Since(marks[i-1].At))
		}
	}
}

// OfStep tells whether a deviation is about a step, or about how the window of a stage was kept.
func (d *Deviation) OfStep() bool {
	return d.Step != "" || d.Code == DevTooSoon || d.Code == DevPastLimit
}

// Uses tells how steps are worked, by what this state still holds: a day of batches, and what is open.
func (s *State) Uses() Uses {
	var u Uses
	for i := range s.Batches {
		u.Timed(WhatProcedure, s.Batches[i].Procedure, s.Batches[i].Steps)
	}
	for i := range s.Runs {
		u.Timed(WhatList, s.Runs[i].List, s.Runs[i].Steps)
	}
	for i := range s.Deviations {
		d := &s.Deviations[i]
		if x := u.at(s, &entry.Spot{Batch: d.Batch, List: d.List, Stage: d.Stage}, d.Step); x != nil && d.OfStep() {
			x.Off(d)
		}
	}
	for i := range s.Asks {
		if a := &s.Asks[i]; a.Help {
			if x := u.at(s, &a.Spot, a.Step); x != nil {
				x.Helps++
			}
		}
	}
	for i := range s.Notes {
		if n := &s.Notes[i]; n.Tone == entry.ToneSlow || n.Tone == entry.ToneWrong {
			if x := u.at(s, &n.Spot, n.Step); x != nil {
				x.Wrong++
			}
		}
	}
	return u
}
