package kitchen

import (
	"cmp"
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
)

// probeCheck holds a probe against ice, boiling water or another thermometer.
func (d *deciding) probeCheck() *Refusal {
	p := d.s.Equipment().Probe(d.c.Probe)
	if p == nil {
		return &Refusal{Code: RefNoProbe, Name: d.c.Probe}
	}
	if d.c.Unit != "mC" {
		return &Refusal{Code: RefNeedNumber, Name: p.Name, Unit: "mC"}
	}
	b := entry.ProbeCheck{Probe: p.Name, Method: d.c.Answer, Read: d.c.Value, Within: within(p), Note: clean(d.c.Text)}
	switch d.c.Answer {
	case entry.IcePoint:
	case entry.Boiling:
		b.Altitude = d.s.Equipment().Altitude
		b.Expected = physics.ProbePoint(b.Altitude)
	case entry.Reference:
		b.Expected, b.Reference = d.c.Number, clean(d.c.Name)
		if b.Reference == "" {
			return &Refusal{Code: RefNeedText, Name: p.Name}
		}
	default:
		return &Refusal{Code: RefNeedAnswer, Name: p.Name}
	}
	if r := cmp.Or(likely(b.Read, "mC"), likely(b.Expected, "mC")); r != nil {
		return r
	}
	return d.add(&b)
}

// part writes down one part of what is done about a deviation. A lead hands one on to the next day, and verifies.
func (d *deciding) part() *Refusal {
	off := d.s.Deviation(d.c.Deviation)
	carried := d.c.Answer == PartCarried
	switch {
	case off == nil:
		return &Refusal{Code: RefNoDeviation, Name: d.c.Deviation}
	case off.Closed:
		return &Refusal{Code: RefClosed, Name: off.Key}
	case !carried && !slices.Contains(Parts[:], d.c.Answer):
		return &Refusal{Code: RefNeedAnswer, Name: off.Key}
	case blank(d.c.Text):
		return &Refusal{Code: RefNeedText, Name: off.Key}
	}
	if carried || d.c.Answer == entry.PartVerification {
		if r := d.lead(); r != nil {
			return r
		}
	}
	if r := cmp.Or(likely(d.c.Grams, "g"), likely(d.c.Pieces, "1")); r != nil {
		return r
	}
	return d.add(&entry.Part{
		Deviation: off.Key, Part: d.c.Answer, Text: clean(d.c.Text), Grams: d.c.Grams, Pieces: d.c.Pieces,
	})
}

// closeDays is for how many days back a day may be closed.
const closeDays = 7

// dayClose signs a day's record: a lead, when nothing of it is open that was not handed on.
func (d *deciding) dayClose() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	today := d.s.WallDay(d.now)
	day := cmp.Or(d.c.Day, today)
	if off := int64(today) - int64(day); off < 0 || off > closeDays {
		return &Refusal{Code: RefUnlikely, Number: int64(day), Limit: int64(today), Unit: "day"}
	}
	if c := d.s.DayClosed(day); c != nil && c.Same && c.After == 0 {
		return &Refusal{Code: RefClosed}
	}
	if open := d.s.OpenOn(day, d.now); len(open) > 0 {
		return &Refusal{Code: RefDayOpen, Name: open[0], Number: int64(len(open)), Unit: "1"}
	}
	return d.add(&entry.DayClose{
		Day: day, Entries: d.s.Folded, Seal: d.s.Seal, Carried: d.s.carried(day), Note: clean(d.c.Text),
	})
}

// setting sets a number of the kitchen.
func (d *deciding) setting() *Refusal {
	k, n := keepOf(d.c.Name), cmp.Or(d.c.Number, d.c.Count)
	if strings.HasPrefix(d.c.Name, entry.SetStock) { // what is there is no decision: whoever counts tells it
		return d.number(n, 0, stockMost)
	}
	if r := d.lead(); r != nil {
		return r
	}
	if d.c.Name == entry.SetGuestPieces {
		return d.number(n, 1, guestPiecesMost)
	}
	if d.c.Name == entry.SetCoolRule {
		k = &Keep{Name: d.c.Name, Days: 1}
		if most := int64(len(safety.CoolRules())); n > most {
			return &Refusal{Code: RefUnlikely, Name: d.c.Name, Number: n, Limit: most, Unit: "1"}
		}
	}
	switch {
	case k == nil:
		return &Refusal{Code: RefBadCommand, Name: d.c.Name}
	case n < k.Days:
		return &Refusal{Code: RefKeepLess, Name: k.Source, Number: n, Limit: k.Days, Unit: "day"}
	case n > keepMost:
		return &Refusal{Code: RefUnlikely, Name: k.Name, Number: n, Limit: keepMost, Unit: "day"}
	case n == d.s.Setting(k.Name):
		return nil
	}
	return d.add(&entry.Setting{Name: k.Name, Number: n})
}

// number takes a number of the kitchen's within what anybody can mean.
func (d *deciding) number(n, least, most int64) *Refusal {
	if n < least || n > most || len(d.c.Name) > 80 {
		return &Refusal{Code: RefUnlikely, Name: d.c.Name, Number: n, Limit: most, Unit: "1"}
	}
	return d.add(&entry.Setting{Name: d.c.Name, Number: n})
}

const (
	keepMost        = 36_525      // a hundred years of days
	guestPiecesMost = 200         // of ten guests
	stockMost       = 100_000_000 // g or mL of a good
)

// deliver takes product in, or sends it back: what came either way stands in the record.
func (d *deciding) deliver() *Refusal {
	c := d.c
	b := entry.Delivery{
		Supplier: clean(c.Name), Procedure: c.Procedure, Grams: c.Grams, Pieces: c.Pieces, Probe: clean(c.Probe),
		Weights: c.Weights, UseBy: c.Day, Place: c.Place, Refused: c.Closes, Note: clean(c.Text),
	}
	if len(c.Lots) == 1 {
		b.Lot = clean(c.Lots[0])
	}
	switch p := d.s.Procedure(c.Procedure, 0); {
	case p == nil:
		return &Refusal{Code: RefNoProcedure, Name: c.Procedure}
	case b.Supplier == "" || b.Lot == "":
		return &Refusal{Code: RefNeedText}
	case b.Grams == 0 && b.Pieces == 0:
		return &Refusal{Code: RefNeedAmount}
	case c.Unit == "" && p.Receiving != nil && (p.Receiving.Warmth.Min != nil || p.Receiving.Warmth.Max != nil):
		return &Refusal{Code: RefNeedNumber, Unit: "mC"}
	case b.Refused && b.Note == "":
		return &Refusal{Code: RefNeedReason}
	}
	if r := d.placeKnown(); r != nil {
		return r
	}
	r := cmp.Or(likely(b.Grams, "g"), likely(b.Pieces, "1"))
	for _, w := range b.Weights {
		r = cmp.Or(r, likely(w, "g"))
	}
	if c.Unit == "mC" {
		b.Measured, b.MilliC = true, c.Value
		b.Probe = clean(cmp.Or(c.Probe, d.s.ProbeInHand(d.who.Crew)))
		r = cmp.Or(r, likely(b.MilliC, "mC"))
	}
	if r != nil {
		return r
	}
	b.Delivery = d.newID()
	d.drafts = append(d.drafts, Draft{ID: b.Delivery, Body: &b})
	return nil
}

// oilDeeds lists what is done with oil.
var oilDeeds = [...]string{entry.OilFiltered, entry.OilToppedUp, entry.OilChanged, entry.OilDiscarded, entry.OilMeasured}

// polarMost is all of it, in thousandths of a percent.
const polarMost = 100_000

func (d *deciding) oil() *Refusal {
	p := d.s.Equipment().Device(d.c.Place)
	switch {
	case p == nil:
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	case p.Kind != fryer:
		return &Refusal{Code: RefNotEquipment, Place: p.Name}
	case !slices.Contains(oilDeeds[:], d.c.Answer):
		return &Refusal{Code: RefNeedAnswer, Place: p.Name}
	}
	b := entry.Oil{Place: p.Name, Deed: d.c.Answer, Note: clean(d.c.Text)}
	if d.c.Answer == entry.OilMeasured {
		if d.c.Unit != "m%" {
			return &Refusal{Code: RefNeedNumber, Place: p.Name, Unit: "m%"}
		}
		if b.Polar = d.c.Value; b.Polar <= 0 || b.Polar > polarMost {
			return &Refusal{Code: RefUnlikely, Place: p.Name, Number: b.Polar, Limit: polarMost, Unit: "m%"}
		}
		return d.add(&b)
	}
	if in := d.s.In(p.Name); len(in) > 0 { // nobody's hands go into oil with a load in it
		return &Refusal{Code: RefPlaceBusy, Place: p.Name, Batch: in[0].ID}
	}
	if r := d.unlessLeft(d.s.mayOil(d.who.Crew, p.Name, d.c.Answer, d.now)); r != nil {
		return r
	}
	if b.Note == "" {
		b.Note = d.leave
	}
	b.Volume = d.c.Value
	switch {
	case b.Volume < 0 || b.Volume > startMost:
		return likely(b.Volume, "mL")
	case b.Volume == 0 && d.c.Answer == entry.OilToppedUp:
		return &Refusal{Code: RefNeedNumber, Place: p.Name, Unit: "mL"}
	}
	return d.add(&b)
}

// fryer is the kind of equipment that holds hot oil.
const fryer = "fryer"

// booked returns a copy of the body of an entry of the books, nil when none has the id.
func (s *State) booked(id entry.ID) entry.Body {
	if i, ok := slices.BinarySearchFunc(s.Deliveries, id, byDelivery); ok {
		b := s.Deliveries[i].Delivery
		b.Weights = slices.Clone(b.Weights)
		return &b
	}
	for i := range s.Places {
		for _, m := range s.Places[i].Oil {
			if m.ID == id {
				return &m.Oil
			}
		}
	}
	for i := range s.Logs {
		l := &s.Logs[i]
		begun := l.Log
		if l.ID == id && l.Measured { // a log without was begun by taking its batch out of the frost
			return &begun
		}
		for _, r := range l.Reads {
			switch {
			case r.ID != id:
			case contains(l.Also, id):
				begun.Log, begun.Measured, begun.MilliC, begun.Probe = id, true, r.MilliC, r.Probe
				return &begun
			default:
				return &r.LogReading
			}
		}
	}
	return nil
}

// patchBook puts what the command says into the body of an entry of the books.
func (d *deciding) patchBook(body entry.Body) *Refusal {
	c := d.c
	switch b := body.(type) {
	case *entry.Delivery:
		set(&b.Grams, c.Grams)
		set(&b.Pieces, c.Pieces)
		setWord(&b.Supplier, clean(c.Name))
		if len(c.Lots) == 1 {
			setWord(&b.Lot, clean(c.Lots[0]))
		}
		if len(c.Weights) > 0 {
			b.Weights = c.Weights
		}
		if c.Unit == "mC" {
			b.MilliC, b.Measured = c.Value, true
		}
		return likely(b.MilliC, "mC")
	case *entry.Log:
		b.MilliC = c.Value
		return likely(b.MilliC, "mC")
	case *entry.LogReading:
		b.MilliC = c.Value
		return likely(b.MilliC, "mC")
	case *entry.CookLog:
		return d.patchLog(b)
	case *entry.Oil:
		if b.Deed != entry.OilMeasured {
			set(&b.Volume, c.Value)
			return likely(b.Volume, "mL")
		}
		if c.Unit != "m%" || c.Value <= 0 || c.Value > polarMost {
			return &Refusal{Code: RefUnlikely, Place: b.Place, Number: c.Value, Limit: polarMost, Unit: "m%"}
		}
		b.Polar = c.Value
		return nil
	}
	return &Refusal{Code: RefNotUndoable}
}

// within is by how much a probe may be off, mC.
func within(p *procedure.Probe) int64 { return physics.ProbeLimit(p.TypedIn == "[degF]") }
