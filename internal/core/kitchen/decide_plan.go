package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
)

// Bounds of what is decided about days.
const (
	aheadMost = 7     // days for which a plan is taken on or a shift told
	minutes   = 1440  // of a day
	spanMost  = 10080 // minutes that a plan may span
)

// acceptPlan takes on a plan.
func (d *deciding) acceptPlan() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	p := d.c.Plan
	if p == nil || p.From > p.To || int64(p.To)-int64(p.From) > spanMost || p.Zero != d.s.DayStart(p.Day) || len(p.Items) == 0 {
		return &Refusal{Code: RefBadCommand, Name: d.c.Do}
	}
	if len(p.Rows) > planRows {
		return &Refusal{Code: RefUnlikely, Number: int64(len(p.Rows)), Limit: planRows, Unit: "1"}
	}
	if slices.ContainsFunc(p.Rows, func(r entry.PlanRow) bool { return int(r.Item) >= len(p.Items) || r.Deed > entry.PlanKeep }) {
		return &Refusal{Code: RefBadCommand, Name: d.c.Do}
	}
	if r := d.soon(p.Day); r != nil {
		return r
	}
	return d.add(p)
}

// soon asks that a day is today or one of the next.
func (d *deciding) soon(day int32) *Refusal {
	today := d.s.WallDay(d.now)
	if day < today || int64(day)-int64(today) > aheadMost {
		return &Refusal{Code: RefUnlikely, Number: int64(day) - int64(today), Limit: aheadMost, Unit: "d"}
	}
	return nil
}

// shift tells who works when.
func (d *deciding) shift() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	doc := d.s.PlanDocument()
	if doc == nil || doc.Station(d.c.Name) == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Name}
	}
	if m := d.s.Member(d.c.Crew); d.c.Crew != "" && (m == nil || m.Gone) {
		return &Refusal{Code: RefNoCrew, Name: d.c.Crew}
	}
	if r := d.soon(d.c.Day); r != nil {
		return r
	}
	if d.c.Value < 0 || d.c.Value > minutes || d.c.Number < d.c.Value || d.c.Number > 2*minutes {
		return &Refusal{Code: RefUnlikely, Number: d.c.Number, Limit: 2 * minutes, Unit: "min"}
	}
	return d.add(&entry.Shift{Station: d.c.Name, Day: d.c.Day, From: uint32(d.c.Value), To: uint32(d.c.Number), Crew: d.c.Crew})
}
