package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/window"
)

// splittable tells whether a batch may be spread over more vessels, or put together with its like, where it stands:
// while it rests, and not in a fryer.
func (p *page) splittable(s *standing) bool {
	return s.stage.Kind == procedure.Wait && s.b.Vessel != "load" && s.b.Frozen == 0 && !p.over(s)
}

// splitForm spreads a batch over more vessels of the same stage, or puts it together with its like.
func (p *page) splitForm(s *standing) {
	p.title = p.t("split.title", "name", p.name(s.b))
	p.add(&note{line: p.whatLine(s.b), tone: "quiet"})
	p.add(&pad{name: "n", text: p.path.get("n"), unit: p.t("unit.vessels"), label: p.t("split.into"), whole: true})
	if n := p.typed("n", quantity.Piece); n > 1 {
		do := &kitchen.Command{Do: kitchen.DoPortion, Batch: s.b.ID, To: s.b.Stage, Number: n}
		drafts, refusal := p.try(do)
		p.portions(s, drafts)
		if refusal != nil {
			p.add(p.refusedPart(do, refusal))
			return
		}
		p.dock = []button{{label: p.t("split"), small: p.comes(drafts), style: act, do: do, to: toBatch(s.b)}}
	}
	p.mergeRows(s)
}

// mergeRows offer the open batches that stand as this one does.
func (p *page) mergeRows(s *standing) {
	var list []button
	for i := range p.State.Batches {
		o := &p.State.Batches[i]
		if o.ID == s.b.ID || !alike(s.b, o) {
			continue
		}
		do := &kitchen.Command{Do: kitchen.DoPortion, To: s.b.Stage, Number: 1,
			Shares: []kitchen.Wanted{{Batch: s.b.ID, All: true}, {Batch: o.ID, All: true}}}
		if _, refusal := p.try(do); refusal == nil {
			list = append(list, button{label: p.t("merge", "name", p.name(o)), small: p.contents(o), style: quiet, do: do, to: toBatch(s.b)})
		}
	}
	if len(list) > 0 {
		p.add(&group{title: p.t("merge.title")}, &buttons{actions: list})
	}
}

// alike tells whether two batches may lie in one vessel.
func alike(a, b *kitchen.Batch) bool {
	return b.Status == kitchen.Open && a.Procedure == b.Procedure && a.Version == b.Version && a.Stage == b.Stage
}

// also returns the further batches that ?also= names, out of which a load is filled up.
func (p *page) also(s *standing) []*kitchen.Batch {
	var out []*kitchen.Batch
	for _, text := range splitList(p.path.get("also")) {
		id, err := entry.ParseID(text)
		if b := p.State.Batch(id); err == nil && b != nil && b.ID != s.b.ID && alike(s.b, b) {
			out = append(out, b)
		}
	}
	return out
}

// alsoFrom offers to fill a load up from a second batch of the same kind.
func (p *page) alsoFrom(s *standing, list []standing) {
	chosen := p.path.get("also")
	c := &choice{title: p.t("load.also")}
	for i := range list {
		o := list[i].b
		if o.ID == s.b.ID || !alike(s.b, o) || list[i].state == window.TooSoon {
			continue
		}
		id := o.ID.String()
		row := choiceRow{label: p.name(o), detail: p.contents(o), on: chosen == id, state: stateName(list[i].state)}
		want := id
		if row.on {
			want = ""
		}
		row.to = address(p.bare(), "from", s.b.ID.String(), "also", want, "g", p.path.get("g"), "c", p.path.get("c"))
		c.rows = append(c.rows, row)
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}
