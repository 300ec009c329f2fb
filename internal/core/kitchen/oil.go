package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
)

// oilMost bounds how much of a fryer's oil's history stays in the state.
const oilMost = 60

// oil keeps what was done with a fryer's oil since it was last filled. Only a limit of the kitchen's own country makes a deviation.
func (f *folding) oil(body *entry.Oil) {
	p := f.s.place(body.Place)
	if body.Deed == entry.OilChanged || body.Deed == entry.OilDiscarded {
		p.Oil, p.Loads = nil, 0
	}
	p.Oil = append(p.Oil, OilMark{Oil: *body, ID: f.e.ID, At: f.at, By: f.e.Crew, Loads: p.Loads})
	if len(p.Oil) > oilMost {
		keep := 0
		if p.Oil[0].Deed == entry.OilChanged { // all else is counted from it
			keep = 1
		}
		p.Oil = append(slices.Clone(p.Oil[:keep]), p.Oil[keep+1:]...)
	}
	if body.Deed != entry.OilMeasured {
		if r := f.s.mayOil(f.e.Crew, body.Place, body.Deed, f.at); r != nil {
			f.deviate(notAllowed(r, Deviation{Place: body.Place, Text: body.Note}))
		}
		return
	}
	if _, limit := OilLimits(f.s.Country); limit.Country == f.s.Country && limit.Beyond(body.Polar) {
		f.deviate(Deviation{Code: DevOilSpent, Place: body.Place, Number: body.Polar, Limit: limit.Limit * 100, Unit: "m%", Text: body.Note})
	}
}

// loaded counts the loads that a fryer's oil has seen.
func (f *folding) loaded(place string) { f.s.place(place).Loads++ }
