package sqlite

import (
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"brinebell/internal/chain"
	"brinebell/internal/fail"
)

// Restored says what became of a restore.
type Restored struct {
	Report     chain.Report // the walk along what is there now
	Generation string       // its new name
	Aside      string       // folder that holds what was there before; empty: nothing was
	Devices    int          // devices that the folder knew and the copy did not
}

// Restore puts a copy of a kitchen's data file in the place of a folder's own, under a new generation: so every phone
// brings back what it knows and the copy lacks. The kitchen must be stopped. The copy is checked before anything of the
// folder is touched; what was there is moved aside, whole. Devices, sensors and what was set aside since the copy was made
// are taken over from it if it can be read: who was let in stays in, and who was taken off stays off.
func Restore(dir, file string) (*Restored, error) {
	const op = "sqlite.Restore"
	s := &Store{dir: dir}
	if err := s.take(); err != nil {
		return nil, err
	}
	defer func() { _ = s.closeAll() }()
	made := filepath.Join(dir, "restoring")
	if err := errors.Join(os.RemoveAll(made), os.Mkdir(made, 0o700)); err != nil {
		return nil, explain(op, err)
	}
	r, mark, err := s.restoreInto(made, file)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(made))
	}
	if r.Aside, err = s.moveAside(); err != nil {
		return nil, explain(op, err)
	}
	if err := os.Rename(filepath.Join(made, dataName), filepath.Join(dir, dataName)); err != nil {
		return nil, explain(op, err)
	}
	return r, explain(op, errors.Join(writeMark(dir, mark), os.RemoveAll(made)))
}

// restoreInto makes the file that is to be the kitchen's, beside its place.
func (s *Store) restoreInto(made, file string) (*Restored, Mark, error) {
	const op = "sqlite.Restore"
	if err := copyWhole(file, filepath.Join(made, dataName)); err != nil {
		return nil, Mark{}, err
	}
	copied := &Store{dir: made}
	mark, err := copied.markInside()
	if err != nil {
		return nil, mark, notAKitchen(file, err)
	}
	if own, err := s.ownMark(); err == nil && own.Demo != mark.Demo {
		return nil, mark, mixed(s.dir, own.Demo)
	}
	if copied, err = Open(made, Options{Demo: mark.Demo}); err != nil {
		return nil, mark, err
	}
	defer func() { _ = copied.Close() }()
	r := new(Restored)
	if r.Report, err = copied.Verify(); err != nil {
		return nil, mark, err
	}
	if f := r.Report.First; f != nil {
		return nil, mark, fail.E(op, fail.Damaged, "The file "+file+" is not as it was kept: "+f.Error()+". Nothing was changed. Take an older copy.", f)
	}
	mark.Generation = newGeneration()
	r.Generation = mark.Generation
	if err := copied.changeBook(op, func() error { return setMeta(copied.conn, "mark", mark.json()) }); err != nil {
		return nil, mark, err
	}
	r.Devices = copied.takeOver(s.lastOwn())
	return r, mark, nil
}

// ownMark is what the folder is by now.
func (s *Store) ownMark() (Mark, error) { return readMark(s.dir) }

func notAKitchen(file string, err error) error {
	return fail.E("sqlite.Restore", fail.Invalid, "The file "+file+" is no kitchen's data file, or cannot be read. Nothing was changed.", err)
}

func noRoom(dir string, err error) error {
	return fail.E("sqlite.Restore", fail.Storage, "The disk of "+dir+" is full: it has no room for the copy beside what is there. Nothing was changed. Free some space, then restore again.", err)
}

// copyWhole copies a data file by SQLite's own means: with what stands in the log beside it, and in one state even while
// somebody writes to it.
func copyWhole(from, to string) error {
	if info, err := os.Stat(from); err != nil || info.IsDir() || info.Size() == 0 {
		return notAKitchen(from, err)
	}
	_, err := os.Stat(from + "-wal")
	// Without a log it may lie on a disk that cannot be written to.
	if err := vacuumInto(from, to, err != nil); err != nil {
		if explained := explain("sqlite.Restore", err); fail.Sentence(explained) == fullSentence {
			return noRoom(filepath.Dir(filepath.Dir(to)), err)
		}
		return notAKitchen(from, err)
	}
	return os.Chmod(to, 0o600)
}

// asidePrefix begins the name of the folder that a restore moves into what was there.
const asidePrefix = "before-restore-"

// lastOwn is the data file that the folder had last: its own, or, where a restore was killed half way, the one that it moved aside.
func (s *Store) lastOwn() string {
	own := filepath.Join(s.dir, dataName)
	if !isMissing(own) {
		return own
	}
	aside, _ := filepath.Glob(filepath.Join(globbed(s.dir), asidePrefix+"*", dataName)) // the pattern is good, and what it finds is sorted
	if len(aside) == 0 {
		return own
	}
	return aside[len(aside)-1]
}

// takeOver adds what the file that is there now knows of devices and sensors, and what it has set aside. A file that
// cannot be read gives nothing: then devices join anew with a code.
func (s *Store) takeOver(file string) (devices int) {
	if _, err := os.Stat(file); err != nil {
		return 0
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, err := s.conn.ExecContext(background, "ATTACH ? AS was", address(file, url.Values{"mode": {"ro"}})); err != nil {
		return 0
	}
	_ = s.conn.QueryRowContext(background, "SELECT count(*) FROM was.devices WHERE device NOT IN (SELECT device FROM devices)").Scan(&devices)
	for _, table := range []string{"devices", "sensors"} {
		_, _ = s.conn.ExecContext(background, "INSERT OR REPLACE INTO "+table+" SELECT * FROM was."+table) // one that is not there gives nothing
	}
	_, _ = s.conn.ExecContext(background, "INSERT OR IGNORE INTO set_aside (sum, device, reason, record) SELECT sum, device, reason, record FROM was.set_aside ORDER BY n")
	_, _ = s.conn.ExecContext(background, "DETACH was")
	return devices
}

// moveAside moves the data file and what belongs to it into a folder of its own.
func (s *Store) moveAside() (string, error) {
	aside := filepath.Join(s.dir, asidePrefix+time.Now().UTC().Format("20060102T150405"))
	for n := 2; !isMissing(aside); n++ { // two within a second, or a clock that was set back
		aside = strings.TrimSuffix(aside, "-"+strconv.Itoa(n-1)) + "-" + strconv.Itoa(n)
	}
	moved := ""
	for _, name := range []string{dataName, dataName + "-wal", dataName + "-shm"} { // kitchen.json stays: whoever starts half way is told that the file is gone
		if _, err := os.Stat(filepath.Join(s.dir, name)); errors.Is(err, os.ErrNotExist) {
			continue
		}
		if moved == "" {
			if err := os.Mkdir(aside, 0o700); err != nil {
				return "", err
			}
			moved = aside
		}
		if err := os.Rename(filepath.Join(s.dir, name), filepath.Join(aside, name)); err != nil {
			return moved, err
		}
	}
	return moved, syncDir(s.dir)
}
