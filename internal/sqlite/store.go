// Package sqlite keeps a kitchen's journal, devices and checkpoints in one SQLite file. It knows no rules and opens no
// entry's body.
//
// The data folder holds:
//
//	kitchen.db         the journal (SQLite, write-ahead log, every commit synced to disk)
//	kitchen.json       what the folder is: {"format":1,"demo":false,"generation":"...","head":412}
//	backups            a copy of each of the last days, if the server was told of no other folder
//	before-restore-*   what a restore found in its place
//	kitchen.lock       held by the one process that has the folder open
//	kitchen.reserve    room that is given up when the disk is full, so that the journal opens all the same
//
// One connection writes; others only read. A new file is made beside its place and renamed into it when it is whole, so
// that an empty kitchen.db always means that something was lost, never that a kitchen is new.
package sqlite

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver

	"brinebell/internal/chain"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
)

// Names of files in the data folder.
const (
	dataName = "kitchen.db"
	markName = "kitchen.json"
	lockName = "kitchen.lock"
)

var _ journal.Keeper = (*Store)(nil)

// Options say how to open a data folder.
type Options struct {
	Demo     bool // the folder of a demo kitchen, never to be mixed with a real one
	ReadOnly bool // only look, beside a running server: nothing is written, the lock is not taken
	PagesMax int  // at most so many pages of 4 KiB in the file; 0: as SQLite has it. Tests fill a disk with it.
}

// Store is an open data folder.
type Store struct {
	dir    string
	mark   Mark
	lock   *os.File
	read   *sql.DB
	write  *sql.DB
	file   os.FileInfo // the data file that write is open on
	mu     sync.Mutex  // holds the writer
	conn   *sql.Conn
	insert *sql.Stmt
	seq    uint64
	head   chain.Hash
	notes  notes
	still  bool // nobody writes to the file, and nothing can be written beside it
	tight  bool // the disk was full at the start
	older  bool // the file is an older copy of the one that was here
}

var errHeld = errors.New("held by another process")

// background is what statements run under: nothing in the store is given up half way.
var background = context.Background()

// Open opens the data folder, making it and its files if they were never there.
func Open(dir string, o Options) (*Store, error) {
	s := &Store{dir: dir}
	err := s.open(o)
	if fail.KindOf(err) == fail.Storage {
		again := &Store{dir: dir}
		// A card whose slider is down can be looked at, unless a log lies there that would have to be read with the file.
		again.still = o.ReadOnly && isMissing(filepath.Join(dir, dataName+"-wal"))
		again.tight = !o.ReadOnly && s.giveUpReserve()
		if again.still || again.tight {
			_ = s.closeAll()
			s = again
			err = s.open(o)
		}
	}
	if err != nil {
		_ = s.closeAll() // what failed is told already
		return nil, s.explainStart(err)
	}
	if !o.ReadOnly {
		s.reserve()
	}
	return s, nil
}

func (s *Store) open(o Options) error {
	const op = "sqlite.Open"
	if !o.ReadOnly {
		if err := s.take(); err != nil {
			return err
		}
	}
	if err := s.settle(o); err != nil {
		return err
	}
	var err error
	if s.read, err = sql.Open("sqlite", s.dsn("query_only(1)")); err != nil {
		return explain(op, err)
	}
	s.read.SetMaxOpenConns(3)
	if o.ReadOnly {
		return explain(op, s.loadAll(s.read))
	}
	return s.openWriter(o)
}

func (s *Store) openWriter(o Options) error {
	const op = "sqlite.Open"
	log, err := os.Stat(filepath.Join(s.dir, dataName+"-wal"))
	killed := err == nil && log.Size() > 0
	db, err := sql.Open("sqlite", s.dsn("synchronous(FULL)"))
	if err != nil {
		return explain(op, err)
	}
	db.SetMaxOpenConns(1)
	s.write = db
	if s.file, err = os.Stat(filepath.Join(s.dir, dataName)); err != nil {
		return explain(op, err)
	}
	if err := migrate(background, db); err != nil {
		return err
	}
	if o.PagesMax > 0 {
		if _, err := db.Exec("PRAGMA max_page_count = " + strconv.Itoa(o.PagesMax)); err != nil {
			return explain(op, err)
		}
	}
	if killed {
		if err := s.sound(); err != nil {
			return err
		}
	}
	return s.prepare()
}

// sound fails where the file's structure is damaged. It is asked after a process that did not end by itself: what its log holds was put
// into the file just now, and if that is another file than it was (an older copy that somebody put there by hand), what comes out is no
// journal.
func (s *Store) sound() error {
	const op = "sqlite.Open"
	var verdict string
	if err := s.read.QueryRow("PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return explain(op, err)
	}
	if verdict != "ok" {
		return fail.E(op, fail.Damaged, damagedSentence, errors.New(verdict))
	}
	return nil
}

func isMissing(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, os.ErrNotExist)
}

// prepare takes the writing connection and its statements, and reads where the chain stands.
func (s *Store) prepare() error {
	const op = "sqlite.prepare"
	conn, err := s.write.Conn(background)
	if err != nil {
		return explain(op, err)
	}
	insert, err := conn.PrepareContext(background,
		"INSERT INTO entries (seq, id, at, count, device, record, hash) VALUES (?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return errors.Join(explain(op, err), conn.Close())
	}
	s.conn, s.insert = conn, insert
	if err := s.loadAll(conn); err != nil {
		return explain(op, err)
	}
	return s.seeOlder()
}

// seeOlder gives the journal a new generation where kitchen.json knows of more entries than it has: somebody put an older
// copy of the file in its place. The phones bring back what it lacks then.
func (s *Store) seeOlder() error {
	const op = "sqlite.Open"
	known, err := readMark(s.dir)
	if err != nil || known.Generation != s.mark.Generation || known.Head <= s.seq {
		return nil // without a kitchen.json there is nothing to compare with
	}
	mark := s.mark
	mark.Generation = newGeneration()
	if err := explain(op, s.inTransaction(func() error { return setMeta(s.conn, "mark", mark.json()) })); err != nil {
		return err
	}
	s.mark, s.older = mark, true
	return explain(op, writeMark(s.dir, mark))
}

type rower interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func (s *Store) loadHead(db rower) error {
	s.seq, s.head = 0, chain.Hash{}
	var hash []byte
	err := db.QueryRowContext(background, "SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1").Scan(&s.seq, &hash)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	copy(s.head[:], hash)
	return err
}

func (s *Store) loadAll(db rower) error {
	if err := s.loadHead(db); err != nil {
		return err
	}
	if err := s.loadMark(db); err != nil {
		return err
	}
	return s.loadNotes(db)
}

// dsn names the file and what each connection sets on it.
func (s *Store) dsn(pragma string) string {
	if s.still {
		return address(filepath.Join(s.dir, dataName), url.Values{"mode": {"ro"}, "immutable": {"1"}})
	}
	q := url.Values{"_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "journal_size_limit(16777216)", pragma}, "_txlock": {"immediate"}}
	return address(filepath.Join(s.dir, dataName), q)
}

// take makes the folder and holds its lock.
func (s *Store) take() error {
	const op = "sqlite.Open"
	if err := makeFolder(s.dir); err != nil {
		return fail.E(op, fail.Storage, readOnlySentence, err)
	}
	f, err := grab(filepath.Join(s.dir, lockName))
	if errors.Is(err, errHeld) {
		return fail.E(op, fail.Busy, "A kitchen is already being served from "+s.dir+". Stop it first, or name another folder with --data.", err)
	}
	if err != nil {
		return fail.E(op, fail.Storage, readOnlySentence, err)
	}
	s.lock = f
	sweep(s.dir)
	return nil
}

// sweep clears away the halves of files that a process which was killed was writing: whoever has the lock writes here alone.
func sweep(dir string) {
	for _, half := range []string{".part-*", ".room-*"} {
		left, _ := filepath.Glob(filepath.Join(globbed(dir), half)) // the pattern is good
		for _, name := range left {
			_ = os.Remove(name) // it is in nobody's way
		}
	}
}

// settle makes sure that the folder is what it should be: new, or whole and of the right sort.
func (s *Store) settle(o Options) error {
	const op = "sqlite.Open"
	mark, err := readMark(s.dir)
	known := err == nil
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	info, err := os.Stat(filepath.Join(s.dir, dataName))
	switch {
	case errors.Is(err, os.ErrNotExist) && (known || o.ReadOnly):
		return gone(s.dir, known)
	case errors.Is(err, os.ErrNotExist):
		return s.create(o)
	case err != nil:
		return explain(op, err)
	case info.Size() == 0:
		return fail.E(op, fail.Damaged, "The kitchen's data file "+filepath.Join(s.dir, dataName)+
			" has 0 bytes: its content was lost outside of Brinebell. Nothing was changed or deleted. Put back a backup, or name another folder with --data and let the phones send what they hold.", nil)
	}
	if !known {
		if mark, err = s.markInside(); err != nil {
			return err
		}
	}
	if !o.ReadOnly && mark.Demo != o.Demo {
		return mixed(s.dir, mark.Demo)
	}
	s.mark = mark
	return nil
}

func gone(dir string, known bool) error {
	if !known {
		return fail.E("sqlite.Open", fail.Missing, "There is no kitchen in "+dir+". Name its folder with --data, or start one with: brinebell serve", nil)
	}
	return fail.E("sqlite.Open", fail.Damaged, "The folder "+dir+" held a kitchen, but its data file kitchen.db is gone. "+
		"Nothing was changed. Put the file back from a backup, or name another folder with --data and let the phones send what they hold.", nil)
}

func mixed(dir string, demo bool) error {
	if demo {
		return fail.E("sqlite.Open", fail.Refused, "The folder "+dir+" holds the demo kitchen. A real kitchen does not start on it: name another folder with --data, or add --demo.", nil)
	}
	return fail.E("sqlite.Open", fail.Refused, "The folder "+dir+" holds a real kitchen. The demo does not start on it: name another folder with --data, or leave out --demo.", nil)
}

// create makes a whole new file beside its place, then puts it there.
func (s *Store) create(o Options) error {
	const op = "sqlite.create"
	made := filepath.Join(s.dir, "new")
	if err := os.RemoveAll(made); err != nil {
		return explain(op, err)
	}
	if err := os.Mkdir(made, 0o700); err != nil {
		return explain(op, err)
	}
	mark := Mark{Format: markFormat, Demo: o.Demo, Generation: newGeneration()}
	if err := fill(made, mark); err != nil {
		return explain(op, err)
	}
	if err := os.Rename(filepath.Join(made, dataName), filepath.Join(s.dir, dataName)); err != nil {
		return explain(op, err)
	}
	if err := os.RemoveAll(made); err != nil {
		return explain(op, err)
	}
	s.mark = mark
	return explain(op, writeMark(s.dir, mark))
}

func fill(dir string, mark Mark) error {
	beside := Store{dir: dir}
	// The file holds what lets devices in; made like this, its log inherits that nobody else may read it.
	f, err := os.OpenFile(filepath.Join(dir, dataName), os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
	if err == nil {
		err = f.Close()
	}
	if err != nil {
		return err
	}
	db, err := sql.Open("sqlite", beside.dsn("synchronous(FULL)"))
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	err = migrate(background, db)
	if err == nil {
		_, err = db.Exec("INSERT INTO meta (name, value) VALUES ('mark', ?)", mark.json())
	}
	if err == nil {
		_, err = db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	}
	return errors.Join(err, db.Close())
}

// newGeneration names a new journal by a UUIDv7.
func newGeneration() string {
	var chance [10]byte
	_, _ = rand.Read(chance[:]) // never fails: documented by crypto/rand
	return entry.NewID(stamp.Milli(time.Now().UnixMilli()), chance).String()
}

// Generation names this journal: it changes when a folder is begun anew, so that phones notice.
func (s *Store) Generation() string { return s.mark.Generation }

// Demo tells whether this is the folder of a demo kitchen.
func (s *Store) Demo() bool { return s.mark.Demo }

// Tight tells whether the disk was full when the folder was opened, so that the room held free for that was given up.
func (s *Store) Tight() bool { return s.tight }

// Older tells whether the data file is an older copy of the one that was here before, and got a new generation for it.
func (s *Store) Older() bool { return s.older }

// Dir is the data folder.
func (s *Store) Dir() string { return s.dir }

// Close lets go of the folder. Everything kept stays.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn != nil {
		// With an empty log the file alone is the whole kitchen, which is what people copy.
		_, _ = s.conn.ExecContext(background, "PRAGMA wal_checkpoint(TRUNCATE)")
		mark := s.mark
		mark.Head = s.seq
		_ = writeMark(s.dir, mark) // a witness; the file itself is what counts
	}
	return s.closeAll()
}

func (s *Store) closeAll() error {
	var errs []error
	if s.insert != nil {
		errs = append(errs, s.insert.Close())
	}
	if s.conn != nil {
		errs = append(errs, s.conn.Close())
	}
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	s.insert, s.conn, s.lock = nil, nil, nil // the others answer that they are closed
	return errors.Join(errs...)
}
