// Package planning makes the planner's problem out of what really stands in the kitchen now, and rows and sentences out of
// the planner's plan.
package planning

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Options is what is thought otherwise than it is, without consequences. The zero value is the kitchen as it is.
type Options struct {
	Fryers      int            // so many fryers more than there are; less than nothing: fewer
	Earlier     int            // minutes by which everybody comes earlier to their station
	Pans, Tubs  int            // places in the cold room more or fewer
	Without     []entry.ID     // batches that are not there
	NoFryer     []string       // fryers that are out of use
	Demand      []entry.Demand // told beside what the kitchen knows
	NewestFirst bool           // nothing is taken out because it is older: see Plan.Saves
}

// Names says what stands behind the numbers of a problem.
type Names struct {
	Day       int32       // the day of service, by the kitchen's calendar
	Now       stamp.Milli // for when the problem is
	Zero      stamp.Milli // minute 0 of the problem
	Version   uint32      // of the plan document
	Currency  string
	Items     []ItemName
	Groups    []GroupName
	Stations  []string
	Hot       [][]Share // by lot: which batches it is made of, oldest first
	Coated    [][]Share
	Marinated [][]Share
	Rushes    []Rush        // of the planned day, by time
	lost      planner.Money // discarded already, of what is thought away
}

// At is the instant of a minute of the problem.
func (n *Names) At(minute int) stamp.Milli {
	return n.Zero.Add(stamp.Span(minute) * stamp.Minute)
}

// ItemName is an item of a problem.
type ItemName struct {
	Procedure string
	Version   uint32
	UnitGrams int64    // of raw product
	Pieces    int      // in a unit
	Vessels   []string // entry.PlanItem
	mix       *procedure.MixRule
	work      int // minutes that it is put to drain before it is coated
}

// GroupName is a group of fryers of a problem.
type GroupName struct {
	Kind   string
	Fryers []FryerName
}

// FryerName is a fryer: from which minute it is free.
type FryerName struct {
	Name string
	Free int
}

// Share is what a batch gives to a lot.
type Share struct {
	Batch  entry.ID
	Code   string
	Vessel string
	Number uint32
	Place  string
	Grams  int64
	Units  int  // pieces, of a hot lot
	Drains bool // it is draining now
}

// Rush is when many guests come at once.
type Rush struct {
	At stamp.Milli
	EN string
	ES string
}

// Missing is what the kitchen has and the plan can't count on, or what the plan would need and does not know: a text id with
// its arguments.
type Missing struct {
	Say
	Batch entry.ID // what it is about, if it is about one
	Place string
}

// Say is a sentence: the id of a text, and its arguments by name. Values that are ids, instants or amounts are worded by
// whoever shows them, by Kind.
type Say struct {
	Text string // "pl.diff.drop.time"...
	Args []Arg
	Why  *Say // the reason, behind a colon; nil: none is known
}

// Arg is one argument of a sentence.
type Arg struct {
	Name string
	Kind ArgKind
	N    int64
	S    string // plain text, or the name of an item, fryer or station
}

// ArgKind says how an argument is worded.
type ArgKind uint8

// Kinds of arguments.
const (
	ArgNumber  ArgKind = iota // N
	ArgTime                   // N is an instant: its wall time, with the day when it is another than the plan's
	ArgMinutes                // N minutes, as a length
	ArgMoney                  // N is planner.Money
	ArgGrams                  // N
	ArgItem                   // S is a procedure's name: its item
	ArgPlace                  // S is a piece of equipment: its title
	ArgStation                // S is a station of the plan document: its title
	ArgText                   // S as it is
	ArgPieces                 // N pieces or portions of the item whose name is S
	ArgVessel                 // N is its number, S its kind: tub 3
	ArgDegrees                // N thousandths of a degree Celsius
)

// Plan is a plan in rows that a cook can do. Times are instants.
type Plan struct {
	Day     int32
	Made    stamp.Milli // for when it was made: nothing in it begins before
	Until   stamp.Milli // the close of its day
	Version uint32      // of the plan document
	Tubs    []Tub       // by time
	Coats   []Coat
	Drops   []Drop
	Keeps   []Carried
	Unmet   []Unmet
	Sold    []Sold
	Cost    planner.Money
	Bound   planner.Money
	Costs   planner.Costs
	Proven  bool // nothing can be cheaper: Bound is Cost
	// Saves is what it would save to leave what is oldest and use newer first, with what would be thrown away for it.
	Saves    planner.Money
	Leaves   int // units that would be left for it
	Notes    []Say
	Demand   []Asked
	Hot      []HotLot
	KeptCost planner.Money // what it cost to keep what was promised
}

// Tub is one spell of starting tubs of an item.
type Tub struct {
	Item        string
	Start, End  stamp.Milli // of the work
	Latest      stamp.Milli // the last minute at which it can begin so that all that rests on it goes
	Station     string
	Units       int
	Grams       int64
	Vessels     []Vessel // one for each tub
	Water       int64    // mL, of all
	Concentrate int64    // mL, of all
	Ready       stamp.Milli
	BestUntil   stamp.Milli
	Until       stamp.Milli
	Drains      stamp.Milli // when the first of it is drained; 0: nothing in the plan takes it
}

// Vessel is what goes into one tub.
type Vessel struct {
	Grams, Water, Concentrate int64
}

// Coat is one spell of coating.
type Coat struct {
	Item       string
	Start, End stamp.Milli
	Drain      stamp.Milli // when what is coated then must be put to drain; 0: it drains already, or does not drain
	Latest     stamp.Milli
	Station    string
	Units      int
	Grams      int64
	Pans       int
	From       []Source
	Ready      stamp.Milli
	Until      stamp.Milli
}

// Drop is one basket.
type Drop struct {
	Item              string
	Fryer             string
	Start             stamp.Milli
	Free              stamp.Milli // the fryer, for the next
	Out, Ready, Until stamp.Milli // out of the fryer; for sale from; for sale until
	Latest            stamp.Milli
	Units             int
	Pieces            int
	Grams             int64
	From              []Source // which pans, oldest first
	Waste             int      // pieces of it that nobody is thought to buy
	Rush              int      // of Names.Rushes: the next after it is ready; -1: none
}

// Source is what is taken, and out of what: a batch, or what the plan makes itself.
type Source struct {
	Share     // Grams: of it
	Own   int // row of Plan.Coats, or Plan.Tubs, out of which it comes; -1: Share is the batch
	Units int // of this lot: 0 where it goes on in another vessel
}

// Carried is what stands ready for the day after.
type Carried struct {
	Item   string
	Coated bool
	At     stamp.Milli
	Want   int // units
	Units  int
	Grams  int64
	Short  planner.Money
	From   []Source
}

// Unmet is demand that is not met, with the reason, and what would fix it.
type Unmet struct {
	Item     string
	From, To stamp.Milli
	Pieces   int
	Cost     planner.Money
	Why      Say
	Fix      *Say // what would meet it; nil: nothing that was tried does
	Gain     planner.Money
	lack     lack
}

// Sold is what is to be sold of an item.
type Sold struct {
	Item                string
	Asked, Sold, Wasted int
}

// Asked is what an item was thought to be asked for, by slot.
type Asked struct {
	Item string
	From stamp.Milli
	Each int // minutes a slot
	By   []int
}

// HotLot is what stands in the hold already.
type HotLot struct {
	Item         string
	From         []Share
	Ready, Until stamp.Milli
	Pieces, Sold int
}
