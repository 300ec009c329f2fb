package records

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
)

// row writes an entry down, if it is of the book's days and of the kitchen's work.
func (f *folding) row(i int, body entry.Body, withdrawn bool) {
	r := Row{Signed: f.signed(i), Kind: Other, Body: body}
	r.Day = f.s.WallDay(r.At)
	switch b := body.(type) {
	case *entry.Step:
		r.List, r.ListDay = b.List, b.Day
	case *entry.ListClose:
		r.List, r.ListDay = b.List, b.Day
	}
	in := func(day int32) bool { return day >= f.book.From && day <= f.book.To }
	if !in(r.Day) && !(r.List != "" && in(r.ListDay)) || !f.fill(&r, body) {
		return
	}
	if (r.List == "" || r.Step == "") && !slices.Contains(f.kinds, r.Kind) {
		f.book.Without[r.Kind]++
		return
	}
	f.batch(&r)
	f.amend(i, &r)
	n := len(f.book.Rows)
	if r.Probe != "" && r.Kind != Probe && !withdrawn {
		p := f.probe(r.Probe)
		p.rows = append(p.rows, n)
		r.Review = p.review
	}
	if r.Probe != "" {
		r.GoodAt = f.s.Probe(r.Probe).GoodAt
	}
	f.book.Rows = append(f.book.Rows, r)
	f.rows[r.Entry] = n
}

// fill takes over what a body says. What is about the kitchen's household or its bells is no row.
func (f *folding) fill(r *Row, body entry.Body) bool {
	switch b := body.(type) {
	case *entry.Start:
		r.Batch, r.Stage, r.Place = r.Entry, b.Stage, b.Place
	case *entry.Move:
		r.Batch, r.Stage, r.Place, r.Note = b.Batch, b.To, b.Place, b.Override.Reason
	case *entry.Portioning:
		if len(b.Out) > 0 {
			r.Batch, r.Stage = b.Out[0].Batch, b.Out[0].Stage
		}
		r.Note = b.Override.Reason
	case *entry.Discard:
		r.Batch, r.Note = b.Batch, b.Reason
	case *entry.Count:
		r.Batch, r.Note = b.Batch, b.Reason
	case *entry.Note:
		r.Batch, r.Place, r.Note = b.Batch, b.Place, b.Text
	case *entry.Equipment:
		r.Place, r.Note = b.Place, b.Reason
	case *entry.ListClose: // row has filled it
	case *entry.Step:
		f.step(r, b)
	case *entry.Reading:
		f.reading(r, b)
	case *entry.Sensing:
		f.sensing(r, b)
	case *entry.Delivery:
		f.delivery(r, b)
	case *entry.ProbeCheck:
		low, high := b.Expected-b.Within, b.Expected+b.Within
		r.Kind, r.Probe, r.Note = Probe, b.Probe, b.Note
		r.number(b.Read, "mC", "Cel", procedure.Limit{Min: &low, Max: &high})
		if p := f.s.Equipment().Probe(b.Probe); p != nil {
			r.Title, r.TypedIn = p.Title, p.TypedIn
		}
	case *entry.CookLog:
		got, limit, unit := kitchen.LogLimit(b)
		r.Kind, r.Batch, r.Probe, r.Note = Cook, b.Batch, b.Probe, b.Note
		r.number(got, unit, b.Degrees, procedure.Limit{Min: &limit, Critical: true})
		if unit == "ms" {
			r.TypedIn = "s"
		}
		if !b.Met {
			r.Off = max(r.Off, 1) // however close the shown numbers are
		}
	case *entry.Oil:
		r.Kind, r.Place, r.Note = Oil, b.Place, b.Note
	default:
		return f.log(r, body)
	}
	return true
}

// number takes over a number that was read, and by how much it is beyond its limit.
func (r *Row) number(value int64, unit, typedIn string, l procedure.Limit) {
	r.Value, r.Unit, r.TypedIn, r.Limit = value, unit, typedIn, l
	switch {
	case l.Min != nil && value < *l.Min:
		r.Off = *l.Min - value
	case l.Max != nil && value > *l.Max:
		r.Off = value - *l.Max
	}
}

func (f *folding) step(r *Row, b *entry.Step) {
	r.Kind, r.Batch, r.Stage, r.Step = Step, b.Batch, b.Stage, b.Step
	r.Answer, r.Note, r.SignBy, r.Photo, r.Probe = b.Answer, b.Note, b.SignBy, b.Photo, b.Probe
	steps, raw := f.steps(b)
	var limit procedure.Limit
	typedIn := ""
	for i := range steps {
		if steps[i].Name == b.Step {
			r.Title, limit, typedIn = steps[i].Text, steps[i].Limit, steps[i].TypedIn
		}
	}
	if b.Unit == "" {
		return
	}
	r.Kind = Reading
	if b.Unit == "mC" && b.List == "" && !raw {
		r.Kind = Cook
	}
	r.number(b.Value, b.Unit, typedIn, limit)
}

// steps returns the steps among which a step stands, and whether the product is raw there.
func (f *folding) steps(b *entry.Step) ([]procedure.Step, bool) {
	if b.List != "" {
		if l := f.s.List(b.List); l != nil {
			return l.Steps, false
		}
		return nil, false
	}
	if k, ok := f.batches[b.Batch]; ok {
		if p := f.s.Procedure(k.Procedure, k.Version); p != nil {
			if st, _ := p.Stage(b.Stage); st != nil {
				return st.Steps, st.Raw
			}
		}
	}
	return nil, true
}

func (f *folding) reading(r *Row, b *entry.Reading) {
	r.read(b, f.s.Equipment().Device(b.Place))
}

func (r *Row) read(b *entry.Reading, d *procedure.Device) {
	r.Kind, r.Place, r.Note, r.Probe = Reading, b.Place, b.Note, b.Probe
	if d == nil {
		d = new(procedure.Device)
	}
	r.Title = d.What
	r.number(b.MilliC, "mC", d.TypedIn, d.Reading)
}

// sensing writes down what a sensor or a logger read in one go as one row: the value that is furthest beyond the limit in
// force when it was read, or the warmest. The entry's body has them all.
func (f *folding) sensing(r *Row, b *entry.Sensing) {
	worst := *r
	for i, s := range b.List {
		one := *r
		one.read(&entry.Reading{Place: b.Place, MilliC: s.MilliC, Probe: b.Probe}, f.book.Device(b.Place, b.From.Add(s.After)))
		if i == 0 || one.Off > worst.Off || one.Off == worst.Off && one.Value > worst.Value {
			worst = one
		}
	}
	*r = worst
	r.Kind, r.Place, r.Note = Sensor, b.Place, b.Source
}

func (f *folding) delivery(r *Row, b *entry.Delivery) {
	r.Kind, r.Procedure, r.Place, r.Note, r.Probe = Receiving, b.Procedure, b.Place, b.Note, b.Probe
	if b.Lot != "" {
		r.Lots = []string{b.Lot}
	}
	p := f.s.Procedure(b.Procedure, 0)
	if p == nil {
		p = new(procedure.Procedure)
	}
	r.Item = p.Item
	rec := p.Receiving
	if rec == nil {
		rec = new(procedure.Receiving)
	}
	if b.Measured {
		r.number(b.MilliC, "mC", rec.TypedIn, rec.Warmth)
	}
}

// batch says of which batch the row is.
func (f *folding) batch(r *Row) {
	if b, ok := f.batches[r.Batch]; ok && !r.Batch.IsZero() {
		r.Code, r.Procedure, r.Item, r.Lots, r.Vessel, r.Number = b.Code, b.Procedure, b.Item, b.Lots, b.Vessel, b.Number
		if r.Place == "" {
			r.Place = b.Place
		}
	}
}

// amend writes down what was later said of the entry: every correction with what held before it, and who took it back.
func (f *folding) amend(i int, r *Row) {
	e := &f.items[i].Entry
	was, _ := e.Open()
	for _, j := range f.amends[e.ID] {
		by := &f.items[j].Entry
		if j <= i || by.Kind != entry.EntryCorrected {
			continue
		}
		c := Correction{Signed: f.signed(j), Was: was}
		if body, _ := by.Open(); body != nil {
			c.Reason = body.(*entry.Correction).Reason
		}
		if w := f.withdrawn(j); w >= 0 {
			g := f.signed(w)
			c.Withdrawn = &g
		} else if body, ok := holds(e, by); ok {
			was = body
		}
		r.Corrections = append(r.Corrections, c)
	}
	if w := f.withdrawn(i); w >= 0 {
		g := f.signed(w)
		r.Withdrawn = &g
	}
}

// about fills what a deviation is about.
func (f *folding) about(d *Deviation) {
	if b, ok := f.batches[d.Batch]; ok && !d.Batch.IsZero() {
		d.BatchCode, d.Lots, d.Item = b.Code, b.Lots, b.Item
	} else if d.Deviation.Code == kitchen.DevDelivery || d.Deviation.Code == kitchen.DevUnitWeight {
		d.Lots = []string{d.Text}
	}
}

// log writes down what is about frost, or about a log of temperature and time: as the log stood after the entry.
func (f *folding) log(r *Row, body entry.Body) bool {
	r.Kind = Log
	id := r.Entry
	read := func(milliC int64, probe string) {
		typedIn := ""
		if p := f.s.Equipment().Probe(probe); p != nil {
			typedIn = p.TypedIn
		}
		r.Probe = probe
		r.number(milliC, "mC", typedIn, procedure.Limit{})
	}
	switch b := body.(type) {
	case *entry.Frost:
		r.Batch, r.Place, r.Answer = b.Batch, b.Place, b.Way
		return true
	case *entry.Log:
		if r.Batch, r.What, r.Food = b.Batch, b.What, b.Name; b.Measured {
			read(b.MilliC, b.Probe)
		}
	case *entry.LogReading:
		id, r.Batch = b.Log, b.Batch
		read(b.MilliC, b.Probe)
	case *entry.LogEnd:
		id, r.Batch, r.Note, r.Answer = b.Log, b.Batch, b.Note, b.Outcome
	default:
		return false
	}
	if l := f.s.Log(id); l != nil {
		j := l.Judge(r.At)
		r.What, r.Food, r.Until, r.Ended, r.Missed = l.What, l.Name, j.Until, l.Ended, len(l.Missed) > 0
		for i := range j.Findings {
			r.Source = j.Findings[i].Source
		}
	}
	return true
}
