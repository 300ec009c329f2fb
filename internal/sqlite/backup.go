package sqlite

import (
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"brinebell/internal/chain"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
)

// Copied says what a backup holds.
type Copied struct {
	File   string
	Bytes  int64
	Report chain.Report // the walk along the copy, read back from the disk
}

// Backup writes a copy of a folder's journal, beside the server that serves it or of a stopped kitchen, to a file that is not
// there yet. The copy is of one instant, whatever is kept meanwhile. It gets its name only once all of it is on the disk,
// was read back and is as Verify wants it: under its name there is a whole backup or none.
func Backup(dir, file string) (*Copied, error) {
	const op = "sqlite.Backup"
	s, err := Open(dir, Options{ReadOnly: true}) // says what is wrong with the folder, if anything is
	if err != nil {
		return nil, err
	}
	defer func() { _ = s.Close() }() // only read
	if _, err := os.Lstat(file); err == nil {
		return nil, fail.E(op, fail.Refused, "There is a file "+file+" already, and a backup is never written over another one. Name another file.", nil)
	}
	sweepBackups(filepath.Dir(file))
	made, err := os.MkdirTemp(filepath.Dir(file), ".backup-*")
	if err != nil {
		return nil, intoFolder(op, filepath.Dir(file), err)
	}
	c, err := s.backupInto(made, file)
	if gone := os.RemoveAll(made); err == nil {
		err = gone
	}
	if err != nil {
		return nil, intoFolder(op, filepath.Dir(file), err)
	}
	return c, explain(op, syncDir(filepath.Dir(file)))
}

func (s *Store) backupInto(made, file string) (*Copied, error) {
	const op = "sqlite.Backup"
	copied := filepath.Join(made, dataName)
	if err := vacuumInto(filepath.Join(s.dir, dataName), copied, s.still); err != nil {
		return nil, err
	}
	c := &Copied{File: file}
	var err error
	if c.Bytes, err = settleFile(copied); err != nil {
		return nil, err
	}
	at, err := openCopy(copied)
	if err != nil {
		return nil, err
	}
	c.Report, err = at.Verify()
	if err = errors.Join(err, at.Close()); err != nil {
		return nil, err
	}
	if f := c.Report.First; f != nil {
		return nil, fail.E(op, fail.Damaged, "The journal is not as it was kept: "+f.Error()+
			". So no backup was made of it. Keep the older ones, look with brinebell verify, and take the newest backup that is whole.", f)
	}
	if err := os.Rename(copied, file); err != nil {
		return nil, err
	}
	return c, nil
}

// abandoned is the age at which what stands for a backup in the making belongs to a process that was killed.
const abandoned = time.Hour

// sweepBackups clears away what a process that was killed had made of a backup, which nobody else will.
func sweepBackups(folder string) {
	left, _ := filepath.Glob(filepath.Join(globbed(folder), ".backup-*")) // the pattern is good
	for _, made := range left {
		info, err := os.Stat(made)
		if at, inside := os.Stat(filepath.Join(made, dataName)); inside == nil {
			info = at
		}
		if err == nil && time.Since(info.ModTime()) > abandoned {
			_ = os.RemoveAll(made) // it is in nobody's way
		}
	}
}

// globbed is a folder's name as it stands in a pattern.
func globbed(folder string) string {
	if filepath.Separator == '\\' {
		return folder // there a backslash parts names, and the signs of a pattern do not stand in them
	}
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(folder)
}

// settleFile has a file on the disk for good, for its owner alone, and returns its size.
func settleFile(path string) (int64, error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return 0, err
	}
	info, err := f.Stat()
	if err = errors.Join(err, f.Chmod(0o600), f.Sync(), f.Close()); err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// intoFolder explains what failed in the folder of a backup, which is seldom the kitchen's own disk.
func intoFolder(op, folder string, err error) error {
	if _, ok := errors.AsType[*fail.Error](explain(op, err)); ok && fail.KindOf(err) == fail.Damaged {
		return err
	}
	switch {
	case fail.Sentence(explain(op, err)) == fullSentence || !hasRoom(folder): // what was written of it is gone again by now
		return fail.E(op, fail.Storage, "The disk of "+folder+" is full, so no backup was made there. The kitchen goes on. Free some space, or name another folder.", err)
	case errors.Is(err, os.ErrNotExist):
		return fail.E(op, fail.Storage, "The folder "+folder+" is not there, so no backup was made. Is its disk plugged in? Name a folder that is there.", err)
	}
	return fail.E(op, fail.Storage, "No backup could be written into "+folder+". Give this user the right to write there, or name another folder.", err)
}

// vacuumInto has SQLite write a whole copy of a file, with what stands in its log, as of one instant. still says that nobody
// writes to it, so that it can be read where nothing can be written.
func vacuumInto(from, to string, still bool) error {
	q := url.Values{"mode": {"ro"}, "_pragma": {"busy_timeout(10000)"}}
	if still {
		q.Set("immutable", "1")
	}
	db, err := sql.Open("sqlite", address(from, q))
	if err != nil {
		return err
	}
	_, err = db.Exec("VACUUM INTO ?", to)
	return errors.Join(err, db.Close())
}

// openCopy opens a copy that nobody writes to, to look at it and leave no trace beside it.
func openCopy(file string) (*Store, error) {
	const op = "sqlite.openCopy"
	q := url.Values{"mode": {"ro"}}
	if _, err := os.Stat(file + "-wal"); err != nil {
		q.Set("immutable", "1")
	}
	db, err := sql.Open("sqlite", address(file, q))
	if err != nil {
		return nil, explain(op, err)
	}
	s := &Store{dir: filepath.Dir(file), read: db}
	if err := s.loadAll(db); err != nil {
		return nil, errors.Join(notAKitchen(file, err), db.Close())
	}
	return s, nil
}

// Anchored is what a journal says of a witness of its past that was kept elsewhere.
type Anchored struct {
	Seq   uint64      // the last entry that the witness knows; 0: the journal knows nothing of the witness
	Split uint64      // the first entry that is not here as the witness knows it; 0: all are
	At    stamp.Milli // when that entry was made, as the witness has it
	Other bool        // the journal has another generation than the witness: it was restored since, or is another kitchen's
}

// Against holds the journal against a backup of it: whoever changes an entry and hashes all that follow anew makes a chain that
// is whole, but it is another one from that entry on.
func (s *Store) Against(file string) (Anchored, error) {
	const op = "sqlite.Against"
	w, err := openCopy(file)
	if err != nil {
		return Anchored{}, err
	}
	defer func() { _ = w.Close() }() // only read
	a := Anchored{Seq: w.seq, Other: w.mark.Generation != s.mark.Generation}
	same, first := uint64(0), w.seq+1 // the last number known to be the same, and the first known not to be
	for probe := w.seq; same+1 < first; probe = same + (first-same)/2 {
		alike, err := sameLink(s.read, w.read, probe)
		if err != nil {
			return a, explain(op, err)
		}
		if alike {
			same = probe
		} else {
			first = probe
		}
	}
	if first > w.seq {
		return a, nil
	}
	a.Split = first
	var record []byte
	if err := w.read.QueryRow("SELECT record FROM entries WHERE seq = ?", int64(first)).Scan(&record); err != nil {
		return a, explain(op, err)
	}
	if e, err := entry.ReadRecord(record); err == nil {
		a.At = e.At.At
	}
	return a, nil
}

// sameLink tells whether two journals have the same hash under a number, and so the same entries up to there.
func sameLink(a, b *sql.DB, seq uint64) (bool, error) {
	var hashes [2]string
	for i, db := range []*sql.DB{a, b} {
		err := db.QueryRow("SELECT hash FROM entries WHERE seq = ?", int64(seq)).Scan(&hashes[i])
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return false, err
		}
	}
	return hashes[0] != "" && hashes[0] == hashes[1], nil
}

// Numbered returns the number of the entry whose hash begins so, 0 if none has such a hash: what a print says at its foot.
func (s *Store) Numbered(begins string) (uint64, error) {
	var seq uint64
	err := s.read.QueryRow("SELECT seq FROM entries WHERE substr(lower(hex(hash)), 1, length(?1)) = lower(?1) ORDER BY seq LIMIT 1", begins).Scan(&seq)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return seq, explain("sqlite.Numbered", err)
}

// Latest is the latest time at which an entry was made, 0 in an empty journal.
func (s *Store) Latest() (stamp.Milli, error) {
	const op = "sqlite.Latest"
	if err := s.inPlace(); err != nil {
		return 0, err
	}
	var at stamp.Milli
	err := s.read.QueryRow("SELECT at FROM entries ORDER BY at DESC LIMIT 1").Scan(&at)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return at, explain(op, err)
}

// address is the URI of a file, whatever signs its name has.
func address(file string, q url.Values) string {
	return "file:" + url.PathEscape(filepath.ToSlash(file)) + "?" + q.Encode()
}
