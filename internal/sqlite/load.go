package sqlite

import (
	"crypto/sha256"
	"database/sql"
	"errors"
	"iter"

	"brinebell/internal/chain"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
)

// Head implements journal.Keeper.
func (s *Store) Head() (uint64, error) {
	seq, _ := s.Chain()
	return seq, nil
}

// Chain returns the number of the last entry kept and the chain's hash there.
func (s *Store) Chain() (uint64, chain.Hash) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seq, s.head
}

// Since implements journal.Keeper.
func (s *Store) Since(seq uint64) iter.Seq2[journal.Numbered, error] {
	return s.numbered("sqlite.Since", "SELECT seq, record FROM entries WHERE seq > ? ORDER BY seq", int64(seq))
}

func (s *Store) numbered(op, query string, args ...any) iter.Seq2[journal.Numbered, error] {
	return func(yield func(journal.Numbered, error) bool) {
		if err := s.inPlace(); err != nil {
			yield(journal.Numbered{}, err) // another connection would read another file
			return
		}
		rows, err := s.read.QueryContext(background, query, args...)
		if err != nil {
			yield(journal.Numbered{}, explain(op, err))
			return
		}
		defer func() { _ = rows.Close() }() // its error is that of rows.Err
		for rows.Next() {
			var n journal.Numbered
			if err := rows.Scan(&n.Seq, &n.Record); err != nil {
				yield(n, explain(op, err))
				return
			}
			if !yield(n, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(journal.Numbered{}, explain(op, err))
		}
	}
}

// Newest implements journal.Keeper.
func (s *Store) Newest() (journal.Stored, error) { return s.Before(afterAll) }

// afterAll is a place behind every entry that can be.
var afterAll = journal.Place{At: stamp.Stamp{At: 1<<63 - 1}}

// Before implements journal.Keeper. A checkpoint whose bytes are not what was stored is passed over: an older one gives
// the same state, only more slowly.
func (s *Store) Before(p journal.Place) (journal.Stored, error) {
	const op = "sqlite.Before"
	base, last, err := s.checkpoint(&p)
	if err != nil {
		return journal.Stored{}, s.explainHere(op, err)
	}
	stored := journal.Stored{Base: base}
	query := "SELECT seq, record FROM entries WHERE (at, count, device, id) > (?, ?, ?, ?)"
	for n, err := range s.numbered(op, query, place(&last)...) {
		if err != nil {
			return journal.Stored{}, s.explainHere(op, err)
		}
		if _, err := entry.ReadRecord(n.Record); err != nil {
			continue // damaged on the disk: Verify names it, and the others go on without it
		}
		stored.Tail = append(stored.Tail, n)
	}
	err = s.read.QueryRowContext(background, "SELECT value FROM meta WHERE name = 'memory'").Scan(&stored.Memory)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return journal.Stored{}, s.explainHere(op, err)
	}
	return stored, nil
}

// beforeAll is a place before every entry that can be.
var beforeAll = journal.Place{At: stamp.Stamp{At: -1 << 63}}

func (s *Store) checkpoint(p *journal.Place) (base []byte, last journal.Place, err error) {
	if err := s.inPlace(); err != nil {
		return nil, beforeAll, err
	}
	rows, err := s.read.QueryContext(background, "SELECT at, count, device, id, state, sum FROM checkpoints "+
		"WHERE (at, count, device, id) < (?, ?, ?, ?) ORDER BY at DESC, count DESC, device DESC, id DESC", place(p)...)
	if err != nil {
		return nil, beforeAll, err
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		var id, sum []byte
		if err := rows.Scan(&last.At.At, &last.At.Count, &last.At.Device, &id, &base, &sum); err != nil {
			return nil, beforeAll, err
		}
		if got := sha256.Sum256(base); string(got[:]) == string(sum) {
			copy(last.ID[:], id)
			return base, last, nil
		}
	}
	return nil, beforeAll, rows.Err()
}

// Place implements journal.Keeper.
func (s *Store) Place(id entry.ID) (journal.Place, bool, error) {
	p := journal.Place{ID: id}
	err := s.read.QueryRowContext(background, "SELECT at, count, device FROM entries WHERE id = ?", id[:]).
		Scan(&p.At.At, &p.At.Count, &p.At.Device)
	if errors.Is(err, sql.ErrNoRows) {
		return journal.Place{}, false, nil
	}
	return p, err == nil, explain("sqlite.Place", err)
}

// Aside implements journal.Keeper.
func (s *Store) Aside() ([]journal.Aside, error) {
	const op = "sqlite.Aside"
	rows, err := s.read.QueryContext(background, "SELECT device, reason, record FROM set_aside ORDER BY n")
	if err != nil {
		return nil, explain(op, err)
	}
	defer func() { _ = rows.Close() }()
	var list []journal.Aside
	for rows.Next() {
		var a journal.Aside
		if err := rows.Scan(&a.Device, &a.Reason, &a.Record); err != nil {
			return nil, explain(op, err)
		}
		list = append(list, a)
	}
	return list, explain(op, rows.Err())
}

// AsideOf tells how many records of a device are set aside, and how large they are together.
func (s *Store) AsideOf(device string) (n, bytes int, err error) {
	err = s.read.QueryRowContext(background, "SELECT count(*), coalesce(sum(length(record)), 0) FROM set_aside WHERE device = ?", device).Scan(&n, &bytes)
	return n, bytes, explain("sqlite.AsideOf", err)
}

// links yields the chain as it is stored.
func (s *Store) links() iter.Seq2[chain.Link, error] {
	return func(yield func(chain.Link, error) bool) {
		rows, err := s.read.QueryContext(background, "SELECT seq, record, hash FROM entries ORDER BY seq")
		if err != nil {
			yield(chain.Link{}, err)
			return
		}
		defer func() { _ = rows.Close() }()
		for rows.Next() {
			var l chain.Link
			var hash sql.RawBytes
			var record sql.RawBytes
			if err := rows.Scan(&l.Seq, &record, &hash); err != nil {
				yield(l, err)
				return
			}
			l.Record = record
			copy(l.Hash[:], hash)
			if !yield(l, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(chain.Link{}, err)
		}
	}
}
