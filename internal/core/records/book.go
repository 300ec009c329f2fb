// Package records is the kitchen's journal as an inspector reads it: every reading, deviation, list, cook and lot of a span
// of days.
//
// A Book is a pure function of the set of entries. Nothing of it is altered silently: what was corrected shows both
// values, what was taken back stays readable, and what came after a day was closed says so.
package records

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Item is an entry of the journal.
type Item struct {
	Entry entry.Entry
	Seq   uint64 // the kitchen's number for it; 0: none yet
}

// Book is the record of some of the kitchen's days.
type Book struct {
	Kitchen, Zone, Country string
	Demo                   bool
	From, To               int32 // the first day and the last, in days since 1970-01-01
	Rows                   []Row // in the order of their entries
	Deviations             []Deviation
	Lists                  []List
	Batches                []Batch
	Closes                 []Close
	Without                map[Kind]int   // rows that were not asked for, by their kinds
	State                  *kitchen.State // after the last entry: where names, titles and the crew are looked up
	Equipment              []InForce      // by From
}

// InForce is the kitchen's equipment as it was from an instant on.
type InForce struct {
	From stamp.Milli
	*procedure.Equipment
}

// Device returns a piece of equipment as it was at an instant; what was before the first that is known goes by that. Never
// nil.
func (b *Book) Device(place string, at stamp.Milli) *procedure.Device {
	for i := len(b.Equipment) - 1; i >= 0; i-- {
		if i == 0 || b.Equipment[i].From <= at {
			if d := b.Equipment[i].Device(place); d != nil {
				return d
			}
			break
		}
	}
	return new(procedure.Device)
}

// Kind says what a row is to somebody who reads records.
type Kind string

// Kinds of rows.
const (
	Cook      Kind = "cook"      // a temperature of product that is no longer raw
	Reading   Kind = "reading"   // any other number that was read, weighed or counted
	Receiving Kind = "receiving" // product that came in
	Probe     Kind = "probe"     // a thermometer held against what is known
	Oil       Kind = "oil"       // something done with a fryer's oil
	Sensor    Kind = "sensor"    // what a sensor or a logger read in one go; Row.Body has every value, the row the worst of them
	Log       Kind = "log"       // frost, and the logs of cooling, of time as a control and of thawing
	Step      Kind = "step"      // something done or answered, without a number
	Other     Kind = "other"     // starts, moves, discards, counts, notes
)

// Kinds lists the kinds of rows.
var Kinds = [...]Kind{Cook, Reading, Receiving, Probe, Oil, Sensor, Log, Step, Other}

// Signed is an entry, when it was made, by whom and on which device. Name and Role are as the kitchen listed them then.
type Signed struct {
	Entry  entry.ID
	Seq    uint64
	At     stamp.Milli
	Crew   string
	Name   string
	Role   entry.Role
	Device string
}

// Row is one thing on record, as it holds now.
type Row struct {
	Signed
	Kind Kind
	Body entry.Body // of the entry, as it holds now
	Day  int32      // the kitchen's day on which it was made
	Late bool       // it came in after that day had been closed

	Batch     entry.ID // zero: it is about none
	Code      string   // of the batch
	Procedure string
	Item      procedure.Text
	Vessel    string
	Number    uint32
	Lots      []string
	Place     string // equipment id
	Stage     string
	Step      string
	List      string
	ListDay   int32
	Title     procedure.Text // what the step or the equipment asks for

	Value   int64
	Unit    string // base unit of Value; empty: no number was read
	TypedIn string // UCUM code in which it is typed and shown
	Limit   procedure.Limit
	Off     int64 // by how much it is beyond the limit; 0: it is met, or there is none
	Answer  string
	Note    string
	SignBy  string
	Photo   string
	Probe   string
	GoodAt  stamp.Milli // of the probe's last check before that was met; 0: none was
	Review  string      // key of the deviation that puts the reading under review; empty: none does

	What   string      // of a log: entry.Log.What
	Food   string      // of a log without a batch
	Until  stamp.Milli // of a log: the last instant that was allowed, as far as was known then; 0: no time ran
	Source string      // of a log: the id of the rule's source
	Ended  bool        // of a log: with this entry it had ended
	Missed bool        // of a log: by then it had missed a limit

	Corrections []Correction // in their order
	Withdrawn   *Signed      // it was taken back
}

// Limited tells whether a limit was in force.
func (r *Row) Limited() bool { return r.Limit.Min != nil || r.Limit.Max != nil }

// LimitKey names the limit that a row is held against, for Query.Limit: "bone-in/cook/core", "place/cold-room",
// "list/opening/hands", "bone-in/lethality".
func (r *Row) LimitKey() string {
	_, isLog := r.Body.(*entry.CookLog)
	switch {
	case isLog:
		return r.Procedure + "/lethality"
	case r.List != "":
		return "list/" + r.List + "/" + r.Step
	case r.Stage != "":
		return r.Procedure + "/" + r.Stage + "/" + r.Step
	case r.Kind == Log:
		return "log"
	case r.Kind == Receiving:
		return r.Procedure + "/receiving"
	case r.Place != "":
		return "place/" + r.Place
	}
	return ""
}

// Correction put other words in the place of an entry's. Was is what held before it.
type Correction struct {
	Signed
	Was       entry.Body
	Reason    string
	Withdrawn *Signed // the correction itself was taken back
}

// Deviation is something that was off, and all that was done about it.
type Deviation struct {
	kitchen.Deviation
	Day       int32
	Signed    Signed   // the entry that showed it
	BatchCode string   // of the batch
	Lots      []string // of the batch
	Item      procedure.Text
	Closing   *Signed // who closed it; nil: it is open
}

// List is a list on one of the kitchen's days.
type List struct {
	List     string
	Day      int32
	Title    procedure.Text
	Due      stamp.Milli // 0: it was not on the schedule of that day
	Rows     []int       // of Book.Rows, those of its steps that were not taken back
	Missing  []string    // required steps that were not done
	Closed   bool
	Complete bool
	Closing  *Signed
}

// Batch is a batch that something on record is about.
type Batch struct {
	ID                entry.ID
	Code              string
	Procedure         string
	Version           uint32
	Item              procedure.Text
	Lots              []string
	Parents, Children []entry.ID
	MadeAt, EndedAt   stamp.Milli
	MadeBy            string
	InGrams, InPieces int64
	Sold, Wasted      int64
	Status            kitchen.Status
	UseBy             stamp.Milli
	Vessel            string // the last that is known
	Number            uint32
	Place             string
}

// Close is a lead's signature under a day.
type Close struct {
	Signed
	Day     int32
	Entries uint64
	Seal    [16]byte
	Same    bool  // what was signed is what is there now
	Late    int64 // entries that belong before it and came after it
	After   int64 // entries of the day that were made after it
	Carried []entry.Carry
	Note    string
}
