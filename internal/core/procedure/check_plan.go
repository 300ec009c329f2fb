package procedure

import (
	"strconv"

	"brinebell/internal/core/stamp"
)

// checkPlan looks whether the parts of a plan document fit each other.
func (n *node) checkPlan(p *Plan) {
	for _, g := range [...]struct {
		name string
		v    int
	}{{"slot", p.Slot}, {"block", p.Block}} {
		if p.Tick > 0 && g.v%p.Tick != 0 {
			n.get(g.name).fault(say("{0} min is no whole number of ticks of {1} min.", "{0} min no es un número entero de pasos de {1} min.",
				strconv.Itoa(g.v), strconv.Itoa(p.Tick)))
		}
	}
	n.grid("open", p.Open, p.Slot)
	n.apart("open", p.Open)
	for k := range p.Stations {
		n.twice("stations", "name", k, func(i int) string { return p.Stations[i].Name }, len(p.Stations))
		at := n.child("stations", k)
		at.grid("hours", p.Stations[k].Hours, p.Block)
		at.apart("hours", p.Stations[k].Hours)
	}
	for k := range p.Items {
		n.twice("items", "procedure", k, func(i int) string { return p.Items[i].Procedure }, len(p.Items))
		n.child("items", k).checkItem(p, &p.Items[k])
	}
	for k := range p.Keeps {
		n.checkKeep(p, k)
	}
	for k, g := range p.Goods {
		n.twice("goods", "name", k, func(i int) string { return p.Goods[i].Name }, len(p.Goods))
		for i, item := range g.Items {
			if p.Item(item) == nil {
				n.child("goods", k).child("items", i).unknown(item)
			}
		}
	}
}

func (n *node) unknown(name string) {
	n.fault(say("{0} is none of the plan's items or stations.", "{0} no es ningún artículo ni puesto del plan.", clip(name)))
}

// twice faults a name that an earlier element has.
func (n *node) twice(list, member string, k int, name func(int) string, count int) {
	for i := range min(k, count) {
		if name(i) == name(k) && name(k) != "" {
			n.child(list, k).get(member).fault(say("The name {0} stands twice: entry {1} has it too.",
				"El nombre {0} está dos veces: también lo tiene la entrada {1}.", clip(name(k)), strconv.Itoa(i+1)))
			return
		}
	}
}

// grid faults hours that begin or end off a grid of minutes from midnight.
func (n *node) grid(list string, hours []Hours, minutes int) {
	if minutes == 0 {
		return
	}
	step := stamp.Span(minutes) * stamp.Minute
	for k, h := range hours {
		for _, end := range [...]struct {
			name string
			at   stamp.Span
		}{{"from", h.From}, {"to", h.To}} {
			if end.at%step != 0 {
				n.child(list, k).get(end.name).fault(say("It must fall on a whole {0} minutes of the day.",
					"Debe caer en {0} minutos enteros del día.", strconv.Itoa(minutes)))
			}
		}
	}
}

// apart faults hours that overlap others on a day that both have.
func (n *node) apart(list string, hours []Hours) {
	for k, h := range hours {
		for i, o := range hours[:k] {
			if meet(&h, &o) {
				n.child(list, k).fault(say("It overlaps entry {0}.", "Se cruza con la entrada {0}.", strconv.Itoa(i+1)))
				break
			}
		}
	}
}

func meet(a, b *Hours) bool {
	for day := range uint8(7) {
		today, next := day+1, (day+1)%7+1
		switch {
		case On(a.Days, today) && On(b.Days, today) && a.From < b.To && b.From < a.To,
			On(a.Days, today) && On(b.Days, next) && b.From+stamp.Day < a.To,
			On(b.Days, today) && On(a.Days, next) && a.From+stamp.Day < b.To:
			return true
		}
	}
	return false
}

func (n *node) checkItem(p *Plan, i *PlanItem) {
	for _, w := range [...]struct {
		name string
		work *PlanWork
	}{{"coat", i.Coat}, {"marinate", i.Marinate}} {
		if w.work != nil && w.work.Station != "" && p.Station(w.work.Station) == nil {
			n.get(w.name).get("station").unknown(w.work.Station)
		}
	}
	hours := make([]Hours, len(i.Usual))
	for k := range i.Usual {
		hours[k] = i.Usual[k].Hours
	}
	n.apart("usual", hours)
}

func (n *node) checkKeep(p *Plan, k int) {
	keep, at := p.Keeps[k], n.child("keep", k)
	if keep.Item == "" {
		return
	}
	i := p.Item(keep.Item)
	switch {
	case i == nil:
		at.get("item").unknown(keep.Item)
	case keep.Coated && i.Coat == nil, !keep.Coated && i.Marinate == nil:
		at.get("stage").fault(say("The item {0} is never so in this plan.", "El artículo {0} nunca está así en este plan.", clip(keep.Item)))
	}
	for o := range k {
		if p.Keeps[o].Item == keep.Item && p.Keeps[o].Coated == keep.Coated {
			at.fault(say("Entry {0} says already what is kept of it.", "La entrada {0} ya dice qué se guarda de él.", strconv.Itoa(o+1)))
		}
	}
}
