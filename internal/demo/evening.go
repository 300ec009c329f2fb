package demo

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// eveningBefore is the time of the day before which the demo kitchen is opened in the evening: the evening boat has left, the last one is
// still to come, and tomorrow is to be planned.
const eveningBefore = 19*stamp.Hour + 35*stamp.Minute

// friday is its weekday.
const friday = 5

// Evenings is Entries on a Friday evening: a day that is nearly done, and nothing that is begun for the next one. Now has to be on a Friday:
// ToFriday.
func Evenings(now stamp.Milli, seed [32]byte) ([]entry.Entry, error) {
	p := newPlan(now, seed)
	opened := p.ago(32 * h)
	if err := p.furnish(opened, eveningBefore); err != nil {
		return nil, err
	}
	p.history(opened, seed)
	d := &day{p, p.state.DayStart(p.state.WallDay(now))}
	d.tell()
	d.checklists()
	p.list(d.ago(14, 10), 3*m, "maren", p.state.List("changeover"), 0)
	for hour := -3; hour < 19; hour += 3 {
		p.reading(d.ago(hour, 20), "salma", "cold-room", 2_900)
	}
	for hour := 6; hour < 19; hour++ {
		p.reading(d.ago(hour, 40), "ines", "cabinet-1", 62_100)
	}
	if err := p.run(); err != nil {
		return nil, err
	}
	return p.entries, nil
}

// ToFriday is how much later it has to be for the evening to be a Friday's: whole days, since the demo kitchen chooses its zone by the hour.
func ToFriday(now stamp.Milli) stamp.Span {
	const day = stamp.Milli(stamp.Day)
	local := now.Add(stamp.Span(hoursOf(now, eveningBefore)) * h)
	today := kitchen.Weekday(int32((local - (local%day+day)%day) / day))
	return stamp.Span((friday-int(today)+7)%7) * stamp.Day
}
