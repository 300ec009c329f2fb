package planner

import "strconv"

// Costs is what a plan costs, by what for.
type Costs struct {
	Unmet, Load, Waste, Coat, Marinate, OverBest, Discard, Short Money
}

// Sum is all of it.
func (c *Costs) Sum() Money {
	return c.Unmet + c.Load + c.Waste + c.Coat + c.Marinate + c.OverBest + c.Discard + c.Short
}

// Rule is a rule that a plan can break.
type Rule uint8

// Rules, by what a plan that breaks one comes up against.
const (
	RuleDay   Rule = iota + 1 // it starts off the grid, or outside of the day
	RuleMost                  // more of it than goes into one, or none: Need of at most Have
	RuleFryer                 // at At the loads are Need and the fryers of group Where are Have
	RuleShift                 // nobody is at station Where
	RuleTwo                   // another session goes on at station Where
	RuleStock                 // Need units are wanted and Have are usable then
	RuleRoom                  // at At the cold room lacks places: Need of Have, for what is coated if Of is OfCoat, else for tubs
	RuleSale                  // it sells what it has not, or when it may not
	RuleOther                 // what no plan made by hand can break
	RuleRaw                   // there is nothing raw to begin with until minute Need
)

// Of says what of a plan a fault is about.
type Of uint8

// What a fault can be about.
const (
	OfDay Of = iota
	OfLoad
	OfCoat
	OfMarinade
	OfCarry
)

// Breach is a broken rule. N is which of the loads, sessions or carries.
type Breach struct {
	Rule           Rule
	Of             Of
	N              int
	At, Have, Need int
	Where          int
}

// Check works out what a plan costs and names the rules that it breaks, from the problem and the plan alone: it shares nothing
// with the search.
func Check(p *Problem, x *Plan) (Costs, []string) {
	costs, _, broken := check(p, x)
	return costs, broken
}

// Breaches is Check for whoever says the broken rules in words of his own.
func Breaches(p *Problem, x *Plan) (Costs, []Breach) {
	costs, breaches, _ := check(p, x)
	return costs, breaches
}

func check(p *Problem, x *Plan) (Costs, []Breach, []string) {
	c := checking{p: p, x: x}
	c.loads()
	c.fryers()
	c.sessions()
	c.stations()
	c.stock()
	c.sales()
	c.storage()
	return c.costs, c.breaches, c.broken
}

type checking struct {
	p        *Problem
	x        *Plan
	costs    Costs
	breaches []Breach
	broken   []string
	lots     [2][]checkLot // marinated, coated: those of the beginning, then the plan's own
}

// checkLot is a lot and who takes from it.
type checkLot struct {
	item, units, made        int
	ready, until, best, kept int // kept: until when what nobody takes keeps its place
	own                      bool
	uses                     []checkUse
}

type checkUse struct{ at, units int }

func (l *checkLot) used() (n int) {
	for _, u := range l.uses {
		n += u.units
	}
	return n
}

func (c *checking) fault(f Breach, parts ...any) {
	c.breaches = append(c.breaches, f)
	text := ""
	for _, part := range parts {
		switch v := part.(type) {
		case string:
			text += v
		case int:
			text += strconv.Itoa(v)
		}
	}
	c.broken = append(c.broken, text)
}

// loads checks rules 1 to 3 as far as they are about one load.
func (c *checking) loads() {
	for n, l := range c.x.Loads {
		k := &c.p.Items[l.Item].Cook
		if (l.Start-c.p.Start)%c.p.Tick != 0 || l.Start < c.p.Start || l.Start > c.p.Close {
			c.fault(Breach{Rule: RuleDay, Of: OfLoad, N: n, At: l.Start}, "load ", n, ": starts at ", l.Start, ", off the grid or the day")
		}
		if l.Units < 1 || l.Units > k.MaxUnits {
			c.fault(Breach{Rule: RuleMost, Of: OfLoad, N: n, At: l.Start, Have: k.MaxUnits, Need: l.Units}, "load ", n, ": ", l.Units, " units, a load is 1 to ", k.MaxUnits)
		}
		c.costs.Load += k.LoadCost
	}
}

// fryers checks rule 4.
func (c *checking) fryers() {
	for g := range c.p.Groups {
		end := c.p.Close + 1440
		first := end
		look := func(t int) {
			if t >= c.p.Start && t < first {
				if taken, room, _ := c.inFryers(g, t); taken > room {
					first = t
				}
			}
		}
		look(c.p.Start)
		for _, w := range c.p.Groups[g].Windows { // it is at one of these minutes that there are too many, if ever
			look(w.From)
			look(w.To)
		}
		for _, l := range c.x.Loads {
			look(l.Start)
		}
		if first < end {
			taken, room, last := c.inFryers(g, first)
			c.fault(Breach{RuleFryer, OfLoad, last, first, room, taken, g}, "at minute ", first, ": ", taken, " loads in ", room, " fryers of ", c.p.Groups[g].Name)
		}
	}
}

// inFryers counts the loads in a group of fryers at a minute, which is the last of them, and how many there is room for.
func (c *checking) inFryers(g, t int) (taken, room, last int) {
	for n, l := range c.x.Loads {
		k := &c.p.Items[l.Item].Cook
		if k.Group == g && l.Start <= t && t < l.Start+k.Busy {
			taken, last = taken+1, n
		}
	}
	return taken, c.p.Room(g, t), last
}

// Room is how many fryers of a group work at a minute and are not still taken by what went before.
func (p *Problem) Room(group, t int) (room int) {
	for _, w := range p.Groups[group].Windows {
		if w.From <= t && t < w.To {
			room = w.Count
		}
	}
	for _, b := range p.Busy {
		if b.Group == group && t < b.Until {
			room--
		}
	}
	return max(room, 0)
}

// sessions checks rules 6 and 7 as far as they are about one session, and lists all lots.
func (c *checking) sessions() {
	for _, l := range c.p.Marinated {
		c.lots[0] = append(c.lots[0], checkLot{item: l.Item, units: l.Amount, made: c.p.Start, ready: l.Ready, until: l.Until, best: l.Best, kept: l.Until})
	}
	for _, l := range c.p.Coated {
		c.lots[1] = append(c.lots[1], checkLot{item: l.Item, units: l.Amount, made: c.p.Start, ready: l.Ready, until: l.Until, best: never, kept: l.Until})
	}
	for n, s := range c.x.Marinades {
		m := c.p.Items[s.Item].Marinate
		if m == nil {
			c.fault(Breach{Rule: RuleOther, Of: OfMarinade, N: n}, "marinade session ", n, ": the item is not marinated")
			continue
		}
		end := s.Start + m.Drain
		c.lots[0] = append(c.lots[0], checkLot{item: s.Item, units: s.Units, made: s.Start, own: true,
			ready: end + s.Blocks*c.p.Block + m.Min, until: end + m.Max, best: end + m.Best, kept: end + m.Max})
		c.session(OfMarinade, n, s, m.Modes, s.Tubs)
		if to := m.Lacks(s.Start); to > 0 {
			c.fault(Breach{Rule: RuleRaw, Of: OfMarinade, N: n, At: s.Start, Need: to}, "marinade session ", n, ": nothing raw is there before minute ", to)
		}
		if s.Units > s.Tubs*m.TubUnits {
			c.fault(Breach{Rule: RuleMost, Of: OfMarinade, N: n, At: s.Start, Have: s.Tubs * m.TubUnits, Need: s.Units}, "marinade session ", n, ": ", s.Units, " units in ", s.Tubs, " tubs of ", m.TubUnits)
		}
		c.costs.Marinate += m.SessionCost + m.BlockCost*Money(s.Blocks) + m.TubCost*Money(s.Tubs)
	}
	for n, s := range c.x.Coats {
		k := c.p.Items[s.Item].Coat
		if k == nil {
			c.fault(Breach{Rule: RuleOther, Of: OfCoat, N: n}, "coat session ", n, ": the item is not coated")
			continue
		}
		c.lots[1] = append(c.lots[1], checkLot{item: s.Item, units: s.Units, made: s.Start, own: true, best: never,
			ready: s.Start + s.Blocks*c.p.Block + k.SetMin, until: s.Start + k.SetMax, kept: s.Start + k.SetMax})
		c.session(OfCoat, n, s, k.Modes, s.Units)
		c.costs.Coat += k.SessionCost + k.BlockCost*Money(s.Blocks)
	}
}

func (c *checking) session(of Of, n int, s Session, modes []Mode, amount int) {
	what := "coat session "
	if of == OfMarinade {
		what = "marinade session "
	}
	if (s.Start-c.p.Start)%c.p.Block != 0 || s.Start < c.p.Start {
		c.fault(Breach{Rule: RuleDay, Of: of, N: n, At: s.Start}, what, n, ": starts at ", s.Start, ", off the grid or the day")
	}
	most := 0
	for _, m := range modes {
		if m.Blocks == s.Blocks {
			most = m.Most
		}
	}
	if amount < 1 || s.Units < 1 || amount > most {
		c.fault(Breach{Rule: RuleMost, Of: of, N: n, At: s.Start, Have: most, Need: amount}, what, n, ": ", amount, " in ", s.Blocks, " blocks, where at most ", most, " can be done")
	}
}

// stations checks rule 8.
func (c *checking) stations() {
	type spell struct {
		of          Of
		n, from, to int
	}
	for st := range c.p.Stations {
		var list []spell
		for n, s := range c.x.Coats {
			if k := c.p.Items[s.Item].Coat; k != nil && k.Station == st {
				list = append(list, spell{OfCoat, n, s.Start, s.Start + s.Blocks*c.p.Block})
			}
		}
		for n, s := range c.x.Marinades {
			if k := c.p.Items[s.Item].Marinate; k != nil && k.Station == st {
				list = append(list, spell{OfMarinade, n, s.Start, s.Start + s.Blocks*c.p.Block})
			}
		}
		for n, s := range list {
			open := false
			for _, w := range c.p.Stations[st].Windows {
				open = open || w.From <= s.from && s.to <= w.To
			}
			if !open {
				c.fault(Breach{Rule: RuleShift, Of: s.of, N: s.n, At: s.from, Need: s.to, Where: st}, "a session from ", s.from, " to ", s.to, ": nobody is at the station ", c.p.Stations[st].Name)
			}
			for _, o := range list[:n] {
				if o.from < s.to && s.from < o.to {
					c.fault(Breach{Rule: RuleTwo, Of: s.of, N: s.n, At: max(o.from, s.from), Where: st}, "two sessions at the station ", c.p.Stations[st].Name, " at minute ", max(o.from, s.from))
				}
			}
		}
	}
}

// stock checks rules 5, 6, 9 and 10: who takes what from where.
func (c *checking) stock() {
	for n, l := range c.x.Loads {
		if c.p.Items[l.Item].Coat != nil {
			c.takes(OfLoad, n, 1, l.Item, l.Start, l.Units, l.From)
		}
	}
	for n, s := range c.x.Coats {
		if c.p.Items[s.Item].Marinate != nil {
			c.takes(OfCoat, n, 0, s.Item, s.Start, s.Units, s.From)
		}
	}
	for n, want := range c.p.Carry {
		stage, got := 0, 0
		if want.Coated {
			stage = 1
		}
		if n < len(c.x.Carry) {
			for _, f := range c.x.Carry[n] {
				got += f.Units
			}
			c.takes(OfCarry, n, stage, want.Item, want.At, got, c.x.Carry[n])
		}
		if got > want.Units {
			c.fault(Breach{Rule: RuleMost, Of: OfCarry, N: n, At: want.At, Have: want.Units, Need: got}, "what is kept ", n, ": ", got, " units of ", want.Units)
		}
		c.costs.Short += want.ShortCost * Money(want.Units-got)
	}
	for stage := range c.lots {
		for n := range c.lots[stage] {
			l := &c.lots[stage][n]
			left := l.units - l.used()
			if left < 0 {
				c.fault(Breach{Rule: RuleOther, N: n, Have: l.units, Need: l.used()}, "lot ", n, ": gives ", l.used(), " units of ", l.units)
			}
			it := &c.p.Items[l.item]
			if stage == 1 {
				c.costs.Discard += it.Coat.DiscardCost * Money(left)
				continue
			}
			c.costs.Discard += it.Marinate.DiscardCost * Money(left)
			for _, u := range l.uses {
				c.costs.OverBest += it.Marinate.OverBest * Money(u.units*max(0, u.at-l.best))
			}
		}
	}
}

func (c *checking) takes(of Of, which, stage, item, now, units int, from []From) {
	who := [...]string{OfLoad: "load ", OfCoat: "coat session ", OfCarry: "what is kept "}[of] + strconv.Itoa(which)
	sum, first := 0, len(c.p.Marinated)
	if stage == 1 {
		first = len(c.p.Coated)
	}
	for _, f := range from {
		n := f.Lot
		if f.Own {
			n += first
		}
		if n < 0 || n >= len(c.lots[stage]) || !f.Own && f.Lot >= first {
			c.fault(Breach{Rule: RuleOther, Of: of, N: which}, who, ": no such lot")
			continue
		}
		l := &c.lots[stage][n]
		if l.item != item || f.Units < 1 || now < l.ready || now > l.until {
			c.fault(Breach{Rule: RuleOther, Of: of, N: which, At: now}, who, ": takes at ", now, " from a lot usable from ", l.ready, " to ", l.until)
		}
		l.uses = append(l.uses, checkUse{now, f.Units})
		sum += f.Units
	}
	if sum != units {
		c.fault(Breach{Rule: RuleStock, Of: of, N: which, At: now, Have: sum, Need: units}, who, ": takes ", sum, " units and needs ", units)
	}
}

// sales checks the rest of rule 3, and counts what is not met and what is waste.
func (c *checking) sales() {
	left := make([][]int, len(c.p.Items))
	for i := range c.p.Items {
		left[i] = append(left[i], c.p.Items[i].Demand...)
	}
	odd := Breach{Rule: RuleSale}
	sell := func(who string, item, from, until, pieces int, sells []Sale) {
		for _, s := range sells {
			if s.Slot < 0 || s.Slot >= len(left[item]) || s.Pieces < 1 {
				c.fault(odd, who, ": sells ", s.Pieces, " in slot ", s.Slot)
				continue
			}
			t := c.p.Open + s.Slot*c.p.Slot
			if t < from || t+c.p.Slot > until {
				c.fault(odd, who, ": sells in slot ", s.Slot, ", but from ", from, " to ", until, " only")
			}
			left[item][s.Slot] -= s.Pieces
			pieces -= s.Pieces
		}
		if pieces < 0 {
			c.fault(odd, who, ": sells ", -pieces, " pieces more than it has")
		}
		c.costs.Waste += c.p.Items[item].Cook.WasteCost * Money(pieces)
	}
	for n, l := range c.x.Loads {
		it := &c.p.Items[l.Item]
		out := l.Start + it.Cook.Out
		sell("load "+strconv.Itoa(n), l.Item, out+it.Cook.Ready, out+it.Cook.Hold, l.Units*it.UnitPieces, l.Sells)
	}
	for n, l := range c.p.Hot {
		var mine []Sale
		for _, s := range c.x.Hot {
			if s.Lot == n {
				mine = append(mine, s)
			}
		}
		sell("hot lot "+strconv.Itoa(n), l.Item, l.Ready, l.Until, l.Amount, mine)
	}
	for i := range left {
		for s, n := range left[i] {
			if n < 0 {
				c.fault(odd, "item ", i, ": ", -n, " pieces more sold in slot ", s, " than are asked for")
			}
			c.costs.Unmet += c.p.Items[i].Margin * Money(n)
		}
	}
}

// storage checks rule 11.
func (c *checking) storage() {
	times := []int{c.p.Start}
	for _, s := range c.x.Coats {
		times = append(times, s.Start)
	}
	for _, s := range c.x.Marinades {
		times = append(times, s.Start)
	}
	for stage, room := range [2]int{c.p.Tubs, c.p.Pans} {
		all := 1
		per := func(i int) int {
			if stage == 1 {
				return c.p.Items[i].Coat.UnitsPerPan
			}
			return c.p.Items[i].Marinate.TubUnits
		}
		for n := range c.lots[stage] {
			all = int(lcm(int32(all), int32(per(c.lots[stage][n].item))))
		}
		for _, t := range times {
			parts := 0
			for n := range c.lots[stage] {
				l := &c.lots[stage][n]
				if l.made > t {
					continue
				}
				stands := 0
				for _, u := range l.uses {
					if u.at > t {
						stands += u.units
					}
				}
				if t <= l.kept {
					stands += l.units - l.used()
				}
				parts += stands * all / per(l.item)
			}
			if parts > room*all {
				c.fault(Breach{Rule: RuleRoom, Of: OfMarinade - Of(stage), At: t, Have: room, Need: (parts + all - 1) / all}, "at minute ", t, ": ", (parts+all-1)/all, " places taken of ", room)
			}
		}
	}
}
