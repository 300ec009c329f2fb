package afterwards

import (
	"brinebell/internal/core/demand"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Seen is one of a kitchen's days looked back on.
type Seen struct {
	*Report
	Day      int32
	Of       *Day
	Names    *planning.Names
	Accepted *kitchen.PlanMark // nil: no plan was
	Over     bool              // it is over: what it cost is known
	Told     bool              // somebody counted what was sold here, so that minutes without any are known
}

// Reach tells whether a state holds all that is needed to look back on a day.
func Reach(s *kitchen.State, day int32) bool {
	today := s.WallDay(s.Last.At)
	return day <= today && day >= today-1
}

// Of looks back on a day out of a state, or returns nil where the kitchen has nothing to plan by, was closed, or nobody wrote
// down what was done.
func Of(s *kitchen.State, day int32, now stamp.Milli) *Seen {
	doc := s.PlanDocument()
	if doc == nil {
		return nil
	}
	l := looking{s: s, doc: doc, day: day, now: now, zero: s.DayStart(day)}
	l.from, l.to = l.ends(day-1), l.ends(day)
	bare := *s // what stands there now does not tell what stood there then
	bare.Batches, bare.Places = nil, nil
	p, names, _ := planning.Problem(&bare, l.from, day, planning.Options{})
	if p == nil {
		return nil
	}
	l.p, l.names = p, names
	x := &Seen{Day: day, Of: &Day{Problem: p}, Names: names, Accepted: s.PlanOf(day), Over: now >= names.At(p.Close)}
	for i := range p.Items {
		it, told := l.item(i)
		x.Of.Items, x.Told = append(x.Of.Items, it), x.Told || told
		l.stock(i)
		l.done(i, &x.Of.Done)
	}
	if x.Over && len(x.Of.Done.Loads) == 0 {
		return nil // nobody wrote down what was done
	}
	l.settle()
	l.fryers()
	l.keeps(&x.Of.Done)
	x.Of.Plan = l.planned(x.Accepted)
	x.Report = Look(x.Of)
	return x
}

// looking is a state that is asked about a day.
type looking struct {
	s        *kitchen.State
	doc      *procedure.Plan
	day      int32
	now      stamp.Milli
	zero     stamp.Milli
	from, to stamp.Milli // the day's work: from the close of the day before to its own
	p        *planner.Problem
	names    *planning.Names
}

// ends is when the work for a day ends: at its close, or, where the kitchen is closed, in the evening.
func (l *looking) ends(day int32) stamp.Milli {
	close := 18 * stamp.Hour
	for i, first := 0, true; i < len(l.doc.Open); i++ {
		if h := l.doc.Open[i]; procedure.On(h.Days, kitchen.Weekday(day)) && (first || h.To > close) {
			close, first = h.To, false
		}
	}
	for ; close >= stamp.Day; day++ {
		close -= stamp.Day
	}
	return l.s.WallAt(day, close)
}

// item is what was seen of an item, in the problem's slots; told: somebody counted here.
func (l *looking) item(i int) (it Item, told bool) {
	slots := (l.p.Close - l.p.Open) / l.p.Slot
	it = Item{Sold: make([]int, slots), Away: make([]int, slots), None: make([]int, slots)}
	name := l.names.Items[i].Procedure
	var days [2]*kitchen.SalesDay // the day, and the hours after its midnight
	list := l.s.SalesOf(name)
	for n := range list {
		if after := list[n].Day - l.day; after == 0 || after == 1 {
			days[after] = list[n].SalesDay
			told = told || after == 0 && list[n].Each() == 0
		}
	}
	l.standing(name, &days)
	if days[0] == nil { // nobody sold or offered any of it
		return it, false
	}
	const cells = kitchen.SlotMinutes / kitchen.CellMinutes
	for n := range kitchen.DayCells * 2 {
		slot, x := l.slotAt(n*kitchen.CellMinutes), days[n/kitchen.DayCells]
		if slot < 0 || slot >= slots || x == nil {
			continue
		}
		c := n % kitchen.DayCells
		if told && !x.There(c) && l.zero.Add(stamp.Span(n+1)*kitchen.CellMinutes*stamp.Minute) <= l.now {
			it.None[slot] += kitchen.CellMinutes
		}
		var there, none [cells]bool
		for k := range there {
			there[k] = x.There(c - c%cells + k)
			none[k] = !there[k]
		}
		it.Sold[slot] += share(int(x.Sold(c/cells)), there[:], c%cells)
		it.Away[slot] += share(int(x.Away(c/cells)), none[:], c%cells)
	}
	o := demand.Outlook(l.s, name, l.day, l.day, kitchen.Weekday(l.day))
	it.Usual = make([]int64, slots)
	if o.Days == 0 { // then by what the plan's document says
		for slot, n := range l.p.Items[i].Demand {
			it.Usual[slot] = int64(n) * 1000
		}
		return it, told
	}
	for n := range kitchen.DayCells {
		if slot := l.slotAt(n * kitchen.CellMinutes); slot >= 0 && slot < slots {
			it.Usual[slot] += o.Mean[n/cells] / cells
		}
	}
	return it, told
}

// standing marks what stands in the hold at this moment: the state tells of it when it has gone.
func (l *looking) standing(name string, days *[2]*kitchen.SalesDay) {
	for after := range days {
		d := days[after]
		if d == nil {
			d = new(kitchen.SalesDay)
		}
		if l.s.Offered(name, l.day+int32(after), d, l.now); *d != (kitchen.SalesDay{}) {
			days[after] = d
		}
	}
}

// slotAt is the slot of a minute of the day, -1 before the first.
func (l *looking) slotAt(minute int) int {
	if minute < l.p.Open {
		return -1
	}
	return (minute - l.p.Open) / l.p.Slot
}

// share is the part of a number that falls into the k-th of some cells: evenly into those that are on, into all where none is.
func share(n int, on []bool, k int) int {
	before, all := 0, 0
	for i := range on {
		if on[i] {
			if i < k {
				before++
			}
			all++
		}
	}
	if all == 0 {
		return n*(k+1)/len(on) - n*k/len(on)
	}
	if !on[k] {
		return 0
	}
	return n*(before+1)/all - n*before/all
}

// deeds calls do with all that was done with an item, in the order of time, at which minute of the problem, and at which of the
// planner's stages.
func (l *looking) deeds(item string, do func(d *kitchen.Deed, at int, stage Stage, first bool)) {
	pr := l.s.Procedure(item, 0)
	for i := range l.s.Done {
		w := &l.s.Done[i]
		if w.Item != item || pr == nil {
			continue
		}
		for k := range w.Deeds {
			stage, first := stageOf(pr, w.Deeds[k].Stage)
			do(&w.Deeds[k], int(w.Day-l.day)*1440+int(w.Deeds[k].Minute), stage, first)
		}
	}
}

// stageOf tells at which of the planner's stages a procedure's stage is, and whether it is the first of it. What is fried comes to
// the hold with its first: there it may be sold.
func stageOf(pr *procedure.Procedure, name string) (stage Stage, first bool) {
	_, at := pr.Stage(name)
	fry := len(pr.Stages)
	for i := range pr.Stages {
		if pr.Stages[i].Vessel == "load" {
			fry = min(fry, i)
		}
	}
	coat := 0
	for i := 1; i < fry; i++ {
		if pr.Stages[i].Vessel != pr.Stages[i-1].Vessel {
			coat = i
		}
	}
	switch {
	case at >= fry:
		return Fried, at == fry
	case at >= coat:
		return Coated, at == coat
	}
	return Marinated, at == 0
}

// units is how many units so much of an item is.
func (l *looking) units(i int, d *kitchen.Deed) int {
	n := &l.names.Items[i]
	if d.Pieces > 0 && n.Pieces > 0 {
		return (int(d.Pieces) + n.Pieces/2) / n.Pieces
	}
	each := max(n.UnitGrams, 1)
	return int((d.Grams + each/2) / each)
}

// grams is how much of an item's raw product it is.
func (l *looking) grams(i int, d *kitchen.Deed) int {
	if n := &l.names.Items[i]; d.Grams == 0 && n.Pieces > 0 {
		return int(d.Pieces * n.UnitGrams / int64(n.Pieces))
	}
	return int(d.Grams)
}

// pieces is how many pieces so much of an item is.
func (l *looking) pieces(i int, d *kitchen.Deed) int {
	if d.Pieces > 0 {
		return int(d.Pieces)
	}
	n := &l.names.Items[i]
	return int(d.Grams * int64(n.Pieces) / max(n.UnitGrams, 1))
}

// stock works out what stood there when the day's work began: all that was made before, less what was taken, oldest first.
func (l *looking) stock(i int) {
	it := &l.p.Items[i]
	start := int(l.from.Since(l.zero) / stamp.Minute)
	var lots [2][]planner.Lot
	take := func(stage Stage, n int) {
		for k := range lots[stage] {
			x := min(lots[stage][k].Amount, n)
			lots[stage][k].Amount, n = lots[stage][k].Amount-x, n-x
		}
	}
	l.deeds(l.names.Items[i].Procedure, func(d *kitchen.Deed, at int, stage Stage, first bool) {
		n := l.units(i, d)
		switch {
		case at >= start || first && stage == Marinated && l.serves(it, at):
		case d.Sort != kitchen.DeedCame:
			if stage < Fried {
				take(stage, n)
			}
		case !first:
		case stage == Fried:
			take(Coated, n)
		case stage == Coated && it.Coat != nil:
			take(Marinated, n)
			lots[Coated] = append(lots[Coated], planner.Lot{Item: i, Amount: n, Ready: at + l.p.Block + it.Coat.SetMin, Until: at + it.Coat.SetMax})
		case stage == Marinated && it.Marinate != nil:
			m := it.Marinate
			lots[Marinated] = append(lots[Marinated], planner.Lot{Item: i, Amount: n, Ready: at + l.p.Block + m.Min + m.Drain,
				Until: at + m.Max + m.Drain, Best: at + m.Best + m.Drain})
		}
	})
	for stage := range lots {
		for _, lot := range lots[stage] {
			if lot.Amount <= 0 || lot.Until < start {
				continue
			}
			if Stage(stage) == Marinated {
				l.p.Marinated = append(l.p.Marinated, lot)
			} else {
				l.p.Coated = append(l.p.Coated, lot)
			}
		}
	}
}

// serves tells whether a tub that was started at a minute could be coated on the day, and on none before it: it is of this day's
// work, though the evening before saw it.
func (l *looking) serves(it *planner.Item, at int) bool {
	if it.Marinate == nil {
		return false
	}
	ready := at + l.p.Block + it.Marinate.Min + it.Marinate.Drain
	return ready > int(l.from.Since(l.zero)/stamp.Minute) && ready <= int(l.to.Since(l.zero)/stamp.Minute)
}

// settle makes room for what stood there, however few places there are.
func (l *looking) settle() {
	w := replay{p: l.p, works: make([]work, len(l.p.Items))}
	l.p.Tubs = max(l.p.Tubs, (w.places(Marinated, l.p.Start)+thousand-1)/thousand)
	l.p.Pans = max(l.p.Pans, (w.places(Coated, l.p.Start)+thousand-1)/thousand)
}

// keeps makes the problem leave for the day after what was really left: who wants to leave less pays for it.
func (l *looking) keeps(w *Work) {
	l.p.Carry = nil
	for i := range l.p.Items {
		it := &l.p.Items[i]
		if it.Marinate != nil {
			at := l.p.Close
			for _, s := range w.Marinades {
				if s.Item == i {
					at = max(at, s.Start+s.Blocks*l.p.Block+it.Marinate.Min+it.Marinate.Drain)
				}
			}
			l.p.Carry = append(l.p.Carry, planner.Carry{Item: i, At: at, Units: 1 << 20})
		}
		if it.Coat != nil {
			at := l.p.Close
			for _, s := range w.Coats {
				if s.Item == i {
					at = max(at, s.Start+s.Blocks*l.p.Block+it.Coat.SetMin)
				}
			}
			l.p.Carry = append(l.p.Carry, planner.Carry{Item: i, Coated: true, At: at, Units: 1 << 20})
		}
	}
	was := newReplay(l.p, w)
	var list []planner.Carry
	for _, c := range l.p.Carry {
		it := &l.p.Items[c.Item]
		kept := was.base[c.Item].kept
		if c.Units, c.ShortCost = kept[Marinated], 0; c.Coated {
			c.Units, c.ShortCost = kept[Coated], it.Coat.DiscardCost
		} else {
			c.ShortCost = it.Marinate.DiscardCost
		}
		for _, keep := range l.doc.Keeps {
			if keep.Item == l.names.Items[c.Item].Procedure && keep.Coated == c.Coated {
				c.ShortCost = planner.Money(keep.Short) * (planner.Unit / 1_000_000)
			}
		}
		if c.Units > 0 {
			list = append(list, c)
		}
	}
	l.p.Carry = list
}

// fryers takes fryers that were out of use out of the problem's windows.
func (l *looking) fryers() {
	for g := range l.p.Groups {
		var list []planner.Window
		for _, w := range l.p.Groups[g].Windows {
			for t := w.From; t < w.To; t += l.p.Tick {
				n := 0
				for _, f := range l.names.Groups[g].Fryers {
					if !l.out(f.Name, t) {
						n++
					}
				}
				if k := len(list) - 1; k >= 0 && list[k].Count == n && list[k].To == t {
					list[k].To = t + l.p.Tick
					continue
				}
				list = append(list, planner.Window{From: t, To: t + l.p.Tick, Count: n})
			}
		}
		l.p.Groups[g].Windows = list
	}
}

// out tells whether a fryer was out of use at a minute.
func (l *looking) out(fryer string, at int) bool {
	out, known := l.s.Place(fryer).Out, false
	for i := range l.s.Done {
		w := &l.s.Done[i]
		for k := range w.Deeds {
			d := &w.Deeds[k]
			if w.Item != "" || d.Stage != fryer {
				continue
			}
			went := d.Sort == kitchen.DeedOut
			if then := int(w.Day-l.day)*1440 + int(d.Minute); then > at {
				if !known {
					return !went // before what is told first it was otherwise
				}
				return out
			}
			out, known = went, true
		}
	}
	return out
}

// planned is the plan that was accepted, as work on the problem's items.
func (l *looking) planned(mark *kitchen.PlanMark) *Work {
	if mark == nil {
		return nil
	}
	w := &Work{}
	shift := int(mark.Zero.Since(l.zero) / stamp.Minute)
	for _, r := range mark.Rows {
		if int(r.Item) >= len(mark.Items) {
			continue
		}
		item := -1
		for i := range l.names.Items {
			if l.names.Items[i].Procedure == mark.Items[r.Item].Item {
				item = i
			}
		}
		at := int(r.Start) + shift
		if item < 0 {
			continue
		}
		if tubs := r.Deed == entry.PlanTubs; tubs && !l.serves(&l.p.Items[item], at) || !tubs && (at < l.p.Start || at >= l.p.Close) {
			continue
		}
		units := int(r.Units)
		it := &l.p.Items[item]
		s := planner.Session{Item: item, Start: at, Units: units, Tubs: int(r.Tubs), Blocks: max((int(r.Spell)+l.p.Block-1)/l.p.Block, 1)}
		switch r.Deed {
		case entry.PlanLoad:
			w.Loads = append(w.Loads, Load{Item: item, Start: at, Units: units})
		case entry.PlanCoat:
			if it.Coat != nil {
				w.Coats = append(w.Coats, s)
			}
		case entry.PlanTubs:
			if it.Marinate != nil {
				w.Marinades = append(w.Marinades, s)
			}
		}
	}
	return w
}
