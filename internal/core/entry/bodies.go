package entry

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// NamedKitchen names the kitchen and says where it stands.
type NamedKitchen struct {
	Name    string
	Zone    string // IANA time zone
	Country string // ISO 3166-1 alpha-2
	Demo    bool
}

// Kind implements Body.
func (*NamedKitchen) Kind() Kind { return KitchenNamed }

// Fields implements wire.Fielder.
func (b *NamedKitchen) Fields(c *wire.Coder) {
	wire.Str(c, "name", &b.Name)
	wire.Str(c, "zone", &b.Zone)
	wire.Str(c, "country", &b.Country)
	c.Bool("demo", &b.Demo)
}

// Offset says how far the kitchen's wall time is ahead of UTC from an instant on.
type Offset struct {
	From    stamp.Milli
	Minutes int32
	Name    string // abbreviation, as the time zone database has it
}

// Fields implements wire.Fielder.
func (o *Offset) Fields(c *wire.Coder) {
	wire.Int(c, "from", &o.From)
	wire.Int(c, "minutes", &o.Minutes)
	wire.Str(c, "name", &o.Name)
}

// Offsets replaces the kitchen's offsets. The server writes them, since no phone carries time zone rules.
type Offsets struct {
	Zone string
	List []Offset
}

// Kind implements Body.
func (*Offsets) Kind() Kind { return OffsetsSet }

// Fields implements wire.Fielder.
func (b *Offsets) Fields(c *wire.Coder) {
	wire.Str(c, "zone", &b.Zone)
	wire.List(c, "offsets", &b.List, wire.Framed[Offset])
}

// Pairing says that a device belongs to the kitchen now.
type Pairing struct {
	Device string
	Name   string
	Wall   bool // a wall screen: always on, nobody taps it
	Place  string
}

// Kind implements Body.
func (*Pairing) Kind() Kind { return DevicePaired }

// Fields implements wire.Fielder.
func (b *Pairing) Fields(c *wire.Coder) {
	wire.Str(c, "device", &b.Device)
	wire.Str(c, "name", &b.Name)
	c.Bool("wall", &b.Wall)
	wire.Str(c, "place", &b.Place)
}

// Revocation says that a device no longer belongs to the kitchen.
type Revocation struct {
	Device string
	Reason string
}

// Kind implements Body.
func (*Revocation) Kind() Kind { return DeviceRevoked }

// Fields implements wire.Fielder.
func (b *Revocation) Fields(c *wire.Coder) {
	wire.Str(c, "device", &b.Device)
	wire.Str(c, "reason", &b.Reason)
}

// Document publishes a version of a procedure, a list or the kitchen's equipment. See package procedure for the text.
type Document struct {
	What    string // procedure, list or equipment
	Name    string // stable short id, as in the document
	Version uint32
	Text    string // the JSON document, as published
}

// Kind implements Body.
func (*Document) Kind() Kind { return DocumentPublished }

// Fields implements wire.Fielder.
func (b *Document) Fields(c *wire.Coder) {
	wire.Str(c, "what", &b.What)
	wire.Str(c, "name", &b.Name)
	wire.Uint(c, "version", &b.Version)
	wire.Str(c, "text", &b.Text)
}

// Mix is what went into a tub beside the product.
type Mix struct {
	Water       int64 // millilitres
	Concentrate int64 // millilitres
}

// Start begins a batch out of supplier lots: product in a vessel at the procedure's first stage.
type Start struct {
	Batch     ID // the entry's own id
	Code      string
	Procedure string
	Version   uint32
	Stage     string
	Vessel    string // kind of vessel: tub, pan, rack...
	Number    uint32 // which one: tub 3
	Place     string // equipment id, where it stands
	Grams     int64
	Pieces    int64
	Lots      []string
	Mix       Mix
}

// Kind implements Body.
func (*Start) Kind() Kind { return BatchStarted }

// Fields implements wire.Fielder.
func (b *Start) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "code", &b.Code)
	wire.Str(c, "procedure", &b.Procedure)
	wire.Uint(c, "version", &b.Version)
	wire.Str(c, "stage", &b.Stage)
	wire.Str(c, "vessel", &b.Vessel)
	wire.Uint(c, "number", &b.Number)
	wire.Str(c, "place", &b.Place)
	wire.Int(c, "grams", &b.Grams)
	wire.Int(c, "pieces", &b.Pieces)
	wire.List(c, "lots", &b.Lots, wire.Word[string])
	wire.Int(c, "water", &b.Mix.Water)
	wire.Int(c, "concentrate", &b.Mix.Concentrate)
}

// Override is a lead's reasoned leave to go against a window.
type Override struct {
	By     string // crew id of the lead
	Reason string
}

func (o *Override) walk(c *wire.Coder) {
	wire.Str(c, "overrideBy", &o.By)
	wire.Str(c, "overrideReason", &o.Reason)
}

// Move takes a whole batch from one stage to another in the same vessel.
type Move struct {
	Batch    ID
	From, To string // stages
	Place    string // equipment id, where it stands from now on
	Override Override
}

// Kind implements Body.
func (*Move) Kind() Kind { return BatchMoved }

// Fields implements wire.Fielder.
func (b *Move) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "from", &b.From)
	wire.Str(c, "to", &b.To)
	wire.Str(c, "place", &b.Place)
	b.Override.walk(c)
}

// Share is what is taken out of a batch.
type Share struct {
	Batch  ID
	Stage  string // the stage that it leaves
	Grams  int64
	Pieces int64
	All    bool // nothing stays behind: the batch is used up
}

// Fields implements wire.Fielder.
func (s *Share) Fields(c *wire.Coder) {
	s.Batch.Walk(c, "batch")
	wire.Str(c, "stage", &s.Stage)
	wire.Int(c, "grams", &s.Grams)
	wire.Int(c, "pieces", &s.Pieces)
	c.Bool("all", &s.All)
}

// Portion is a new batch that comes out of others.
type Portion struct {
	Batch  ID
	Code   string
	Stage  string
	Vessel string
	Number uint32
	Place  string
	Grams  int64
	Pieces int64
}

// Fields implements wire.Fielder.
func (p *Portion) Fields(c *wire.Coder) {
	p.Batch.Walk(c, "batch")
	wire.Str(c, "code", &p.Code)
	wire.Str(c, "stage", &p.Stage)
	wire.Str(c, "vessel", &p.Vessel)
	wire.Uint(c, "number", &p.Number)
	wire.Str(c, "place", &p.Place)
	wire.Int(c, "grams", &p.Grams)
	wire.Int(c, "pieces", &p.Pieces)
}

// Loss is an amount that did not come out again.
type Loss struct {
	Why    string // trim, drip, yield or waste
	Grams  int64
	Pieces int64
}

// Fields implements wire.Fielder.
func (l *Loss) Fields(c *wire.Coder) {
	wire.Str(c, "why", &l.Why)
	wire.Int(c, "grams", &l.Grams)
	wire.Int(c, "pieces", &l.Pieces)
}

// Portioning takes amounts out of batches and makes new batches of them: a tub into pans, pans into a load, a load
// into trays, two half pans into one. What is in neither is loss, and named.
type Portioning struct {
	Out      []Share
	In       []Portion
	Lost     []Loss
	Override Override
}

// Kind implements Body.
func (*Portioning) Kind() Kind { return BatchPortioned }

// Fields implements wire.Fielder.
func (b *Portioning) Fields(c *wire.Coder) {
	wire.List(c, "out", &b.Out, wire.Framed[Share])
	wire.List(c, "in", &b.In, wire.Framed[Portion])
	wire.List(c, "lost", &b.Lost, wire.Framed[Loss])
	b.Override.walk(c)
}

// Discard throws away all that is left of a batch. It beats everything else said of the batch.
type Discard struct {
	Batch  ID
	Grams  int64
	Pieces int64
	Reason string // a key of the procedure's reasons, or free text
}

// Kind implements Body.
func (*Discard) Kind() Kind { return BatchDiscarded }

// Fields implements wire.Fielder.
func (b *Discard) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Int(c, "grams", &b.Grams)
	wire.Int(c, "pieces", &b.Pieces)
	wire.Str(c, "reason", &b.Reason)
}

// Count says how many pieces left a tray in the hold since the last count.
type Count struct {
	Batch  ID
	Sold   int64
	Wasted int64
	Reason string
}

// Kind implements Body.
func (*Count) Kind() Kind { return HoldCounted }

// Fields implements wire.Fielder.
func (b *Count) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Int(c, "sold", &b.Sold)
	wire.Int(c, "wasted", &b.Wasted)
	wire.Str(c, "reason", &b.Reason)
}

// Step says that a step of a batch's stage or of a list was done, and what was seen.
type Step struct {
	Batch  ID     // of a batch's step; zero for a list's
	List   string // of a list's step: the list's id
	Day    int32  // of a list's step: the kitchen's day, in days since 1970-01-01
	Stage  string
	Step   string
	Value  int64  // in Unit
	Unit   string // mC (thousandths of a degree Celsius), g, mL, ms, 1 (pieces)
	Answer string // yes or no, of an ask step
	Note   string
	Photo  string // SHA-256 of the photo, in hexadecimal
	SignBy string // crew id of who signs, of a sign step
	Probe  string // since version 2: the probe that read Value
}

// Kind implements Body.
func (*Step) Kind() Kind { return StepDone }

// Fields implements wire.Fielder.
func (b *Step) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "list", &b.List)
	wire.Int(c, "day", &b.Day)
	wire.Str(c, "stage", &b.Stage)
	wire.Str(c, "step", &b.Step)
	wire.Int(c, "value", &b.Value)
	wire.Str(c, "unit", &b.Unit)
	wire.Str(c, "answer", &b.Answer)
	wire.Str(c, "note", &b.Note)
	wire.Str(c, "photo", &b.Photo)
	wire.Str(c, "signBy", &b.SignBy)
	wire.Str(c, "probe", &b.Probe)
}

// Reading is a temperature read at a piece of equipment.
type Reading struct {
	Place  string // equipment id
	MilliC int64  // thousandths of a degree Celsius
	Probe  string
	Note   string
}

// Kind implements Body.
func (*Reading) Kind() Kind { return ReadingTaken }

// Fields implements wire.Fielder.
func (b *Reading) Fields(c *wire.Coder) {
	wire.Str(c, "place", &b.Place)
	wire.Int(c, "milliC", &b.MilliC)
	wire.Str(c, "probe", &b.Probe)
	wire.Str(c, "note", &b.Note)
}

// Deviation is something off that somebody saw. Those that follow from numbers open by themselves.
type Deviation struct {
	Deviation ID // the entry's own id
	Batch     ID
	Place     string
	Text      string
}

// Kind implements Body.
func (*Deviation) Kind() Kind { return DeviationOpened }

// Fields implements wire.Fielder.
func (b *Deviation) Fields(c *wire.Coder) {
	b.Deviation.Walk(c, "deviation")
	b.Batch.Walk(c, "batch")
	wire.Str(c, "place", &b.Place)
	wire.Str(c, "text", &b.Text)
}

// Answer says what was done about a deviation, and whether that closes it.
type Answer struct {
	Deviation string // kitchen.Deviation's key
	Action    string
	Closes    bool
}

// Kind implements Body.
func (*Answer) Kind() Kind { return DeviationAnswered }

// Fields implements wire.Fielder.
func (b *Answer) Fields(c *wire.Coder) {
	wire.Str(c, "deviation", &b.Deviation)
	wire.Str(c, "action", &b.Action)
	c.Bool("closes", &b.Closes)
}

// GotIt silences a bell on every device, in the name of the crew member.
type GotIt struct {
	Bell string // window.Bell's key, with its count of rings
}

// Kind implements Body.
func (*GotIt) Kind() Kind { return BellAnswered }

// Fields implements wire.Fielder.
func (b *GotIt) Fields(c *wire.Coder) { wire.Str(c, "bell", &b.Bell) }

// Withdrawal takes back an entry: the undo within ten seconds. Both stay readable.
type Withdrawal struct{ Entry ID }

// Kind implements Body.
func (*Withdrawal) Kind() Kind { return EntryWithdrawn }

// Fields implements wire.Fielder.
func (b *Withdrawal) Fields(c *wire.Coder) { b.Entry.Walk(c, "entry") }

// Correction replaces the body of an entry, at the entry's own time. Both stay readable.
type Correction struct {
	Entry  ID
	To     Kind
	Ver    uint32
	Body   []byte
	Reason string
}

// Kind implements Body.
func (*Correction) Kind() Kind { return EntryCorrected }

// Fields implements wire.Fielder.
func (b *Correction) Fields(c *wire.Coder) {
	b.Entry.Walk(c, "entry")
	wire.Uint(c, "to", &b.To)
	wire.Uint(c, "ver", &b.Ver)
	c.Bytes("body", &b.Body)
	wire.Str(c, "reason", &b.Reason)
}

// Timer starts a plain named timer.
type Timer struct {
	Timer ID // the entry's own id
	Name  string
	Span  stamp.Span
}

// Kind implements Body.
func (*Timer) Kind() Kind { return TimerSet }

// Fields implements wire.Fielder.
func (b *Timer) Fields(c *wire.Coder) {
	b.Timer.Walk(c, "timer")
	wire.Str(c, "name", &b.Name)
	wire.Int(c, "span", &b.Span)
}

// TimerEnd puts a timer away.
type TimerEnd struct{ Timer ID }

// Kind implements Body.
func (*TimerEnd) Kind() Kind { return TimerEnded }

// Fields implements wire.Fielder.
func (b *TimerEnd) Fields(c *wire.Coder) { b.Timer.Walk(c, "timer") }

// Equipment takes a piece of equipment out of use or back.
type Equipment struct {
	Place  string
	Out    bool
	Reason string
}

// Kind implements Body.
func (*Equipment) Kind() Kind { return EquipmentSet }

// Fields implements wire.Fielder.
func (b *Equipment) Fields(c *wire.Coder) {
	wire.Str(c, "place", &b.Place)
	c.Bool("out", &b.Out)
	wire.Str(c, "reason", &b.Reason)
}

// Note is anything worth writing down about a batch or a place.
type Note struct {
	Batch ID
	Place string
	Text  string
}

// Kind implements Body.
func (*Note) Kind() Kind { return NoteMade }

// Fields implements wire.Fielder.
func (b *Note) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "place", &b.Place)
	wire.Str(c, "text", &b.Text)
}

// ClockDoubt is the server's own note that a clock looks wrong: its own at start, or a device's.
type ClockDoubt struct {
	Device string // empty: the server's own
	Off    stamp.Span
}

// Kind implements Body.
func (*ClockDoubt) Kind() Kind { return ClockDoubted }

// Fields implements wire.Fielder.
func (b *ClockDoubt) Fields(c *wire.Coder) {
	wire.Str(c, "device", &b.Device)
	wire.Int(c, "off", &b.Off)
}
