package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Ledger is what the kitchen's books hold beside the work itself. All lists are sorted by what names their elements.
type Ledger struct {
	Probes     []Probe         // by Name
	Deliveries []Delivery      // by the id of their entry
	Days       []Day           // by Day: those that were closed
	Settings   []entry.Setting // by Name
	Learned    []Learned       // by Crew, Key: what was answered
	Seal       [16]byte        // over all entries folded, in their order
}

// Probe is what the journal says of a thermometer of the kitchen's equipment.
type Probe struct {
	Name   string
	Check  entry.ProbeCheck // the last one
	At     stamp.Milli      // of the last check; 0: never checked
	By     string
	GoodAt stamp.Milli // of the last check that was met; 0: none was
	Reads  int64       // readings with it since then
	Review Review      // the last failed check's
	UsedAt stamp.Milli
	UsedBy string // crew, who read it last
}

// Review is the span whose readings with a probe a failed check puts under review: from the last good check before the
// failed one (0: from the beginning) to the good one after it (0: there was none yet).
type Review struct {
	Key      string // of its deviation; empty: none
	From, To stamp.Milli
}

// Delivery is what came in.
type Delivery struct {
	entry.Delivery
	ID entry.ID
	At stamp.Milli
	By string
}

// Day is a day that a lead closed.
type Day struct {
	Day     int32
	Entry   entry.ID
	At      stamp.Milli
	By      string
	Entries uint64 // before the close, as the lead had them
	Seal    [16]byte
	Same    bool  // what was signed is what is there now: no entry came late
	Late    int64 // entries that stand before the close and came after it
	After   int64 // entries of that day that were made after the close
	Carried []entry.Carry
}

// OilMark is something that was done with a fryer's oil.
type OilMark struct {
	entry.Oil
	ID    entry.ID
	At    stamp.Milli
	By    string
	Loads int64 // that the oil had seen
}

// PartMark is a part of what was done about a deviation.
type PartMark struct {
	Part   string
	Text   string
	Grams  int64
	Pieces int64
	Entry  entry.ID
	At     stamp.Milli
	By     string
}

// Parts lists the parts that a deviation of a critical limit needs before it can be closed.
var Parts = [...]string{entry.PartCause, entry.PartHeld, entry.PartEvaluation, entry.PartDisposition,
	entry.PartCorrection, entry.PartPrevention, entry.PartVerification}

// PartCarried hands an open deviation on to the next day, with the reason: entry.Part.Part beside those of Parts.
const PartCarried = "carried"

// PartOf returns the last part of the name that was written down, or nil.
func (d *Deviation) PartOf(name string) *PartMark {
	for i := len(d.Parts) - 1; i >= 0; i-- {
		if d.Parts[i].Part == name {
			return &d.Parts[i]
		}
	}
	return nil
}

// Missing lists the parts that must be written down before the deviation can be closed, in their order.
func (d *Deviation) Missing() []string {
	var names []string
	for _, name := range Parts {
		if d.Critical && d.PartOf(name) == nil {
			names = append(names, name)
		}
	}
	return names
}

// Probe returns what the journal says of a probe: never nil, and not to be changed.
func (s *State) Probe(name string) *Probe {
	if i, ok := slices.BinarySearchFunc(s.Probes, name, byProbe); ok {
		return &s.Probes[i]
	}
	return &Probe{Name: name}
}

func byProbe(p Probe, name string) int { return cmp.Compare(p.Name, name) }

// UnderReview returns the key of the open deviation that puts a reading with the probe in doubt, "" when none does.
func (s *State) UnderReview(probe string, at stamp.Milli) string {
	r := s.Probe(probe).Review
	if r.Key == "" || at < r.From || r.To != 0 && at >= r.To {
		return ""
	}
	if d := s.Deviation(r.Key); d == nil || d.Closed {
		return ""
	}
	return r.Key
}

// ProbeInHand returns the probe with which a crew member reads unless they say otherwise: the one they read with last, or
// the only one there is.
func (s *State) ProbeInHand(crew string) string {
	var found *Probe
	for i := range s.Probes {
		if p := &s.Probes[i]; p.UsedBy == crew && p.UsedAt != 0 && (found == nil || p.UsedAt > found.UsedAt) {
			found = p
		}
	}
	switch {
	case found != nil:
		return found.Name
	case len(s.Probes) == 1:
		return s.Probes[0].Name
	}
	return ""
}

// Delivery returns the last delivery of a lot that was not sent back, or nil.
func (s *State) Delivery(lot string) *Delivery {
	for i := len(s.Deliveries) - 1; i >= 0; i-- {
		if d := &s.Deliveries[i]; d.Lot == lot && !d.Refused {
			return d
		}
	}
	return nil
}

func byDelivery(d Delivery, id entry.ID) int { return d.ID.Compare(id) }

// DayClosed returns the last close of a day, or nil.
func (s *State) DayClosed(day int32) *Day {
	if i, ok := slices.BinarySearchFunc(s.Days, day, byDay); ok {
		return &s.Days[i]
	}
	return nil
}

func byDay(d Day, day int32) int { return cmp.Compare(d.Day, day) }

func bySetting(v entry.Setting, name string) int { return cmp.Compare(v.Name, name) }

// Keep says how long records must be kept, by the law.
type Keep struct {
	Name   string // of the setting that may lengthen it
	Days   int64
	Source string
	Memory bool // the figure is from memory: no text of it was at hand
}

// Keeps lists the shortest times for which records are kept: testdata/published/records-cfr.csv, 417.5e-ref, 417.5e-frz and
// 117.315a.
var Keeps = [...]Keep{
	{entry.SetKeepChilled, 365, "9 CFR 417.5(e)(1)", true},
	{entry.SetKeepFrozen, 730, "9 CFR 417.5(e)(1), 21 CFR 117.315(a)(1)", true},
}

// Setting returns a number of the kitchen: what it set, else what the law asks for at least, else 0.
func (s *State) Setting(name string) int64 {
	if i, ok := slices.BinarySearchFunc(s.Settings, name, bySetting); ok {
		return s.Settings[i].Number
	}
	if k := keepOf(name); k != nil {
		return k.Days
	}
	return 0
}

func keepOf(name string) *Keep {
	for i := range Keeps {
		if Keeps[i].Name == name {
			return &Keeps[i]
		}
	}
	return nil
}

// OpenOn lists what a day's close must not leave open, in order: batches past their limit, lists of the day that nobody
// closed, and deviations that were not handed on since the day began.
func (s *State) OpenOn(day int32, now stamp.Milli) []string {
	var open []string
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Status == Open && s.past(b, now) && s.WallDay(b.Since) <= day {
			open = append(open, "batch/"+b.ID.String())
		}
	}
	for i := range s.Logs {
		l := &s.Logs[i]
		if j := l.Judge(now); !l.Ended && j.Missed(now) && s.WallDay(l.At) <= day {
			open = append(open, "log/"+l.ID.String())
		}
	}
	for _, l := range s.Lists() {
		if run := s.Run(l.Name, day); Opens(l, day) && (run == nil || !run.Closed) {
			open = append(open, "list/"+l.Name)
		}
	}
	for i := range s.Deviations {
		d := &s.Deviations[i]
		if p := d.PartOf(PartCarried); !d.Closed && s.WallDay(d.At) <= day && (p == nil || s.WallDay(p.At) < day) {
			open = append(open, d.Key)
		}
	}
	return open
}

// past tells whether the batch is past its limit at an instant.
func (s *State) past(b *Batch, now stamp.Milli) bool {
	w := s.Window(b)
	return w.Ceiling > 0 && now.Since(b.Since) > w.Ceiling
}

// carried lists the deviations that are handed on from a day, each with the last reason given.
func (s *State) carried(day int32) []entry.Carry {
	var list []entry.Carry
	for i := range s.Deviations {
		d := &s.Deviations[i]
		if p := d.PartOf(PartCarried); p != nil && !d.Closed && s.WallDay(d.At) <= day {
			list = append(list, entry.Carry{Subject: d.Key, Reason: p.Text})
		}
	}
	return list
}

// Fields implements wire.Fielder.
func (l *Ledger) Fields(c *wire.Coder) {
	wire.List(c, "probes", &l.Probes, wire.Framed[Probe])
	wire.List(c, "deliveries", &l.Deliveries, wire.Framed[Delivery])
	wire.List(c, "days", &l.Days, wire.Framed[Day])
	wire.List(c, "settings", &l.Settings, wire.Framed[entry.Setting])
	c.Fixed("seal", l.Seal[:])
	wire.List(c, "learned", &l.Learned, wire.Framed[Learned])
}

func (l *Ledger) sorted() bool {
	return ascending(l.Probes, func(a, b *Probe) int { return cmp.Compare(a.Name, b.Name) }) &&
		ascending(l.Deliveries, func(a, b *Delivery) int { return a.ID.Compare(b.ID) }) &&
		ascending(l.Days, func(a, b *Day) int { return cmp.Compare(a.Day, b.Day) }) &&
		ascending(l.Settings, func(a, b *entry.Setting) int { return cmp.Compare(a.Name, b.Name) }) &&
		ascending(l.Learned, func(a, b *Learned) int { return byLearned(*a, *b) })
}

// Fields implements wire.Fielder.
func (p *Probe) Fields(c *wire.Coder) {
	wire.Str(c, "name", &p.Name)
	wire.Int(c, "at", &p.At)
	wire.Str(c, "by", &p.By)
	wire.Int(c, "goodAt", &p.GoodAt)
	wire.Int(c, "reads", &p.Reads)
	wire.Str(c, "review", &p.Review.Key)
	wire.Int(c, "reviewFrom", &p.Review.From)
	wire.Int(c, "reviewTo", &p.Review.To)
	wire.Int(c, "usedAt", &p.UsedAt)
	wire.Str(c, "usedBy", &p.UsedBy)
	p.Check.Fields(c)
}

// Fields implements wire.Fielder.
func (d *Delivery) Fields(c *wire.Coder) {
	told(c, &d.ID, &d.At, &d.By)
	d.Delivery.Fields(c)
}

// told walks which entry told something, when, and whose it is.
func told(c *wire.Coder, id *entry.ID, at *stamp.Milli, by *string) {
	id.Walk(c, "entry")
	wire.Int(c, "at", at)
	wire.Str(c, "by", by)
}

// Fields implements wire.Fielder.
func (d *Day) Fields(c *wire.Coder) {
	wire.Int(c, "day", &d.Day)
	told(c, &d.Entry, &d.At, &d.By)
	wire.Uint(c, "entries", &d.Entries)
	c.Fixed("seal", d.Seal[:])
	c.Bool("same", &d.Same)
	wire.Int(c, "late", &d.Late)
	wire.Int(c, "after", &d.After)
	wire.List(c, "carried", &d.Carried, wire.Framed[entry.Carry])
}

// Fields implements wire.Fielder.
func (m *OilMark) Fields(c *wire.Coder) {
	told(c, &m.ID, &m.At, &m.By)
	m.Oil.Fields(c)
	wire.Int(c, "loads", &m.Loads)
}

// Fields implements wire.Fielder.
func (m *PartMark) Fields(c *wire.Coder) {
	told(c, &m.Entry, &m.At, &m.By)
	wire.Str(c, "part", &m.Part)
	wire.Str(c, "text", &m.Text)
	wire.Int(c, "grams", &m.Grams)
	wire.Int(c, "pieces", &m.Pieces)
}
