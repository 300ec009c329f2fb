// Package stamp orders what happens in a kitchen by a hybrid logical clock that wrong device clocks cannot break.
//
// The clock follows Kulkarni, Demirbas, Madappa, Avva and Leone, "Logical Physical Clocks" (OPODIS 2014), figure 5,
// with one addition: a stamp from elsewhere pulls the local clock forward by at most LeadMax, so that one device with
// a clock in the future cannot drag the whole kitchen with it.
package stamp

import "cmp"

// Milli is an instant of kitchen time: milliseconds since 1970-01-01T00:00:00Z.
type Milli int64

// Span is a length of time in milliseconds. A wait is a Span, never a difference of wall times.
type Span int64

// Lengths of time.
const (
	Second Span = 1000
	Minute      = 60 * Second
	Hour        = 60 * Minute
	Day         = 24 * Hour
)

// Add returns the instant s later (or earlier, when s is negative).
func (m Milli) Add(s Span) Milli { return m + Milli(s) }

// Since returns the length from o to m.
func (m Milli) Since(o Milli) Span { return Span(m - o) }

// Stamp is the place of an entry in the order of all entries: kitchen time, a counter that tells apart what happened
// within one millisecond, and the device as the last resort.
type Stamp struct {
	At     Milli
	Count  uint32
	Device string
}

// Compare orders stamps: by time, then counter, then device.
func Compare(a, b Stamp) int {
	if c := cmp.Compare(a.At, b.At); c != 0 {
		return c
	}
	if c := cmp.Compare(a.Count, b.Count); c != 0 {
		return c
	}
	return cmp.Compare(a.Device, b.Device)
}

// LeadMax is how far ahead of its own kitchen time a clock lets itself be pulled by a received stamp.
const LeadMax = Minute

// Clock hands out stamps for one device. The zero value with Device set is ready.
type Clock struct {
	Device string
	at     Milli
	count  uint32
}

// Next returns a stamp for something that happens on this device when its kitchen time is now. A clock that is ahead
// of kitchen time by more than LeadMax was wrong, and is let go.
func (c *Clock) Next(now Milli) Stamp {
	if now > c.at || c.at > now.Add(LeadMax) {
		c.at, c.count = now, 0
	} else {
		c.count++
	}
	return Stamp{At: c.at, Count: c.count, Device: c.Device}
}

// Seen takes account of a stamp received from elsewhere when this device's kitchen time is now.
func (c *Clock) Seen(s Stamp, now Milli) {
	if s.At > now.Add(LeadMax) {
		return // its clock is wrong; follow only stamps that could be true
	}
	switch at := max(c.at, s.At, now); {
	case at == c.at && at == s.At:
		c.count = max(c.count, s.Count) + 1
	case at == c.at:
		c.count++
	case at == s.At:
		c.at, c.count = at, s.Count+1
	default:
		c.at, c.count = at, 0
	}
}

// Peek returns the instant that Next would give.
func (c *Clock) Peek(now Milli) Milli {
	d := *c
	return d.Next(now).At
}

// Resume sets the clock to what Last returned before a restart.
func (c *Clock) Resume(at Milli, count uint32) { c.at, c.count = at, count }

// Last returns the latest instant and counter handed out or taken account of.
func (c *Clock) Last() (Milli, uint32) { return c.at, c.count }
