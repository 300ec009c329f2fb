package sqlite

import (
	"errors"
	"os"
	"path/filepath"

	"brinebell/internal/fail"
)

// reserveName is a file that holds room free for the day on which the disk is full: SQLite needs some to open the
// journal even for reading. It is given up then, and filled again when there is room.
const (
	reserveName = "kitchen.reserve"
	reserveSize = 512 << 10
	roomNeeded  = 64 << 10
)

// explainHere is explain for failures in this folder: on a full disk SQLite often says only that it cannot write.
func (s *Store) explainHere(op string, err error) error {
	err = explain(op, err)
	if fail.KindOf(err) == fail.Storage {
		if away := s.inPlace(); away != nil {
			return away
		}
	}
	if fail.KindOf(err) == fail.Storage && !hasRoom(s.dir) {
		return fail.E(op, fail.Storage, fullSentence, err)
	}
	return err
}

// explainStart is explainHere for a folder that could not be opened.
func (s *Store) explainStart(err error) error {
	const op = "sqlite.Open"
	err = s.explainHere(op, err)
	if fail.Sentence(err) == fullSentence {
		return fail.E(op, fail.Storage, fullStartSentence, err)
	}
	return err
}

// hasRoom tells whether a little can be written in a folder. Of a folder in which nothing can be written for another
// reason it says so too: then the disk is not what is full.
func hasRoom(dir string) bool {
	f, err := os.CreateTemp(dir, ".room-*")
	if err != nil {
		return !isFull(err)
	}
	_, err = f.Write(make([]byte, roomNeeded))
	err = errors.Join(err, f.Sync(), f.Close())
	return errors.Join(err, os.Remove(f.Name())) == nil || !isFull(err)
}

// reserve fills the reserve. Without it a full disk keeps the kitchen from starting, no more.
func (s *Store) reserve() {
	path := filepath.Join(s.dir, reserveName)
	if info, err := os.Stat(path); err == nil && info.Size() == reserveSize {
		return
	}
	if err := WriteWhole(path, make([]byte, reserveSize)); err != nil {
		_ = os.Remove(path) // half a reserve is none
	}
}

// giveUpReserve makes room and reports whether there was a reserve.
func (s *Store) giveUpReserve() bool { return os.Remove(filepath.Join(s.dir, reserveName)) == nil }

// inPlace fails where the data file that is open no longer lies where it was opened: its folder was moved or deleted, its disk was
// unmounted, or another file stands in its place. The system would go on writing to it all the same, and nobody would find what
// is kept there.
func (s *Store) inPlace() error {
	if s.file == nil {
		return nil // opened to be looked at
	}
	path := filepath.Join(s.dir, dataName)
	info, err := os.Stat(path)
	if err == nil && os.SameFile(info, s.file) {
		return nil
	}
	return fail.E("sqlite.inPlace", fail.Storage, "The kitchen's data file is no longer at "+path+": its folder was moved or deleted, its disk was taken out, "+
		"or another file was put there. Nothing new is kept, and the phones go on with their own copies. Put it back where it was, and the server goes on by itself; "+
		"or start the server again with the folder that is to be used.", err)
}

// RoomBeside tells whether the disk of a data folder has room for a second file as large as the journal's and more: what would fill
// the disk of a kitchen to its last byte is not worth making there.
func RoomBeside(dir string) bool {
	size := int64(spare)
	for _, name := range []string{dataName, dataName + "-wal"} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil {
			size += info.Size()
		}
	}
	free, known := freeBytes(dir)
	return !known || free >= uint64(size)
}

// spare is what a kitchen's disk must have left after a backup was made on it.
const spare = 16 << 20
