package safety

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

func milliC(name string, h Heat) Amount { return Amount{name, h.MilliC(), quantity.MilliC} }

func length(name string, s stamp.Span) Amount { return Amount{name, int64(s), quantity.Milli} }

// OffRun is an unbroken time off a limit.
type OffRun struct {
	From, To stamp.Milli
	First    stamp.Milli // the first reading that was off: from here on it is certain
	Worst    Heat
	Open     bool // the last reading of the log was still off
}

// OffTime is what a log says of a limit.
type OffTime struct {
	Limit    *HoldLimit
	Runs     []OffRun
	Off      stamp.Span // in all
	Longest  stamp.Span // of the runs
	Readings int        // how many were off
	Worst    Heat       // the reading closest to the wrong end, or furthest beyond
}

// OutOf goes through a log, whose readings are in the order of their time, and returns when it was off the limit. Between
// two readings of which either is off all of the time counts as off: a run begins at the last reading that was within
// the limit, or at the first of the log, and ends at the next that is within it.
func (l *HoldLimit) OutOf(log []Reading) OffTime {
	o := OffTime{Limit: l}
	for i, r := range log {
		if i == 0 || l.Off(r.Heat) > l.Off(o.Worst) {
			o.Worst = r.Heat
		}
		last := len(o.Runs) - 1
		going := last >= 0 && o.Runs[last].Open
		if going {
			o.Runs[last].To = r.At
		}
		if l.Met(r.Heat) {
			if going {
				o.Runs[last].Open = false
			}
			continue
		}
		o.Readings++
		if !going {
			o.Runs = append(o.Runs, OffRun{From: log[max(i-1, 0)].At, To: r.At, First: r.At, Worst: r.Heat, Open: true})
		} else if l.Off(r.Heat) > l.Off(o.Runs[last].Worst) {
			o.Runs[last].Worst = r.Heat
		}
	}
	for _, r := range o.Runs {
		o.Off += r.To.Since(r.From)
		o.Longest = max(o.Longest, r.To.Since(r.From))
	}
	return o
}

// Met tells whether every reading was within the limit.
func (o *OffTime) Met() bool { return o.Readings == 0 }

// Open tells whether the last reading was still off.
func (o *OffTime) Open() bool { return len(o.Runs) > 0 && o.Runs[len(o.Runs)-1].Open }

// Between returns how much of the time off lies between two instants, such as those at which a batch came into a cold
// room and left it. What was still off at the last reading goes on.
func (o *OffTime) Between(from, to stamp.Milli) stamp.Span {
	var sum stamp.Span
	for _, r := range o.Runs {
		end := r.To
		if r.Open {
			end = max(end, to)
		}
		sum += max(min(end, to).Since(max(r.From, from)), 0)
	}
	return sum
}

// Spends returns what the time off has used up of an allowance by now, of a batch that was there from an instant on and
// had spent some before. Time off always adds up: cold between two times off gives nothing back.
func (o *OffTime) Spends(most, before stamp.Span, from, now stamp.Milli) Used {
	u := Used{Spent: before + o.Between(from, now), Most: most}
	if o.Open() {
		u.Until = now.Add(u.Left())
	}
	return u
}

// Finding holds the log against the limit.
func (o *OffTime) Finding() Finding {
	f := o.Limit.Finding(o.Worst)
	f.Verdict = Judge(o.Met())
	f.Inputs = []Amount{length("off", o.Off), length("longest", o.Longest), {"readings off", int64(o.Readings), quantity.Piece}}
	return f
}

// Actions returns what can be done about it. What was off for longer than the allowance is thrown away; where that is so only
// by the time between the last reading within and the first one off, the lead decides.
func (o *OffTime) Actions(u Used) []Action {
	switch {
	case o.Met():
		return nil
	case !u.Met() && u.Spent-o.doubtful() > u.Most:
		return []Action{Discard, Repair, CallLead}
	case !u.Met():
		return []Action{ReadAgain, CallLead, Discard}
	case o.Open():
		return o.Limit.Actions()
	}
	return []Action{UseFirst, CallLead}
}

// doubtful is how much of the time off lies before the first reading of each run that was off.
func (o *OffTime) doubtful() stamp.Span {
	var sum stamp.Span
	for _, r := range o.Runs {
		sum += r.First.Since(r.From)
	}
	return sum
}

// Actions returns what can be done while a place is off the limit.
func (l *HoldLimit) Actions() []Action {
	if l.Cold {
		return []Action{ReadAgain, Elsewhere, Chill, UseFirst, CallLead}
	}
	return []Action{ReadAgain, HotAgain, Elsewhere, CallLead}
}
