package planning

import "brinebell/internal/core/planner"

// together is how far apart slots with unmet demand may lie that are told as one, and longest how long that may be: minutes.
const (
	together = 30
	longest  = 120
)

// unmet lists demand that is not met, and why.
func (r *rowing) unmet() {
	for i := range r.p.Items {
		left := append([]int(nil), r.p.Items[i].Demand...)
		for _, l := range r.x.Loads {
			for _, s := range l.Sells {
				if l.Item == i {
					left[s.Slot] -= s.Pieces
				}
			}
		}
		for _, s := range r.x.Hot {
			if r.p.Hot[s.Lot].Item == i {
				left[s.Slot] -= s.Pieces
			}
		}
		for a := 0; a < len(left); a++ {
			if left[a] <= 0 {
				continue
			}
			b, pieces := a, 0
			for k := a; k < len(left) && (k-b)*r.p.Slot <= together && (k-a)*r.p.Slot < longest; k++ {
				if left[k] > 0 {
					b, pieces = k, pieces+left[k]
				}
			}
			from, to := r.p.Open+a*r.p.Slot, r.p.Open+(b+1)*r.p.Slot
			u := Unmet{Item: r.n.Items[i].Procedure, From: r.n.At(from), To: r.n.At(to), Pieces: pieces,
				Cost: r.p.Items[i].Margin * planner.Money(pieces)}
			u.Why, u.lack = r.why(i, from, to)
			if text := u.Why.Text; (text == "pl.why.pays" || text == "pl.why.session") && u.Cost > 2*r.making(i, pieces) {
				u.Why = Say{Text: "pl.why.found"}
			}
			r.out.Unmet = append(r.out.Unmet, u)
			a = b
		}
	}
}

// lack is which resource unmet demand lacks.
type lack uint8

const (
	lackNothing lack = iota // it does not pay, or it is too late for anything
	lackFryers
	lackMarinating // nobody starts tubs early enough
	lackCoating
	lackPans
	lackTubs
)

func (r *rowing) time(name string, minute int) Arg {
	return Arg{Name: name, Kind: ArgTime, N: int64(r.n.At(minute))}
}

// soon is the first minute of a grid that is not over.
func (r *rowing) soon(grid int) int {
	now := -floorDiv(-int(r.n.Now.Since(r.n.Zero)), 60_000)
	return r.p.Start - floorDiv(r.p.Start-now, grid)*grid
}

// why says what keeps demand from being met: it goes backwards from the hold until it finds what lacks.
func (r *rowing) why(i, from, to int) (Say, lack) {
	it := &r.p.Items[i]
	c := &it.Cook
	if r.fryers(c.Group) == 0 {
		return Say{Text: "pl.why.nofryer"}, lackFryers
	}
	first := max(r.soon(r.p.Tick), from+r.p.Slot-c.Out-c.Hold)
	first = r.p.Start - floorDiv(r.p.Start-first, r.p.Tick)*r.p.Tick
	last := to - r.p.Slot - c.Out - c.Ready
	if last < first {
		return Say{Text: "pl.why.late", Args: []Arg{r.time("time", r.soon(r.p.Tick)+c.Out+c.Ready)}}, lackNothing
	}
	stock, fryer, both := false, false, false
	for t := first; t <= last; t += r.p.Tick {
		s, f := r.stands(i, t), r.fryerFree(c, t)
		stock, fryer, both = stock || s, fryer || f, both || s && f
	}
	switch {
	case both:
		return Say{Text: "pl.why.pays", Args: []Arg{{Name: "load", Kind: ArgMoney, N: int64(c.LoadCost)}}}, lackNothing
	case stock, !fryer:
		return Say{Text: "pl.why.fryers", Args: []Arg{{Name: "n", N: int64(r.fryers(c.Group))}, r.time("from", first), r.time("to", last+c.Busy)}}, lackFryers
	}
	return r.whyCoated(i, last)
}

// making is about what it costs to make so many pieces out of nothing: a spell of each work, and loads as full as can be. The hold is short, so
// that twice as many loads are reckoned with.
func (r *rowing) making(i, pieces int) planner.Money {
	it := &r.p.Items[i]
	each := it.Cook.MaxUnits * it.UnitPieces
	cost := it.Cook.LoadCost * planner.Money(2*((pieces+each-1)/each))
	if k := it.Coat; k != nil {
		cost += k.SessionCost + k.BlockCost
	}
	if m := it.Marinate; m != nil {
		cost += m.SessionCost + m.BlockCost + m.TubCost
	}
	return cost
}

// fryers is how many fryers of a group there are.
func (r *rowing) fryers(group int) (n int) {
	for _, w := range r.p.Groups[group].Windows {
		n = max(n, w.Count)
	}
	return n
}

// fryerFree tells whether a load may be dropped at a minute of the grid beside those of the plan.
func (r *rowing) fryerFree(c *planner.Cook, t int) bool {
	if len(r.free) == 0 {
		r.free = make([][]int, len(r.p.Groups))
	}
	if r.free[c.Group] == nil {
		for m := r.p.Start; m < r.p.Close+2*1440; m += r.p.Tick {
			r.free[c.Group] = append(r.free[c.Group], r.freeAt(c.Group, m))
		}
	}
	from, ticks := (t-r.p.Start)/r.p.Tick, (c.Busy+r.p.Tick-1)/r.p.Tick
	for _, free := range r.free[c.Group][from:min(from+ticks, len(r.free[c.Group]))] {
		if free <= 0 {
			return false
		}
	}
	return true
}

// freeAt is how many fryers of a group nothing is in for a tick.
func (r *rowing) freeAt(group, m int) (free int) {
	free = r.p.Room(group, m)
	for _, l := range r.x.Loads {
		if k := &r.p.Items[l.Item].Cook; k.Group == group && l.Start < m+r.p.Tick && m < l.Start+k.Busy {
			free--
		}
	}
	return free
}

// used counts what the plan takes out of each lot, of marinated (0) or coated ones (1): out of those of the beginning, and out of its own.
func (r *rowing) used(stage int) [2][]int {
	if r.uses[stage][0] != nil {
		return r.uses[stage]
	}
	out := [2][]int{make([]int, len(r.p.Marinated)), make([]int, len(r.x.Marinades))}
	if stage == 1 {
		out = [2][]int{make([]int, len(r.p.Coated)), make([]int, len(r.x.Coats))}
	}
	add := func(from []planner.From) {
		for _, f := range from {
			lots := out[0]
			if f.Own {
				lots = out[1]
			}
			if f.Lot < len(lots) {
				lots[f.Lot] += f.Units
			}
		}
	}
	if stage == 1 {
		for _, l := range r.x.Loads {
			add(l.From)
		}
	} else {
		for _, s := range r.x.Coats {
			add(s.From)
		}
	}
	for k, from := range r.x.Carry {
		if k < len(r.p.Carry) && r.p.Carry[k].Coated == (stage == 1) {
			add(from)
		}
	}
	r.uses[stage] = out
	return out
}

// spare counts units of an item that nothing of the plan takes and that may be taken at a minute: of coated ones (1) or marinated (0).
func (r *rowing) spare(stage, i, t int) (units int) {
	lots, own, used := r.p.Marinated, r.x.Marinades, r.used(stage)
	if stage == 1 {
		lots, own = r.p.Coated, r.x.Coats
	}
	for k, l := range lots {
		if l.Item == i && l.Ready <= t && t <= l.Until {
			units += l.Amount - used[0][k]
		}
	}
	for k, s := range own {
		if s.Item == i && r.ready(stage, s) <= t && t <= r.until(stage, planner.From{Lot: k, Own: true}) {
			units += s.Units - used[1][k]
		}
	}
	return units
}

func (r *rowing) ready(stage int, s planner.Session) int {
	end := s.Start + s.Blocks*r.p.Block
	if stage == 1 {
		return end + r.p.Items[s.Item].Coat.SetMin
	}
	m := r.p.Items[s.Item].Marinate
	return end + m.Min + m.Drain
}

// stands tells whether something coated stands there at a minute, beside what the plan takes.
func (r *rowing) stands(i, t int) bool {
	return r.p.Items[i].Coat == nil || r.spare(1, i, t) > 0
}

// whyCoated says why nothing coated stands ready by a minute.
func (r *rowing) whyCoated(i, by int) (Say, lack) {
	it := &r.p.Items[i]
	k := it.Coat
	last := by - k.SetMin - k.Modes[0].Blocks*r.p.Block
	if soon := r.soon(r.p.Block); last < soon {
		return Say{Text: "pl.why.coat", Args: []Arg{r.time("time", soon+by-last)}}, lackNothing
	}
	open, free, stock := false, false, false
	for t := max(r.soon(r.p.Block), by-k.SetMax); t <= last; t += r.p.Block {
		if !r.manned(k.Station, t, k.Modes[0].Blocks*r.p.Block) {
			continue
		}
		open = true
		if r.taken(k.Station, t, k.Modes[0].Blocks*r.p.Block) {
			continue
		}
		free = true
		stock = stock || it.Marinate == nil || r.spare(0, i, t) > 0
	}
	station := Arg{Name: "station", Kind: ArgStation, S: r.n.Stations[k.Station]}
	switch {
	case stock && r.full(1):
		return Say{Text: "pl.why.pans", Args: []Arg{{Name: "n", N: int64(r.p.Pans)}}}, lackPans
	case stock:
		return Say{Text: "pl.why.session", Args: []Arg{{Name: "cost", Kind: ArgMoney, N: int64(k.SessionCost + k.BlockCost)}}}, lackNothing
	case !open:
		return Say{Text: "pl.why.nobody", Args: []Arg{station, r.time("time", max(last, r.soon(1)))}}, lackCoating
	case !free:
		return Say{Text: "pl.why.table", Args: []Arg{station, r.time("time", last)}}, lackCoating
	}
	return r.whyMarinated(i, last)
}

// whyMarinated says why nothing marinated may be coated by a minute.
func (r *rowing) whyMarinated(i, by int) (Say, lack) {
	m := r.p.Items[i].Marinate
	work := m.Modes[0].Blocks * r.p.Block
	last := by - m.Min - m.Drain - work
	now := r.soon(r.p.Block)
	if last < now {
		return Say{Text: "pl.why.marinade", Args: []Arg{r.time("time", now+work+m.Min+m.Drain)}}, lackNothing
	}
	for t := now; t <= last; t += r.p.Block {
		switch {
		case !r.manned(m.Station, t, work) || r.taken(m.Station, t, work):
		case r.full(0):
			return Say{Text: "pl.why.tubs", Args: []Arg{{Name: "n", N: int64(r.p.Tubs)}}}, lackTubs
		default:
			return Say{Text: "pl.why.session", Args: []Arg{{Name: "cost", Kind: ArgMoney, N: int64(m.SessionCost + m.BlockCost + m.TubCost)}}}, lackNothing
		}
	}
	return Say{Text: "pl.why.nobody", Args: []Arg{{Name: "station", Kind: ArgStation, S: r.n.Stations[m.Station]}, r.time("time", last)}}, lackMarinating
}

func (r *rowing) manned(station, t, work int) bool {
	return r.ends(station, t) >= t+work && r.ends(station, t) > t
}

// taken tells whether the plan has somebody at work at a station.
func (r *rowing) taken(station, t, work int) bool {
	meets := func(s planner.Session) bool { return s.Start < t+work && t < s.Start+s.Blocks*r.p.Block }
	for _, s := range r.x.Coats {
		if r.p.Items[s.Item].Coat.Station == station && meets(s) {
			return true
		}
	}
	for _, s := range r.x.Marinades {
		if r.p.Items[s.Item].Marinate.Station == station && meets(s) {
			return true
		}
	}
	return false
}

// full tells whether the places of the cold room are all taken at some time of the plan, of tubs (0) or pans (1).
func (r *rowing) full(stage int) bool {
	if r.fulls[stage] == nil {
		less, full := *r.p, false
		if stage == 1 {
			less.Pans--
		} else {
			less.Tubs--
		}
		_, broken := planner.Breaches(&less, r.x)
		for _, b := range broken {
			full = full || b.Rule == planner.RuleRoom
		}
		r.fulls[stage] = &full
	}
	return *r.fulls[stage]
}
