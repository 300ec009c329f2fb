// Package procedure holds what a kitchen has written down: procedures with their stages, steps and limits, lists, and
// the kitchen's equipment, read from versioned JSON documents.
package procedure

import (
	"brinebell/internal/core/physics"
	"brinebell/internal/core/stamp"
)

// Text is a text in each language of the tool.
type Text struct{ EN, ES string }

// In returns the text in the language, English when it has none.
func (t Text) In(lang string) string {
	if lang == "es" && t.ES != "" {
		return t.ES
	}
	return t.EN
}

// StageKind says what a batch does in a stage.
type StageKind uint8

// Kinds of stages. To add one see DEVELOPERS.md.
const (
	Work StageKind = iota // somebody stands there
	Wait                  // it rests in a vessel
	Hold                  // cooked, for sale
)

// Window says how long a stage may last. A zero length means that there is no such mark, except Floor, where it means
// that leaving is never too soon.
type Window struct {
	Floor     stamp.Span // before it: too soon
	BestFrom  stamp.Span // from here: best
	BestUntil stamp.Span
	LastCall  stamp.Span // how long before BestUntil the last call begins
	Ceiling   stamp.Span // after it: past limit
	Aim       stamp.Span // the length that the kitchen tries to hit
	Patience  stamp.Span // after "got it", how long until it rings again and calls the lead
	Hard      bool       // a food-safety limit: no lead may override the ceiling
	HardFloor bool       // likewise the floor
	Critical  bool       // its floor and ceiling are critical limits
}

// Any tells whether the window has any mark.
func (w Window) Any() bool { return w.Floor|w.BestFrom|w.BestUntil|w.Ceiling > 0 }

// Limit is what a number may be. A nil end is open. The unit is that of the step: mC, g, mL, ms or 1.
type Limit struct {
	Min, Max *int64
	Source   Text // where the limit comes from
	Hard     bool
	Critical bool // a critical limit: its deviation is closed only with all that was done about it
}

// Receiving says what a delivery must be like to be taken in.
type Receiving struct {
	Warmth  Limit  // its temperature, mC
	TypedIn string // UCUM code of the unit in which the temperature is typed and shown
	Unit    Limit  // the weight of one unit, such as a bird before it is cut, g
}

// StepKind says what a step asks for.
type StepKind uint8

// Kinds of steps. To add one see DEVELOPERS.md.
const (
	Do    StepKind = iota // do it
	Read                  // read a number off something
	Ask                   // yes or no; no opens a deviation
	Tally                 // count pieces
	Weigh                 // weigh product
	Photo                 // take a photo
	Sign                  // sign, by a role
)

// Caution stands before what can hurt somebody.
type Caution struct {
	Hazards []string // of Hazards
	Title   Text     // the hazard in two or three words
	Lines   []Text
}

// Step is one thing to do in a stage or list.
type Step struct {
	Name     string // stable short id within the stage or list
	Kind     StepKind
	Text     Text // what to do
	Button   Text // what the button says when it is done
	Why, How Text
	IfNot    Text // what to do when it is not so, or out of limit
	Caution  *Caution
	Critical bool   // confirmed one by one
	Optional bool   // the stage may be left without it
	Unit     string // mC, g, mL, ms or 1
	TypedIn  string // UCUM code of the unit in which it is typed and shown
	Limit    Limit
	Role     string // who may sign: "lead", or "" for anybody
	Drawing  string // of Drawings: how it looks; "" for none
}

// Takes says how a batch leaves a stage for vessels of another kind.
type Takes struct {
	Part      bool  // some may stay behind (a pan gives a load); else all of it goes
	MostGrams int64 // into one vessel; 0: no such limit
	MostPiece int64 // into one vessel; 0: no such limit
	Counted   bool  // pieces are counted when it happens
	Weighed   bool  // weighed when it happens
}

// Stage is one stage of a procedure.
type Stage struct {
	Name      string // stable short id within the procedure
	Kind      StageKind
	Title     Text   // "Marinade"
	Act       Text   // what begins it, verb and object: "Start the marinade"
	Doing     Text   // what the batch does meanwhile: "marinating"
	Vessel    string // kind of vessel: tub, rack, pan, load, tray
	Equipment string // kind of equipment that it occupies: fryer, cold room, hold cabinet; may be empty
	Window    Window
	Steps     []Step
	Caution   *Caution // stands on the strip and before the act that ends the stage
	Enter     Takes    // how it is entered, when the stage before has another kind of vessel
	Mark      bool     // entering it writes a date mark
	MarkUse   Text     // what the mark's date means: "use by", "coat by"
	Raw       bool     // the product is raw in it
	Pressure  bool     // the vessel is under pressure in it
	Override  bool     // a lead may override the ceiling with a reason (never when Window.Hard)
	Cook      *CookTable
}

// CookTable is what a supplier says of cook times by the weight of a unit.
type CookTable struct {
	physics.CookTable
	Source Text // whose table it is
}

// MixRule says what goes into a tub beside the product. Its two ratios are finer than grams and millilitres, so that
// rules written per pound and gallon keep their value.
type MixRule struct {
	MeatMilligrams         int64 // milligrams of product at most per litre of water
	ConcentrateMicrolitres int64 // microlitres of concentrate per litre of water
	TubMost                int64 // grams of product at most in one tub
	TubHolds               int64 // millilitres that a tub holds; 0: not said
	SaltMilligrams         int64 // milligrams of salt per litre of concentrate; 0: not said
}

// Procedure is one version of how one product is made.
type Procedure struct {
	Name       string
	Version    uint32
	Title      Text
	Item       Text // short name: "bone-in"
	Allergens  Text
	Keep       Text // "Keep cold."
	PieceGrams int64
	Portions   bool // counted in portions rather than pieces
	Mix        *MixRule
	Stages     []Stage
	Reasons    []Text // for discards
	Receiving  *Receiving
	Poultry    *Poultry

	Competences []Competence
}

// Poultry says which row of the published time-temperature tables a product goes by.
type Poultry struct {
	Turkey bool  // else chicken
	Fat    int64 // thousandths of a per cent
}

// Stage returns the stage called name and its place, or nil and -1.
func (p *Procedure) Stage(name string) (*Stage, int) {
	for i := range p.Stages {
		if p.Stages[i].Name == name {
			return &p.Stages[i], i
		}
	}
	return nil, -1
}

// CookTable returns the supplier's table of the procedure, or nil.
func (p *Procedure) CookTable() *CookTable {
	for i := range p.Stages {
		if c := p.Stages[i].Cook; c != nil {
			return c
		}
	}
	return nil
}

// Next returns the stage after the one called name, or nil after the last.
func (p *Procedure) Next(name string) *Stage {
	if _, i := p.Stage(name); i >= 0 && i+1 < len(p.Stages) {
		return &p.Stages[i+1]
	}
	return nil
}

// List is one version of a list: opening, changeover, closing or cleaning.
type List struct {
	Name    string
	Version uint32
	Title   Text
	Opens   stamp.Span // wall time of day from which it may be done
	Due     stamp.Span // wall time of day at which it rings when it is not complete
	Days    []uint8    // ISO weekdays, 1 is Monday; none means every day
	Patient stamp.Span // after "got it", how long until it rings again
	Steps   []Step

	Competence *Competence // nil: anybody may do it
}

// Device is a piece of the kitchen's equipment.
type Device struct {
	Name      string // stable short id: fryer-1
	Kind      string // fryer, cold room, hold cabinet
	Title     Text
	MostPiece int64      // pieces at once
	MostGrams int64      // grams at once
	Single    bool       // holds one load at a time: a fryer
	Between   stamp.Span // needed between loads
	Reading   Limit      // what its reading may be, in mC
	ReadEvery stamp.Span // how old a reading may be
	Checked   bool       // a load is refused when the last reading is off its limit or too old
	Allow     stamp.Span // how long in one go a sensor may read beyond the limit
	Watched   bool       // an excursion of what a sensor reads opens a deviation: a cold room's always, another's when Allow is given
	What      Text       // what is read: "oil", "air"
	TypedIn   string     // UCUM code of the unit in which it is typed and shown
	Lift      bool       // raises and lowers baskets by itself
	Room      string     // the room, when it is not that of most: a bell in another room is not heard there
}

// Boat is something that brings guests at a wall time of day.
type Boat struct{ At stamp.Span }

// Probe is a thermometer of the kitchen.
type Probe struct {
	Name    string // stable short id
	Title   Text
	TypedIn string     // UCUM code of its scale: one in degrees Fahrenheit alone may be off by 2 of them, else by 1 degree Celsius
	Every   stamp.Span // how long a good check holds; 0: not said
}

// Equipment is one version of what stands in the kitchen.
type Equipment struct {
	Name         string
	Version      uint32
	Devices      []Device
	Boats        []Boat
	Altitude     int64 // millimetres above the sea
	AltitudeSaid bool
	Probes       []Probe
	AgeRules     []AgeRule
}

// AgeRule is a rule of the kitchen's own about work that somebody may be too young for. Without equipment and hazard it is about
// all work.
type AgeRule struct {
	Under      int64  // years
	Equipment  string // kind; empty: whatever
	Hazard     string // of Hazards, where a caution is about it; empty: whatever
	ExceptLift bool   // not where baskets are raised and lowered by the equipment itself
	Text       Text
	Source     Text // where it comes from
}

// Probe returns the probe called name, or nil.
func (e *Equipment) Probe(name string) *Probe {
	for i := range e.Probes {
		if e.Probes[i].Name == name {
			return &e.Probes[i]
		}
	}
	return nil
}

// Device returns the piece of equipment called name, or nil.
func (e *Equipment) Device(name string) *Device {
	for i := range e.Devices {
		if e.Devices[i].Name == name {
			return &e.Devices[i]
		}
	}
	return nil
}

// Document is what a text was read into: exactly one of its parts is set.
type Document struct {
	Procedure *Procedure
	List      *List
	Equipment *Equipment
	Plan      *Plan // by Open its name and version alone: see OpenPlan
}
