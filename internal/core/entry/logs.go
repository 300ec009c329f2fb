package entry

import "brinebell/internal/core/wire"

// Ways to thaw: entry.Frost.Way. 3-501.13 of the Food Code.
const (
	ThawCold      = "cold"      // in a cold room
	ThawWater     = "water"     // under running water: a log of it begins
	ThawCook      = "cook"      // as part of cooking
	ThawMicrowave = "microwave" // and cooked at once
)

// Frost says that a batch was frozen, or, with a Way, taken out to thaw.
type Frost struct {
	Batch ID
	Way   string // ThawCold to ThawMicrowave; empty: it was frozen
	Place string // equipment id, where it was put
}

// Kind implements Body.
func (*Frost) Kind() Kind { return BatchFrozen }

// Fields implements wire.Fielder.
func (b *Frost) Fields(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "way", &b.Way)
	wire.Str(c, "place", &b.Place)
}

// What a log of temperature and time is about: entry.Log.What.
const (
	LogCool = "cool" // cooked product on its way to the cold limit
	LogTime = "time" // product that time alone keeps
	LogThaw = "thaw" // product under running water
)

// Rules of a thawing: entry.Log.Rule. Those of cooling and of time as a control have the ids that package safety gives.
const (
	RuleThawRaw   = "thaw-raw"
	RuleThawReady = "thaw-ready" // it is ready to eat
)

// Log begins a log of temperature and time of a batch or of a food that has a name alone. The rule stands in it, so that a
// later change of the kitchen's setting changes no past.
type Log struct {
	Log      ID // the entry's own id
	What     string
	Rule     string
	Batch    ID
	Name     string // of the food, where there is no batch
	Measured bool   // MilliC was read as it began
	MilliC   int64
	Probe    string
}

// Kind implements Body.
func (*Log) Kind() Kind { return LogBegun }

// Fields implements wire.Fielder.
func (b *Log) Fields(c *wire.Coder) {
	b.Log.Walk(c, "log")
	wire.Str(c, "what", &b.What)
	wire.Str(c, "rule", &b.Rule)
	b.Batch.Walk(c, "batch")
	wire.Str(c, "name", &b.Name)
	c.Bool("measured", &b.Measured)
	wire.Int(c, "milliC", &b.MilliC)
	wire.Str(c, "probe", &b.Probe)
}

// LogReading is a temperature of a log: of its food, or of the water that runs over it.
type LogReading struct {
	Log    ID
	Batch  ID // of the log, zero if it has none
	Water  bool
	MilliC int64
	Probe  string
}

// Kind implements Body.
func (*LogReading) Kind() Kind { return LogRead }

// Fields implements wire.Fielder.
func (b *LogReading) Fields(c *wire.Coder) {
	b.Log.Walk(c, "log")
	b.Batch.Walk(c, "batch")
	c.Bool("water", &b.Water)
	wire.Int(c, "milliC", &b.MilliC)
	wire.Str(c, "probe", &b.Probe)
}

// How a log ends: entry.LogEnd.Outcome. One of cooling ends by itself when the food has come to the cold limit.
const (
	LogCooled    = "cooled"
	LogDone      = "done"      // it was served, cooked or chilled in time
	LogDiscarded = "discarded" // what was left was thrown away
)

// LogEnd ends a log.
type LogEnd struct {
	Log     ID
	Batch   ID // of the log, zero if it has none
	Outcome string
	Note    string
}

// Kind implements Body.
func (*LogEnd) Kind() Kind { return LogEnded }

// Fields implements wire.Fielder.
func (b *LogEnd) Fields(c *wire.Coder) {
	b.Log.Walk(c, "log")
	b.Batch.Walk(c, "batch")
	wire.Str(c, "outcome", &b.Outcome)
	wire.Str(c, "note", &b.Note)
}
