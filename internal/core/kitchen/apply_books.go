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

// seal takes an entry into the seal over all entries before it: whatever of them is changed, left out or put in changes
// it. It finds mistakes and what came late; against malice stands the chain of hashes that the kitchen's server keeps.
func (s *State) seal(e *entry.Entry) {
	const rest = 128 // what an entry takes beside its body, mostly
	s.Seal = wire.Digest(entry.AppendRecord(append(make([]byte, 0, len(s.Seal)+len(e.Raw)+rest), s.Seal[:]...), e))
}

// afterClose counts the entry if it is about a day that a lead closed before it was made.
func (s *State) afterClose(e *entry.Entry) {
	if len(s.Days) > 0 {
		if d := s.DayClosed(s.WallDay(e.At.At)); d != nil {
			d.After++
		}
	}
}

// used notes that a probe was read.
func (f *folding) used(name string) {
	if name == "" {
		return
	}
	p := f.s.probe(name)
	p.Reads, p.UsedAt, p.UsedBy = p.Reads+1, f.at, f.e.Crew
}

func (s *State) probe(name string) *Probe {
	i, ok := slices.BinarySearchFunc(s.Probes, name, byProbe)
	if !ok {
		s.Probes = order.Insert(s.Probes, i, Probe{Name: name})
	}
	return &s.Probes[i]
}

// probeCheck keeps a check. One that is not met puts under review what was read with the probe since the last one that
// was, and what is read with it until the next one that is.
func (f *folding) probeCheck(body *entry.ProbeCheck) {
	if body.Probe == "" {
		return
	}
	p := f.s.probe(body.Probe)
	p.Check, p.At, p.By = *body, f.at, f.e.Crew
	open := p.Review.Key != "" && p.Review.To == 0
	if body.Met() {
		if open {
			p.Review.To = f.at
		}
		p.GoodAt, p.Reads = f.at, 0
		return
	}
	if open { // it failed before, and has not been good since: more readings are in doubt
		if d := f.s.Deviation(p.Review.Key); d != nil && !d.Closed {
			d.Number, d.Critical = p.Reads, p.Reads > 0
			return
		}
	}
	key := f.deviate(Deviation{
		Code: DevProbeFailed, Number: p.Reads, Unit: "1", Text: body.Probe, Probe: body.Probe, Critical: p.Reads > 0,
	})
	p.Review = Review{Key: key, From: p.GoodAt}
}

func (f *folding) part(body *entry.Part) {
	d := f.s.Deviation(body.Deviation)
	if d == nil {
		return
	}
	d.Parts = append(d.Parts, PartMark{
		Part: body.Part, Text: body.Text, Grams: amount(body.Grams), Pieces: amount(body.Pieces),
		Entry: f.e.ID, At: f.at, By: f.e.Crew,
	})
}

// dayClose keeps a lead's signature under a day, and whether what was signed is what is there now.
func (f *folding) dayClose(body *entry.DayClose) {
	i, ok := slices.BinarySearchFunc(f.s.Days, body.Day, byDay)
	if !ok {
		f.s.Days = order.Insert(f.s.Days, i, Day{})
	}
	before := f.s.Folded - 1
	f.s.Days[i] = Day{
		Day: body.Day, Entry: f.e.ID, At: f.at, By: f.e.Crew, Entries: body.Entries, Seal: body.Seal,
		Same: body.Seal == f.seal && body.Entries == before, Carried: slices.Clone(body.Carried),
	}
	if before > body.Entries {
		f.s.Days[i].Late = int64(before - body.Entries)
	}
}

func (f *folding) setting(body *entry.Setting) {
	if strings.HasPrefix(body.Name, entry.SetStock) && len(body.Name) <= 80 {
		f.s.keepRow(body.Name, f.s.WallDay(f.at)+StockDays, string(wire.Append(nil, &StockMark{body.Number, f.at, f.e.Crew})))
		return
	}
	i, ok := slices.BinarySearchFunc(f.s.Settings, body.Name, bySetting)
	if !ok {
		f.s.Settings = order.Insert(f.s.Settings, i, entry.Setting{})
	}
	f.s.Settings[i] = *body
	if k := keepOf(body.Name); k != nil { // nothing shortens what the law asks for
		f.s.Settings[i].Number = max(body.Number, k.Days)
	}
}

// delivery keeps what came in, and looks at its temperature and the weights of its units.
func (f *folding) delivery(body *entry.Delivery) {
	i, ok := slices.BinarySearchFunc(f.s.Deliveries, f.e.ID, byDelivery)
	if ok {
		return
	}
	f.s.Deliveries = order.Insert(f.s.Deliveries, i, Delivery{Delivery: *body, ID: f.e.ID, At: f.at, By: f.e.Crew})
	f.used(body.Probe)
	p := f.s.Procedure(body.Procedure, 0)
	if p == nil {
		return
	}
	for _, w := range body.Weights {
		if w = amount(w); w > 0 {
			f.measure("g", w, SeriesIn, body.Procedure)
		}
	}
	if p.Receiving == nil {
		return
	}
	d := Deviation{Place: body.Place, Text: body.Lot, Probe: body.Probe}
	if limit, off := offLimit(&p.Receiving.Warmth, body.MilliC); off && body.Measured {
		d.Code, d.Number, d.Limit, d.Unit, d.Critical = DevDelivery, body.MilliC, limit, "mC", p.Receiving.Warmth.Critical
		f.deviate(d)
	}
	if weight, limit, off := offUnit(&p.Receiving.Unit, body.Weights); off {
		d.Code, d.Number, d.Limit, d.Unit, d.Critical = DevUnitWeight, weight, limit, "g", p.Receiving.Unit.Critical
		f.deviate(d)
	}
}

// offUnit returns the weight that is furthest beyond the limit, the first of them.
func offUnit(l *procedure.Limit, weights []int64) (weight, limit int64, off bool) {
	most := int64(0)
	for _, w := range weights {
		w = amount(w)
		end, is := offLimit(l, w)
		if by := max(w-end, end-w); is && by > most {
			most, weight, limit, off = by, w, end, true
		}
	}
	return weight, limit, off
}

// booksStay is how long deliveries and closed days stay in the state: as long as raw poultry may be in the house.
const booksStay = 8 * stamp.Day

func (s *State) pruneBooks(at stamp.Milli) {
	old := at.Add(-booksStay)
	s.Deliveries = slices.DeleteFunc(s.Deliveries, func(d Delivery) bool { return d.At <= old && !s.inHouse(d.Lot) })
	s.Days = slices.DeleteFunc(s.Days, func(d Day) bool { return d.At <= old })
}

// inHouse tells whether something open came out of a lot.
func (s *State) inHouse(lot string) bool {
	return slices.ContainsFunc(s.Batches, func(b Batch) bool { return b.Status == Open && slices.Contains(b.Lots, lot) })
}
