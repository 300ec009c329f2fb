package plot

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Whatever is drawn stays within the drawing, with as many points as two for each column at most.
func TestEverythingStaysWithinTheDrawing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 3000).Draw(t, "n")
		seed := rapid.Uint64().Draw(t, "seed")
		big := rapid.SampledFrom([]int64{1, 1000, 1 << 40, math.MaxInt64}).Draw(t, "size")
		x := rapid.Int64().Draw(t, "x") / 2
		points := make([]Point, n)
		for i := range points {
			seed = seed*6364136223846793005 + 1442695040888963407
			x += int64(seed>>40) % 5000
			points[i] = Point{x, int64(seed) % big}
		}
		c := Over(points, rapid.Int64().Draw(t, "level"))
		c.Line(Value, points)
		c.Level(Limit, rapid.Int64().Draw(t, "other"), "limit")
		c.Spots(Signal, points...)
		c.Mark("most", "least")
		c.Shade(Held, rapid.Int64().Draw(t, "from"), rapid.Int64().Draw(t, "to"))
		c.Below("a", "b")
		for _, item := range c.Items() {
			require.LessOrEqual(t, len(item.At), 2*(columns+1))
			for _, at := range item.At {
				require.True(t, at.X >= 0 && at.X <= Size && at.Y >= 0 && at.Y <= Size, "%v", at)
			}
		}
	})
}

// The ends are those of the values, and their words stand where they are.
func TestWordsStandWhereTheEndsAre(t *testing.T) {
	c := Over([]Point{{0, 165_000}, {1, 168_000}, {2, 171_000}})
	low, high := c.Ends()
	require.Equal(t, []int64{165_000, 171_000}, []int64{low, high})
	c.Mark("171", "165")
	items := c.Items()
	require.Less(t, items[0].At[0].Y, c.place(Point{0, high}).Y, "above the highest value")
	require.Greater(t, items[1].At[0].Y, c.place(Point{0, low}).Y, "below the lowest")
	require.Less(t, items[1].At[0].Y, int64(foot)-72, "a line of words above what stands at the foot")
}

// A thinned line keeps the lowest and the highest of every column, in their order.
func TestThinningKeepsTheExtremesOfEachColumn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "n")
		seed := rapid.Uint64().Draw(t, "seed")
		points := make([]Point, n)
		x := int64(0)
		for i := range points {
			seed = seed*6364136223846793005 + 1442695040888963407
			x += int64(seed>>33) % 100
			points[i] = Point{x, int64(seed>>40) % 1000}
		}
		right := max(points[n-1].X, 1)
		got := thin(points, 0, right)
		type ends struct{ low, high int64 }
		of := func(list []Point) map[int64]ends {
			m := map[int64]ends{}
			for _, p := range list {
				k := p.X * columns / right
				e, ok := m[k]
				if !ok {
					e = ends{p.Y, p.Y}
				}
				m[k] = ends{min(e.low, p.Y), max(e.high, p.Y)}
			}
			return m
		}
		require.Equal(t, of(points), of(got))
		for i := 1; i < len(got); i++ {
			require.LessOrEqual(t, got[i-1].X, got[i].X)
		}
	})
}

func TestWordsOfLevelsKeepApart(t *testing.T) {
	c := Over([]Point{{0, 0}, {10, 100}})
	for _, y := range []int64{50, 51, 49, 100, 100, 0} {
		c.Level(Limit, y, "x")
	}
	items := c.Items()
	var at []int64
	for _, item := range items {
		if item.Sort == Words {
			at = append(at, item.At[0].Y)
		}
	}
	require.Len(t, at, 6)
	for i := 1; i < len(at); i++ {
		require.GreaterOrEqual(t, at[i]-at[i-1], int64(apart))
	}
	require.LessOrEqual(t, at[5], int64(bottom))
	require.Greater(t, at[0], int64(0))
}

// Higher values stand higher, and a level stands where a point of its value does.
func TestPlacesFollowValues(t *testing.T) {
	points := []Point{{0, 10}, {5, 20}, {10, 15}}
	c := Over(points, 15)
	c.Line(Value, points)
	c.Level(Limit, 15, "15")
	items := c.Items()
	line, level := items[0].At, items[1].At
	require.Equal(t, []int64{0, Size / 2, Size}, []int64{line[0].X, line[1].X, line[2].X})
	require.Less(t, line[1].Y, line[2].Y)
	require.Less(t, line[2].Y, line[0].Y)
	require.Equal(t, line[2].Y, level[0].Y)
	require.Equal(t, Point{Size, line[2].Y}, level[1])
}

func BenchmarkLongLog(b *testing.B) {
	points := make([]Point, 100_000)
	for i := range points {
		points[i] = Point{int64(i), int64(i * 7919 % 1000)}
	}
	for b.Loop() {
		c := Over(points)
		c.Line(Value, points)
		c.Items()
	}
}
