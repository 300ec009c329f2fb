package practice

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// what comes at an instant.
type what uint8

const (
	beginTub what = iota // a tub is begun
	workOn               // the crew goes on with a batch
	doList               // the crew does a list
	readAt               // somebody reads a thermometer
	comes                // trouble may come
	later                // what follows from an answer
	late                 // nobody has answered
	presses              // trouble that found no moment comes without one
	tooLate              // trouble that was planned comes
)

// due is something that will happen.
type due struct {
	at    stamp.Milli
	turn  int
	what  what
	batch entry.ID
	name  string // list, place, or what follows
	of    int    // record, or how often it was tried
}

// put puts something into the queue. A batch stands in it once: what is put in last holds.
func (n *Night) put(d due) {
	n.turn++
	d.turn = n.turn
	for i := range n.queue {
		if d.what == workOn && n.queue[i].what == workOn && n.queue[i].batch == d.batch {
			n.queue[i] = d
			return
		}
	}
	n.queue = append(n.queue, d)
}

// run does what is due up to an instant, and tells whether it stopped for trouble.
func (n *Night) run(to stamp.Milli) bool {
	for {
		first := -1
		for i := range n.queue {
			d := &n.queue[i]
			if d.at <= to && (first < 0 || cmp.Or(cmp.Compare(d.at, n.queue[first].at), d.turn-n.queue[first].turn) < 0) {
				first = i
			}
		}
		if first < 0 {
			return false
		}
		d := n.queue[first]
		n.queue[first] = n.queue[len(n.queue)-1]
		n.queue = n.queue[:len(n.queue)-1]
		n.now = max(n.now, d.at)
		was := n.open
		n.happens(&d)
		if n.open != nil && n.open != was {
			return true
		}
	}
}

func (n *Night) happens(d *due) {
	switch d.what {
	case beginTub:
		n.beginTub(d)
	case workOn:
		if b := n.s.Batch(d.batch); b != nil && b.Status == kitchen.Open {
			n.work(b, d.of)
		}
	case doList:
		n.list(d.name, day-int32(d.of))
	case readAt:
		n.read(d.name)
	case comes:
		n.comes()
	case later:
		n.follows(d)
	case presses:
		n.press()
	case tooLate:
		n.tooLate(d)
	case late:
		if n.open != nil && d.of == len(n.told) {
			n.unanswered()
		}
	}
}

// amount is how much goes into one tub of the night.
func (n *Night) amount() int64 {
	if n.p.Mix != nil && n.p.Mix.TubMost > 0 {
		return max(min(n.p.Mix.TubMost*3/4, 12_000)/500*500, min(n.p.Mix.TubMost, 500))
	}
	return 6_000
}

func (n *Night) beginTub(d *due) {
	c := &kitchen.Command{Do: kitchen.DoStart, Procedure: n.p.Name, Grams: n.amount(), Number: 1, Lots: []string{"P-" + kitchen.Code(n.next())}}
	if n.p.PieceGrams > 0 {
		c.Pieces = max(c.Grams/n.p.PieceGrams, 1)
	}
	drafts, r := n.tap(cook, c)
	if r != nil {
		n.mend(r)
		drafts, _ = n.tap(cook, c)
	}
	if len(drafts) > 0 && d.name != "" {
		n.forgot = due{batch: drafts[0].ID, name: d.name, of: d.of, what: tooLate}
	}
}

// follow puts what an entry began among what the crew has to do.
func (n *Night) follow(body entry.Body) {
	soon := func(id entry.ID) {
		n.put(due{at: n.now.Add(pace + stamp.Span(n.below(15))*stamp.Second), what: workOn, batch: id})
	}
	switch b := body.(type) {
	case *entry.Start:
		soon(b.Batch)
	case *entry.Move:
		soon(b.Batch)
	case *entry.Portioning:
		for i := range b.In {
			soon(b.In[i].Batch)
		}
		for i := range b.Out {
			if !b.Out[i].All {
				soon(b.Out[i].Batch)
			}
		}
	}
}

// How the crew works: a step takes a while, and what is in the way is tried again.
const (
	pace  = 20 * stamp.Second
	again = stamp.Minute
	tries = 400
)

// stay is how long the crew leaves a batch in its stage.
func (n *Night) stay(b *kitchen.Batch, st *procedure.Stage) stamp.Span {
	w := n.s.Window(b)
	return dwell(&w, st.Kind)
}

// dwell is a good length within a window.
func dwell(w *procedure.Window, kind procedure.StageKind) stamp.Span {
	if kind == procedure.Hold {
		return max(w.Floor, cmp.Or(w.BestUntil, w.Ceiling*4/5, 30*stamp.Minute))
	}
	return max(w.Floor, cmp.Or(w.Aim, w.BestFrom, w.Floor, w.BestUntil/2, w.Ceiling/3, 3*stamp.Minute))
}

// work does what is next with a batch: one step, or on to its next stage.
func (n *Night) work(b *kitchen.Batch, tried int) {
	st := n.s.Stage(b)
	if st == nil || tried > tries {
		return
	}
	if h := n.holding(b.ID); h != nil && n.now < h.until {
		n.put(due{at: h.until, what: workOn, batch: b.ID, of: tried + 1})
		return
	}
	if n.forget(b, st) || n.moment(b, st) {
		return
	}
	if missing := n.s.Missing(b); len(missing) > 0 && st.Kind != procedure.Hold {
		at := n.now.Add(min(pace+stamp.Span(n.below(20))*stamp.Second, n.left(b)/stamp.Span(2*len(missing)+2)))
		c := n.filled(stepIn(st.Steps, missing[0]))
		c.Batch, c.Stage = b.ID, st.Name
		if _, r := n.tap(cook, c); r != nil {
			n.mend(r)
			tried++
		}
		n.put(due{at: at, what: workOn, batch: b.ID, of: tried})
		return
	}
	if leave := b.Since.Add(n.stay(b, st)); n.now < leave {
		if st.Kind == procedure.Hold {
			n.sell(b)
			leave = min(leave, n.now.Add(stamp.Span(4+n.below(6))*stamp.Minute))
		} else {
			leave = leave.Add(n.late(b, leave))
		}
		n.put(due{at: leave, what: workOn, batch: b.ID, of: tried})
		return
	}
	n.leave(b, tried)
}

// late is how long after its time the crew comes to a batch, so that its bell is heard first.
func (n *Night) late(b *kitchen.Batch, at stamp.Milli) stamp.Span {
	w := n.s.Window(b)
	late := pace + stamp.Span(n.below(40))*stamp.Second
	if w.Ceiling > 0 {
		late = min(late, max(w.Ceiling-at.Since(b.Since), 0)/4)
	}
	return late
}

// left is how long there is to a batch's ceiling.
func (n *Night) left(b *kitchen.Batch) stamp.Span {
	w := n.s.Window(b)
	if w.Ceiling == 0 {
		return stamp.Day
	}
	return max(w.Ceiling-n.now.Since(b.Since), 0)
}

// leave takes a batch on, or ends it.
func (n *Night) leave(b *kitchen.Batch, tried int) {
	next := n.p.Next(b.Stage)
	id := b.ID
	if next == nil {
		n.waste(b)
		return
	}
	_, r := n.tap(cook, n.onward(b, next))
	if r == nil {
		return
	}
	at := n.now.Add(again)
	switch r.Code {
	case kitchen.RefTooSoon, kitchen.RefPlaceResting:
		at = max(at, r.Until)
	case kitchen.RefPastLimit, kitchen.RefNotNext, kitchen.RefLastStage, kitchen.RefNeedAmount, kitchen.RefOffLimit:
		n.throw(b)
		return
	default:
		n.mend(r)
	}
	n.put(due{at: at, what: workOn, batch: id, of: tried + 1})
}

// onward is the tap that takes a batch to its next stage.
func (n *Night) onward(b *kitchen.Batch, next *procedure.Stage) *kitchen.Command {
	st := n.s.Stage(b)
	c := &kitchen.Command{Batch: b.ID, From: b.Stage, To: next.Name, Place: n.free(next, b)}
	if next.Vessel == "" || next.Vessel == st.Vessel {
		c.Do = kitchen.DoMove
		return c
	}
	c.Do = kitchen.DoPortion
	if !next.Enter.Part {
		c.Grams, c.Pieces = b.Grams, b.Pieces
		if next.Enter.Counted && c.Pieces == 0 {
			c.Pieces = max(b.Grams/max(n.p.PieceGrams, 1), 1)
		}
	}
	return c
}

// free is the equipment into which a batch goes on: empty, where it holds one load at a time.
func (n *Night) free(next *procedure.Stage, b *kitchen.Batch) string {
	eq := n.s.Equipment()
	if dev := eq.Device(b.Place); dev != nil && dev.Kind == next.Equipment {
		return b.Place
	}
	for i := range eq.Devices {
		dev := &eq.Devices[i]
		at := n.s.Place(dev.Name)
		if dev.Kind == next.Equipment && !at.Out && (!dev.Single || len(n.s.In(dev.Name)) == 0 && n.now.Since(at.EmptyAt) >= dev.Between) {
			return dev.Name
		}
	}
	return ""
}

// mend does what a refusal asks for.
func (n *Night) mend(r *kitchen.Refusal) {
	switch r.Code {
	case kitchen.RefNoReading, kitchen.RefReadingOld, kitchen.RefReadingOff:
		n.read(r.Place)
	case kitchen.RefDoubt:
		n.answer(r.Name)
	}
}

// answer lets the lead look at a deviation and close it.
func (n *Night) answer(key string) {
	off := n.s.Deviation(key)
	if off == nil || off.Closed {
		return
	}
	if off.Critical {
		for _, part := range kitchen.Parts {
			_, _ = n.tap(lead, &kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: part, Text: n.l.T("pr.looked")})
		}
	}
	_, _ = n.tap(lead, &kitchen.Command{Do: kitchen.DoAnswer, Deviation: key, Text: n.l.T("pr.looked"), Closes: true})
}

// read takes a reading within the limit.
func (n *Night) read(place string) {
	dev := n.s.Equipment().Device(place)
	if dev == nil {
		return
	}
	_, _ = n.tap(cook, &kitchen.Command{Do: kitchen.DoReading, Place: place, Value: n.within(&dev.Reading, "mC"), Unit: "mC", Probe: n.probe()})
}

// probe is the thermometer in the crew's hands: the last of the kitchen's that did not fail its check.
func (n *Night) probe() string {
	list := n.s.Equipment().Probes
	for i := len(list) - 1; i > 0; i-- {
		if !n.failed(list[i].Name) {
			return list[i].Name
		}
	}
	if len(list) > 0 {
		return list[0].Name
	}
	return ""
}

// failed tells whether a thermometer's last check was not met.
func (n *Night) failed(name string) bool {
	for i := range n.s.Probes {
		if p := &n.s.Probes[i]; p.Name == name {
			return p.At > p.GoodAt
		}
	}
	return false
}

// sell sells a few pieces of a tray.
func (n *Night) sell(b *kitchen.Batch) {
	if sold := min(1+n.below(5), b.Pieces); sold > 0 {
		_, _ = n.tap(cook, &kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: sold})
	}
}

// waste writes off what is left of a tray at the end of its time: nobody's fault.
func (n *Night) waste(b *kitchen.Batch) {
	if st := n.s.Stage(b); st != nil && st.Kind == procedure.Hold && b.Pieces > 0 {
		_, _ = n.tap(cook, &kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Wasted: b.Pieces, Reason: n.reason()})
		return
	}
	n.throw(b)
}

func (n *Night) throw(b *kitchen.Batch) {
	n.cost(b)
	_, _ = n.tap(cook, &kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: n.reason()})
}

func (n *Night) reason() string {
	if len(n.p.Reasons) > 0 {
		return n.l.Text(n.p.Reasons[0])
	}
	return n.l.T("pr.past")
}

// list does a list of a day, and closes it.
func (n *Night) list(name string, day int32) {
	l := n.s.List(name)
	if l == nil {
		return
	}
	for i := range l.Steps {
		if !l.Steps[i].Optional {
			c := n.filled(&l.Steps[i])
			c.List, c.Day = name, day
			_, _ = n.tap(cook, c)
		}
	}
	_, _ = n.tap(lead, &kitchen.Command{Do: kitchen.DoListClose, List: name, Day: day})
}

func stepIn(steps []procedure.Step, name string) *procedure.Step {
	for i := range steps {
		if steps[i].Name == name {
			return &steps[i]
		}
	}
	return &procedure.Step{}
}

// filled is the tap that does a step with nothing out of the ordinary.
func (n *Night) filled(step *procedure.Step) *kitchen.Command {
	c := &kitchen.Command{Do: kitchen.DoStep, Step: step.Name}
	switch step.Kind {
	case procedure.Read, procedure.Tally, procedure.Weigh:
		c.Value, c.Unit = n.within(&step.Limit, step.Unit), step.Unit
		if step.Unit == "mC" {
			c.Probe = n.probe()
		}
	case procedure.Ask:
		c.Answer = "yes"
	case procedure.Sign:
		c.Crew = lead
	case procedure.Photo:
		c.Text = n.l.T("pr.seen")
	}
	return c
}

// within is a likely number that meets a limit.
func (n *Night) within(limit *procedure.Limit, unit string) int64 {
	room := int64(1)
	if unit == "mC" {
		room = 2_000
	}
	switch {
	case limit.Min != nil && limit.Max != nil:
		return *limit.Min + n.below(*limit.Max-*limit.Min+1)
	case limit.Max != nil:
		return *limit.Max - n.below(min(room, max(*limit.Max, 1)))
	case limit.Min != nil:
		return *limit.Min + n.below(room)
	}
	return room
}

// stands tells where a batch stands in its window.
func (n *Night) stands(b *kitchen.Batch) window.State {
	w := n.s.Window(b)
	return window.At(&w, n.now.Since(b.Since))
}

func (n *Night) holding(id entry.ID) *hold {
	for i := range n.held {
		if n.held[i].batch == id {
			return &n.held[i]
		}
	}
	return nil
}
