package simulation

import (
	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/wire"
)

// tap does what a cook might: mostly the next thing that a batch needs, sometimes something else, sometimes nonsense.
func (p *phone) tap() {
	if !p.up || p.frozen {
		return
	}
	s := p.core.State()
	var c *kitchen.Command
	switch p.k.rand.IntN(12) {
	case 0, 1:
		if c = p.work(s); c == nil || len(open(s)) < 8 {
			c = p.start()
		}
	case 2:
		c = p.aside(s)
	case 3:
		c = p.amend(s)
	default:
		if c = p.work(s); c == nil {
			c = p.start()
		}
	}
	if c == nil {
		return
	}
	before := len(p.shelf.records)
	p.step(core.Input{Op: core.OpTap, View: "page", Path: "/", Tap: wire.AppendJSON(nil, c)})
	if n := len(p.shelf.records) - before; n > 0 {
		p.k.Made += n
		p.k.Events["made by "+c.Do] += n
	}
}

func (p *phone) start() *kitchen.Command {
	list := []string{"bone-in", "thigh-strips", "wedges", "mushrooms"}
	return &kitchen.Command{Do: kitchen.DoStart, Procedure: list[p.k.rand.IntN(len(list))],
		Grams: p.k.between(2000, 16_000), Pieces: p.k.between(10, 80), Lots: []string{"lot-7"}, Place: "cold-room"}
}

// open returns the open batches.
func open(s *kitchen.State) (list []*kitchen.Batch) {
	for i := range s.Batches {
		if s.Batches[i].Status == kitchen.Open {
			list = append(list, &s.Batches[i])
		}
	}
	return list
}

// work picks an open batch and does what it needs next.
func (p *phone) work(s *kitchen.State) *kitchen.Command {
	list := open(s)
	if len(list) == 0 {
		return nil
	}
	b := list[p.k.rand.IntN(len(list))]
	proc := s.Procedure(b.Procedure, b.Version)
	stage := s.Stage(b)
	if proc == nil || stage == nil || p.k.one(25) || len(list) > 14 {
		return &kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "dropped"}
	}
	for i := range stage.Steps {
		if step := &stage.Steps[i]; b.Marked(stage.Name, step.Name) == nil && !step.Optional && !p.k.one(8) {
			return p.stepOf(b, stage, step)
		}
	}
	return p.onward(b, proc, stage)
}

func (p *phone) stepOf(b *kitchen.Batch, stage *procedure.Stage, step *procedure.Step) *kitchen.Command {
	c := &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Stage: stage.Name, Step: step.Name, Answer: "yes",
		Unit: step.Unit, Crew: "bo", Photo: ""}
	switch l := step.Limit; {
	case l.Min != nil:
		c.Value = *l.Min + p.k.between(0, 50)
	case l.Max != nil:
		c.Value = *l.Max - p.k.between(0, 50)
	default:
		c.Value = p.k.between(1, 40)
	}
	return c
}

// onward takes a batch to its next stage, with a lead's leave where the window is against it.
func (p *phone) onward(b *kitchen.Batch, proc *procedure.Procedure, stage *procedure.Stage) *kitchen.Command {
	c := &kitchen.Command{Batch: b.ID, From: stage.Name, OverrideBy: "bo", OverrideReason: "tried it"}
	next := proc.Next(stage.Name)
	if next == nil {
		c.Do, c.Count, c.Wasted = kitchen.DoCount, p.k.between(0, 9), p.k.between(0, 2)
		return c
	}
	c.To = next.Name
	if next.Vessel == stage.Vessel {
		c.Do = kitchen.DoMove
	} else {
		c.Do = kitchen.DoPortion
		c.Grams, c.Pieces = b.Grams, min(b.Pieces, 24)
	}
	switch next.Equipment {
	case "fryer":
		c.Place = []string{"fryer-1", "fryer-2"}[p.k.rand.IntN(2)]
	case "cold room":
		c.Place = "cold-room"
	case "hold cabinet":
		c.Place = "cabinet-1"
	}
	return c
}

// aside is what happens beside the batches.
func (p *phone) aside(s *kitchen.State) *kitchen.Command {
	switch p.k.rand.IntN(8) {
	case 0:
		return &kitchen.Command{Do: kitchen.DoTimer, Name: "rice", Span: 1000 * 60 * 9}
	case 1:
		for i := range s.Timers {
			if !s.Timers[i].Ended {
				return &kitchen.Command{Do: kitchen.DoTimerEnd, Timer: s.Timers[i].ID}
			}
		}
	case 2, 3:
		place := []string{"fryer-1", "fryer-2", "cold-room"}[p.k.rand.IntN(3)]
		value := int64(182_000)
		if place == "cold-room" {
			value = 3000
		}
		return &kitchen.Command{Do: kitchen.DoReading, Place: place, Value: value, Unit: "mC"}
	case 4:
		return &kitchen.Command{Do: kitchen.DoDeviate, Place: "cold-room", Text: "door stood open"}
	case 5:
		for i := range s.Deviations {
			if !s.Deviations[i].Closed {
				return &kitchen.Command{Do: kitchen.DoAnswer, Deviation: s.Deviations[i].Key, Text: "seen to", Closes: true}
			}
		}
	case 6:
		bells := kitchen.Bells(s, s.Last.At, 0)
		if len(bells) > 0 {
			return &kitchen.Command{Do: kitchen.DoGot, Bell: bells[0].Key}
		}
	}
	return &kitchen.Command{Do: kitchen.DoNote, Place: "cold-room", Text: "swept"}
}

// amend takes back or corrects something that is on the shelf.
func (p *phone) amend(s *kitchen.State) *kitchen.Command {
	if len(s.Recent) == 0 {
		return nil
	}
	id := s.Recent[p.k.rand.IntN(len(s.Recent))].Entry
	if n, ok := p.shelf.records[id]; ok && p.k.one(2) {
		if e, err := entry.ReadRecord(n.Record); err == nil && e.Kind == entry.HoldCounted {
			return &kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Count: 1, Reason: "miscounted"}
		}
	}
	return &kitchen.Command{Do: kitchen.DoUndo, Entry: id}
}
