package afterwards

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// apart is how many minutes may lie between two vessels of one session.
const apart = 20

// done lists what was done with an item for the day.
func (l *looking) done(i int, w *Work) {
	it := &l.p.Items[i]
	from, to := int(l.from.Since(l.zero)/stamp.Minute), int(l.to.Since(l.zero)/stamp.Minute)
	first := len(w.Loads)
	var tubs, pans []planner.Session
	l.deeds(l.names.Items[i].Procedure, func(d *kitchen.Deed, at int, stage Stage, begins bool) {
		if d.Sort == kitchen.DeedCame && stage == Marinated {
			if begins && l.serves(it, at) {
				tubs = session(tubs, i, at, l.grams(i, d), 1)
			}
			return
		}
		if at < from || at >= to && !(stage == Fried && at < to+apart) {
			return
		}
		switch {
		case d.Sort == kitchen.DeedThrown:
			w.Thrown = append(w.Thrown, l.thrown(i, d, at, stage))
		case d.Sort != kitchen.DeedCame:
		case stage == Fried && begins:
			w.Loads = append(w.Loads, Load{Item: i, Start: at, Units: max(l.units(i, d), 1)})
		case stage == Fried && l.isHold(i, d.Stage):
			l.held(w.Loads[first:], it, at, l.pieces(i, d))
		case stage == Coated && begins && it.Coat != nil:
			pans = session(pans, i, at, l.grams(i, d), 0)
		}
	})
	each := max(int(l.names.Items[i].UnitGrams), 1)
	for _, list := range [...][]planner.Session{pans, tubs} {
		for n := range list {
			list[n].Units = (list[n].Units + each/2) / each
		}
	}
	for n := range pans {
		pans[n].Blocks = blocks(it.Coat.Modes, pans[n].Units)
	}
	for n := range tubs {
		tubs[n].Blocks = blocks(it.Marinate.Modes, tubs[n].Tubs)
	}
	w.Coats, w.Marinades = append(w.Coats, pans...), append(w.Marinades, tubs...)
}

func (l *looking) isHold(i int, stage string) bool {
	st, _ := l.s.Procedure(l.names.Items[i].Procedure, 0).Stage(stage)
	return st != nil && st.Kind == procedure.Hold
}

func (l *looking) thrown(i int, d *kitchen.Deed, at int, stage Stage) Thrown {
	t := Thrown{Item: i, Stage: stage, At: at, Grams: d.Grams, Why: d.Why}
	if stage == Fried {
		t.Amount = l.pieces(i, d)
	} else {
		t.Amount = l.units(i, d)
	}
	if n := &l.names.Items[i]; t.Grams == 0 && n.Pieces > 0 {
		t.Grams = d.Pieces * n.UnitGrams / int64(n.Pieces)
	}
	return t
}

// held brings a tray to the hold: it comes from the oldest load that is out by then and has not given all it had.
func (l *looking) held(loads []Load, it *planner.Item, at, pieces int) {
	best := -1
	for n := range loads {
		if x := &loads[n]; x.Start+it.Cook.Out/2 <= at && (x.Ready == 0 || at-x.Ready <= apart/2 && x.Pieces+pieces <= it.Cook.MaxUnits*it.UnitPieces) {
			best = n
			break
		}
	}
	if best < 0 {
		return
	}
	x := &loads[best]
	if x.Ready == 0 {
		x.Ready = at
	}
	x.Pieces, x.Until = x.Pieces+pieces, at+it.Cook.Hold-it.Cook.Ready
}

// session puts a vessel to the others of its session, or begins one. Units are grams until all of it is there.
func session(list []planner.Session, item, at, units, tubs int) []planner.Session {
	if n := len(list) - 1; n >= 0 && at-list[n].Start <= apart {
		list[n].Units, list[n].Tubs = list[n].Units+units, list[n].Tubs+tubs
		return list
	}
	return append(list, planner.Session{Item: item, Start: at, Units: units, Tubs: tubs})
}

// blocks is how long so much takes: the longest that there is, where it is more than ever fits.
func blocks(modes []planner.Mode, amount int) int {
	fits, longest := 0, 0
	for _, m := range modes {
		if m.Most >= amount && (fits == 0 || m.Blocks < fits) {
			fits = m.Blocks
		}
		longest = max(longest, m.Blocks)
	}
	if fits == 0 {
		return longest
	}
	return fits
}
