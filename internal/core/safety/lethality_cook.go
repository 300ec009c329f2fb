package safety

import (
	"brinebell/internal/core/fixed"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Cook says what was cooked and how far the probe may have been off.
type Cook struct {
	Species Species
	Fat     int64 // thousandths of a per cent
	Probe   Heat  // the probe's error: subtracted from every reading before anything else
}

// Run is an unbroken run of readings at or above a printed row.
type Run struct {
	Row         Row
	First, Last int // readings; Held is the one at which the dwell was over, if it was
	Held        int
	Length      stamp.Span
}

// Cooked is what a log of a cook comes to.
type Cooked struct {
	Rows        []Row
	Met         bool
	Instant     int // the first reading that counts at once, or -1
	Run         Run // the one that held first, else the one that came nearest to its dwell; Row.F is 0 if there was none
	Lower       fixed.Num
	Linear      fixed.Num
	Row         Row  // the one that decides
	Hottest     Heat // with the probe's error subtracted
	Dwell       Finding
	ComeUp      Finding
	Warnings    []Warning
	longestStep stamp.Span
}

// HeldAt returns the whole degrees Fahrenheit of the printed row whose dwell was held first, or 0.
func (c *Cooked) HeldAt() int64 {
	if c.Run.Held < 0 {
		return 0
	}
	return c.Run.Row.F
}

// AssessCook holds a log against the table. The decision rests on the printed rows alone and compares whole numbers; the
// reductions beside it are estimates.
func AssessCook(c Cook, log []Reading) (*Cooked, error) {
	rows, err := Rows(c.Species, c.Fat)
	if err != nil {
		return nil, err
	}
	if c.Probe < 0 || c.Probe > ProbeMost {
		return nil, ErrProbe
	}
	if err := CheckLog(log); err != nil {
		return nil, err
	}
	out := &Cooked{Rows: rows, Instant: -1, Hottest: log[0].Heat - c.Probe}
	s := newRuns(rows)
	once := rows[len(rows)-1].Heat
	for i, r := range log {
		h := r.Heat - c.Probe
		out.Hottest = max(out.Hottest, h)
		if out.Instant < 0 && h >= once {
			out.Instant = i
		}
		if i > 0 {
			out.longestStep = max(out.longestStep, r.At.Since(log[i-1].At))
		}
		s.take(log, i, h)
	}
	out.Run = s.end(log, c.Probe)
	out.Met = out.Instant >= 0 || out.Run.Held >= 0
	out.Lower, out.Linear = newCurve(rows).reduction(log, c.Probe)
	if out.Instant >= 0 {
		out.Lower = max(out.Lower, LogRequired*fixed.One)
		out.Linear = max(out.Linear, LogRequired*fixed.One)
	}
	out.dwell(c)
	out.comeUp(c, log)
	out.warn(c, log)
	return out, nil
}

// runs follows, for every printed row with a dwell at once, the run of readings that are at or above it.
type runs struct {
	rows  []Row
	start []int // the run's first reading
	level int   // how many rows the last reading reached
	held  bool
	best  Run
}

func newRuns(rows []Row) *runs {
	timed := rows[:len(rows)-1]
	return &runs{rows: timed, start: make([]int, len(timed)), best: Run{Held: -1}}
}

// take takes the next reading. Once a run has held its dwell nothing later can hold first.
func (s *runs) take(log []Reading, i int, h Heat) {
	if s.held {
		return
	}
	level := s.level
	for level > 0 && h < s.rows[level-1].Heat {
		level--
	}
	if level < s.level && i > 0 {
		s.compare(log, level, i-1)
	}
	for level < len(s.rows) && h >= s.rows[level].Heat {
		s.start[level] = i
		level++
	}
	s.level = level
	for k := range level {
		if n := log[i].At.Since(log[s.start[k]].At); n >= s.rows[k].Dwell {
			s.held = true
			s.best = Run{Row: s.rows[k], First: s.start[k], Last: i, Held: i, Length: n}
			return
		}
	}
}

// compare looks whether one of the runs that end, from a row on up, came nearer to its dwell than any before.
func (s *runs) compare(log []Reading, from, last int) {
	for k := from; k < s.level; k++ {
		n := log[last].At.Since(log[s.start[k]].At)
		if b := &s.best; b.Row.F == 0 || share(n, s.rows[k].Dwell) > share(b.Length, b.Row.Dwell) {
			*b = Run{Row: s.rows[k], First: s.start[k], Last: last, Held: -1, Length: n}
		}
	}
}

func share(n, whole stamp.Span) fixed.Num { return fixed.FromRatio(int64(n), int64(whole)) }

// end returns the run that counts; one that held its dwell is followed to its last reading.
func (s *runs) end(log []Reading, probe Heat) Run {
	if !s.held {
		s.compare(log, 0, len(log)-1)
		return s.best
	}
	b := &s.best
	for b.Last+1 < len(log) && log[b.Last+1].Heat-probe >= b.Row.Heat {
		b.Last++
	}
	b.Length = log[b.Last].At.Since(log[b.First].At)
	return *b
}

// dwell is the decision as a finding, and the row that decides: that of the run, the one that counts at once, or the first.
func (out *Cooked) dwell(c Cook) {
	out.Row = out.Run.Row
	f := &out.Dwell
	f.Rule, f.Source, f.Verdict, f.Formula = "cook.dwell", "fsis-a-chicken", Judge(out.Met), "end - start >= D(T, fat); T = reading - error"
	if c.Species == Turkey {
		f.Source = "fsis-a-turkey"
	}
	once := out.Run.Held < 0 && out.Instant >= 0
	if once || out.Row.F == 0 {
		out.Row = out.Rows[0]
		if once {
			out.Row = out.Rows[len(out.Rows)-1]
		}
		f.Formula = "T >= row; T = reading - error"
		f.Got = Amount{"hottest", out.Hottest.MilliC(), quantity.MilliC}
		f.Limit = Amount{"row", out.Row.Heat.MilliC(), quantity.MilliC}
	} else {
		f.Got = Amount{"run", int64(out.Run.Length), quantity.Milli}
		f.Limit = Amount{"dwell", int64(out.Row.Dwell), quantity.Milli}
	}
	f.Inputs = []Amount{{"fat", c.Fat, "1"}, {"error", c.Probe.MilliC(), quantity.MilliC}, {"row", out.Row.Heat.MilliC(), quantity.MilliC}}
	f.By = max(f.Got.Value-f.Limit.Value, f.Limit.Value-f.Got.Value)
}
