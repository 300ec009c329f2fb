package sqlite

import (
	"database/sql"
	"iter"

	"brinebell/internal/chain"
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

// Checkpoint returns the newest checkpoint that ends before a place, and the place where it ends: nil and a place before
// all entries if there is none.
func (s *Store) Checkpoint(p journal.Place) (base []byte, last journal.Place, err error) {
	base, last, err = s.checkpoint(&p)
	if base == nil {
		last = beforeAll
	}
	return base, last, explain("sqlite.Checkpoint", err)
}

// Walk walks the whole chain and looks whether what stands beside the records says the same: what Verify does but for
// the structure of the file. In the same reading it hands over the entries that stand after a place and can be read, in
// the order in which they were kept, so that every print is of what was walked.
func (s *Store) Walk(after journal.Place, each func(seq uint64, e *entry.Entry)) (chain.Report, error) {
	kept, err := s.headOnRecord()
	if err != nil {
		return chain.Report{}, err
	}
	var off *chain.Fault
	report, err := chain.Verify(s.placedLinks(&off, func(seq uint64, e *entry.Entry) {
		if journal.PlaceOf(e).Compare(after) > 0 {
			each(seq, e)
		}
	}))
	if err != nil {
		return report, explain("sqlite.Walk", err)
	}
	if off != nil {
		report.Faults++
		if report.First == nil || off.Seq < report.First.Seq {
			report.First = off
		}
	}
	return report, atLeast(report, kept)
}

// placedLinks yields the chain as it is stored with the entries that can be read, and notes the first whose columns do
// not say what its record says.
func (s *Store) placedLinks(off **chain.Fault, each func(seq uint64, e *entry.Entry)) iter.Seq2[chain.Link, error] {
	return func(yield func(chain.Link, error) bool) {
		rows, err := s.read.QueryContext(background, "SELECT seq, id, at, count, device, record, hash FROM entries ORDER BY seq")
		if err != nil {
			yield(chain.Link{}, err)
			return
		}
		defer func() { _ = rows.Close() }() // its error is that of rows.Err
		for rows.Next() {
			var l chain.Link
			var id, record, hash sql.RawBytes
			var at stamp.Stamp
			if err := rows.Scan(&l.Seq, &id, &at.At, &at.Count, &at.Device, &record, &hash); err != nil {
				yield(l, err)
				return
			}
			e, err := entry.ReadRecord(record)
			if *off == nil && (err != nil || e.At != at || string(e.ID[:]) != string(id)) {
				*off = &chain.Fault{Seq: l.Seq, Why: "the columns beside its bytes do not say what its bytes say"}
			}
			if err == nil {
				each(l.Seq, &e)
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
