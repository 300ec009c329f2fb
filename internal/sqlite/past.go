package sqlite

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
)

// Past returns the newest checkpoint that ends at or before an instant, and the entries after it up to the instant,
// that included: what the kitchen was then comes from folding these alone. Entries that cannot be read are left out.
func (s *Store) Past(at stamp.Milli) (journal.Stored, error) {
	const op = "sqlite.Past"
	until := journal.Place{At: stamp.Stamp{At: at + 1}}
	base, last, err := s.checkpoint(&until)
	if err != nil {
		return journal.Stored{}, explain(op, err)
	}
	stored := journal.Stored{Base: base}
	query := "SELECT seq, record FROM entries WHERE (at, count, device, id) > (?, ?, ?, ?) AND at <= ?"
	for n, err := range s.numbered(op, query, append(place(&last), int64(at))...) {
		if err != nil {
			return journal.Stored{}, err
		}
		if _, err := entry.ReadRecord(n.Record); err == nil {
			stored.Tail = append(stored.Tail, n)
		}
	}
	return stored, nil
}
