// Package planner works out what to drop, coat and marinate when, so that demand is met at the least cost: from demand
// backwards through hot hold, fryers, coated and marinated stock, under every window and place that the kitchen has.
//
// It is handed demand and stock (Problem) and knows nothing of journals. Everything is whole numbers, so that a phone and
// the server make the same plan.
package planner

// Money is an amount of the kitchen's currency in sixty-millionths: costs of a millionth per hour are whole per minute.
type Money int64

// Unit is one of the kitchen's currency.
const Unit Money = 60_000_000

// Problem is one kitchen's day: what may be sold, what stands where, who works when. Times are whole minutes, 0 is midnight
// at the start of the day of service.
type Problem struct {
	ID                     string
	Start, Open, Close     int // nothing starts before Start
	Slot, Tick, Block      int // lengths: of sales, of the grid of loads, of the grid of sessions
	Items                  []Item
	Groups                 []Group
	Stations               []Station
	Pans, Tubs             int // places in the cold room
	Hot, Coated, Marinated []Lot
	Busy                   []Busy
	Carry                  []Carry
}

// Item is something sold.
type Item struct {
	Name       string
	UnitPieces int   // pieces in a unit, which is what is marinated, coated and dropped
	Margin     Money // lost per piece of demand not met
	Demand     []int // pieces by slot
	Cook       Cook
	Coat       *Coat     // nil: dropped from the freezer
	Marinate   *Marinate // nil: coated from raw
}

// Cook is how an item is fried.
type Cook struct {
	Group                  int
	MaxUnits               int // in one load
	Busy, Out, Ready, Hold int // minutes: fryer taken; until out of it; from there until it may and may no longer be sold
	LoadCost               Money
	WasteCost              Money // per piece cooked and not sold
}

// Mode is one length of a session and the most that it gets done: units coated, or tubs.
type Mode struct{ Blocks, Most int }

// Coat is how an item is coated and set.
type Coat struct {
	Station                int
	Modes                  []Mode
	SessionCost, BlockCost Money
	SetMin, SetMax         int
	UnitsPerPan            int
	DiscardCost            Money // per coated unit never used
}

// Marinate is how an item is marinated.
type Marinate struct {
	Station                         int
	Modes                           []Mode
	TubUnits                        int
	SessionCost, BlockCost, TubCost Money
	Min, Best, Max, Drain           int
	OverBest                        Money  // per unit and minute past Best
	Away                            []Away // when there is nothing raw to begin with
	DiscardCost                     Money  // per marinated unit never used
}

// Away is from when to when a delivery is waited for: no session begins then.
type Away struct{ From, To int }

// Lacks returns when there is something raw again of what is lacking at a minute, or 0 where nothing is.
func (m *Marinate) Lacks(t int) int {
	for _, a := range m.Away {
		if t >= a.From && t < a.To {
			return a.To
		}
	}
	return 0
}

// Group is fryers that are alike.
type Group struct {
	Name    string
	Windows []Window
}

// Window is when Count fryers work.
type Window struct{ From, To, Count int }

// Station is where one session at a time goes on, wholly inside one of its windows.
type Station struct {
	Name    string
	Windows []Window // Count is not used
}

// Lot is what stands ready at the beginning: pieces when hot, else units.
type Lot struct {
	Item, Amount       int
	Ready, Until, Best int
}

// Busy is a fryer of a group that is taken until then.
type Busy struct{ Group, Until int }

// Carry is what is wanted for tomorrow.
type Carry struct {
	Item      int
	Coated    bool // else marinated
	At, Units int
	ShortCost Money // per unit missing
}

// Plan is what to do.
type Plan struct {
	Loads     []Load
	Coats     []Session
	Marinades []Session
	Hot       []Sale // of Lot n of Problem.Hot
	Carry     [][]From
	Cost      Money
	Bound     Money // no plan costs less
}

// Sale is pieces sold by slot out of a source.
type Sale struct{ Lot, Slot, Pieces int }

// From is units taken out of a lot: of those that stand there at the beginning, or of the plan's own sessions.
type From struct {
	Lot   int
	Own   bool
	Units int
}

// Load is one basket.
type Load struct {
	Item, Start, Units int
	From               []From
	Sells              []Sale
}

// Session is one spell of coating or marinating.
type Session struct {
	Item, Start, Blocks, Units, Tubs int
	From                             []From
}
