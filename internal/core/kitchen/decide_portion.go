package kitchen

import (
	"cmp"

	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/window"
)

// taking is what is taken out of one batch.
type taking struct {
	b             *Batch
	grams, pieces int64
	all           bool
}

// portioning is a portion command on its way to an entry.
type portioning struct {
	from          []taking
	stage, to     *procedure.Stage
	grams, pieces int64 // taken
	vessels       []Vessel
}

// portion takes amounts out of batches and makes new batches of them.
func (d *deciding) portion() *Refusal {
	var p portioning
	if r := d.sources(&p); r != nil {
		return r
	}
	if r := d.amounts(&p); r != nil {
		return r
	}
	if r := d.vessels(&p); r != nil {
		return r
	}
	return d.draftPortion(&p)
}

// sources finds the batches that it comes out of, and the stage that it goes to.
func (d *deciding) sources(p *portioning) *Refusal {
	switch {
	case len(d.c.Shares) > 0:
		for _, w := range d.c.Shares {
			p.from = append(p.from, taking{b: d.s.Batch(w.Batch), grams: w.Grams, pieces: w.Pieces, all: w.All})
		}
	case !d.c.Batch.IsZero():
		p.from = []taking{{b: d.s.Batch(d.c.Batch)}}
	default:
		if r := d.oldest(p); r != nil {
			return r
		}
	}
	for i := range p.from {
		if r := d.source(p, i); r != nil {
			return r
		}
	}
	return nil
}

// source looks whether one batch may be taken from, and sets the stages by the first.
func (d *deciding) source(p *portioning, i int) *Refusal {
	t := &p.from[i]
	if t.b == nil {
		return &Refusal{Code: RefNoBatch}
	}
	b, r := d.batch(t.b.ID)
	if r != nil {
		return r
	}
	if r := d.movedOn(b); r != nil {
		return r
	}
	first := p.from[0].b
	if b.Procedure != first.Procedure || b.Version != first.Version || b.Stage != first.Stage {
		return &Refusal{Code: RefMixed, Batch: b.ID, Stage: b.Stage}
	}
	for _, o := range p.from[:i] {
		if o.b.ID == b.ID {
			return &Refusal{Code: RefMixed, Batch: b.ID, Stage: b.Stage}
		}
	}
	p.stage = d.s.Stage(b)
	if p.stage != nil && d.c.To == b.Stage { // into other vessels of the same stage, whose time runs on
		p.to = p.stage
		return d.sameStage(b)
	}
	next, r := d.next(b)
	if r != nil {
		return r
	}
	if p.to = next; sameVessel(p.stage, next) {
		return &Refusal{Code: RefNeedsMove, Batch: b.ID, Stage: next.Name}
	}
	at := b.At(next.Name)
	at.Place = d.c.Place
	if r := d.mayDo(at); r != nil {
		return r
	}
	return d.leaves(b, d.c.From)
}

// sameStage asks whether a batch may be split or merged where it is. One that has not had its time yet would borrow
// that of the others.
func (d *deciding) sameStage(b *Batch) *Refusal {
	if r := cmp.Or(d.frozen(b), d.doubt(b)); r != nil {
		return r
	}
	st := d.s.Stage(b)
	if w := d.s.Window(b); window.At(&w, d.now.Since(b.Since)) == window.Past || len(d.c.Shares) > 1 {
		return d.inTime(b, st)
	}
	return nil
}

// oldest takes from the batch that has waited longest of those that may go into the equipment now, and from the next
// ones when more is asked for than it holds.
func (d *deciding) oldest(p *portioning) *Refusal {
	dev := d.s.Equipment().Device(d.c.Place)
	if dev == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	}
	list, waiting := d.ready(dev)
	if len(list) == 0 {
		if waiting != nil {
			return waiting
		}
		return &Refusal{Code: RefNothingReady, Place: dev.Name}
	}
	first := list[0]
	want := d.c.Pieces
	for _, b := range list {
		if b.Procedure != first.Procedure || b.Version != first.Version || b.Stage != first.Stage {
			continue
		}
		if b != first && want <= 0 {
			break
		}
		t := taking{b: b}
		if want > 0 {
			t.pieces = min(want, b.Pieces)
			want -= t.pieces
		}
		if want == 0 && d.c.Pieces > 0 && t.pieces == 0 {
			break
		}
		p.from = append(p.from, t)
	}
	return nil
}

// ready lists the batches that may be loaded into the equipment now, the oldest first, and why the first of those that
// may not must wait.
func (d *deciding) ready(dev *procedure.Device) (list []*Batch, waiting *Refusal) {
	var candidates []*Batch
	for i := range d.s.Batches {
		b := &d.s.Batches[i]
		p := d.s.Procedure(b.Procedure, b.Version)
		if b.Status != Open || p == nil || d.c.Procedure != "" && d.c.Procedure != b.Procedure {
			continue
		}
		st, next := d.s.Stage(b), p.Next(b.Stage)
		if next != nil && st != nil && next.Equipment == dev.Kind && !sameVessel(st, next) {
			candidates = append(candidates, b)
		}
	}
	order.Stable(candidates, func(a, b *Batch) int {
		return cmp.Or(cmp.Compare(a.Since, b.Since), cmp.Compare(a.Number, b.Number), a.ID.Compare(b.ID))
	})
	for _, b := range candidates {
		if r := d.leaves(b, ""); r == nil {
			list = append(list, b)
		} else if waiting == nil {
			waiting = r
		}
	}
	return list, waiting
}

// amounts works out what is taken out of each batch.
func (d *deciding) amounts(p *portioning) *Refusal {
	for i := range p.from {
		t := &p.from[i]
		for _, n := range []int64{t.grams, t.pieces, d.c.Grams, d.c.Pieces} {
			if r := likely(n, "1"); r != nil {
				return r
			}
		}
		if len(d.c.Shares) == 0 && p.to.Enter.Part && p.to != p.stage && t.pieces == 0 && t.grams == 0 {
			t.pieces, t.grams = d.c.Pieces, d.c.Grams
			if t.pieces == 0 && t.grams == 0 && len(p.from) == 1 && max(d.c.Number, int64(len(d.c.Portions))) <= 1 {
				d.asMuchAsFits(p, t)
			}
		}
		if r := t.settle(); r != nil {
			return r
		}
		p.grams, p.pieces = p.grams+t.grams, p.pieces+t.pieces
	}
	return nil
}

// asMuchAsFits takes as much out of a batch as goes into what is entered at once; all of it when it fits.
func (d *deciding) asMuchAsFits(p *portioning, t *taking) {
	pieces, grams := p.to.Enter.MostPiece, p.to.Enter.MostGrams
	if dev := d.s.Equipment().Device(d.c.Place); dev != nil && dev.Single {
		pieces, grams = stricter(pieces, dev.MostPiece), stricter(grams, dev.MostGrams)
	}
	b := t.b
	if grams > 0 && b.Grams > grams {
		if b.Pieces == 0 {
			t.grams = grams
			return
		}
		fit := b.Pieces * grams / b.Grams
		for fit > 0 && portionOf(b.Grams, fit, b.Pieces) > grams {
			fit--
		}
		pieces = stricter(pieces, fit)
	}
	if pieces > 0 && b.Pieces > pieces {
		t.pieces = pieces
	}
}

// stricter returns the smaller of two limits, where 0 is no limit.
func stricter(a, b int64) int64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// settle completes a share: grams by pieces or pieces by grams, all of it when nothing is said.
func (t *taking) settle() *Refusal {
	b := t.b
	if b.InPieces > 0 && t.pieces > b.Pieces {
		return &Refusal{Code: RefMoreThanThere, Batch: b.ID, Number: t.pieces, Limit: b.Pieces, Unit: "1"}
	}
	if b.InGrams > 0 && t.grams > b.Grams {
		return &Refusal{Code: RefMoreThanThere, Batch: b.ID, Number: t.grams, Limit: b.Grams, Unit: "g"}
	}
	switch {
	case t.all || t.grams == 0 && t.pieces == 0:
		t.grams, t.pieces = b.Grams, b.Pieces
	case t.grams == 0:
		t.grams = portionOf(b.Grams, t.pieces, b.Pieces)
	case t.pieces == 0 && b.Grams > 0:
		t.pieces = portionOf(b.Pieces, t.grams, b.Grams)
	}
	t.all = t.all || t.pieces >= b.Pieces && t.grams >= b.Grams
	return nil
}
