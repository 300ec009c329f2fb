// Package window works out when a stage may end, must end and should ring.
package window

import (
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// State is where a stage stands in its window.
type State uint8

// States, from the beginning of a stage to its end.
const (
	None     State = iota // no window: nothing is waited for
	TooSoon               // before the floor
	Ready                 // from the floor
	Best                  // from best-from
	LastCall              // from the warning before best-until, to the ceiling
	Past                  // after the ceiling
)

// At returns the state after a stage has lasted for elapsed. Marks belong to the later state, but the ceiling itself
// is still within the limit: "at most 24 h" allows exactly 24 h.
func At(w *procedure.Window, elapsed stamp.Span) State {
	switch {
	case !w.Any():
		return None
	case w.Ceiling > 0 && elapsed > w.Ceiling:
		return Past
	case elapsed < w.Floor:
		return TooSoon
	case w.BestUntil > 0 && elapsed >= LastCallAt(w):
		return LastCall
	case elapsed < w.BestFrom:
		return Ready
	}
	return Best
}

// LastCallAt returns the length at which the last call begins, 0 if the window has none.
func LastCallAt(w *procedure.Window) stamp.Span {
	if w.BestUntil == 0 {
		return 0
	}
	return max(w.BestUntil-w.LastCall, w.BestFrom, w.Floor)
}

// PastFrom returns the first length that is past the limit: a millisecond after the ceiling.
func PastFrom(w *procedure.Window) stamp.Span { return w.Ceiling + 1 }
