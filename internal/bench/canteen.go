package main

import (
	"errors"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// canteen is the demo kitchen with nothing in it, as it is planned in the evening when it closes: a problem for each weekday, without
// demand, from its documents.
type canteen struct {
	plan  *procedure.Plan
	days  [7]*planner.Problem // Monday first
	items [7][]int            // which of the plan document's items a problem's items are
	usual [][]float64         // pieces of a usual day, by item of the document and quarter of an hour
	open  int                 // minutes of the day
	slots int                 // quarters of an hour
}

const quarter = 15

func openCanteen() (*canteen, error) {
	documents, err := demo.Documents()
	if err != nil {
		return nil, err
	}
	s, at := kitchen.New(), stamp.Milli(0)
	clock := stamp.Clock{Device: "bench"}
	tell := func(body entry.Body) {
		e := entry.New(entry.NewID(at, [10]byte{}), clock.Next(at), "", body)
		s.Apply(&e, kitchen.Amended{})
		at++
	}
	tell(&entry.Offsets{List: []entry.Offset{{}}})
	for i := range documents {
		tell(&documents[i])
	}
	c := &canteen{plan: s.PlanDocument()}
	if c.plan == nil {
		return nil, errors.New("the demo kitchen has no plan document")
	}
	for day := int32(700); day < 707; day++ {
		evening := s.WallAt(day-1, c.plan.Open[len(c.plan.Open)-1].To)
		p, names, _ := planning.Problem(s, evening, day, planning.Options{Fryers: 2})
		if p == nil {
			return nil, errors.New("the demo kitchen cannot be planned")
		}
		p.Carry = nil // each evening's tubs are those of the day after
		w := kitchen.Weekday(day) - 1
		c.days[w], c.open, c.slots = p, p.Open, (p.Close-p.Open)/quarter
		for i := range p.Items {
			for k := range c.plan.Items {
				if c.plan.Items[k].Procedure == names.Items[i].Procedure {
					c.items[w] = append(c.items[w], k)
				}
			}
		}
	}
	for i := range c.plan.Items {
		c.usual = append(c.usual, c.usually(&c.plan.Items[i]))
	}
	return c, nil
}

// quarters are the first quarter of an hour of a span of the document and the one after its last.
func (c *canteen) quarters(h procedure.Hours) (from, to int) {
	return (int(h.From/stamp.Minute) - c.open) / quarter, (int(h.To/stamp.Minute) - c.open) / quarter
}

// usually spreads what the document says of a usual day. Boats bring most of their guests at once: two thirds come in the first half
// of a span.
func (c *canteen) usually(it *procedure.PlanItem) []float64 {
	out := make([]float64, c.slots)
	for _, u := range it.Usual {
		from, to := c.quarters(u.Hours)
		half := (to - from + 1) / 2
		for s := from; s < to; s++ {
			switch {
			case to-from == 1:
				out[s] = float64(u.Pieces)
			case s < from+half:
				out[s] = float64(u.Pieces) * 2 / 3 / float64(half)
			default:
				out[s] = float64(u.Pieces) / 3 / float64(to-from-half)
			}
		}
	}
	return out
}

// day is the problem of a weekday (0 is Monday) with what is wanted, by item of the document and quarter of an hour.
func (c *canteen) day(weekday int, wanted [][]int) planner.Problem {
	p := *c.days[weekday]
	p.Items = append([]planner.Item(nil), p.Items...)
	part := quarter / p.Slot
	for n := range p.Items {
		var row []int
		for _, pieces := range wanted[c.items[weekday][n]] {
			for k := range part {
				row = append(row, pieces*(k+1)/part-pieces*k/part)
			}
		}
		p.Items[n].Demand = row
	}
	return p
}
