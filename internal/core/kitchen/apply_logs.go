package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// frost freezes a batch, or takes it out to thaw.
func (f *folding) frost(body *entry.Frost) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	thawed := body.Way != ""
	if !f.alive(b) || thawed == (b.Frozen == 0) {
		f.tell(b, body, true)
		return
	}
	if b.Place != body.Place {
		f.vacate(b)
	}
	b.Place = body.Place
	if f.tell(b, body, false); !thawed {
		f.offered(b)
		b.Frozen, b.Thawed = f.at, ""
		f.offLogs(b.ID, entry.LogThaw)
		f.renew(b)
		return
	}
	f.thaw(b)
	if b.Thawed = body.Way; body.Way == entry.ThawWater {
		f.beginLog(&entry.Log{What: entry.LogThaw, Rule: f.s.ThawRule(b), Batch: b.ID}, b)
	}
}

// ThawRule returns the rule for a batch under running water: what is raw may be above the limit for a while.
func (s *State) ThawRule(b *Batch) string {
	if st := s.Stage(b); st == nil || st.Raw {
		return entry.RuleThawRaw
	}
	return entry.RuleThawReady
}

// thaw lets the times of a batch go on from where they stood. A mark that counts days is moved by the whole days that it was
// frozen, since the day of freezing and that of thawing count. What was past its mark when it was frozen stays so.
func (f *folding) thaw(b *Batch) {
	frozen := f.at.Since(b.Frozen)
	b.Since = b.Since.Add(frozen)
	switch st := f.s.Stage(b); {
	case b.UseBy < b.Frozen:
	case b.Kept || st != nil && !st.Raw && st.Window.Ceiling > safety.DateNeeded:
		m := safety.Make(f.s.WallDay(b.Frozen))
		day, clock := f.s.Wall(b.UseBy)
		b.UseBy = f.s.WallAt(day+m.Freeze(m.On).Thaw(f.s.WallDay(f.at)).Last()-m.Last(), clock)
	default:
		b.UseBy = b.UseBy.Add(frozen)
	}
	b.Frozen = 0
	f.renew(b)
}

// renew gives the bells of a batch a subject of their own: the instants of its points have changed.
func (f *folding) renew(b *Batch) {
	began := b.Began
	b.Began = f.e.ID
	f.s.dropBells(began)
}

// unfrozen opens a deviation for what was done with a frozen batch: it was taken out, and nobody said so.
func (f *folding) unfrozen(b *Batch) {
	if b.Frozen != 0 {
		f.deviate(Deviation{Code: DevFrozen, Batch: b.ID, Stage: b.Stage, Number: int64(f.at.Since(b.Frozen)), Unit: "ms"})
		f.thaw(b)
	}
}

func (f *folding) log(body *entry.Log) {
	if f.s.Log(f.e.ID) != nil {
		return
	}
	f.used(body.Probe)
	var b *Batch
	if !body.Batch.IsZero() {
		if b = f.known(body.Batch); b == nil {
			return
		}
		open := f.alive(b)
		if f.tell(b, body, !open); !open {
			return
		}
		f.unfrozen(b)
		if l := f.s.LogOf(b.ID, body.What); l != nil { // somebody began it on another phone: it is one log
			l.Also = append(l.Also, f.e.ID)
			if body.Measured {
				f.addRead(l, entry.LogReading{Log: l.ID, Batch: b.ID, MilliC: body.MilliC, Probe: body.Probe})
			}
			return
		}
	}
	f.beginLog(body, b)
}

// beginLog begins the log of a batch, or of a food without one.
func (f *folding) beginLog(body *entry.Log, b *Batch) {
	l := Log{Log: *body, ID: f.e.ID, At: f.at, By: f.e.Crew}
	l.Log.Log = l.ID
	if b != nil {
		l.Batches = []entry.ID{b.ID}
		if l.What == entry.LogCool {
			f.offered(b)
			b.Kept, b.MarkedAt = true, ""
			b.UseBy = safety.Make(f.s.WallDay(f.s.cookedAt(b))).Until(f.s.DayStart)
		}
		f.renew(b)
	}
	i, _ := slices.BinarySearchFunc(f.s.Logs, l.ID, byLog)
	f.s.Logs = order.Insert(f.s.Logs, i, l)
	f.judgeLog(&f.s.Logs[i])
}

// cookedAt returns when a batch, or the first of those that it came out of and that were not raw any more, was made.
func (s *State) cookedAt(b *Batch) stamp.Milli {
	at := b.MadeAt
	for _, id := range b.Parents {
		if p := s.Batch(id); p != nil {
			if st := s.Stage(p); st != nil && !st.Raw {
				at = min(at, p.MadeAt)
			}
		}
	}
	return at
}

func (f *folding) logRead(body *entry.LogReading) {
	f.used(body.Probe)
	l := f.s.Log(body.Log)
	if b := f.s.Batch(body.Batch); b != nil {
		f.tell(b, body, l == nil)
	}
	if l != nil {
		f.addRead(l, *body)
	}
}

func (f *folding) addRead(l *Log, body entry.LogReading) {
	l.Reads = append(l.Reads, LogRead{LogReading: body, ID: f.e.ID, At: f.at, By: f.e.Crew})
	f.judgeLog(l)
}

// judgeLog opens a deviation for each limit that the log has missed by now, once, and ends a cooling that has come to its end.
func (f *folding) judgeLog(l *Log) {
	if l.Ended {
		return
	}
	j := l.Judge(f.at)
	for _, late := range j.Late {
		if slices.ContainsFunc(l.Missed, func(m Missed) bool { return m.From == late.From && m.Mark == late.Mark }) {
			continue
		}
		d := Deviation{Batch: l.Batch, Number: late.Number, Limit: late.Limit, Unit: late.Unit, Text: l.Name, Probe: l.Probe}
		switch l.What {
		case entry.LogCool:
			d.Code = DevCooling
		case entry.LogTime:
			d.Code = DevTimeOver
		default:
			d.Code = DevThawing
		}
		if len(l.Reads) > 0 {
			d.Probe = l.Reads[len(l.Reads)-1].Probe
		}
		late.Key = f.deviate(d)
		l.Missed = append(l.Missed, late.Missed)
		for _, id := range l.Batches { // it goes on when a lead has looked at it
			b := f.s.Batch(id)
			if old := f.s.Deviation(b.Doubt); old == nil || old.Closed {
				b.Doubt = late.Key
			}
		}
	}
	if j.Done {
		f.endLog(l, entry.LogCooled)
	}
}

func (f *folding) logEnd(body *entry.LogEnd) {
	l := f.s.Log(body.Log)
	void := l == nil || l.Ended || l.What == entry.LogTime && len(l.Batches) > 0 // there is no way back from time
	if b := f.s.Batch(body.Batch); b != nil {
		f.tell(b, body, void)
	}
	if void {
		return
	}
	if f.judgeLog(l); l.Ended {
		return
	}
	if l.What == entry.LogCool { // it did not come to the cold: the time of its stage counts again
		for _, id := range l.Batches {
			f.notKept(f.s.Batch(id))
		}
	}
	f.endLog(l, body.Outcome)
}

func (f *folding) notKept(b *Batch) {
	b.Kept, b.UseBy = false, 0
	if st := f.s.Stage(b); st != nil && st.Mark {
		b.UseBy, b.MarkedAt = f.s.UseBy(st, b.Since), st.Name
	}
	f.renew(b)
}

func (f *folding) endLog(l *Log, outcome string) {
	l.Ended, l.EndAt, l.EndBy, l.Outcome, l.Batches = true, f.at, f.e.Crew, outcome, nil
	f.s.dropPrefix("log/" + l.ID.String() + "/")
}

// offLogs takes a batch off the running logs of a sort, of all when what is empty.
func (f *folding) offLogs(id entry.ID, what string) {
	for i := range f.s.Logs {
		if l := &f.s.Logs[i]; (what == "" || l.What == what) && slices.Contains(l.Batches, id) {
			l.Batches = slices.DeleteFunc(slices.Clone(l.Batches), func(o entry.ID) bool { return o == id })
		}
	}
}

// emptyLogs ends the logs of batches of which none is left.
func (f *folding) emptyLogs() {
	for i := range f.s.Logs {
		l := &f.s.Logs[i]
		if l.Ended || l.Batch.IsZero() || len(l.Batches) > 0 {
			continue
		}
		f.judgeLog(l)
		outcome := entry.LogDone
		if b := f.s.Batch(l.Batch); b != nil && b.Status == Discarded {
			outcome = entry.LogDiscarded
		}
		if !l.Ended {
			f.endLog(l, outcome)
		}
	}
}
