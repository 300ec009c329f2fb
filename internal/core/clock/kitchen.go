package clock

import "brinebell/internal/core/stamp"

// Written is an instant that is past for certain: a clock before it is wrong.
const Written stamp.Milli = 1_780_272_000_000 // 2026-06-01T00:00:00Z

// DoubtLeast is the least jump of the server's clock that is worth a word.
const DoubtLeast = 2 * stamp.Second

// Kitchen is the server's clock: kitchen time is its wall clock, but never behind what it has stamped or committed.
type Kitchen struct {
	pace     int32 // 0 is 1
	shift    stamp.Span
	from     stamp.Milli // kitchen time at mono, when pace is not 1
	mono     int64
	wall     int64
	last     stamp.Milli // the latest kitchen time at which something was committed
	lastWall int64
	lastMono int64
}

// Start begins, when the last commit was at last of kitchen time (0: none). It returns how far the wall clock seems to
// be off, 0 if nothing speaks against it.
func (k *Kitchen) Start(wall, mono int64, last stamp.Milli) (doubt stamp.Span) {
	*k = Kitchen{wall: wall, mono: mono, last: last, lastWall: wall, lastMono: mono}
	if off := last.Since(stamp.Milli(wall)); off >= 0 {
		k.shift = off + 1
		if off >= DoubtLeast {
			return -off
		}
		return 0
	}
	if stamp.Milli(wall) < Written {
		return stamp.Milli(wall).Since(Written)
	}
	return 0
}

// Step takes note of the clocks and returns by how much the wall clock was set since the last step, 0 if it was not.
// Set ahead, kitchen time follows. Set back, it goes on as it was, until the wall clock is past the last commit.
func (k *Kitchen) Step(wall, mono int64) (doubt stamp.Span) {
	jump := (wall - k.lastWall) - (mono - k.lastMono)
	k.lastWall, k.lastMono = wall, mono
	if k.Pace() != 1 {
		return 0
	}
	if jump < -JumpLeast {
		k.shift += stamp.Span(-jump)
	}
	if k.shift > 0 && stamp.Milli(wall) > k.last.Add(stamp.Minute) {
		k.shift = 0
	}
	if now := stamp.Milli(wall).Add(k.shift); now <= k.last {
		k.shift += k.last.Since(now) + 1
	}
	if s := stamp.Span(jump); s <= -DoubtLeast || s >= DoubtLeast {
		return s
	}
	return 0
}

// Now returns kitchen time at the last step.
func (k *Kitchen) Now() stamp.Milli {
	if k.Pace() != 1 {
		return k.from.Add(stamp.Span((k.lastMono - k.mono) * int64(k.pace)))
	}
	return stamp.Milli(k.lastWall).Add(k.shift)
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
	if pace <= 1 {            // goes on from where it is; the shift keeps it there
		k.pace, k.shift = 1, now.Since(stamp.Milli(k.lastWall))
	}
}

// WallAt returns what the wall clock will say at an instant of kitchen time.
func (k *Kitchen) WallAt(at stamp.Milli) int64 {
	past, pace := int64(at.Since(k.Now())), int64(k.Pace())
	return k.lastWall + (past+pace-1)/pace
}
