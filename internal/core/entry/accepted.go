package entry

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// PlanAccepted is a plan that a lead took on, in whole numbers. It rules from minute From to To; of an earlier plan of the same
// day what began before From stays.
type PlanAccepted struct {
	Day         int32       // the day of service
	Version     uint32      // of the plan document
	Zero        stamp.Milli // minute 0 of all that follows
	From, To    int32
	Items       []PlanItem
	Rows        []PlanRow // by Start
	Cost, Bound int64     // planner.Money
	Ring        bool      // the Line rings for its rows
}

// PlanItem is an item of a plan: what it was made for.
type PlanItem struct {
	Item   string // a procedure's name
	Demand int64  // pieces that are thought to be asked for
	Sold   int64  // of them, what the plan has ready
	Unit   int64  // pieces in a unit
	Grams  int64  // of raw product in a unit
	// Vessels are the kinds into which a load, a coating and a tub go, in the order of the deeds: what is made into one is done.
	Vessels []string
}

// Deeds of a row.
const (
	PlanLoad uint8 = iota
	PlanCoat
	PlanTubs
	PlanKeep // what is left over for the next day
)

// PlanRow is one thing to do.
type PlanRow struct {
	Deed  uint8
	Item  uint8 // of Items
	Start int32 // minutes from Zero
	Spell int32 // minutes that the work takes, of coating and tubs
	Units uint32
	Tubs  uint32
	Place string // the fryer, or the station
	Rush  int32  // minute of the boat that it is for; 0: none
}

// At is the instant of a minute of the plan.
func (b *PlanAccepted) At(minute int32) stamp.Milli {
	return b.Zero.Add(stamp.Span(minute) * stamp.Minute)
}

// Kind implements Body.
func (*PlanAccepted) Kind() Kind { return PlanTaken }

// Fields implements wire.Fielder.
func (b *PlanAccepted) Fields(c *wire.Coder) {
	wire.Int(c, "day", &b.Day)
	wire.Uint(c, "version", &b.Version)
	wire.Int(c, "zero", &b.Zero)
	wire.Int(c, "from", &b.From)
	wire.Int(c, "to", &b.To)
	wire.List(c, "items", &b.Items, wire.Framed[PlanItem])
	wire.List(c, "rows", &b.Rows, wire.Framed[PlanRow])
	wire.Int(c, "cost", &b.Cost)
	wire.Int(c, "bound", &b.Bound)
	c.Bool("ring", &b.Ring)
}

// Fields implements wire.Fielder.
func (b *PlanItem) Fields(c *wire.Coder) {
	wire.Str(c, "item", &b.Item)
	wire.Int(c, "demand", &b.Demand)
	wire.Int(c, "sold", &b.Sold)
	wire.Int(c, "unit", &b.Unit)
	wire.Int(c, "grams", &b.Grams)
	wire.List(c, "vessels", &b.Vessels, wire.Word[string])
}

// Fields implements wire.Fielder.
func (b *PlanRow) Fields(c *wire.Coder) {
	wire.Uint(c, "deed", &b.Deed)
	wire.Uint(c, "item", &b.Item)
	wire.Int(c, "start", &b.Start)
	wire.Int(c, "spell", &b.Spell)
	wire.Uint(c, "units", &b.Units)
	wire.Uint(c, "tubs", &b.Tubs)
	wire.Str(c, "place", &b.Place)
	wire.Int(c, "rush", &b.Rush)
}

// Shift is who works at a station on a day, other than usual: from minute From to To of that day, nobody if they are alike.
// Told again of the same station, day and crew member it replaces what was told before.
type Shift struct {
	Station  string
	Day      int32
	From, To uint32 // To may be beyond midnight: above 1440
	Crew     string // empty: whoever it is
}

// Kind implements Body.
func (*Shift) Kind() Kind { return ShiftTold }

// Fields implements wire.Fielder.
func (b *Shift) Fields(c *wire.Coder) {
	wire.Str(c, "station", &b.Station)
	wire.Int(c, "day", &b.Day)
	wire.Uint(c, "from", &b.From)
	wire.Uint(c, "to", &b.To)
	wire.Str(c, "crew", &b.Crew)
}
