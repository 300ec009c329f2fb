package entry

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Sensing is what a sensor or a logger read at one place: one reading or many, in the order of time. All of them stay in
// the journal, however few of them the state keeps.
type Sensing struct {
	Place  string // equipment id
	Source string // the sensor's id, or what a logger's file goes by
	Probe  string
	From   stamp.Milli // what Sensed.After counts from
	List   []Sensed
}

// Sensed is one reading of a Sensing.
type Sensed struct {
	After  stamp.Span // since Sensing.From
	MilliC int64      // thousandths of a degree Celsius
}

// Kind implements Body.
func (*Sensing) Kind() Kind { return SensorRead }

// Fields implements wire.Fielder.
func (b *Sensing) Fields(c *wire.Coder) {
	wire.Str(c, "place", &b.Place)
	wire.Str(c, "source", &b.Source)
	wire.Str(c, "probe", &b.Probe)
	wire.Int(c, "from", &b.From)
	wire.List(c, "readings", &b.List, wire.Struct[Sensed])
}

// Fields implements wire.Fielder.
func (s *Sensed) Fields(c *wire.Coder) {
	wire.Int(c, "after", &s.After)
	wire.Int(c, "milliC", &s.MilliC)
}

// SensorPairing says that a sensor may post readings of these places from now on, and how often it means to.
type SensorPairing struct {
	Sensor string
	Name   string
	Every  stamp.Span
	Places []string // equipment ids
}

// Kind implements Body.
func (*SensorPairing) Kind() Kind { return SensorPaired }

// Fields implements wire.Fielder.
func (b *SensorPairing) Fields(c *wire.Coder) {
	wire.Str(c, "sensor", &b.Sensor)
	wire.Str(c, "name", &b.Name)
	wire.Int(c, "every", &b.Every)
	wire.List(c, "places", &b.Places, wire.Word[string])
}

// SensorRevocation says that a sensor may post no more.
type SensorRevocation struct {
	Sensor string
	Reason string
}

// Kind implements Body.
func (*SensorRevocation) Kind() Kind { return SensorRevoked }

// Fields implements wire.Fielder.
func (b *SensorRevocation) Fields(c *wire.Coder) {
	wire.Str(c, "sensor", &b.Sensor)
	wire.Str(c, "reason", &b.Reason)
}

// FileRead says that a logger's file was read into the journal, and what became of its rows.
type FileRead struct {
	File   string
	Sum    string // SHA-256 of the file, hexadecimal
	Place  string
	Source string // as in Sensing
	Rows   int64
	Kept   int64
	Known  int64 // already in the journal
	Bad    int64 // not readings, each named when it was read
}

// Kind implements Body.
func (*FileRead) Kind() Kind { return LoggerRead }

// Fields implements wire.Fielder.
func (b *FileRead) Fields(c *wire.Coder) {
	wire.Str(c, "file", &b.File)
	wire.Str(c, "sum", &b.Sum)
	wire.Str(c, "place", &b.Place)
	wire.Str(c, "source", &b.Source)
	wire.Int(c, "rows", &b.Rows)
	wire.Int(c, "kept", &b.Kept)
	wire.Int(c, "known", &b.Known)
	wire.Int(c, "bad", &b.Bad)
}
