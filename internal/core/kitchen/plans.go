package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Planned is what was decided about days: plans that a lead took on, and who works when.
type Planned struct {
	Plans  []PlanMark  // by Day, of the last planDays
	Shifts []ShiftMark // by Day, Station, Crew
}

// PlanMark is the plan of a day: the last one that was accepted, with what began before it of those before it.
type PlanMark struct {
	entry.PlanAccepted
	ID entry.ID
	At stamp.Milli
	By string
}

// ShiftMark is what was told of who works when.
type ShiftMark struct {
	entry.Shift
	At stamp.Milli
	By string
}

// Bounds of what is kept of plans and shifts. No real plan has as many rows.
const (
	planDays  = 14
	shiftDays = 3
	shiftMost = 200
	planRows  = 400
)

func byPlanDay(a, b PlanMark) int { return cmp.Compare(a.Day, b.Day) }

func byShift(a, b ShiftMark) int {
	return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Station, b.Station), cmp.Compare(a.Crew, b.Crew))
}

// planning folds what is decided about days.
func (f *folding) planning(body entry.Body) {
	switch b := body.(type) {
	case *entry.PlanAccepted:
		f.planAccepted(b)
	case *entry.Shift:
		put(&f.s.Shifts, ShiftMark{*b, f.at, f.e.Crew}, byShift)
		if n := len(f.s.Shifts); n > shiftMost {
			f.s.Shifts = slices.Delete(f.s.Shifts, 0, n-shiftMost)
		}
	default:
		f.household(body)
	}
}

// planAccepted puts a plan in the place of that of its day. What the former began before the new one rules stays, since it was
// what the crew worked by.
func (f *folding) planAccepted(b *entry.PlanAccepted) {
	row := PlanMark{*b, f.e.ID, f.at, f.e.Crew}
	if i, ok := slices.BinarySearchFunc(f.s.Plans, row, byPlanDay); ok {
		row.follow(&f.s.Plans[i])
	}
	if len(row.Rows) > planRows {
		row.Rows = row.Rows[:planRows]
	}
	put(&f.s.Plans, row, byPlanDay)
	if n := len(f.s.Plans); n > planDays {
		f.s.Plans = slices.Delete(f.s.Plans, 0, n-planDays)
	}
}

// follow takes over the rows of the plan before that began before this one.
func (p *PlanMark) follow(old *PlanMark) {
	if old.Zero != p.Zero {
		return // the kitchen's midnight moved: nothing of it can be compared
	}
	var rows []entry.PlanRow
	for _, r := range old.Rows {
		if r.Start >= p.From || int(r.Item) >= len(old.Items) {
			continue
		}
		name := old.Items[r.Item]
		at := slices.IndexFunc(p.Items, func(o entry.PlanItem) bool { return o.Item == name.Item })
		if at < 0 {
			at = len(p.Items)
			p.Items = append(slices.Clip(p.Items), name)
		}
		r.Item = uint8(at)
		rows = append(rows, r)
	}
	p.Rows = append(rows, p.Rows...)
}

// PlanOf returns the plan of a day that was accepted last, or nil.
func (p *Planned) PlanOf(day int32) *PlanMark {
	row := PlanMark{}
	row.Day = day
	if i, ok := slices.BinarySearchFunc(p.Plans, row, byPlanDay); ok {
		return &p.Plans[i]
	}
	return nil
}

// PlanDocument returns the newest version of what planning rests on, or nil when there is none that can be used.
func (s *State) PlanDocument() *procedure.Plan {
	for i := len(s.Documents) - 1; i >= 0; i-- {
		d := &s.Documents[i]
		if d.What != WhatPlan {
			continue
		}
		key := docKey{"whole plan", d.Name, d.Version}
		if p, ok := s.parsed[key]; ok && p.text == d.Text {
			return p.doc.Plan
		}
		plan := procedure.OpenPlan([]byte(d.Text))
		s.know(key, d.Text, procedure.Document{Plan: plan})
		return plan
	}
	return nil
}

func (s *State) prunePlans(at stamp.Milli) {
	today := s.WallDay(at)
	s.Plans = slices.DeleteFunc(s.Plans, func(p PlanMark) bool { return int64(today)-int64(p.Day) > planDays })
	s.Shifts = slices.DeleteFunc(s.Shifts, func(x ShiftMark) bool { return int64(today)-int64(x.Day) > shiftDays })
}

func (p *Planned) clone() Planned { return Planned{slices.Clone(p.Plans), slices.Clone(p.Shifts)} }

func (p *Planned) sorted() bool {
	return ascending(p.Plans, func(a, b *PlanMark) int { return byPlanDay(*a, *b) }) &&
		ascending(p.Shifts, func(a, b *ShiftMark) int { return byShift(*a, *b) })
}

// Fields implements wire.Fielder.
func (p *Planned) Fields(c *wire.Coder) {
	wire.List(c, "plans", &p.Plans, wire.Framed[PlanMark])
	wire.List(c, "shifts", &p.Shifts, wire.Framed[ShiftMark])
}

// Fields implements wire.Fielder.
func (p *PlanMark) Fields(c *wire.Coder) {
	told(c, &p.ID, &p.At, &p.By)
	p.PlanAccepted.Fields(c)
}

// Fields implements wire.Fielder.
func (x *ShiftMark) Fields(c *wire.Coder) {
	wire.Int(c, "at", &x.At)
	wire.Str(c, "by", &x.By)
	x.Shift.Fields(c)
}
