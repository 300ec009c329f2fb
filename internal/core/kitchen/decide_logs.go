package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/window"
)

// What RefNot says: Refusal.Name.
const (
	NotFrozen   = "frozen"   // the batch is frozen
	NotThawable = "thawable" // it is not frozen
	NotHot      = "hot"      // it is held hot: it must be cooled first
	NotInOil    = "oil"      // it lies in hot oil
	NotLogged   = "logged"   // such a log of it runs
	NotTimed    = "timed"    // it is under time as a control
	NotKept     = "kept"     // it was cooled and is kept cold
	NotStart    = "start"    // its temperature does not let time as a control begin
	NotLog      = "log"      // the log has ended
	NotOver     = "over"     // its time is over
)

func not(so string, b *Batch) *Refusal {
	r := &Refusal{Code: RefNot, Name: so}
	if b != nil {
		r.Batch, r.Stage = b.ID, b.Stage
	}
	return r
}

// frozen refuses what cannot be done with a frozen batch.
func (d *deciding) frozen(b *Batch) *Refusal {
	if b.Frozen != 0 {
		return not(NotFrozen, b)
	}
	return nil
}

// ThawWays lists the ways to thaw.
var ThawWays = [...]string{entry.ThawCold, entry.ThawWater, entry.ThawCook, entry.ThawMicrowave}

// freezer is the kind of equipment that keeps product frozen.
const freezer = "freezer"

// freeze freezes a batch, or takes it out to thaw.
func (d *deciding) freeze() *Refusal {
	b, r := d.batch(d.c.Batch)
	if r != nil {
		return r
	}
	st, way := d.s.Stage(b), d.c.Answer
	switch {
	case st == nil:
		return &Refusal{Code: RefNoProcedure, Batch: b.ID, Name: b.Procedure}
	case way != "" && !slices.Contains(ThawWays[:], way):
		return &Refusal{Code: RefNeedAnswer, Batch: b.ID}
	case way == "" && b.Frozen != 0:
		return nil
	case way != "" && b.Frozen == 0:
		return not(NotThawable, b)
	case way == "":
		if r := d.mayFreeze(b, st); r != nil {
			return r
		}
		return d.add(&entry.Frost{Batch: b.ID, Place: d.placeOf(freezer)})
	}
	place := ""
	if way == entry.ThawCold {
		place = d.placeOf("cold room")
	}
	return d.add(&entry.Frost{Batch: b.ID, Way: way, Place: place})
}

// placeOf returns the first piece of equipment of a kind that is in use, "" if there is none.
func (d *deciding) placeOf(kind string) string {
	for _, x := range d.s.Equipment().Devices {
		if x.Kind == kind && !d.s.Place(x.Name).Out {
			return x.Name
		}
	}
	return ""
}

func (d *deciding) mayFreeze(b *Batch, st *procedure.Stage) *Refusal {
	w, lasted := d.s.Window(b), d.now.Since(b.Since)
	switch {
	case cannotStay(st):
		return not(NotInOil, b)
	case d.s.LogOf(b.ID, entry.LogTime) != nil:
		return not(NotTimed, b)
	case d.s.LogOf(b.ID, "") != nil:
		return not(NotLogged, b)
	case st.Kind == procedure.Hold && !b.Kept:
		return not(NotHot, b)
	case window.At(&w, lasted) == window.Past:
		return &Refusal{Code: RefPastLimit, Batch: b.ID, Stage: b.Stage, Number: int64(lasted), Limit: int64(w.Ceiling), Unit: "ms"}
	}
	return d.doubt(b)
}

// log begins a log of temperature and time.
func (d *deciding) log() *Refusal {
	c := d.c
	body := entry.Log{What: c.Answer, Rule: c.Procedure, Batch: c.Batch, Name: clean(c.Name), Measured: c.Unit == "mC", MilliC: c.Value}
	if body.What == entry.LogCool && body.Rule == "" {
		body.Rule = d.s.CoolRule().ID
	}
	if !ruled(&body) {
		return &Refusal{Code: RefBadCommand, Name: body.What + " " + body.Rule}
	}
	if !c.Batch.IsZero() {
		if r := d.mayLog(&body); r != nil {
			return r
		}
		body.Name = ""
	} else if body.Name == "" {
		return &Refusal{Code: RefNeedText}
	}
	switch {
	case body.Measured:
		body.Probe = clean(cmp.Or(c.Probe, d.s.ProbeInHand(d.who.Crew)))
		if r := likely(body.MilliC, "mC"); r != nil {
			return r
		}
	case body.What != entry.LogThaw:
		return &Refusal{Code: RefNeedNumber, Unit: "mC"}
	}
	if rule, ok := safety.TimeRuleOf(body.Rule); ok && !rule.MayStart(safety.FromKept(body.MilliC)) {
		return &Refusal{Code: RefNot, Name: NotStart, Batch: c.Batch, Number: body.MilliC, Limit: rule.Cold.MilliC(), Unit: "mC"}
	}
	body.Log = d.newID()
	d.drafts = append(d.drafts, Draft{ID: body.Log, Body: &body})
	return nil
}

// ruled tells whether a log has a rule of its sort.
func ruled(body *entry.Log) bool {
	ok := false
	switch body.What {
	case entry.LogCool:
		_, ok = safety.CoolRuleOf(body.Rule)
	case entry.LogTime:
		_, ok = safety.TimeRuleOf(body.Rule)
	case entry.LogThaw:
		ok = body.Rule == entry.RuleThawRaw || body.Rule == entry.RuleThawReady
	}
	return ok
}

// mayLog tells whether a log of the sort may begin with a batch.
func (d *deciding) mayLog(body *entry.Log) *Refusal {
	b, r := d.batch(body.Batch)
	if r != nil {
		return r
	}
	st := d.s.Stage(b)
	if st == nil {
		return &Refusal{Code: RefNoProcedure, Batch: b.ID, Name: b.Procedure}
	}
	w, lasted := d.s.Window(b), d.now.Since(b.Since)
	switch {
	case b.Frozen != 0:
		return not(NotFrozen, b)
	case cannotStay(st):
		return not(NotInOil, b)
	case body.What == entry.LogCool && st.Kind != procedure.Hold:
		return &Refusal{Code: RefNotHold, Batch: b.ID, Stage: b.Stage}
	case d.s.LogOf(b.ID, entry.LogTime) != nil:
		return not(NotTimed, b)
	case d.s.LogOf(b.ID, "") != nil:
		return not(NotLogged, b)
	case window.At(&w, lasted) == window.Past:
		return &Refusal{Code: RefPastLimit, Batch: b.ID, Stage: b.Stage, Number: int64(lasted), Limit: int64(w.Ceiling), Unit: "ms"}
	}
	return d.doubt(b)
}

// inLog takes a reading of a log, or ends it.
func (d *deciding) inLog() *Refusal {
	c, l := d.c, d.s.Log(d.c.Log)
	if l == nil || l.Ended {
		return not(NotLog, nil)
	}
	if c.Do == DoLogRead {
		if c.Unit != "mC" {
			return &Refusal{Code: RefNeedNumber, Unit: "mC"}
		}
		if r := likely(c.Value, "mC"); r != nil {
			return r
		}
		return d.add(&entry.LogReading{Log: l.ID, Batch: l.Batch, Water: c.Answer == "water", MilliC: c.Value,
			Probe: clean(cmp.Or(c.Probe, d.s.ProbeInHand(d.who.Crew)))})
	}
	switch {
	case c.Answer != entry.LogDone && c.Answer != entry.LogDiscarded:
		return &Refusal{Code: RefNeedAnswer}
	case l.What == entry.LogTime && len(l.Batches) > 0:
		return not(NotTimed, d.s.Batch(l.Batches[0]))
	case c.Answer == entry.LogDone && len(l.Judge(d.now).Late) > 0:
		return not(NotOver, nil)
	}
	return d.add(&entry.LogEnd{Log: l.ID, Batch: l.Batch, Outcome: c.Answer, Note: clean(c.Text)})
}
