package sqlite

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/pairing"
)

// made makes a note at the given millisecond.
func made(ms int64) entry.Entry {
	chance := [10]byte{8: byte(ms >> 8), 9: byte(ms)}
	return entry.New(entry.NewID(stamp.Milli(ms), chance), stamp.Stamp{At: stamp.Milli(ms), Device: "anna"}, "bo",
		&entry.Note{Text: fmt.Sprintf("note made at %d, long enough to stand out in a file", ms)})
}

func record(ms int64) []byte {
	e := made(ms)
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
	list := []journal.Numbered{{Seq: 1, Record: record(5)}, {Seq: 2, Record: record(3)}}
	require.NoError(t, s.Keep(&journal.Change{Keep: list, Memory: []byte("m")}))
	generation := s.Generation()
	_, err := entry.ParseID(generation)
	require.NoError(t, err)
	_, hash := s.Chain()
	require.NoError(t, s.Close())

	s = open(t, dir, Options{})
	require.Equal(t, generation, s.Generation())
	stored, err := s.Newest()
	require.NoError(t, err)
	require.ElementsMatch(t, list, stored.Tail)
	require.Equal(t, []byte("m"), stored.Memory)
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.Equal(t, uint64(2), report.Entries)
	require.Equal(t, hash, report.Head)
}

func TestAnotherProcessMayLookWhileTheKitchenIsServed(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 3)}))
	beside := open(t, dir, Options{ReadOnly: true})
	report, err := beside.Verify()
	require.NoError(t, err)
	require.Equal(t, uint64(3), report.Entries)
	require.Error(t, beside.Keep(&journal.Change{Keep: numbered(4, 1)}))
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(4, 1)}))
}

func TestAllOfAChangeOrNothing(t *testing.T) {
	s := open(t, t.TempDir(), Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 2), Memory: []byte("before")}))
	err := s.Keep(&journal.Change{Keep: append(numbered(3, 2), journal.Numbered{Seq: 9, Record: record(9)}), Memory: []byte("after")})
	require.ErrorIs(t, err, journal.ErrNumber)
	head, _ := s.Head()
	require.Equal(t, uint64(2), head)
	stored, err := s.Newest()
	require.NoError(t, err)
	require.Len(t, stored.Tail, 2)
	require.Equal(t, []byte("before"), stored.Memory)
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(3, 2)}))
}

func TestADamagedCheckpointIsPassedOver(t *testing.T) {
	s := open(t, t.TempDir(), Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 10)}))
	for _, at := range []int64{4, 8} {
		e := made(at)
		require.NoError(t, s.Keep(&journal.Change{Base: &journal.Base{State: fmt.Appendf(nil, "state %d", at), Last: journal.PlaceOf(&e)}}))
	}
	_, err := s.conn.ExecContext(background, "UPDATE checkpoints SET state = x'00' WHERE at = 8")
	require.NoError(t, err)
	stored, err := s.Newest()
	require.NoError(t, err)
	require.Equal(t, "state 4", string(stored.Base))
	require.Len(t, stored.Tail, 6)
}

// Of checkpoints of any ages, the newest ones and the oldest stay, and for every age there is one that is at most half
// as far again back.
func TestThinningLeavesACheckpointNearEveryAge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []stored
		at := int64(1) << 40
		for i := range rapid.IntRange(1, 300).Draw(t, "checkpoints") {
			list = append(list, stored{row: int64(i), at: at})
			at -= rapid.Int64Range(0, 1000).Draw(t, "gap")
		}
		gone := map[int64]bool{}
		for _, row := range superfluous(list) {
			gone[row] = true
		}
		last := list[0]
		for i, c := range list {
			if gone[c.row] {
				require.GreaterOrEqual(t, i, checkpointsDense)
				require.Less(t, i, len(list)-1)
				require.Less(t, (list[0].at-c.at)*2, (list[0].at-last.at)*3)
				continue
			}
			last = c
		}
		require.LessOrEqual(t, len(list)-len(gone), checkpointsDense+41)
	})
}

// A kitchen that leaves three checkpoints a day for years has one of each day of the last five weeks, one of each week of
// a year, and few beside; thinning as they come leaves the same as thinning them at once.
func TestThinningLeavesTheLastOfEachDayAndWeek(t *testing.T) {
	var list []stored
	for at := int64(day); at < 1000*day; at += day/3 - 1_000 {
		list = append([]stored{{row: at, at: at}}, list...)
		gone := map[int64]bool{}
		for _, row := range superfluous(list) {
			gone[row] = true
		}
		list = slices.DeleteFunc(list, func(s stored) bool { return gone[s.row] })
	}
	newest, days, weeks := list[0].at, map[int64]bool{}, map[int64]bool{}
	for _, s := range list {
		days[s.at/day], weeks[s.at/(7*day)] = true, true
	}
	for back := int64(0); back < daily/day; back++ {
		require.True(t, days[newest/day-back], "%d days ago", back)
	}
	for back := int64(0); back < weekly/(7*day); back++ {
		require.True(t, weeks[newest/(7*day)-back], "%d weeks ago", back)
	}
	require.LessOrEqual(t, len(list), checkpointsDense+40+36+58)
}

func TestOneCodeLetsExactlyOneOfManyIn(t *testing.T) {
	s := open(t, t.TempDir(), Options{})
	hash := [32]byte{1}
	require.NoError(t, s.KeepCode(hash, 1000, 2000, 8))
	var in atomic.Int32
	var all sync.WaitGroup
	for i := range 16 {
		all.Go(func() {
			ok, err := s.Admit(&hash, 1500, pairing.Device{ID: fmt.Sprint("d", i)})
			if err == nil && ok {
				in.Add(1)
			}
		})
	}
	all.Wait()
	require.Equal(t, int32(1), in.Load())
	devices, err := s.Devices()
	require.NoError(t, err)
	require.Len(t, devices, 1)
}

func TestCodesEndAndGiveWay(t *testing.T) {
	s := open(t, t.TempDir(), Options{})
	code := func(n byte) *[32]byte { return &[32]byte{n} }
	require.NoError(t, s.KeepCode(*code(1), 1000, 2000, 2))
	for name, now := range map[string]int64{"the end": 2000, "before it was made": 999} {
		ok, err := s.Admit(code(1), now, pairing.Device{ID: "x"})
		require.NoError(t, err)
		require.False(t, ok, name)
	}
	require.NoError(t, s.KeepCode(*code(2), 1001, 2001, 2))
	require.NoError(t, s.KeepCode(*code(3), 1002, 2002, 2))
	ok, err := s.Admit(code(1), 1500, pairing.Device{ID: "x"})
	require.NoError(t, err)
	require.False(t, ok, "the oldest of three gave way")
	ok, err = s.Admit(code(2), 1500, pairing.Device{ID: "x"})
	require.NoError(t, err)
	require.True(t, ok)
}

func TestADeviceIsRevokedOnceAndFound(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	want := pairing.Device{ID: "d1", Name: "Grill", Wall: true, KeyHash: [32]byte{7}, Paired: 5}
	ok, err := s.Admit(nil, 5, want)
	require.NoError(t, err)
	require.True(t, ok)
	require.NoError(t, s.Revoke("d1", 9))
	require.NoError(t, s.Revoke("d1", 12))
	require.NoError(t, s.Close())

	s = open(t, dir, Options{})
	got, err := s.Device("d1")
	require.NoError(t, err)
	want.Revoked = 9
	require.Equal(t, want, got)
	_, err = s.Device("d2")
	require.True(t, errors.Is(err, pairing.ErrUnknown))
}

func TestNotesOutliveAStart(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	require.NoError(t, s.SetName("Halfmoon Ferry Canteen", "America/New_York"))
	require.NoError(t, s.SetOffsets("America/New_York", 99))
	require.NoError(t, s.Close())
	s = open(t, dir, Options{})
	name, zone := s.Named()
	require.Equal(t, "Halfmoon Ferry Canteen", name)
	require.Equal(t, "America/New_York", zone)
	zone, until := s.Offsets()
	require.Equal(t, "America/New_York", zone)
	require.Equal(t, int64(99), until)
}
