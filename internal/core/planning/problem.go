package planning

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// building is a problem that is being made.
type building struct {
	s       *kitchen.State
	now     stamp.Milli
	day     int32
	o       Options
	doc     *procedure.Plan
	eq      *procedure.Equipment
	p       *planner.Problem
	n       *Names
	chains  []*chain // by item
	missing []Missing
}

// Problem makes the planner's problem of a day: from now until its close. It is nil when there is nothing to plan, and the reason is
// among what is missing.
func Problem(s *kitchen.State, now stamp.Milli, day int32, o Options) (*planner.Problem, *Names, []Missing) {
	b := &building{s: s, now: now, day: day, o: o, doc: s.PlanDocument(), eq: s.Equipment()}
	b.n = &Names{Day: day, Now: now, Zero: s.DayStart(day)}
	if b.doc == nil {
		b.miss("pl.miss.document", Missing{})
		return nil, b.n, b.missing
	}
	b.n.Version, b.n.Currency = b.doc.Version, b.doc.Currency
	b.p = &planner.Problem{ID: "day " + itoa(int(day)), Tick: b.doc.Tick, Block: b.doc.Block, Pans: max(0, b.doc.Pans+o.Pans), Tubs: max(0, b.doc.Tubs+o.Tubs)}
	if !b.times() {
		return nil, b.n, b.missing
	}
	b.stations()
	b.items()
	if len(b.p.Items) == 0 {
		b.miss("pl.miss.items", Missing{})
		return nil, b.n, b.missing
	}
	b.slots()
	b.fryers()
	b.stock()
	b.demand()
	b.keeps()
	b.places()
	b.rushes()
	return b.p, b.n, b.missing
}

func (b *building) miss(text string, m Missing, args ...Arg) {
	m.Text, m.Args = text, args
	b.missing = append(b.missing, m)
}

// minute returns the minute of an instant, rounded down; upTo rounded up.
func (b *building) minute(at stamp.Milli) int {
	return floorDiv(int(at.Since(b.n.Zero)), int(stamp.Minute))
}

func (b *building) upTo(at stamp.Milli) int {
	return -floorDiv(-int(at.Since(b.n.Zero)), int(stamp.Minute))
}

func floorDiv(a, by int) int {
	q := a / by
	if a%by != 0 && a < 0 {
		q--
	}
	return q
}

// onGrid rounds a minute up to a grid from the problem's start.
func (b *building) onGrid(t, grid int) int {
	return b.p.Start - floorDiv(b.p.Start-t, grid)*grid
}

// clock is the minute at which the clocks show a time of a day.
func (b *building) clock(day int32, at stamp.Span) int {
	for at >= stamp.Day {
		at, day = at-stamp.Day, day+1
	}
	return b.minute(b.s.WallAt(day, at))
}

// span is from one minute to another.
type span struct{ from, to int }

// hours lists when something is open on a day, by hours of the document.
func (b *building) hours(list []procedure.Hours, day int32) (spans []span) {
	for _, h := range list {
		if procedure.On(h.Days, kitchen.Weekday(day)) {
			spans = append(spans, span{b.clock(day, h.From), b.clock(day, h.To)})
		}
	}
	return merge(spans)
}

// merge joins spans that touch, by time.
func merge(spans []span) (out []span) {
	for i := 1; i < len(spans); i++ {
		for k := i; k > 0 && spans[k].from < spans[k-1].from; k-- {
			spans[k], spans[k-1] = spans[k-1], spans[k]
		}
	}
	for _, s := range spans {
		if n := len(out); n > 0 && s.from <= out[n-1].to {
			out[n-1].to = max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}

// today is the first day that the problem spans.
func (b *building) today() int32 { return b.s.WallDay(b.now) }

// times sets when the problem begins, opens and closes; false when the day is closed or over.
func (b *building) times() bool {
	open := b.hours(b.doc.Open, b.day)
	if len(open) == 0 {
		b.miss("pl.miss.closed", Missing{})
		return false
	}
	p, now := b.p, b.upTo(b.now)
	p.Close = open[len(open)-1].to
	if now+b.doc.Slot > p.Close || b.day > b.today()+1 {
		b.miss("pl.miss.over", Missing{})
		return false
	}
	p.Start = floorDiv(now, p.Block) * p.Block
	first := open[0].from
	for day := b.today() - 1; day < b.day; day++ { // what is left of today is sold out of the same stock
		for _, s := range b.hours(b.doc.Open, day) {
			if s.to > now {
				first = min(first, s.from)
			}
		}
	}
	p.Open = max(first, p.Start)
	return true
}

// slots sets how long a slot is: as the document says, unless something keeps too short in the hold for a whole one.
func (b *building) slots() {
	p := b.p
	p.Slot = b.doc.Slot
	for i := range p.Items {
		if k := &p.Items[i].Cook; k.Hold-k.Ready < p.Slot+p.Tick {
			p.Slot = p.Tick
		}
	}
	now := b.upTo(b.now)
	open := p.Close - (p.Close-max(p.Open, now))/p.Slot*p.Slot // whole slots back from the close, none of it gone
	p.Open = open
}

// items lists what the plan document has, as far as procedures have it too.
func (b *building) items() {
	for k := range b.doc.Items {
		d := &b.doc.Items[k]
		proc := b.s.Procedure(d.Procedure, 0)
		if proc == nil {
			b.miss("pl.miss.procedure", Missing{}, Arg{Name: "item", Kind: ArgText, S: d.Procedure})
			continue
		}
		if !b.wanted(d) {
			continue
		}
		c := chainOf(proc, b.eq)
		if c == nil || c.coated() != (d.Coat != nil) || c.marinated() != (d.Marinate != nil) {
			b.miss("pl.miss.chain", Missing{}, Arg{Name: "item", Kind: ArgItem, S: d.Procedure})
			continue
		}
		if it, ok := b.item(d, c); ok {
			b.p.Items = append(b.p.Items, it)
			b.chains = append(b.chains, c)
			b.n.Items = append(b.n.Items, ItemName{Procedure: d.Procedure, Version: proc.Version, UnitGrams: proc.PieceGrams * int64(d.Unit), Pieces: d.Unit,
				mix: proc.Mix, work: up(c.drain), Vessels: c.vessels()})
		}
	}
}

// wanted tells whether an item is sold in the problem's span, kept for the day after, or there.
func (b *building) wanted(d *procedure.PlanItem) bool {
	for day := b.today(); day <= b.day; day++ {
		if procedure.On(d.Days, kitchen.Weekday(day)) {
			return true
		}
	}
	for i := range b.s.Batches {
		if x := &b.s.Batches[i]; x.Status == kitchen.Open && x.Procedure == d.Procedure {
			return true
		}
	}
	return false
}

func money(m procedure.Micros) planner.Money { return planner.Money(m) * 60 }

// item makes an item of what the document says it costs and of what its procedure says how long it takes.
func (b *building) item(d *procedure.PlanItem, c *chain) (planner.Item, bool) {
	unit := c.p.PieceGrams * int64(d.Unit)
	it := planner.Item{Name: d.Procedure, UnitPieces: d.Unit, Margin: money(d.Margin)}
	load := &c.p.Stages[c.fry]
	fits := b.loadFits(load, c.kind, unit, d.Unit)
	last := &c.p.Stages[c.hold]
	out := c.sum(c.fry, c.out, c.usual)
	it.Cook = planner.Cook{Group: b.group(c.kind), MaxUnits: fits, Busy: up(out + c.between), Out: up(out), Ready: up(c.sum(c.out, c.hold, c.usual)),
		Hold: down(most(last)), LoadCost: money(d.Load), WasteCost: money(d.Waste)}
	ok := fits > 0 && it.Cook.Hold > it.Cook.Ready
	if w := d.Coat; w != nil {
		per := b.vesselFits(c, c.coat, unit, d.Unit)
		it.Coat = &planner.Coat{Station: b.station(w.Station), Modes: modes(w), SessionCost: money(w.Session), BlockCost: money(w.Block),
			SetMin: up(c.sum(c.coat, c.fry, c.waited(c.least))), SetMax: down(c.sum(c.coat, c.fry, c.waited(c.most))),
			UnitsPerPan: max(per, 1), DiscardCost: money(w.Discard)}
		ok = ok && per > 0
	}
	if w := d.Marinate; w != nil {
		tub, before := b.tubFits(c, unit), c.drainAt()
		it.Marinate = &planner.Marinate{Station: b.station(w.Station), Modes: modes(w), TubUnits: max(tub, 1),
			SessionCost: money(w.Session), BlockCost: money(w.Block), TubCost: money(w.Tub),
			Min: up(c.sum(0, before, c.waited(c.least))), Best: down(c.sum(0, before, c.waited(c.best))), Max: down(c.sum(0, before, c.waited(c.most))),
			Drain: up(c.drain), OverBest: planner.Money(w.OverBest), DiscardCost: money(w.Discard), Away: b.awaited(d.Procedure)}
		ok = ok && tub > 0
	}
	if !ok {
		b.miss("pl.miss.unit", Missing{}, Arg{Name: "item", Kind: ArgItem, S: d.Procedure}, Arg{Name: "grams", Kind: ArgGrams, N: unit})
	}
	return it, ok
}

// awaited is when the delivery of an item's raw product is waited for: until it comes nothing is begun with it on that day. Where
// two phones told of one day the later time counts.
func (b *building) awaited(item string) (list []planner.Away) {
	for _, m := range b.s.Told() {
		if m.Sort == entry.DemandRaw && m.Item == item && m.Day >= b.today() && m.Day <= b.day {
			list = append(list, planner.Away{From: b.minute(b.s.DayStart(m.Day)), To: b.clock(m.Day, stamp.Span(m.From)*stamp.Minute)})
		}
	}
	return list
}

func modes(w *procedure.PlanWork) (list []planner.Mode) {
	for _, m := range w.Modes {
		list = append(list, planner.Mode{Blocks: m.Blocks, Most: m.Most})
	}
	return list
}

// fit is how many units go into what takes so many grams and pieces; 0 is no limit.
func fit(grams, pieces, unit int64, per int, many int) int {
	if grams > 0 && unit > 0 {
		many = min(many, int(grams/unit))
	}
	if pieces > 0 {
		many = min(many, int(pieces)/per)
	}
	return many
}

// manyUnits is more than anything takes.
const manyUnits = 1000

// loadFits is how many units a load of a stage has at most, in the smallest fryer of a kind.
func (b *building) loadFits(st *procedure.Stage, kind string, unit int64, per int) int {
	n := fit(st.Enter.MostGrams, st.Enter.MostPiece, unit, per, manyUnits)
	for i := range b.eq.Devices {
		if d := &b.eq.Devices[i]; d.Kind == kind {
			n = fit(d.MostGrams, d.MostPiece, unit, per, n)
		}
	}
	return n
}

// vesselFits is how many units a vessel of a stage takes.
func (b *building) vesselFits(c *chain, stage int, unit int64, per int) int {
	e := c.p.Stages[stage].Enter
	grams := e.MostGrams
	if stage == 0 && c.p.Mix != nil {
		grams = c.p.Mix.TubMost
	}
	return fit(grams, e.MostPiece, unit, per, manyUnits)
}

// tubFits is how many units go into a tub: by its weight, and with water and concentrate by what it holds.
func (b *building) tubFits(c *chain, unit int64) int {
	m := c.p.Mix
	if m == nil {
		return manyUnits
	}
	n := fit(m.TubMost, 0, unit, 1, manyUnits)
	if m.TubHolds > 0 {
		n = fit(m.Fits(m.TubHolds), 0, unit, 1, n)
	}
	return n
}

// station is the number of a station.
func (b *building) station(name string) int {
	for i, s := range b.n.Stations {
		if s == name {
			return i
		}
	}
	return 0
}

// stations sets who works when: as was told for a day, else as usual.
func (b *building) stations() {
	for k := range b.doc.Stations {
		st := &b.doc.Stations[k]
		var all []span
		for day := b.today() - 1; day <= b.day; day++ {
			all = append(all, b.manned(st, day)...)
		}
		x := planner.Station{Name: st.Name}
		soon := b.onGrid(b.upTo(b.now), b.p.Block)
		for _, s := range merge(all) {
			from, to := max(b.onGrid(s.from, b.p.Block), soon), b.p.Start+floorDiv(s.to-b.p.Start, b.p.Block)*b.p.Block
			if from < to {
				x.Windows = append(x.Windows, planner.Window{From: from, To: to})
			}
		}
		b.p.Stations = append(b.p.Stations, x)
		b.n.Stations = append(b.n.Stations, st.Name)
	}
}

// manned is when somebody is at a station on a day.
func (b *building) manned(st *procedure.Station, day int32) []span {
	spans, told := []span(nil), false
	for _, x := range b.s.Shifts() {
		if x.Station != st.Name || x.Day != day {
			continue
		}
		told = true
		if x.From < x.To {
			spans = append(spans, span{b.clock(day, stamp.Span(x.From)*stamp.Minute), b.clock(day, stamp.Span(x.To)*stamp.Minute)})
		}
	}
	if !told {
		spans = b.hours(st.Hours, day)
	}
	for i := range spans {
		spans[i].from -= b.o.Earlier
	}
	return merge(spans)
}

func (b *building) rushes() {
	for _, r := range b.doc.Rushes {
		if procedure.On(r.Days, kitchen.Weekday(b.day)) {
			b.n.Rushes = append(b.n.Rushes, Rush{At: b.s.WallAt(b.day, r.At), EN: r.Title.EN, ES: r.Title.ES})
		}
	}
	for i := 1; i < len(b.n.Rushes); i++ {
		for k := i; k > 0 && b.n.Rushes[k].At < b.n.Rushes[k-1].At; k-- {
			b.n.Rushes[k], b.n.Rushes[k-1] = b.n.Rushes[k-1], b.n.Rushes[k]
		}
	}
}

// without tells whether a batch is thought away.
func (b *building) without(id entry.ID) bool {
	for _, x := range b.o.Without {
		if x == id {
			return true
		}
	}
	return false
}
