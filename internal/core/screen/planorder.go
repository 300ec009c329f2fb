package screen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
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

// left is what there is of a good by its last count: what came since on top, what went into vessels since off. It is nil where nobody
// counted of late.
func (o *ordering) left(g *procedure.Good) (n int64, m *kitchen.StockMark) {
	s := o.p.State
	if m = s.Stock(g.Name); m == nil {
		return 0, nil
	}
	n = m.Amount
	for i := range s.Deliveries {
		if d := &s.Deliveries[i]; d.At > m.At && !d.Refused && g.Kind == procedure.GoodRaw && slices.Contains(g.Items, d.Procedure) {
			n += d.Grams
		}
	}
	day, clock := s.Wall(m.At)
	for i := range s.Done {
		w := &s.Done[i]
		pr := s.Procedure(w.Item, 0)
		if w.Day < day || pr == nil || !slices.Contains(g.Items, w.Item) {
			continue
		}
		for k := range w.Deeds {
			d := &w.Deeds[k]
			if at, stage := pr.Stage(d.Stage); d.Sort == kitchen.DeedCame && at != nil && (w.Day > day || d.Minute >= int64(clock/stamp.Minute)) {
				n -= o.used(g, pr, stage, d.Grams)
			}
		}
	}
	return max(n, 0), m
}

// used is how much of a good goes with what comes to a stage of a procedure: raw product and concentrate into tubs, coating onto
// what was in them, oil into each load.
func (o *ordering) used(g *procedure.Good, pr *procedure.Procedure, stage int, grams int64) int64 {
	st, fryer := &pr.Stages[stage], kitchen.IsSingle(o.p.State.Equipment(), pr.Stages[stage].Equipment)
	switch {
	case g.Kind == procedure.GoodRaw && stage == 0:
		return grams
	case g.Kind == procedure.GoodConcentrate && stage == 0 && pr.Mix != nil:
		return pr.Mix.Concentrate(pr.Mix.Water(grams))
	case g.Kind == procedure.GoodCoating && stage > 0 && !fryer && st.Kind != procedure.Hold && pr.Stages[stage-1].Vessel == pr.Stages[0].Vessel && st.Vessel != pr.Stages[0].Vessel:
		return g.Per * grams / 1000
	case g.Kind == procedure.GoodOil && fryer && pr.Stages[max(stage-1, 0)].Vessel != st.Vessel:
		return g.Per
	}
	return 0
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
	stock, count := o.left(g)
	id := "pl.order.counted"
	if count == nil {
		if id = "pl.order.known"; g.Kind == procedure.GoodRaw {
			stock = o.there(g)
		}
		if count = new(kitchen.StockMark); stock == 0 {
			id = "pl.order.uncounted"
		}
	}
	packs := (max(need-stock, 0) + g.Pack - 1) / g.Pack
	row := choiceRow{label: p.text(g.Title), word: p.n("pl.order.packs", packs, "pack", o.amount(g, g.Pack)),
		to: p.planTo("/plan/order/" + escape(g.Name)),
		detail: p.t(id, "need", o.rounded(g, need), "until", p.l.Date(after, true), "there", o.rounded(g, stock), "next", p.l.Date(next, true),
			"when", p.clock(count.At), "name", p.l.Crew(p.State, count.By))}
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
	p.back(p.planTo("/plan/order"), p.t("pl.order"))
	if n, m := o.left(g); m != nil {
		p.says(p.t("pl.order.left", "amount", o.amount(g, m.Amount), "time", p.clock(m.At), "name", p.l.Crew(p.State, m.By), "left", o.rounded(g, n)), "plain")
	}
	p.add(&pad{name: "v", text: p.path.get("v"), unit: o.unit(g), label: p.t("pl.order.count")})
	p.says(p.n("pl.order.keeps", kitchen.StockDays), "quiet")
	text := p.path.get("v")
	if text == "" {
		return
	}
	n, err := quantity.Typed(text, o.unit(g), o.base(g))
	if err != nil {
		p.says(p.t("pl.order.unread", "text", text), "bad")
		return
	}
	p.dock = append(p.dock, button{label: p.t("pl.order.use", "amount", o.amount(g, n)), style: act, to: p.planTo("/plan/order"),
		do: &kitchen.Command{Do: kitchen.DoSet, Name: entry.SetStock + g.Name, Number: n}})
}
