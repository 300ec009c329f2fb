package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

// vessels works out what comes out, and into how many vessels it goes.
func (d *deciding) vessels(p *portioning) *Refusal {
	if len(d.c.Portions) > 0 {
		p.vessels = append(p.vessels, d.c.Portions...)
		if len(p.vessels) > vesselsMost {
			return &Refusal{Code: RefUnlikely, Number: int64(len(p.vessels)), Limit: vesselsMost, Unit: "1"}
		}
	} else if r := d.split(p); r != nil {
		return r
	}
	var grams, pieces int64
	for i := range p.vessels {
		v := &p.vessels[i]
		if r := d.full(p, v); r != nil {
			return r
		}
		grams, pieces = grams+v.Grams, pieces+v.Pieces
	}
	return d.comesOut(p, grams, pieces)
}

// vesselsMost is into how many vessels one tap may portion.
const vesselsMost = 100

// full says so when more goes into one vessel than the procedure allows.
func (d *deciding) full(p *portioning, v *Vessel) *Refusal {
	most := d.mostIn(p)
	for _, n := range []int64{v.Grams, v.Pieces} {
		if r := likely(n, "1"); r != nil {
			return r
		}
	}
	switch {
	case most.MostPiece > 0 && v.Pieces > most.MostPiece:
		return &Refusal{Code: RefVesselFull, Name: p.to.Vessel, Number: v.Pieces, Limit: most.MostPiece, Unit: "1"}
	case most.MostGrams > 0 && v.Grams > most.MostGrams:
		return &Refusal{Code: RefVesselFull, Name: p.to.Vessel, Number: v.Grams, Limit: most.MostGrams, Unit: "g"}
	}
	return nil
}

// mostIn returns how much one vessel of the stage takes: as the stage says, else as the stage said in which product came
// into such a vessel. Pans that are put together in the cold room are no larger than those that were filled.
func (d *deciding) mostIn(p *portioning) procedure.Takes {
	most := p.to.Enter
	if len(p.from) == 0 {
		return most
	}
	b := p.from[0].b
	proc := d.s.Procedure(b.Procedure, b.Version)
	if proc == nil {
		return most
	}
	end := slices.IndexFunc(proc.Stages, func(st procedure.Stage) bool { return st.Name == p.to.Name })
	for i := end; i >= 0 && proc.Stages[i].Vessel == p.to.Vessel && most.MostGrams == 0 && most.MostPiece == 0; i-- {
		most.MostGrams, most.MostPiece = proc.Stages[i].Enter.MostGrams, proc.Stages[i].Enter.MostPiece
		if i == 0 && proc.Mix != nil {
			most.MostGrams = proc.Mix.TubMost
		}
	}
	return most
}

// out returns what comes out: what was counted or weighed on the way, else what was taken.
func (d *deciding) out(p *portioning) (grams, pieces int64) {
	grams, pieces = p.grams, p.pieces
	if len(d.c.Shares) == 0 && d.c.Batch.IsZero() {
		return grams, pieces // a load: its number is what is taken
	}
	if p.to.Enter.Part && len(d.c.Shares) == 0 {
		return grams, pieces
	}
	if d.c.Grams > 0 {
		grams = d.c.Grams
	}
	if d.c.Pieces > 0 {
		pieces = d.c.Pieces
	}
	return grams, pieces
}

// split divides what comes out evenly among the fewest vessels that hold it, or among as many as were asked for.
func (d *deciding) split(p *portioning) *Refusal {
	grams, pieces := d.out(p)
	n := max(need(grams, p.to.Enter.MostGrams), need(pieces, p.to.Enter.MostPiece), 1)
	if dev := d.s.Equipment().Device(d.c.Place); dev != nil && dev.Single && d.c.Number == 0 {
		n = 1 // one load: whether it is too big is said of it
	}
	if d.c.Number > 0 {
		n = d.c.Number
	}
	if n > vesselsMost {
		return &Refusal{Code: RefUnlikely, Number: n, Limit: vesselsMost, Unit: "1"}
	}
	for i := range n {
		p.vessels = append(p.vessels, Vessel{Grams: procedure.Share(grams, n, i), Pieces: procedure.Share(pieces, n, i)})
	}
	return nil
}

func need(amount, most int64) int64 {
	if most <= 0 {
		return 0
	}
	return (amount + most - 1) / most
}

// gainMost is by how much a coating may make product heavier: to so many hundredths of what it was.
const gainMost = 200

// comesOut asks for what must be counted or weighed, and refuses what cannot come out of what was taken.
func (d *deciding) comesOut(p *portioning, grams, pieces int64) *Refusal {
	b := p.from[0].b
	switch {
	case p.to.Enter.Counted && pieces == 0:
		return &Refusal{Code: RefNeedPieces, Batch: b.ID, Stage: p.to.Name, Unit: "1"}
	case p.to.Enter.Weighed && grams == 0:
		return &Refusal{Code: RefNeedGrams, Batch: b.ID, Stage: p.to.Name, Unit: "g"}
	case grams == 0 && pieces == 0:
		return &Refusal{Code: RefNeedAmount, Batch: b.ID, Stage: p.to.Name, Unit: "g"}
	case p.pieces > 0 && pieces > p.pieces:
		return &Refusal{Code: RefMoreThanThere, Batch: b.ID, Number: pieces, Limit: p.pieces, Unit: "1"}
	case p.grams > 0 && grams > p.grams*gainMost/100:
		return &Refusal{Code: RefMoreThanThere, Batch: b.ID, Number: grams, Limit: p.grams * gainMost / 100, Unit: "g"}
	}
	return nil
}

// losing refuses losses that are no amounts, or that have no name.
func losing(list []entry.Loss) *Refusal {
	for _, l := range list {
		switch l.Why {
		case "trim", "drip", "yield", "waste":
		default:
			return &Refusal{Code: RefBadCommand, Name: l.Why}
		}
		for _, n := range []int64{l.Grams, l.Pieces} {
			if r := likely(n, "1"); r != nil {
				return r
			}
		}
	}
	return nil
}

// draftPortion makes the entry.
func (d *deciding) draftPortion(p *portioning) *Refusal {
	if r := losing(d.c.Lost); r != nil {
		return r
	}
	body := &entry.Portioning{Override: d.override()}
	from := make([]*Batch, len(p.from))
	for i, t := range p.from {
		from[i] = t.b
		body.Out = append(body.Out, entry.Share{
			Batch: t.b.ID, Stage: t.b.Stage, Grams: t.grams, Pieces: t.pieces, All: t.all,
		})
	}
	names := d.names(p.to.Vessel)
	self := d.newID()
	for _, v := range p.vessels {
		want := v.Place
		if want == "" {
			want = d.wherefrom(p)
		}
		place, r := d.placing(p.to, want, gone(p), v.Grams, v.Pieces)
		if r != nil {
			return r
		}
		id := d.newID()
		body.In = append(body.In, entry.Portion{
			Batch: id, Code: names.code(id), Stage: p.to.Name, Vessel: vesselOf(p), Number: names.number(), Place: place,
			Grams: v.Grams, Pieces: v.Pieces,
		})
	}
	body.Lost = d.losses(p, body.In)
	d.drafts = append(d.drafts, Draft{ID: self, Body: body})
	return nil
}

// wherefrom returns the place that was asked for, else that of the first source if the stage can use it.
func (d *deciding) wherefrom(p *portioning) string {
	if d.c.Place != "" {
		return d.c.Place
	}
	place := p.from[0].b.Place
	if dev := d.s.Equipment().Device(place); dev != nil && dev.Kind == p.to.Equipment && !dev.Single {
		return place
	}
	return ""
}

func vesselOf(p *portioning) string {
	if p.to.Vessel != "" {
		return p.to.Vessel
	}
	return p.from[0].b.Vessel
}

// gone lists the batches of which nothing stays behind.
func gone(p *portioning) []*Batch {
	var list []*Batch
	for _, t := range p.from {
		if t.all {
			list = append(list, t.b)
		}
	}
	return list
}

// losses names what was taken and did not come out again: what was said, and the rest as drip while it is raw and as
// yield once it is cooked. Missing pieces are waste.
func (d *deciding) losses(p *portioning, in []entry.Portion) []entry.Loss {
	list := append([]entry.Loss(nil), d.c.Lost...)
	grams, pieces := p.grams, p.pieces
	for _, l := range list {
		grams, pieces = grams-l.Grams, pieces-l.Pieces
	}
	for _, i := range in {
		grams, pieces = grams-i.Grams, pieces-i.Pieces
	}
	why := "yield"
	if p.stage.Raw {
		why = "drip"
	}
	if pieces > 0 {
		list = append(list, entry.Loss{Why: "waste", Pieces: pieces})
	}
	if grams > 0 {
		list = append(list, entry.Loss{Why: why, Grams: grams})
	}
	return list
}
