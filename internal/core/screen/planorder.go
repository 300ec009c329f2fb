package screen

import (
	"slices"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
)

// planOrder is what to order: from what the plan needs until the delivery after the next, less what is there.
func (p *page) planOrder() {
	p.planPage(p.t("pl.order"))
	x, _ := p.planNow()
	doc := p.planDocument()
	if doc == nil || len(doc.Goods) == 0 {
		p.add(&empty{title: p.t("pl.order.none"), line: p.line("pl.none.do")})
		return
	}
	if x == nil {
		p.says(p.t("pl.thinks"), "quiet")
		return
	}
	o := ordering{p: p, x: x, doc: doc, today: p.State.WallDay(p.Now)}
	for i := range doc.Goods {
		if g := &doc.Goods[i]; g.Name == p.path.at(2) {
			o.count(g)
			return
		}
	}
	p.says(p.t("pl.order.how"), "quiet")
	c := &choice{}
	for i := range doc.Goods {
		c.rows = append(c.rows, o.row(&doc.Goods[i]))
	}
	p.add(c)
}

// ordering works out what to order.
type ordering struct {
	p     *page
	x     *Planned
	doc   *procedure.Plan
	today int32
}

// deliveries returns the next two days on which a good comes.
func (o *ordering) deliveries(g *procedure.Good) (next, after int32) {
	for d := o.today + 1; after == 0; d++ {
		switch {
		case !procedure.On(g.Days, kitchen.Weekday(d)):
		case next == 0:
			next = d
		default:
			after = d
		}
	}
	return next, after
}

// units is how many units of an item a day asks for: as on the day of the plan, in proportion to what is usual on both.
func (o *ordering) units(it *procedure.PlanItem, day int32) int64 {
	if !procedure.On(it.Days, kitchen.Weekday(day)) {
		return 0
	}
	planned := int64(0)
	for i := range o.x.Plan.Sold {
		if s := &o.x.Plan.Sold[i]; s.Item == it.Procedure {
			planned = int64(s.Asked)
		}
	}
	then, now := usual(it, o.x.Day), usual(it, day)
	switch {
	case planned == 0:
		planned = now
	case then > 0:
		planned = planned * now / then
	}
	return (planned + int64(it.Unit) - 1) / int64(it.Unit)
}

func usual(it *procedure.PlanItem, day int32) (n int64) {
	for _, u := range it.Usual {
		if procedure.On(u.Days, kitchen.Weekday(day)) {
			n += int64(u.Pieces)
		}
	}
	return n
}

// need is how much of a good so many units of an item take, in g or mL.
func (o *ordering) need(g *procedure.Good, it *procedure.PlanItem, units int64) int64 {
	raw := int64(0) // g of the item's raw product
	for i := range o.doc.Goods {
		if r := &o.doc.Goods[i]; r.Kind == procedure.GoodRaw && slices.Contains(r.Items, it.Procedure) {
			raw = r.Per * units
		}
	}
	switch g.Kind {
	case procedure.GoodRaw:
		return g.Per * units
	case procedure.GoodConcentrate:
		if pr := o.p.State.Procedure(it.Procedure, 0); pr != nil && pr.Mix != nil {
			return pr.Mix.Concentrate(pr.Mix.Water(raw))
		}
	case procedure.GoodCoating:
		return g.Per * raw / 1000
	case procedure.GoodOil:
		drops, dropped := int64(0), int64(0)
		for i := range o.x.Plan.Drops {
			if d := &o.x.Plan.Drops[i]; d.Item == it.Procedure {
				drops, dropped = drops+1, dropped+int64(d.Units)
			}
		}
		if dropped > 0 {
			return (g.Per*drops*units + dropped - 1) / dropped
		}
		return g.Per * (units + 7) / 8
	}
	return 0
}

// counts reads what somebody has counted: "birds:12.5;oil:20".
func (o *ordering) counts(g *procedure.Good) (int64, bool) {
	for one := range strings.SplitSeq(o.p.path.get("s"), ";") {
		if name, text, ok := strings.Cut(one, ":"); ok && name == g.Name {
			if n, err := quantity.Typed(text, o.unit(g), o.base(g)); err == nil {
				return n, true
			}
		}
	}
	return 0, false
}

func (o *ordering) unit(g *procedure.Good) string {
	if g.Kind == procedure.GoodConcentrate || g.Kind == procedure.GoodOil {
		return "L"
	}
	return "kg"
}

func (o *ordering) base(g *procedure.Good) quantity.Unit {
	if o.unit(g) == "L" {
		return quantity.Millilitre
	}
	return quantity.Gram
}

func (o *ordering) amount(g *procedure.Good, n int64) string {
	return o.p.l.Exact(n, string(o.base(g)))
}

// there is how much of a raw good the journal knows to be there: what came in less what was started of the same lots.
func (o *ordering) there(g *procedure.Good) (sum int64) {
	s := o.p.State
	for i := range s.Deliveries {
		d := &s.Deliveries[i]
		if d.Refused || !slices.Contains(g.Items, d.Procedure) {
			continue
		}
		left := d.Grams
		for k := range s.Batches {
			if b := &s.Batches[k]; len(b.Lots) > 0 && b.Lots[0] == d.Lot && b.Vessel == "tub" {
				left -= b.InGrams
			}
		}
		sum += max(left, 0)
	}
	return sum
}

// row is one good.
func (o *ordering) row(g *procedure.Good) choiceRow {
	p := o.p
	next, after := o.deliveries(g)
	need := int64(0)
	for _, name := range g.Items {
		if it := o.doc.Item(name); it != nil {
			for d := o.x.Day; d < after; d++ {
				need += o.need(g, it, o.units(it, d))
			}
		}
	}
	stock, counted := o.counts(g)
	if !counted && g.Kind == procedure.GoodRaw {
		stock = o.there(g)
	}
	id := "pl.order.known"
	if !counted && stock == 0 {
		id = "pl.order.uncounted"
	}
	packs := (max(need-stock, 0) + g.Pack - 1) / g.Pack
	row := choiceRow{label: p.text(g.Title), word: p.n("pl.order.packs", packs, "pack", o.amount(g, g.Pack)),
		to:     p.planTo("/plan/order/"+escape(g.Name), "s", p.path.get("s")),
		detail: p.t(id, "need", o.rounded(g, need), "until", p.l.Date(after, true), "there", o.rounded(g, stock), "next", p.l.Date(next, true))}
	if packs == 0 {
		row.word = p.t("pl.order.enough")
	}
	return row
}

// rounded says an amount to a tenth.
func (o *ordering) rounded(g *procedure.Good, n int64) string {
	return o.p.l.Amount((n+50)/100*100, string(o.base(g)))
}

// count asks what is there of a good.
func (o *ordering) count(g *procedure.Good) {
	p := o.p
	p.title = p.text(g.Title)
	p.back(p.planTo("/plan/order", "s", p.path.get("s")), p.t("pl.order"))
	p.add(&pad{name: "v", text: p.path.get("v"), unit: o.unit(g), label: p.t("pl.order.count")})
	p.says(p.t("pl.order.unkept"), "quiet")
	if p.path.get("v") == "" {
		return
	}
	var list []string
	for one := range strings.SplitSeq(p.path.get("s"), ";") {
		if one != "" && !strings.HasPrefix(one, g.Name+":") {
			list = append(list, one)
		}
	}
	list = append(list, g.Name+":"+p.path.get("v"))
	p.dock = append(p.dock, button{label: p.t("pl.order.use", "amount", p.path.get("v")+"\u00a0"+o.unit(g)), style: act,
		to: p.planTo("/plan/order", "s", strings.Join(list, ";"))})
}
