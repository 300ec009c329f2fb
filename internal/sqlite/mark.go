package sqlite

import (
	"database/sql"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"

	"brinebell/internal/fail"
)

const markFormat = 1

// Mark says what a data folder is.
type Mark struct {
	Format     int    `json:"format"`
	Demo       bool   `json:"demo"`
	Generation string `json:"generation"`
	Head       uint64 `json:"head,omitempty"` // of kitchen.json alone: the last entry when the folder was last closed
}

func (m Mark) json() []byte {
	b, _ := json.Marshal(m) // of these fields it cannot fail
	return b
}

// ReadMark says what a data folder is. The failure is Missing if it holds no kitchen.
func ReadMark(dir string) (Mark, error) {
	m, err := readMark(dir)
	if errors.Is(err, os.ErrNotExist) {
		return m, gone(dir, false)
	}
	m.Head = 0 // it says nothing of what the folder is
	return m, err
}

func readMark(dir string) (Mark, error) {
	const op = "sqlite.readMark"
	var m Mark
	b, err := os.ReadFile(filepath.Join(dir, markName))
	if err != nil {
		return m, err
	}
	if json.Unmarshal(b, &m) != nil || m.Format < 1 || m.Generation == "" {
		return m, fail.E(op, fail.Damaged, "The file "+filepath.Join(dir, markName)+" cannot be read. Move it away; it is made again from the kitchen's data file.", nil)
	}
	if m.Format > markFormat {
		return m, fail.E(op, fail.Newer, "The data folder was made by a newer Brinebell. Start the newer version. Nothing was changed.", nil)
	}
	return m, nil
}

func writeMark(dir string, m Mark) error { return WriteWhole(filepath.Join(dir, markName), m.json()) }

// WriteWhole writes a file so that after a power cut there is the old one or the new one, never half of it.
func WriteWhole(path string, b []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return syncDir(filepath.Dir(path))
}

// makeFolder makes a folder and those above it that are missing, so that all of them survive a power cut.
func makeFolder(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	above := filepath.Dir(dir)
	if above != dir {
		if err := makeFolder(above); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return syncDir(above)
}

// syncDir makes a rename survive a power cut, where the system knows how.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync() // refused for folders on some systems, which then need none
	return d.Close()
}

// loadMark takes the mark from the data file itself: it changes together with the entries, kitchen.json only after.
func (s *Store) loadMark(db rower) error {
	var b []byte
	if err := db.QueryRowContext(background, "SELECT value FROM meta WHERE name = 'mark'").Scan(&b); err != nil {
		return err
	}
	if json.Unmarshal(b, &s.mark) != nil {
		return fail.E("sqlite.loadMark", fail.Damaged, damagedSentence, nil)
	}
	return nil
}

// markInside reads the mark that the data file itself carries, for a folder whose kitchen.json is lost, and writes it
// out again.
func (s *Store) markInside() (Mark, error) {
	const op = "sqlite.markInside"
	db, err := sql.Open("sqlite", s.dsn("query_only(1)"))
	if err != nil {
		return Mark{}, explain(op, err)
	}
	var b []byte
	err = errors.Join(db.QueryRow("SELECT value FROM meta WHERE name = 'mark'").Scan(&b), db.Close())
	if err != nil {
		return Mark{}, explain(op, err)
	}
	var m Mark
	if json.Unmarshal(b, &m) != nil {
		return Mark{}, fail.E(op, fail.Damaged, damagedSentence, nil)
	}
	if s.lock == nil {
		return m, nil
	}
	return m, explain(op, writeMark(s.dir, m))
}
