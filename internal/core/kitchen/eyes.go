package kitchen

import "slices"

// SeesRecord tells whether a crew member may look at another's training record: it is their own, or theirs to teach or to
// lead. A phone's screens and the files of the kitchen's server both ask this.
func (s *State) SeesRecord(who, of string) bool { return s.is(who, of) || s.Trains(who) }

// SeesAge tells whether a crew member may see how old another is: it is themselves, or theirs to lead.
func (s *State) SeesAge(who, of string) bool { return s.is(who, of) || s.IsLead(who) }

func (s *State) is(who, of string) bool {
	m := s.Member(who)
	return m != nil && !m.Gone && who == of
}

// Seen returns a copy of the kitchen at an instant as a crew member may carry it away now: without the days of birth and the training
// records that are not theirs to see, and without anybody's PIN, since its digest alone tells it to whoever tries ten thousand.
func (s *State) Seen(then *State, who string) *State {
	c := then.Clone()
	c.Pins = nil
	for i := range c.Crew {
		if m := &c.Crew[i]; !s.SeesAge(who, m.Crew) {
			m.Born = 0
		}
	}
	hidden := func(of string) bool { return !s.SeesRecord(who, of) }
	c.Learned = slices.DeleteFunc(c.Learned, func(x Learned) bool { return hidden(x.Crew) })
	c.SignOffs = slices.DeleteFunc(c.SignOffs, func(x SignMark) bool { return hidden(x.Crew) })
	c.Guides = slices.DeleteFunc(c.Guides, func(x GuideMark) bool { return hidden(x.Crew) })
	c.GuidedRuns = slices.DeleteFunc(c.GuidedRuns, func(x GuidedCount) bool { return hidden(x.Crew) })
	c.Rungs = slices.DeleteFunc(c.Rungs, func(x RungMark) bool { return hidden(x.Crew) })
	c.Worked = slices.DeleteFunc(c.Worked, func(x WorkMark) bool { return hidden(x.Crew) })
	c.Asks = slices.DeleteFunc(c.Asks, func(x Ask) bool { return hidden(x.By) })
	c.Notes = slices.DeleteFunc(c.Notes, func(x TrainerNote) bool { return hidden(x.Crew) })
	return c
}
