package plot

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Bars stay within the drawing, each below the one before it, as long as their values compare.
func TestBars(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Bar
		for range rapid.IntRange(0, 9).Draw(t, "n") {
			list = append(list, Bar{"x", rapid.SampledFrom([]int64{-3, 0, 1, 7, 90, 1 << 40, math.MaxInt64}).Draw(t, "value")})
		}
		items := Bars(list)
		require.Len(t, items, 2*min(len(list), barsMost))
		bottom := int64(-1)
		for i := 0; i < len(items); i += 2 {
			bar, text := items[i], items[i+1]
			require.Equal(t, Field, bar.Sort)
			require.Less(t, bottom, text.At[0].Y, "words stand below the bar before")
			require.Less(t, text.At[0].Y, bar.At[0].Y)
			require.True(t, bar.At[0].X == 0 && bar.At[1].X > 0 && bar.At[1].X <= Size && bar.At[1].Y <= Size, "%v", bar.At)
			bottom = bar.At[1].Y
			for j := 0; j < i; j += 2 {
				a, b := list[j/2].Value, list[i/2].Value
				require.False(t, a > b && items[j].At[1].X < bar.At[1].X, "%d is drawn shorter than %d", a, b)
			}
		}
	})
}
