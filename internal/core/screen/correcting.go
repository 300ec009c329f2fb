package screen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/words"
)

// correctable is an entry that somebody puts right: what it says, and the number in it with how it was typed.
type correctable struct {
	do    kitchen.Command
	was   string
	code  string
	limit procedure.Limit
}

func (p *page) correctable(id entry.ID, was string) *correctable {
	return &correctable{do: kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Reason: p.t("correct.reason")}, was: was}
}

// number asks for another number in the command's field.
func (p *page) number(c *correctable, field, unit string) button {
	do := c.do
	do.Into, do.TypedIn = field, p.l.Typing(unit, c.code).Code
	return button{label: p.t("correct"), style: quiet, do: &do,
		ask: p.askFor(p.t("correct.title", "was", c.was), unit, c.code, c.limit, "c-"+do.Entry.String())}
}

// words asks for other words.
func (p *page) words(c *correctable, label string) button {
	return button{label: label, style: quiet, do: &c.do,
		ask: &ask{kind: "text", name: "text", title: p.t("correct.title", "was", c.was), keep: p.t("keep")}}
}

// step offers to put right what a step was answered with: a number, or yes and no.
func (p *page) correctStep(c *correctable, unit, answer string) []button {
	switch {
	case unit != "":
		c.do.Unit = unit
		return []button{p.number(c, "value", unit)}
	case answer == "yes" || answer == "no":
		c.do.Answer = map[bool]string{true: "no", false: "yes"}[answer == "yes"]
		return []button{{label: p.t("correct.to", "answer", p.t("answer."+c.do.Answer)), style: quiet, do: &c.do}}
	}
	return nil
}

// corrections offers to put right what was typed or tapped wrong in an entry about a batch.
func (p *page) corrections(b *kitchen.Batch, e *kitchen.Event) []button {
	c := p.correctable(e.Entry, p.eventText(b, e))
	c.do.Batch = b.ID
	c.code, c.limit = p.typedIn(b, e)
	field, unit := "pieces", "1"
	if e.Unit == "g" {
		field, unit = "grams", "g"
	}
	switch e.Kind {
	case entry.LogBegun, entry.LogRead:
		if c.do.Batch = (entry.ID{}); e.Unit != "" {
			c.do.Unit = e.Unit
			return []button{p.number(c, "value", e.Unit)}
		}
	case entry.StepDone:
		return p.correctStep(c, e.Unit, e.Text)
	case entry.BatchStarted:
		return []button{p.number(c, field, unit), p.words(c, p.t("correct.lots"))}
	case entry.BatchPortioned:
		return append([]button{p.number(c, field, unit)}, p.otherPlace(c, b, e)...)
	case entry.BatchMoved:
		return p.otherPlace(c, b, e)
	case entry.BatchDiscarded:
		return p.otherBatch(c, b)
	case entry.HoldCounted:
		// the command gives both numbers anew: the one that is not typed stays as it is
		sold, wasted := e.Counted()
		c.do.Count, c.do.Wasted = sold, wasted
		if field = "count"; wasted > 0 && sold == 0 {
			field = "wasted"
		}
		return []button{p.number(c, field, "1")}
	case entry.NoteMade:
		c.was = e.Text
		return []button{p.words(c, p.t("correct"))}
	}
	return nil
}

// otherPlace offers the other fryers, where a batch was said to have come into one.
func (p *page) otherPlace(c *correctable, b *kitchen.Batch, e *kitchen.Event) []button {
	d := p.State.Equipment().Device(e.Place)
	came := slices.IndexFunc(b.Events, func(v kitchen.Event) bool { return v.Place == e.Place && !v.Withdrawn })
	if d == nil || !d.Single || b.Place != e.Place || b.Events[came].Entry != e.Entry {
		return nil
	}
	a := &ask{kind: "choice", name: "place", title: p.t("correct.title", "was", p.text(d.Title))}
	devices := p.State.Equipment().Devices
	for i := range devices {
		if o := &devices[i]; o.Kind == d.Kind && o.Name != d.Name {
			a.choices = append(a.choices, option{label: p.text(o.Title), text: o.Name})
		}
	}
	return p.offered(c, a, "correct.place")
}

// otherBatch offers the batches that could have been meant by a discard: those in the same vessel at the same stage.
func (p *page) otherBatch(c *correctable, b *kitchen.Batch) []button {
	a := &ask{kind: "choice", name: "batch", title: p.t("correct.title", "was", c.was)}
	for i := range p.State.Batches {
		o := &p.State.Batches[i]
		if o.Status == kitchen.Open && o.Vessel == b.Vessel && o.Stage == b.Stage && o.ID != b.ID && len(a.choices) < 12 {
			a.choices = append(a.choices, option{label: p.name(o), text: o.ID.String()})
		}
	}
	return p.offered(c, a, "correct.batch")
}

// offered is the button of a choice, where there is anything to choose.
func (p *page) offered(c *correctable, a *ask, label string) []button {
	if len(a.choices) == 0 {
		return nil
	}
	return []button{{label: p.t(label), style: quiet, do: &c.do, ask: a}}
}

// listHistory is what was typed and answered in a list, each to be put right.
func (p *page) listHistory(s *listState) {
	h := &history{title: p.t("history")}
	for i := range s.li.Steps {
		t := &s.li.Steps[i]
		m := s.run.Marked(t.Name)
		if m == nil {
			continue
		}
		c := p.correctable(m.Entry, p.saidOf(p.text(t.Text), m.Answer, m.Value, m.Unit, t.TypedIn))
		c.code, c.limit = t.TypedIn, t.Limit
		if actions := p.correctStep(c, m.Unit, m.Answer); len(actions) > 0 {
			h.rows = append(h.rows, historyRow{at: p.clock(m.At), who: p.l.Crew(p.State, m.By), text: c.was, actions: actions})
		}
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}

// correctReading offers to put right the last reading at a piece of equipment, if somebody typed it.
func (p *page) correctReading(d *procedure.Device, place *kitchen.Place) {
	if place.ReadIn.IsZero() || place.ReadBy == "" {
		return
	}
	c := p.correctable(place.ReadIn, p.l.Amount(place.Reading, words.Shown("mC", d.TypedIn)))
	c.do.Unit, c.code, c.limit = "mC", d.TypedIn, d.Reading
	b := p.number(c, "value", "mC")
	b.small = c.was
	p.add(&buttons{actions: []button{b}})
}
