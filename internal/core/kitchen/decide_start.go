package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

// Tub is what goes into one tub.
type Tub struct {
	Grams, Pieces int64
	Mix           entry.Mix
}

// Tubs works out how grams and pieces go into tubs by the procedure's mix rule: into the fewest that hold them, or into
// number of them when that is more than 0.
func Tubs(p *procedure.Procedure, grams, pieces, number int64) []Tub {
	n := max(number, 1)
	if p.Mix != nil && number <= 0 {
		n = max(p.Mix.Tubs(grams), 1)
	}
	tubs := make([]Tub, min(n, tubsMost))
	for i := range tubs {
		t := &tubs[i]
		t.Grams = procedure.Share(grams, int64(len(tubs)), int64(i))
		t.Pieces = procedure.Share(pieces, int64(len(tubs)), int64(i))
		if p.Mix != nil {
			t.Mix.Water = p.Mix.Water(t.Grams)
			t.Mix.Concentrate = p.Mix.Concentrate(t.Mix.Water)
		}
	}
	return tubs
}

// tubsMost is how many tubs one tap may start.
const tubsMost = 40

// start begins batches out of supplier lots, one for each tub.
func (d *deciding) start() *Refusal {
	p := d.s.Procedure(d.c.Procedure, d.c.Version)
	if p == nil || len(p.Stages) == 0 {
		return &Refusal{Code: RefNoProcedure, Name: d.c.Procedure}
	}
	if r := d.startAmount(p); r != nil {
		return r
	}
	st := &p.Stages[0]
	if r := d.mayDo(Spot{Procedure: p.Name, Version: p.Version, Stage: st.Name}); r != nil {
		return r
	}
	place, r := d.placing(st, d.c.Place, nil, d.c.Grams, d.c.Pieces)
	if r != nil {
		return r
	}
	names := d.names(st.Vessel)
	for _, tub := range Tubs(p, d.c.Grams, d.c.Pieces, d.c.Number) {
		id := d.newID()
		d.drafts = append(d.drafts, Draft{ID: id, Body: &entry.Start{
			Batch: id, Code: names.code(id), Procedure: p.Name, Version: p.Version, Stage: st.Name,
			Vessel: st.Vessel, Number: names.number(), Place: place,
			Grams: tub.Grams, Pieces: tub.Pieces, Lots: sortedWords(d.c.Lots), Mix: tub.Mix,
		}})
		if d.leave != "" {
			d.drafts = append(d.drafts, Draft{ID: d.newID(), Body: &entry.Note{Batch: id, Text: d.leave}})
		}
	}
	return nil
}

// startMost is the most product that one tap may start: grams, or pieces.
const startMost = 2_000_000

func (d *deciding) startAmount(p *procedure.Procedure) *Refusal {
	c := d.c
	switch {
	case c.Grams < 0 || c.Grams > startMost:
		return &Refusal{Code: RefUnlikely, Number: c.Grams, Limit: startMost, Unit: "g"}
	case c.Pieces < 0 || c.Pieces > startMost:
		return &Refusal{Code: RefUnlikely, Number: c.Pieces, Limit: startMost, Unit: "1"}
	case c.Number < 0 || c.Number > tubsMost:
		return &Refusal{Code: RefUnlikely, Number: c.Number, Limit: tubsMost, Unit: "1"}
	case c.Grams == 0 && (c.Pieces == 0 || p.Mix != nil):
		return &Refusal{Code: RefNeedAmount, Unit: "g"}
	}
	if p.Mix == nil || p.Mix.TubMost <= 0 {
		return nil
	}
	if need := p.Mix.Tubs(c.Grams); need > tubsMost {
		return &Refusal{Code: RefUnlikely, Number: need, Limit: tubsMost, Unit: "1"}
	}
	if each := (c.Grams + max(c.Number, 1) - 1) / max(c.Number, 1); c.Number > 0 && each > p.Mix.TubMost {
		return &Refusal{Code: RefVesselFull, Number: each, Limit: p.Mix.TubMost, Unit: "g"}
	}
	return nil
}

// naming gives new vessels the lowest free numbers and codes that no batch has. A tub comes back, and its number with it;
// a load is there once, so that its number is not given again on that day.
type naming struct {
	s       *State
	numbers []uint32
	codes   []string
}

func (d *deciding) names(vessel string) *naming {
	n := &naming{s: d.s}
	for i := range d.s.Batches {
		b := &d.s.Batches[i]
		if b.Vessel == vessel && (b.Status == Open || vessel == "load" && d.s.WallDay(b.MadeAt) == d.s.WallDay(d.now)) {
			n.numbers = append(n.numbers, b.Number)
		}
	}
	return n
}

func (n *naming) number() uint32 {
	free := uint32(1)
	for i := 0; i < len(n.numbers); i++ {
		if n.numbers[i] == free {
			free++
			i = -1
		}
	}
	n.numbers = append(n.numbers, free)
	return free
}

// codeSigns are the signs of short codes: none that is taken for another when written on tape.
const codeSigns = "23456789ABCDEFGHJKMNPQRSTVWXYZ"

// code makes a short code out of the id's chance, other than those in use.
func (n *naming) code(id entry.ID) string {
	var x uint64
	for _, b := range id[8:] {
		x = x<<8 | uint64(b)
	}
	for ; ; x++ {
		code := Code(x)
		if n.s.ByCode(code) == nil && !containsWord(n.codes, code) {
			n.codes = append(n.codes, code)
			return code
		}
	}
}

// Code returns the short code for a number: its four lowest digits in the signs of codes.
func Code(x uint64) string {
	var code [4]byte
	for i := range code {
		code[i] = codeSigns[x%uint64(len(codeSigns))]
		x /= uint64(len(codeSigns))
	}
	return string(code[:])
}

func containsWord(words []string, w string) bool {
	for _, o := range words {
		if o == w {
			return true
		}
	}
	return false
}
