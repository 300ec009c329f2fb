package safety

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// DateDays is how many days a food that is ready to eat may be kept at 41 °F or below, the day it was made counted as the
// first: 3-501.17(A) of the Food Code.
const DateDays = 7

// DateNeeded is the length of keeping beyond which the food needs a mark.
const DateNeeded = 24 * stamp.Hour

// DateMark counts the days of a food. A day counts when the food was unfrozen during any part of it: the day of making is
// day 1, that of freezing counts still, and that of thawing counts again.
type DateMark struct {
	Made   int32 // the kitchen's day, in days since 1970-01-01; of what was combined, the oldest
	Used   int32 // days counted
	On     int32 // the last day counted so far
	Frozen bool
}

// Make begins the count on the day of making.
func Make(day int32) DateMark { return DateMark{Made: day, Used: 1, On: day} }

// By returns the mark with all days counted up to one. Days before the last one counted change nothing.
func (m DateMark) By(day int32) DateMark {
	if !m.Frozen && day > m.On {
		m.Used, m.On = m.Used+day-m.On, day
	}
	return m
}

// Freeze stops the count after the day.
func (m DateMark) Freeze(day int32) DateMark {
	m = m.By(day)
	m.Frozen = true
	return m
}

// Thaw lets the count go on with the day.
func (m DateMark) Thaw(day int32) DateMark {
	if !m.Frozen {
		return m.By(day)
	}
	m.Frozen = false
	if day > m.On {
		m.Used, m.On = m.Used+1, day
	}
	return m
}

// Combine returns the mark of two foods put together on a day: that of the one with fewer days left, and the day of making
// of the older (3-501.17(D), from memory). One frozen food put to one that is not is frozen no longer.
func Combine(a, b DateMark, day int32) DateMark {
	if a.Frozen != b.Frozen {
		a, b = a.Thaw(day), b.Thaw(day)
	}
	a, b = a.By(day), b.By(day)
	made := min(a.Made, b.Made)
	if b.Used > a.Used || b.Used == a.Used && b.On < a.On {
		a = b
	}
	a.Made = made
	return a
}

// Left returns how many days are left after those counted, negative when it is past.
func (m DateMark) Left() int32 { return DateDays - m.Used }

// Last returns the last day on which the food may be used, while it is not frozen.
func (m DateMark) Last() int32 { return m.On + m.Left() }

// Until returns the last instant at which it may be used: the end of its last day, as dayStart, which returns the instant
// at which a day begins, has the kitchen's days. 0 while it is frozen.
func (m DateMark) Until(dayStart func(day int32) stamp.Milli) stamp.Milli {
	if m.Frozen {
		return 0
	}
	return dayStart(m.Last()+1) - 1
}

// Finding holds the mark against the limit on a day.
func (m DateMark) Finding(today int32) Finding {
	m = m.By(today)
	left := int64(m.Left())
	return Finding{
		Rule: "date-max", Source: "fc-date", Formula: "days used, the first counted, <= most", Verdict: Judge(left >= 0),
		By: max(left, -left), Got: Amount{"days used", int64(m.Used), quantity.Piece}, Limit: Amount{"most", DateDays, quantity.Piece},
	}
}

// Actions returns what can be done on a day, with the day that stands on the container (nil: none): past its days,
// unmarked, or marked with a later day than it may be, it is thrown away (3-501.18).
func (m DateMark) Actions(today int32, written *int32) []Action {
	m = m.By(today)
	switch {
	case m.Left() < 0, written == nil, !m.Frozen && *written > m.Last():
		return []Action{Discard}
	case m.Left() == 0 && !m.Frozen:
		return []Action{UseFirst}
	}
	return nil
}
