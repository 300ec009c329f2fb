package kitchen

import (
	"sort"
	"strings"

	"brinebell/internal/core/wire"
)

// Row is something that the fold keeps for screens which are seldom looked at, packed: what makes sense of it need not be where the
// fold is, which every phone loads first.
type Row struct {
	Key   string // what it is, and of what: "sell/bone-in"
	Until int32  // the last of the kitchen's days on which it is of use
	Data  string
}

// row returns where the row called key stands, or would.
func (s *State) row(key string) int {
	return sort.Search(len(s.Rows), func(i int) bool { return s.Rows[i].Key >= key })
}

// Row returns the data of the row called key, "" when there is none.
func (s *State) Row(key string) string {
	if i := s.row(key); i < len(s.Rows) && s.Rows[i].Key == key {
		return s.Rows[i].Data
	}
	return ""
}

// RowsOf returns the rows whose keys begin with prefix, by key. They are not to be changed.
func (s *State) RowsOf(prefix string) []Row {
	from := s.row(prefix)
	to := from
	for to < len(s.Rows) && strings.HasPrefix(s.Rows[to].Key, prefix) {
		to++
	}
	return s.Rows[from:to]
}

// keepRow puts a row in the place of the one called key, without data none, and drops what is of no use any more. The list is made
// anew, so that copies of the state may share it.
func (s *State) keepRow(key string, until int32, data string) {
	today, i := s.WallDay(s.Last.At), s.row(key)
	if s.isAhead(s.Last) {
		today = 0
	}
	var rows []Row
	for j := range s.Rows {
		if j == i && data != "" {
			rows = append(rows, Row{key, until, data})
		}
		if r := &s.Rows[j]; r.Key != key && r.Until >= today {
			rows = append(rows, *r)
		}
	}
	if i == len(s.Rows) && data != "" {
		rows = append(rows, Row{key, until, data})
	}
	s.Rows = rows
}

func (s *State) rowsSorted() bool {
	for i := 1; i < len(s.Rows); i++ {
		if s.Rows[i-1].Key >= s.Rows[i].Key {
			return false
		}
	}
	return true
}

// Fields implements wire.Fielder.
func (r *Row) Fields(c *wire.Coder) {
	wire.Str(c, "key", &r.Key)
	wire.Int(c, "until", &r.Until)
	wire.Str(c, "data", &r.Data)
}
