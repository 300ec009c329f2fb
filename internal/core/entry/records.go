package entry

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Methods of checking a probe: entry.ProbeCheck.Method.
const (
	IcePoint  = "ice"
	Boiling   = "boiling"
	Reference = "reference"
)

// ProbeCheck holds a probe against a temperature that is known. It was met when the two differ by Within at most. What was
// expected and asked for then stands in it, so that a later change of the altitude or of the limit changes no past.
type ProbeCheck struct {
	Probe     string // its name in the kitchen's equipment
	Method    string // IcePoint, Boiling or Reference
	Expected  int64  // mC
	Read      int64  // mC
	Within    int64  // mC
	Altitude  int64  // millimetres above the sea, of a boiling check
	Reference string // the thermometer that it was held against
	Note      string
}

// Kind implements Body.
func (*ProbeCheck) Kind() Kind { return ProbeChecked }

// Fields implements wire.Fielder.
func (b *ProbeCheck) Fields(c *wire.Coder) {
	wire.Str(c, "probe", &b.Probe)
	wire.Str(c, "method", &b.Method)
	wire.Int(c, "expected", &b.Expected)
	wire.Int(c, "read", &b.Read)
	wire.Int(c, "within", &b.Within)
	wire.Int(c, "altitude", &b.Altitude)
	wire.Str(c, "reference", &b.Reference)
	wire.Str(c, "note", &b.Note)
}

// Off is by how much the probe read too much; less than nothing when it read too little.
func (b *ProbeCheck) Off() int64 { return b.Read - b.Expected }

// Met tells whether the probe was within what was asked for.
func (b *ProbeCheck) Met() bool {
	off := b.Off()
	return off <= b.Within && off >= -b.Within
}

// Parts of what is done about a deviation: entry.Part.Part. 9 CFR 417.3(a), 21 CFR 120.10(b).
const (
	PartCause        = "cause"        // why it happened, and that the cause is gone
	PartHeld         = "held"         // which product was set aside, where, how much
	PartEvaluation   = "evaluation"   // what the product was judged by, and who judged it
	PartDisposition  = "disposition"  // what became of the product
	PartCorrection   = "correction"   // how the step came under control again
	PartPrevention   = "prevention"   // what keeps it from happening again
	PartVerification = "verification" // that it worked, and whether the procedure must change
)

// Part is one part of what was done about a deviation. Each part has its own entry, and so its own signer and time; a
// later one of the same name does not erase the one before.
type Part struct {
	Deviation string // kitchen.Deviation's key
	Part      string // PartCause to PartVerification
	Text      string
	Grams     int64 // of PartHeld and PartDisposition
	Pieces    int64
}

// Kind implements Body.
func (*Part) Kind() Kind { return DeviationPart }

// Fields implements wire.Fielder.
func (b *Part) Fields(c *wire.Coder) {
	wire.Str(c, "deviation", &b.Deviation)
	wire.Str(c, "part", &b.Part)
	wire.Str(c, "text", &b.Text)
	wire.Int(c, "grams", &b.Grams)
	wire.Int(c, "pieces", &b.Pieces)
}

// Carry is something open that a day's close hands on to the next day.
type Carry struct {
	Subject string // a deviation's key, "batch/" and its id, or "list/" and its name
	Reason  string
}

// Fields implements wire.Fielder.
func (b *Carry) Fields(c *wire.Coder) {
	wire.Str(c, "subject", &b.Subject)
	wire.Str(c, "reason", &b.Reason)
}

// DayClose is a lead's signature under the record of one of the kitchen's days. Entries and Seal say what was signed:
// how many entries there were before this one, and the seal over all of them (kitchen.State.Seal). When entries come
// later that belong before it, its own bytes still say what the lead saw.
type DayClose struct {
	Day     int32 // in days since 1970-01-01
	Entries uint64
	Seal    [16]byte
	Carried []Carry
	Note    string
}

// Kind implements Body.
func (*DayClose) Kind() Kind { return DayClosed }

// Fields implements wire.Fielder.
func (b *DayClose) Fields(c *wire.Coder) {
	wire.Int(c, "day", &b.Day)
	wire.Uint(c, "entries", &b.Entries)
	c.Fixed("seal", b.Seal[:])
	wire.List(c, "carried", &b.Carried, wire.Framed[Carry])
	wire.Str(c, "note", &b.Note)
}

// Names of settings: entry.Setting.Name.
const (
	SetKeepChilled = "keep chilled" // days that records of refrigerated product are kept
	SetKeepFrozen  = "keep frozen"  // days that records of frozen, preserved or shelf-stable product are kept
	SetCoolRule    = "cool rule"    // by which of safety.CoolRules the kitchen cools, counted from 1
	SetGuestPieces = "guest pieces" // how many pieces ten guests ask for, of all items together
	SetStock       = "stock/"       // and a good of the plan's document: how much of it somebody counted, g or mL
)

// Setting sets one number of the kitchen. Names that a build does not know are kept.
type Setting struct {
	Name   string
	Number int64
}

// Kind implements Body.
func (*Setting) Kind() Kind { return SettingMade }

// Fields implements wire.Fielder.
func (b *Setting) Fields(c *wire.Coder) {
	wire.Str(c, "name", &b.Name)
	wire.Int(c, "number", &b.Number)
}

// Delivery is product that came in: from whom, which lot, how warm, and what some of its units weighed.
type Delivery struct {
	Delivery  ID // the entry's own id
	Supplier  string
	Lot       string
	Procedure string // for which it is meant: its limits are those for receiving
	Grams     int64  // in all
	Pieces    int64  // in all
	Measured  bool   // MilliC was read
	MilliC    int64
	Probe     string
	Weights   []int64 // grams, of the units that were weighed
	UseBy     int32   // of the supplier's label, in days since 1970-01-01; 0: not said
	Place     string  // equipment id, where it was put
	Refused   bool    // it was sent back
	Note      string
}

// Kind implements Body.
func (*Delivery) Kind() Kind { return DeliveryTaken }

// Fields implements wire.Fielder.
func (b *Delivery) Fields(c *wire.Coder) {
	b.Delivery.Walk(c, "delivery")
	wire.Str(c, "supplier", &b.Supplier)
	wire.Str(c, "lot", &b.Lot)
	wire.Str(c, "procedure", &b.Procedure)
	wire.Int(c, "grams", &b.Grams)
	wire.Int(c, "pieces", &b.Pieces)
	c.Bool("measured", &b.Measured)
	wire.Int(c, "milliC", &b.MilliC)
	wire.Str(c, "probe", &b.Probe)
	wire.List(c, "weights", &b.Weights, func(c *wire.Coder, n *int64) { wire.Int(c, "", n) })
	wire.Int(c, "useBy", &b.UseBy)
	wire.Str(c, "place", &b.Place)
	c.Bool("refused", &b.Refused)
	wire.Str(c, "note", &b.Note)
}

// What is done with a fryer's oil: entry.Oil.Deed.
const (
	OilFiltered  = "filtered"
	OilToppedUp  = "topped up"
	OilChanged   = "changed" // the old oil was thrown away, the fryer filled anew
	OilDiscarded = "discarded"
	OilMeasured  = "measured"
)

// Oil is something that was done with a fryer's oil.
type Oil struct {
	Place  string // equipment id
	Deed   string // OilFiltered to OilMeasured
	Volume int64  // mL that went in or out
	Polar  int64  // thousandths of a percent of total polar compounds; of OilMeasured
	Acid   int64  // thousandths of a percent of free fatty acids; of OilMeasured, 0: not measured
	Note   string
}

// Kind implements Body.
func (*Oil) Kind() Kind { return OilTended }

// Fields implements wire.Fielder.
func (b *Oil) Fields(c *wire.Coder) {
	wire.Str(c, "place", &b.Place)
	wire.Str(c, "deed", &b.Deed)
	wire.Int(c, "volume", &b.Volume)
	wire.Int(c, "polar", &b.Polar)
	wire.Int(c, "acid", &b.Acid)
	wire.Str(c, "note", &b.Note)
}

// ListClose ends a day's run of a list, complete or not.
type ListClose struct {
	List string
	Day  int32
}

// Kind implements Body.
func (*ListClose) Kind() Kind { return ListClosed }

// Fields implements wire.Fielder.
func (b *ListClose) Fields(c *wire.Coder) {
	wire.Str(c, "list", &b.List)
	wire.Int(c, "day", &b.Day)
}

// Where the readings of a CookLog come from: CookLog.Source.
const (
	LogTyped  = "typed"
	LogFile   = "file"
	LogPosted = "posted"
)

// CookLog is a probe's log of a cook, held against the published time-temperature table when it was kept. Its readings stand
// in it as package probelog packs them, so that anybody can work it out again.
type CookLog struct {
	Batch   ID
	Source  string      // LogTyped, LogFile or LogPosted
	Name    string      // of the file, or the sensor that posted
	From    stamp.Milli // the instant from which the readings are counted; 0: from the first one
	Rows    []byte
	Count   int64  // readings in Rows
	Digest  string // of Rows
	Degrees string // UCUM code of the scale in which they were read
	Species string // chicken or turkey
	Fat     int64  // thousandths of a per cent
	Probe   string
	Error   int64 // of the probe, taken off every reading: parts of 1/(9*10^9) of a degree Celsius
	Met     bool
	Instant bool   // one reading counts at once
	HeldAt  int64  // degF of the printed row that held first; 0: none
	RowAt   int64  // degF of the printed row that decides
	Held    int64  // ms, of the run at RowAt
	Dwell   int64  // ms, that RowAt asks for; 0: one reading is enough
	Hottest int64  // mC, with Error taken off
	Lower   int64  // millionths of a log10, by the lower of each two readings
	Linear  int64  // millionths of a log10, along the line between them
	ComeUp  string // met, not met or unknown
	Up      int64  // ms of the come-up
	Table   string // id of the published table
	Note    string
}

// Kind implements Body.
func (*CookLog) Kind() Kind { return CookAssessed }

// Fields implements wire.Fielder.
func (b *CookLog) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "source", &b.Source)
	wire.Str(c, "name", &b.Name)
	wire.Int(c, "from", &b.From)
	c.Bytes("rows", &b.Rows)
	wire.Int(c, "count", &b.Count)
	wire.Str(c, "digest", &b.Digest)
	wire.Str(c, "degrees", &b.Degrees)
	wire.Str(c, "species", &b.Species)
	wire.Int(c, "fat", &b.Fat)
	wire.Str(c, "probe", &b.Probe)
	wire.Int(c, "error", &b.Error)
	c.Bool("met", &b.Met)
	c.Bool("instant", &b.Instant)
	wire.Int(c, "heldAt", &b.HeldAt)
	wire.Int(c, "rowAt", &b.RowAt)
	wire.Int(c, "held", &b.Held)
	wire.Int(c, "dwell", &b.Dwell)
	wire.Int(c, "hottest", &b.Hottest)
	wire.Int(c, "lower", &b.Lower)
	wire.Int(c, "linear", &b.Linear)
	wire.Str(c, "comeUp", &b.ComeUp)
	wire.Int(c, "up", &b.Up)
	wire.Str(c, "table", &b.Table)
	wire.Str(c, "note", &b.Note)
}
