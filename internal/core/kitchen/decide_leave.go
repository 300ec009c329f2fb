package kitchen

import (
	"cmp"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/window"
)

// leaves asks whether the batch may leave its stage now: the window, the steps, and whether anything of it is in doubt.
// From is the stage at which the screen showed it; empty if the screen does not say.
func (d *deciding) leaves(b *Batch, from string) *Refusal {
	st := d.s.Stage(b)
	if st == nil {
		return &Refusal{Code: RefNoProcedure, Batch: b.ID, Name: b.Procedure}
	}
	if from != "" && from != b.Stage {
		return &Refusal{Code: RefMovedOn, Batch: b.ID, Stage: b.Stage}
	}
	if r := cmp.Or(d.frozen(b), d.doubt(b)); r != nil {
		return r
	}
	if b.Kept {
		return not(NotKept, b)
	}
	if r := d.inTime(b, st); r != nil {
		return r
	}
	return d.stepsDone(b, st)
}

// doubt refuses to go on with what came out of something that was discarded, until a lead has looked at it.
func (d *deciding) doubt(b *Batch) *Refusal {
	if b.Doubt == "" {
		return nil
	}
	if off := d.s.Deviation(b.Doubt); off != nil && !off.Closed {
		return &Refusal{Code: RefDoubt, Batch: b.ID, Stage: b.Stage, Name: b.Doubt}
	}
	return nil
}

func (d *deciding) inTime(b *Batch, st *procedure.Stage) *Refusal {
	w := d.s.Window(b)
	lasted := d.now.Since(b.Since)
	r := Refusal{Batch: b.ID, Stage: b.Stage, Number: int64(lasted), Unit: "ms"}
	switch window.At(&w, lasted) {
	case window.TooSoon:
		r.Code, r.Limit, r.Override = RefTooSoon, int64(w.Floor), !w.HardFloor
		r.Until = b.Since.Add(w.Floor)
		return d.unless(r)
	case window.Past:
		if cannotStay(st) {
			return nil
		}
		r.Code, r.Limit, r.Override = RefPastLimit, int64(w.Ceiling), st.Override && !w.Hard
		return d.unless(r)
	}
	return nil
}

// cannotStay tells whether product must leave the stage whatever the clock says: nothing is left in hot oil or under
// pressure because it is late. What comes out is in doubt until a lead has looked at it; see folding.leaving.
func cannotStay(st *procedure.Stage) bool {
	return st.Pressure || st.Kind == procedure.Wait && st.Equipment == "fryer"
}

// underPressure refuses to take a batch out of a vessel by any other way than letting the pressure off, step by step.
func (d *deciding) underPressure(b *Batch) *Refusal {
	st := d.s.Stage(b)
	if st == nil || !st.Pressure {
		return nil
	}
	if st.Kind == procedure.Wait {
		return &Refusal{Code: RefUnderPressure, Batch: b.ID, Stage: b.Stage}
	}
	for _, name := range d.s.Missing(b) {
		if stepOf(st.Steps, name).Critical {
			return &Refusal{Code: RefUnderPressure, Batch: b.ID, Stage: b.Stage, Step: name}
		}
	}
	return nil
}

func (d *deciding) stepsDone(b *Batch, st *procedure.Stage) *Refusal {
	if missing := d.s.Missing(b); len(missing) > 0 {
		r := Refusal{
			Code: RefStepMissing, Batch: b.ID, Stage: b.Stage, Step: missing[0], Name: missing[0],
			Number: int64(len(missing)), Unit: "1", Override: true,
		}
		for _, name := range missing {
			if stepOf(st.Steps, name).Critical { // name the one that nobody can override
				r.Step, r.Name, r.Override = name, name, false
				break
			}
		}
		if r := d.unless(r); r != nil {
			return r
		}
	}
	for i := range st.Steps {
		step := &st.Steps[i]
		m := b.Marked(st.Name, step.Name)
		if m == nil || !step.Limit.Hard || !asksNumber(step.Kind) {
			continue
		}
		if limit, off := offLimit(&step.Limit, m.Value); off {
			return &Refusal{
				Code: RefOffLimit, Batch: b.ID, Stage: b.Stage, Step: step.Name, Number: m.Value, Limit: limit, Unit: m.Unit,
			}
		}
	}
	return nil
}

// next returns the stage to which the batch goes on.
func (d *deciding) next(b *Batch) (*procedure.Stage, *Refusal) {
	p := d.s.Procedure(b.Procedure, b.Version)
	if p == nil {
		return nil, &Refusal{Code: RefNoProcedure, Batch: b.ID, Name: b.Procedure}
	}
	next := p.Next(b.Stage)
	if next == nil {
		return nil, &Refusal{Code: RefLastStage, Batch: b.ID, Stage: b.Stage}
	}
	if d.c.To != "" && d.c.To != next.Name {
		return nil, &Refusal{Code: RefNotNext, Batch: b.ID, Stage: d.c.To, Name: next.Name}
	}
	return next, nil
}

// sameVessel tells whether a batch stays in its vessel from one stage to the next.
func sameVessel(from, to *procedure.Stage) bool { return to.Vessel == "" || to.Vessel == from.Vessel }
