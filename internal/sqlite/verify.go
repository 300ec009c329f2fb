package sqlite

import (
	"database/sql"
	"errors"
	"fmt"
	"strconv"

	"brinebell/internal/chain"
	"brinebell/internal/core/entry"
	"brinebell/internal/fail"
)

// Verify walks the whole chain, then the file's own structure. The report's First names the first entry that is off;
// the error says that the file could not be read to its end, or that its structure is damaged.
func (s *Store) Verify() (chain.Report, error) {
	const op = "sqlite.Verify"
	kept, err := s.headOnRecord() // before the walk: what is kept meanwhile is no fault
	if err != nil {
		return chain.Report{}, err
	}
	report, err := chain.Verify(s.links())
	if err != nil {
		return report, explain(op, err)
	}
	if report.First == nil {
		if report.First, err = s.columns(); err != nil {
			return report, explain(op, err)
		}
	}
	if err := atLeast(report, kept); err != nil {
		return report, err
	}
	var verdict string
	if err := s.read.QueryRowContext(background, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return report, explain(op, err)
	}
	if verdict != "ok" {
		return report, fail.E(op, fail.Damaged, damagedSentence, errors.New(verdict))
	}
	return report, nil
}

// columns finds an entry whose place columns do not say what its record says: it would be folded in the wrong place.
func (s *Store) columns() (*chain.Fault, error) {
	rows, err := s.read.QueryContext(background, "SELECT seq, id, at, count, device, record FROM entries ORDER BY seq")
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		var seq uint64
		var id, record []byte
		var e entry.Entry
		if err := rows.Scan(&seq, &id, &e.At.At, &e.At.Count, &e.At.Device, &record); err != nil {
			return nil, err
		}
		copy(e.ID[:], id)
		got, err := entry.ReadRecord(record)
		if err != nil || got.ID != e.ID || got.At != e.At {
			return &chain.Fault{Seq: seq, Why: "the columns beside its bytes do not say what its bytes say"}, nil
		}
	}
	return nil, rows.Err()
}

// headOnRecord is the number of the last entry that was ever kept, as it stands beside the entries.
func (s *Store) headOnRecord() (uint64, error) {
	const op = "sqlite.Verify"
	if err := s.inPlace(); err != nil {
		return 0, err
	}
	var value []byte
	err := s.read.QueryRowContext(background, "SELECT value FROM meta WHERE name = 'head'").Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil // no entry was ever kept
	}
	if err != nil {
		return 0, explain(op, err)
	}
	seq, err := strconv.ParseUint(string(value), 10, 64)
	if err != nil {
		return 0, fail.E(op, fail.Damaged, damagedSentence, err)
	}
	return seq, nil
}

// atLeast compares with the head on record: entries that were cut off at the end leave a whole, shorter chain.
func atLeast(r chain.Report, kept uint64) error {
	if r.Entries < kept {
		return fail.E("sqlite.Verify", fail.Damaged, fmt.Sprintf(
			"The journal ends at entry %d, but entry %d was kept before: entries were cut off at its end.", r.Entries, kept), nil)
	}
	return nil
}
