package kitchen

import (
	"cmp"
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// Point is what a bell rings for.
type Point string

// Points.
const (
	PointBest   Point = "best"   // the stage has come to its best, or to its aim
	PointLast   Point = "last"   // last call
	PointPast   Point = "past"   // past the limit
	PointTimer  Point = "timer"  // a plain timer has run out
	PointList   Point = "list"   // a list is due and not complete
	PointSilent Point = "silent" // nothing is heard from a sensor
	PointRead   Point = "read"   // a log's next reading is due
	PointHelp   Point = "help"   // somebody who learns is not sure
	PointAsk    Point = "ask"    // a step of somebody who learns waits for the trainer
	PointPlan   Point = "plan"   // what the plan wants next is due
)

// Level is how urgent a bell is.
type Level uint8

// Levels.
const (
	Information Level = iota + 1
	Attention
	Danger
)

// Bell is something that rings, or will.
type Bell struct {
	Key       string // names this ring: "<entry that began the stage>/<point>/<n>", "timer/<id>/<n>", "list/<name>/<day>/<n>"
	Point     Point
	Level     Level
	At        stamp.Milli // when this ring begins
	First     stamp.Milli // when the point is reached: At of the ring with N 0
	N         int         // how often it has been answered so far
	Ringing   bool        // At is not after now
	Escalated bool        // it rings for the lead too: answered before and not done, or unanswered longer than Patience
	Patience  stamp.Span  // 0: it does not ring again once answered
	GotBy     string      // crew member who answered it last; empty when N is 0, or when nobody in particular did
	GotAt     stamp.Milli // when; 0 when N is 0
	Batches   []entry.ID  // open batches that it is about, by vessel number
	Timer     entry.ID
	List      string
	Day       int32
	Log       entry.ID
	Sensor    string // a sensor from which nothing is heard
	Ask       entry.ID
	Plan      entry.ID // the plan, and which of its rows
	Row       int
	Fryer     bool        // what it is about stands in equipment that holds one load at a time: hot oil waits for nobody
	Ends      stamp.Milli // when it rings no more, done or not; 0: it rings until it is answered
}

// belling collects bells.
type belling struct {
	s     *State
	now   stamp.Milli
	until stamp.Milli
	bells []Bell
}

// Bells returns what rings now, most urgent first (of two alike, what lies in hot oil), and then what will ring within the horizon, by time. For each
// subject only the highest point that it has reached rings. Batches that one entry brought to their stage are one
// subject: four pans out of one tub ring once.
func Bells(s *State, now stamp.Milli, horizon stamp.Span) []Bell {
	b := belling{s: s, now: now, until: now.Add(horizon)}
	b.batches()
	b.timers()
	b.lists()
	b.sensors()
	b.logs()
	b.asks()
	b.plans()
	order.Stable(b.bells, func(x, y Bell) int {
		if x.Ringing != y.Ringing {
			return boolFirst(x.Ringing)
		}
		urgent := 0
		if x.Ringing {
			urgent = cmp.Compare(y.Level, x.Level)
			if urgent == 0 && x.Fryer != y.Fryer {
				return boolFirst(x.Fryer)
			}
		}
		return cmp.Or(urgent, cmp.Compare(x.At, y.At), cmp.Compare(y.Level, x.Level), cmp.Compare(x.Key, y.Key))
	})
	return merged(b.bells)
}

// merged makes one of bells with one key, which only an odd entry brings about, that puts batches into several stages.
func merged(bells []Bell) []Bell {
	list := bells[:0]
	at := make(map[string]int, len(bells))
	for _, b := range bells {
		if i, ok := at[b.Key]; ok {
			list[i].Batches = append(list[i].Batches, b.Batches...)
			continue
		}
		at[b.Key] = len(list)
		list = append(list, b)
	}
	return list
}

func boolFirst(first bool) int {
	if first {
		return -1
	}
	return 1
}

// point is one of a subject's points in time.
type point struct {
	name    Point
	level   Level
	at      stamp.Milli
	subject string
}

// ring adds the bells of one subject: that of the highest point reached, and those of the points to come. An answer from
// further ahead than clocks may lead, or from so long before the point that the bell cannot have rung, came by a wrong
// clock: it must not silence anything.
func (b *belling) ring(points []point, patience stamp.Span, about Bell) {
	reached := -1
	for i, p := range points {
		if p.at <= b.now {
			reached = i
		}
	}
	next := b.until + 1 // from here another point takes over
	for i := len(points) - 1; i >= max(reached, 0); i-- {
		p := points[i]
		last := b.s.answered(p.subject)
		n := int(last.N)
		at := p.at
		if n > 0 && last.At.Since(b.now) <= stamp.LeadMax && p.at.Since(last.At) <= stamp.LeadMax {
			if at = last.At.Add(again(patience, n, p.level)); patience <= 0 {
				at = next // silent for good
			}
		}
		if at < next {
			about.GotBy, about.GotAt = last.By, last.At
			b.add(about, p, n, max(at, p.at), patience)
		}
		next = min(next, p.at)
	}
}

// again returns how long after the n-th answer a bell rings again. Information that was answered more than once comes
// back at longer and longer intervals, since nothing is lost yet and bells that ring too often are not heard.
func again(patience stamp.Span, n int, level Level) stamp.Span {
	if level == Information && n > 1 {
		return patience << min(n-1, 6)
	}
	return patience
}

func (b *belling) add(about Bell, p point, n int, at stamp.Milli, patience stamp.Span) {
	about.Key, about.Point, about.Level = p.subject+strconv.Itoa(n), p.name, p.level
	about.At, about.First, about.N, about.Patience = at, p.at, n, patience
	about.Ringing = at <= b.now
	about.Escalated = p.name == PointSilent || n > 0 || patience > 0 && b.now.Since(at) >= patience
	b.bells = append(b.bells, about)
}

// batches adds the bells of stages.
func (b *belling) batches() {
	var groups [][]*Batch
	for i := range b.s.Batches {
		x := &b.s.Batches[i]
		if x.Status != Open {
			continue
		}
		g := slices.IndexFunc(groups, func(g []*Batch) bool {
			return g[0].Began == x.Began && g[0].Stage == x.Stage && g[0].Since == x.Since && (g[0].Frozen == 0) == (x.Frozen == 0)
		})
		if g < 0 {
			groups = append(groups, nil)
			g = len(groups) - 1
		}
		groups[g] = append(groups[g], x)
	}
	for _, g := range groups {
		b.group(g)
	}
}

func (b *belling) group(g []*Batch) {
	order.Stable(g, func(x, y *Batch) int {
		return cmp.Or(cmp.Compare(x.Number, y.Number), x.ID.Compare(y.ID))
	})
	st := b.s.Stage(g[0])
	if st == nil {
		return
	}
	w := b.s.Window(g[0])
	about := Bell{}
	for _, x := range g {
		about.Batches = append(about.Batches, x.ID)
	}
	if dev := b.s.Equipment().Device(g[0].Place); dev != nil {
		about.Fryer = dev.Single
	}
	b.ring(pointsOf(&w, g[0].Since, g[0].Began, about.Fryer), w.Patience, about)
}

// GotBy returns who answered for the point that a batch has reached by now, and when; at is 0 when nobody did, and crew
// is empty when nobody in particular did.
func GotBy(s *State, x *Batch, now stamp.Milli) (crew string, at stamp.Milli) {
	if s.Stage(x) == nil {
		return "", 0
	}
	w := s.Window(x)
	dev := s.Equipment().Device(x.Place)
	points := pointsOf(&w, x.Since, x.Began, dev != nil && dev.Single)
	for _, p := range slices.Backward(points) {
		if p.at <= now {
			last := s.answered(p.subject)
			return last.By, last.At
		}
	}
	return "", 0
}

// pointsOf lists the points of a window, in the order of time. The aim of what is in a fryer is nothing that can wait.
func pointsOf(w *procedure.Window, since stamp.Milli, began entry.ID, fryer bool) []point {
	list, id := make([]point, 0, 3), began.String()
	add := func(name Point, level Level, after stamp.Span) {
		list = append(list, point{name, level, since.Add(after), id + "/" + string(name) + "/"})
	}
	level := Information
	if fryer && w.Aim > 0 {
		level = Attention
	}
	best := max(w.Floor, w.BestFrom, w.Aim)
	last := window.LastCallAt(w)
	if best > 0 && (last == 0 || best < last) && (w.Ceiling == 0 || best <= w.Ceiling) {
		add(PointBest, level, best)
	}
	if last > 0 && (w.Ceiling == 0 || last <= w.Ceiling) {
		add(PointLast, Attention, last)
	}
	if w.Ceiling > 0 {
		add(PointPast, Danger, window.PastFrom(w))
	}
	return list
}

func (b *belling) timers() {
	for i := range b.s.Timers {
		t := &b.s.Timers[i]
		if t.Ended {
			continue
		}
		subject := "timer/" + t.ID.String() + "/"
		b.ring([]point{{PointTimer, Attention, t.Due, subject}}, timerPatience, Bell{Timer: t.ID})
	}
}

// timerPatience is how long after "got it" a plain timer that nobody put away rings again.
const timerPatience = 2 * stamp.Minute

// lists adds the bells of lists that are due and not complete: from when they are due until the next time opens.
func (b *belling) lists() {
	today := b.s.WallDay(b.now)
	first := 0 // the oldest version there is of the list: a new one must not silence a day that the old one rings for
	for i, d := range b.s.Documents {
		if !b.s.newest(i) {
			continue
		}
		if l := b.s.List(d.Name); d.What == WhatList && l != nil {
			for day := today - 1; day <= b.s.WallDay(b.until) && day <= today+2; day++ {
				b.list(l, day, b.s.Documents[first].At)
			}
		}
		first = i + 1
	}
}

func (b *belling) list(l *procedure.List, day int32, published stamp.Milli) {
	due := b.s.WallAt(day, l.Due)
	run := b.s.Run(l.Name, day)
	over := b.now >= b.s.WallAt(day+1, l.Opens)
	if !Opens(l, day) || due < published || over || run != nil && run.Closed || len(b.s.MissingOf(l, day)) == 0 {
		return
	}
	subject := "list/" + l.Name + "/" + strconv.Itoa(int(day)) + "/"
	b.ring([]point{{PointList, Attention, due, subject}}, l.Patient, Bell{List: l.Name, Day: day})
}

// Opens tells whether the list is to be done on the day.
func Opens(l *procedure.List, day int32) bool {
	return len(l.Days) == 0 || slices.Contains(l.Days, Weekday(day))
}
