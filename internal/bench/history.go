package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// historian writes a believable past: batch after batch goes through every stage of its procedure by the same rules
// that a cook is held to, so that what is left open at the end is what a kitchen has open, however long the past is.
type historian struct {
	state  *kitchen.State
	chance *rand.Rand
	clock  stamp.Clock
	now    stamp.Milli
	write  func(e *entry.Entry) error
	wrote  int
	due    map[entry.ID]stamp.Milli // when the next hand goes to a batch
	lots   int
}

const crew = "bench"

func newHistorian(seed uint64, device string, from stamp.Milli, write func(*entry.Entry) error) *historian {
	return &historian{
		state: kitchen.New(), chance: rand.New(rand.NewPCG(seed, 1)), clock: stamp.Clock{Device: device}, now: from, write: write,
		due: map[entry.ID]stamp.Milli{},
	}
}

func (h *historian) id() entry.ID {
	var b [16]byte
	binary.LittleEndian.PutUint64(b[:], h.chance.Uint64())
	binary.LittleEndian.PutUint64(b[8:], h.chance.Uint64())
	return entry.NewID(h.now, [10]byte(b[:10]))
}

// say writes one entry and folds it.
func (h *historian) say(id entry.ID, body entry.Body) error {
	e := entry.New(id, h.clock.Next(h.now), crew, body)
	h.state.Apply(&e, kitchen.Amended{})
	h.wrote++
	return h.write(&e)
}

// does has a cook do something. It tells whether the rules let it happen.
func (h *historian) does(c kitchen.Command) (bool, error) {
	drafts, refusal := kitchen.Decide(h.state, &c, kitchen.Who{Crew: crew, Device: h.clock.Device}, h.now, h.id)
	if refusal != nil {
		return false, nil
	}
	for _, d := range drafts {
		if err := h.say(d.ID, d.Body); err != nil {
			return false, err
		}
	}
	return true, nil
}

// opens names the kitchen, lists its crew and publishes its documents.
func (h *historian) opens(documents []entry.Document) error {
	first := []entry.Body{
		&entry.NamedKitchen{Name: "Bench", Zone: "America/New_York", Country: "US"},
		&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{Minutes: -300, Name: "EST"}}},
		&entry.Member{Crew: crew, Name: "Bench", Lang: "en", Role: entry.Lead},
	}
	for i := range documents {
		first = append(first, &documents[i])
	}
	for _, b := range demo.SignOffs(documents, crew) {
		first = append(first, &b)
	}
	for _, body := range first {
		if err := h.say(h.id(), body); err != nil {
			return err
		}
	}
	return nil
}

const (
	startsEvery = 90 * stamp.Minute // one tub, day and night
	tick        = 2 * stamp.Minute
	reads       = stamp.Hour // everything that has a temperature; then the lead answers what is off
)

// works goes on until so many entries are written.
func (h *historian) works(products []*procedure.Procedure, entries int) error {
	began, nextStart, nextRead := h.wrote, h.now, h.now
	for step := 0; h.wrote-began < entries; step++ {
		if h.now >= nextRead {
			if err := errors.Join(h.readsEverything(), h.answersDeviations()); err != nil {
				return err
			}
			nextRead = h.now.Add(reads)
		}
		if h.now >= nextStart {
			if err := h.starts(products[step%len(products)]); err != nil {
				return err
			}
			nextStart = h.now.Add(startsEvery)
		}
		if err := h.tends(); err != nil {
			return err
		}
		h.now = h.now.Add(tick)
		if step > 50*entries {
			return fmt.Errorf("history stands still after %d entries at %d", h.wrote, h.now)
		}
	}
	return nil
}

func (h *historian) starts(p *procedure.Procedure) error {
	h.lots++
	_, err := h.does(kitchen.Command{
		Do: kitchen.DoStart, Procedure: p.Name, Grams: 5000 + h.chance.Int64N(3000), Lots: []string{fmt.Sprintf("L%04d", h.lots)},
	})
	return err
}

func (h *historian) readsEverything() error {
	for _, d := range h.state.Equipment().Devices {
		value := inside(d.Reading)
		if _, err := h.does(kitchen.Command{Do: kitchen.DoReading, Place: d.Name, Value: value, Unit: "mC"}); err != nil {
			return err
		}
	}
	return nil
}

// answersDeviations has the lead close what is open.
func (h *historian) answersDeviations() error {
	var open []string
	for i := range h.state.Deviations {
		if d := &h.state.Deviations[i]; !d.Closed {
			open = append(open, d.Key)
		}
	}
	for _, key := range open {
		if _, err := h.does(kitchen.Command{Do: kitchen.DoAnswer, Deviation: key, Text: "seen to", Closes: true}); err != nil {
			return err
		}
	}
	return nil
}

// inside returns a number that meets the limit.
func inside(l procedure.Limit) int64 {
	switch {
	case l.Min != nil && l.Max != nil:
		return (*l.Min + *l.Max) / 2
	case l.Min != nil:
		return *l.Min + 1
	case l.Max != nil:
		return *l.Max - 1
	}
	return 1
}

// tends goes through all that is open, once, and does what is due.
func (h *historian) tends() error {
	var open []entry.ID
	for i := range h.state.Batches {
		if b := &h.state.Batches[i]; b.Status == kitchen.Open {
			open = append(open, b.ID)
		}
	}
	for _, id := range open {
		if h.due[id] > h.now {
			continue
		}
		if err := h.tend(id); err != nil {
			return err
		}
	}
	return nil
}

func (h *historian) tend(id entry.ID) error {
	b := h.state.Batch(id)
	if b == nil || b.Status != kitchen.Open {
		delete(h.due, id)
		return nil
	}
	p := h.state.Procedure(b.Procedure, b.Version)
	stage := h.state.Stage(b)
	if p == nil || stage == nil {
		return fmt.Errorf("batch %s is at no stage", b.Code)
	}
	if err := h.steps(b, stage); err != nil {
		return err
	}
	if stage.Kind == procedure.Hold {
		return h.sells(id)
	}
	return h.moves(id, p, stage)
}

func (h *historian) steps(b *kitchen.Batch, stage *procedure.Stage) error {
	id := b.ID
	for _, s := range stage.Steps {
		if b = h.state.Batch(id); b == nil || b.Marked(stage.Name, s.Name) != nil {
			continue
		}
		c := kitchen.Command{Do: kitchen.DoStep, Batch: id, Stage: stage.Name, Step: s.Name, Crew: crew}
		switch s.Kind {
		case procedure.Ask:
			c.Answer = "yes"
		case procedure.Read, procedure.Tally, procedure.Weigh:
			c.Value, c.Unit = inside(s.Limit), s.Unit
		}
		if _, err := h.does(c); err != nil {
			return err
		}
	}
	return nil
}

func (h *historian) sells(id entry.ID) error {
	b := h.state.Batch(id)
	if w := h.state.Stage(b).Window; w.Ceiling > 0 && h.now.Since(b.Since) > w.Ceiling {
		_, err := h.does(kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "past limit"})
		return err
	}
	_, err := h.does(kitchen.Command{Do: kitchen.DoCount, Batch: id, Count: min(b.Pieces, 1+h.chance.Int64N(4))})
	return err
}

func (h *historian) moves(id entry.ID, p *procedure.Procedure, stage *procedure.Stage) error {
	b, next := h.state.Batch(id), p.Next(stage.Name)
	wait := max(stage.Window.Floor, stage.Window.BestFrom)
	if next == nil || h.now.Since(b.Since) < wait {
		return nil
	}
	if w := stage.Window; w.Ceiling > 0 && h.now.Since(b.Since) > w.Ceiling {
		_, err := h.does(kitchen.Command{Do: kitchen.DoDiscard, Batch: id, Reason: "past limit"})
		return err
	}
	c := kitchen.Command{Do: kitchen.DoMove, Batch: id, From: stage.Name, To: next.Name}
	if next.Vessel != stage.Vessel {
		c = kitchen.Command{Do: kitchen.DoPortion, Batch: id, To: next.Name, Grams: b.Grams, Pieces: max(b.Pieces, 1)}
	}
	for _, place := range h.places(next) {
		c.Place = place
		done, err := h.does(c)
		if done || err != nil {
			return err
		}
		if c.Do == kitchen.DoPortion { // without an amount the rules work it out
			c.Grams, c.Pieces = 0, 0
			if done, err = h.does(c); done || err != nil {
				return err
			}
		}
	}
	return nil
}

// places lists where a stage can happen: each piece of equipment of its kind, or nowhere in particular.
func (h *historian) places(stage *procedure.Stage) []string {
	var list []string
	for _, d := range h.state.Equipment().Devices {
		if stage.Equipment != "" && d.Kind == stage.Equipment {
			list = append(list, d.Name)
		}
	}
	return append(list, "")
}
