package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// between puts readings that come behind the newest among those that the feed keeps, finds anew what went on around them, and
// returns those that were not there. What is found does not depend on the order in which readings were told.
func (f *folding) between(x *Feed, list []Told) (fresh []Told) {
	kept := x.Kept
	first, last := len(kept), 0 // of the new ones, among all
	for _, r := range list {
		i, ok := slices.BinarySearchFunc(kept, r, byTold)
		if ok {
			continue
		}
		if len(fresh) == 0 {
			kept = slices.Clone(kept)
		}
		fresh, kept = append(fresh, r), order.Insert(kept, i, r)
		first, last = min(first, i), i
	}
	if len(fresh) == 0 {
		return nil
	}
	x.Kept = kept
	end := kept[len(kept)-1]
	x.At, x.MilliC = end.At, end.MilliC
	from, to := max(first-1, 0), min(last+1, len(kept)-1)
	for from > 0 && f.isOff(x, kept[from]) {
		from--
	}
	for to < len(kept)-1 && f.isOff(x, kept[to]) {
		to++
	}
	f.again(x, kept[from:to+1], to == len(kept)-1)
	return fresh
}

// isOff tells whether a reading is beyond the limit that was in force then.
func (f *folding) isOff(x *Feed, r Told) bool {
	d := f.s.EquipmentAt(r.At).Device(x.Place)
	if d == nil || !d.Watched {
		return false
	}
	_, off := offLimit(&d.Reading, r.MilliC)
	return off
}

// found is a run that lasted for longer than it might.
type found struct {
	Excursion
	allow stamp.Span
}

// again finds the excursions of a span of readings, which begins and ends within the limit or where the feed does, and puts
// them in the place of those that were found there before. A deviation about which somebody has written stays.
func (f *folding) again(x *Feed, list []Told, open bool) {
	old, fixed := f.foundBefore(x, list)
	var runs []found
	var run Excursion
	for i := range list {
		a, b := list[max(i-1, 0)], list[i]
		if slices.ContainsFunc(fixed, func(o Excursion) bool { return o.From <= a.At && b.At <= o.Until }) {
			run = Excursion{}
			continue
		}
		f.along(x, &run, a, b, func(allow stamp.Span) {
			if n := len(runs); n > 0 && runs[n-1].From == run.From && runs[n-1].Limit == run.Limit {
				runs[n-1].Excursion = run
			} else {
				runs = append(runs, found{run, allow})
			}
		})
	}
	before := x.Run
	if open {
		x.Run = run
	}
	for i := range runs {
		r := &runs[i]
		f.inherit(&r.Excursion, &before, old)
		if r.Key == "" {
			r.Key = f.opens(&r.Excursion, r.allow)
		}
		f.s.Deviation(r.Key).Limit = int64(r.allow)
		f.excursion(&r.Excursion)
		if open && r.From == run.From && r.Limit == run.Limit {
			x.Run = r.Excursion
			x.Run.Used = slices.Clone(r.Used)
		}
	}
	for i := range old {
		if o := &old[i]; o.Key != "" && !f.s.touched(o.Key) {
			f.s.Deviations = slices.DeleteFunc(f.s.Deviations, func(d Deviation) bool { return d.Key == o.Key })
			f.s.Excursions = slices.DeleteFunc(f.s.Excursions, func(e Excursion) bool { return e.Key == o.Key })
		}
	}
}

// foundBefore returns the excursions of a feed in a span of its readings: those that are found anew, and those that stay as
// they are, because they were answered or began before the readings that are kept.
func (f *folding) foundBefore(x *Feed, list []Told) (old, fixed []Excursion) {
	low, high := list[0].At, list[len(list)-1].At
	for i := range f.s.Excursions {
		o := f.s.Excursions[i]
		if o.Place != x.Place || o.Source != x.Source || o.Late != x.Late || o.Until <= low || o.From >= high {
			continue
		}
		if d := f.s.Deviation(o.Key); d == nil || d.Closed || o.From < x.Since {
			fixed = append(fixed, o)
		} else {
			old = append(old, o)
		}
	}
	order.Stable(old, func(a, b Excursion) int { return int(min(max(a.From-b.From, -1), 1)) })
	return old, fixed
}

// inherit takes over for a run what was known of it before: the deviation, and what those batches had of it whose history is
// only in the journal by now.
func (f *folding) inherit(run, before *Excursion, old []Excursion) {
	var key *Excursion
	if before.From == run.From {
		run.Before = before.Before
	}
	for i := range old {
		o := &old[i]
		if o.Key == "" || o.From >= run.Until || o.Until <= run.From {
			continue
		}
		if o.From == run.From {
			run.Before = o.Before
		}
		if key == nil || f.s.touched(o.Key) && !f.s.touched(key.Key) {
			key = o
		}
		for _, u := range o.Used {
			if b := f.s.Batch(u.Batch); b == nil || b.Thin {
				run.has(u)
			}
		}
	}
	if key != nil {
		run.Key, key.Key = key.Key, ""
	}
}

// touched tells whether somebody has written something about a deviation.
func (s *State) touched(key string) bool {
	d := s.Deviation(key)
	return d != nil && len(d.Answers)+len(d.Parts) > 0
}

// has adds what a batch had.
func (run *Excursion) has(u Had) {
	i, ok := slices.BinarySearchFunc(run.Used, u.Batch, func(u Had, id entry.ID) int { return u.Batch.Compare(id) })
	if !ok {
		run.Used = order.Insert(run.Used, i, Had{Batch: u.Batch})
	}
	run.Used[i].Over += u.Over
	run.Used[i].Heat = min(run.Used[i].Heat+u.Heat, heatMost)
}
