package kitchen

import (
	"math/bits"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// beyond adds to what goes on the time between two readings of which either is beyond one end of the limit: all of it, as
// package safety counts time off a limit. side is 1 for the highest that the limit allows, -1 for the lowest.
func (f *folding) beyond(x *Feed, a, b stampedReading, limit, side int64, allow stamp.Span) {
	l := stretch{a.at, b.at, (a.c - limit) * side, (b.c - limit) * side}
	if l.a <= 0 && l.b <= 0 {
		return
	}
	d := f.s.Deviation(x.Run.Key) // once it is closed, what goes on opens another
	if x.Run.From == 0 || x.Run.Limit != limit || x.Run.Key != "" && (d == nil || d.Closed) {
		x.Run = Excursion{Place: x.Place, Source: x.Source, From: l.from, Limit: limit, Peak: limit,
			Before: f.at.Since(l.from) > historyStays}
	}
	run := &x.Run
	run.Until = l.to
	if peak := max(l.a, l.b); peak > (run.Peak-limit)*side {
		run.Peak = limit + peak*side
	}
	run.Heat = min(run.Heat+l.above().heat(), heatMost)
	for i := range f.s.Batches {
		f.s.Batches[i].had(run, l)
	}
	f.excursion(run, allow)
}

// excursion opens a deviation once the place has been beyond its limit for longer than it is allowed, and keeps it up to
// date while that goes on.
func (f *folding) excursion(run *Excursion, allow stamp.Span) {
	lasted := run.Until.Since(run.From)
	if run.Key == "" && lasted > allow {
		run.Key = f.deviate(Deviation{Code: DevExcursion, Place: run.Place, Unit: "ms", Limit: int64(allow), Text: run.Source})
	}
	d := f.s.Deviation(run.Key)
	if d == nil {
		return
	}
	d.Number = int64(lasted)
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
	i, ok := slices.BinarySearchFunc(run.Used, b.ID, func(u Had, id entry.ID) int { return u.Batch.Compare(id) })
	if !ok {
		run.Used = order.Insert(run.Used, i, Had{Batch: b.ID})
	}
	run.Used[i].Over += u.Over
	run.Used[i].Heat = min(run.Used[i].Heat+u.Heat, heatMost)
}
