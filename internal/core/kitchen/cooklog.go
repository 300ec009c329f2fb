package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/fixed"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// Bounds of a cook's log that is kept as a record: two hours of a reading a second. All devices hold what they keep.
const (
	LogRows  = 7200
	logBytes = 32 << 10
)

// Turkey is the word for its table in a cook's log; every other is that for chicken.
const (
	Chicken = "chicken"
	Turkey  = "turkey"
)

// CookOf returns what a cook's log was held against.
func CookOf(b *entry.CookLog) safety.Cook {
	c := safety.Cook{Fat: b.Fat, Probe: safety.Heat(b.Error)}
	if b.Species == Turkey {
		c.Species = safety.Turkey
	}
	return c
}

// AssessLog holds the log's readings against the table and writes into it what comes out; nil where they cannot be assessed.
func AssessLog(b *entry.CookLog) (*safety.Cooked, []safety.Reading) {
	list := probelog.Unpack(b.Rows)
	out, err := safety.AssessCook(CookOf(b), list)
	if err != nil {
		return nil, nil
	}
	b.Count, b.Digest = int64(len(list)), probelog.Digest(b.Rows)
	b.Met, b.Instant, b.HeldAt, b.RowAt = out.Met, out.Instant >= 0, out.HeldAt(), out.Row.F
	b.Held, b.Dwell, b.Hottest = int64(out.Run.Length), int64(out.Row.Dwell), out.Hottest.MilliC()
	b.Lower, b.Linear = fixed.Round(out.Lower, 1_000_000), fixed.Round(out.Linear, 1_000_000)
	b.ComeUp, b.Up = out.ComeUp.Verdict.String(), out.ComeUp.Got.Value
	b.Table = out.Dwell.Source
	return out, list
}

// cookLog keeps a cook's log on its batch. One that does not meet its limit opens a deviation.
func (f *folding) cookLog(body *entry.CookLog) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	f.used(body.Probe)
	f.tell(b, body, false)
	if body.Met {
		return
	}
	d := Deviation{Code: DevCookLog, Batch: b.ID, Stage: b.Stage, Probe: body.Probe, Critical: true}
	d.Number, d.Limit, d.Unit = LogLimit(body)
	f.deviate(d)
}

// LogLimit returns what decides a log, and what the table asks for: how long the run held, in ms; or the hottest reading and a
// row, in mC, where one reading is enough or none reached the first row.
func LogLimit(b *entry.CookLog) (got, limit int64, unit string) {
	row := safety.Fahrenheit(b.RowAt).MilliC()
	if b.Dwell == 0 || b.Hottest < row {
		return b.Hottest, row, "mC"
	}
	return b.Held, b.Dwell, "ms"
}

// cookLog keeps a log that the device's screen has put together.
func (d *deciding) cookLog() *Refusal {
	c := d.c.Cook
	if c == nil {
		return &Refusal{Code: RefBadCommand, Name: d.c.Do}
	}
	b := *c
	b.Note = clean(d.c.Text)
	if d.s.Batch(b.Batch) == nil {
		return &Refusal{Code: RefNoBatch, Batch: b.Batch}
	}
	if out, _ := AssessLog(&b); out == nil {
		return &Refusal{Code: RefBadCommand, Name: d.c.Do}
	}
	if b.Count > LogRows || len(b.Rows) > logBytes {
		return &Refusal{Code: RefLogLong, Batch: b.Batch, Number: b.Count, Limit: LogRows, Unit: "1"}
	}
	return d.add(&b)
}

// patchLog puts right what a log was held against, and works it out again.
func (d *deciding) patchLog(b *entry.CookLog) *Refusal {
	c := d.c
	switch {
	case c.Unit == "m%":
		b.Fat = c.Value
	case c.Unit == "mC":
		b.Error = int64(safety.FromMilliC(c.Value))
	case c.Answer == Chicken || c.Answer == Turkey:
		b.Species = c.Answer
	default:
		if r := d.other(&b.Batch); r != nil {
			return r
		}
		setWord(&b.Note, clean(c.Text))
		setWord(&b.Probe, clean(c.Probe))
	}
	switch out, _ := AssessLog(b); {
	case out != nil:
		return nil
	case c.Unit == "m%":
		return &Refusal{Code: RefUnlikely, Number: c.Value, Limit: safety.FatMost, Unit: "m%"}
	}
	return &Refusal{Code: RefUnlikely, Number: c.Value, Limit: safety.ProbeMost.MilliC(), Unit: "mC"}
}

// CookSpan returns from when until when a batch was cooked: from its coming into a fryer, or into a stage that reads the
// temperature of what is no longer raw and not for sale yet. Until 0: it still is; from 0: it was not.
func (s *State) CookSpan(b *Batch) (from, until stamp.Milli) {
	p := s.Procedure(b.Procedure, b.Version)
	if p == nil {
		return 0, 0
	}
	for i := range b.Events {
		v := &b.Events[i]
		began := v.Kind == entry.BatchStarted || v.Kind == entry.BatchMoved || v.Entry == b.Events[0].Entry
		if v.Withdrawn || v.Void || !began {
			continue
		}
		st, _ := p.Stage(v.Stage)
		switch cooks := st != nil && cooked(st); {
		case cooks && (from == 0 || until != 0):
			from, until = v.At, 0
		case cooks:
		case from != 0 && until == 0:
			until = v.At
		}
	}
	if from != 0 && until == 0 {
		until = b.EndedAt
	}
	return from, until
}

// cooked tells whether product is cooked in a stage.
func cooked(st *procedure.Stage) bool {
	if st.Equipment == fryer {
		return true
	}
	if st.Raw || st.Kind == procedure.Hold {
		return false
	}
	for i := range st.Steps {
		if st.Steps[i].Unit == "mC" {
			return true
		}
	}
	return false
}
