package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

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

// What is kept of plans and shifts, and for how many of the kitchen's days. No real plan has as many rows, and none is made for a day
// as far ahead.
const (
	planKey   = "plan/"
	shiftKey  = "shift/"
	planDays  = 14
	shiftDays = 3
	planRows  = 400
	planAhead = 31
)

// ofDay is the key of a day's rows.
func ofDay(prefix string, day int32) string {
	return prefix + string(wire.Fixed64(uint64(uint32(day))))
}

// planning folds what is decided about days.
func (f *folding) planning(body entry.Body) {
	today := f.s.WallDay(f.at)
	near := func(day int32) bool { return day <= today+planAhead && day >= today-planDays }
	switch b := body.(type) {
	case *entry.PlanAccepted:
		if near(b.Day) {
			m := &PlanMark{*b, f.e.ID, f.at, f.e.Crew}
			m.follow(f.s.PlanOf(b.Day))
			m.Rows = m.Rows[:min(len(m.Rows), planRows)]
			f.s.keepRow(ofDay(planKey, b.Day), b.Day+planDays, string(wire.Append(nil, m)))
		}
	case *entry.Shift:
		if near(b.Day) {
			m := &ShiftMark{*b, f.at, f.e.Crew}
			f.s.keepRow(ofDay(shiftKey, b.Day)+b.Station+"/"+b.Crew, b.Day+shiftDays, string(wire.Append(nil, m)))
		}
	default:
		f.household(body)
	}
}

// follow takes over the rows of the plan before that began before this one, since they were what the crew worked by.
func (m *PlanMark) follow(old *PlanMark) {
	if old == nil || old.Zero != m.Zero { // the kitchen's midnight moved: nothing of it can be compared
		return
	}
	var rows []entry.PlanRow
	for _, r := range old.Rows {
		if r.Start >= m.From || int(r.Item) >= len(old.Items) {
			continue
		}
		at := 0
		for at < len(m.Items) && m.Items[at].Item != old.Items[r.Item].Item {
			at++
		}
		if at == len(m.Items) {
			m.Items = append(m.Items[:at:at], old.Items[r.Item])
		}
		r.Item = uint8(at)
		rows = append(rows, r)
	}
	m.Rows = append(rows, m.Rows...)
}

func readPlan(data string) *PlanMark {
	m := new(PlanMark)
	if data == "" || wire.Read([]byte(data), m) != nil {
		return nil
	}
	return m
}

// PlanOf returns the plan of a day that was accepted last, or nil.
func (s *State) PlanOf(day int32) *PlanMark { return readPlan(s.Row(ofDay(planKey, day))) }

// PlansFrom lists the plans of a day and the days after it.
func (s *State) PlansFrom(day int32) (list []*PlanMark) {
	for _, r := range s.RowsOf(planKey) {
		if m := readPlan(r.Data); r.Until >= day+planDays && m != nil {
			list = append(list, m)
		}
	}
	return list
}

// Shifts lists what was told of who works when.
func (s *State) Shifts() (list []ShiftMark) {
	for _, r := range s.RowsOf(shiftKey) {
		var m ShiftMark
		if wire.Read([]byte(r.Data), &m) == nil {
			list = append(list, m)
		}
	}
	return list
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

// Fields implements wire.Fielder.
func (m *PlanMark) Fields(c *wire.Coder) {
	told(c, &m.ID, &m.At, &m.By)
	m.PlanAccepted.Fields(c)
}

// Fields implements wire.Fielder.
func (m *ShiftMark) Fields(c *wire.Coder) {
	wire.Int(c, "at", &m.At)
	wire.Str(c, "by", &m.By)
	m.Shift.Fields(c)
}
