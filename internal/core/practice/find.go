package practice

import (
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/physics"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
)

// need says what a kind of trouble needs to come up.
type need uint8

// Needs up to needMoments are met while the crew has its hands on a batch: a step of it is next, or it is about to go on.
const (
	oilCold need = iota // the next step reads the oil, which may be too cool
	oilHot              // likewise too hot
	rawWarm             // the next step reads raw product that may be too warm
	coreLow             // the next step reads a core that may be too low
	gauge               // the next step asks about what stands under pressure
	vent                // the next step lets pressure off
	lid                 // the next step shuts what will stand under pressure
	lowers              // the next step lowers a load into hot oil
	wet                 // the next step asks about something that hot oil does not bear
	basket              // the next step fills a basket
	look                // the next step asks how raw product looks
	golden              // the next step asks how cooked product looks
	goesOn              // a raw batch has waited its time and goes on
	tacky               // likewise in a pan
	loads               // a batch goes into equipment that takes so many pieces
	done                // a load has had its time in hot oil while something else is for sale
	served              // cooked product goes on to be sold
	needMoments
	coldRoom  // equipment that keeps cold
	cabinet   // equipment that keeps hot
	fryer     // a fryer
	idle      // a fryer with nothing in it
	probe     // a thermometer
	delivery  // a procedure that says what a delivery must be like
	soon      // a raw batch before its floor
	marked    // a batch in a stage that writes a date mark
	rawBatch  // any raw batch that is not in hot oil
	allergens // a procedure that names allergens
	tray      // a tray for sale
	anything  // nothing
	needPlans // up to the last: planned ahead
	pastTub   // a raw batch past its ceiling
	pastTray  // a tray past its ceiling
	openList  // a list that is due and not done
)

func (d need) moment() bool { return d < needMoments }

// find looks for what trouble of a need would be about: b and st are what the crew has its hands on, for a moment.
func (n *Night) find(d need, b *kitchen.Batch, st *procedure.Stage) (about subject, ok bool) {
	switch {
	case d >= needMoments:
		return n.around(d)
	case st.Kind == procedure.Hold:
		return about, false
	}
	about = subject{batch: b.ID, stage: st.Name, place: b.Place}
	if missing := n.s.Missing(b); len(missing) > 0 {
		step := stepIn(st.Steps, missing[0])
		about.step = step.Name
		about.limited(&step.Limit, step.Unit, step.TypedIn)
		if d == coreLow && len(missing) > 1 {
			return about, false // what stands under pressure until the last step is done cannot be thrown away
		}
		return about, n.stepFits(d, st, step, &about)
	}
	if n.now < b.Since.Add(n.stay(b, st)) || n.p.Next(st.Name) == nil {
		return about, false
	}
	return about, n.goingFits(d, b, st, &about)
}

func (s *subject) limited(l *procedure.Limit, unit, typedIn string) {
	s.limit, s.unit, s.typedIn, s.source = *l, unit, typedIn, l.Source
}

// stepFits tells whether trouble of a need may come over a step, and what is found then.
func (n *Night) stepFits(d need, st *procedure.Stage, step *procedure.Step, about *subject) bool {
	oil := st.Equipment == fryerKind && st.Kind == procedure.Work && st.Raw
	warmth := step.Kind == procedure.Read && step.Unit == "mC"
	l := &step.Limit
	asks := step.Kind == procedure.Ask
	next := n.p.Next(st.Name)
	switch d {
	case oilCold:
		about.number = n.beyond(l, true)
		return oil && warmth && l.Min != nil
	case oilHot:
		about.number = n.beyond(l, false)
		return oil && warmth && l.Max != nil
	case rawWarm:
		about.number = n.beyond(l, false)
		return st.Raw && st.Equipment != fryerKind && warmth && l.Max != nil && l.Min == nil
	case coreLow:
		about.number = n.beyond(l, true)
		return !st.Raw && warmth && l.Min != nil && l.Max == nil
	case gauge:
		return st.Pressure && asks && step.Critical
	case vent:
		return st.Pressure && step.Kind == procedure.Do && warns(step.Caution, "pressure")
	case lowers:
		return oil && step.Kind == procedure.Do && step.Critical
	case lid:
		return oil && step.Kind == procedure.Do && step.Critical && next != nil && next.Pressure
	case wet:
		return oil && asks && warns(step.Caution, "hot oil")
	case basket:
		return oil && step.Kind == procedure.Do && !step.Critical
	case look:
		return st.Raw && st.Equipment != fryerKind && asks
	case golden:
		return !st.Raw && !st.Pressure && asks
	}
	return false
}

const fryerKind = "fryer"

func warns(c *procedure.Caution, hazard string) bool {
	return c != nil && slices.Contains(c.Hazards, hazard)
}

// beyond is a number below or above a limit, by 2 to 9 degrees.
func (n *Night) beyond(l *procedure.Limit, below bool) int64 {
	by := 2_000 + 500*n.below(14)
	switch {
	case below && l.Min != nil:
		return *l.Min - by
	case !below && l.Max != nil:
		return *l.Max + by
	}
	return 0
}

// goingFits tells whether trouble of a need may come over a batch that is about to go on.
func (n *Night) goingFits(d need, b *kitchen.Batch, st *procedure.Stage, about *subject) bool {
	next := n.p.Next(st.Name)
	about.limit.Source = procedure.Text{}
	switch d {
	case goesOn, tacky:
		return (d == goesOn || n.coated(st)) && st.Raw && st.Kind == procedure.Wait && st.Equipment != fryerKind && st.Window.Floor > 0 && n.stands(b) != window.Past
	case loads:
		return n.tooMany(b, st, next, about)
	case done:
		return st.Kind == procedure.Wait && st.Equipment == fryerKind && !cooked(st, next) && n.forSale() != nil
	case served:
		return !st.Raw && next.Kind == procedure.Hold && n.poultry()
	}
	return false
}

// coated tells whether somebody coated into the pan that rests in a stage.
func (n *Night) coated(st *procedure.Stage) bool {
	_, i := n.p.Stage(st.Name)
	return i > 0 && st.Vessel == "pan" && n.p.Stages[i-1].Vessel == "pan" && n.p.Stages[i-1].Kind == procedure.Work
}

// poultry tells whether some caution of the procedure is about raw poultry.
func (n *Night) poultry() bool {
	for i := range n.p.Stages {
		st := &n.p.Stages[i]
		if warns(st.Caution, "raw poultry") {
			return true
		}
		for j := range st.Steps {
			if warns(st.Steps[j].Caution, "raw poultry") {
				return true
			}
		}
	}
	return false
}

// tooMany tells whether a batch and another at its stage are more than equipment takes at once.
func (n *Night) tooMany(b *kitchen.Batch, st, next *procedure.Stage, about *subject) bool {
	if next.Equipment != fryerKind || st.Equipment == fryerKind {
		return false
	}
	pieces, grams := next.Enter.MostPiece, next.Enter.MostGrams
	eq := n.s.Equipment()
	for i := range eq.Devices {
		if dev := &eq.Devices[i]; dev.Kind == fryerKind && dev.Single {
			pieces, grams, about.place = stricter(pieces, dev.MostPiece), stricter(grams, dev.MostGrams), dev.Name
			break
		}
	}
	for i := range n.s.Batches {
		o := &n.s.Batches[i]
		if o.ID == b.ID || o.Status != kitchen.Open || o.Stage != b.Stage || o.Procedure != b.Procedure {
			continue
		}
		about.other = o.ID
		if about.number = b.Pieces + o.Pieces; pieces > 0 && about.number > pieces {
			about.limited(&procedure.Limit{Max: &pieces}, "1", "1")
			return true
		}
		if about.number = b.Grams + o.Grams; grams > 0 && about.number > grams {
			about.limited(&procedure.Limit{Max: &grams}, "g", "kg")
			return true
		}
	}
	return false
}

// stricter is the smaller of two limits, where 0 is none.
func stricter(a, b int64) int64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// cooked tells whether a stage comes after the cook: both it and the next are neither raw nor under pressure.
func cooked(st, next *procedure.Stage) bool {
	return !st.Pressure && !next.Pressure && !st.Raw && st.Window.Aim == 0
}

// forSale is a tray with pieces in it.
func (n *Night) forSale() *kitchen.Batch {
	for i := range n.s.Batches {
		b := &n.s.Batches[i]
		if st := n.s.Stage(b); b.Status == kitchen.Open && st != nil && st.Kind == procedure.Hold && b.Pieces > 0 && n.stands(b) != window.Past {
			return b
		}
	}
	return nil
}

// around looks for trouble that comes over anything that stands in the kitchen.
func (n *Night) around(d need) (about subject, ok bool) {
	eq := n.s.Equipment()
	switch d {
	case coldRoom, cabinet:
		return n.device(d)
	case fryer, idle:
		for i := range eq.Devices {
			dev := &eq.Devices[i]
			in := n.s.In(dev.Name)
			if dev.Kind != fryerKind || n.s.Place(dev.Name).Out || d == idle && len(in) > 0 {
				continue
			}
			about.place = dev.Name
			if d == idle {
				n.polar(&about)
			}
			return about, true
		}
	case probe:
		if p := eq.Probe(n.probe()); p != nil {
			off := physics.ProbeLimit(p.TypedIn == "[degF]")
			least := -off
			about.probe, about.number = p.Name, off+500+250*n.below(8)
			about.limited(&procedure.Limit{Min: &least, Max: &off}, "mC", p.TypedIn)
			return about, true
		}
	case delivery:
		if r := n.p.Receiving; r != nil && r.Warmth.Max != nil {
			about.limited(&r.Warmth, "mC", r.TypedIn)
			about.number = n.beyond(&r.Warmth, false)
			return about, true
		}
	case allergens:
		about.source = n.p.Allergens
		return about, n.p.Allergens.EN != ""
	case anything:
		return about, true
	default:
		return n.batch(d)
	}
	return about, false
}

// polar makes trouble about oil measured beyond its limit.
func (n *Night) polar(about *subject) {
	_, limit := kitchen.OilLimits(n.s.Country)
	most := limit.Limit * 100
	about.number = most + 1_000 + 500*n.below(6)
	about.limited(&procedure.Limit{Max: &most}, "m%", "%")
}

// device finds equipment whose reading may be off.
func (n *Night) device(d need) (about subject, ok bool) {
	kind := "cold room"
	if d == cabinet {
		kind = "hold cabinet"
	}
	for i := range n.s.Equipment().Devices {
		dev := &n.s.Equipment().Devices[i]
		if end := dev.Reading.Max; dev.Kind == kind && (d == cabinet && dev.Reading.Min != nil || d == coldRoom && end != nil) {
			about.place = dev.Name
			about.limited(&dev.Reading, "mC", dev.TypedIn)
			about.number = n.beyond(&dev.Reading, d == cabinet)
			return about, true
		}
	}
	return about, false
}

// batch finds a batch that trouble may come over.
func (n *Night) batch(d need) (about subject, ok bool) {
	for i := range n.s.Batches {
		b := &n.s.Batches[i]
		st := n.s.Stage(b)
		if b.Status != kitchen.Open || st == nil || n.holding(b.ID) != nil && n.now < n.holding(b.ID).until {
			continue
		}
		rests := st.Raw && st.Kind == procedure.Wait && st.Equipment != fryerKind
		stands, fits := n.stands(b), false
		switch d {
		case soon:
			fits = rests && stands == window.TooSoon && n.now.Since(b.Since) > stamp.Minute && len(n.s.Missing(b)) == 0
		case marked:
			fits = st.Mark && stands != window.Past && st.Kind != procedure.Hold
		case rawBatch:
			fits = st.Raw && st.Equipment != fryerKind && n.poultry()
		case tray:
			fits = st.Kind == procedure.Hold && b.Pieces > 0 && stands != window.Past && n.poultry()
		}
		if fits {
			return subject{batch: b.ID, stage: st.Name, place: b.Place}, true
		}
	}
	return about, false
}
