package procedure

import (
	"errors"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/quantity"
)

// Formats of documents, as their member "format" names them.
const (
	FormatProcedure = "brinebell procedure 1"
	FormatList      = "brinebell list 1"
	FormatEquipment = "brinebell equipment 1"
	FormatPlan      = "brinebell plan 1"
)

// Bounds of a document.
const (
	DocumentMax = 128 << 10 // bytes
	stagesMax   = 30
	stepsMax    = 60
	devicesMax  = 40
	boatsMax    = 60
	titleMax    = 60  // characters
	textMax     = 400 // characters
)

// Parse reads a document. If there are faults, it returns all of them, in the order in which they stand, and no
// document.
func Parse(text []byte) (Document, []Fault) { return parse(text, false) }

// parse reads a document; of a plan only what it is called when heads is true.
func parse(text []byte, heads bool) (Document, []Fault) {
	p := &parser{text: text, heads: heads}
	root := &node{p: p}
	if len(text) > DocumentMax {
		root.fault(say("The document is longer than 128 KiB.", "El documento pasa de 128 KiB."))
		return Document{}, p.faults
	}
	v, err := jsontext.Read(text)
	if err != nil {
		return Document{}, []Fault{syntax(text, err)}
	}
	root.v = &v
	doc := root.document()
	if len(p.faults) == 0 {
		return doc, nil
	}
	p.sort()
	if p.more {
		p.faults = append(p.faults, Fault{Line: p.faults[len(p.faults)-1].Line,
			Text: say("There are more faults; mend these first.", "Hay más errores; corrija primero estos.")})
	}
	return Document{}, p.faults
}

// Open is Parse for those who need only know whether a document can be used: the error is the first fault. Of a plan it reads what
// it is called and no more: a phone needs the rest only where it plans.
func Open(text []byte) (Document, error) {
	doc, faults := parse(text, true)
	if len(faults) > 0 {
		return Document{}, &faults[0]
	}
	return doc, nil
}

func syntax(text []byte, err error) Fault {
	var f *jsontext.Fault
	if !errors.As(err, &f) {
		return Fault{Line: 1, Text: say("The text cannot be read as JSON.", "El texto no se puede leer como JSON.")}
	}
	return Fault{Line: jsontext.Line(text, f.Offset), Text: Text{
		EN: "The text is not JSON from here on: " + f.What + ".",
		ES: "Desde aquí el texto no es JSON: " + syntaxES(f.What) + ".",
	}}
}

func (p *parser) sort() {
	for i := 1; i < len(p.faults); i++ { // by line, keeping the order within one
		for j := i; j > 0 && p.faults[j].Line < p.faults[j-1].Line; j-- {
			p.faults[j], p.faults[j-1] = p.faults[j-1], p.faults[j]
		}
	}
}

func (n *node) document() Document {
	if !n.is(jsontext.Object, "an object in braces", "un objeto entre llaves") {
		return Document{}
	}
	format := n.need("format")
	if !format.there() {
		return Document{}
	}
	before := len(n.p.faults)
	which := format.oneOf(FormatProcedure, FormatList, FormatEquipment, FormatPlan)
	if len(n.p.faults) > before {
		return Document{}
	}
	switch which {
	case 0:
		return Document{Procedure: n.procedure()}
	case 1:
		return Document{List: n.checklist()}
	case 3:
		if n.p.heads {
			p := new(Plan)
			p.Name, p.Version = n.head()
			return Document{Plan: p}
		}
		return Document{Plan: n.planned()}
	}
	return Document{Equipment: n.equipment()}
}

// head reads what every document begins with.
func (n *node) head() (name string, version uint32) {
	if r := n.get("remark"); r.there() {
		r.line(textMax)
	}
	if s := n.get("$schema"); s.there() {
		s.line(textMax)
	}
	return n.need("name").id(), uint32(n.need("version").whole(1, 1000000))
}

func (n *node) procedure() *Procedure {
	n.object("$schema", "format", "remark", "name", "version", "title", "item", "allergens", "keep", "piece", "counted",
		"mix", "stages", "reasons", "receiving", "poultry", "competences")
	p := new(Procedure)
	p.Name, p.Version = n.head()
	p.Title = n.need("title").words(titleMax)
	p.Item = n.need("item").words(titleMax)
	p.Allergens = n.get("allergens").words(titleMax)
	p.Keep = n.get("keep").words(titleMax)
	p.PieceGrams = n.need("piece").positive(quantity.Gram, quantity.HalfEven)
	p.Portions = n.need("counted").oneOf("pieces", "portions") == 1
	p.Mix = n.get("mix").mix()
	p.Receiving = n.get("receiving").receiving()
	p.Poultry = n.get("poultry").poultry()
	for _, s := range n.need("stages").list(2, stagesMax) {
		p.Stages = append(p.Stages, s.stage())
	}
	for _, r := range n.need("reasons").list(1, 20) {
		p.Reasons = append(p.Reasons, r.words(titleMax))
	}
	for _, c := range n.get("competences").list(1, competencesMax) {
		p.Competences = append(p.Competences, c.competence(false))
	}
	n.checkProcedure(p)
	n.checkCompetences(p)
	p.weighUnits()
	return p
}

func (n *node) poultry() *Poultry {
	if !n.there() || !n.object("species", "fat") {
		return nil
	}
	p := &Poultry{Turkey: n.need("species").oneOf("chicken", "turkey") == 1, Fat: n.need("fat").positive(quantity.MilliPercent, quantity.Up)}
	if p.Fat > fatMost {
		n.get("fat").fault(say("{0} is more fat than the published tables have, 12 %. Leave it out, and have a competent person check the process.",
			"{0} es más grasa de la que tienen las tablas publicadas, 12 %. Quítalo, y que una persona competente revise el proceso.", clip(n.get("fat").v.Text)))
	}
	return p
}

// fatMost is where the published tables end: testdata/published/lethality-chicken.csv and lethality-turkey.csv.
const fatMost = 12_000

func (n *node) mix() *MixRule {
	if !n.there() || !n.object("meatPerWater", "concentratePerWater", "tub", "tubHolds", "saltPerConcentrate") {
		return nil
	}
	m := &MixRule{
		MeatMilligrams:         n.need("meatPerWater").positive(quantity.MilligramPerLitre, quantity.Down),
		ConcentrateMicrolitres: n.need("concentratePerWater").positive(quantity.MicrolitrePerLitre, quantity.HalfEven),
		TubMost:                n.need("tub").positive(quantity.Gram, quantity.HalfEven),
		TubHolds:               n.get("tubHolds").positive(quantity.Millilitre, quantity.HalfEven),
		SaltMilligrams:         n.get("saltPerConcentrate").positive(quantity.MilligramPerLitre, quantity.HalfEven),
	}
	return m
}

func (n *node) checklist() *List {
	n.object("$schema", "format", "remark", "name", "version", "title", "opens", "due", "days", "patience", "steps", "competence")
	l := new(List)
	l.Name, l.Version = n.head()
	l.Title = n.need("title").words(titleMax)
	l.Opens = n.need("opens").clock()
	l.Due = n.need("due").clock()
	for _, d := range n.get("days").list(1, 7) {
		l.Days = append(l.Days, uint8(d.whole(1, 7)))
	}
	l.Patient = n.need("patience").span()
	l.Steps = n.need("steps").steps()
	if m := n.get("competence"); m.there() {
		c := m.competence(true)
		l.Competence = &c
	}
	n.checkList(l)
	return l
}

func (n *node) equipment() *Equipment {
	n.object("$schema", "format", "remark", "name", "version", "devices", "boats", "altitude", "probes", "ageRules")
	e := new(Equipment)
	e.Name, e.Version = n.head()
	for _, d := range n.need("devices").list(1, devicesMax) {
		e.Devices = append(e.Devices, d.device())
	}
	for _, b := range n.get("boats").list(0, boatsMax) {
		e.Boats = append(e.Boats, Boat{At: b.clock()})
	}
	if a := n.get("altitude"); a.there() {
		e.Altitude, e.AltitudeSaid = a.altitude(), true
	}
	for _, p := range n.get("probes").list(0, devicesMax) {
		e.Probes = append(e.Probes, p.probe())
	}
	for _, r := range n.get("ageRules").list(0, devicesMax) {
		e.AgeRules = append(e.AgeRules, r.ageRule())
	}
	n.checkEquipment(e)
	return e
}

// ageMost is the age from which no rule about young workers speaks any more.
const ageMost = 21

func (n *node) ageRule() AgeRule {
	n.object("under", "equipment", "hazard", "exceptLift", "text", "source")
	r := AgeRule{Under: n.need("under").whole(1, ageMost), ExceptLift: n.get("exceptLift").flag(),
		Text: n.need("text").words(160), Source: n.need("source").words(160)}
	if e := n.get("equipment"); e.there() {
		r.Equipment = EquipmentKinds[e.oneOf(EquipmentKinds[:]...)]
	}
	if h := n.get("hazard"); h.there() {
		r.Hazard = Hazards[h.oneOf(Hazards[:]...)]
	}
	if l := n.get("exceptLift"); r.ExceptLift && r.Equipment != fryerKind {
		l.fault(say("Only a fryer raises and lowers baskets by itself: say \"equipment\": \"fryer\", or leave this out.",
			"Solo una freidora sube y baja cestas por sí sola: ponga \"equipment\": \"fryer\", o quite esto."))
	}
	return r
}

// fryerKind is the kind of equipment that has baskets.
const fryerKind = "fryer"

// The altitudes at which somebody cooks, in millimetres.
const (
	altitudeLeast = -500_000
	altitudeMost  = 6_000_000
)

func (n *node) altitude() int64 {
	mm := n.amount(quantity.Millimetre, quantity.HalfEven)
	if mm < altitudeLeast || mm > altitudeMost {
		n.fault(say("{0} is no altitude of a kitchen: from {1} to {2} m.", "{0} no es la altitud de una cocina: de {1} a {2} m.",
			clip(n.v.Text), "-500", "6000"))
	}
	return mm
}

func (n *node) probe() Probe {
	n.object("name", "title", "unit", "every")
	p := Probe{Name: n.need("name").id(), Title: n.need("title").words(titleMax), TypedIn: "Cel", Every: n.get("every").span()}
	if u := n.get("unit"); u.there() {
		p.TypedIn = u.code(quantity.MilliC)
	}
	return p
}

// EquipmentKinds lists the kinds of equipment that the kitchen knows how to look after.
var EquipmentKinds = [...]string{"fryer", "cold room", "hold cabinet"}

func (n *node) device() Device {
	n.object("name", "kind", "title", "single", "most", "pieces", "between", "lift", "room", "reading")
	d := Device{
		Name:      n.need("name").id(),
		Kind:      EquipmentKinds[n.need("kind").oneOf(EquipmentKinds[:]...)],
		Title:     n.need("title").words(titleMax),
		Single:    n.get("single").flag(),
		MostGrams: n.get("most").positive(quantity.Gram, quantity.HalfEven),
		MostPiece: n.get("pieces").whole(1, 10000),
		Between:   n.get("between").span(),
		Room:      n.get("room").id(),
		Lift:      n.get("lift").flag(),
	}
	if d.Lift && d.Kind != fryerKind {
		n.get("lift").fault(say("Only a fryer raises and lowers baskets by itself.", "Solo una freidora sube y baja cestas por sí sola."))
	}
	if r := n.get("reading"); r.there() && r.object("what", "unit", "min", "max", "source", "hard", "critical", "every", "checked", "allow") {
		d.What = r.need("what").words(titleMax)
		d.TypedIn = r.need("unit").code(quantity.MilliC)
		d.Reading = r.limit(quantity.MilliC)
		d.ReadEvery = r.need("every").span()
		d.Checked = r.get("checked").flag()
		d.Allow = r.get("allow").span()
		d.Watched = d.Allow > 0 || d.Kind == EquipmentKinds[1]
	}
	return d
}

// code returns a UCUM code of the base unit.
func (n *node) code(base quantity.Unit) string {
	if !n.is(jsontext.String, "a unit in double quotes", "una unidad entre comillas dobles") {
		return ""
	}
	if quantity.BaseOf(n.v.Text) != base {
		n.fault(say("{0} is no unit for this. Here go {1}.", "{0} no es una unidad para esto. Aquí van {1}.",
			clip(n.v.Text), codes(base)))
	}
	return n.v.Text
}
