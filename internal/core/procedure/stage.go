package procedure

import (
	"brinebell/internal/core/quantity"
)

// Vessels lists the kinds of vessels that a batch can be in.
var Vessels = [...]string{"tub", "rack", "pan", "load", "tray"}

// Hazards lists what a caution can be about.
var Hazards = [...]string{"hot oil", "pressure", "raw poultry", "knives", "chemicals", "allergens", "doubtful food",
	"hot surface", "slippery floor"}

// Drawings lists the drawings that a step may show: the order of a basket, lid and pressure, a drain insert, where a probe
// goes, layers in a tub.
var Drawings = [...]string{"basket", "lid", "drain", "probe", "tub"}

func (n *node) stage() Stage {
	n.object("name", "kind", "title", "act", "doing", "vessel", "equipment", "window", "steps", "caution", "enter", "mark",
		"raw", "pressure", "override", "cookTable")
	s := Stage{
		Name:     n.need("name").id(),
		Kind:     StageKind(n.need("kind").oneOf("work", "wait", "hold")),
		Title:    n.need("title").words(titleMax),
		Act:      n.need("act").words(titleMax),
		Doing:    n.need("doing").words(titleMax),
		Vessel:   Vessels[n.need("vessel").oneOf(Vessels[:]...)],
		Window:   n.get("window").window(),
		Caution:  n.get("caution").caution(),
		Enter:    n.get("enter").takes(),
		Raw:      n.get("raw").flag(),
		Pressure: n.get("pressure").flag(),
		Override: n.get("override").flag(),
		Cook:     n.get("cookTable").cookTable(),
	}
	if e := n.get("equipment"); e.there() {
		s.Equipment = EquipmentKinds[e.oneOf(EquipmentKinds[:]...)]
	}
	if steps := n.get("steps"); steps.there() {
		s.Steps = steps.steps()
	}
	if m := n.get("mark"); m.there() && m.object("use") {
		s.Mark, s.MarkUse = true, m.need("use").words(titleMax)
	}
	return s
}

func (n *node) window() Window {
	if !n.there() || !n.object("floor", "best", "lastCall", "ceiling", "aim", "patience", "hard", "hardFloor", "critical") {
		return Window{}
	}
	w := Window{
		Floor:     n.get("floor").span(),
		LastCall:  n.get("lastCall").span(),
		Ceiling:   n.get("ceiling").span(),
		Aim:       n.get("aim").span(),
		Patience:  n.need("patience").span(),
		Hard:      n.get("hard").flag(),
		HardFloor: n.get("hardFloor").flag(),
		Critical:  n.get("critical").flag(),
	}
	if b := n.get("best"); b.there() && b.object("from", "until") {
		w.BestFrom, w.BestUntil = b.get("from").span(), b.need("until").span()
	}
	return w
}

// receiving reads what a delivery must be like.
func (n *node) receiving() *Receiving {
	if !n.there() || !n.object("warmth", "unit") {
		return nil
	}
	r := &Receiving{TypedIn: "Cel"}
	if w := n.get("warmth"); w.there() && w.object("unit", "min", "max", "source", "hard", "critical") {
		r.Warmth = w.limit(quantity.MilliC)
		if u := w.get("unit"); u.there() {
			r.TypedIn = u.code(quantity.MilliC)
		}
	}
	if u := n.get("unit"); u.there() && u.object("min", "max", "source", "hard", "critical") {
		r.Unit = u.limit(quantity.Gram)
	}
	return r
}

func (n *node) takes() Takes {
	if !n.there() || !n.object("part", "most", "pieces", "counted", "weighed") {
		return Takes{}
	}
	return Takes{
		Part:      n.get("part").flag(),
		MostGrams: n.get("most").positive(quantity.Gram, quantity.HalfEven),
		MostPiece: n.get("pieces").whole(1, 10000),
		Counted:   n.get("counted").flag(),
		Weighed:   n.get("weighed").flag(),
	}
}

func (n *node) caution() *Caution {
	if !n.there() || !n.object("hazards", "title", "lines") {
		return nil
	}
	c := &Caution{Title: n.need("title").words(titleMax)}
	for _, h := range n.need("hazards").list(1, len(Hazards)) {
		c.Hazards = append(c.Hazards, Hazards[h.oneOf(Hazards[:]...)])
	}
	for _, l := range n.need("lines").list(1, 3) {
		c.Lines = append(c.Lines, l.words(160))
	}
	return c
}

func (n *node) steps() []Step {
	var steps []Step
	for _, s := range n.list(1, stepsMax) {
		steps = append(steps, s.step())
	}
	return steps
}

// stepKinds lists the kinds of steps in the order of their numbers.
var stepKinds = [...]string{"do", "read", "ask", "count", "weigh", "photo", "sign"}

func (n *node) step() Step {
	n.object("name", "kind", "text", "button", "why", "how", "ifNot", "caution", "critical", "optional", "unit", "limit",
		"role", "drawing")
	s := Step{
		Name:     n.need("name").id(),
		Kind:     StepKind(n.need("kind").oneOf(stepKinds[:]...)),
		Text:     n.need("text").words(120),
		Button:   n.get("button").words(titleMax),
		Why:      n.get("why").words(textMax),
		How:      n.get("how").words(textMax),
		IfNot:    n.get("ifNot").words(textMax),
		Caution:  n.get("caution").caution(),
		Critical: n.get("critical").flag(),
		Optional: n.get("optional").flag(),
	}
	n.measure(&s)
	if d := n.get("drawing"); d.there() {
		s.Drawing = Drawings[d.oneOf(Drawings[:]...)]
	}
	if r := n.get("role"); r.there() {
		if r.oneOf("lead", "anybody") == 0 {
			s.Role = "lead"
		}
		if s.Kind != Sign {
			r.fault(say("Only a sign step has a role.", "Solo un paso de firma tiene un papel."))
		}
	}
	return s
}

// measure reads the unit and limit of a step that asks for a number.
func (n *node) measure(s *Step) {
	unit, limit := n.get("unit"), n.get("limit")
	base := quantity.Unit("")
	switch s.Kind {
	case Tally:
		base = quantity.Piece
	case Weigh:
		base = quantity.Gram
	case Read:
		if u := n.need("unit"); u.there() && u.v.Text != "" {
			base = quantity.BaseOf(u.v.Text)
		}
	default:
		for _, m := range []*node{unit, limit} {
			if m.there() {
				m.fault(say("Only steps that read, count or weigh have a unit or a limit.",
					"Solo los pasos que leen, cuentan o pesan tienen unidad o límite."))
			}
		}
		return
	}
	if unit.there() {
		s.TypedIn = unit.typedIn(base)
	} else if base == quantity.Piece {
		s.TypedIn = "1"
	} else if base == quantity.Gram {
		s.TypedIn = "kg"
	}
	s.Unit = string(base)
	if limit.there() && base != "" && limit.object("min", "max", "source", "hard", "critical") {
		s.Limit = limit.limit(base)
	}
}

func (n *node) typedIn(base quantity.Unit) string {
	if base == "" && n.v.Text != "" {
		n.fault(say("{0} is not a unit that is known here. Known are: {1}.",
			"{0} no es una unidad que se conozca aquí. Se conocen: {1}.", clip(n.v.Text),
			"Cel, [degF], g, kg, [lb_av], [oz_av], mL, L, [gal_us], [foz_us], s, min, h, 1"))
		return ""
	}
	return n.code(base)
}

// limit reads what a number may be. Its ends are rounded like numbers that are typed, so that a reading of exactly
// 360 °F meets a limit of 360 °F although neither is a whole number of thousandths of a degree Celsius.
func (n *node) limit(base quantity.Unit) Limit {
	var l Limit
	least, most := n.get("min"), n.get("max")
	if least.there() {
		v := least.amount(base, quantity.HalfEven)
		l.Min = &v
	}
	if most.there() {
		v := most.amount(base, quantity.HalfEven)
		l.Max = &v
	}
	switch {
	case l.Min == nil && l.Max == nil:
		n.fault(say("A limit needs min, max or both.", "Un límite necesita min, max o ambos."))
	case l.Min != nil && l.Max != nil && *l.Min > *l.Max:
		n.fault(say("The limit is the wrong way round: at least {0}, at most {1}.",
			"El límite está al revés: al menos {0}, como máximo {1}.", least.v.Text, most.v.Text))
	}
	l.Source = n.need("source").words(160)
	l.Hard = n.get("hard").flag()
	l.Critical = n.get("critical").flag()
	return l
}
