package kitchen

import (
	"cmp"
	"errors"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/wire"
)

// stateFormat is the first byte of a state's bytes.
const stateFormat = 1

// ErrState says that bytes are not those of a state.
var ErrState = errors.New("kitchen: these bytes are not a state")

// Append appends the state's canonical bytes: the same on every device that has folded the same entries.
func (s *State) Append(dst []byte) []byte { return wire.Append(append(dst, stateFormat), s) }

// Read reads a state from its bytes.
func Read(src []byte) (*State, error) {
	if len(src) == 0 || src[0] != stateFormat {
		return nil, ErrState
	}
	s := New()
	if err := wire.Read(src[1:], s); err != nil {
		return nil, err
	}
	if !s.sorted() {
		return nil, ErrState
	}
	return s, nil
}

// sorted tells whether the lists are as lookups need them.
func (s *State) sorted() bool {
	return ascending(s.Crew, func(a, b *entry.Member) int { return cmp.Compare(a.Crew, b.Crew) }) &&
		ascending(s.Devices, func(a, b *Device) int { return cmp.Compare(a.Device, b.Device) }) &&
		ascending(s.Documents, func(a, b *Published) int { return byDocument(*a, docKey{b.What, b.Name, b.Version}) }) &&
		ascending(s.Places, func(a, b *Place) int { return cmp.Compare(a.Name, b.Name) }) &&
		ascending(s.Batches, func(a, b *Batch) int { return a.ID.Compare(b.ID) }) &&
		ascending(s.Timers, func(a, b *Timer) int { return a.ID.Compare(b.ID) }) &&
		ascending(s.Runs, func(a, b *Run) int { return byRun(*a, runKey{b.List, b.Day}) }) &&
		ascending(s.Deviations, func(a, b *Deviation) int { return cmp.Compare(a.Key, b.Key) }) &&
		ascending(s.Bells, func(a, b *Answered) int { return cmp.Compare(a.Subject, b.Subject) }) &&
		ascending(s.Series, func(a, b *Series) int { return cmp.Compare(a.Key, b.Key) }) &&
		ascending(s.Sensors, func(a, b *Sensor) int { return cmp.Compare(a.Sensor, b.Sensor) }) &&
		ascending(s.Feeds, func(a, b *Feed) int { return bySource(*a, *b) }) &&
		ascending(s.Excursions, func(a, b *Excursion) int { return cmp.Compare(a.Key, b.Key) }) &&
		ascending(s.Ahead, func(a, b *Ahead) int { return cmp.Compare(a.Device, b.Device) }) &&
		ascending(s.Logs, func(a, b *Log) int { return a.ID.Compare(b.ID) }) && s.Ledger.sorted() && s.Training.sorted() && s.Guidance.sorted() &&
		s.rowsSorted() && ascending(s.Done, func(a, b *DayWork) int { return byDone(*a, *b) })
}

// ascending tells whether each element stands after the one before it.
func ascending[T any](list []T, compare func(a, b *T) int) bool {
	for i := 1; i < len(list); i++ {
		if compare(&list[i-1], &list[i]) >= 0 {
			return false
		}
	}
	return true
}

// Fields implements wire.Fielder.
func (s *State) Fields(c *wire.Coder) {
	wire.Str(c, "name", &s.Name)
	wire.Str(c, "zone", &s.Zone)
	wire.Str(c, "country", &s.Country)
	c.Bool("demo", &s.Demo)
	wire.List(c, "offsets", &s.Offsets, wire.Framed[entry.Offset])
	wire.List(c, "crew", &s.Crew, wire.Framed[entry.Member])
	wire.List(c, "devices", &s.Devices, wire.Framed[Device])
	wire.List(c, "documents", &s.Documents, wire.Framed[Published])
	wire.List(c, "places", &s.Places, wire.Framed[Place])
	wire.List(c, "batches", &s.Batches, wire.Framed[Batch])
	wire.List(c, "timers", &s.Timers, wire.Framed[Timer])
	wire.List(c, "runs", &s.Runs, wire.Framed[Run])
	wire.List(c, "deviations", &s.Deviations, wire.Framed[Deviation])
	wire.List(c, "bells", &s.Bells, wire.Framed[Answered])
	wire.List(c, "recent", &s.Recent, wire.Framed[Recent])
	wire.Uint(c, "folded", &s.Folded)
	wire.Int(c, "lastAt", &s.Last.At)
	wire.Uint(c, "lastCount", &s.Last.Count)
	wire.Str(c, "lastDevice", &s.Last.Device)
	wire.List(c, "ahead", &s.Ahead, wire.Framed[Ahead])
	wire.List(c, "sensors", &s.Sensors, wire.Framed[Sensor])
	wire.List(c, "feeds", &s.Feeds, wire.Framed[Feed])
	wire.List(c, "excursions", &s.Excursions, wire.Framed[Excursion])
	wire.List(c, "series", &s.Series, wire.Framed[Series])
	s.Ledger.Fields(c)
	wire.List(c, "logs", &s.Logs, wire.Framed[Log])
	s.Training.Fields(c)
	s.Guidance.Fields(c)
	wire.List(c, "done", &s.Done, wire.Framed[DayWork])
	wire.List(c, "rows", &s.Rows, wire.Framed[Row])
}

// Fields implements wire.Fielder.
func (a *Ahead) Fields(c *wire.Coder) {
	wire.Str(c, "device", &a.Device)
	wire.Int(c, "until", &a.Until)
}

// Fields implements wire.Fielder.
func (d *Device) Fields(c *wire.Coder) {
	d.Pairing.Fields(c)
	c.Bool("revoked", &d.Revoked)
}

// Fields implements wire.Fielder.
func (d *Published) Fields(c *wire.Coder) {
	d.Document.Fields(c)
	wire.Int(c, "at", &d.At)
	wire.Str(c, "by", &d.By)
}

// Fields implements wire.Fielder.
func (r *Recent) Fields(c *wire.Coder) {
	r.Entry.Walk(c, "entry")
	wire.Int(c, "at", &r.At)
	wire.Str(c, "device", &r.Device)
	wire.Str(c, "crew", &r.Crew)
	wire.Uint(c, "kind", &r.Kind)
	r.Batch.Walk(c, "batch")
	c.Bool("withdrawn", &r.Withdrawn)
}

// Fields implements wire.Fielder.
func (p *Place) Fields(c *wire.Coder) {
	wire.Str(c, "name", &p.Name)
	c.Bool("out", &p.Out)
	wire.Str(c, "why", &p.Why)
	wire.Int(c, "reading", &p.Reading)
	wire.Int(c, "readAt", &p.ReadAt)
	wire.Str(c, "readBy", &p.ReadBy)
	p.ReadIn.Walk(c, "readIn")
	wire.Str(c, "probe", &p.Probe)
	wire.Int(c, "emptyAt", &p.EmptyAt)
	wire.List(c, "oil", &p.Oil, wire.Framed[OilMark])
	wire.Int(c, "loads", &p.Loads)
}

// Fields implements wire.Fielder.
func (m *Mark) Fields(c *wire.Coder) {
	wire.Str(c, "stage", &m.Stage)
	wire.Str(c, "step", &m.Step)
	m.Entry.Walk(c, "entry")
	wire.Int(c, "at", &m.At)
	wire.Str(c, "by", &m.By)
	wire.Int(c, "value", &m.Value)
	wire.Str(c, "unit", &m.Unit)
	wire.Str(c, "answer", &m.Answer)
	wire.Str(c, "note", &m.Note)
	wire.Str(c, "signBy", &m.SignBy)
	wire.Str(c, "photo", &m.Photo)
	wire.Str(c, "probe", &m.Probe)
}

// Fields implements wire.Fielder.
func (v *Event) Fields(c *wire.Coder) {
	v.Entry.Walk(c, "entry")
	wire.Int(c, "at", &v.At)
	wire.Str(c, "by", &v.By)
	wire.Str(c, "device", &v.Device)
	wire.Uint(c, "kind", &v.Kind)
	wire.Str(c, "stage", &v.Stage)
	wire.Str(c, "step", &v.Step)
	wire.Int(c, "number", &v.Number)
	wire.Str(c, "unit", &v.Unit)
	wire.Str(c, "place", &v.Place)
	wire.Str(c, "text", &v.Text)
	c.Bytes("body", &v.Body)
	c.Bool("withdrawn", &v.Withdrawn)
	c.Bool("corrected", &v.Corrected)
	c.Bool("void", &v.Void)
}

// Fields implements wire.Fielder.
func (b *Batch) Fields(c *wire.Coder) {
	b.ID.Walk(c, "id")
	wire.Str(c, "code", &b.Code)
	wire.Str(c, "procedure", &b.Procedure)
	wire.Uint(c, "version", &b.Version)
	wire.Str(c, "stage", &b.Stage)
	wire.Int(c, "since", &b.Since)
	b.Began.Walk(c, "began")
	wire.Str(c, "vessel", &b.Vessel)
	wire.Uint(c, "number", &b.Number)
	wire.Str(c, "place", &b.Place)
	wire.Int(c, "grams", &b.Grams)
	wire.Int(c, "pieces", &b.Pieces)
	wire.Int(c, "inGrams", &b.InGrams)
	wire.Int(c, "inPieces", &b.InPieces)
	wire.Int(c, "sold", &b.Sold)
	wire.Int(c, "wasted", &b.Wasted)
	wire.List(c, "lots", &b.Lots, wire.Word[string])
	wire.Int(c, "water", &b.Mix.Water)
	wire.Int(c, "concentrate", &b.Mix.Concentrate)
	wire.List(c, "parents", &b.Parents, entry.WalkID)
	wire.List(c, "children", &b.Children, entry.WalkID)
	wire.List(c, "lost", &b.Lost, wire.Framed[entry.Loss])
	wire.Int(c, "madeAt", &b.MadeAt)
	wire.Str(c, "madeBy", &b.MadeBy)
	wire.Uint(c, "status", &b.Status)
	wire.Int(c, "endedAt", &b.EndedAt)
	wire.Int(c, "useBy", &b.UseBy)
	wire.Str(c, "markedAt", &b.MarkedAt)
	wire.Str(c, "doubt", &b.Doubt)
	wire.List(c, "steps", &b.Steps, wire.Framed[Mark])
	wire.List(c, "events", &b.Events, wire.Framed[Event])
	c.Bool("thin", &b.Thin)
	wire.Int(c, "frozen", &b.Frozen)
	wire.Str(c, "thawed", &b.Thawed)
	c.Bool("kept", &b.Kept)
}

// Fields implements wire.Fielder.
func (t *Timer) Fields(c *wire.Coder) {
	t.ID.Walk(c, "id")
	wire.Str(c, "name", &t.Name)
	wire.Int(c, "set", &t.Set)
	wire.Int(c, "due", &t.Due)
	wire.Str(c, "by", &t.By)
	c.Bool("ended", &t.Ended)
	wire.Int(c, "endAt", &t.EndAt)
}

// Fields implements wire.Fielder.
func (r *Run) Fields(c *wire.Coder) {
	wire.Str(c, "list", &r.List)
	wire.Int(c, "day", &r.Day)
	wire.List(c, "steps", &r.Steps, wire.Framed[Mark])
	c.Bool("closed", &r.Closed)
	wire.Int(c, "endAt", &r.EndAt)
}

// Fields implements wire.Fielder.
func (d *Deviation) Fields(c *wire.Coder) {
	wire.Str(c, "key", &d.Key)
	wire.Uint(c, "code", &d.Code)
	wire.Int(c, "at", &d.At)
	wire.Str(c, "by", &d.By)
	d.Batch.Walk(c, "batch")
	wire.Str(c, "place", &d.Place)
	wire.Str(c, "stage", &d.Stage)
	wire.Str(c, "step", &d.Step)
	wire.Str(c, "list", &d.List)
	wire.Int(c, "day", &d.Day)
	wire.Int(c, "number", &d.Number)
	wire.Int(c, "limit", &d.Limit)
	wire.Str(c, "unit", &d.Unit)
	wire.Str(c, "text", &d.Text)
	wire.List(c, "answers", &d.Answers, wire.Framed[DeviationAnswer])
	c.Bool("closed", &d.Closed)
	wire.Int(c, "endAt", &d.EndAt)
	c.Bool("critical", &d.Critical)
	wire.List(c, "parts", &d.Parts, wire.Framed[PartMark])
	wire.Str(c, "probe", &d.Probe)
}

// Fields implements wire.Fielder.
func (a *DeviationAnswer) Fields(c *wire.Coder) {
	wire.Int(c, "at", &a.At)
	wire.Str(c, "by", &a.By)
	wire.Str(c, "action", &a.Action)
}

// Fields implements wire.Fielder.
func (a *Answered) Fields(c *wire.Coder) {
	wire.Str(c, "subject", &a.Subject)
	wire.Int(c, "n", &a.N)
	wire.Int(c, "at", &a.At)
	wire.Str(c, "by", &a.By)
}
