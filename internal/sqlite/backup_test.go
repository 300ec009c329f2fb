package sqlite

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/fail"
)

// scribble keeps five entries every ten milliseconds, 500 a second, until stop is closed.
func scribble(t *testing.T, s *Store, stop <-chan struct{}) {
	for tick := time.NewTicker(10 * time.Millisecond); ; {
		select {
		case <-stop:
			tick.Stop()
			return
		case <-tick.C:
		}
		head, _ := s.Head()
		if err := s.Keep(&journal.Change{Keep: numbered(int(head)+1, 5)}); err != nil {
			t.Error(err)
			return
		}
	}
}

// A kitchen that never stops writing is backed up again and again: each backup is of one instant between its beginning and its
// end, opens without the log of the live file, is whole, and restores.
func TestSoakBackupsOfABusyKitchen(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 2000), Base: &journal.Base{State: make([]byte, 300_000)}}))
	stop := make(chan struct{})
	var writing sync.WaitGroup
	writing.Go(func() { scribble(t, s, stop) })
	n := times(8, 100)
	last := uint64(0)
	for i := range n {
		before, _ := s.Head()
		file := filepath.Join(out, fmt.Sprint("kitchen ", i, ".db"))
		c, err := Backup(dir, file)
		require.NoError(t, err)
		after, _ := s.Head()
		require.GreaterOrEqual(t, c.Report.Entries, before)
		require.LessOrEqual(t, c.Report.Entries, after)
		last = max(last, after-before)
		info, err := os.Stat(file)
		require.NoError(t, err)
		require.Equal(t, info.Size(), c.Bytes)
		require.EqualValues(t, 0o600, info.Mode().Perm(), "it holds what lets devices in")

		fresh := filepath.Join(t.TempDir(), "kitchen")
		r, err := Restore(fresh, file)
		require.NoError(t, err)
		require.Equal(t, c.Report, r.Report)
		again := open(t, fresh, Options{})
		report, err := again.Verify()
		require.NoError(t, err)
		require.Equal(t, c.Report, report)
		require.NoError(t, again.Close())
	}
	close(stop)
	writing.Wait()
	require.NotZero(t, last, "entries were kept while a backup was made")
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	left, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, left, n, "nothing but the backups: %v", left)
}

func TestABackupThatCannotBeMadeLeavesNothing(t *testing.T) {
	dir, out := filled(t, 30), t.TempDir()
	there := filepath.Join(out, "kitchen.db")
	c, err := Backup(dir, there)
	require.NoError(t, err)
	require.EqualValues(t, 30, c.Report.Entries)
	before, err := os.ReadFile(there)
	require.NoError(t, err)

	_, err = Backup(dir, there)
	require.Equal(t, fail.Refused, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "never written over another")
	_, err = Backup(dir, filepath.Join(out, "stick", "kitchen.db"))
	require.Contains(t, fail.Sentence(err), "Is its disk plugged in?")
	_, err = Backup(t.TempDir(), filepath.Join(out, "new.db"))
	require.Equal(t, fail.Missing, fail.KindOf(err))

	// An entry that was changed after it was kept: that must not push a whole backup out.
	s := open(t, dir, Options{})
	_, err = s.conn.ExecContext(background, "UPDATE entries SET record = (SELECT record FROM entries WHERE seq = 9) WHERE seq = 8")
	require.NoError(t, err)
	_, err = Backup(dir, filepath.Join(out, "new.db"))
	require.Equal(t, fail.Damaged, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "entry 8")

	left, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, left, 1)
	after, err := os.ReadFile(there)
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// Somebody copies the file and its log one after the other while the kitchen writes and empties its log. Restored, that is whole or
// refused: never a journal with holes that is called good.
func TestACopyMadeByHandFromABusyKitchenIsWholeOrRefused(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	next := 1
	keep := func(n int) {
		require.NoError(t, s.Keep(&journal.Change{Keep: numbered(next, n), Base: &journal.Base{State: make([]byte, 50_000+next)}}))
		next += n
	}
	keep(200)
	whole, refused := 0, 0
	for i := range 12 {
		copied := filepath.Join(t.TempDir(), "kitchen.db")
		require.NoError(t, os.WriteFile(copied, bytesOf(t, filepath.Join(dir, dataName)), 0o600))
		keep(30)
		if i%3 > 0 {
			_, err := s.conn.ExecContext(background, "PRAGMA wal_checkpoint(TRUNCATE)")
			require.NoError(t, err)
			keep(30)
		}
		if i%3 > 1 {
			keep(400)
		}
		require.NoError(t, os.WriteFile(copied+"-wal", bytesOf(t, filepath.Join(dir, dataName+"-wal")), 0o600))
		fresh := filepath.Join(t.TempDir(), "kitchen")
		r, err := Restore(fresh, copied)
		if err != nil {
			refused++
			require.NotEmpty(t, fail.Sentence(err))
			require.NoFileExists(t, filepath.Join(fresh, dataName))
			continue
		}
		whole++
		again := open(t, fresh, Options{})
		report, err := again.Verify()
		require.NoError(t, err)
		require.Nil(t, report.First)
		require.Equal(t, r.Report, report)
	}
	require.NotZero(t, refused, "else this tries nothing")
	require.NotZero(t, whole)
}

func bytesOf(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return b
}

// rewrite changes the text of one note in a folder's file and hashes it and all that follow anew, as somebody who owns the disk can.
func rewrite(t *testing.T, dir string, seq uint64) {
	t.Helper()
	s := open(t, dir, Options{})
	e := made(int64(seq))
	changed := entry.New(e.ID, e.At, e.Crew, &entry.Note{Text: "the cold room was fine all night, and always had been cold enough"})
	_, err := s.conn.ExecContext(background, "UPDATE entries SET record = ? WHERE seq = ?", entry.AppendRecord(nil, &changed), int64(seq))
	require.NoError(t, err)
	var prev [sha256.Size]byte
	hashes := map[uint64][]byte{}
	for n, err := range s.Since(0) {
		require.NoError(t, err)
		prev = sha256.Sum256(append(prev[:], n.Record...))
		hashes[n.Seq] = append([]byte(nil), prev[:]...)
	}
	for seq, hash := range hashes {
		_, err := s.conn.ExecContext(background, "UPDATE entries SET hash = ? WHERE seq = ?", hash, int64(seq))
		require.NoError(t, err)
	}
	require.NoError(t, s.Close())
}

// Whoever owns the disk can write another history and hash it anew: the chain alone cannot tell. What was kept elsewhere can: a backup
// names the first entry that is another one, and no entry has the hash that a print says.
func TestAHistoryThatWasWrittenAnewIsNotTheOneOfABackup(t *testing.T) {
	dir := filled(t, 40)
	tuesday := filepath.Join(t.TempDir(), "tuesday.db")
	c, err := Backup(dir, tuesday)
	require.NoError(t, err)
	printed := fmt.Sprintf("%X", c.Report.Head)[:16]
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(41, 10)}))
	a, err := s.Against(tuesday)
	require.NoError(t, err)
	require.Equal(t, Anchored{Seq: 40}, a)
	seq, err := s.Numbered(printed)
	require.NoError(t, err)
	require.EqualValues(t, 40, seq)
	require.NoError(t, s.Close())

	for _, changed := range []uint64{40, 17, 1} { // from the last that the backup has to the first
		rewrite(t, dir, changed)
		s = open(t, dir, Options{})
		report, err := s.Verify()
		require.NoError(t, err)
		require.Nil(t, report.First, "the chain of what stands there is whole: that is why something else must tell")
		a, err = s.Against(tuesday)
		require.NoError(t, err)
		require.Equal(t, Anchored{Seq: 40, Split: changed, At: made(int64(changed)).At.At}, a)
		seq, err = s.Numbered(printed)
		require.NoError(t, err)
		require.Zero(t, seq)
		require.NoError(t, s.Close())
	}
	require.Len(t, bytesOf(t, tuesday), int(c.Bytes))
	beside, err := filepath.Glob(tuesday + "-*")
	require.NoError(t, err)
	require.Empty(t, beside, "looking leaves no trace beside a backup")

	// What is cut off at the end is missed too, and a restore is told from a change.
	short := filled(t, 25)
	s = open(t, short, Options{})
	a, err = s.Against(tuesday)
	require.NoError(t, err)
	require.True(t, a.Other)
	require.EqualValues(t, 26, a.Split)
	_, err = s.Against(filepath.Join(short, markName))
	require.Equal(t, fail.Invalid, fail.KindOf(err))
}

// Any number of writers to the folder's book and a backup: neither waits for the other for long, and both end.
func TestABackupHoldsNobodyUp(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 3000), Base: &journal.Base{State: make([]byte, 8<<20)}}))
	var making atomic.Bool
	making.Store(true)
	var backup sync.WaitGroup
	var failed error
	backup.Go(func() {
		defer making.Store(false)
		_, failed = Backup(dir, filepath.Join(t.TempDir(), "kitchen.db"))
	})
	during := 0
	for next := 3001; making.Load(); next++ {
		require.NoError(t, s.Keep(&journal.Change{Keep: numbered(next, 1)}))
		during++
	}
	backup.Wait()
	require.NoError(t, failed)
	require.Greater(t, during, 3, "entries are kept while a backup is made")
}
