package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// StockMark is how much of a good somebody has counted.
type StockMark struct {
	Amount int64 // g or mL
	At     stamp.Milli
	By     string
}

// StockDays is for how many days a count is of use: what was done since is known for as long.
const StockDays = DoneDays

// Stock returns the last count of a good, or nil where there is none, or it is too old.
func (s *State) Stock(good string) *StockMark {
	data, m := s.Row(entry.SetStock+good), new(StockMark)
	if data == "" || wire.Read([]byte(data), m) != nil || s.WallDay(s.Last.At) > s.WallDay(m.At)+StockDays {
		return nil
	}
	return m
}

// Fields implements wire.Fielder.
func (m *StockMark) Fields(c *wire.Coder) {
	wire.Int(c, "amount", &m.Amount)
	wire.Int(c, "at", &m.At)
	wire.Str(c, "by", &m.By)
}
