package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// Point is what a bell rings for.
type Point string

// Points.
const (
	PointBest  Point = "best"  // the stage has come to its best, or to its aim
	PointLast  Point = "last"  // last call
	PointPast  Point = "past"  // past the limit
	PointTimer Point = "timer" // a plain timer has run out
	PointList  Point = "list"  // a list is due and not complete
)

// Level is how urgent a bell is.
type Level uint8

// Levels.
const (
	Information Level = iota + 1
	Attention
	Danger
)

// Bell is something that rings, or will.
type Bell struct {
	Key       string      // names this ring: "<entry that began the stage>/<point>/<n>", "timer/<id>/<n>", "list/<name>/<day>/<n>"
	Point     Point       //
	Level     Level       //
	At        stamp.Milli // when this ring begins
	First     stamp.Milli // when the point was reached: At of the ring with N 0
	N         int         // how often it has been answered so far
	Ringing   bool        // At is not after now
	Escalated bool        // rings for the lead too: answered before, or unanswered longer than Patience
	Patience  stamp.Span  // 0: it does not ring again once answered
	Batches   []entry.ID  // open batches that it is about, by vessel number
	Timer     entry.ID
	List      string
	Day       int32
}

// Bells returns what rings now, most urgent first, and then what will ring within the horizon, by time. For each
// subject only the highest point that it has reached rings.
func Bells(s *State, now stamp.Milli, horizon stamp.Span) []Bell { return nil }
