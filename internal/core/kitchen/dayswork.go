package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// DayWork is what was done with one item on one of the kitchen's days, for who looks back on it: its batches leave the state
// after a day, and what stood there in the morning was made on the days before.
type DayWork struct {
	Day   int32
	Item  string // name of the procedure; empty: it is about equipment
	Deeds []Deed // in the order of their entries
}

// Deed is one thing that was done.
type Deed struct {
	Sort   DeedSort
	Minute int64  // of the day, as the kitchen's clocks showed it
	Stage  string // or the piece of equipment
	Grams  int64
	Pieces int64
	Why    string // it was lost: trim, drip or yield; thrown away or out of use: the reason
}

// DeedSort says what was done.
type DeedSort uint8

// Sorts of deeds.
const (
	DeedCame   DeedSort = iota // a vessel came to its first stage, to one in another kind of vessel, or to the hold
	DeedLost                   // it was lost on the way, and nobody threw it away
	DeedThrown                 // it was thrown away
	DeedOut                    // equipment was taken out of use
	DeedBack                   // or put back
)

// DoneDays is for how many days before today it stays: what stood there yesterday morning was made up to two days before.
const DoneDays = 3

func byDone(w, o DayWork) int { return cmp.Or(cmp.Compare(w.Day, o.Day), cmp.Compare(w.Item, o.Item)) }

// deed writes down what was done.
func (f *folding) deed(item string, d Deed) {
	day, clock := f.s.Wall(f.at)
	d.Minute = int64(clock / stamp.Minute)
	key := DayWork{Day: day, Item: item}
	i, ok := slices.BinarySearchFunc(f.s.Done, key, byDone)
	if !ok {
		f.s.Done = order.Insert(f.s.Done, i, key)
	}
	f.s.Done[i].Deeds = append(f.s.Done[i].Deeds, d)
}

// came writes down that a batch came to a stage.
func (f *folding) came(b *Batch, st *procedure.Stage) {
	p := f.s.Procedure(b.Procedure, b.Version)
	if _, i := p.Stage(st.Name); i == 0 || st.Kind == procedure.Hold || p.Stages[i-1].Vessel != st.Vessel {
		f.deed(b.Procedure, Deed{Stage: st.Name, Grams: b.Grams, Pieces: b.Pieces})
	}
}

// gone writes down that something of a batch was lost or thrown away.
func (f *folding) gone(b *Batch, l entry.Loss, why string) {
	d := Deed{Sort: DeedLost, Stage: b.Stage, Grams: amount(l.Grams), Pieces: amount(l.Pieces), Why: l.Why}
	if l.Why == "waste" {
		d.Sort, d.Why = DeedThrown, why
	}
	f.deed(b.Procedure, d)
}

func (s *State) pruneDone(at stamp.Milli) {
	today := s.WallDay(at)
	s.Done = slices.DeleteFunc(s.Done, func(w DayWork) bool { return w.Day < today-DoneDays || w.Day > today+1 })
}

// Fields implements wire.Fielder.
func (w *DayWork) Fields(c *wire.Coder) {
	wire.Int(c, "day", &w.Day)
	wire.Str(c, "item", &w.Item)
	wire.List(c, "deeds", &w.Deeds, wire.Framed[Deed])
}

// Fields implements wire.Fielder.
func (d *Deed) Fields(c *wire.Coder) {
	wire.Uint(c, "sort", &d.Sort)
	wire.Int(c, "minute", &d.Minute)
	wire.Str(c, "stage", &d.Stage)
	wire.Int(c, "grams", &d.Grams)
	wire.Int(c, "pieces", &d.Pieces)
	wire.Str(c, "why", &d.Why)
}
