package procedure

import "brinebell/internal/core/stamp"

// Plan is one version of what planning a day rests on, beside procedures and equipment: when the kitchen sells what, what it
// costs to be wrong, who stands where when, what should be left for the day after.
type Plan struct {
	Name     string
	Version  uint32
	Currency string // ISO 4217
	Slot     int    // minutes: of sales
	Tick     int    // of the grid on which loads start
	Block    int    // of the grid on which work at a station starts
	Open     []Hours
	Rushes   []Rush
	Stations []Station
	Pans     int // places for them in the cold room
	Tubs     int
	Items    []PlanItem
	Keeps    []PlanKeep
	Goods    []Good
}

// Micros is money: millionths of the currency.
type Micros int64

// Hours is a span of wall time on some weekdays. To is after From; beyond 24 h it is in the morning after.
type Hours struct {
	Days     []uint8 // ISO weekdays; none: every day
	From, To stamp.Span
}

// Rush is when many guests come at once.
type Rush struct {
	Days  []uint8
	At    stamp.Span
	Title Text
}

// Station is where one piece of work goes on at a time.
type Station struct {
	Name  string
	Title Text
	Hours []Hours // when somebody usually works there
}

// PlanItem is what one procedure's product earns and costs.
type PlanItem struct {
	Procedure string
	Days      []uint8 // sold on these weekdays; none: every day
	Unit      int     // pieces in a unit, which is what is marinated, coated and dropped
	Margin    Micros  // lost per piece that somebody asks for in vain
	Waste     Micros  // per piece cooked and not sold
	Load      Micros  // per basket
	Par       int     // pieces that a kitchen without a plan would keep in the hold
	Usual     []Usual
	Coat      *PlanWork
	Marinate  *PlanWork
}

// Usual is what is asked for in a span of a usual day.
type Usual struct {
	Hours
	Pieces int
}

// PlanWork is a spell of work on an item at a station.
type PlanWork struct {
	Station  string
	Modes    []PlanMode
	Session  Micros // per spell
	Block    Micros // per block of it
	Tub      Micros // per tub
	OverBest Micros // per unit and hour past its best
	Discard  Micros // per unit never used
}

// PlanMode is a length of a spell and the most that is done in it: units coated, or tubs.
type PlanMode struct{ Blocks, Most int }

// PlanKeep is what should stand ready when the kitchen opens on the day after.
type PlanKeep struct {
	Item   string
	Coated bool // else marinated
	By     stamp.Span
	Units  int    // while nothing of it was ever sold
	Short  Micros // per unit missing
}

// GoodKind says what a good is ordered by.
type GoodKind uint8

// Kinds of goods.
const (
	GoodRaw         GoodKind = iota // Per: g per unit
	GoodConcentrate                 // by the mix rule of the procedure
	GoodCoating                     // Per: g per kg coated
	GoodOil                         // Per: mL per load
)

// Good is something that is ordered.
type Good struct {
	Name  string
	Title Text
	Kind  GoodKind
	Items []string
	Per   int64
	Pack  int64   // g or mL
	Days  []uint8 // on which it is delivered; none: every day
}

// On tells whether a list of weekdays has one; an empty list has all.
func On(days []uint8, weekday uint8) bool {
	for _, d := range days {
		if d == weekday {
			return true
		}
	}
	return len(days) == 0
}

// Item returns what the plan says of a procedure's product, or nil.
func (p *Plan) Item(procedure string) *PlanItem {
	for i := range p.Items {
		if p.Items[i].Procedure == procedure {
			return &p.Items[i]
		}
	}
	return nil
}

// Station returns a station, or nil.
func (p *Plan) Station(name string) *Station {
	for i := range p.Stations {
		if p.Stations[i].Name == name {
			return &p.Stations[i]
		}
	}
	return nil
}
