package entry

import "brinebell/internal/core/wire"

// Sorts of what is told of a day's demand.
const (
	DemandTyped = "typed" // takes the place of the forecast in its span
	DemandOrder = "order" // certain: contained in the demand of its span
	DemandEvent = "event" // guests or pieces that come on top of the forecast
	DemandRaw   = "raw"   // the delivery of the item's raw product comes only at From: until then that day nothing is begun with it
	DemandLike  = "like"  // the whole day is like another weekday: Pieces is which (1 is Monday), 0 that nothing is sold
)

// Demand tells what will be asked for of an item in a span of a day. A later one with the same id takes its place.
type Demand struct {
	Demand ID     // its own id; what comes later may name it to change it
	Item   string // procedure; empty: of an event, Pieces are guests who ask for what is usually asked for
	Day    int32  // the kitchen's day, in days since 1970-01-01
	From   uint32 // minutes of the day
	To     uint32 // may pass the end of the day
	Pieces int64  // negative: taken back
	Sort   string
	Title  string
}

// Kind implements Body.
func (*Demand) Kind() Kind { return DemandTold }

// Fields implements wire.Fielder.
func (b *Demand) Fields(c *wire.Coder) {
	b.Demand.Walk(c, "demand")
	wire.Str(c, "item", &b.Item)
	wire.Int(c, "day", &b.Day)
	wire.Uint(c, "from", &b.From)
	wire.Uint(c, "to", &b.To)
	wire.Int(c, "pieces", &b.Pieces)
	wire.Str(c, "sort", &b.Sort)
	wire.Str(c, "title", &b.Title)
}

// Away tells that somebody asked for an item and there was none.
type Away struct {
	Item   string // procedure
	Pieces int64
}

// Kind implements Body.
func (*Away) Kind() Kind { return TurnedAway }

// Fields implements wire.Fielder.
func (b *Away) Fields(c *wire.Coder) {
	wire.Str(c, "item", &b.Item)
	wire.Int(c, "pieces", &b.Pieces)
}

// Sales are what was sold of an item on a day, out of a file. The same item and day again takes their place.
type Sales struct {
	Item   string // procedure
	Day    int32  // the kitchen's day, in days since 1970-01-01
	From   uint32 // minute of the day at which the first slot begins
	Each   uint32 // minutes of a slot
	Pieces []int64
}

// Kind implements Body.
func (*Sales) Kind() Kind { return SalesBrought }

// Fields implements wire.Fielder.
func (b *Sales) Fields(c *wire.Coder) {
	wire.Str(c, "item", &b.Item)
	wire.Int(c, "day", &b.Day)
	wire.Uint(c, "from", &b.From)
	wire.Uint(c, "each", &b.Each)
	wire.List(c, "pieces", &b.Pieces, func(c *wire.Coder, n *int64) { wire.Int(c, "", n) })
}
