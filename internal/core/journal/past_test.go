package journal_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// The past is what a fold of the entries up to the instant alone gives: what amends them later changes nothing, and of what
// is in the base nothing is known.
func TestThePastIsAFoldOfWhatWasThere(t *testing.T) {
	for seed := range uint64(12) {
		list := journaltest.Random(seed, 400)
		var whole journal.Log
		for i := range list {
			_, err := whole.Add(journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
			require.NoError(t, err)
		}
		for _, i := range []int{0, 3, 150, 399} {
			at := list[i].At.At
			var then journal.Log
			for k := range list {
				if list[k].At.At <= at {
					_, err := then.Add(journal.Numbered{Record: entry.AppendRecord(nil, &list[k])})
					require.NoError(t, err)
				}
			}
			want := string(then.Bytes())
			require.Equal(t, want, string(whole.Past(at).Append(nil)), "seed %d entry %d", seed, i)
			require.Equal(t, want, string(whole.Past(at).Append(nil)), "the second time too")
		}
	}
}

func TestThePastEndsAtTheBase(t *testing.T) {
	list := journaltest.Shift(1, 3000)
	var l journal.Log
	for i := range list {
		_, err := l.Add(journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
		require.NoError(t, err)
	}
	end := list[len(list)-1].At.At
	before := string(l.Past(end.Add(-stamp.Minute)).Append(nil))
	require.NotNil(t, l.Advance(journal.TailLeast, journal.TailMost, end))
	require.Equal(t, before, string(l.Past(end.Add(-stamp.Minute)).Append(nil)), "the base is as good as what it was made of")
	require.Nil(t, l.Past(l.Last().At.At-1))
	require.NotNil(t, l.Past(l.Last().At.At))
	later := entry.New(entry.NewID(end+5, [10]byte{9}), stamp.Stamp{At: end + 5, Device: "x"}, "", &entry.Note{Text: "late"})
	was := l.Past(end + 10)
	_, err := l.Add(journal.Numbered{Record: entry.AppendRecord(nil, &later)})
	require.NoError(t, err)
	require.Equal(t, was.Folded+1, l.Past(end+10).Folded, "what comes late belongs to it")
}
