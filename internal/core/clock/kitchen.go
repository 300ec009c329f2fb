package clock

import "brinebell/internal/core/stamp"

// Written is an instant that is past for certain: a clock before it is wrong.
const Written stamp.Milli = 1_780_272_000_000 // 2026-06-01T00:00:00Z

// DoubtLeast is the least jump of the server's clock that is worth a word.
const DoubtLeast = 2 * stamp.Second

// Kitchen is the server's clock. It begins at the wall clock, but never behind what was stamped or committed, and from
// then on runs with the steady clock: whoever sets the wall clock of a running server changes nothing in the kitchen. The
// one exception is a clock that was behind when it began, as that of a board without a battery is: once it is put right,
// kitchen time goes ahead with it, for until then every wait looks shorter than it is.
type Kitchen struct {
	pace     int32       // 0 is 1
	from     stamp.Milli // kitchen time at mono
	mono     int64
	late     bool        // it began behind, and the wall clock was not put right yet
	last     stamp.Milli // the latest kitchen time at which something was committed
	lastWall int64
	lastMono int64
}

// Start begins, when the last commit was at last of kitchen time (0: none). It returns how far the wall clock seems to
// be off, 0 if nothing speaks against it.
func (k *Kitchen) Start(wall, mono int64, last stamp.Milli) (doubt stamp.Span) {
	*k = Kitchen{from: max(stamp.Milli(wall), last+1), mono: mono, last: last, lastWall: wall, lastMono: mono}
	if off := last.Since(stamp.Milli(wall)); off >= DoubtLeast {
		doubt = -off
	} else if stamp.Milli(wall) < Written {
		doubt = stamp.Milli(wall).Since(Written)
	}
	k.late = doubt != 0
	return doubt
}

// Step takes note of the clocks and returns by how much the wall clock was set since the last step, 0 if it was not.
func (k *Kitchen) Step(wall, mono int64) (doubt stamp.Span) {
	jump := (wall - k.lastWall) - (mono - k.lastMono)
	k.lastWall, k.lastMono = wall, max(mono, k.lastMono)
	if k.Pace() != 1 {
		return 0
	}
	if now := stamp.Milli(wall); k.late && jump > JumpLeast && now > k.Now() && now > Written {
		k.from, k.mono, k.late = now, k.lastMono, false
	}
	if s := stamp.Span(jump); s <= -DoubtLeast || s >= DoubtLeast {
		return s
	}
	return 0
}

// Now returns kitchen time at the last step.
func (k *Kitchen) Now() stamp.Milli {
	return k.from.Add(stamp.Span((k.lastMono - k.mono) * int64(k.Pace())))
}

// Committed says that something is committed at kitchen time now.
func (k *Kitchen) Committed() { k.last = max(k.last, k.Now()) }

// Last returns the kitchen time of the last commit.
func (k *Kitchen) Last() stamp.Milli { return k.last }

// Pace returns how many times as fast as real time kitchen time runs.
func (k *Kitchen) Pace() int32 { return max(k.pace, 1) }

// SetPace makes kitchen time run pace times as fast from the last step on.
func (k *Kitchen) SetPace(pace int32) {
	now := k.Now()
	k.from, k.mono, k.pace = now, k.lastMono, pace
	k.last = max(k.last, now) // what ran fast must not run again
}

// WallAt returns what the wall clock will say at an instant of kitchen time.
func (k *Kitchen) WallAt(at stamp.Milli) int64 {
	past, pace := int64(at.Since(k.Now())), int64(k.Pace())
	return k.lastWall + (past+pace-1)/pace
}
