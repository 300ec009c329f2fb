package kitchen

import "slices"

// Clone returns a copy that changes on its own, for about the price of copying the lists. The lists within batches, runs
// and deviations are shared: folding only ever appends to them or puts others in their place, and what is appended to
// the copy goes into memory of its own. Both belong to one goroutine, since they share what Share shares.
func (s *State) Clone() *State {
	if s.parsed == nil {
		s.parsed = make(map[docKey]parsedDoc)
	}
	c := *s
	c.Offsets, c.Crew, c.Devices = slices.Clone(s.Offsets), slices.Clone(s.Crew), slices.Clone(s.Devices)
	c.Documents, c.Places, c.Timers = slices.Clone(s.Documents), slices.Clone(s.Places), slices.Clone(s.Timers)
	c.Batches, c.Runs, c.Deviations = slices.Clone(s.Batches), slices.Clone(s.Runs), slices.Clone(s.Deviations)
	c.Bells, c.Recent = slices.Clone(s.Bells), slices.Clone(s.Recent)
	c.Ahead = slices.Clone(s.Ahead)
	c.Sensors, c.Feeds, c.Excursions = slices.Clone(s.Sensors), slices.Clone(s.Feeds), slices.Clone(s.Excursions)
	for i := range c.Feeds { // folding changes these in place
		x := &c.Feeds[i]
		x.Quarters, x.Run.Used, x.Kept = slices.Clone(x.Quarters), slices.Clone(x.Run.Used), slices.Clip(x.Kept)
	}
	c.Series = slices.Clone(s.Series)
	for i := range c.Series {
		c.Series[i].Values = slices.Clip(c.Series[i].Values)
	}
	c.Probes, c.Deliveries = slices.Clone(s.Probes), slices.Clone(s.Deliveries)
	c.Days, c.Settings, c.Learned = slices.Clone(s.Days), slices.Clone(s.Settings), slices.Clone(s.Learned)
	c.Training = s.Training.clone()
	c.Asks, c.Notes, c.Photos = slices.Clone(s.Asks), slices.Clone(s.Notes), slices.Clone(s.Photos)
	c.Logs = slices.Clone(s.Logs)
	for i := range c.Logs {
		l := &c.Logs[i]
		l.Batches, l.Also = slices.Clip(l.Batches), slices.Clip(l.Also)
		l.Reads, l.Missed = slices.Clip(l.Reads), slices.Clip(l.Missed)
	}
	c.Done = slices.Clone(s.Done)
	for i := range c.Done {
		c.Done[i].Deeds = slices.Clip(c.Done[i].Deeds)
	}
	for i := range c.Places {
		c.Places[i].Oil = slices.Clip(c.Places[i].Oil)
	}
	for i := range c.Batches {
		b := &c.Batches[i]
		b.Lots, b.Parents, b.Children = slices.Clip(b.Lots), slices.Clip(b.Parents), slices.Clip(b.Children)
		b.Lost, b.Steps, b.Events = slices.Clip(b.Lost), slices.Clip(b.Steps), slices.Clip(b.Events)
	}
	for i := range c.Runs {
		c.Runs[i].Steps = slices.Clip(c.Runs[i].Steps)
	}
	for i := range c.Deviations {
		d := &c.Deviations[i]
		d.Answers, d.Parts = slices.Clip(d.Answers), slices.Clip(d.Parts)
	}
	return &c
}
