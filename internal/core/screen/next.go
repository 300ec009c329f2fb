package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// second is the whole second in which an instant falls.
func second(at stamp.Milli) stamp.Milli { return at - at%stamp.Milli(stamp.Second) }

// midnight is the next one after an instant where clocks are so many minutes ahead of UTC.
func midnight(at stamp.Milli, minutes int32) stamp.Milli {
	ahead := stamp.Milli(minutes) * stamp.Milli(stamp.Minute)
	day := words.Zone(minutes).Day(at)
	return stamp.Milli(day+1)*stamp.Milli(stamp.Day) - ahead
}

// soonest keeps the earliest instant that lies ahead.
type soonest struct{ now, at stamp.Milli }

func (s *soonest) see(at stamp.Milli) {
	if at > s.now && at < s.at {
		s.at = at
	}
}

// Next returns the instant at which this view, or what this device rings, changes by itself; 0 when never.
func Next(ctx *Context) stamp.Milli {
	p := newPage(ctx)
	s := &soonest{now: ctx.Now, at: never}
	p.workAhead(s)
	p.placesAhead(s)
	p.logsAhead(s)
	if p.Planned != nil {
		p.planAhead(s)
	}
	for _, b := range p.bells {
		s.see(b.At)
		s.see(b.Ends)
	}
	for i := range ctx.State.Bells { // an answer that a wrong clock gave from far ahead counts from here
		s.see(ctx.State.Bells[i].At.Add(-stamp.LeadMax))
	}
	if ctx.Last != nil {
		s.see(ctx.Last.At.Add(UndoFor))
	}
	s.see(ctx.Code.Until)
	s.see(ctx.State.DayStart(ctx.State.WallDay(ctx.Now) + 1))
	for _, o := range ctx.State.Offsets { // instants are told by the day of their own offset
		s.see(midnight(ctx.Now, o.Minutes))
	}
	switch p.path.at(0) {
	case "list", "guide": // one of another day, or that does not open on this one
		if li, day := p.listShown(); li != nil {
			s.see(p.State.WallAt(day, li.Opens))
			s.see(p.State.WallAt(day, li.Due))
		}
	case "place":
		p.offAhead(s)
	case "start", "portion", "load", "log": // their refusals say lengths, and "if started now" moves with the clock
		s.see(second(ctx.Now).Add(stamp.Second))
	}
	if s.at == never {
		return 0
	}
	return s.at
}

// workAhead sees when batches, timers and lists change what is said of them, or come within the hour.
func (p *page) workAhead(s *soonest) {
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		if b.Status != kitchen.Open {
			continue
		}
		st := p.standing(b)
		for _, at := range st.marks() {
			s.see(at)
		}
		s.see(st.hand().Add(-nextHour))
		s.see(st.needed())
	}
	for i := range p.State.Timers {
		if t := &p.State.Timers[i]; !t.Ended {
			s.see(t.Due)
			s.see(t.Due.Add(-nextHour))
		}
	}
	today := p.State.WallDay(p.Now)
	for _, li := range p.State.Lists() { // what was left over from the day before stops ringing when the list opens again
		s.see(p.State.WallAt(today, li.Opens))
		s.see(p.State.WallAt(today+1, li.Opens))
	}
	for _, l := range p.todaysLists() {
		if !l.complete() {
			s.see(l.opens)
			s.see(l.due)
			s.see(l.due.Add(-nextHour))
		}
	}
}

func (p *page) placesAhead(s *soonest) {
	devices := p.State.Equipment().Devices
	for i := range devices {
		if due := readingDue(p.State, &devices[i]); due > 0 {
			s.see(due)
			s.see(due.Add(-nextHour))
		}
		if at := p.State.Place(devices[i].Name).EmptyAt; at > 0 {
			s.see(at.Add(devices[i].Between))
		}
	}
	if boat := boatAfter(p.State, p.Now); boat > 0 {
		s.see(boat)
		s.see(boat.Add(-boatNear))
	}
}
