package sqlite

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
	"brinebell/internal/fail"
)

// smallDisk returns a folder on a disk of its own, 3 MiB large, or false where this user may not make one.
func smallDisk(t *testing.T) (string, bool) {
	t.Helper()
	dir := t.TempDir()
	if syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=3m") != nil {
		return "", false
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir, true
}

// fillUp takes the last byte of a disk.
func fillUp(t *testing.T, dir string) (empty func()) {
	t.Helper()
	path := filepath.Join(dir, "film")
	f, err := os.Create(path)
	require.NoError(t, err)
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	require.NoError(t, f.Close())
	return func() { require.NoError(t, os.Remove(path)) }
}

func TestRoomIsHeldFreeForAFullDisk(t *testing.T) {
	dir := filled(t, 20)
	info, err := os.Stat(filepath.Join(dir, reserveName))
	require.NoError(t, err)
	require.EqualValues(t, reserveSize, info.Size())
	require.True(t, hasRoom(dir))
	require.NoError(t, os.WriteFile(filepath.Join(dir, reserveName), nil, 0o600))
	s := open(t, dir, Options{})
	require.False(t, s.Tight())
	info, err = os.Stat(filepath.Join(dir, reserveName))
	require.NoError(t, err)
	require.EqualValues(t, reserveSize, info.Size(), "half a reserve is made whole")
	require.True(t, isFull(errors.Join(syscall.ENOSPC)))
	require.False(t, isFull(syscall.EIO))
}

// On a disk without a free byte the kitchen opens in the room that was held free, everything kept is there, keeping
// fails with a sentence about the disk and deletes nothing, and goes on once there is room again.
func TestAKitchenOpensOnADiskWithoutAFreeByte(t *testing.T) {
	disk, ok := smallDisk(t)
	if !ok {
		disk = t.TempDir() // then the test of a file that may not grow is the whole proof
	}
	dir := filepath.Join(disk, "kitchen")
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 100)}))
	require.NoError(t, s.Close())
	if !ok {
		return
	}
	empty := fillUp(t, disk)
	s = open(t, dir, Options{})
	require.True(t, s.Tight())
	stored, err := s.Newest()
	require.NoError(t, err)
	require.Len(t, stored.Tail, 100)
	kept := 100
	for err == nil {
		if err = s.Keep(&journal.Change{Keep: numbered(kept+1, 50)}); err == nil {
			kept += 50
		}
	}
	require.Equal(t, fail.Storage, fail.KindOf(err), "%v", err)
	require.Contains(t, fail.Sentence(err), "disk of the kitchen's server is full")
	require.Contains(t, fail.Sentence(s.Probe()), "disk of the kitchen's server is full")

	empty()
	require.NoError(t, s.Probe())
	require.NoError(t, s.Refresh())
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(kept+1, 50)}))
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.EqualValues(t, kept+50, report.Entries)
	require.NoError(t, s.Close())

	// Without a reserve it does not open, and says why.
	require.NoError(t, os.Remove(filepath.Join(dir, reserveName)))
	_ = fillUp(t, disk)
	before, err := os.ReadFile(filepath.Join(dir, dataName))
	require.NoError(t, err)
	_, err = Open(dir, Options{})
	require.Contains(t, fail.Sentence(err), "disk of the kitchen's server is so full")
	require.Contains(t, fail.Sentence(err), "then start the server again", "nothing goes on by itself")
	after, err := os.ReadFile(filepath.Join(dir, dataName))
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, after))
}
