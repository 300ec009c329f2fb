package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
)

// TestACopyGoesItsOwnWay folds a journal with a copy taken now and then. What is folded after does not change the copy, and
// what is folded into copies of it, one after the other, neither changes it nor the first.
func TestACopyGoesItsOwnWay(t *testing.T) {
	for seed := range uint64(60) {
		list := random(seed, 300)
		whole := kitchen.New()
		var copies []*kitchen.State
		var bytes [][]byte
		for i, e := range list {
			if i%29 == 7 {
				copies, bytes = append(copies, whole.Clone()), append(bytes, whole.Append(nil))
			}
			whole.Apply(&e, kitchen.Amended{})
		}
		want := whole.Append(nil)
		for range 2 {
			for n, c := range copies {
				again := c.Clone()
				for _, e := range list[7+29*n:] {
					again.Apply(&e, kitchen.Amended{})
				}
				require.Equal(t, want, again.Append(nil), "seed %d: on from copy %d", seed, n)
			}
			for n, c := range copies {
				require.Equal(t, bytes[n], c.Append(nil), "seed %d: copy %d has changed", seed, n)
			}
			require.Equal(t, want, whole.Append(nil), "seed %d: what was copied has changed", seed)
		}
	}
}
