package planner

// The bound lets every piece that is sold be paid for three times, apart: by the load that fries it, by the session that
// coats it and by the one that marinates it. For each slot a price says how much of a piece's worth each of the three layers
// gets. For any prices, what all layers cost at least by themselves, each session and load filled with the dearest pieces that
// it can reach but never with more than is asked for in a slot, is at most what any plan costs. Better prices give a
// greater bound; they are moved towards where layers disagree about what is sold.

// layers of a piece's way.
const (
	frying = iota
	coating
	marinating
	layers
)

// asked is something wanted: pieces in a slot, or units for tomorrow.
type asked struct {
	most  int   // pieces, or units
	worth Money // of one, when it is not met
	unit  int   // pieces of the item's units that one of it takes: 1, or all of a unit
}

// pricing is the state of the search for prices.
type pricing struct {
	*model
	asks    [][]asked         // by item: slots, then coated, then marinated for tomorrow
	price   [layers][][]Money // by item and asked
	have    [layers][][]int32 // what layers give at these prices
	pull    [layers][][]int64 // the direction in which prices move
	fryer   [][]Money         // by group and tick: price of a fryer's time
	used    [][]int32
	tug     [][]int64
	wage    [][]Money // by station and block: price of its time
	manned  [][]int32
	heave   [][]int64
	rent    [2][]Money // by block: price of a pan's place and of a tub's
	shelf   [2][]Money // their sums
	stood   [2][]int64 // places taken, in parts
	drag    [2][]int64
	shelved bool               // some place has a price
	reach   [layers][][]span   // by item and block: what a session can serve
	over    [][][]Money        // by item, block: what marinated units cost past their best for each asked, at least
	lots    [layers][][]source // by item: what stands there at the beginning
	tie     []Money            // by item: what a piece's use is worth to who fries it and costs who gives it
	tieMost []Money
	slack   []int64 // by item: pieces of what stands there that nobody takes, less pieces fried and thrown away
	taut    []int64
	fry     []fryDay
	chains  [layers][]*chain
	rank    []int // scratch
	worth   []Money
	bound   Money // the greatest yet
	theta   int64 // length of a step, in thousandths of what the gap asks for
	idle    int
	quick   int // rounds of the looser bound that are left
	fresh   bool
	settled bool // the bound has hardly moved for long
}

// span is asked things from one to another, last excluded.
type span struct{ from, to int }

// source is something that stands there at the beginning.
type source struct {
	pieces int // of the item
	span   span
	full   Money // what a piece costs that is not taken
	kind   int   // layer in which it stands there: hot, coated or marinated
	carry  bool  // serves what is asked for tomorrow
	place  int   // block before which nothing of it has left its place in the cold room
	over   []Money
}

// quickRounds is how many rounds of the looser bound find prices for the closer one to begin with; patience is how many rounds may
// pass without a better bound before steps get shorter. Both were found by trying.
const (
	quickRounds = 20
	patience    = 6
)

// improve moves the prices so many rounds on and keeps the best bound; least is the cost of a plan.
func (p *pricing) improve(least Money, rounds int) {
	for range rounds {
		if p.bound >= least {
			return
		}
		if p.theta < 2 { // what is to be had is had: a few longer steps may find a little more
			p.theta, p.idle, p.settled = 200, 0, true
		}
		value := p.value()
		if value > p.bound {
			if value-p.bound > (least-p.bound)/1000 {
				p.idle = 0
			}
			p.bound = value
		}
		if p.idle++; p.idle > patience {
			p.theta, p.idle = p.theta*85/100, 0
		}
		p.step(min(least-value+least/200, least/2), p.theta, p.fresh)
		p.fresh = false
		if p.quick > 0 {
			if p.quick--; p.quick == 0 { // the closer bound begins with long steps again
				p.theta, p.idle = 600, 0
			}
		}
	}
}

func newPricing(m *model) *pricing {
	p := &pricing{model: m, bound: -1 << 60, theta: 1000, fresh: true, quick: quickRounds}
	for i := range m.items {
		it := &m.items[i]
		var asks []asked
		for _, n := range it.Demand {
			asks = append(asks, asked{n, it.Margin, 1})
		}
		for _, stage := range [2]int{1, 0} {
			a := asked{0, 0, it.UnitPieces}
			if n := m.carry[stage][i]; n >= 0 {
				a.most, a.worth = m.Problem.Carry[n].Units, m.Problem.Carry[n].ShortCost
			}
			asks = append(asks, a)
		}
		p.asks = append(p.asks, asks)
	}
	for l := range layers {
		for i := range m.items {
			n := len(p.asks[i])
			p.price[l] = append(p.price[l], make([]Money, n))
			p.have[l] = append(p.have[l], make([]int32, n))
			p.pull[l] = append(p.pull[l], make([]int64, n))
			p.reach[l] = append(p.reach[l], nil)
			p.lots[l] = append(p.lots[l], nil)
		}
	}
	for g := range m.Groups {
		p.fryer = append(p.fryer, make([]Money, len(m.room[g])))
		p.used = append(p.used, make([]int32, len(m.room[g])))
		p.tug = append(p.tug, make([]int64, len(m.room[g])))
	}
	p.over = make([][][]Money, len(m.items))
	p.ties()
	for range m.Stations {
		p.wage = append(p.wage, make([]Money, m.blocks+64))
		p.manned = append(p.manned, make([]int32, m.blocks+64))
		p.heave = append(p.heave, make([]int64, m.blocks+64))
	}
	for l := range p.rent {
		p.rent[l], p.shelf[l] = make([]Money, m.blocks), make([]Money, m.blocks+1)
		p.stood[l], p.drag[l] = make([]int64, m.blocks), make([]int64, m.blocks)
	}
	for st := range p.open { // nothing goes on after the last block
		p.open[st] = append(p.open[st], make([]int32, 64)...)
	}
	for i := range m.items {
		p.reaches(i)
		p.begin(i)
		p.fry = append(p.fry, p.newFryDay(i))
		for l := coating; l <= marinating; l++ {
			p.chains[l] = append(p.chains[l], p.newChain(l, i))
		}
	}
	return p
}

// begin sets the first prices: a share of the worth to each layer.
func (p *pricing) begin(i int) {
	it := &p.items[i]
	for n, a := range p.asks[i] {
		if a.most == 0 {
			continue
		}
		up := Money(it.UnitPieces)
		per := it.Cook.LoadCost / Money(it.Cook.MaxUnits) / up
		if n < len(it.Demand) {
			p.price[frying][i][n] = min(a.worth, per*3/2)
		}
		if c := it.Coat; c != nil && n <= len(it.Demand) {
			m := c.Modes[len(c.Modes)-1]
			p.price[coating][i][n] = (c.SessionCost + c.BlockCost*Money(m.Blocks)) / Money(m.Most) / up * Money(a.unit) * 5 / 4
			if n < len(it.Demand) {
				p.price[coating][i][n] += p.fee(coating, i)
			}
		}
		if c := it.Marinate; c != nil {
			m := c.Modes[len(c.Modes)-1]
			p.price[marinating][i][n] = (c.SessionCost + c.BlockCost*Money(m.Blocks) + c.TubCost*Money(m.Most)) / Money(m.Most*c.TubUnits) / up * Money(a.unit) * 5 / 4
			if n < len(it.Demand) {
				p.price[marinating][i][n] += p.fee(marinating, i)
			}
		}
	}
}

// counts tells whether a layer has to do with something asked of an item.
func (p *pricing) counts(l, i, n int) bool {
	it := &p.items[i]
	switch l {
	case frying:
		return n < len(it.Demand)
	case coating:
		return it.Coat != nil && n <= len(it.Demand)
	}
	return it.Marinate != nil
}

// value is the bound at the prices; it notes what each layer gives.
func (p *pricing) value() (sum Money) {
	for l := range layers {
		for i := range p.items {
			clear(p.have[l][i])
		}
	}
	clear(p.slack)
	for i := range p.items {
		for n, a := range p.asks[i] {
			all := Money(0)
			for l := range layers {
				all += p.price[l][i][n]
			}
			sum += Money(a.most) * min(all, a.worth)
		}
	}
	for i := range p.items {
		for l := range layers {
			if p.quick == 0 && p.chains[l] != nil && p.chains[l][i] != nil {
				continue
			}
			for k := range p.lots[l][i] {
				sum -= p.fromLot(l, i, &p.lots[l][i][k])
			}
		}
	}
	for g := range p.fryer {
		clear(p.used[g])
		for k, x := range p.fryer[g] {
			sum -= x * Money(p.room[g][k])
		}
	}
	for i := range p.items {
		sum -= p.loads(i)
	}
	sum -= p.sumShelves()
	for st := range p.Stations {
		clear(p.manned[st])
		for b, x := range p.wage[st] {
			if p.open[st][b] > 0 {
				sum -= x
			}
		}
	}
	for i := range p.items {
		if p.quick > 0 {
			sum -= p.alone(coating, i) + p.alone(marinating, i)
		} else {
			sum -= p.sessions(coating, i) + p.sessions(marinating, i)
		}
	}
	return sum
}

// step moves the prices towards where more is asked than given, and away from where more is given.
func (p *pricing) step(gap Money, theta int64, fresh bool) {
	t := turning{fresh: fresh, norm: 1}
	for i := range p.items {
		for n := range p.asks[i] {
			p.turnAsked(&t, i, n)
		}
	}
	for g := range p.fryer {
		for k, x := range p.fryer[g] {
			t.turn(&p.tug[g][k], int64(p.used[g][k])-int64(p.room[g][k]), x == 0, false)
		}
	}
	for st := range p.wage {
		for b, x := range p.wage[st] {
			if p.open[st][b] > 0 {
				t.turn(&p.heave[st][b], (int64(p.manned[st][b])-1)*4, x == 0, false)
			}
		}
	}
	for l := range p.rent {
		most := int64([2]int{p.Pans, p.Tubs}[l]) * shelfParts
		for b, x := range p.rent[l] {
			if p.quick == 0 {
				t.turn(&p.drag[l][b], (p.stood[l][b]-most)/shelfParts, x == 0, false)
			}
		}
	}
	for i, most := range p.tieMost {
		t.turn(&p.taut[i], p.slack[i]/tieParts, p.tie[i] == 0, p.tie[i] >= most)
	}
	// a step of gap over the square of the direction: norm is 2^15 of its square
	unit := int64(gap) / 1000 * theta
	for l := range layers {
		for i := range p.items {
			for n, d := range p.pull[l][i] {
				if d != 0 {
					least, most := p.within(l, i, n)
					p.price[l][i][n] = min(max(least, p.price[l][i][n]+t.by(unit, d)), most)
				}
			}
		}
	}
	for i, d := range p.taut {
		p.retie(i, t.by(unit, d)/tieParts)
	}
	for _, x := range []struct {
		rows  [][]Money
		pulls [][]int64
		by    Money
	}{{p.wage, p.heave, 4}, {p.fryer, p.tug, 1}, {p.rent[:], p.drag[:], 1}} {
		for k, row := range x.rows {
			for n, d := range x.pulls[k] {
				if d != 0 {
					row[n] = max(0, row[n]+x.by*t.by(unit, d))
				}
			}
		}
	}
}

// turnAsked turns the prices of something asked towards what is sold of it less what layers give.
func (p *pricing) turnAsked(t *turning, i, n int) {
	a, all, sold := p.asks[i][n], Money(0), int64(0)
	for l := range layers {
		all += p.price[l][i][n]
	}
	if all < a.worth {
		sold = int64(a.most)
	}
	for l := range layers {
		if p.counts(l, i, n) && a.most > 0 {
			least, most := p.within(l, i, n)
			x := p.price[l][i][n]
			t.turn(&p.pull[l][i][n], sold-int64(p.have[l][i][n]), x <= least, x >= most)
		}
	}
}

// turning is a step that is being made.
type turning struct {
	fresh bool
	norm  int64
}

// turn turns a price's direction by what is asked of it now. A price that stands at its end and can't go on counts for nothing: it
// would only shorten the steps of the others.
func (t *turning) turn(pull *int64, g int64, low, high bool) {
	const keep, of = 3, 10
	if low && g < 0 || high && g > 0 {
		g = 0
	}
	if t.fresh {
		*pull = g * 1024
	} else {
		*pull = (*pull*keep + g*1024*(of-keep)) / of
	}
	if low && *pull < 0 || high && *pull > 0 {
		*pull = 0
	}
	t.norm += (*pull / 32) * (*pull / 32) / 32 // of 2^15
}

// by is how far a price of a direction moves.
func (t *turning) by(unit, pull int64) Money { return Money(muldiv(unit, pull, t.norm*32)) }

// within returns between which bounds a price has its best.
func (p *pricing) within(l, i, n int) (least, most Money) {
	it, fee := &p.items[i], Money(0)
	if n < len(it.Demand) {
		fee = p.tie[i]
	}
	if l == frying {
		least = -fee
	}
	return least, p.asks[i][n].worth + fee
}

// muldiv is a*b/c where a*b may be too great.
func muldiv(a, b, c int64) int64 {
	if x := a / c; x > 1<<20 || x < -1<<20 {
		return x * b
	}
	return a / 1024 * b / (c/1024 + 1)
}
