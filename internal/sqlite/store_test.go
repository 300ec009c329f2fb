package sqlite

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
)

// record makes a note's record at the given millisecond.
func record(ms int64) []byte {
	var chance [10]byte
	chance[9] = byte(ms)
	chance[8] = byte(ms >> 8)
	e := entry.New(entry.NewID(stamp.Milli(ms), chance), stamp.Stamp{At: stamp.Milli(ms), Device: "anna"}, "bo", &entry.Note{})
	return entry.AppendRecord(nil, &e)
}

func open(t *testing.T, dir string, o Options) *Store {
	t.Helper()
	s, err := Open(dir, o)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestKeptEntriesAreThereAfterOpeningAgain(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: []journal.Numbered{{Seq: 1, Record: record(5)}, {Seq: 2, Record: record(3)}}, Memory: []byte("m")}))
	generation := s.Generation()
	require.NoError(t, s.Close())

	s = open(t, dir, Options{})
	require.Equal(t, generation, s.Generation())
	stored, err := s.Newest()
	require.NoError(t, err)
	require.Len(t, stored.Tail, 2)
	require.Equal(t, []byte("m"), stored.Memory)
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.Equal(t, uint64(2), report.Entries)
}
