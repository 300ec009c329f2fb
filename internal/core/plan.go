package core

import (
	"strconv"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// A device thinks about the plan on a core of its own, with no shelf and no line, so that nothing waits for it. OpPlan hands that core
// the bytes of the state (Frame) and what is asked of it (Tap); without a state it goes on thinking, or is asked otherwise of the same
// one. What it comes to goes back as Outcome.Plan, and to the kitchen's own core by OpPlanned, which draws it. Without a frame that
// says only that the last part of the core is there, so that what it has to say can be drawn.
const (
	OpPlan    Op = 65
	OpPlanned Op = 66
)

// doPlanThink goes on thinking: Number moves, and Closes ends it.
const doPlanThink = "plan-think"

// How many moves are made before the first answer, and about each thing that would be otherwise.
const (
	planFirst = 2_000
	planIf    = 24_000
	planFix   = 8_000
	planSeed  = 1
)

// planRun is thought about one state.
type planRun struct {
	state    *kitchen.State
	now      stamp.Milli
	wish     kitchen.Command
	key      string
	problem  *planner.Problem
	names    *planning.Names
	solver   *planner.Solver
	promised *planner.Plan    // what is left of the plan that was taken on
	base     *planner.Plan    // what was told last
	best     planner.Money    // the cheapest so far: base may cost a little more, to keep what was promised
	fixing   *planning.Fixing // looks what would meet what is not met
	told     screen.Planned
	moves    int        // of thought about the kitchen as it is
	rests    bool       // no more of it
	before   *planOther // the one before it
	other    *planOther
	after    *afterRun // hindsight about a day that is over, instead of a plan
}

// planOther is what is thought about otherwise now.
type planOther struct {
	name    string
	problem *planner.Problem
	names   *planning.Names
	solver  *planner.Solver
	moves   int
}

// planCarry takes an input of a core that plans.
func (c *Core) planCarry(in *Input) {
	cmd, err := kitchen.ReadCommand(in.Tap)
	if err != nil {
		c.note("what is asked of the planner cannot be read: ", err.Error())
		return
	}
	r := c.phone.plans
	switch {
	case in.Frame != nil:
		c.planBegin(in.Frame, cmd)
	case r != nil && r.after != nil:
		c.afterThink(int(cmd.Number), cmd.Closes)
	case r == nil || r.problem == nil:
	case cmd.Do == doPlanThink:
		c.planThink(int(cmd.Number), cmd.Closes)
	default:
		r.wish = *cmd
		c.planAnswer()
		c.planWake()
	}
}

// planBegin makes the problem of a state and a first plan of it.
func (c *Core) planBegin(state []byte, cmd *kitchen.Command) {
	s, err := kitchen.Read(state)
	if err != nil {
		c.note("the kitchen to plan for cannot be read: ", err.Error())
		return
	}
	r := &planRun{state: s, now: stamp.Milli(cmd.Value), wish: *cmd, key: cmd.Name}
	c.phone.plans = r
	if cmd.Text == screen.AfterText {
		c.afterBegin()
		return
	}
	var missing []planning.Missing
	r.problem, r.names, missing = planning.Problem(s, r.now, cmd.Day, planning.Options{})
	r.told = screen.Planned{Key: r.key, Day: cmd.Day, Currency: r.names.Currency, Zero: r.names.Zero, Items: r.names.Items, Rushes: r.names.Rushes, Missing: missing}
	if r.problem == nil {
		r.told.Rests = true
		c.out.Plan = wire.Append(nil, &r.told)
		return
	}
	if r.promised = planning.Warm(s, r.problem, r.names); r.promised != nil {
		r.solver = planner.NewSolverFrom(r.problem, r.promised, planSeed)
	} else {
		r.solver = planner.NewSolver(r.problem, planSeed)
	}
	r.solver.Think(planFirst)
	c.planTell()
	c.planWake()
}

// planThink makes moves, and tells what came of them where it is better.
func (c *Core) planThink(moves int, ends bool) {
	r := c.phone.plans
	switch {
	case r.wish.Text == "hand":
	case !r.rests:
		r.solver.Think(max(moves, 1))
		r.moves += moves
		r.rests = ends || r.solver.Proven() || r.wish.Text == "ifs" && r.moves >= planIf // the others are given as much thought
		if x := r.solver.Plan(); x.Cost < r.best || r.rests {
			c.planTell()
		}
		if r.rests && r.wish.Text != "ifs" {
			r.fixing = planning.NewFixing(r.state, r.now, planning.Options{}, &r.told.Plan, r.base, planFix)
		}
	case r.fixing != nil:
		if !r.fixing.Step() {
			r.fixing = nil
		}
		c.planAnswer()
	case r.wish.Text == "ifs":
		c.planOtherwise(moves)
	}
	c.planWake()
}

// planWake asks to be stepped again while there is something to think about.
func (c *Core) planWake() {
	r := c.phone.plans
	if r.wish.Text != "hand" && (!r.rests || r.fixing != nil) || r.wish.Text == "ifs" && len(r.told.Ifs) < len(screen.PlanIfs()) {
		c.wakeAt(c.wall + 1)
	}
}

// planTell puts down the best plan so far.
func (c *Core) planTell() {
	r := c.phone.plans
	best := r.solver.Plan()
	r.best = best.Cost
	var kept planning.Kept
	r.base, kept = planning.Keep(r.problem, best, r.promised)
	r.told.Plan = planning.Rows(r.problem, r.base, r.names)
	r.told.Plan.KeptCost, r.told.Rests = kept.Cost, r.rests
	if m := r.state.PlanOf(r.told.Day); m != nil {
		last := planning.Left(r.state, m)
		r.told.Differs = planning.Difference(&last, &r.told.Plan, planning.Changes(r.state, m, r.now))
	}
	c.planAnswer()
}

// planAnswer tells the page what there is, with what somebody changes by hand.
func (c *Core) planAnswer() {
	r := c.phone.plans
	r.told.Hand = screen.PlanHand{}
	if r.wish.Text == "hand" && r.wish.Reason != "" {
		c.planHand()
	}
	c.out.Plan = wire.Append(nil, &r.told)
}

// planOtherwise thinks about the next thing that would be otherwise.
func (c *Core) planOtherwise(moves int) {
	r := c.phone.plans
	if len(r.told.Ifs) == len(screen.PlanIfs()) {
		return
	}
	o := r.other
	if o == nil {
		o = &planOther{name: screen.PlanIfs()[len(r.told.Ifs)]}
		o.problem, o.names, _ = planning.Problem(r.state, r.now, r.wish.Day, r.planOptions(o.name))
		r.other = o
		if o.problem != nil {
			if o.name == "cook" {
				planMoreHands(o.problem)
			}
			o.solver = planner.NewSolverFrom(o.problem, r.planFrom(o.name), planSeed)
		}
	}
	if o.solver != nil && o.moves < planIf {
		o.solver.Think(moves)
		if o.moves += moves; o.moves < planIf && !o.solver.Proven() {
			return
		}
	}
	one := screen.PlanIf{Name: o.name, Done: true, Cost: r.base.Cost}
	if o.solver != nil {
		if x := o.solver.Plan(); x.Cost < r.base.Cost || !planMore[o.name] { // with more of something the same plan goes too
			rows := planning.Rows(o.problem, x, o.names)
			one.Cost, one.Bound, one.Differs = x.Cost, x.Bound, planSwaps(planning.Difference(&r.told.Plan, &rows, nil))
		}
	}
	r.told.Ifs, r.other, r.before = append(r.told.Ifs, one), nil, o
	c.planAnswer()
}

// planFrom is the plan from which a look at something otherwise begins.
func (r *planRun) planFrom(name string) *planner.Plan {
	if o := r.before; name == "fryers" && o != nil && o.name == "fryer" && o.solver != nil { // two do what one does
		return o.solver.Plan()
	}
	return r.base
}

// planSwaps takes out what says no more than that one fryer does what another does.
func planSwaps(list []planning.Say) []planning.Say {
	kept := list[:0]
	for _, s := range list {
		if s.Text != "pl.diff.drop.place" {
			kept = append(kept, s)
		}
	}
	return kept
}

// planMore are those of the things otherwise that can only make the plan cheaper.
var planMore = map[string]bool{"fryers": true, "fryer": true, "earlier": true, "pans": true, "cook": true, "tub": true}

// planOptions is how something is thought otherwise.
func (r *planRun) planOptions(name string) (o planning.Options) {
	switch name {
	case "fryers":
		o.Fryers = 2
	case "fryer":
		o.Fryers = 1
	case "earlier":
		o.Earlier = 30
	case "pans":
		o.Pans = 10
	case "tub":
		o.Tubs = 1
	case "spare":
		o.Tubs = -1
	case "dead":
		for _, d := range r.state.Equipment().Devices {
			if d.Kind == "fryer" && !r.state.Place(d.Name).Out {
				o.NoFryer = []string{d.Name}
				break
			}
		}
	}
	return o
}

// planMoreHands lets twice as much be done in each spell.
func planMoreHands(p *planner.Problem) {
	for i := range p.Items {
		if k := p.Items[i].Coat; k != nil {
			for n := range k.Modes {
				k.Modes[n].Most *= 2
			}
		}
		if m := p.Items[i].Marinate; m != nil {
			for n := range m.Modes {
				m.Modes[n].Most *= 2
			}
		}
	}
}

// planHand works out what somebody changes by hand, and which rules it breaks.
func (c *Core) planHand() {
	r := c.phone.plans
	h := &r.told.Hand
	h.Changes = r.wish.Reason
	x := r.planChanged(r.wish.Reason)
	costs, breaches := planner.Breaches(r.problem, x)
	x.Cost, x.Bound = costs.Sum(), min(r.base.Bound, costs.Sum())
	for i := range breaches {
		h.Breaches = append(h.Breaches, r.planBreach(x, &breaches[i]))
	}
	if len(breaches) == 0 {
		h.Plan = planning.Rows(r.problem, x, r.names)
		h.Differs = planSwaps(planning.Difference(&r.told.Plan, &h.Plan, nil))
	}
}

// planChanged is the plan that was told last with changes by hand: what is left out goes first, and with it what hangs on it.
func (r *planRun) planChanged(changes string) *planner.Plan {
	x := &planner.Plan{}
	for _, l := range r.base.Loads {
		x.Loads = append(x.Loads, planner.Load{Item: l.Item, Start: l.Start, Units: l.Units})
	}
	for _, s := range r.base.Coats {
		x.Coats = append(x.Coats, planner.Session{Item: s.Item, Start: s.Start, Blocks: s.Blocks, Units: s.Units})
	}
	for _, s := range r.base.Marinades {
		x.Marinades = append(x.Marinades, planner.Session{Item: s.Item, Start: s.Start, Blocks: s.Blocks, Units: s.Units, Tubs: s.Tubs})
	}
	var outs [3]map[int]bool
	type change struct {
		sort, what byte
		n, value   int
	}
	var list []change
	for one := range strings.SplitSeq(changes, ";") {
		at := strings.IndexAny(one, "@*-")
		if at < 2 {
			continue
		}
		n, err := strconv.Atoi(one[1:at])
		value, bad := strconv.Atoi(one[at+1:])
		if err != nil || bad != nil && one[at] != '-' {
			continue
		}
		sort, row := strings.IndexByte("dct", one[0]), -1
		if sort >= 0 {
			row = r.planRowOf(sort, n)
		}
		switch {
		case row < 0:
		case one[at] == '-':
			if outs[sort] == nil {
				outs[sort] = map[int]bool{}
			}
			outs[sort][row] = true
		default:
			list = append(list, change{byte(sort), one[at], row, value})
		}
	}
	for _, ch := range list { // before what is left out moves the others up
		switch p := [...]func() (*int, *int){
			func() (*int, *int) { return &x.Loads[ch.n].Start, &x.Loads[ch.n].Units },
			func() (*int, *int) { return &x.Coats[ch.n].Start, &x.Coats[ch.n].Units },
			func() (*int, *int) { return &x.Marinades[ch.n].Start, &x.Marinades[ch.n].Units }}[ch.sort]; ch.what {
		case '@':
			start, _ := p()
			*start = ch.value
		case '*':
			_, units := p()
			*units = ch.value
		}
	}
	r.planFits(x)
	x.Loads = planWithout(x.Loads, outs[0])
	x.Coats = planWithout(x.Coats, outs[1])
	x.Marinades = planWithout(x.Marinades, outs[2])
	planner.Supply(r.problem, x, len(outs[0])+len(outs[1])+len(outs[2]) > 0 && len(list) == 0)
	return x
}

// planFits takes as many tubs, and as long a spell, as the amounts need.
func (r *planRun) planFits(x *planner.Plan) {
	for i := range x.Marinades {
		s := &x.Marinades[i]
		if m := r.problem.Items[s.Item].Marinate; m != nil {
			s.Tubs = (s.Units + m.TubUnits - 1) / m.TubUnits
			s.Blocks = planBlocks(m.Modes, s.Tubs, s.Blocks)
		}
	}
	for i := range x.Coats {
		s := &x.Coats[i]
		if k := r.problem.Items[s.Item].Coat; k != nil {
			s.Blocks = planBlocks(k.Modes, s.Units, s.Blocks)
		}
	}
}

func planBlocks(modes []planner.Mode, amount, now int) int {
	best := 0
	for _, m := range modes {
		if m.Most >= amount && (best == 0 || m.Blocks < best) {
			best = m.Blocks
		}
	}
	if best == 0 {
		return now
	}
	return best
}

func planWithout[T any](list []T, out map[int]bool) []T {
	kept := list[:0]
	for i := range list {
		if !out[i] {
			kept = append(kept, list[i])
		}
	}
	return kept
}

// planRowOf is which of the planner's loads or sessions a row of the plan is; -1: none.
func (r *planRun) planRowOf(sort, n int) int {
	find := func(item string, start stamp.Milli, skip int, of int, at func(int) (int, int)) int {
		for i := range of {
			it, minute := at(i)
			if r.names.Items[it].Procedure == item && r.names.At(minute) == start {
				if skip == 0 {
					return i
				}
				skip--
			}
		}
		return -1
	}
	switch p := &r.told.Plan; {
	case sort == 0 && n < len(p.Drops):
		skip := 0
		for i := range n {
			if p.Drops[i].Item == p.Drops[n].Item && p.Drops[i].Start == p.Drops[n].Start {
				skip++
			}
		}
		return find(p.Drops[n].Item, p.Drops[n].Start, skip, len(r.base.Loads), func(i int) (int, int) { return r.base.Loads[i].Item, r.base.Loads[i].Start })
	case sort == 1 && n < len(p.Coats):
		return find(p.Coats[n].Item, p.Coats[n].Start, 0, len(r.base.Coats), func(i int) (int, int) { return r.base.Coats[i].Item, r.base.Coats[i].Start })
	case sort == 2 && n < len(p.Tubs):
		return find(p.Tubs[n].Item, p.Tubs[n].Start, 0, len(r.base.Marinades), func(i int) (int, int) { return r.base.Marinades[i].Item, r.base.Marinades[i].Start })
	}
	return -1
}

// planBreach says of a broken rule which item and place it is about.
func (r *planRun) planBreach(x *planner.Plan, b *planner.Breach) screen.PlanBreach {
	out := screen.PlanBreach{Breach: *b, From: r.names.At(b.At), To: r.names.At(b.Need), Row: -1}
	item := -1
	switch b.Of {
	case planner.OfLoad:
		item = x.Loads[b.N].Item
	case planner.OfCoat:
		if b.Rule != planner.RuleRoom {
			item = x.Coats[b.N].Item
		}
	case planner.OfMarinade:
		if b.Rule != planner.RuleRoom {
			item = x.Marinades[b.N].Item
		}
	case planner.OfCarry:
		item = r.problem.Carry[b.N].Item
	}
	if item >= 0 {
		out.Item = r.names.Items[item].Procedure
	}
	if (b.Rule == planner.RuleShift || b.Rule == planner.RuleTwo) && b.Where < len(r.names.Stations) {
		out.Spot = r.names.Stations[b.Where]
	}
	return out
}

// planTake draws what a planner has come to.
func (c *Core) planTake(in *Input) {
	p := &c.phone
	if in.Frame == nil {
		if p.planned == nil {
			p.planned, p.changed = new(screen.Planned), true
		}
		return
	}
	got := new(screen.Planned)
	if err := wire.Read(in.Frame, got); err != nil {
		c.note("a plan cannot be read: ", err.Error())
		return
	}
	if was := p.planned; was != nil && got.After.Key != "" { // of a day that is over: the plan stays what it was
		known := got.After
		*got = *was
		got.After = known
	} else if was != nil {
		got.After = was.After
	}
	p.planned, p.changed = got, true
}

// planAccept puts the plan that is to be taken on into its command; false when there is none any more.
func (c *Core) planAccept(cmd *kitchen.Command) bool {
	ctx := c.context()
	cmd.Plan = screen.PlanTaken(&ctx, cmd)
	return cmd.Plan != nil
}
