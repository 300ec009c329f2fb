package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

func wireBytes(body entry.Body) []byte { return wire.Append(nil, body) }

// heritage is what new batches have from those that they come out of.
type heritage struct {
	procedure string
	version   uint32
	stage     string // that the first of them left
	lots      []string
	parents   []entry.ID
	useBy     stamp.Milli
	markedAt  string
	doubt     string
	kept      bool
	logs      []entry.ID  // that they are under
	stays     bool        // they stay at their stage, and its time runs on
	since     stamp.Milli // if so: when the first of them began it
}

// portion takes amounts out of batches and makes new batches of them.
func (f *folding) portion(body *entry.Portioning) {
	if f.saidTwice(body) {
		return
	}
	from := heritage{stays: staysAt(body)}
	for i := range body.Out {
		f.take(body, i, &from)
	}
	if len(from.parents) > 0 {
		first := f.s.Batch(from.parents[0])
		for _, l := range body.Lost {
			f.lose(first, l, "")
		}
	} else if len(body.Out) == 0 {
		f.deviate(f.off(DevUnreadable, entry.ID{}, ""))
	}
	for i := range body.In {
		f.makeOne(&body.In[i], &from, body)
	}
}

// staysAt tells whether a portioning only changes vessels within one stage.
func staysAt(body *entry.Portioning) bool {
	if len(body.Out) == 0 {
		return false
	}
	stage := body.Out[0].Stage
	return !slices.ContainsFunc(body.Out, func(s entry.Share) bool { return s.Stage != stage }) &&
		!slices.ContainsFunc(body.In, func(p entry.Portion) bool { return p.Stage != stage })
}

// saidTwice tells whether somebody else said the same portioning at about the same time, so that nothing is made twice.
func (f *folding) saidTwice(body *entry.Portioning) bool {
	if len(body.Out) == 0 {
		return false
	}
	b := f.s.Batch(body.Out[0].Batch)
	if b == nil || b.Status == Open {
		return false
	}
	for i := len(b.Events) - 1; i >= 0; i-- {
		v := &b.Events[i]
		if v.Kind != entry.BatchPortioned || v.Void || v.Withdrawn || f.at.Since(v.At) > alike || len(v.Body) == 0 {
			continue
		}
		var other entry.Portioning
		if wire.Read(v.Body, &other) == nil && sameShape(&other, body) {
			f.tell(b, body, true)
			return true
		}
	}
	return false
}

// sameShape tells whether two portionings take the same out and put as much into as many vessels.
func sameShape(a, b *entry.Portioning) bool {
	return slices.Equal(a.Out, b.Out) && slices.EqualFunc(a.In, b.In, func(p, q entry.Portion) bool {
		return p.Stage == q.Stage && p.Vessel == q.Vessel && p.Place == q.Place && p.Grams == q.Grams && p.Pieces == q.Pieces
	})
}

// take takes one share out of its batch.
func (f *folding) take(body *entry.Portioning, i int, from *heritage) {
	share := &body.Out[i]
	b := f.known(share.Batch)
	if b == nil {
		return
	}
	if b.Status == Open {
		f.unfrozen(b)
	}
	from.add(b)
	for j := range f.s.Logs {
		if l := &f.s.Logs[j]; slices.Contains(l.Batches, b.ID) && !contains(from.logs, l.ID) {
			from.logs = append(from.logs, l.ID)
		}
	}
	v := Event{Place: b.Place, Void: b.Status != Open}
	describe(&v, body, b.ID)
	if i == 0 {
		v.Body = f.keep(body)
	}
	f.event(b, v)
	grams, pieces := amount(share.Grams), amount(share.Pieces)
	switch b.Status {
	case Discarded:
		from.doubt = f.deviate(f.off(DevAfterDiscard, b.ID, b.Stage))
	case Used:
		n, unit := either(grams, pieces)
		f.deviate(Deviation{Code: DevTwiceMoved, Batch: b.ID, Stage: share.Stage, Number: n, Unit: unit})
	case Finished:
		f.alive(b)
	default:
		if share.Stage != b.Stage {
			f.deviate(Deviation{Code: DevTwiceMoved, Batch: b.ID, Stage: share.Stage})
		} else if !from.stays {
			f.leaving(b, body.Override)
			if from.doubt == "" {
				from.doubt = b.Doubt
			}
		} else if from.since == 0 || b.Since < from.since {
			from.since = b.Since
		}
		if f.draw(b, grams, pieces, share.All); b.Status == Used && !from.stays {
			f.finished(b.At(b.Stage))
		}
	}
}

// draw takes amounts out of an open batch and closes it when nothing stays behind.
func (f *folding) draw(b *Batch, grams, pieces int64, all bool) {
	f.enough(b, grams, pieces)
	b.Grams, b.Pieces = max(b.Grams-grams, 0), max(b.Pieces-pieces, 0)
	gone := b.InPieces > 0 && b.Pieces == 0 || b.InPieces == 0 && b.InGrams > 0 && b.Grams == 0
	if all || gone {
		f.lose(b, entry.Loss{Why: "yield", Grams: b.Grams, Pieces: b.Pieces}, "")
		b.Grams, b.Pieces = 0, 0
		f.end(b, Used)
	}
}

func (h *heritage) add(b *Batch) {
	if len(h.parents) == 0 {
		h.procedure, h.version, h.stage = b.Procedure, b.Version, b.Stage
	}
	if !contains(h.parents, b.ID) {
		h.parents = append(h.parents, b.ID)
	}
	h.lots = sortedWords(append(h.lots, b.Lots...))
	if b.UseBy != 0 && (h.useBy == 0 || b.UseBy < h.useBy) {
		h.useBy, h.markedAt = b.UseBy, b.MarkedAt
	}
	if h.doubt == "" {
		h.doubt = b.Doubt
	}
	h.kept = h.kept || b.Kept
}

// makeOne makes a new batch out of others, and ties it to them.
func (f *folding) makeOne(p *entry.Portion, from *heritage, body *entry.Portioning) {
	if p.Batch.IsZero() || f.s.Batch(p.Batch) != nil {
		f.deviate(f.off(DevUnreadable, p.Batch, ""))
		return
	}
	for _, id := range from.parents {
		b := f.s.Batch(id)
		b.Children = append(b.Children, p.Batch)
	}
	b := Batch{
		ID: p.Batch, Code: p.Code, Procedure: from.procedure, Version: from.version, Stage: from.stage,
		Vessel: p.Vessel, Number: p.Number,
		Grams: amount(p.Grams), Pieces: amount(p.Pieces), InGrams: amount(p.Grams), InPieces: amount(p.Pieces),
		Lots: from.lots, Parents: from.parents, MadeAt: f.at, MadeBy: f.e.Crew, Doubt: from.doubt,
		UseBy: from.useBy, MarkedAt: from.markedAt, Kept: from.kept,
	}
	for _, id := range from.logs {
		l := f.s.Log(id)
		l.Batches = append(l.Batches, b.ID)
	}
	f.enter(&b, p.Stage, p.Place)
	if from.stays && from.since != 0 {
		b.Since = from.since
	}
	n, unit := either(p.Grams, p.Pieces)
	f.event(&b, Event{Stage: p.Stage, Place: p.Place, Number: n, Unit: unit, Text: body.Override.Reason})
	f.add(b)
	if !from.stays {
		f.did(b.At(b.Stage), body.Override.Reason)
	}
}

// sortedWords returns the words sorted, each once, without empty ones, in memory of its own.
func sortedWords(words []string) []string {
	list := slices.Clone(words)
	slices.Sort(list)
	list = slices.Compact(list)
	if len(list) > 0 && list[0] == "" {
		list = list[1:]
	}
	if len(list) == 0 {
		return nil
	}
	return list
}
