package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"strconv"

	"brinebell/internal/chain"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
)

// Keep implements journal.Keeper: one transaction, synced to disk before it returns.
func (s *Store) Keep(c *journal.Change) error {
	const op = "sqlite.Keep"
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn == nil {
		return explain(op, sql.ErrConnDone)
	}
	seq, head := s.seq, s.head
	err := s.inTransaction(func() error { return s.change(c) })
	if err == nil {
		return nil
	}
	s.seq, s.head = seq, head
	if errors.Is(err, journal.ErrNumber) {
		return err
	}
	return s.explainHere(op, err)
}

// inTransaction does f in a transaction of the writing connection.
func (s *Store) inTransaction(f func() error) error {
	if _, err := s.conn.ExecContext(background, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	err := f()
	if err == nil {
		err = s.inPlace() // else it would be kept in a file that nobody finds again
	}
	if err == nil {
		_, err = s.conn.ExecContext(background, "COMMIT")
	}
	if err == nil {
		return nil
	}
	// After some failures SQLite has rolled back by itself; then this one says so, and nothing else is to be done.
	_, _ = s.conn.ExecContext(background, "ROLLBACK")
	return err
}

func (s *Store) change(c *journal.Change) error {
	for i := range c.Keep {
		if err := s.keepEntry(&c.Keep[i]); err != nil {
			return err
		}
	}
	if len(c.Keep) > 0 {
		if err := setMeta(s.conn, "head", strconv.AppendUint(nil, s.seq, 10)); err != nil {
			return err
		}
	}
	for i := range c.Aside {
		if err := s.keepAside(&c.Aside[i]); err != nil {
			return err
		}
	}
	if c.Void != nil {
		if err := s.void(c.Void); err != nil {
			return err
		}
	}
	if c.Base != nil {
		if err := s.keepBase(c.Base); err != nil {
			return err
		}
	}
	if c.Memory != nil {
		return setMeta(s.conn, "memory", c.Memory)
	}
	return nil
}

func (s *Store) keepEntry(n *journal.Numbered) error {
	e, err := entry.ReadRecord(n.Record)
	if err != nil {
		return err
	}
	if n.Seq != s.seq+1 {
		return s.alreadyKept(n, &e)
	}
	hash := chain.Next(s.head, n.Record)
	_, err = s.insert.ExecContext(background, int64(n.Seq), e.ID[:], int64(e.At.At), int64(e.At.Count), e.At.Device, n.Record, hash[:])
	if isTaken(err) {
		return journal.ErrNumber // this id is kept under another number
	}
	if err != nil {
		return err
	}
	s.seq, s.head = n.Seq, hash
	return s.indexReadings(&e)
}

// alreadyKept is nil if the entry stands in the journal under that very number.
func (s *Store) alreadyKept(n *journal.Numbered, e *entry.Entry) error {
	var id []byte
	err := s.conn.QueryRowContext(background, "SELECT id FROM entries WHERE seq = ?", int64(n.Seq)).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) || err == nil && string(id) != string(e.ID[:]) {
		return journal.ErrNumber
	}
	return err
}

func (s *Store) keepAside(a *journal.Aside) error {
	sum := sha256.Sum256(a.Record)
	_, err := s.conn.ExecContext(background,
		"INSERT INTO set_aside (sum, device, reason, record) VALUES (?, ?, ?, ?) ON CONFLICT (sum) DO NOTHING",
		sum[:], a.Device, a.Reason, blob(a.Record))
	return err
}

func (s *Store) void(p *journal.Place) error {
	_, err := s.conn.ExecContext(background,
		"DELETE FROM checkpoints WHERE (at, count, device, id) >= (?, ?, ?, ?)", place(p)...)
	return err
}

func (s *Store) keepBase(b *journal.Base) error {
	sum := sha256.Sum256(b.State)
	_, err := s.conn.ExecContext(background,
		"INSERT INTO checkpoints (at, count, device, id, state, sum) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET state = excluded.state, sum = excluded.sum",
		append(place(&b.Last), blob(b.State), sum[:])...)
	if err != nil {
		return err
	}
	return s.thin()
}

// checkpointsDense is how many of the newest checkpoints are all kept. Of older ones each is kept only if it lies half
// as far again behind the newest as the one kept before it, so that a late entry of any age finds one not far before it
// and a year needs a few dozen. The oldest always stays: a journal may have begun from it.
//
// Beside these the last of each day stays for five weeks, and the last of each week for a year and a month: what the kitchen
// was at an instant is then folded from less than a day before it, or a week. That is some 35 MB of a year.
const (
	checkpointsDense = 4
	daily            = 35 * day
	weekly           = 400 * day
	day              = 24 * 60 * 60 * 1000 // ms
)

func (s *Store) thin() error {
	rows, err := s.conn.QueryContext(background, "SELECT rowid, at FROM checkpoints ORDER BY at DESC, count DESC, device DESC, id DESC")
	if err != nil {
		return err
	}
	var list []stored
	for rows.Next() {
		var c stored
		if err := rows.Scan(&c.row, &c.at); err != nil {
			return errors.Join(err, rows.Close())
		}
		list = append(list, c)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	for _, row := range superfluous(list) {
		if _, err := s.conn.ExecContext(background, "DELETE FROM checkpoints WHERE rowid = ?", row); err != nil {
			return err
		}
	}
	return nil
}

// stored is a checkpoint's row and the time at which it ends.
type stored struct{ row, at int64 }

// superfluous returns the rows that may go, of a list of all checkpoints, newest first.
func superfluous(list []stored) []int64 {
	var drop []int64
	for i, kept := 0, 0; i < len(list); i++ {
		far, before := list[0].at-list[i].at, list[0].at-list[kept].at
		if i >= checkpointsDense && i < len(list)-1 && far*2 < before*3 && !lastOf(list, i, far) {
			drop = append(drop, list[i].row)
			continue
		}
		kept = i
	}
	return drop
}

// lastOf tells whether the checkpoint at i is the last of its day, or week, and that is worth keeping.
func lastOf(list []stored, i int, far int64) bool {
	is := func(span int64) bool { return list[i].at/span != list[i-1].at/span }
	return far < daily && is(day) || far < weekly && is(7*day)
}

// place lists the columns of a place in the canonical order.
func place(p *journal.Place) []any {
	return []any{int64(p.At.At), int64(p.At.Count), p.At.Device, p.ID[:]}
}

// blob makes sure that no bytes are stored as no bytes, not as NULL.
func blob(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}

type execer interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

func setMeta(db execer, name string, value []byte) error {
	_, err := db.ExecContext(background,
		"INSERT INTO meta (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value", name, blob(value))
	return err
}

// Probe writes a little and syncs it, to see whether the disk takes entries again.
func (s *Store) Probe() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn == nil {
		return explain("sqlite.Probe", sql.ErrConnDone)
	}
	// More than an entry needs, so that a disk with a single free page does not count as mended.
	const room = 64 << 10
	err := s.inTransaction(func() error {
		if err := setMeta(s.conn, "probe", make([]byte, room)); err != nil {
			return err
		}
		return setMeta(s.conn, "probe", nil)
	})
	if err == nil {
		s.reserve()
	}
	return s.explainHere("sqlite.Probe", err)
}

// Refresh reads anew where the chain stands, after a Keep that failed: whether a failed commit reached the disk is only
// known by looking.
func (s *Store) Refresh() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn == nil {
		return explain("sqlite.Refresh", sql.ErrConnDone)
	}
	return explain("sqlite.Refresh", s.loadHead(s.conn))
}
