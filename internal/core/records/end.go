package records

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// end brings the book to what holds after the last entry.
func (f *folding) end() *Book {
	b := f.book
	b.Kitchen, b.Zone, b.Country, b.Demo, b.State = f.s.Name, f.s.Zone, f.s.Country, f.s.Demo, f.s
	b.Deviations = slices.DeleteFunc(b.Deviations, func(d Deviation) bool { // readings that came later show that it was none
		return !d.Closed && f.s.Deviation(d.Key) == nil
	})
	for i := range b.Deviations {
		d := &b.Deviations[i]
		if now := f.s.Deviation(d.Key); now != nil {
			d.Deviation = *now
		}
		f.about(d)
	}
	for i := range f.s.Batches {
		if id := f.s.Batches[i].ID; !id.IsZero() {
			f.batches[id] = f.summary(&f.s.Batches[i])
		}
	}
	for _, c := range f.closes {
		if c.Day >= b.From && c.Day <= b.To {
			b.Closes = append(b.Closes, c)
		}
	}
	f.kin()
	f.late()
	f.lists()
	return b
}

// kin lists the batches that the rows and deviations are about, and all that they came out of or went into.
func (f *folding) kin() {
	var todo []entry.ID
	seen := map[entry.ID]bool{}
	see := func(ids ...entry.ID) {
		for _, id := range ids {
			if _, ok := f.batches[id]; ok && !seen[id] {
				seen[id] = true
				todo = append(todo, id)
			}
		}
	}
	for i := range f.book.Rows {
		see(f.book.Rows[i].Batch)
	}
	for i := range f.book.Deviations {
		see(f.book.Deviations[i].Batch)
	}
	for len(todo) > 0 {
		b := f.batches[todo[len(todo)-1]]
		todo = todo[:len(todo)-1]
		f.book.Batches = append(f.book.Batches, b)
		see(b.Parents...)
		see(b.Children...)
	}
	order.Stable(f.book.Batches, func(a, b Batch) int { return a.ID.Compare(b.ID) })
}

// late marks the rows that came in after their day had been closed: by the kitchen's numbers where both have one, else by
// their stamps.
func (f *folding) late() {
	for i := range f.book.Rows {
		r := &f.book.Rows[i]
		for j := range f.closes {
			c := &f.closes[j]
			if c.Day != r.Day {
				continue
			}
			if after := r.At > c.At; r.Seq > c.Seq && c.Seq != 0 || (r.Seq == 0 || c.Seq == 0) && after {
				r.Late = true
			}
			break // the first close is the one that counts
		}
	}
}

// lists puts together what was done of each list on each day, and what was not.
func (f *folding) lists() {
	b := f.book
	for day := b.From; day <= b.To; day++ {
		start, end := f.s.DayStart(day), f.s.DayStart(day+1)
		for _, l := range f.s.Lists() {
			scheduled := kitchen.Opens(l, day) && f.published(l.Name) < end && start <= f.s.Last.At
			if x := f.list(l, day); scheduled || len(x.Rows) > 0 || x.Closed {
				if scheduled {
					x.Due = f.s.WallAt(day, l.Due)
				}
				b.Lists = append(b.Lists, x)
			}
		}
	}
}

// published returns when the oldest version that is known of a list was published.
func (f *folding) published(name string) stamp.Milli {
	for i := range f.s.Documents {
		if d := &f.s.Documents[i]; d.What == kitchen.WhatList && d.Name == name {
			return d.At
		}
	}
	return 0
}

func (f *folding) list(l *procedure.List, day int32) List {
	x := List{List: l.Name, Day: day, Title: l.Title, Closing: f.closing[runKey{l.Name, day}]}
	x.Closed = x.Closing != nil
	done := map[string]bool{}
	for i := range f.book.Rows {
		if r := &f.book.Rows[i]; r.List == l.Name && r.ListDay == day && r.Step != "" && r.Withdrawn == nil {
			x.Rows = append(x.Rows, i)
			done[r.Step] = true
		}
	}
	for i := range l.Steps {
		if s := &l.Steps[i]; !s.Optional && !done[s.Name] {
			x.Missing = append(x.Missing, s.Name)
		}
	}
	x.Complete = len(x.Missing) == 0
	return x
}

// Query says what is looked for. What is zero asks for everything.
type Query struct {
	From, To int32 // days; To 0: to the last
	Batch    entry.ID
	Code     string // of a batch
	Lot      string
	Crew     string
	Limit    string // Row.LimitKey
	Critical bool   // only what a critical limit asks for
	Show     []Kind // kinds of rows
}

// Find returns what of the book answers a question. Of a batch it finds what is about the batch itself, what it came out
// of and what came out of it.
func (b *Book) Find(q Query) *Book {
	out := *b
	if q.From != 0 {
		out.From = max(b.From, q.From)
	}
	if q.To != 0 {
		out.To = min(b.To, q.To)
	}
	in := func(day int32) bool { return day >= out.From && day <= out.To }
	kin := b.family(q)
	ours := func(batch entry.ID, lots []string) bool {
		return (kin == nil || kin[batch]) && (q.Lot == "" || slices.Contains(lots, q.Lot))
	}
	out.Rows, out.Deviations, out.Lists, out.Closes, out.Batches = nil, nil, nil, nil, nil
	kept := map[int]int{}
	for i := range b.Rows {
		r := &b.Rows[i]
		if !in(r.Day) && !(r.List != "" && in(r.ListDay)) || !ours(r.Batch, r.Lots) || q.Crew != "" && r.Crew != q.Crew && r.SignBy != q.Crew ||
			q.Limit != "" && r.LimitKey() != q.Limit || q.Critical && !r.Limit.Critical ||
			len(q.Show) > 0 && !slices.Contains(q.Show, r.Kind) {
			continue
		}
		kept[i] = len(out.Rows)
		out.Rows = append(out.Rows, *r)
	}
	for i := range b.Deviations {
		d := &b.Deviations[i]
		if in(d.Day) && ours(d.Batch, d.Lots) && (q.Crew == "" || d.by(q.Crew)) && (!q.Critical || d.Critical) &&
			(q.Limit == "" || b.shows(d.Signed.Entry, q.Limit)) {
			out.Deviations = append(out.Deviations, *d)
		}
	}
	out.rest(b, in, kept, kin == nil && q.Lot == "" && q.Crew == "" && q.Limit == "")
	for i := range b.Batches {
		if x := &b.Batches[i]; ours(x.ID, x.Lots) {
			out.Batches = append(out.Batches, *x)
		}
	}
	return &out
}

// rest takes over lists and closes of the days asked for: all of them, or those of which something was found.
func (b *Book) rest(all *Book, in func(int32) bool, kept map[int]int, everything bool) {
	for i := range all.Lists {
		x := all.Lists[i]
		var rows []int
		for _, n := range x.Rows {
			if m, ok := kept[n]; ok {
				rows = append(rows, m)
			}
		}
		x.Rows = rows
		if in(x.Day) && (everything || len(rows) > 0) {
			b.Lists = append(b.Lists, x)
		}
	}
	for i := range all.Closes {
		if in(all.Closes[i].Day) {
			b.Closes = append(b.Closes, all.Closes[i])
		}
	}
}

// family returns the batches that a query is about with all their kin, nil when it names none.
func (b *Book) family(q Query) map[entry.ID]bool {
	if q.Batch.IsZero() && q.Code == "" {
		return nil
	}
	at := map[entry.ID]*Batch{}
	for i := range b.Batches {
		at[b.Batches[i].ID] = &b.Batches[i]
	}
	kin := map[entry.ID]bool{}
	for i := range b.Batches {
		if x := &b.Batches[i]; x.ID == q.Batch || q.Code != "" && x.Code == q.Code {
			walk(at, kin, x.ID, func(x *Batch) []entry.ID { return x.Parents })
			delete(kin, x.ID)
			walk(at, kin, x.ID, func(x *Batch) []entry.ID { return x.Children })
		}
	}
	return kin
}

func walk(at map[entry.ID]*Batch, kin map[entry.ID]bool, id entry.ID, next func(*Batch) []entry.ID) {
	if kin[id] {
		return
	}
	kin[id] = true
	if b := at[id]; b != nil {
		for _, id := range next(b) {
			walk(at, kin, id, next)
		}
	}
}

// by tells whether somebody showed the deviation or did something about it.
func (d *Deviation) by(crew string) bool {
	return d.By == crew || slices.ContainsFunc(d.Parts, func(p kitchen.PartMark) bool { return p.By == crew }) ||
		slices.ContainsFunc(d.Answers, func(a kitchen.DeviationAnswer) bool { return a.By == crew })
}

// shows tells whether the entry is a row that is held against the limit.
func (b *Book) shows(id entry.ID, limit string) bool {
	return slices.ContainsFunc(b.Rows, func(r Row) bool { return r.Entry == id && r.LimitKey() == limit })
}
