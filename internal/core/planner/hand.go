package planner

import (
	"cmp"

	"brinebell/internal/core/order"
)

// Supply fills in who takes what from where, and what is sold out of what, for loads and sessions that somebody has fixed: always
// out of what expires first. What it cannot supply is left out, so that Check names it. With trim, loads and coat sessions
// become as small as what there is for them instead, and go where there is nothing.
func Supply(p *Problem, x *Plan, trim bool) {
	h := hand{p: p, x: x}
	h.coats(trim)
	h.loads(trim)
	h.carry()
	h.sales()
}

// hand supplies a plan made by hand.
type hand struct {
	p *Problem
	x *Plan
}

// stand is a lot while it is given away.
type stand struct {
	from               From
	item, left         int
	ready, until, best int
}

// take takes units of an item at a minute out of what expires first.
func take(lots []stand, item, now, units int) (from []From) {
	for i := range lots {
		l := &lots[i]
		if n := min(l.left, units); n > 0 && l.item == item && l.ready <= now && now <= l.until {
			l.left, units = l.left-n, units-n
			from = append(from, From{l.from.Lot, l.from.Own, n})
		}
	}
	return from
}

func sum(from []From) (n int) {
	for _, f := range from {
		n += f.Units
	}
	return n
}

func lotsOf(list []Lot) (out []stand) {
	for n, l := range list {
		out = append(out, stand{From{Lot: n}, l.Item, l.Amount, l.Ready, l.Until, l.Best})
	}
	return out
}

func byUntil(lots []stand) {
	order.Stable(lots, func(a, b stand) int { return cmp.Or(cmp.Compare(a.until, b.until), cmp.Compare(a.ready, b.ready)) })
}

// inOrder lists what was planned by its start.
func inOrder(n int, start func(int) int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	order.Stable(list, func(a, b int) int { return cmp.Compare(start(a), start(b)) })
	return list
}

// marinated lists what coat sessions can take from.
func (h *hand) marinated() []stand {
	lots := lotsOf(h.p.Marinated)
	for n, s := range h.x.Marinades {
		if m := h.p.Items[s.Item].Marinate; m != nil {
			end := s.Start + m.Drain
			lots = append(lots, stand{From{Lot: n, Own: true}, s.Item, s.Units, end + s.Blocks*h.p.Block + m.Min, end + m.Max, end + m.Best})
		}
	}
	byUntil(lots)
	return lots
}

func (h *hand) coated() []stand {
	lots := lotsOf(h.p.Coated)
	for n, s := range h.x.Coats {
		if k := h.p.Items[s.Item].Coat; k != nil {
			lots = append(lots, stand{From{Lot: n, Own: true}, s.Item, s.Units, s.Start + s.Blocks*h.p.Block + k.SetMin, s.Start + k.SetMax, never})
		}
	}
	byUntil(lots)
	return lots
}

func (h *hand) coats(trim bool) {
	lots := h.marinated()
	for _, n := range inOrder(len(h.x.Coats), func(n int) int { return h.x.Coats[n].Start }) {
		s := &h.x.Coats[n]
		s.From = nil
		if h.p.Items[s.Item].Marinate == nil {
			continue
		}
		s.From = take(lots, s.Item, s.Start, s.Units)
		if trim {
			s.Units = sum(s.From)
		}
	}
	if trim {
		kept := h.x.Coats[:0]
		for _, s := range h.x.Coats {
			if s.Units > 0 {
				kept = append(kept, s)
			}
		}
		h.x.Coats = kept
	}
}

func (h *hand) loads(trim bool) {
	lots := h.coated()
	for _, n := range inOrder(len(h.x.Loads), func(n int) int { return h.x.Loads[n].Start }) {
		l := &h.x.Loads[n]
		l.From = nil
		if h.p.Items[l.Item].Coat == nil {
			continue
		}
		l.From = take(lots, l.Item, l.Start, l.Units)
		if trim {
			l.Units = sum(l.From)
		}
	}
	if trim {
		kept := h.x.Loads[:0]
		for _, l := range h.x.Loads {
			if l.Units > 0 {
				kept = append(kept, l)
			}
		}
		h.x.Loads = kept
	}
}

// carry keeps for tomorrow what is left then.
func (h *hand) carry() {
	lots := [2][]stand{h.marinated(), h.coated()}
	used := func(stage int, f From) {
		for i := range lots[stage] {
			if l := &lots[stage][i]; l.from.Lot == f.Lot && l.from.Own == f.Own {
				l.left -= f.Units
			}
		}
	}
	for _, l := range h.x.Loads {
		for _, f := range l.From {
			used(1, f)
		}
	}
	for _, s := range h.x.Coats {
		for _, f := range s.From {
			used(0, f)
		}
	}
	h.x.Carry = make([][]From, len(h.p.Carry))
	for n, want := range h.p.Carry {
		stage := 0
		if want.Coated {
			stage = 1
		}
		h.x.Carry[n] = take(lots[stage], want.Item, want.At, want.Units)
	}
}

// hot is a source of what is sold.
type hot struct {
	load, lot, item, left, from, until int
}

// sales sells in each slot what may be sold no longer first.
func (h *hand) sales() {
	var list []hot
	for n, l := range h.p.Hot {
		list = append(list, hot{-1, n, l.Item, l.Amount, l.Ready, l.Until})
	}
	for n := range h.x.Loads {
		l := &h.x.Loads[n]
		l.Sells = nil
		k := &h.p.Items[l.Item].Cook
		out := l.Start + k.Out
		list = append(list, hot{n, 0, l.Item, l.Units * h.p.Items[l.Item].UnitPieces, out + k.Ready, out + k.Hold})
	}
	order.Stable(list, func(a, b hot) int { return cmp.Compare(a.until, b.until) })
	h.x.Hot = nil
	for i := range h.p.Items {
		for slot, wanted := range h.p.Items[i].Demand {
			t := h.p.Open + slot*h.p.Slot
			for k := range list {
				s := &list[k]
				n := min(s.left, wanted)
				if n <= 0 || s.item != i || t < s.from || t+h.p.Slot > s.until {
					continue
				}
				s.left, wanted = s.left-n, wanted-n
				if s.load < 0 {
					h.x.Hot = append(h.x.Hot, Sale{s.lot, slot, n})
				} else {
					l := &h.x.Loads[s.load]
					l.Sells = append(l.Sells, Sale{0, slot, n})
				}
			}
		}
	}
}
