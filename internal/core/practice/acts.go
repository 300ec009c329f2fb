package practice

import (
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// act does what an answer says: deeds with spaces between them. "+20:discard" is done 20 minutes later, "wait:5" are 5 minutes
// that the batch waits for, "then:ok" is done when they are over, "lose:5" are 5 minutes of hands; the others are taps, and
// what hands do without asking the core.
func (n *Night) act(acts string, of int, tapped *kitchen.Command) {
	was := n.acting
	n.acting = of
	for _, word := range strings.Fields(acts) {
		r := &n.told[of]
		if rest, ok := strings.CutPrefix(word, "+"); ok {
			minutes, deed, _ := strings.Cut(rest, ":")
			n.put(due{at: n.now.Add(span(minutes)), what: later, name: deed, of: of})
			continue
		}
		deed, arg, _ := strings.Cut(word, ":")
		switch deed {
		case "wait":
			wait := n.bounded(r.about.batch, span(arg))
			r.lost, r.waits = r.lost+wait, r.waits+wait
		case "lose":
			r.lost += span(arg)
		case "then":
			n.put(due{at: n.now.Add(r.waits), what: later, name: arg, of: of})
		default:
			before := n.s.Deviations
			before = append(before[:0:0], before...)
			n.deed(deed, of, tapped)
			tapped = nil
			n.found(before, of)
		}
	}
	n.acting = was
}

// bounded is as much of a wait as the window of a batch leaves room for.
func (n *Night) bounded(id entry.ID, wait stamp.Span) stamp.Span {
	if b := n.s.Batch(id); b != nil {
		return min(wait, n.left(b)/2)
	}
	return wait
}

func span(minutes string) stamp.Span {
	m, _ := strconv.Atoi(minutes)
	return stamp.Span(m) * stamp.Minute
}

// follows does what follows from an answer later, as long as there is still something to do it to.
func (n *Night) follows(d *due) {
	if b := n.s.Batch(n.told[d.of].about.batch); d.name != "deviate" && b != nil && b.Status != kitchen.Open {
		return
	}
	n.act(d.name, d.of, nil)
}

// found notes the deviations that a deed opened.
func (n *Night) found(before []kitchen.Deviation, of int) {
	for i := range n.s.Deviations {
		d := &n.s.Deviations[i]
		known := false
		for j := range before {
			known = known || before[j].Key == d.Key
		}
		if !known {
			n.told[of].found = append(n.told[of].found, *d)
		}
	}
}

// deed does one thing: by a tap, or by hand.
func (n *Night) deed(deed string, of int, tapped *kitchen.Command) {
	about := &n.told[of].about
	b := n.s.Batch(about.batch)
	open := b != nil && b.Status == kitchen.Open
	switch deed {
	case "force": // on to the next stage, whatever the core says
		if open {
			n.force(b, n.s.Batch(about.other))
		}
	case "sell": // over the counter, without asking
		if open && b.Pieces > 0 {
			n.write(n.crew, &entry.Count{Batch: b.ID, Sold: b.Pieces})
		}
	case "answer": // the lead looks at what was opened
		for i := range n.told[of].found {
			n.answer(n.told[of].found[i].Key)
		}
	case "list":
		n.list(about.list, day)
	case "shut":
		_, _ = n.tap(lead, &kitchen.Command{Do: kitchen.DoListClose, List: about.list, Day: day})
	default:
		c := n.command(deed, about)
		if tapped != nil {
			c = tapped
		}
		if c == nil {
			return
		}
		if open && (c.Do == kitchen.DoDiscard || c.Wasted > 0) {
			n.cost(b)
		}
		who := n.crew
		if c.Do == kitchen.DoEquipment {
			who = lead
		}
		if _, r := n.tap(who, c); r != nil && n.told[of].refusal == nil {
			n.told[of].refusal = r
		}
	}
}

// cost writes down what is thrown away of a batch, to whoever's answer brought it about.
func (n *Night) cost(b *kitchen.Batch) {
	of := n.acting
	if h := n.holding(b.ID); of < 0 && h != nil && h.of >= 0 && h.of < len(n.told) && n.told[h.of].about.stage == b.Stage {
		of = h.of
	}
	if of >= 0 {
		n.told[of].grams += b.Grams
		n.told[of].pieces += b.Pieces
	}
}

// command is the tap that does a deed, or nil when none does.
func (n *Night) command(deed string, about *subject) *kitchen.Command {
	c := &kitchen.Command{Batch: about.batch}
	text := about.title
	switch deed {
	case "ok", "off":
		steps := n.steps(about)
		c = n.filled(stepIn(steps, about.step))
		c.Batch, c.Stage, c.List = about.batch, about.stage, about.list
		if about.list != "" {
			c.Day, c.Stage = day, ""
		}
		if deed == "off" {
			if c.Answer != "" {
				c.Answer = "no"
			}
			c.Text = text
			if c.Unit != "" {
				c.Value = about.number
			}
		}
	case "discard":
		c.Do, c.Reason = kitchen.DoDiscard, n.reason()
	case "deviate", "note":
		c.Do, c.Text, c.Place = deed, text, about.place
	case "waste", "trysell":
		c.Do = kitchen.DoCount
		if b := n.s.Batch(about.batch); b != nil && deed == "waste" {
			c.Wasted, c.Reason = b.Pieces, n.reason()
		} else if b != nil {
			c.Count = b.Pieces
		}
	case "tempt", "lead":
		b := n.s.Batch(about.batch)
		if b == nil || n.p.Next(b.Stage) == nil {
			return nil
		}
		if c = n.onward(b, n.p.Next(b.Stage)); deed == "lead" {
			c.OverrideBy, c.OverrideReason = lead, text
		} else {
			c.Do, c.Number, c.Batch, c.Place = kitchen.DoPortion, 1, entry.ID{}, about.place
			c.Shares = []kitchen.Wanted{{Batch: b.ID, All: true}, {Batch: about.other, All: true}}
		}
	default:
		return n.thing(deed, about, text)
	}
	return c
}

// thing is the tap about a thing of the kitchen rather than about a batch.
func (n *Night) thing(deed string, about *subject, text string) *kitchen.Command {
	c := &kitchen.Command{Place: about.place}
	switch deed {
	case "readoff":
		c.Do, c.Value, c.Unit, c.Text, c.Probe = kitchen.DoReading, about.number, "mC", text, n.probe()
	case "readok":
		c.Do, c.Value, c.Unit, c.Probe = kitchen.DoReading, n.within(&about.limit, "mC"), "mC", n.probe()
	case "out", "in":
		c.Do, c.Answer, c.Reason = kitchen.DoEquipment, deed, text
	case "checkoff", "checkok":
		c = &kitchen.Command{Do: kitchen.DoCheck, Probe: about.probe, Answer: entry.IcePoint, Unit: "mC"}
		if deed == "checkoff" {
			c.Value = about.number
		}
	case "back", "take", "takeoff":
		c = &kitchen.Command{Do: kitchen.DoDeliver, Procedure: n.p.Name, Name: "Saltmarsh Poultry", Lots: []string{"P-77"}, Grams: 2 * n.amount(),
			Value: about.number, Unit: "mC", Probe: n.probe(), Closes: deed == "back", Text: text}
		if deed == "take" {
			c.Value = n.within(&about.limit, "mC")
		}
	case "polar":
		c.Do, c.Answer, c.Value, c.Unit = kitchen.DoOil, entry.OilMeasured, about.number, "m%"
	case "oilchange":
		c.Do, c.Answer = kitchen.DoOil, entry.OilChanged
	case "oiltop":
		c.Do, c.Answer, c.Value, c.Unit = kitchen.DoOil, entry.OilToppedUp, 2_000, "mL"
	case "got":
		for _, bell := range kitchen.Bells(n.s, n.now, 0) {
			if bell.Ringing && slices.Contains(bell.Batches, about.batch) {
				return &kitchen.Command{Do: kitchen.DoGot, Bell: bell.Key}
			}
		}
		return nil
	default:
		return nil
	}
	return c
}

// steps are those of the stage or list that trouble is about.
func (n *Night) steps(about *subject) []procedure.Step {
	if l := n.s.List(about.list); l != nil {
		return l.Steps
	}
	if st, _ := n.p.Stage(about.stage); st != nil {
		return st.Steps
	}
	return nil
}

// force takes a batch, and another with it, on by hand: what the core would have refused stands in the journal as it happened.
func (n *Night) force(b, other *kitchen.Batch) {
	next := n.p.Next(b.Stage)
	if next == nil {
		return
	}
	st := n.s.Stage(b)
	if next.Vessel == "" || next.Vessel == st.Vessel {
		body := &entry.Move{Batch: b.ID, From: b.Stage, To: next.Name, Place: n.free(next, b)}
		n.write(n.crew, body)
		n.follow(body)
		return
	}
	id := n.newID()
	body := &entry.Portioning{
		Out: []entry.Share{{Batch: b.ID, Stage: b.Stage, Grams: b.Grams, Pieces: b.Pieces, All: true}},
		In: []entry.Portion{{Batch: id, Code: kitchen.Code(n.next()), Stage: next.Name, Vessel: next.Vessel, Number: uint32(90 + n.below(9)),
			Place: n.free(next, b), Grams: b.Grams, Pieces: b.Pieces}},
	}
	if other != nil && other.Status == kitchen.Open {
		body.Out = append(body.Out, entry.Share{Batch: other.ID, Stage: other.Stage, Grams: other.Grams, Pieces: other.Pieces, All: true})
		body.In[0].Grams, body.In[0].Pieces = b.Grams+other.Grams, b.Pieces+other.Pieces
	}
	n.write(n.crew, body)
	n.follow(body)
}
