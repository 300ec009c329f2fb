package kitchen

import (
	"math/bits"
	"slices"

	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// onward adds to what goes on in a feed the time from its newest reading to the next.
func (f *folding) onward(x *Feed, a, b Told) {
	if d := f.s.Deviation(x.Run.Key); x.Run.Key != "" && (d == nil || d.Closed) { // once it is closed, what goes on opens another
		x.Run = Excursion{}
	}
	f.along(x, &x.Run, a, b, func(allow stamp.Span) {
		if run := &x.Run; run.Key == "" {
			run.Key = f.opens(run, allow)
		}
		f.excursion(&x.Run)
	})
}

// along adds to a run the time between two readings of which either is beyond an end of the limit in force at the second:
// all of it, as package safety counts time off a limit. off is called while the run has lasted for longer than it may.
func (f *folding) along(x *Feed, run *Excursion, a, b Told, off func(allow stamp.Span)) {
	d := f.s.EquipmentAt(b.At).Device(x.Place)
	if d == nil || !d.Watched {
		*run = Excursion{}
		return
	}
	if x.Late && b.At.Since(a.At) > lateGap { // another stretch: no line leads over readings in time
		*run, a = Excursion{}, b
	}
	if d.Reading.Max != nil {
		f.beyond(x, run, a, b, *d.Reading.Max, 1)
	}
	if d.Reading.Min != nil {
		f.beyond(x, run, a, b, *d.Reading.Min, -1)
	}
	if run.From != 0 && run.Until.Since(run.From) > d.Allow {
		off(d.Allow)
	}
	if _, beyond := offLimit(&d.Reading, b.MilliC); !beyond {
		*run = Excursion{}
	}
}

// beyond adds what of the time between two readings is beyond one end of the limit. side is 1 for the highest that the
// limit allows, -1 for the lowest.
func (f *folding) beyond(x *Feed, run *Excursion, a, b Told, limit, side int64) {
	l := stretch{a.At, b.At, (a.MilliC - limit) * side, (b.MilliC - limit) * side}
	if l.a <= 0 && l.b <= 0 {
		return
	}
	if run.From == 0 || run.Limit != limit {
		*run = Excursion{Place: x.Place, Source: x.Source, From: l.from, Limit: limit, Peak: limit, Late: x.Late,
			Before: f.at.Since(l.from) > historyStays}
	}
	run.Until = l.to
	if peak := max(l.a, l.b); peak > (run.Peak-limit)*side {
		run.Peak = limit + peak*side
	}
	run.Heat = min(run.Heat+l.above().heat(), heatMost)
	for i := range f.s.Batches {
		f.s.Batches[i].had(run, l)
	}
}

// opens opens a deviation for a place that has been beyond its limit for longer than it is allowed.
func (f *folding) opens(run *Excursion, allow stamp.Span) string {
	return f.deviate(Deviation{Code: DevExcursion, Place: run.Place, Unit: "ms", Limit: int64(allow), Text: run.Source})
}

// excursion keeps what is behind a deviation up to date while that goes on.
func (f *folding) excursion(run *Excursion) {
	d := f.s.Deviation(run.Key)
	if d == nil {
		return
	}
	d.Number = int64(run.Until.Since(run.From))
	i, ok := slices.BinarySearchFunc(f.s.Excursions, run.Key, byExcursion)
	if !ok {
		f.s.Excursions = order.Insert(f.s.Excursions, i, Excursion{})
	}
	f.s.Excursions[i] = *run
	f.s.Excursions[i].Used = slices.Clone(run.Used)
}

// stretch is a straight line between two readings, as degrees beyond the limit.
type stretch struct {
	from, to stamp.Milli
	a, b     int64
}

// at returns how far beyond the limit the line is at an instant of it, rounded down.
func (l stretch) at(t stamp.Milli) int64 {
	if l.from == l.to || t <= l.from {
		return l.a
	}
	return l.a + mulDiv(l.b-l.a, int64(t-l.from), int64(l.to-l.from))
}

// above returns the part of the line that is beyond the limit; where none is, its from and to are the same.
func (l stretch) above() stretch {
	cross := func() stamp.Milli {
		return l.from + stamp.Milli(mulDiv(int64(l.to-l.from), max(l.a, -l.a), max(l.a-l.b, l.b-l.a)))
	}
	switch {
	case l.a > 0 && l.b < 0:
		return stretch{l.from, cross(), l.a, 0}
	case l.a < 0 && l.b > 0:
		return stretch{cross(), l.to, 0, l.b}
	case l.a <= 0 && l.b <= 0:
		return stretch{l.to, l.to, 0, 0}
	}
	return l
}

// heat is the area between the limit and a line that lies beyond it.
func (l stretch) heat() int64 {
	if span := int64(l.to - l.from); span < heatMost/(4*sensedMost) {
		return min(l.a+l.b, 4*sensedMost) * span / 2
	}
	return heatMost
}

// mulDiv returns a*b/c, rounded toward zero, for b from 0 to c.
func mulDiv(a, b, c int64) int64 {
	n := uint64(max(a, -a))
	high, low := bits.Mul64(n, uint64(b))
	q, _ := bits.Div64(high, low, uint64(max(c, 1)))
	if a < 0 {
		return -int64(q)
	}
	return int64(q)
}

// had adds to the excursion what the batch had of a stretch of it.
func (b *Batch) had(run *Excursion, l stretch) {
	var u Had
	for i := range b.Events {
		v := &b.Events[i]
		if v.Withdrawn || v.Void || v.Place != run.Place {
			continue
		}
		end := b.EndedAt
		if b.Status == Open {
			end = l.to
		}
		for n := i + 1; n < len(b.Events); n++ {
			if next := &b.Events[n]; !next.Withdrawn && !next.Void {
				end = min(end, next.At)
				break
			}
		}
		if from, to := max(l.from, v.At), min(l.to, end); from < to {
			part := stretch{from, to, l.at(from), l.at(to)}
			u.Over, u.Heat = u.Over+to.Since(from), u.Heat+part.above().heat()
		}
	}
	if u.Over == 0 {
		return
	}
	u.Batch = b.ID
	run.has(u)
}
