package kitchen

import (
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Series is what has been measured again and again: the newest values of it, the oldest first. Ended batches leave the
// state after a day; how steady a kitchen works shows only over weeks.
type Series struct {
	Key    string // SeriesKey
	Unit   string // ms, mC, g, mL, 1, or mg
	Values []Measured
}

// Measured is a value of a series.
type Measured struct {
	At    stamp.Milli
	Value int64
}

// First parts of a series' key; the others follow, with slashes between.
const (
	SeriesWait  = "wait"     // procedure, stage: how long batches were at it, ms
	SeriesStep  = "step"     // procedure, stage, step: the number that was seen
	SeriesPlace = "place"    // equipment: its readings, mC
	SeriesUnit  = "unit"     // procedure: the mean weight of a piece when a batch was started, mg
	SeriesIn    = "received" // procedure: what each unit weighed that was put on the scale at receiving, g
)

// How much of a series stays: enough for a chart, and no longer than the process is likely to be the same.
const (
	seriesMost  = 60
	seriesStays = 60 * stamp.Day
)

// SeriesKey joins the parts of a key.
func SeriesKey(parts ...string) string { return strings.Join(parts, "/") }

// SeriesOf returns the series with the key, or nil.
func (s *State) SeriesOf(key string) *Series {
	if i, ok := slices.BinarySearchFunc(s.Series, key, bySeries); ok {
		return &s.Series[i]
	}
	return nil
}

func bySeries(s Series, key string) int { return strings.Compare(s.Key, key) }

// measure keeps a value. Keys are only made of what the kitchen's documents name, so there are not many.
func (f *folding) measure(unit string, value int64, parts ...string) {
	key := SeriesKey(parts...)
	i, ok := slices.BinarySearchFunc(f.s.Series, key, bySeries)
	if !ok {
		f.s.Series = order.Insert(f.s.Series, i, Series{Key: key})
	}
	r := &f.s.Series[i]
	if r.Unit != unit {
		r.Unit, r.Values = unit, nil
	}
	r.Values = append(r.Values, Measured{f.at, value})
	if n := len(r.Values) - seriesMost; n > 0 {
		r.Values = slices.Clone(r.Values[n:])
	}
}

// waited keeps for how long a batch was at a stage where it waits.
func (f *folding) waited(b *Batch, st *procedure.Stage, lasted stamp.Span) {
	if st.Kind == procedure.Wait {
		f.measure("ms", int64(lasted), SeriesWait, b.Procedure, st.Name)
	}
}

// seenAt keeps a number that was seen at a batch's step.
func (f *folding) seenAt(b *Batch, st *procedure.Stage, m *Mark) {
	if step := stepOf(st.Steps, m.Step); step != nil && asksNumber(step.Kind) && m.Unit == step.Unit {
		f.measure(m.Unit, m.Value, SeriesStep, b.Procedure, st.Name, m.Step)
	}
}

// unitWeight keeps what a piece weighs, from the weight and the pieces of a batch that is started.
func (f *folding) unitWeight(body *entry.Start) {
	const most = 1 << 40
	grams, pieces := body.Grams, body.Pieces
	if f.s.Procedure(body.Procedure, body.Version) != nil && grams > 0 && grams < most && pieces > 0 && pieces < most {
		f.measure("mg", (grams*1000+pieces/2)/pieces, SeriesUnit, body.Procedure)
	}
}

func (s *State) pruneSeries(at stamp.Milli) {
	old := at.Add(-seriesStays)
	s.Series = slices.DeleteFunc(s.Series, func(r Series) bool { return r.Values[len(r.Values)-1].At <= old })
	for i := range s.Series {
		r := &s.Series[i]
		for r.Values[0].At <= old {
			r.Values = r.Values[1:]
		}
	}
}

// Fields implements wire.Fielder.
func (r *Series) Fields(c *wire.Coder) {
	wire.Str(c, "key", &r.Key)
	wire.Str(c, "unit", &r.Unit)
	wire.List(c, "values", &r.Values, wire.Framed[Measured])
}

// Fields implements wire.Fielder.
func (m *Measured) Fields(c *wire.Coder) {
	wire.Int(c, "at", &m.At)
	wire.Int(c, "value", &m.Value)
}
