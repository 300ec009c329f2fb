package journal_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
	"brinebell/internal/journaltest"
)

// fill adds records to a log, but for those that need older history, and moves the base on now and then.
func fill(t *testing.T, r *rand.Rand, l *journal.Log, list []journal.Numbered) {
	for _, rec := range list {
		a, err := l.Add(rec)
		require.NoError(t, err)
		if !a.Need.IsZero() {
			l.Remove(a.Item.Entry.ID)
		}
		if r.IntN(40) == 0 {
			l.Advance(30, 100, 1<<62)
		}
	}
}

// stored is what a device would hold of a log.
func stored(l *journal.Log) journal.Stored {
	s := journal.Stored{Base: l.BaseBytes()}
	for _, item := range l.Tail() {
		s.Tail = append(s.Tail, item.Numbered())
	}
	return s
}

// again loads a log from what a device holds and returns the bytes of its state, and how many entries were folded.
func again(t *testing.T, s journal.Stored) (l *journal.Log, state []byte, folded uint64) {
	l = new(journal.Log)
	rest, err := l.Load(&s)
	require.NoError(t, err)
	require.Empty(t, rest)
	require.NoError(t, l.Resume(s.Top))
	return l, l.Bytes(), l.Work()
}

// TestATopChangesNoState: whatever came after a top was kept, late ones and amendments of what is in it too, a start with it
// gives the state of a start without it, and so does all that is done afterwards.
func TestATopChangesNoState(t *testing.T) {
	var spared, refused, behind int
	for seed := range uint64(*journals / 4) {
		r := rand.New(rand.NewPCG(seed, 21))
		list := journaltest.Random(seed, 20+r.IntN(300))
		all := records(list)
		nearly(r, all)
		known := r.IntN(len(all))
		l, _, _ := again(t, journal.Stored{})
		fill(t, r, l, all[:known])
		top := l.Top()
		require.False(t, l.TopDue())
		last := l.Last()
		some := known + r.IntN(len(all)-known)
		fill(t, r, l, all[known:some])
		if n := l.Len(); n > 0 && r.IntN(8) == 0 {
			l.Remove(l.Tail()[r.IntN(n)].Entry.ID)
		}
		s := stored(l)
		bare, want, work := again(t, s)
		s.Top = top
		l2, got, less := again(t, s)
		require.Equal(t, want, got, "seed %d", seed)
		if less < work {
			spared++
		}
		if less == work && l.Last() != last {
			refused++
		}
		if less == work && l.Last() == last {
			behind++
		}
		r2 := rand.New(rand.NewPCG(seed, 22))
		r3 := rand.New(rand.NewPCG(seed, 22))
		fill(t, r2, bare, all[some:])
		fill(t, r3, l2, all[some:])
		require.Equal(t, bare.Bytes(), l2.Bytes(), "seed %d", seed)
		require.Equal(t, bare.BaseBytes() == nil, l2.BaseBytes() == nil)
	}
	require.Positive(t, spared)
	require.Positive(t, refused, "of another base")
	require.Positive(t, behind, "of entries that no longer are the first ones")
}

// TestALogGoesOnWhereItIsTheSameAndMore: a log that is told what a device holds by now goes on from what it has folded, with the
// state of one that reads it all, or says that it cannot and is as before.
func TestALogGoesOnWhereItIsTheSameAndMore(t *testing.T) {
	var went, stayed int
	for seed := range uint64(*journals / 4) {
		r := rand.New(rand.NewPCG(seed, 23))
		all := records(journaltest.Random(seed, 20+r.IntN(300)))
		nearly(r, all)
		known := r.IntN(len(all))
		l, _, _ := again(t, journal.Stored{})
		fill(t, r, l, all[:known])
		s := stored(l)
		if r.IntN(2) == 0 {
			s.Top = l.Top()
		}
		on, before, folded := again(t, s)
		for range r.IntN(3) * 20 {
			if known < len(all) {
				fill(t, r, l, all[known:known+1])
				known++
			}
		}
		if n := l.Len(); n > 0 && r.IntN(8) == 0 {
			l.Remove(l.Tail()[r.IntN(n)].Entry.ID)
		}
		s = stored(l)
		_, want, work := again(t, s)
		rest, ok := on.GoOn(&s)
		require.Empty(t, rest)
		require.NoError(t, on.Resume(s.Top))
		if !ok {
			require.Equal(t, before, on.Bytes(), "seed %d", seed)
			stayed++
			continue
		}
		require.Equal(t, want, on.Bytes(), "seed %d", seed)
		require.Equal(t, stored(l), stored(on))
		if on.Work()-folded < work {
			went++
		}
	}
	require.Positive(t, went)
	require.Positive(t, stayed)
}

// TestATopThatDoesNotFitIsPassedOver: whatever a store makes of its bytes, the state is that of base and entries, unless the bytes
// are a state that proves to be of just these.
func TestATopThatDoesNotFitIsPassedOver(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	l, _, _ := again(t, journal.Stored{})
	fill(t, r, l, records(journaltest.Random(3, 300)))
	s := stored(l)
	require.NotNil(t, s.Base)
	_, want, work := again(t, s)
	top := l.Top()
	good := func(top []byte) uint64 {
		s := s
		s.Top = top
		_, got, folded := again(t, s)
		require.Equal(t, want, got)
		return folded
	}
	require.Zero(t, good(top))
	for _, cut := range []int{0, 1, 17, 33, 34, len(top) / 2, len(top) - 1} {
		require.Equal(t, work, good(top[:cut]), "cut after %d", cut)
	}
	for at := range 36 { // its head, and the first byte of the state
		bad := slices.Clone(top)
		bad[at] ^= 0x41
		require.Equal(t, work, good(bad), "byte %d", at)
	}
	other := stored(l)
	other.Tail, other.Top = other.Tail[1:], top
	_, got, folded := again(t, other)
	other.Top = nil
	_, want2, _ := again(t, other)
	require.Equal(t, want2, got)
	require.EqualValues(t, len(other.Tail), folded, "an entry is missing that it was folded from")
}

// TestTheBaseMovesOnAfterATop: a start from a top has no state before it to move the base to, and must not let the tail
// grow for ever.
func TestTheBaseMovesOnAfterATop(t *testing.T) {
	all := records(journaltest.Random(9, 400))
	l, _, _ := again(t, journal.Stored{})
	var longest int
	for i, rec := range all {
		a, err := l.Add(rec)
		require.NoError(t, err)
		if !a.Need.IsZero() {
			l.Remove(a.Item.Entry.ID)
		}
		l.Advance(80, 160, 1<<62)
		if i%7 == 0 {
			s := stored(l)
			s.Top = l.Top()
			var folded uint64
			l, _, folded = again(t, s)
			require.Zero(t, folded)
		}
		longest = max(longest, l.Len())
	}
	require.Less(t, longest, 170)
	require.False(t, l.Last().IsZero())
}
