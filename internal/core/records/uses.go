package records

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// UsesOf tells how steps were worked on the days of a book that holds what was done and read; items are the entries that it
// was made of.
func UsesOf(b *Book, items []Item) kitchen.Uses {
	var u kitchen.Uses
	var open [][]int // rows by what they are about, in the order of the first
	at := map[any]int{}
	batches := map[entry.ID]string{}
	for i := range b.Batches {
		batches[b.Batches[i].ID] = b.Batches[i].Procedure
	}
	for i := range b.Rows {
		r := &b.Rows[i]
		if r.Step == "" || r.Withdrawn != nil {
			continue
		}
		var key any = r.Batch
		if r.List != "" {
			key = runKey{r.List, r.ListDay}
		}
		n, ok := at[key]
		if !ok {
			n = len(open)
			at[key], open = n, append(open, nil)
		}
		open[n] = append(open[n], i)
	}
	for _, rows := range open {
		var marks []kitchen.Mark
		first := &b.Rows[rows[0]]
		for _, i := range rows {
			r := &b.Rows[i]
			marks = append(marks, kitchen.Mark{Stage: r.Stage, Step: r.Step, At: r.At})
		}
		what, name := kitchen.WhatProcedure, first.Procedure
		if first.List != "" {
			what, name = kitchen.WhatList, first.List
		}
		u.Timed(what, name, marks)
	}
	spot := func(at *entry.Spot, step string) *kitchen.Use {
		if at.List != "" {
			return u.Of(kitchen.WhatList, at.List, "", step)
		}
		if name := batches[at.Batch]; name != "" && at.Stage != "" {
			return u.Of(kitchen.WhatProcedure, name, at.Stage, step)
		}
		return nil
	}
	for i := range b.Deviations {
		d := &b.Deviations[i]
		if x := spot(&entry.Spot{Batch: d.Batch, List: d.List, Stage: d.Stage}, d.Step); x != nil && d.OfStep() {
			x.Off(&d.Deviation)
		}
	}
	for i := range items {
		told(&items[i].Entry, spot)
	}
	return u
}

// told counts what was asked and noted about a step.
func told(e *entry.Entry, spot func(*entry.Spot, string) *kitchen.Use) {
	if e.Kind != entry.GuideAsked && e.Kind != entry.TrainerNoted {
		return
	}
	switch body, _ := e.Open(); body := body.(type) {
	case *entry.GuideAsk:
		if x := spot(&body.Spot, body.Step); x != nil && body.Help {
			x.Helps++
		}
	case *entry.TrainerNote:
		if x := spot(&body.Spot, body.Step); x != nil && (body.Tone == entry.ToneSlow || body.Tone == entry.ToneWrong) {
			x.Wrong++
		}
	}
}

// SignTime is how long somebody took to a signature: from the first thing that they learnt to the first signature on the evidence.
type SignTime struct {
	Crew, What, Document, Competence string
	From, At                         stamp.Milli
}

// SignTimes lists them in the order of their signatures.
func SignTimes(items []Item) []SignTime {
	items = slices.Clone(items)
	order.Stable(items, func(a, b Item) int { return entry.Compare(&a.Entry, &b.Entry) })
	began := map[string]stamp.Milli{}
	begin := func(crew string, at stamp.Milli) {
		if _, ok := began[crew]; !ok && crew != "" {
			began[crew] = at
		}
	}
	var list []SignTime
	for i := range items {
		e := &items[i].Entry
		body, err := e.Open()
		if err != nil {
			continue
		}
		switch b := body.(type) {
		case *entry.Guide:
			begin(b.Crew, e.At.At)
		case *entry.Rung:
			begin(e.Crew, e.At.At)
		case *entry.QuizAnswer:
			begin(e.Crew, e.At.At)
		case *entry.SignOff:
			t := SignTime{b.Crew, b.What, b.Document, b.Competence, began[b.Crew], e.At.At}
			same := func(o SignTime) bool {
				return o.Crew == t.Crew && o.What == t.What && o.Document == t.Document && o.Competence == t.Competence
			}
			if t.From != 0 && !b.Gone && b.Grounds == entry.GroundsEvidence && !slices.ContainsFunc(list, same) {
				list = append(list, t)
			}
		}
	}
	order.Stable(list, func(a, b SignTime) int { return cmp.Compare(a.At, b.At) })
	return list
}

// Learns tells whether an entry can tell when somebody began to learn, or was signed off.
func Learns(k entry.Kind) bool {
	return k == entry.GuideBegun || k == entry.RungDone || k == entry.QuizAnswered || k == entry.SignedOff
}
