package sqlite

import (
	"errors"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"brinebell/internal/fail"
)

// Sentences for what a disk can do to a kitchen.
const (
	fullSentence = "The disk of the kitchen's server is full, so nothing new can be kept there. All that was kept is still there and " +
		"the phones go on with their own copies. Free some space on the disk; the server goes on by itself. Delete nothing in the data folder."
	// fullStartSentence is for a server that cannot even open the journal: then nothing goes on by itself.
	fullStartSentence = "The disk of the kitchen's server is so full that the journal cannot even be opened. All that was kept is still there and " +
		"the phones go on with their own copies. Free at least 1 MiB on the disk, then start the server again. Delete nothing in the data folder."
	damagedSentence = "The kitchen's data file is damaged: some of its bytes are not what was written. Nothing was changed or deleted. " +
		"Copy the data folder to another disk first; then put back a backup, or start with a new data folder and let the phones send what they hold."
	ioSentence = "The disk of the kitchen's server does not read or write as it should. The phones go on with their own copies. " +
		"Check the disk and its cable, then start the server again."
	readOnlySentence = "The kitchen's data folder cannot be written to. Give this user the right to write there, or name another folder with --data."
	lockedSentence   = "Another program holds the kitchen's data file. Close it, then try again."
)

// explain turns what SQLite says into a failure with a sentence. It leaves failures alone.
func explain(op string, err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*fail.Error](err); ok {
		return err
	}
	if isFull(err) {
		return fail.E(op, fail.Storage, fullSentence, err)
	}
	e, ok := errors.AsType[*sqlite.Error](err)
	if !ok {
		return fail.E(op, fail.Storage, ioSentence, err)
	}
	switch e.Code() & 0xff { // the primary code
	case lib.SQLITE_FULL:
		return fail.E(op, fail.Storage, fullSentence, err)
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB, lib.SQLITE_SCHEMA, lib.SQLITE_ERROR, lib.SQLITE_MISMATCH:
		return fail.E(op, fail.Damaged, damagedSentence, err)
	case lib.SQLITE_READONLY, lib.SQLITE_CANTOPEN, lib.SQLITE_PERM, lib.SQLITE_AUTH:
		return fail.E(op, fail.Storage, readOnlySentence, err)
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return fail.E(op, fail.Busy, lockedSentence, err)
	}
	return fail.E(op, fail.Storage, ioSentence, err)
}

// isTaken tells whether err says that a value that may be there once is there already.
func isTaken(err error) bool {
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && e.Code()&0xff == lib.SQLITE_CONSTRAINT
}
