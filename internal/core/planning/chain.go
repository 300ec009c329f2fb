package planning

import (
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// chain is a version of a procedure as the planner sees it: where its stages turn from marinated to coated to fried to held.
type chain struct {
	p                    *procedure.Procedure
	coat, fry, out, hold int // stages: the first coated one (0: there is none marinated), in the fryer, out of it, for sale
	kind                 string
	drain                stamp.Span // how long it drains before it is coated
	between              stamp.Span // loads
}

// farOff stands for a ceiling that a stage does not have.
const farOff = 3 * stamp.Day

// chainOf reads a procedure's chain; nil when it is not one of a fryer and a hold.
func chainOf(p *procedure.Procedure, eq *procedure.Equipment) *chain {
	c := &chain{p: p, coat: -1, fry: -1, hold: len(p.Stages) - 1}
	for i := range p.Stages {
		if st := &p.Stages[i]; st.Equipment != "" && isFryer(eq, st.Equipment) && c.fry < 0 {
			c.fry, c.kind = i, st.Equipment
		}
	}
	if c.fry < 0 || p.Stages[c.hold].Kind != procedure.Hold {
		return nil
	}
	for c.out = c.fry; c.out < c.hold && p.Stages[c.out].Equipment == c.kind; {
		c.out++
	}
	for i := 1; i < c.fry; i++ {
		if v := p.Stages[i].Vessel; v != "" && v != p.Stages[i-1].Vessel {
			c.coat = i
		}
	}
	if c.coat < 0 && c.fry > 0 {
		c.coat = 0
	}
	if last := c.coat - 1; c.marinated() && c.waits(0, c.coat) > 1 && p.Stages[last].Kind == procedure.Wait {
		w := &p.Stages[last].Window
		c.drain = upMinute(max(w.Floor, w.BestFrom))
	}
	for i := range eq.Devices {
		if d := &eq.Devices[i]; d.Kind == c.kind {
			c.between = max(c.between, d.Between)
		}
	}
	return c
}

// isFryer tells whether equipment of a kind holds one load at a time.
func isFryer(eq *procedure.Equipment, kind string) bool {
	for i := range eq.Devices {
		if d := &eq.Devices[i]; d.Kind == kind && d.Single {
			return true
		}
	}
	return false
}

func (c *chain) marinated() bool { return c.coat > 0 }
func (c *chain) coated() bool    { return c.fry > 0 }

func (c *chain) waits(from, to int) (n int) {
	for i := from; i < to; i++ {
		if c.p.Stages[i].Kind != procedure.Work {
			n++
		}
	}
	return n
}

// usual is how long a stage is thought to last: its aim, else from when it is best, else, of work, until when it should be done.
func usual(st *procedure.Stage) stamp.Span {
	w := &st.Window
	switch least := max(w.Floor, w.BestFrom); {
	case w.Aim > 0:
		return w.Aim
	case least > 0:
		return least
	case w.BestUntil > 0:
		return w.BestUntil
	}
	return w.Ceiling
}

// least is the shortest that a stage may last; work is thought to take as long as usual.
func (c *chain) least(i int) stamp.Span {
	st := &c.p.Stages[i]
	switch {
	case i == c.coat-1 && c.drain > 0:
		return c.drain
	case st.Kind == procedure.Work:
		return usual(st)
	}
	return upMinute(st.Window.Floor)
}

// most is the longest that a stage may last.
func most(st *procedure.Stage) stamp.Span {
	if st.Window.Ceiling > 0 {
		return st.Window.Ceiling
	}
	return farOff
}

// sum adds up stages.
func (c *chain) sum(from, to int, of func(i int) stamp.Span) (total stamp.Span) {
	for i := from; i < to; i++ {
		total += of(i)
	}
	return min(total, farOff)
}

// waited is of but for waits alone: the floors of a session count from its end, the ceilings from its beginning, so the work itself
// is in neither.
func (c *chain) waited(of func(i int) stamp.Span) func(i int) stamp.Span {
	return func(i int) stamp.Span {
		if c.p.Stages[i].Kind == procedure.Work {
			return 0
		}
		return of(i)
	}
}

func (c *chain) usual(i int) stamp.Span { return usual(&c.p.Stages[i]) }
func (c *chain) most(i int) stamp.Span  { return most(&c.p.Stages[i]) }

// best is until when a stage is at its best.
func (c *chain) best(i int) stamp.Span {
	st := &c.p.Stages[i]
	if st.Window.BestUntil > 0 {
		return st.Window.BestUntil
	}
	return most(st)
}

// drainAt is the stage that drains, or that where coating begins when none does.
func (c *chain) drainAt() int {
	if c.drain > 0 {
		return c.coat - 1
	}
	return c.coat
}

func upMinute(s stamp.Span) stamp.Span {
	return (s + stamp.Minute - 1) / stamp.Minute * stamp.Minute
}

// up and down are minutes of a length.
func up(s stamp.Span) int   { return int((s + stamp.Minute - 1) / stamp.Minute) }
func down(s stamp.Span) int { return int(s / stamp.Minute) }

// vessels are the kinds into which a load, a coating and a tub of it go.
func (c *chain) vessels() []string {
	list := []string{c.p.Stages[c.fry].Vessel}
	if c.coated() {
		list = append(list, c.p.Stages[c.coat].Vessel)
	}
	if c.marinated() {
		list = append(list, c.p.Stages[0].Vessel)
	}
	return list
}
