package kitchen_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
)

// TestLogFoldsLikeThePlainFold hands random journals to the journal's log, shuffled, some entries twice, with looks at
// the state in between, so that it must fold late entries in.
func TestLogFoldsLikeThePlainFold(t *testing.T) {
	for seed := range uint64(120) {
		c := chance(seed)
		list := slices.DeleteFunc(random(seed, 1+c.Below(400)), func(e entry.Entry) bool {
			return e.At.At < 1 // before the beginning of the log's time
		})
		want := fold(list).Append(nil)
		var l journal.Log
		for i, e := range nearly(&c, list) {
			n := journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &e)}
			a, err := l.Add(n)
			require.NoError(t, err)
			require.Equal(t, journal.New, a.Verdict)
			if c.One(9) {
				a, err = l.Add(n)
				require.NoError(t, err)
				require.Equal(t, journal.Known, a.Verdict)
			}
			if c.One(11) {
				l.State()
			}
		}
		require.True(t, string(want) == string(l.Bytes()), "seed %d", seed)
	}
}

// nearly shuffles the list as phones do that are out of touch: most entries come in order, some very late.
func nearly(c *chance, list []entry.Entry) []entry.Entry {
	var now, late []entry.Entry
	for _, e := range list {
		if c.One(5) {
			late = append(late, e)
		} else {
			now = append(now, e)
		}
		if c.One(40) {
			now, late = append(now, shuffled(c, late)...), nil
		}
	}
	return append(now, shuffled(c, late)...)
}
