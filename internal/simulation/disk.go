package simulation

import (
	"os"
	"path/filepath"
	"strconv"

	"brinebell/internal/core/journal"
	"brinebell/internal/sqlite"
)

// disk is a server's data folder with the real store in it. A power cut leaves what the files hold at that moment.
type disk struct {
	root  string
	n     int // folders so far: each power cut begins another
	store *sqlite.Store
}

func (d *disk) folder() string { return filepath.Join(d.root, strconv.Itoa(d.n)) }

// open opens what is in the folder, or begins anew.
func (d *disk) open() (err error) {
	d.store, err = sqlite.Open(d.folder(), sqlite.Options{})
	return err
}

// cut takes the files as they are while the store has them open, which no graceful stop has put in order, and goes on
// with those.
func (d *disk) cut() error {
	old, from := d.store, d.folder()
	d.n++
	if err := os.MkdirAll(d.folder(), 0o700); err != nil {
		return err
	}
	for _, name := range []string{"kitchen.db", "kitchen.db-wal", "kitchen.json"} {
		bytes, err := os.ReadFile(filepath.Join(from, name))
		if os.IsNotExist(err) {
			continue
		}
		if err == nil {
			err = os.WriteFile(filepath.Join(d.folder(), name), bytes, 0o600)
		}
		if err != nil {
			return err
		}
	}
	if err := old.Close(); err != nil {
		return err
	}
	if err := os.RemoveAll(from); err != nil {
		return err
	}
	return d.open()
}

// lose begins an empty folder.
func (d *disk) lose() error {
	if err := d.store.Close(); err != nil {
		return err
	}
	if err := os.RemoveAll(d.folder()); err != nil {
		return err
	}
	d.n++
	return d.open()
}

// openStore gives the server its first store.
func (s *server) openStore() {
	generation := s.k.generation() // on a disk too, so that the same seed gives the same run
	if s.k.opt.Folder == "" {
		s.keeper = NewMemory(generation)
		return
	}
	s.disk = &disk{root: s.k.opt.Folder}
	s.onDisk(s.disk.open)
}

// onDisk does something with the folder and takes over the store that is open then.
func (s *server) onDisk(do func() error) {
	if err := do(); err != nil {
		s.k.fail("the data folder: %v", err)
		return
	}
	s.keeper = s.disk.store
}

// Close lets go of the data folder, if there is one.
func (k *Kitchen) Close() error {
	if d := k.server.disk; d != nil {
		return d.store.Close()
	}
	return nil
}

// verify has the store check its chain and its file.
func (k *Kitchen) verify() {
	d := k.server.disk
	if d == nil {
		return
	}
	report, err := d.store.Verify()
	head, _ := d.store.Head()
	if err != nil || report.First != nil || report.Entries != head {
		k.fail("the store does not verify: %v, %+v of %d entries", err, report, head)
	}
}

// entries returns what a keeper has kept, by number.
func entries(keeper journal.Keeper) (list []journal.Numbered, err error) {
	for n, err := range keeper.Since(0) {
		if err != nil {
			return nil, err
		}
		list = append(list, n)
	}
	return list, nil
}
