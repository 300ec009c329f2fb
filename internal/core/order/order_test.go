package order

import (
	"cmp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type pair struct{ key, at int }

func pairs(t *rapid.T) []pair {
	keys := rapid.SliceOfN(rapid.IntRange(0, 9), 0, 60).Draw(t, "keys")
	list := make([]pair, 0, len(keys))
	for i, k := range keys {
		list = append(list, pair{k, i})
	}
	return list
}

func TestStableIsTheStandardLibrarysStableSort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := pairs(t)
		want := slices.Clone(list)
		byKey := func(a, b pair) int { return cmp.Compare(a.key, b.key) }
		slices.SortStableFunc(want, byKey)
		Stable(list, byKey)
		require.Equal(t, want, list)
	})
}

func TestInsertIsTheStandardLibrarysInsert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := pairs(t)
		i := rapid.IntRange(0, len(list)).Draw(t, "at")
		want := slices.Insert(slices.Clone(list), i, pair{100, 100})
		require.Equal(t, want, Insert(list, i, pair{100, 100}))
	})
}
