package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// noneLeft lets it be told that somebody asks for an item of which nothing is for sale, since nothing sold says nothing about
// that. It is offered for what was sold today or a week ago.
func (p *page) noneLeft(trays []standing) {
	today := p.State.WallDay(p.Now)
	for _, pr := range p.State.Procedures() {
		d, away := p.State.Sales(pr.Name, today), int64(0)
		there := d == nil && p.State.Sales(pr.Name, today-7) == nil
		for i := range trays {
			there = there || trays[i].b.Procedure == pr.Name && trays[i].state != window.Past && !trays[i].b.Kept
		}
		if there {
			continue
		}
		st := &strip{key: "none-" + pr.Name, state: "none", name: words.Upper(p.text(pr.Item)), amountN: "0", amountUnit: p.unitFor(pr, 0),
			actions: []button{{label: p.t("hold.away"), style: quiet, do: &kitchen.Command{Do: kitchen.DoAway, Procedure: pr.Name}}}}
		for i := 0; i < kitchen.DaySlots && d != nil; i++ {
			away += d.Away(i)
		}
		if away > 0 {
			st.sub = plain(p.n("hold.away.today", away))
		}
		p.add(st)
	}
}
