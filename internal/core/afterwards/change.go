package afterwards

import (
	"brinebell/internal/core/order"
	"brinebell/internal/core/planner"
)

// Sort says what would have been changed.
type Sort uint8

// Sorts of changes.
const (
	LoadMore    Sort = iota // one load more, at At, of Units
	LoadLess                // the load of At left out
	LoadBigger              // the load of At with Units units more
	LoadSmaller             // with Units units fewer
	LoadEarlier             // the load of At By minutes earlier
	LoadLater               // or later
	TubMore                 // one load more, at At, out of one tub more, started at Tub and coated at Coat
	TubLess                 // one tub fewer at At
	CoatLess                // Units units fewer coated at At
	sorts
)

// Change is one thing that would have been done otherwise.
type Change struct {
	Sort      Sort
	Item      int
	At        int
	By        int // minutes
	Units     int
	Coat, Tub int // with one load more: where Coated or Tubs is not 0, when so many units more would have been coated, or tubs started
	Coated    int // units
	Tubs      int
	Saves     planner.Money
}

// changes tries one change after the other and returns, of each sort and item, the one that saves most; those that save most
// first.
func (r *replay) changes() []Change {
	var best []Change
	for i := range r.p.Items {
		t := trying{r: r, item: i, cost: r.base[i].costs.Sum(), use: r.use(r.p.Items[i].Cook.Group)}
		t.loads()
		t.more()
		t.sessions()
		for sort := range t.best {
			if c := t.best[sort]; c.Saves > 0 {
				best = append(best, c)
			}
		}
	}
	order.Stable(best, func(a, b Change) int {
		switch {
		case a.Saves > b.Saves:
			return -1
		case a.Saves < b.Saves:
			return 1
		}
		return 0
	})
	return best
}

// trying changes the work on one item.
type trying struct {
	r    *replay
	item int
	cost planner.Money
	best [sorts]Change
	use  []int // fryers taken by minute from Problem.Start on, of all items
}

// use counts by minute the fryers of a group that were taken.
func (r *replay) use(group int) []int {
	use := make([]int, r.p.Close+1440-r.p.Start)
	for i := range r.p.Items {
		k := &r.p.Items[i].Cook
		for _, l := range r.works[i].loads {
			for t := l.Start; k.Group == group && t < l.Start+k.Busy; t++ {
				if n := t - r.p.Start; n >= 0 && n < len(use) {
					use[n]++
				}
			}
		}
	}
	return use
}

// fits tells whether a load could have gone in at a minute, the one at without (none: below Start) left out.
func (t *trying) fits(at, without int) bool {
	k := &t.r.p.Items[t.item].Cook
	if at < t.r.p.Start || at > t.r.p.Close {
		return false
	}
	for m := at; m < at+k.Busy; m++ {
		n := m - t.r.p.Start
		if n >= len(t.use) {
			return false
		}
		taken := t.use[n]
		if without <= m && m < without+k.Busy {
			taken--
		}
		if taken >= t.r.p.Room(k.Group, m) {
			return false
		}
	}
	return true
}

// try works out what a change saves and keeps it if it is the best of its sort. Of two that save as much the first holds.
func (t *trying) try(c Change, w *work) {
	o := t.r.run(t.item, w, &t.r.base[t.item])
	c.Item, c.Saves = t.item, t.cost-o.costs.Sum()
	if o.short > 0 && c.Sort != TubLess && c.Sort != CoatLess {
		return // it would take from another load
	}
	if c.Saves > t.best[c.Sort].Saves && t.r.stands(t.item, w) {
		t.best[c.Sort] = c
	}
}

// loads leaves loads out, makes them bigger and smaller, and moves them.
func (t *trying) loads() {
	r, was := t.r, &t.r.works[t.item]
	k := &r.p.Items[t.item].Cook
	unit := max(r.p.Items[t.item].UnitPieces, 1)
	for n := range was.loads {
		l := was.loads[n]
		c := Change{At: l.Start}
		less := *was
		less.loads, less.loadOf = without(was.loads, n), without(was.loadOf, n)
		c.Sort, c.Units = LoadLess, l.Units
		t.try(c, &less)

		left := r.base[t.item].left[n]
		for _, by := range [...]int{left / unit, (left + unit - 1) / unit} {
			if by > 0 && by < l.Units {
				t.sized(n, -by, Change{Sort: LoadSmaller, At: l.Start, Units: by})
			}
		}
		for by := 1; l.Units+by <= k.MaxUnits; by++ {
			t.sized(n, by, Change{Sort: LoadBigger, At: l.Start, Units: by})
		}
		for _, by := range [...]int{1, 2, 3, 4, 6} {
			by *= r.p.Tick
			if t.fits(l.Start-by, l.Start) {
				t.moved(n, -by, Change{Sort: LoadEarlier, At: l.Start, By: by, Units: l.Units})
			}
			if t.fits(l.Start+by, l.Start) {
				t.moved(n, by, Change{Sort: LoadLater, At: l.Start, By: by, Units: l.Units})
			}
		}
	}
}

func without[T any](list []T, n int) []T {
	out := make([]T, 0, len(list))
	return append(append(out, list[:n]...), list[n+1:]...)
}

func (t *trying) sized(n, by int, c Change) {
	w := *t.r.works[t.item].copy()
	l := &w.loads[n]
	if l.Pieces > 0 {
		l.Pieces = max(l.Pieces+by*t.r.p.Items[t.item].UnitPieces, 1)
	}
	l.Units += by
	t.try(c, &w)
}

func (t *trying) moved(n, by int, c Change) {
	w := *t.r.works[t.item].copy()
	l := &w.loads[n]
	l.Start += by
	if l.Ready > 0 {
		l.Ready, l.Until = l.Ready+by, l.Until+by
	}
	w.settle()
	t.try(c, &w)
}

// copy returns work whose loads and sessions can be changed.
func (w *work) copy() *work {
	c := *w
	c.loads, c.loadOf = append([]Load(nil), w.loads...), append([]int(nil), w.loadOf...)
	c.coats, c.coatOf = append([]planner.Session(nil), w.coats...), append([]int(nil), w.coatOf...)
	c.salts = append([]planner.Session(nil), w.salts...)
	return &c
}

// settle puts loads in the order of their beginning again: what is left over of what goes in first is taken first.
func (w *work) settle() {
	for n := range w.loads {
		for k := n; k > 0 && w.loads[k].Start < w.loads[k-1].Start; k-- {
			w.loads[k], w.loads[k-1] = w.loads[k-1], w.loads[k]
			w.loadOf[k], w.loadOf[k-1] = w.loadOf[k-1], w.loadOf[k]
		}
	}
}

// more puts one load more in wherever guests were sent away, out of what stood there, or out of what could have been coated and
// marinated more. Of two that save as much the later is fresher.
func (t *trying) more() {
	r := t.r
	it := &r.p.Items[t.item]
	k := &it.Cook
	missed := r.base[t.item].missed
	for at := r.p.Close - (r.p.Close-r.p.Start)%r.p.Tick; at >= r.p.Start; at -= r.p.Tick {
		n := 0
		for _, m := range missed {
			if m >= at+k.Out+k.Ready && m < at+k.Out+k.Hold {
				n++
			}
		}
		if n == 0 || !t.fits(at, r.p.Start-k.Busy) {
			continue
		}
		last := 0
		for _, units := range [...]int{n / max(it.UnitPieces, 1), (n + it.UnitPieces - 1) / max(it.UnitPieces, 1)} {
			units = min(units, k.MaxUnits)
			if units <= last {
				continue
			}
			last = units
			w := r.works[t.item].copy()
			w.loads, w.loadOf = append(w.loads, Load{Item: t.item, Start: at, Units: units}), append(w.loadOf, -1)
			w.settle()
			t.try(Change{Sort: LoadMore, At: at, Units: units}, w)
			if it.Coat != nil {
				t.supplied(w, Change{Sort: LoadMore, At: at, Units: units})
			}
		}
	}
}

// supplied tries a load more with as many units more coated, and, where there is not enough for that, a tub more.
func (t *trying) supplied(w *work, c Change) {
	it := &t.r.p.Items[t.item]
	for n := range w.coats {
		s := &w.coats[n]
		if s.Start+s.Blocks*t.r.p.Block+it.Coat.SetMin > c.At || s.Start+it.Coat.SetMax < c.At {
			continue
		}
		more := w.copy()
		if !t.longer(&more.coats[n], it.Coat.Station, it.Coat.Modes, s.Units+c.Units) {
			continue
		}
		more.coats[n].Units += c.Units
		c.Coat, c.Coated = s.Start, c.Units
		t.try(c, more)
		if it.Marinate == nil {
			continue
		}
		m := it.Marinate
		for k := range more.salts {
			a := &more.salts[k]
			end := a.Start + m.Drain
			if end+a.Blocks*t.r.p.Block+m.Min > s.Start || end+m.Max < s.Start {
				continue
			}
			tub := more.copy()
			if !t.longer(&tub.salts[k], m.Station, m.Modes, a.Tubs+1) {
				continue
			}
			tub.salts[k].Units, tub.salts[k].Tubs = a.Units+min(c.Units, m.TubUnits), a.Tubs+1
			with := c
			with.Sort, with.Tub, with.Tubs = TubMore, a.Start, 1
			t.try(with, tub)
		}
	}
}

// longer gives a session the blocks that an amount takes, if its station was free for it.
func (t *trying) longer(s *planner.Session, station int, modes []planner.Mode, amount int) bool {
	blocks := 0
	for _, m := range modes {
		if m.Most >= amount && (blocks == 0 || m.Blocks < blocks) {
			blocks = m.Blocks
		}
	}
	if blocks == 0 {
		return false
	}
	from, to := s.Start+s.Blocks*t.r.p.Block, s.Start+blocks*t.r.p.Block
	if blocks <= s.Blocks {
		return true
	}
	s.Blocks = blocks
	for _, w := range t.r.p.Stations[station].Windows {
		if w.From <= s.Start && to <= w.To {
			return t.free(station, from, to)
		}
	}
	return false
}

// free tells whether nobody worked at a station from one minute to another.
func (t *trying) free(station, from, to int) bool {
	for i := range t.r.works {
		it, w := &t.r.p.Items[i], &t.r.works[i]
		if it.Coat != nil && it.Coat.Station == station && busy(w.coats, t.r.p.Block, from, to) ||
			it.Marinate != nil && it.Marinate.Station == station && busy(w.salts, t.r.p.Block, from, to) {
			return false
		}
	}
	return true
}

func busy(list []planner.Session, block, from, to int) bool {
	for _, s := range list {
		if s.Start < to && from < s.Start+s.Blocks*block {
			return true
		}
	}
	return false
}

// sessions starts a tub fewer, and coats less.
func (t *trying) sessions() {
	was, it := &t.r.works[t.item], &t.r.p.Items[t.item]
	for n, over := range t.r.base[t.item].over {
		if s := was.coats[n]; over > 0 {
			w := was.copy()
			c := Change{Sort: CoatLess, At: s.Start, Units: over}
			shrink(&w.coats[n], it.Coat.Modes, s.Units-over, s.Units-over)
			t.try(c, w)
		}
	}
	for n := range was.salts {
		s := was.salts[n]
		if s.Tubs < 1 {
			continue
		}
		w := was.copy()
		last := s.Units - (s.Tubs-1)*it.Marinate.TubUnits
		if last < 1 {
			last = s.Units / s.Tubs
		}
		shrink(&w.salts[n], it.Marinate.Modes, s.Units-last, s.Tubs-1)
		w.salts[n].Tubs = s.Tubs - 1
		if s.Tubs == 1 {
			w.salts = without(w.salts, n)
		}
		t.try(Change{Sort: TubLess, At: s.Start, Units: last, Tubs: 1}, w)
	}
}

// shrink gives a session the blocks that a smaller amount takes.
func shrink(s *planner.Session, modes []planner.Mode, units, amount int) {
	s.Units = units
	for _, m := range modes {
		if m.Most >= amount && m.Blocks < s.Blocks {
			s.Blocks = m.Blocks
		}
	}
}

// stands tells whether changed work finds room in the cold room: at the beginning of each session no more than there is, or than
// there stood.
func (r *replay) stands(item int, w *work) bool {
	if len(w.coats) == 0 && len(w.salts) == 0 {
		return true
	}
	was := r.works[item]
	for _, list := range [...][]planner.Session{w.coats, w.salts} {
		for _, s := range list {
			for stage, room := range [...]int{r.p.Tubs, r.p.Pans} {
				then := r.places(Stage(stage), s.Start)
				r.works[item] = *w
				now := r.places(Stage(stage), s.Start)
				r.works[item] = was
				if now > max(then, thousand*room) {
					return false
				}
			}
		}
	}
	return true
}

const thousand = 1000

// places counts the places that are taken at a minute, in thousandths: what came to a stage until then, less what had left it.
func (r *replay) places(stage Stage, at int) (n int) {
	for i := range r.works {
		it, w := &r.p.Items[i], &r.works[i]
		stands, each := 0, 0
		lots, came, left := r.p.Marinated, w.salts, w.coats
		if stage == Coated {
			if it.Coat == nil {
				continue
			}
			lots, came, left, each = r.p.Coated, w.coats, nil, it.Coat.UnitsPerPan
			for _, l := range w.loads {
				if l.Start <= at {
					stands -= l.Units
				}
			}
		} else {
			if it.Marinate == nil {
				continue
			}
			each = it.Marinate.TubUnits
		}
		for _, l := range lots {
			if l.Item == i && at <= l.Until {
				stands += l.Amount
			}
		}
		for _, s := range came {
			if s.Start <= at {
				stands += s.Units
			}
		}
		for _, s := range left {
			if s.Start <= at {
				stands -= s.Units
			}
		}
		for _, d := range w.thrown {
			if d.Stage == stage && d.At <= at {
				stands -= d.Amount
			}
		}
		n += max(stands, 0) * thousand / max(each, 1)
	}
	return n
}
