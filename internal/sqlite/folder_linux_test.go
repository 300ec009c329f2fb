package sqlite

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
	"brinebell/internal/fail"
)

// hot leaves a folder as a kill leaves it, with entries in its log that its file lacks, and a backup from before these.
func hot(t *testing.T) (v *victim, backup string, c *Copied) {
	t.Helper()
	v = newVictim(t, rand.New(rand.NewPCG(1, 2)))
	v.once(t, "kept", 2, 0)
	backup = filepath.Join(v.dir+".out", "before.db")
	c, err := Backup(v.dir, backup)
	require.NoError(t, err)
	v.once(t, "kept", 3, 0)
	require.Greater(t, v.kept, c.Report.Entries)
	require.NotEmpty(t, bytesOf(t, filepath.Join(v.dir, dataName+"-wal")))
	return v, backup, c
}

// A kitchen was killed with entries in its log alone, and is restored: the log of the file that was there goes aside with it and is
// never replayed over the copy, whose last hash is the kitchen's then.
func TestTheLogOfWhatWasThereIsNotReplayedOverARestoredFile(t *testing.T) {
	v, backup, c := hot(t)
	r, err := Restore(v.dir, backup)
	require.NoError(t, err)
	require.Equal(t, c.Report, r.Report)
	for range 2 { // also by the start after the next
		s := open(t, v.dir, Options{})
		report, err := s.Verify()
		require.NoError(t, err)
		require.Equal(t, c.Report, report)
		require.NoError(t, s.Close())
	}
	was := filepath.Join(t.TempDir(), "kitchen")
	again, err := Restore(was, filepath.Join(r.Aside, dataName)) // with its log, in which the last entries are
	require.NoError(t, err)
	require.GreaterOrEqual(t, again.Report.Entries, v.kept, "what was there is whole in its folder")
}

// Somebody copies an older file by hand over one that was killed, beside its log, and starts: what the log holds is of another file, and
// what comes out of both is no journal. The start refuses.
func TestACopyPutBesideTheLogOfAnotherFileIsNotTakenForWhole(t *testing.T) {
	v, backup, c := hot(t)
	require.NoError(t, os.WriteFile(filepath.Join(v.dir, dataName), bytesOf(t, backup), 0o600))
	_, err := Open(v.dir, Options{})
	require.Equal(t, fail.Damaged, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "put back a backup")
	r, err := Restore(v.dir, backup) // as it should have been done
	require.NoError(t, err)
	require.Equal(t, c.Report, r.Report)
	open(t, v.dir, Options{})
}

// The data folder is a disk of its own: a restore moves nothing out of it, ends by counting, and what was there stays on it.
func TestADataFolderThatIsAMount(t *testing.T) {
	dir, mounted := smallDisk(t)
	if !mounted {
		dir = t.TempDir() // where this user may mount nothing, the rest is tried all the same
	}
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 60)}))
	backup := filepath.Join(t.TempDir(), "kitchen.db")
	c, err := Backup(dir, backup) // onto another disk
	require.NoError(t, err)
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(61, 5)}))
	require.NoError(t, s.Close())
	r, err := Restore(dir, backup)
	require.NoError(t, err)
	require.Equal(t, c.Report, r.Report)
	require.FileExists(t, filepath.Join(r.Aside, dataName))
	s = open(t, dir, Options{})
	report, err := s.Verify()
	require.NoError(t, err)
	require.Equal(t, c.Report, report)
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(61, 1)}))

	if mounted { // the disk is pulled out while the kitchen is served
		require.NoError(t, syscall.Unmount(dir, syscall.MNT_DETACH))
		keepsNothing(t, s, 62)
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Empty(t, left, "nothing is made where the disk was")
	}
	require.NoError(t, s.Close())
}

// keepsNothing checks that the store keeps no entry, says where the file should be, and reads none in its place.
func keepsNothing(t *testing.T, s *Store, next int) {
	t.Helper()
	for range 2 {
		err := s.Keep(&journal.Change{Keep: numbered(next, 1)})
		require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
		require.Contains(t, fail.Sentence(err), "no longer at "+filepath.Join(s.dir, dataName))
		require.Contains(t, fail.Sentence(s.Probe()), "no longer at")
		require.Contains(t, fail.Sentence(s.KeepCode([32]byte{1}, 1, 2, 3)), "no longer at")
		require.NoError(t, s.Refresh())
		head, err := s.Head()
		require.NoError(t, err)
		require.EqualValues(t, next-1, head)
		_, err = s.Newest()
		require.Contains(t, fail.Sentence(err), "no longer at", "another connection would read another file")
	}
}

// The folder is moved, deleted or swapped under a kitchen that is served: the system would let it write on into a file that nobody finds
// again. Nothing is kept then; moved back, it goes on.
func TestAFolderThatIsMovedAwayUnderAKitchen(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 9)}))
	require.NoError(t, os.Rename(dir, dir+".away"))
	keepsNothing(t, s, 10)
	require.NoDirExists(t, dir)

	require.NoError(t, os.Mkdir(dir, 0o700)) // another one in its place
	require.NoError(t, os.WriteFile(filepath.Join(dir, dataName), bytesOf(t, filepath.Join(dir+".away", dataName)), 0o600))
	keepsNothing(t, s, 10)
	require.NoError(t, os.RemoveAll(dir))

	require.NoError(t, os.Rename(dir+".away", dir))
	require.NoError(t, s.Probe())
	require.NoError(t, s.Refresh())
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(10, 1)}))
	require.NoError(t, s.Close())
	s = open(t, dir, Options{})
	report, err := s.Verify()
	require.NoError(t, err)
	require.EqualValues(t, 10, report.Entries)

	require.NoError(t, os.RemoveAll(dir))
	keepsNothing(t, s, 11)
	require.NoError(t, s.Close())
	require.NoDirExists(t, dir, "closing makes no folder either")
}

// readOnly makes a folder one that cannot be written to, as a card with its slider down, or says that this user may not.
func readOnly(t *testing.T, dir string) bool {
	t.Helper()
	if syscall.Mount(dir, dir, "", syscall.MS_BIND, "") != nil {
		return false
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	require.NoError(t, syscall.Mount("", dir, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	return true
}

func TestAFolderThatCanOnlyBeRead(t *testing.T) {
	dir := filled(t, 30)
	backup := filepath.Join(t.TempDir(), "kitchen.db")
	c, err := Backup(dir, backup)
	require.NoError(t, err)
	if !readOnly(t, dir) {
		dir = filepath.Join(backup, "kitchen") // below a file nothing can be written either, by anybody
	}
	before := contents(t, dir)
	_, err = Open(dir, Options{})
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "cannot be written to")
	_, err = Restore(dir, backup)
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "cannot be written to")
	require.Equal(t, before, contents(t, dir))
	if len(before) == 0 {
		return
	}
	// It can be looked at and copied all the same: that is what one wants of such a card.
	s := open(t, dir, Options{ReadOnly: true})
	report, err := s.Verify()
	require.NoError(t, err)
	require.Equal(t, c.Report, report)
	require.NoError(t, s.Close())
	again, err := Backup(dir, filepath.Join(t.TempDir(), "again.db"))
	require.NoError(t, err)
	require.Equal(t, c.Report, again.Report)
	r, err := Restore(filepath.Join(t.TempDir(), "kitchen"), filepath.Join(dir, dataName))
	require.NoError(t, err)
	require.Equal(t, c.Report, r.Report)
	_, err = Backup(dir, filepath.Join(dir, "beside.db"))
	require.Contains(t, fail.Sentence(err), "No backup could be written into "+dir)
}

// The disk has no room for the copy: the restore says so and leaves what is there, and a backup leaves nothing.
func TestARestoreAndABackupOntoAFullDisk(t *testing.T) {
	disk, ok := smallDisk(t)
	if !ok {
		disk = t.TempDir()
	}
	dir := filepath.Join(disk, "kitchen")
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 50)}))
	require.NoError(t, s.Close())
	large := t.TempDir()
	other := open(t, large, Options{})
	require.NoError(t, other.Keep(&journal.Change{Keep: numbered(1, 14000)}))
	backup := filepath.Join(t.TempDir(), "large.db")
	c, err := Backup(large, backup)
	require.NoError(t, err)
	if !ok {
		return // this user may make no small disk, and the large ones have room
	}
	require.Greater(t, c.Bytes, int64(2<<20))
	before := contents(t, dir)
	_, err = Restore(dir, backup)
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "disk", "%v", err)
	require.Contains(t, fail.Sentence(err), "full", "%v", err)
	require.NotContains(t, fail.Sentence(err), "is no kitchen's data file")
	require.Equal(t, before, contents(t, dir))
	require.NoDirExists(t, filepath.Join(dir, "restoring"))

	_, err = Backup(large, filepath.Join(disk, "large.db"))
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "The disk of "+disk+" is full")
	left, err := os.ReadDir(disk)
	require.NoError(t, err)
	require.Len(t, left, 1, "%v", left)
	s = open(t, dir, Options{})
	report, err := s.Verify()
	require.NoError(t, err)
	require.EqualValues(t, 50, report.Entries)
	require.False(t, RoomBeside(dir), "and the daily one is not even begun")
	require.True(t, RoomBeside(large) || !hasRoom(large))
}

// A folder's name has signs that mean something in an address.
func TestAFolderWithOddSignsInItsName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen #1 100% ?ö&a=b [x]* %20")
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 3)}))
	require.FileExists(t, filepath.Join(dir, dataName))
	c, err := Backup(dir, filepath.Join(dir, "copy #2?.db"))
	require.NoError(t, err)
	require.EqualValues(t, 3, c.Report.Entries)
	require.NoError(t, s.Close())
	r, err := Restore(dir, c.File)
	require.NoError(t, err)
	require.Equal(t, c.Report, r.Report)
}
