package practice

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
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
	{Key: "fryer", Tubs: 3, From: 12 * stamp.Hour, Hours: 8 * stamp.Hour, Troubles: 5, Mark: 75, level: 2, about: fry},
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

// plan puts the night's work into the queue: tubs so that they come to the counter spread over it, and one that is begun while
// it lasts.
func (n *Night) plan() {
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
}
