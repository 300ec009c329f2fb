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
	p.open("cooktime", p.t("cooktime.title", "item", p.text(pr.Item)), "")
	p.back("/start/"+escape(pr.Name), p.t("start.title", "item", p.text(pr.Item)))
	p.add(&pad{name: "g", text: p.path.get("g"), unit: "kg", label: p.t("cooktime.unit")})
	if grams := p.typed("g", quantity.Gram); grams > 0 {
		p.cookTime(pr, grams)
	}
	t := &pairs{title: p.text(pr.CookTable().Source)}
	for _, r := range pr.CookTable().Rows {
		t.rows = append(t.rows, pair{p.l.Exact(r.Grams, "g"), plain(p.l.Exact(r.Millis, "ms"))})
	}
	p.add(t)
}

// cookTime proposes a time for a unit of so many grams, or says why there is none. The caution stands with it.
func (p *page) cookTime(pr *procedure.Procedure, grams int64) {
	table := pr.CookTable()
	if table == nil {
		return
	}
	least, most := table.Ends()
	millis, how := table.Time(grams)
	weight := p.l.Exact(grams, "g")
	if how == physics.TooFar {
		p.add(&fault{title: p.t("cooktime.none", "weight", weight), lines: []string{
			p.t("cooktime.none.line", "beyond", p.num(physics.Beyond), "least", p.l.Exact(least, "g"), "most", p.l.Exact(most, "g")),
			p.t("cooktime.none.do")}})
		return
	}
	title, basis := "cooktime.estimate", "cooktime.between"
	switch how {
	case physics.Printed:
		title, basis = "cooktime.printed", "cooktime.row"
	case physics.Extended:
		basis = "cooktime.extended"
	}
	p.add(&caution{key: "cook", title: p.t(title, "weight", weight, "time", p.l.Exact(millis, "ms")),
		lines: []string{p.t(basis) + " " + p.text(table.Source), p.t("cooktime.prove")}})
}

// cookProposal stands on the screen of a deviation about the weight of a delivery's units.
func (p *page) cookProposal(d *kitchen.Deviation) {
	if d.Code != kitchen.DevUnitWeight || d.Closed {
		return
	}
	if came := p.State.Delivery(d.Text); came != nil {
		if pr := p.State.Procedure(came.Procedure, 0); pr != nil {
			p.cookTime(pr, d.Number)
		}
	}
}
