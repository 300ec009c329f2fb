package records

import (
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// Fold makes the record of the kitchen's days from the first to the last. Base is the state before the items, nil when
// they begin with the journal; it is not changed. Items are all entries from there to now, in any order, since what was
// corrected, answered or closed later belongs into the record.
func Fold(base *kitchen.State, items []Item, from, to int32) *Book {
	return FoldOf(base, slices.Clone(items), from, to, Kinds[:])
}

// FoldOf is Fold with rows of these kinds alone, and those of lists; of the others it only counts how many there are. A month
// has some hundred thousand entries: they are put in their order where they lie.
func FoldOf(base *kitchen.State, items []Item, from, to int32, kinds []Kind) *Book {
	f := begin(base, items)
	f.book = &Book{From: from, To: to, Without: map[Kind]int{}}
	for i := range f.s.Documents {
		if d := &f.s.Documents[i]; d.What == kitchen.WhatEquipment {
			f.book.Equipment = append(f.book.Equipment, InForce{d.At, f.s.EquipmentAt(d.At)})
		}
	}
	f.kinds = kinds
	for i := range f.items {
		f.fold(i)
	}
	return f.end()
}

// At returns the kitchen at an instant, by folding the entries whose stamps are not after it: what was corrected or taken
// back later is as it was. Base and items are as for Fold, with base before the instant.
func At(base *kitchen.State, items []Item, at stamp.Milli) *kitchen.State {
	f := begin(base, slices.DeleteFunc(slices.Clone(items), func(i Item) bool { return i.Entry.At.At > at }))
	for i := range f.items {
		f.s.Apply(&f.items[i].Entry, f.amended(i))
	}
	return f.s
}

// folding is a journal on its way into a book.
type folding struct {
	s      *kitchen.State
	items  []Item
	amends map[entry.ID][]int // withdrawals and corrections, by what they amend, in their order
	book   *Book
	kinds  []Kind // of which rows are wanted

	rows    map[entry.ID]int // of the book, by entry
	devs    map[string]int   // of the book, by key
	batches map[entry.ID]Batch
	closing map[runKey]*Signed // who closed a list
	probes  map[string]*probe
	closes  []Close // of all days
}

type runKey struct {
	list string
	day  int32
}

// probe is what happened with a thermometer since its last good check.
type probe struct {
	rows   []int  // readings of the book
	review string // key of the deviation of a failed check since
}

func begin(base *kitchen.State, items []Item) *folding {
	f := &folding{
		s: kitchen.New(), items: items, amends: map[entry.ID][]int{}, rows: map[entry.ID]int{},
		devs: map[string]int{}, batches: map[entry.ID]Batch{}, closing: map[runKey]*Signed{}, probes: map[string]*probe{},
	}
	if base != nil {
		f.s = base.Clone()
	}
	for i := 1; i < len(f.items); i++ {
		if entry.Compare(&f.items[i-1].Entry, &f.items[i].Entry) < 0 {
			continue
		}
		order.Stable(f.items, func(a, b Item) int { return entry.Compare(&a.Entry, &b.Entry) })
		f.items = slices.CompactFunc(f.items, func(a, b Item) bool { return a.Entry.ID == b.Entry.ID })
		break
	}
	for i := range f.items {
		if id, ok := target(&f.items[i].Entry); ok {
			f.amends[id] = append(f.amends[id], i)
		}
	}
	return f
}

// target returns what an entry amends.
func target(e *entry.Entry) (entry.ID, bool) {
	if e.Kind == entry.EntryWithdrawn || e.Kind == entry.EntryCorrected {
		switch b, _ := e.Open(); b := b.(type) {
		case *entry.Withdrawal:
			return b.Entry, true
		case *entry.Correction:
			return b.Entry, true
		}
	}
	return entry.ID{}, false
}

// amended says what later entries make of item i, as package journal does.
func (f *folding) amended(i int) kitchen.Amended {
	var a kitchen.Amended
	for _, j := range f.amends[f.items[i].Entry.ID] {
		switch e := &f.items[j].Entry; {
		case j <= i || f.withdrawn(j) >= 0:
		case e.Kind == entry.EntryWithdrawn:
			a.Withdrawn = true
		default:
			a.By = e
		}
	}
	return a
}

// withdrawn returns the first item that takes item i back, -1 when none does.
func (f *folding) withdrawn(i int) int {
	for _, j := range f.amends[f.items[i].Entry.ID] {
		if j > i && f.items[j].Entry.Kind == entry.EntryWithdrawn && f.withdrawn(j) < 0 {
			return j
		}
	}
	return -1
}

func (f *folding) signed(i int) Signed {
	e := &f.items[i].Entry
	g := Signed{Entry: e.ID, Seq: f.items[i].Seq, At: e.At.At, Crew: e.Crew, Device: e.At.Device}
	if m := f.s.Member(e.Crew); m != nil {
		g.Name, g.Role = m.Name, m.Role
	}
	return g
}

func (f *folding) fold(i int) {
	e := &f.items[i].Entry
	a := f.amended(i)
	f.s.Apply(e, a)
	if e.Kind == entry.DocumentPublished {
		f.book.Equipment = append(f.book.Equipment, InForce{e.At.At, f.s.Equipment()})
	}
	body, err := e.Open()
	if err != nil {
		body = nil
	}
	if c, ok := holds(e, a.By); ok {
		body = c
	}
	f.opened(i, e.ID)
	if a.By != nil {
		f.opened(i, a.By.ID)
	}
	f.know(e.ID, body)
	if !a.Withdrawn {
		f.follow(i, body)
	}
	f.row(i, body, a.Withdrawn)
}

// holds returns the body that a correction puts in an entry's place, if it can.
func holds(e, by *entry.Entry) (entry.Body, bool) {
	if by == nil {
		return nil, false
	}
	b, err := by.Open()
	c, ok := b.(*entry.Correction)
	if err != nil || !ok || c.To != e.Kind {
		return nil, false
	}
	body, err := (&entry.Entry{Kind: c.To, Ver: c.Ver, Raw: c.Body}).Open()
	return body, err == nil
}

// opened takes up the deviations that an entry has just shown.
func (f *folding) opened(i int, id entry.ID) {
	prefix := id.String() + "/"
	at, _ := slices.BinarySearchFunc(f.s.Deviations, prefix, func(d kitchen.Deviation, key string) int {
		return strings.Compare(d.Key, key)
	})
	for ; at < len(f.s.Deviations) && strings.HasPrefix(f.s.Deviations[at].Key, prefix); at++ {
		d := f.s.Deviations[at]
		if _, known := f.devs[d.Key]; known {
			continue
		}
		day := f.s.WallDay(d.At)
		if day < f.book.From || day > f.book.To {
			continue
		}
		f.devs[d.Key] = len(f.book.Deviations)
		f.book.Deviations = append(f.book.Deviations, Deviation{Deviation: d, Day: day, Signed: f.signed(i)})
	}
}

// follow looks at what an entry means for what is on record already.
func (f *folding) follow(i int, body entry.Body) {
	switch b := body.(type) {
	case *entry.Answer:
		f.refresh(i, b.Deviation)
	case *entry.Part:
		f.refresh(i, b.Deviation)
	case *entry.ListClose:
		if key := (runKey{b.List, b.Day}); f.closing[key] == nil {
			g := f.signed(i)
			f.closing[key] = &g
		}
	case *entry.ProbeCheck:
		f.check(i, b)
	case *entry.DayClose:
		f.close(i, b)
		return
	}
	day := f.s.WallDay(f.items[i].Entry.At.At)
	for n := range f.closes {
		if c := &f.closes[n]; c.Day == day {
			c.After++
		}
	}
}

// refresh takes over what was done about a deviation, before the state lets it go.
func (f *folding) refresh(i int, key string) {
	n, ok := f.devs[key]
	d := f.s.Deviation(key)
	if !ok || d == nil {
		return
	}
	was := f.book.Deviations[n].Closed
	f.book.Deviations[n].Deviation = *d
	if d.Closed && !was {
		g := f.signed(i)
		f.book.Deviations[n].Closing = &g
	}
}

func (f *folding) check(i int, b *entry.ProbeCheck) {
	p := f.probe(b.Probe)
	if b.Met() {
		p.rows, p.review = nil, ""
		return
	}
	p.review = f.s.Probe(b.Probe).Review.Key
	f.refresh(i, p.review)
	for _, n := range p.rows {
		f.book.Rows[n].Review = p.review
	}
}

func (f *folding) probe(name string) *probe {
	if f.probes[name] == nil {
		f.probes[name] = new(probe)
	}
	return f.probes[name]
}

func (f *folding) close(i int, b *entry.DayClose) {
	d := f.s.DayClosed(b.Day)
	if d == nil || d.Entry != f.items[i].Entry.ID {
		return
	}
	f.closes = append(f.closes, Close{
		Signed: f.signed(i), Day: b.Day, Entries: b.Entries, Seal: b.Seal, Same: d.Same, Late: d.Late, Carried: b.Carried, Note: b.Note,
	})
}

// know keeps what a batch is, before the state lets it go.
func (f *folding) know(self entry.ID, body entry.Body) {
	ids := kitchen.About(self, body)
	if p, ok := body.(*entry.Portioning); ok {
		for i := range p.In {
			ids = append(ids, p.In[i].Batch)
		}
	}
	for _, id := range ids {
		if b := f.s.Batch(id); b != nil {
			f.batches[id] = f.summary(b)
		}
	}
}

func (f *folding) summary(b *kitchen.Batch) Batch {
	out := Batch{
		ID: b.ID, Code: b.Code, Procedure: b.Procedure, Version: b.Version, Lots: b.Lots, Parents: b.Parents, Children: b.Children,
		MadeAt: b.MadeAt, EndedAt: b.EndedAt, MadeBy: b.MadeBy, InGrams: b.InGrams, InPieces: b.InPieces, Sold: b.Sold,
		Wasted: b.Wasted, Status: b.Status, UseBy: b.UseBy, Vessel: b.Vessel, Number: b.Number,
		Place: b.Place,
	}
	if p := f.s.Procedure(b.Procedure, b.Version); p != nil {
		out.Item = p.Item
	}
	return out
}
