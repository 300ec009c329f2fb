package procedure

import (
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// child returns element i of the list called list.
func (n *node) child(list string, i int) *node {
	l := n.get(list)
	if l.v == nil || i >= len(l.v.Items) {
		return l
	}
	return &node{p: n.p, up: l, name: strconv.Itoa(i), v: &l.v.Items[i]}
}

// clean tells whether no fault has been named at or below n, so that one mistake is not named twice over.
func (n *node) clean() bool {
	path := n.path()
	return !slices.ContainsFunc(n.p.faults, func(f Fault) bool {
		return f.Path == path || strings.HasPrefix(f.Path, path+"/")
	})
}

func (n *node) checkProcedure(p *Procedure) {
	var names []string
	for i := range p.Stages {
		names = append(names, p.Stages[i].Name)
		s := n.child("stages", i)
		s.checkWindow(&p.Stages[i])
		s.checkStage(p, i)
		s.checkSteps(p.Stages[i].Steps)
	}
	n.checkNames("stages", names)
	if m := p.Mix; m != nil && n.get("mix").clean() {
		n.get("mix").checkMix(p)
	}
	if n.get("allergens").there() && n.stagesRead() && !p.cautions("allergens") {
		n.get("allergens").fault(say("The product has allergens, but no caution names them: add one with the hazard \"allergens\".",
			"El producto tiene alérgenos, pero ninguna advertencia los nombra: añada una con el peligro \"allergens\"."))
	}
	if len(p.Stages) > 0 && p.Stages[len(p.Stages)-1].Kind != Hold {
		n.get("stages").fault(say("The last stage must be a hold: where the product is sold or thrown away.",
			"La última etapa debe ser de espera caliente (hold): donde el producto se vende o se tira."))
	}
}

// stagesRead tells whether the hazards of every caution could be read, whatever else is wrong with the stages.
func (n *node) stagesRead() bool {
	stages := n.get("stages").elements()
	return len(stages) > 0 && !slices.ContainsFunc(stages, func(s *node) bool { return !s.cautionsRead() })
}

// cautionsRead is stagesRead of one stage: a fault elsewhere in it must not hide that a caution is missing.
func (n *node) cautionsRead() bool {
	read := func(n *node) bool {
		c := n.get("caution")
		return n.v.Kind == jsontext.Object && (!c.there() || c.v.Kind == jsontext.Object && c.get("hazards").clean())
	}
	steps := n.get("steps")
	return read(n) && (!steps.there() || steps.v.Kind == jsontext.List) &&
		!slices.ContainsFunc(steps.elements(), func(s *node) bool { return !read(s) })
}

// elements returns the elements of a list, none of what is no list; nothing is said of how many they are.
func (n *node) elements() []*node {
	var items []*node
	if n.there() && n.v.Kind == jsontext.List {
		for i := range n.v.Items {
			items = append(items, &node{p: n.p, up: n, name: strconv.Itoa(i), v: &n.v.Items[i]})
		}
	}
	return items
}

// cautions tells whether a caution anywhere in the procedure is about the hazard.
func (p *Procedure) cautions(hazard string) bool {
	return slices.ContainsFunc(p.Stages, func(s Stage) bool { return s.cautions(hazard) })
}

// cautions tells whether a caution of the stage or of one of its steps is about the hazard.
func (s *Stage) cautions(hazard string) bool {
	about := func(c *Caution) bool { return c != nil && slices.Contains(c.Hazards, hazard) }
	return about(s.Caution) || slices.ContainsFunc(s.Steps, func(t Step) bool { return about(t.Caution) })
}

// checkNames names each that stands twice in the list.
func (n *node) checkNames(list string, names []string) {
	for i, name := range names {
		if first := slices.Index(names, name); first < i && name != "" {
			n.child(list, i).get("name").fault(say("The name {0} stands twice: entry {1} has it too.",
				"El nombre {0} está dos veces: también lo tiene la entrada {1}.", clip(name), strconv.Itoa(first+1)))
		}
	}
}

// order is a mark of a window by its name in the document.
type order struct {
	name string
	at   stamp.Span
}

func (n *node) checkWindow(s *Stage) {
	w := &s.Window
	win := n.get("window")
	if !win.there() || win.v.Kind != jsontext.Object {
		return
	}
	marks := []order{{"floor", w.Floor}, {"best/from", w.BestFrom}, {"best/until", w.BestUntil}, {"ceiling", w.Ceiling}}
	// A mark that cannot be read hides nothing of the others.
	marks = slices.DeleteFunc(marks, func(o order) bool { return o.at == 0 || !win.mark(o.name).clean() })
	for i := 1; i < len(marks); i++ {
		if a, b := marks[i-1], marks[i]; a.at > b.at {
			win.mark(b.name).fault(say("{0} is {1}, before {2}, which is {3}.", "{0} es {1}, antes que {2}, que es {3}.",
				b.name, iso(b.at), a.name, iso(a.at)))
		}
	}
	if win.all("floor", "best", "ceiling", "lastCall", "aim") {
		win.checkBest(w)
	}
	win.checkHard(s)
	if len(marks) == 0 && win.clean() {
		win.fault(say("A window needs a floor, best or a ceiling.", "Una ventana necesita floor, best o ceiling."))
	}
}

// all tells whether no fault has been named of any of these members.
func (n *node) all(names ...string) bool {
	return !slices.ContainsFunc(names, func(name string) bool { return !n.get(name).clean() })
}

// mark returns the member that a mark's name leads to.
func (n *node) mark(name string) *node {
	for part := range strings.SplitSeq(name, "/") {
		n = n.get(part)
	}
	return n
}

func iso(s stamp.Span) string { return string(quantity.AppendDuration(nil, int64(max(s, 0)))) }

func (n *node) checkBest(w *Window) {
	if w.BestFrom > 0 && w.BestFrom == w.BestUntil {
		n.mark("best/until").fault(say("Best begins and ends at {0}.", "Best empieza y acaba en {0}.", iso(w.BestUntil)))
		return
	}
	if w.LastCall > 0 && w.BestUntil == 0 {
		n.get("lastCall").fault(say("A last call needs best until, before which it rings.",
			"Un último aviso necesita best until, antes del cual suena."))
	} else if w.LastCall > 0 && w.LastCall > w.BestUntil-max(w.BestFrom, w.Floor) {
		n.get("lastCall").fault(say("The last call is {0} long, longer than best, which is {1}.",
			"El último aviso dura {0}, más que best, que dura {1}.", iso(w.LastCall), iso(w.BestUntil-max(w.BestFrom, w.Floor))))
	}
	low, high := max(w.Floor, w.BestFrom), w.Ceiling
	if w.BestUntil > 0 {
		high = w.BestUntil
	}
	if w.Aim > 0 && (w.Aim < low || high > 0 && w.Aim > high) {
		n.get("aim").fault(say("The aim {0} lies outside of what is best, {1} to {2}.",
			"La meta {0} queda fuera de lo mejor, de {1} a {2}.", iso(w.Aim), iso(low), iso(high)))
	}
}

func (n *node) checkHard(s *Stage) {
	w := &s.Window
	if w.Hard && w.Ceiling == 0 {
		n.get("hard").fault(say("A hard limit needs a ceiling.", "Un límite estricto necesita ceiling."))
	}
	if w.HardFloor && w.Floor == 0 {
		n.get("hardFloor").fault(say("A hard floor needs a floor.", "Un mínimo estricto necesita floor."))
	}
	if w.Hard && s.Override {
		n.up.get("override").fault(say(
			"A hard limit cannot be overridden: take away hard or override.",
			"Un límite estricto no se puede anular: quite hard u override."))
	}
}

// checkStage looks at stage i among the others.
func (n *node) checkStage(p *Procedure, i int) {
	s := &p.Stages[i]
	if s.Kind == Hold && i+1 < len(p.Stages) {
		n.get("kind").fault(say("Only the last stage can be a hold.", "Solo la última etapa puede ser hold."))
	}
	if (s.Kind != Work || s.Mark) && !n.get("window").there() {
		n.get("window").fault(say("A stage in which the product waits, is held or gets a date mark needs a window.",
			"Una etapa en la que el producto espera, se mantiene o recibe una marca de fecha necesita una ventana."))
	}
	if w := n.get("window"); (s.Kind == Hold || s.Raw && s.Kind == Wait || s.Mark) && !w.get("ceiling").there() &&
		(w.get("floor").there() || w.get("best").there()) && w.get("hard").clean() {
		w.get("ceiling").fault(say("This stage needs a ceiling: raw waits, holds and date marks have a last moment.",
			"Esta etapa necesita ceiling: las esperas en crudo, las de venta y las marcas de fecha tienen un último momento."))
	}
	if n.get("vessel").clean() {
		n.checkVessel(p, i)
	}
	if n.cautionsRead() {
		n.checkCautions(s)
	}
}

func (n *node) checkVessel(p *Procedure, i int) {
	s, enter := &p.Stages[i], n.get("enter")
	other := i > 0 && p.Stages[i-1].Vessel != s.Vessel
	switch {
	case other && !enter.there():
		enter.fault(say("The product changes from {0} to {1} here: say how with \"enter\".",
			"Aquí el producto pasa de {0} a {1}: diga cómo con \"enter\".", p.Stages[i-1].Vessel, s.Vessel))
	case !other && enter.there():
		enter.fault(say("\"enter\" has no meaning here: the vessel stays the same.",
			"\"enter\" no tiene sentido aquí: el recipiente sigue siendo el mismo."))
	}
	if s.Equipment == "fryer" && s.Vessel != "load" {
		n.get("vessel").fault(say("What is in a fryer is a load, not a {0}.", "Lo que hay en una freidora es load, no {0}.", s.Vessel))
	}
}

// checkCautions asks for a caution wherever the document itself says that there is something to be cautious of.
func (n *node) checkCautions(s *Stage) {
	for _, c := range []struct {
		when   bool
		hazard string
		en, es string
	}{
		{s.Equipment == "fryer", "hot oil", "The product is in a fryer", "El producto está en una freidora"},
		{s.Pressure, "pressure", "The vessel is under pressure", "El recipiente tiene presión"},
		{s.Raw && s.Kind == Work, "raw poultry", "Somebody works with raw product", "Alguien trabaja con producto crudo"},
	} {
		if c.when && !s.cautions(c.hazard) {
			n.get("caution").fault(say(c.en+" here, but no caution is about {0}.",
				c.es+" aquí, pero ninguna advertencia trata de {0}.", strconv.Quote(c.hazard)))
		}
	}
}

func (n *node) checkSteps(steps []Step) {
	var names []string
	for i := range steps {
		names = append(names, steps[i].Name)
		if l := steps[i].Limit; (l.Min != nil || l.Max != nil || steps[i].Kind == Ask) && steps[i].IfNot == (Text{}) {
			n.child("steps", i).get("ifNot").fault(say("Say what to do when it is not so: \"ifNot\" is missing.",
				"Diga qué hacer cuando no es así: falta \"ifNot\"."))
		}
	}
	n.checkNames("steps", names)
}

func (n *node) checkMix(p *Procedure) {
	m := p.Mix
	if len(p.Stages) > 0 && p.Stages[0].Vessel != "tub" {
		n.fault(say("A mix goes into tubs, but the first stage is in a {0}.",
			"La mezcla va en cubetas, pero la primera etapa es en {0}.", p.Stages[0].Vessel))
	}
	if room := m.Room(m.TubMost); m.TubHolds > 0 && m.MeatMilligrams > 0 && room > m.TubHolds {
		n.get("tubHolds").fault(say("A full tub takes {0} mL of product, water and concentrate, but holds {1} mL.",
			"Una cubeta llena ocupa {0} mL de producto, agua y concentrado, pero le caben {1} mL.",
			strconv.FormatInt(room, 10), strconv.FormatInt(m.TubHolds, 10)))
	}
}

func (n *node) checkList(l *List) {
	n.checkSteps(l.Steps)
	if n.get("due").clean() && n.get("opens").clean() && l.Opens >= l.Due {
		n.get("due").fault(say("The list is due at {0}, before it opens at {1}.",
			"La lista vence a las {0}, antes de abrirse a las {1}.", n.get("due").v.Text, n.get("opens").textOr("00:00")))
	}
	for i, d := range l.Days {
		if slices.Index(l.Days, d) < i && d > 0 {
			n.child("days", i).fault(say("The day {0} stands twice.", "El día {0} está dos veces.", strconv.Itoa(int(d))))
		}
	}
}

func (n *node) textOr(other string) string {
	if n.v == nil {
		return other
	}
	return n.v.Text
}

func (n *node) checkEquipment(e *Equipment) {
	var names []string
	for i := range e.Devices {
		names = append(names, e.Devices[i].Name)
		d := n.child("devices", i)
		if e.Devices[i].Kind == "fryer" && !d.get("reading").there() {
			d.get("reading").fault(say("A fryer needs a reading with the limits of its oil.",
				"Una freidora necesita una lectura con los límites de su aceite."))
		}
	}
	n.checkNames("devices", names)
	names = nil
	for i := range e.Probes {
		names = append(names, e.Probes[i].Name)
	}
	n.checkNames("probes", names)
	for i := 1; i < len(e.Boats) && n.get("boats").clean(); i++ {
		if e.Boats[i].At <= e.Boats[i-1].At {
			n.child("boats", i).fault(say("The boats do not stand in the order of the day.",
				"Los barcos no están en el orden del día."))
		}
	}
}
