package core

import (
	"brinebell/internal/core/demand"
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

// How many moves are made before the first answer (twice as many make it a fiftieth better, and so does the next slice), and about each
// thing that would be otherwise.
const (
	planFirst = 600
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
	promised *planner.Plan          // what is left of the plan that was taken on
	base     *planner.Plan          // what was told last
	best     planner.Money          // the cheapest so far: base may cost a little more, to keep what was promised
	fixing   *planning.Fixing       // looks what would meet what is not met
	outlooks map[string]*demand.Day // of items
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
	if was := c.phone.plans; was != nil { // mostly the same documents and the same days before today
		s.Share(was.state)
	}
	r := &planRun{outlooks: map[string]*demand.Day{}, state: s, now: stamp.Milli(cmd.Value), wish: *cmd, key: cmd.Name}
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

// planEnough says of each boat how often what is ready for it will do, where there are sales to tell it from.
func (r *planRun) planEnough() {
	r.told.Enough = nil
	drops := r.told.Plan.Drops
	slot := func(at stamp.Milli) int { return int(at.Since(r.names.Zero)/stamp.Minute) / kitchen.SlotMinutes }
	for rush := range r.names.Rushes {
		for _, it := range r.names.Items {
			from, to, pieces := 1<<30, 0, 0
			for _, d := range drops {
				if d.Item == it.Procedure && d.Rush == rush {
					from, to, pieces = min(from, slot(d.Ready)), max(to, slot(d.Until)), pieces+d.Pieces
				}
			}
			if pieces == 0 {
				continue
			}
			for _, d := range drops { // what comes after it is ready for who comes after it
				if s := slot(d.Ready); d.Item == it.Procedure && d.Rush != rush && s > from {
					to = min(to, s)
				}
			}
			day, ok := r.outlooks[it.Procedure]
			if !ok {
				day = demand.Of(r.state, demand.Ask{Now: r.now, Item: it.Procedure, Day: r.told.Day, To: 2 * 24 * 60})
				r.outlooks[it.Procedure] = day
			}
			if day.Outlook.Days > 0 && to > from && from >= 0 {
				r.told.Enough = append(r.told.Enough, screen.PlanEnough{Rush: rush, Item: it.Procedure, Pieces: pieces, Days: day.Outlook.Days,
					Often: day.Outlook.Span(from, to).Enough(pieces)})
			}
		}
	}
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
	r.planEnough()
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
