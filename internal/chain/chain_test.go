package chain_test

import (
	"crypto/sha256"
	"errors"
	"iter"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/chain"
)

func links(records ...string) []chain.Link {
	var list []chain.Link
	var head chain.Hash
	for i, r := range records {
		head = chain.Next(head, []byte(r))
		list = append(list, chain.Link{Seq: uint64(i + 1), Record: []byte(r), Hash: head})
	}
	return list
}

func walk(list []chain.Link) iter.Seq2[chain.Link, error] {
	return func(yield func(chain.Link, error) bool) {
		for _, l := range list {
			if !yield(l, nil) {
				return
			}
		}
	}
}

func TestNextIsTheHashOfThePreviousHashAndTheBytes(t *testing.T) {
	first := chain.Next(chain.Hash{}, []byte("a"))
	require.Equal(t, chain.Hash(sha256.Sum256(append(make([]byte, 32), 'a'))), first)
	require.Equal(t, chain.Hash(sha256.Sum256(append(first[:], 'b'))), chain.Next(first, []byte("b")))
}

func TestVerifyOfAnEmptyAndAWholeChain(t *testing.T) {
	r, err := chain.Verify(walk(nil))
	require.NoError(t, err)
	require.Equal(t, chain.Report{}, r)

	list := links("a", "b", "c")
	r, err = chain.Verify(walk(list))
	require.NoError(t, err)
	require.Nil(t, r.First)
	require.Equal(t, uint64(3), r.Entries)
	require.Equal(t, list[2].Hash, r.Head)
}

func TestVerifyNamesAnEntryThatIsMissingOrOutOfPlace(t *testing.T) {
	list := links("a", "b", "c")
	r, _ := chain.Verify(walk(append(list[:1:1], list[2])))
	require.EqualError(t, r.First, "entry 2: missing; the next one there is 3")

	r, _ = chain.Verify(walk([]chain.Link{list[0], list[1], list[1]}))
	require.EqualError(t, r.First, "entry 3: number 2 stands where this one belongs")
}

func TestVerifyHandsOnWhatTheLinksReport(t *testing.T) {
	broken := errors.New("disk gone")
	_, err := chain.Verify(func(yield func(chain.Link, error) bool) { yield(chain.Link{}, broken) })
	require.ErrorIs(t, err, broken)
}

// Whatever byte is changed in whichever record, the walk names that record and goes on to count the rest.
func TestVerifyNamesWhicheverRecordWasChanged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := rapid.SliceOfN(rapid.StringN(1, 40, -1), 1, 30).Draw(t, "records")
		list := links(records...)
		at := rapid.IntRange(0, len(list)-1).Draw(t, "entry")
		bit := rapid.IntRange(0, 8*len(list[at].Record)-1).Draw(t, "bit")
		list[at].Record[bit/8] ^= 1 << (bit % 8)

		r, err := chain.Verify(walk(list))
		require.NoError(t, err)
		require.Equal(t, list[at].Seq, r.First.Seq)
		require.Equal(t, 1, r.Faults)
		require.Equal(t, uint64(len(list)), r.Entries)
	})
}

// A hash changed where it is stored is found there too, and again where the next entry builds on it.
func TestVerifyNamesAChangedHash(t *testing.T) {
	list := links("a", "b", "c", "d")
	list[1].Hash[7] ^= 4
	r, _ := chain.Verify(walk(list))
	require.Equal(t, uint64(2), r.First.Seq)
	require.Equal(t, 2, r.Faults)
}
