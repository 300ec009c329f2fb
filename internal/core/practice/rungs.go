package practice

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// Rung is one night of the ladder.
type Rung struct {
	Key       string // "tub" to "friday"; "free" is free play
	Number    uint32 // its place on the ladder, from 1; 0 of free play
	Procedure string
	Tubs      int
	From      stamp.Span // wall time at which it begins
	Hours     stamp.Span
	Troubles  int // at most
	Mark      int // per cent of the troubles that came must be answered right, and none so that it can hurt
	level     uint8
	about     topic
}

// topic says what kinds of trouble are about.
type topic uint8

// Topics.
const (
	raw topic = 1 << iota
	fry
	hot
	people
)

var rungs = [...]Rung{
	{Key: "tub", Tubs: 1, From: 14 * stamp.Hour, Hours: 6 * stamp.Hour, Troubles: 3, Mark: 60, level: 1},
	{Key: "cold", Tubs: 2, From: 12 * stamp.Hour, Hours: 8 * stamp.Hour, Troubles: 4, Mark: 75, level: 2, about: raw},
	{Key: "fryer", Tubs: 4, From: 12 * stamp.Hour, Hours: 8 * stamp.Hour, Troubles: 5, Mark: 75, level: 2, about: fry},
	{Key: "counter", Tubs: 3, From: 12 * stamp.Hour, Hours: 8 * stamp.Hour, Troubles: 5, Mark: 75, level: 2, about: hot | people},
	{Key: "evening", Tubs: 3, From: 12 * stamp.Hour, Hours: 10 * stamp.Hour, Troubles: 7, Mark: 80, level: 3},
	{Key: "night", Tubs: 4, From: 12 * stamp.Hour, Hours: 12 * stamp.Hour, Troubles: 9, Mark: 85, level: 3},
	{Key: "friday", Tubs: 6, From: 12 * stamp.Hour, Hours: 12 * stamp.Hour, Troubles: 14, Mark: 90, level: 3},
	{Key: "free", Tubs: 4, From: 12 * stamp.Hour, Hours: 12 * stamp.Hour, Troubles: 12, Mark: 80, level: 3},
}

// Rungs lists the ladder for a procedure, from one tub to a Friday's rush, and after it free play.
func Rungs(from *kitchen.State, name string) []Rung {
	if from.Procedure(name, 0) == nil {
		return nil
	}
	var list []Rung
	for i, r := range rungs {
		r.Procedure = name
		if r.Key != "free" {
			r.Number = uint32(i + 1)
		}
		list = append(list, r)
	}
	return list
}

// shuffle puts the kinds of trouble that the rung has into an order.
func (n *Night) shuffle() {
	for i := range troubles {
		if k := &troubles[i]; k.level <= n.rung.level && (n.rung.about == 0 || k.about&n.rung.about != 0) && n.possible(k.need) {
			n.deck = append(n.deck, i)
		}
	}
	for i := len(n.deck) - 1; i > 0; i-- {
		j := int(n.below(int64(i + 1)))
		n.deck[i], n.deck[j] = n.deck[j], n.deck[i]
	}
}

// possible tells whether trouble over a step can come up: whether some step of the procedure is one that it comes over.
func (n *Night) possible(d need) bool {
	if d >= goesOn {
		return true
	}
	for i := range n.p.Stages {
		st := &n.p.Stages[i]
		for j := range st.Steps {
			if n.stepFits(d, st, &st.Steps[j], new(subject)) {
				return true
			}
		}
	}
	return false
}

// plan puts the night's work into the queue: tubs so that they come to the counter spread over it, one that is begun while it
// lasts, and what the crew will forget.
func (n *Night) plan(from *kitchen.State) {
	var way stamp.Span
	for i := range n.p.Stages {
		if st := &n.p.Stages[i]; st.Kind != procedure.Hold {
			way += dwell(&st.Window, st.Kind)
		}
	}
	tubs := n.rung.Tubs
	for i := range tubs {
		at := n.start.Add(n.rung.Hours*stamp.Span(2*i+1)/stamp.Span(2*tubs+1) - way)
		if i > 0 && i == tubs-1 {
			at = n.start.Add(n.rung.Hours / 8)
		}
		n.put(due{at: at, what: beginTub})
	}
	if tubs > 2 {
		n.put(due{at: n.start.Add(n.rung.Hours * 3 / 8), what: beginTub})
	}
	for at := 0; at < len(n.deck); at++ {
		k := n.deck[at]
		if d := troubles[k].need; d < needPlans {
			continue
		} else if at < n.rung.Troubles && (d == pastTub && n.planTub(k) || d == pastTray && n.planTray(k) || d == openList && n.planList(from, k)) {
			n.planned++
		}
		n.deck = append(n.deck[:at], n.deck[at+1:]...)
		at--
	}
}

// lists lets the crew do every list of the night's day, and those of the day before that would still ring, but the one that is
// left to trouble.
func (n *Night) lists(from *kitchen.State) {
	for _, l := range from.Lists() {
		for of := range 2 {
			d := due{at: n.at(l.Due - 30*stamp.Minute - stamp.Span(of)*stamp.Day), what: doList, name: l.Name, of: of}
			if (of > 0 || n.list0 != l.Name) && kitchen.Opens(l, day-int32(of)) && d.at > n.now && d.at < n.end {
				n.put(d)
			}
		}
	}
}

// at is the instant of a wall time on the night's day.
func (n *Night) at(clock stamp.Span) stamp.Milli { return n.start.Add(clock - n.rung.From) }

// planTub begins a tub so early that it is past its ceiling half way through the night, when the crew forgets it.
func (n *Night) planTub(k int) bool {
	var way stamp.Span
	for i := range n.p.Stages {
		st := &n.p.Stages[i]
		if st.Raw && st.Kind == procedure.Wait && st.Equipment != fryerKind && st.Window.Ceiling > 0 {
			at := n.start.Add(n.rung.Hours/2 - way - overdue(st.Window.Ceiling))
			n.put(due{at: at, what: beginTub, name: st.Name, of: k})
			return true
		}
		way += dwell(&st.Window, st.Kind)
	}
	return false
}

// planTray lets the crew forget the first tray that comes to be sold.
func (n *Night) planTray(k int) bool {
	st := &n.p.Stages[len(n.p.Stages)-1]
	if st.Kind != procedure.Hold || st.Window.Ceiling == 0 || overdue(st.Window.Ceiling) > n.rung.Hours/2 {
		return false
	}
	n.trayOf = k + 1
	return true
}

// planList leaves the first list that falls due in the night to trouble.
func (n *Night) planList(from *kitchen.State, k int) bool {
	for _, l := range from.Lists() {
		if at := n.at(l.Due); kitchen.Opens(l, day) && at > n.start && at < n.end.Add(-30*stamp.Minute) {
			n.list0 = l.Name
			n.put(due{at: at, what: tooLate, name: l.Name, of: k})
			return true
		}
	}
	return false
}

// overdue is a length a little over a ceiling.
func overdue(ceiling stamp.Span) stamp.Span { return ceiling + max(ceiling/30, stamp.Minute) }

// forget leaves a batch that trouble was planned for where it is, until it is past its ceiling.
func (n *Night) forget(b *kitchen.Batch, st *procedure.Stage) bool {
	switch {
	case n.forgot.batch == b.ID && n.forgot.name == st.Name:
	case n.trayOf > 0 && st.Kind == procedure.Hold && b.Pieces > 0 && n.now >= n.start:
		n.forgot, n.trayOf = due{batch: b.ID, of: n.trayOf - 1, what: tooLate}, 0
	default:
		return false
	}
	d := n.forgot
	n.forgot = due{}
	d.at = max(b.Since.Add(overdue(n.s.Window(b).Ceiling)), n.start.Add(stamp.Minute))
	n.hold(b.ID, d.at.Add(stamp.Hour), -1)
	n.put(d)
	return true
}

// tooLate opens trouble that was planned.
func (n *Night) tooLate(d *due) {
	about := subject{batch: d.batch, list: d.name}
	switch b := n.s.Batch(d.batch); {
	case n.open != nil:
		d.at = n.now.Add(stamp.Minute)
		n.put(*d)
		return
	case !d.batch.IsZero():
		if b == nil || b.Status != kitchen.Open || n.stands(b) != window.Past {
			return
		}
		about = subject{batch: b.ID, stage: b.Stage, place: b.Place}
	}
	n.opens(d.of, about)
}
