package demo

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// device stamps the demo kitchen's past.
const device = "demo"

// plan is what happened in the demo kitchen, as commands that its crew gave. They go through the same decisions as
// anybody's taps, so that the past is one that could have been.
type plan struct {
	now      stamp.Milli
	chance   *rand.Rand
	state    *kitchen.State
	clock    stamp.Clock
	batches  map[string]entry.ID // by the name that the plan gives them
	deeds    []deed
	entries  []entry.Entry
	products map[string]*procedure.Procedure
}

// deed is a command at an instant. Its batches are known only when it is done.
type deed struct {
	at   stamp.Milli
	crew string
	name string // for errors
	make func() kitchen.Command
	made func(drafts []kitchen.Draft)
	body entry.Body // instead of a command: an entry that is written as it is
}

func newPlan(now stamp.Milli, seed [32]byte) *plan {
	return &plan{
		now: now, chance: rand.New(rand.NewChaCha8(seed)), state: kitchen.New(), clock: stamp.Clock{Device: device},
		batches: map[string]entry.ID{}, products: map[string]*procedure.Procedure{},
	}
}

// ago returns the instant s before now.
func (p *plan) ago(s stamp.Span) stamp.Milli { return p.now.Add(-s) }

func (p *plan) newID(at stamp.Milli) entry.ID {
	var chance [10]byte
	for i := range chance {
		chance[i] = byte(p.chance.Uint32())
	}
	return entry.NewID(at, chance)
}

// write makes an entry and folds it.
func (p *plan) write(at stamp.Milli, id entry.ID, crew string, body entry.Body) {
	e := entry.New(id, p.clock.Next(at), crew, body)
	p.state.Apply(&e, kitchen.Amended{})
	p.entries = append(p.entries, e)
}

// tell writes what is no command: what the kitchen's server knows of itself.
func (p *plan) tell(at stamp.Milli, body entry.Body) { p.write(at, p.newID(at), "", body) }

func (p *plan) add(at stamp.Milli, crew, name string, make func() kitchen.Command, made func([]kitchen.Draft)) {
	p.deeds = append(p.deeds, deed{at: at, crew: crew, name: name, make: make, made: made})
}

// run does all deeds in the order of their instants, and answers bells as they ring.
func (p *plan) run() error {
	slices.SortStableFunc(p.deeds, func(a, b deed) int { return cmp.Compare(a.at, b.at) })
	for _, d := range p.deeds {
		if d.at > p.now {
			break // it has not happened yet
		}
		if err := p.answer(d.at); err != nil {
			return err
		}
		if err := p.do(d); err != nil {
			return err
		}
	}
	return p.answer(p.now)
}

func (p *plan) do(d deed) error {
	last, _ := p.clock.Last()
	at := max(d.at, last)
	if d.body != nil {
		p.write(at, p.newID(at), d.crew, d.body)
		return nil
	}
	command := d.make()
	who := kitchen.Who{Crew: d.crew, Device: device}
	drafts, refusal := kitchen.Decide(p.state, &command, who, at, func() entry.ID { return p.newID(at) })
	if refusal != nil {
		return fmt.Errorf("demo: %s, %d s before now: refused: %+v", d.name, p.now.Since(d.at)/stamp.Second, *refusal)
	}
	for _, draft := range drafts {
		p.write(at, draft.ID, d.crew, draft.Body)
	}
	if d.made != nil {
		d.made(drafts)
	}
	return nil
}

// Somebody answers a bell soon, but what is past its limit takes a walk to the cabinet.
const (
	answerSoon = 15 * stamp.Second
	answerPast = 150 * stamp.Second
)

// answer answers the bells that have rung long enough by until.
func (p *plan) answer(until stamp.Milli) error {
	for {
		last, _ := p.clock.Last()
		var next deed
		for _, b := range kitchen.Bells(p.state, last, max(until.Since(last), 0)) {
			at := b.At.Add(answerSoon)
			if b.Point == kitchen.PointPast {
				at = b.At.Add(answerPast)
			}
			if at = max(at, last); at <= until && (next.make == nil || at < next.at) {
				key := b.Key
				next = deed{at: at, crew: "ines", name: "got " + key, make: func() kitchen.Command {
					return kitchen.Command{Do: kitchen.DoGot, Bell: key}
				}}
			}
		}
		if next.make == nil {
			return nil
		}
		if err := p.do(next); err != nil {
			return err
		}
	}
}

// visit is a stage and when a batch came to it, as a length before now.
type visit struct {
	stage string
	ago   stamp.Span
}

// start begins tubs and names their batches.
func (p *plan) start(ago stamp.Span, crew, product string, grams int64, lots []string, names ...string) {
	p.add(p.ago(ago), crew, "start "+names[0], func() kitchen.Command {
		return kitchen.Command{Do: kitchen.DoStart, Procedure: product, Grams: grams, Lots: lots}
	}, func(drafts []kitchen.Draft) {
		for i, d := range drafts {
			p.batches[names[i]] = d.ID
		}
	})
}

// through takes a batch from stage to stage, each stage's steps done on the way. The last visit is to where it leaves
// for other vessels; a stage that it is still in has only some of its steps done.
func (p *plan) through(crew, product, batch string, visits ...visit) {
	for i, v := range visits {
		if i > 0 && v.stage != "" {
			p.add(p.ago(v.ago), crew, batch+" to "+v.stage, func() kitchen.Command {
				return kitchen.Command{Do: kitchen.DoMove, Batch: p.batches[batch], From: visits[i-1].stage, To: v.stage}
			}, nil)
		}
		if i+1 < len(visits) {
			p.steps(crew, product, batch, v, visits[i+1].ago, 0)
		}
	}
}

// stepsWithin is how soon after the beginning of a long stage its steps are done.
const stepsWithin = 6 * stamp.Minute

// steps does the required steps of a stage, or only some of them, evenly in the time that there is.
func (p *plan) steps(crew, product, batch string, v visit, until stamp.Span, some int) {
	stage, _ := p.products[product].Stage(v.stage)
	var required []*procedure.Step
	for i := range stage.Steps {
		if !stage.Steps[i].Optional {
			required = append(required, &stage.Steps[i])
		}
	}
	within := min(v.ago-until, stepsWithin)
	for i, step := range required {
		if some > 0 && i >= some {
			break
		}
		at := p.ago(v.ago - within*stamp.Span(i+1)/stamp.Span(len(required)+1))
		p.add(at, crew, batch+" "+step.Name, func() kitchen.Command {
			c := filled(p.chance, step)
			c.Batch, c.Stage = p.batches[batch], v.stage
			return c
		}, nil)
	}
}

// filled returns the command that does a step with nothing out of the ordinary.
func filled(chance *rand.Rand, step *procedure.Step) kitchen.Command {
	c := kitchen.Command{Do: kitchen.DoStep, Step: step.Name, Unit: step.Unit}
	switch step.Kind {
	case procedure.Read, procedure.Tally, procedure.Weigh:
		c.Value = within(chance, &step.Limit, step.Unit)
	case procedure.Ask:
		c.Answer = "yes"
	case procedure.Sign:
		c.Crew = "maren"
	}
	return c
}

// within returns a likely number within a limit, tenths of a degree at the finest.
func within(chance *rand.Rand, limit *procedure.Limit, unit string) int64 {
	least, most := limit.Min, limit.Max
	if least == nil && most == nil {
		return 1
	}
	if unit != "mC" {
		return *cmp.Or(least, most)
	}
	spread := int64(chance.IntN(15)) * 100
	switch {
	case least != nil && most != nil:
		return (*least+*most)/200*100 + spread/3/100*100
	case most != nil:
		return *most - 1_200 - spread
	}
	return *least + 2_100 + spread
}

// portion takes a batch, or part of it, into other vessels and names the batches that come out.
func (p *plan) portion(ago stamp.Span, crew, from string, c kitchen.Command, names ...string) {
	p.add(p.ago(ago), crew, from+" into "+names[0], func() kitchen.Command {
		c.Do, c.Batch, c.Number = kitchen.DoPortion, p.batches[from], int64(len(names))
		return c
	}, func(drafts []kitchen.Draft) {
		for _, d := range drafts {
			if body, ok := d.Body.(*entry.Portioning); ok {
				for i, in := range body.In {
					p.batches[names[i]] = in.Batch
				}
			}
		}
	})
}

// count counts pieces sold and wasted out of a tray.
func (p *plan) count(ago stamp.Span, crew, tray string, sold, wasted int64, reason string) {
	p.add(p.ago(ago), crew, tray+" sold", func() kitchen.Command {
		return kitchen.Command{Do: kitchen.DoCount, Batch: p.batches[tray], Count: sold, Wasted: wasted, Reason: reason}
	}, nil)
}

func (p *plan) reading(ago stamp.Span, crew, place string, mC int64) {
	p.add(p.ago(ago), crew, "reading "+place, func() kitchen.Command {
		return kitchen.Command{Do: kitchen.DoReading, Place: place, Value: mC, Unit: "mC", Probe: "probe-2"}
	}, nil)
}

// list does the first steps of a list, all of them and closes it when first is 0, from ago on, one each pace.
func (p *plan) list(ago, pace stamp.Span, crew string, l *procedure.List, first int) {
	at := p.ago(ago)
	for i := range l.Steps {
		if first > 0 && i >= first {
			return
		}
		step := &l.Steps[i]
		if step.Optional {
			continue
		}
		p.add(at.Add(pace*stamp.Span(i)), crew, l.Name+" "+step.Name, func() kitchen.Command {
			c := filled(p.chance, step)
			c.List, c.Day = l.Name, p.state.WallDay(at)
			return c
		}, nil)
	}
	p.add(at.Add(pace*stamp.Span(len(l.Steps))), crew, l.Name+" closed", func() kitchen.Command {
		return kitchen.Command{Do: kitchen.DoListClose, List: l.Name, Day: p.state.WallDay(at)}
	}, nil)
}
