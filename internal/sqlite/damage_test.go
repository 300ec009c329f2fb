package sqlite

import (
	"bytes"
	"database/sql"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
	"brinebell/internal/fail"
)

// filled makes a folder with n entries and closes it.
func filled(t *testing.T, n int) string {
	t.Helper()
	dir := t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, n)}))
	require.NoError(t, s.Close())
	return dir
}

// numbered makes the entries from number first on.
func numbered(first, n int) []journal.Numbered {
	var list []journal.Numbered
	for i := range n {
		list = append(list, journal.Numbered{Seq: uint64(first + i), Record: record(int64(first + i))})
	}
	return list
}

// tell checks that opening fails with a sentence that holds every one of the words, and that it changed no byte.
func tell(t *testing.T, dir string, o Options, kind fail.Kind, words ...string) {
	t.Helper()
	before := contents(t, dir)
	_, err := Open(dir, o)
	require.Error(t, err)
	require.Equal(t, kind, fail.KindOf(err), "%v", err)
	for _, w := range words {
		require.Contains(t, fail.Sentence(err), w)
	}
	require.Equal(t, before, contents(t, dir))
}

func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, name := range []string{dataName, dataName + "-wal", markName} {
		if b, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			all[name] = string(b)
		}
	}
	return all
}

func TestAFileOfZeroBytesIsLossNotANewKitchen(t *testing.T) {
	dir := filled(t, 3)
	require.NoError(t, os.Truncate(filepath.Join(dir, dataName), 0))
	tell(t, dir, Options{}, fail.Damaged, "0 bytes", dir, "Nothing was changed", "--data")
	tell(t, dir, Options{ReadOnly: true}, fail.Damaged, "0 bytes")
}

func TestAMissingFileInAKnownFolderIsLossNotANewKitchen(t *testing.T) {
	dir := filled(t, 3)
	require.NoError(t, os.Remove(filepath.Join(dir, dataName)))
	tell(t, dir, Options{}, fail.Damaged, "kitchen.db is gone", "backup")
	tell(t, t.TempDir(), Options{ReadOnly: true}, fail.Missing, "no kitchen")
}

func TestAFileThatIsNoDatabase(t *testing.T) {
	dir := filled(t, 3)
	require.NoError(t, os.WriteFile(filepath.Join(dir, dataName), bytes.Repeat([]byte("butter"), 2000), 0o600))
	tell(t, dir, Options{}, fail.Damaged, "damaged", "Nothing was changed or deleted")
}

func TestAFolderOfANewerVersion(t *testing.T) {
	dir := filled(t, 3)
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, dataName))
	require.NoError(t, err)
	_, err = db.Exec("PRAGMA user_version = 7")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	_, err = Open(dir, Options{})
	require.Equal(t, fail.Newer, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "layout 7")
	require.Contains(t, fail.Sentence(err), "reads up to 2")

	require.NoError(t, os.WriteFile(filepath.Join(dir, markName), []byte(`{"format":2,"generation":"x"}`), 0o600))
	tell(t, dir, Options{}, fail.Newer, "newer")
}

func TestDemoAndRealFoldersAreNeverMixed(t *testing.T) {
	real := filled(t, 1)
	tell(t, real, Options{Demo: true}, fail.Refused, "holds a real kitchen", "--data")
	demo := t.TempDir()
	require.NoError(t, open(t, demo, Options{Demo: true}).Close())
	tell(t, demo, Options{}, fail.Refused, "holds the demo kitchen", "--data")
}

func TestALostMarkIsMadeAgainFromTheFile(t *testing.T) {
	dir := filled(t, 2)
	mark, err := ReadMark(dir)
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(dir, markName)))
	s := open(t, dir, Options{})
	require.Equal(t, mark.Generation, s.Generation())
	again, err := ReadMark(dir)
	require.NoError(t, err)
	require.Equal(t, mark, again)
}

func TestASecondStartIsRefusedAndTheFirstGoesOn(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	_, err := Open(dir, Options{})
	require.Equal(t, fail.Busy, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "already being served")
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 1)}))
	require.NoError(t, s.Close())
	open(t, dir, Options{})
}

// Every stored byte of one entry is flipped in turn, in the file itself: verify names that very entry, or SQLite finds
// the page damaged; nothing panics and the other entries stay readable where the page can be read.
func TestAFlippedByteIsFoundAndNamed(t *testing.T) {
	dir := filled(t, 40)
	path := filepath.Join(dir, dataName)
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	target := record(17)
	require.True(t, bytes.Contains(file, target))
	for i := range target {
		other := bytes.Clone(target)
		other[i] ^= 0x20
		flipped := bytes.ReplaceAll(file, target, other) // a page that was split may hold a stale copy too
		require.NoError(t, os.WriteFile(path, flipped, 0o600))

		s := open(t, dir, Options{})
		report, err := s.Verify()
		require.NoError(t, err)
		require.NotNil(t, report.First, "byte %d", i)
		require.Equal(t, uint64(17), report.First.Seq)
		require.Equal(t, uint64(40), report.Entries)

		stored, err := s.Newest()
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(stored.Tail), 39)
		require.NoError(t, s.Keep(&journal.Change{Keep: numbered(41, 1)}), "the rest goes on")
		require.NoError(t, s.Close())
	}
}

func TestAFlippedByteInAPageIsAClearError(t *testing.T) {
	dir := filled(t, 400)
	path := filepath.Join(dir, dataName)
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	found := 0
	for page := range len(file) / 4096 {
		flipped := bytes.Clone(file)
		flipped[page*4096+3] ^= 0x7f // within the header of a page
		require.NoError(t, os.WriteFile(path, flipped, 0o600))
		s, err := Open(dir, Options{})
		if err == nil {
			report, verifyErr := s.Verify()
			if err = verifyErr; err == nil && report.First != nil {
				err = fail.E("test", fail.Damaged, damagedSentence, report.First)
			}
			require.NoError(t, s.Close())
		}
		if err != nil {
			found++
			require.Equal(t, fail.Damaged, fail.KindOf(err), "page %d: %v", page, err)
		}
	}
	require.Greater(t, found, len(file)/4096/2)
}

func TestEntriesCutOffAtTheEndAreNoticed(t *testing.T) {
	dir := filled(t, 9)
	s := open(t, dir, Options{})
	_, err := s.conn.ExecContext(background, "DELETE FROM entries WHERE seq > 6")
	require.NoError(t, err)
	_, err = s.Verify()
	require.Equal(t, fail.Damaged, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "ends at entry 6")
	require.Contains(t, fail.Sentence(err), "entry 9")
}

func TestColumnsThatDisagreeWithTheBytesAreNoticed(t *testing.T) {
	s := open(t, filled(t, 9), Options{})
	_, err := s.conn.ExecContext(background, "UPDATE entries SET at = at + 1 WHERE seq = 4")
	require.NoError(t, err)
	report, err := s.Verify()
	require.NoError(t, err)
	require.Equal(t, uint64(4), report.First.Seq)
}

// The file may not grow beyond a few pages, as on a full disk: keeping fails with a sentence about the disk, what was
// kept before is there, and with room again the very same entries are kept.
func TestAFullDiskLosesNothing(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{PagesMax: 30})
	kept := 0
	var err error
	for err == nil {
		if err = s.Keep(&journal.Change{Keep: numbered(kept+1, 50)}); err == nil {
			kept += 50
		}
		require.Less(t, kept, 5000)
	}
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "disk of the kitchen's server is full")
	require.Error(t, s.Probe())
	require.NoError(t, s.Refresh())
	head, err := s.Head()
	require.NoError(t, err)
	require.Equal(t, uint64(kept), head)
	stored, err := s.Newest()
	require.NoError(t, err)
	require.Len(t, stored.Tail, kept)

	_, err = s.conn.ExecContext(background, "PRAGMA max_page_count = 1000000")
	require.NoError(t, err)
	require.NoError(t, s.Probe())
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(kept+1, 50)}))
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.Equal(t, uint64(kept+50), report.Entries)
}

func TestAFolderThatCannotBeWrittenTo(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Open(filepath.Join(file, "kitchen"), Options{})
	require.Equal(t, fail.Storage, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "cannot be written to")
}

// A flaw in the write-ahead log lost committed pages for years; it is mended from 3.53.4 on.
func TestTheLibraryIsNewEnough(t *testing.T) {
	s := open(t, t.TempDir(), Options{})
	var enough bool
	require.NoError(t, s.read.QueryRow(`WITH v(major, minor, patch) AS (
		SELECT CAST(substr(sqlite_version(), 1, 1) AS INTEGER), CAST(substr(sqlite_version(), 3, 2) AS INTEGER), CAST(substr(sqlite_version(), 6) AS INTEGER))
		SELECT (major, minor, patch) >= (3, 53, 4) FROM v`).Scan(&enough))
	require.True(t, enough)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2"} {
		var got string
		require.NoError(t, s.conn.QueryRowContext(background, "PRAGMA "+pragma).Scan(&got))
		require.Equal(t, want, got, pragma)
	}
}
