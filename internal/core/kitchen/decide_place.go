package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

// placing works out where something goes that enters the stage, and whether it may. What leaves its own place for it
// (from) does not stand in the way.
func (d *deciding) placing(st *procedure.Stage, want string, from []*Batch, grams, pieces int64) (string, *Refusal) {
	if st.Equipment == "" {
		return "", nil
	}
	if want != "" {
		return want, d.mayEnter(st, want, from, grams, pieces)
	}
	eq := d.s.Equipment()
	for _, b := range from {
		if dev := eq.Device(b.Place); dev != nil && dev.Kind == st.Equipment {
			return b.Place, d.mayEnter(st, b.Place, from, grams, pieces)
		}
	}
	var first *Refusal
	for i := range eq.Devices {
		dev := &eq.Devices[i]
		if dev.Kind != st.Equipment {
			continue
		}
		r := d.mayEnter(st, dev.Name, from, grams, pieces)
		if r == nil {
			return dev.Name, nil
		}
		if first == nil {
			first = r
		}
	}
	if first == nil {
		first = &Refusal{Code: RefNoPlace, Name: st.Equipment}
	}
	return "", first
}

// mayEnter asks whether grams and pieces may go into the equipment now.
func (d *deciding) mayEnter(st *procedure.Stage, place string, from []*Batch, grams, pieces int64) *Refusal {
	dev := d.s.Equipment().Device(place)
	if dev == nil {
		return &Refusal{Code: RefNoPlace, Name: place}
	}
	if dev.Kind != st.Equipment {
		return &Refusal{Code: RefNoPlace, Place: place, Name: st.Equipment}
	}
	if len(from) == 1 && from[0].Place == place {
		return nil // it is there already
	}
	p := d.s.Place(place)
	if p.Out {
		return &Refusal{Code: RefPlaceOut, Place: place, Name: p.Why}
	}
	inside := d.inside(place, from)
	if dev.Single && len(inside) > 0 {
		return &Refusal{Code: RefPlaceBusy, Place: place, Batch: inside[0].ID}
	}
	if rest := d.now.Since(p.EmptyAt); p.EmptyAt != 0 && rest < dev.Between {
		r := d.unless(Refusal{
			Code: RefPlaceResting, Place: place, Number: int64(rest), Limit: int64(dev.Between), Unit: "ms",
			Until: p.EmptyAt.Add(dev.Between), Override: true,
		})
		if r != nil {
			return r
		}
	}
	if r := d.s.unchecked(dev, d.now); r != nil {
		return r
	}
	return fits(dev, inside, grams, pieces)
}

// inside lists what is in the equipment and does not leave it for what enters.
func (d *deciding) inside(place string, from []*Batch) []*Batch {
	var list []*Batch
	for _, b := range d.s.In(place) {
		if !containsBatch(from, b.ID) {
			list = append(list, b)
		}
	}
	return list
}

func containsBatch(list []*Batch, id entry.ID) bool {
	for _, b := range list {
		if b.ID == id {
			return true
		}
	}
	return false
}

func fits(dev *procedure.Device, inside []*Batch, grams, pieces int64) *Refusal {
	for _, b := range inside {
		grams, pieces = grams+b.Grams, pieces+b.Pieces
	}
	if dev.MostPiece > 0 && pieces > dev.MostPiece {
		return &Refusal{Code: RefPlaceFull, Place: dev.Name, Number: pieces, Limit: dev.MostPiece, Unit: "1"}
	}
	if dev.MostGrams > 0 && grams > dev.MostGrams {
		return &Refusal{Code: RefPlaceFull, Place: dev.Name, Number: grams, Limit: dev.MostGrams, Unit: "g"}
	}
	return nil
}

// move takes a batch to its next stage in the same vessel.
func (d *deciding) move() *Refusal {
	b, r := d.batch(d.c.Batch)
	if r != nil {
		return r
	}
	if r := d.movedOn(b); r != nil {
		return r
	}
	next, r := d.next(b)
	if r != nil {
		return r
	}
	if st := d.s.Stage(b); st != nil && !sameVessel(st, next) {
		return &Refusal{Code: RefNeedsPortion, Batch: b.ID, Stage: next.Name, Name: next.Vessel}
	}
	at := b.At(next.Name)
	at.Place = d.c.Place
	if r := d.mayDo(at); r != nil {
		return r
	}
	if r := d.leaves(b, d.c.From); r != nil {
		return r
	}
	place, r := d.placing(next, d.c.Place, []*Batch{b}, b.Grams, b.Pieces)
	if r != nil {
		return r
	}
	return d.add(&entry.Move{Batch: b.ID, From: b.Stage, To: next.Name, Place: place, Override: d.override()})
}

// movedOn says so when the screen showed another stage than the one at which the batch is by now.
func (d *deciding) movedOn(b *Batch) *Refusal {
	if d.c.From != "" && d.c.From != b.Stage {
		return &Refusal{Code: RefMovedOn, Batch: b.ID, Stage: b.Stage}
	}
	return nil
}
