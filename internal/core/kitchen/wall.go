package kitchen

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

const dayMilli = stamp.Milli(stamp.Day)

// OffsetAt returns how far the kitchen's wall time is ahead of UTC at an instant; UTC when nothing is known.
func (s *State) OffsetAt(at stamp.Milli) entry.Offset {
	found := entry.Offset{Name: "UTC"}
	for i, o := range s.Offsets {
		if i > 0 && o.From > at {
			break
		}
		found = o
	}
	return found
}

// WallDay returns the kitchen's day at an instant, in days since 1970-01-01.
func (s *State) WallDay(at stamp.Milli) int32 {
	day, _ := s.Wall(at)
	return day
}

// Wall returns the kitchen's day, in days since 1970-01-01, and the time that its clocks show, as a length from
// midnight.
func (s *State) Wall(at stamp.Milli) (day int32, clock stamp.Span) {
	at = min(max(at, -wallMost), wallMost)
	local := at + stamp.Milli(s.OffsetAt(at).Minutes)*stamp.Milli(stamp.Minute)
	d := local / dayMilli
	if local%dayMilli < 0 {
		d--
	}
	return int32(d), stamp.Span(local - d*dayMilli)
}

// wallMost bounds instants so that their days fit: about 270,000 years either side of 1970.
const wallMost = 100_000_000 * dayMilli

// WallAt returns the instant at which the kitchen's clocks show clock on day: the first of two when they are set back
// over it, the moment of the change when they are set forward over it.
func (s *State) WallAt(day int32, clock stamp.Span) stamp.Milli {
	local := (stamp.Milli(day) * dayMilli).Add(clock)
	if len(s.Offsets) == 0 {
		return local
	}
	for i, o := range s.Offsets {
		at := local - stamp.Milli(o.Minutes)*stamp.Milli(stamp.Minute)
		if i > 0 && at < o.From {
			return o.From // the change skipped it
		}
		if i+1 == len(s.Offsets) || at < s.Offsets[i+1].From {
			return at
		}
	}
	return local
}

// DayStart returns the instant at which the kitchen's day begins.
func (s *State) DayStart(day int32) stamp.Milli { return s.WallAt(day, 0) }

func compareOffsets(a, b entry.Offset) int {
	return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Minutes, b.Minutes), cmp.Compare(a.Name, b.Name))
}

// Weekday returns the ISO weekday of a day: 1 is Monday.
func Weekday(day int32) uint8 {
	return uint8((int64(day)+3)%7+7)%7 + 1 // 1970-01-01 was a Thursday
}
