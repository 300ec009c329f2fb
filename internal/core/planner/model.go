package planner

// model is a problem with what the search asks again and again worked out once.
type model struct {
	*Problem
	ticks, blocks, slots int
	items                []itemModel
	room                 [][]int16 // fryers of a group by tick
	open                 [][]int32 // by station and block: the block after the last of the window that holds it; 0: closed
	panLCM, tubLCM       int32
	carry                [2][]int // by item, of coated (1) and marinated (0): place in Carry, or -1
}

// itemModel is what holds for one item whatever is decided.
type itemModel struct {
	*Item
	first, last          []int16 // slots that a load at a tick can sell in; last < first: none
	span                 int     // ticks for which a load takes its fryer
	hot                  []lot   // of slots: ready is the first, until the last
	coated, marinated    []lot
	panWeight, tubWeight int32 // of a unit, in parts of a place
}

// lot is an amount that comes to be used, oldest first.
type lot struct {
	ready, until, best int
	most, used         int
	over               int // minutes past best of each unit, summed up
	block              int // where its place begins to be taken
	from               int // session, or -1-n for lot n of the beginning
}

func newModel(p *Problem) *model {
	m := &model{Problem: p, ticks: (p.Close-p.Start)/p.Tick + 1, slots: (p.Close - p.Open) / p.Slot, panLCM: 1, tubLCM: 1}
	m.blocks = (p.Close-p.Start)/p.Block + 1
	m.rooms()
	for _, st := range p.Stations {
		row := make([]int32, m.blocks+1)
		for _, w := range st.Windows {
			from, to := (w.From-p.Start+p.Block-1)/p.Block, (w.To-p.Start)/p.Block
			for b := max(from, 0); b < min(to, m.blocks); b++ {
				row[b] = int32(to)
			}
		}
		m.open = append(m.open, row)
	}
	for i := range p.Items {
		if c := p.Items[i].Coat; c != nil {
			m.panLCM = lcm(m.panLCM, int32(c.UnitsPerPan))
		}
		if c := p.Items[i].Marinate; c != nil {
			m.tubLCM = lcm(m.tubLCM, int32(c.TubUnits))
		}
	}
	for i := range p.Items {
		m.items = append(m.items, m.item(i))
	}
	for stage := range m.carry {
		m.carry[stage] = make([]int, len(p.Items))
		for i := range p.Items {
			m.carry[stage][i] = -1
		}
	}
	for n, c := range p.Carry {
		stage := 0
		if c.Coated {
			stage = 1
		}
		m.carry[stage][c.Item] = n
	}
	return m
}

func (m *model) rooms() {
	for g := range m.Groups {
		row := make([]int16, m.ticks+64)
		for k := range row {
			t := m.Start + k*m.Tick
			for _, w := range m.Groups[g].Windows {
				if w.From <= t && t < w.To {
					row[k] = int16(w.Count)
				}
			}
			for _, b := range m.Problem.Busy {
				if b.Group == g && t < b.Until && row[k] > 0 {
					row[k]--
				}
			}
		}
		m.room = append(m.room, row)
	}
}

func (m *model) item(i int) itemModel {
	it := itemModel{Item: &m.Items[i]}
	c := &it.Cook
	it.span = (c.Busy + m.Tick - 1) / m.Tick
	it.first, it.last = make([]int16, m.ticks), make([]int16, m.ticks)
	for k := range m.ticks {
		it.first[k], it.last[k] = m.covers(m.Start+k*m.Tick+c.Out+c.Ready, m.Start+k*m.Tick+c.Out+c.Hold)
	}
	for n, l := range m.Problem.Hot {
		if l.Item == i {
			first, last := m.covers(l.Ready, l.Until)
			it.hot = append(it.hot, lot{ready: int(first), until: int(last), most: l.Amount, from: -1 - n})
		}
	}
	stock := func(all []Lot) (mine []lot) {
		for n, l := range all {
			if l.Item == i {
				mine = append(mine, lot{ready: l.Ready, until: l.Until, best: l.Best, most: l.Amount, from: -1 - n})
			}
		}
		return mine
	}
	it.coated, it.marinated = stock(m.Coated), stock(m.Marinated)
	for n := range it.coated {
		it.coated[n].best = never
	}
	if it.Coat != nil {
		it.panWeight = m.panLCM / int32(it.Coat.UnitsPerPan)
	}
	if it.Marinate != nil {
		it.tubWeight = m.tubLCM / int32(it.Marinate.TubUnits)
	}
	return it
}

// covers returns the first and the last slot that lie wholly between two minutes.
func (m *model) covers(from, to int) (first, last int16) {
	first = int16(max(0, (from-m.Open+m.Slot-1)/m.Slot))
	if from < m.Open {
		first = 0
	}
	last = -1
	if to >= m.Open {
		last = int16(min(m.slots, (to-m.Open)/m.Slot) - 1)
	}
	return first, last
}

func lcm(a, b int32) int32 {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}
