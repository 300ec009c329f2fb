package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/demo"
)

// TestDemoProceduresCanBeWalked brings every procedure of the demo kitchen from its start to the last piece sold by
// taps that the rules allow, each stage for the length that the kitchen aims at.
func TestDemoProceduresCanBeWalked(t *testing.T) {
	docs, err := demo.Documents()
	require.NoError(t, err)
	for _, doc := range docs {
		if doc.What != kitchen.WhatProcedure {
			continue
		}
		k := &kit{t: t, chance: 5, now: evening, s: kitchen.New(), crew: "ann"}
		k.say(&entry.Member{Crew: "ann", Name: "Ann", Role: entry.Lead})
		for i := range docs {
			k.say(&docs[i])
		}
		for _, b := range demo.SignOffs(docs, "ann") {
			k.say(&b)
		}
		p := k.s.Procedure(doc.Name, 0)
		k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: p.Name, Grams: 1800, Pieces: 12, Lots: []string{"L1"}})
		for range p.Stages {
			k.walkStage(p)
		}
		require.Empty(t, k.s.Deviations, p.Name)
		sold := int64(0)
		for _, b := range k.s.Batches {
			require.NotEqual(t, kitchen.Open, b.Status, "%s: %s", p.Name, b.Stage)
			require.Equal(t, []string{"L1"}, b.Lots)
			sold += b.Sold
		}
		require.Equal(t, int64(12), sold, p.Name)
	}
}

// walkStage takes all open batches, which are at one stage, through it.
func (k *kit) walkStage(p *procedure.Procedure) {
	var open []entry.ID
	for _, b := range k.s.Batches {
		if b.Status == kitchen.Open {
			open = append(open, b.ID)
		}
	}
	for _, id := range open {
		k.steps(id)
	}
	stage := k.s.Stage(k.batch(open[0]))
	w := stage.Window
	k.wait(max(w.Floor, w.BestFrom, w.Aim))
	for _, d := range k.s.Equipment().Devices {
		if d.Checked {
			k.do(kitchen.Command{Do: kitchen.DoReading, Place: d.Name, Value: within(&d.Reading), Unit: "mC"})
		}
	}
	next := p.Next(stage.Name)
	for _, id := range open {
		switch {
		case next == nil:
			k.do(kitchen.Command{Do: kitchen.DoCount, Batch: id, Count: k.batch(id).Pieces})
		case next.Vessel == stage.Vessel:
			k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id, From: stage.Name})
		default:
			k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: id})
		}
	}
}

// steps does all required steps of a batch's stage as they should be done.
func (k *kit) steps(id entry.ID) {
	b := k.batch(id)
	for _, step := range k.s.Stage(b).Steps {
		if step.Optional {
			continue
		}
		c := kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: step.Name, Answer: "yes", Photo: "00"}
		if k.asks(step.Kind) {
			c.Value, c.Unit = within(&step.Limit), step.Unit
		}
		k.do(c)
	}
}

func (k *kit) asks(kind procedure.StepKind) bool {
	return kind == procedure.Read || kind == procedure.Tally || kind == procedure.Weigh
}

// within returns a number that meets the limit.
func within(l *procedure.Limit) int64 {
	switch {
	case l.Min != nil:
		return *l.Min
	case l.Max != nil:
		return *l.Max
	}
	return 3000
}
