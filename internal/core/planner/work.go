package planner

// never is after everything.
const never = 1 << 40

// drop is a load as the search holds it: when, and how many units it would have.
type drop struct {
	tick  int16
	units int16
}

// spell is a session as the search holds it.
type spell struct{ block, mode, most int16 } // most-1 units at most; 0: as many as its mode allows

// work is all that is decided about one item, and what comes of it.
type work struct {
	loads  []drop // by tick
	coats  []spell
	salts  []spell // marinating
	cost   Money
	missed Money   // of what is kept for tomorrow
	wrong  bool    // there is no way to do this
	queue  []lot   // sources of sales
	unmet  []int16 // by slot
	coated []lot   // what was taken of each lot
	salted []lot
	pans   []int32 // places taken at the start of each block, in parts
	tubs   []int32
	tell   *telling
}

type soldAt struct{ source, slot, pieces int }

// telling writes down who takes what from where.
type telling struct {
	loads [][]From
	coats [][]From
	carry [2][]From
	sold  []soldAt // source: load, or -1-n for hot lot n
}

func (w *work) copyFrom(o *work) {
	w.loads = append(w.loads[:0], o.loads...)
	w.coats = append(w.coats[:0], o.coats...)
	w.salts = append(w.salts[:0], o.salts...)
	w.cost = o.cost
	w.unmet = append(w.unmet[:0], o.unmet...)
	w.coated = append(w.coated[:0], o.coated...)
	w.salted = append(w.salted[:0], o.salted...)
	w.pans = append(w.pans[:0], o.pans...)
	w.tubs = append(w.tubs[:0], o.tubs...)
}

// judge works out what comes of an item's loads and sessions: who takes what from where, oldest first; loads for which there
// is not enough shrink or go, sessions of which nothing is used go too. It returns the cost.
func (m *model) judge(i int, w *work) Money {
	it := &m.items[i]
	w.missed, w.wrong = 0, false
	if it.Coat != nil {
		fine := false
		for n := 0; n < 8 && !fine; n++ {
			if w.tell != nil {
				*w.tell = telling{}
			}
			m.takeCoated(i, w)
			fine = it.Marinate == nil || m.takeMarinated(i, w)
		}
		w.wrong = !fine
	}
	w.cost = m.sell(i, w) + it.Cook.LoadCost*Money(len(w.loads)) + w.missed
	if it.Coat != nil {
		w.cost += m.coating(i, w)
	}
	if it.Marinate != nil {
		w.cost += m.marinating(i, w)
	}
	if w.wrong {
		w.cost = 1 << 60
	}
	return w.cost
}

// coating is what an item's coat sessions and what was left of coated lots cost. Sessions of which nothing is used go.
func (m *model) coating(i int, w *work) (cost Money) {
	c := m.items[i].Coat
	n := 0
	for k := range w.coated {
		l := &w.coated[k]
		switch {
		case l.from < 0:
			cost += c.DiscardCost * Money(l.most-l.used)
		case l.used > 0:
			w.coats[n] = w.coats[l.from]
			cost += c.SessionCost + c.BlockCost*Money(c.Modes[w.coats[n].mode].Blocks)
			n++
		}
	}
	w.coats = w.coats[:n]
	return cost
}

func (m *model) marinating(i int, w *work) (cost Money) {
	c := m.items[i].Marinate
	n := 0
	for k := range w.salted {
		l := &w.salted[k]
		cost += c.OverBest * Money(l.over)
		switch {
		case l.from < 0:
			cost += c.DiscardCost * Money(l.most-l.used)
		case l.used > 0:
			w.salts[n] = w.salts[l.from]
			cost += c.SessionCost + c.BlockCost*Money(c.Modes[w.salts[n].mode].Blocks) + c.TubCost*Money(tubsFor(l.used, c))
			n++
		}
	}
	w.salts = w.salts[:n]
	return cost
}

func tubsFor(units int, c *Marinate) int { return (units + c.TubUnits - 1) / c.TubUnits }

// sell lets demand take from hot lots and loads, what may be sold the shortest first; it returns what unmet demand and waste
// cost.
func (m *model) sell(i int, w *work) Money {
	it := &m.items[i]
	w.queue = append(w.queue[:0], it.hot...)
	for n, l := range w.loads {
		w.queue = append(w.queue, lot{ready: int(it.first[l.tick]), until: int(it.last[l.tick]), most: int(l.units) * it.UnitPieces, from: n})
	}
	w.unmet = w.unmet[:0]
	at, unmet, waste := 0, 0, 0
	for s, want := range it.Demand {
		for want > 0 && at < len(w.queue) {
			l := &w.queue[at]
			if l.until < s || l.used == l.most {
				at++
				continue
			}
			if l.ready > s {
				break
			}
			n := min(want, l.most-l.used)
			l.used += n
			want -= n
			if w.tell != nil {
				w.tell.sold = append(w.tell.sold, soldAt{l.from, s, n})
			}
		}
		w.unmet = append(w.unmet, int16(want))
		unmet += want
	}
	for n := range w.queue {
		waste += w.queue[n].most - w.queue[n].used
	}
	return it.Margin*Money(unmet) + it.Cook.WasteCost*Money(waste)
}

// takeCoated lets loads, and then what is kept for tomorrow, take from coated stock.
func (m *model) takeCoated(i int, w *work) {
	it := &m.items[i]
	c := it.Coat
	w.missed = 0
	w.coated = append(w.coated[:0], it.coated...)
	for n, s := range w.coats {
		t := m.Start + int(s.block)*m.Block
		mode := &c.Modes[s.mode]
		most := mode.Most
		if s.most > 0 {
			most = min(most, int(s.most)-1)
		}
		w.coated = append(w.coated, lot{ready: t + mode.Blocks*m.Block + c.SetMin, until: t + c.SetMax, most: most, best: never, block: int(s.block), from: n})
	}
	if cap(w.pans) < m.blocks+1 {
		w.pans = make([]int32, m.blocks+1)
	}
	w.pans = w.pans[:m.blocks+1]
	clear(w.pans)
	at := 0
	keep := w.loads[:0]
	for n, l := range w.loads {
		got := m.take(w.coated, w.pans, &at, m.Start+int(l.tick)*m.Tick, int(l.units), w.tell.load(n))
		if got > 0 {
			keep = append(keep, drop{l.tick, int16(got)})
		}
	}
	w.loads = keep
	if n := m.carry[1][i]; n >= 0 {
		got := m.take(w.coated, w.pans, &at, m.Carry[n].At, m.Carry[n].Units, w.tell.kept(1))
		w.missed += m.Carry[n].ShortCost * Money(m.Carry[n].Units-got)
	}
	m.leftOver(w.coated, w.pans)
}

// take takes units out of lots at an instant, oldest first.
func (m *model) take(lots []lot, places []int32, at *int, now, units int, from *[]From) int {
	got := 0
	for got < units && *at < len(lots) {
		l := &lots[*at]
		if l.until < now || l.used >= l.most {
			*at++
			continue
		}
		if l.ready > now {
			break
		}
		n := min(units-got, l.most-l.used)
		l.used += n
		got += n
		l.over += n * max(0, now-l.best)
		places[l.block] += int32(n)
		if b := m.blockAt(now); b < len(places) {
			places[b] -= int32(n)
		}
		if from != nil {
			*from = append(*from, fromLot(l, n))
		}
	}
	return got
}

func fromLot(l *lot, n int) From {
	if l.from < 0 {
		return From{Lot: -1 - l.from, Units: n}
	}
	return From{Lot: l.from, Own: true, Units: n}
}

// blockAt returns the first block that begins at an instant or after it.
func (m *model) blockAt(now int) int { return max(0, (now-m.Start+m.Block-1)/m.Block) }

// leftOver lets what nobody takes of the lots of the beginning keep its place until it expires, and sums up.
func (m *model) leftOver(lots []lot, places []int32) {
	for n := range lots {
		l := &lots[n]
		if rest := l.most - l.used; l.from < 0 && rest > 0 && l.until >= m.Start {
			places[0] += int32(rest)
			if b := m.blockAt(l.until + 1); b < len(places) {
				places[b] -= int32(rest)
			}
		}
	}
	for b := 1; b < len(places); b++ {
		places[b] += places[b-1]
	}
}

// takeMarinated lets coat sessions take from marinated stock; false when some of them had more units than there were.
func (m *model) takeMarinated(i int, w *work) bool {
	it := &m.items[i]
	c := it.Marinate
	w.salted = append(w.salted[:0], it.marinated...)
	for n, s := range w.salts {
		t := m.Start + int(s.block)*m.Block
		mode := &c.Modes[s.mode]
		end := t + c.Drain
		most := mode.Most * c.TubUnits
		if s.most > 0 {
			most = min(most, int(s.most)-1)
		}
		w.salted = append(w.salted, lot{ready: end + mode.Blocks*m.Block + c.Min, until: end + c.Max, best: end + c.Best,
			most: most, block: int(s.block), from: n})
	}
	if cap(w.tubs) < m.blocks+1 {
		w.tubs = make([]int32, m.blocks+1)
	}
	w.tubs = w.tubs[:m.blocks+1]
	clear(w.tubs)
	at, fine := 0, true
	for n := range w.coated {
		l := &w.coated[n]
		if l.from < 0 || l.used == 0 {
			continue
		}
		got := m.take(w.salted, w.tubs, &at, m.Start+l.block*m.Block, l.used, w.tell.coat(l.from))
		if got < l.used {
			fine = false
			w.coats[l.from].most = int16(got) + 1
		}
	}
	if !fine {
		return false
	}
	if n := m.carry[0][i]; n >= 0 {
		got := m.take(w.salted, w.tubs, &at, m.Carry[n].At, m.Carry[n].Units, w.tell.kept(0))
		w.missed += m.Carry[n].ShortCost * Money(m.Carry[n].Units-got)
	}
	m.leftOver(w.salted, w.tubs)
	return true
}

func (t *telling) load(n int) *[]From {
	if t == nil {
		return nil
	}
	for len(t.loads) <= n {
		t.loads = append(t.loads, nil)
	}
	return &t.loads[n]
}

func (t *telling) coat(n int) *[]From {
	if t == nil {
		return nil
	}
	for len(t.coats) <= n {
		t.coats = append(t.coats, nil)
	}
	return &t.coats[n]
}

func (t *telling) kept(stage int) *[]From {
	if t == nil {
		return nil
	}
	return &t.carry[stage]
}
