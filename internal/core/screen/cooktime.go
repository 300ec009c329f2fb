package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
)

// cookTimeScreen works out a cook time for the weight of a unit by the supplier's table of a procedure.
func (p *page) cookTimeScreen() {
	pr := p.State.Procedure(p.path.at(1), 0)
	if pr == nil || pr.CookTable() == nil {
		p.missing("missing.page")
		return
	}
	p.open("cooktime", p.filled("cooktime.title", p.text(pr.Item)), "")
	p.back("/start/"+escape(pr.Name), p.t("start.title", "item", p.text(pr.Item)))
	p.add(&pad{name: "g", text: p.path.get("g"), unit: "kg", label: p.t("cooktime.unit")})
	if grams := p.typed("g", quantity.Gram); grams > 0 {
		p.cookTime(pr.CookTable(), grams)
	}
	t := &pairs{title: p.text(pr.CookTable().Source)}
	for _, r := range pr.CookTable().Rows {
		t.put(p.grams(r.Grams), p.l.Exact(r.Millis, "ms"))
	}
	p.add(t)
}

// cookTime proposes a time for a unit of so many grams, or says why there is none. The caution stands with it.
func (p *page) cookTime(table *procedure.CookTable, grams int64) {
	millis, how := table.Time(grams)
	if how == physics.TooFar {
		least, most := table.Ends()
		p.off(p.filled("cooktime.none", p.grams(grams)), p.filled("cooktime.none.line", p.num(physics.Beyond), p.grams(least), p.grams(most)))
		return
	}
	basis := [...]string{physics.Printed: "cooktime.row", physics.Between: "cooktime.between", physics.Extended: "cooktime.extended"}
	p.add(&caution{key: "cook", title: p.filled("cooktime.is", p.grams(grams), p.l.Exact(millis, "ms")),
		lines: []string{p.filled(basis[how], p.text(table.Source)), p.t("cooktime.prove")}})
}

// cookProposal stands on the screen of a deviation about the weight of a delivery's units.
func (p *page) cookProposal(d *kitchen.Deviation) {
	if d.Code != kitchen.DevUnitWeight || d.Closed {
		return
	}
	if came := p.State.Delivery(d.Text); came != nil {
		if pr := p.State.Procedure(came.Procedure, 0); pr != nil && pr.CookTable() != nil {
			p.cookTime(pr.CookTable(), d.Number)
		}
	}
}
