// Package kitchen turns the journal into the state of batches, equipment, lists, timers and people (Apply), and decides
// what may be done next (Decide).
//
// Apply never refuses: an entry tells what happened in the real kitchen. Where entries contradict each other both
// stay, the safer reading wins, and a deviation opens for the lead. State is a pure function of the set of entries in
// their canonical order, and its bytes are the same on every device.
package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// State is the kitchen at the stamp of the last entry folded. All lists are sorted by what names their elements.
type State struct {
	Name, Zone, Country string
	Demo                bool
	Offsets             []entry.Offset       // by From
	Crew                []entry.Member       // by Crew
	Devices             []Device             // by Device
	Documents           []Published          // by What, Name, Version
	Places              []Place              // by Name: what the journal says of each piece of equipment
	Batches             []Batch              // by ID
	Timers              []Timer              // by ID
	Runs                []Run                // by List, Day
	Deviations          []Deviation          // by Key
	Bells               []Answered           // by Subject: what has been answered of the bells of open work
	Recent              []Recent             // what happened in the last half minute, in order: it can be undone
	Folded              uint64               // entries folded
	Last                stamp.Stamp          // of the last of them
	Ahead               []Ahead              // by Device: whose stamps say nothing about what time it is
	Sensors             []Sensor             // by Sensor
	Feeds               []Feed               // by Place, Source, Late: what sensors and loggers read
	Excursions          []Excursion          // by Key: what is behind deviations of places that were beyond their limit
	Series              []Series             // by Key: what is measured again and again
	Ledger                                   // probes, deliveries, closed days, settings
	Training                                 // who may do what
	Guidance                                 // what was asked and noted of guided work
	Logs                []Log                // by ID: of cooling, of time as a control, of thawing
	Done                []DayWork            // by Day, Item: what was done on the last days
	Rows                []Row                // by Key: what was asked for in the last weeks, and what was told of demand
	parsed              map[docKey]parsedDoc // from Documents; not part of the state's bytes
}

// Ahead is a device whose stamps the kitchen found to be ahead of kitchen time. Up to Until they do not tell what time it
// is: nothing is dropped from the state because of them.
type Ahead struct {
	Device string
	Until  stamp.Milli
}

type docKey struct {
	what, name string
	version    uint32
}

// Published is a document and when it was published.
type Published struct {
	entry.Document
	At stamp.Milli
	By string
}

// Recent is an entry that may still be undone.
type Recent struct {
	Entry     entry.ID
	At        stamp.Milli
	Device    string
	Crew      string
	Kind      entry.Kind
	Batch     entry.ID // the first batch it is about; zero when it is about none
	Withdrawn bool
}

// parsedDoc is what a document's text was read into.
type parsedDoc struct {
	text  string
	doc   procedure.Document
	other any // what was worked out under a name: see Once
}

// Device is a phone or wall screen of the kitchen.
type Device struct {
	entry.Pairing
	Revoked bool
}

// Place is what the journal says of a piece of equipment.
type Place struct {
	Name    string
	Out     bool // taken out of use
	Why     string
	Reading int64 // the last reading, mC
	ReadAt  stamp.Milli
	ReadBy  string
	ReadIn  entry.ID // the entry that told the reading; zero: never read
	Probe   string
	EmptyAt stamp.Milli // when its last load left it
	Oil     []OilMark   // what was done with its oil since it was last filled, the latest oilMost of it
	Loads   int64       // that its oil has seen since
}

// Status says whether anything is left of a batch.
type Status uint8

// Statuses of a batch.
const (
	Open      Status = iota
	Used             // all of it went into other batches
	Finished         // all of it was sold or wasted
	Discarded        // thrown away; beats the others
)

// Mark is a step that was done.
type Mark struct {
	Stage, Step string
	Entry       entry.ID
	At          stamp.Milli
	By          string
	Value       int64
	Unit        string
	Answer      string
	Note        string
	SignBy      string
	Photo       string // SHA-256, hexadecimal
	Probe       string
}

// Event is a line of a batch's history.
type Event struct {
	Entry     entry.ID
	At        stamp.Milli
	By        string // crew
	Device    string
	Kind      entry.Kind
	Stage     string // begun, or where it happened
	Step      string
	Number    int64 // value, pieces or grams, by kind
	Unit      string
	Place     string // equipment id, where it happened or where the batch went
	Text      string // reason, note or answer
	Body      []byte // the entry's body as folded, where a correction needs it
	Withdrawn bool   // taken back: shown struck through
	Void      bool   // it changed nothing, since it contradicts what holds
	Corrected bool   // its words are those of a later correction
}

// Batch is an amount of product in one vessel at one stage.
type Batch struct {
	ID        entry.ID
	Code      string
	Procedure string
	Version   uint32
	Stage     string
	Since     stamp.Milli // when the stage began
	Began     entry.ID    // the entry that began the stage
	Vessel    string
	Number    uint32
	Place     string // equipment id
	Grams     int64  // left
	Pieces    int64  // left
	InGrams   int64  // at the beginning
	InPieces  int64
	Sold      int64 // pieces
	Wasted    int64 // pieces
	Lots      []string
	Mix       entry.Mix
	Parents   []entry.ID
	Children  []entry.ID
	Lost      []entry.Loss
	MadeAt    stamp.Milli
	MadeBy    string
	Status    Status
	EndedAt   stamp.Milli
	UseBy     stamp.Milli // of its date mark, carried over from the strictest parent; 0: none
	MarkedAt  string      // the stage that wrote the mark, whose MarkUse says what UseBy means
	Doubt     string      // key of the deviation that must be closed before it goes on; empty: none
	Steps     []Mark      // by the order in which they were done
	Events    []Event     // by the order of their entries
	Frozen    stamp.Milli // since when it is frozen; 0: it is not
	Thawed    string      // the way in which it was thawed last: entry.Frost.Way
	Kept      bool        // it was put to cool, to be kept cold: the window of its stage counts no more, its mark does
	Thin      bool        // it ended so long ago that its steps and history are only in the journal
}

// Timer is a plain named timer.
type Timer struct {
	ID    entry.ID
	Name  string
	Set   stamp.Milli
	Due   stamp.Milli
	By    string
	Ended bool
	EndAt stamp.Milli
}

// Run is a list on one of the kitchen's days.
type Run struct {
	List   string
	Day    int32
	Steps  []Mark
	Closed bool
	EndAt  stamp.Milli
}

// DeviationCode says what is off. The numbers are for ever.
type DeviationCode uint16

// What can be off. The comment says what Number, Limit and Text hold where they say something; a number of unit "kind"
// is the kind of the entry that does not fit.
const (
	DevNoted         DeviationCode = 1  // somebody wrote it down: Text
	DevTooSoon       DeviationCode = 2  // left a stage before the floor: ms; Text: the lead's reason
	DevPastLimit     DeviationCode = 3  // left a stage, or sold, after the ceiling: ms; Text: the lead's reason
	DevOutOfLimit    DeviationCode = 4  // a step's number off its limit, in Unit; Text: note
	DevAnsweredNo    DeviationCode = 5  // an ask step answered no; Text: note
	DevReadingOff    DeviationCode = 6  // equipment's reading off its limit: mC; Text: note
	DevTwiceMoved    DeviationCode = 7  // two devices took the same batch out of the same stage (Stage); Text: where to
	DevAfterDiscard  DeviationCode = 8  // something was done with a batch that was discarded, or with what came out of it
	DevMoreThanThere DeviationCode = 9  // more taken out of a batch (Number) than was in it (Limit): g or 1
	DevUnknownBatch  DeviationCode = 10 // an entry about a batch that no entry began
	DevSameName      DeviationCode = 11 // two open batches in vessels of one name: Text the vessel, Number which
	DevPlaceBusy     DeviationCode = 12 // two loads in one fryer
	DevClock         DeviationCode = 13 // a clock looks wrong by Number ms; Text: the device, empty for the server
	DevStepsMissing  DeviationCode = 14 // a stage was left, or a list closed, with Number steps undone: Step is the first
	DevUnreadable    DeviationCode = 15 // an entry of a known kind that cannot be read
	DevDocument      DeviationCode = 16 // a published document that cannot be read: Text its name, Number its version
	DevOilUnchecked  DeviationCode = 17 // a load went in with the reading off its limit (mC), too old (ms) or never taken
	DevAfterEnd      DeviationCode = 18 // something was done with a batch of which nothing was left
	DevPlaceOut      DeviationCode = 19 // something went into equipment that was out of use; Text: why it was
	DevNotRested     DeviationCode = 20 // a load went in before the equipment had had its time between loads: ms
	DevProbeFailed   DeviationCode = 21 // a probe's check was not met: Number readings with it are under review; Text: the probe
	DevDelivery      DeviationCode = 22 // a delivery was off its limit for receiving: mC; Text: its lot
	DevUnitWeight    DeviationCode = 23 // a unit of a delivery weighs more or less than it may: g; Text: its lot
)

// DevExcursion is a place beyond its limit for longer than it is allowed: ms; Text: the source of the readings. What
// batches had of it is in State.Excursions.
const DevExcursion DeviationCode = 30

// DevOilSpent is oil measured beyond its discard limit: thousandths of a per cent of polar compounds; Text: note.
const DevOilSpent DeviationCode = 35

// Deviations of logs, and of what was frozen. Text is the food where there is no batch.
const (
	DevCooling  DeviationCode = 36 // a mark was not reached in time: ms
	DevTimeOver DeviationCode = 37 // time as a control was over (ms), or the food too warm for it (mC)
	DevThawing  DeviationCode = 38 // food or water above the limit: mC, or ms
	DevFrozen   DeviationCode = 39 // something was done with a batch that nobody had taken out of the frost: ms
)

// DevCookLog is a cook's log that does not meet the published table: Number is how long its best run held, Limit what the
// table asks for, ms; or the hottest reading and the row that begins the table, mC.
const DevCookLog DeviationCode = 40

// Deviations of who may do what.
const (
	DevNotSigned    DeviationCode = 41 // work without sign-off and not guided: Text is the lead's reason, if one gave leave
	DevNotConfirmed DeviationCode = 42 // a critical step of guided work that no trainer confirmed
	DevPinDenied    DeviationCode = 43 // a trainer says that an answer given with his PIN was not his
	DevTooYoung     DeviationCode = 44 // work that the kitchen's age rules keep from somebody of that age
)

// Deviation is something off that the lead must answer.
type Deviation struct {
	Key     string // the id of the entry that showed it, and the code
	Code    DeviationCode
	At      stamp.Milli
	By      string
	Batch   entry.ID
	Place   string
	Stage   string
	Step    string
	List    string // of a list's step
	Day     int32  // of a list's step
	Number  int64  // what was found: a length in ms, mC, g or pieces
	Limit   int64  // what was allowed
	Unit    string
	Text    string
	Answers []DeviationAnswer
	Closed  bool
	EndAt   stamp.Milli

	Critical bool       // the limit is a critical one: it is closed only when all of Parts are written down
	Parts    []PartMark // in the order of their entries
	Probe    string     // with which Number was read
}

// DeviationAnswer is what was done about a deviation.
type DeviationAnswer struct {
	At     stamp.Milli
	By     string
	Action string
}

// Answered is what was said to the bells of one subject: "got it".
type Answered struct {
	Subject string // a bell's key without its count of rings
	N       int64  // how often
	At      stamp.Milli
	By      string // the last time
}
