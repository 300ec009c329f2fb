package kitchen

import (
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Log is a log of temperature and time: of a cooling, of what time alone keeps, or of a thawing under running water.
type Log struct {
	entry.Log
	ID      entry.ID
	At      stamp.Milli
	By      string
	Batches []entry.ID // open batches under it: the one that it began with, or what came out of that
	Also    []entry.ID // entries that began it once more: two phones, one tray
	Reads   []LogRead  // in the order of their entries
	Missed  []Missed
	Ended   bool
	EndAt   stamp.Milli
	EndBy   string
	Outcome string
}

// LogRead is a reading of a log.
type LogRead struct {
	entry.LogReading
	ID entry.ID
	At stamp.Milli
	By string
}

// Missed is a limit of a log that was missed, so that one miss opens one deviation. A food that is heated and cooled again
// may miss the same mark again: From tells them apart.
type Missed struct {
	Key  string // of its deviation
	From stamp.Milli
	Mark int64
}

// Late is a limit of a log that is missed.
type Late struct {
	Missed
	Number, Limit int64
	Unit          string // ms or mC
}

// Judged is what a log says by an instant.
type Judged struct {
	From     stamp.Milli // since when the time runs that ends next
	Until    stamp.Milli // the last instant that is allowed; 0: no time runs
	Last     stamp.Milli // from when on it is called for the last time; 0: no time runs
	Read     stamp.Milli // when the next reading is due; 0: none is
	Mark     int64       // of a cooling: by then it is to be at this or below, mC
	Done     bool        // of a cooling: it has come to its last mark
	Late     []Late
	Findings []safety.Finding
	Actions  []safety.Action
}

// logEvery is after how long a log asks for the next reading, and logPatience after how long its bells ring again (common
// practice, no source).
const (
	logEvery    = stamp.Hour
	logPatience = 5 * stamp.Minute
)

// warning is how long before the end of an allowance its bell rings.
func warning(most stamp.Span) stamp.Span { return min(30*stamp.Minute, most/4) }

// heats returns what was read of the food and of the water.
func (l *Log) heats() (food, water []safety.Reading) {
	if l.Measured {
		food = append(food, safety.Reading{At: l.At, Heat: safety.FromKept(l.MilliC)})
	}
	for i := range l.Reads {
		r := &l.Reads[i]
		x := safety.Reading{At: r.At, Heat: safety.FromKept(r.MilliC)}
		if r.Water {
			water = append(water, x)
		} else {
			food = append(food, x)
		}
	}
	return food, water
}

// Judge holds the log against its rule, as package safety does. What has not been read since counts up to now.
func (l *Log) Judge(now stamp.Milli) Judged {
	if l.Ended {
		now = min(now, l.EndAt)
	}
	food, water := l.heats()
	var j Judged
	switch l.What {
	case entry.LogCool:
		j = l.cooling(food, now)
	case entry.LogTime:
		j = l.timed(food, now)
	default:
		j = l.thawing(food, water, now)
	}
	read := l.At
	for i := range l.Reads {
		read = l.Reads[i].At
	}
	if j.Until != 0 {
		j.Last = j.Until.Add(-warning(j.Until.Since(j.From)))
	}
	if read = read.Add(logEvery); (j.Until == 0 || read < j.Last) && l.Rule != "tphc4" && l.Rule != "tphc4-70" {
		j.Read = read
	}
	return j
}

// Missed tells whether a limit of the log is missed by an instant.
func (j *Judged) Missed(now stamp.Milli) bool {
	return len(j.Late) > 0 || j.Until != 0 && now > j.Until
}

func (l *Log) cooling(food []safety.Reading, now stamp.Milli) (j Judged) {
	r, ok := safety.CoolRuleOf(l.Rule)
	if !ok {
		r = safety.CoolRules()[0]
	}
	if len(food) == 0 {
		return j
	}
	c := r.Cool(food)
	if last := food[len(food)-1]; !c.Parts[len(c.Parts)-1].Reached && now > last.At {
		last.At = now // not cooler than it was, as far as anybody knows
		if r.From != 0 {
			last.Heat = min(last.Heat, safety.Fahrenheit(r.From)-1)
		}
		c = r.Cool(append(food, last))
	}
	u := c.Used()
	j.Until, j.Findings, j.Actions = u.Until, c.Findings(), c.Actions()
	for i := range c.Parts {
		p := &c.Parts[i]
		j.Done = p.Reached
		if p.Most != 0 && p.From.Add(p.Most) == u.Until {
			j.From, j.Mark = p.From, safety.Fahrenheit(p.To).MilliC()
		}
		if p.Most != 0 && p.Lasted > p.Most {
			j.Late = append(j.Late, Late{Missed{From: c.Start, Mark: int64(i)}, int64(p.Lasted), int64(p.Most), "ms"})
		}
	}
	if len(j.Late) > 0 && slices.ContainsFunc(l.Missed, func(m Missed) bool { return m.From < c.Start }) {
		j.Actions = []safety.Action{safety.Discard, safety.CallLead} // it is heated and cooled again once only
	}
	return j
}

func (l *Log) timed(food []safety.Reading, now stamp.Milli) (j Judged) {
	r, ok := safety.TimeRuleOf(l.Rule)
	if !ok {
		r = safety.TimeRules()[0]
	}
	c := r.Control(l.At, safety.FromKept(l.MilliC), l.At.Add(r.Most), food, now)
	j.From, j.Until, j.Findings, j.Actions = l.At, c.Until, c.Findings(), c.Actions()
	late := func(mark, number, limit int64, unit string) {
		j.Late = append(j.Late, Late{Missed{Mark: mark}, number, limit, unit})
	}
	if !c.Started {
		late(0, l.MilliC, r.Cold.MilliC(), "mC")
	}
	if c.Over != 0 {
		late(1, c.Top.MilliC(), r.Ceiling.MilliC(), "mC")
	}
	if !c.Used.Met() {
		late(2, int64(c.Spent), int64(c.Most), "ms")
	}
	return j
}

func (l *Log) thawing(food, water []safety.Reading, now stamp.Milli) (j Judged) {
	if !l.Measured { // it came out of the frost: at most where water freezes
		food = slices.Insert(food, 0, safety.Reading{At: l.At, Heat: safety.Celsius(0)})
	}
	t := safety.ThawWater(water, food, l.Rule == entry.RuleThawReady, now)
	j.From, j.Findings, j.Actions = l.At, t.Findings, t.Actions
	if l.Rule != entry.RuleThawReady {
		if j.Until = t.Used.Until; j.Until == 0 { // it may have risen above the limit right after the last reading
			j.Until = food[len(food)-1].At.Add(t.Used.Left())
		}
	}
	for i, f := range t.Findings {
		if f.Verdict == safety.NotMet {
			j.Late = append(j.Late, Late{Missed{Mark: int64(i)}, f.Got.Value, f.Limit.Value, string(f.Got.Unit)})
		}
	}
	return j
}

// Log returns the log, by the entry that began it or that began it once more; nil if there is none.
func (s *State) Log(id entry.ID) *Log {
	for i := range s.Logs {
		if l := &s.Logs[i]; l.ID == id || slices.Contains(l.Also, id) {
			return l
		}
	}
	return nil
}

// LogOf returns the running log of a batch, of the sort that what names or, when it is empty, of any; nil if there is none.
func (s *State) LogOf(batch entry.ID, what string) *Log {
	for i := range s.Logs {
		if l := &s.Logs[i]; !l.Ended && (what == "" || l.What == what) && slices.Contains(l.Batches, batch) {
			return l
		}
	}
	return nil
}

// CoolRule returns the rule by which the kitchen cools.
func (s *State) CoolRule() safety.CoolRule {
	rules := safety.CoolRules()
	if n := s.Setting(entry.SetCoolRule); n > 0 && n <= int64(len(rules)) {
		return rules[n-1]
	}
	return rules[0]
}

// points lists what a running log rings for. A subject names its instant, so that an answer to it silences nothing later.
func (l *Log) points(now stamp.Milli) (list []point) {
	j := l.Judge(now)
	ownBells := l.What == entry.LogTime && len(l.Batches) > 0 // batches under time ring themselves at its end: it is their ceiling
	if ownBells && now > j.Until {
		return nil
	}
	add := func(name Point, level Level, at stamp.Milli) {
		subject := "log/" + l.ID.String() + "/" + string(name) + strconv.FormatInt(int64(at), 10) + "/"
		list = append(list, point{name, level, at, subject})
	}
	if j.Read != 0 {
		add(PointRead, Information, j.Read)
	}
	if j.Until != 0 {
		add(PointLast, Attention, j.Last)
		if !ownBells {
			add(PointPast, Danger, j.Until+1)
		}
	}
	return list
}

// logs adds the bells of running logs.
func (b *belling) logs() {
	for i := range b.s.Logs {
		if l := &b.s.Logs[i]; !l.Ended {
			b.ring(l.points(b.now), logPatience, Bell{Log: l.ID, Batches: l.Batches})
		}
	}
}

// away says of a batch that is frozen or being cooled that the time of its stage does not run; of one that is kept cold or under
// time as a control it narrows the window. What time alone keeps has no way back: freezing and cooling stop nothing of it.
func (s *State) away(b *Batch, w *procedure.Window) {
	until, timed := stamp.Milli(0), s.LogOf(b.ID, entry.LogTime)
	switch {
	case b.Frozen != 0, b.Kept && s.LogOf(b.ID, entry.LogCool) != nil:
		*w = procedure.Window{}
	case b.Kept:
		*w, until = procedure.Window{}, b.UseBy
	}
	if timed != nil {
		if j := timed.Judge(s.Last.At); until == 0 || j.Until < until {
			until = j.Until
		}
	}
	if until == 0 {
		return
	}
	most := max(until.Since(b.Since), 1)
	if w.Ceiling == 0 || most < w.Ceiling {
		w.Ceiling, w.Hard = most, true
	}
	if w.BestUntil = min(w.BestUntil, w.Ceiling); w.Patience == 0 {
		w.Patience = logPatience
	}
}

func byLog(l Log, id entry.ID) int { return l.ID.Compare(id) }

// Fields implements wire.Fielder.
func (l *Log) Fields(c *wire.Coder) {
	l.Log.Fields(c)
	told(c, &l.ID, &l.At, &l.By)
	wire.List(c, "batches", &l.Batches, entry.WalkID)
	wire.List(c, "also", &l.Also, entry.WalkID)
	wire.List(c, "reads", &l.Reads, wire.Framed[LogRead])
	wire.List(c, "missed", &l.Missed, wire.Framed[Missed])
	c.Bool("ended", &l.Ended)
	wire.Int(c, "endAt", &l.EndAt)
	wire.Str(c, "endBy", &l.EndBy)
	wire.Str(c, "outcome", &l.Outcome)
}

// Fields implements wire.Fielder.
func (r *LogRead) Fields(c *wire.Coder) {
	r.LogReading.Fields(c)
	told(c, &r.ID, &r.At, &r.By)
}

// Fields implements wire.Fielder.
func (m *Missed) Fields(c *wire.Coder) {
	wire.Str(c, "key", &m.Key)
	wire.Int(c, "from", &m.From)
	wire.Int(c, "mark", &m.Mark)
}
