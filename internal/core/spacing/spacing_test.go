package spacing_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/fixed"
	"brinebell/internal/core/spacing"
)

func float(x fixed.Num) float64 { return float64(x) / float64(fixed.One) }

// TestAgainstAnIndependentImplementation walks testdata/histories.csv (ts-fsrs 5.4.2; see the README beside it). Memories are
// carried on from answer to answer, so that an error would grow.
func TestAgainstAnIndependentImplementation(t *testing.T) {
	f, err := os.Open("testdata/histories.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	histories, worst := map[string]bool{}, 0.0
	var m spacing.Memory
	for _, r := range rows[1:] {
		if !histories[r[0]] {
			histories[r[0]], m = true, spacing.Memory{}
		}
		var n [6]float64
		for i := range n {
			n[i], err = strconv.ParseFloat(r[i], 64)
			require.NoError(t, err)
		}
		m = m.Answered(spacing.Grade(n[2]), int64(n[1]))
		require.InEpsilon(t, n[3], float(m.Stability), 2e-6, "stability of %v", r)
		require.InEpsilon(t, n[4], float(m.Difficulty), 1e-6, "difficulty of %v", r)
		worst = max(worst, math.Abs(n[3]-float(m.Stability))/n[3])
		if half := n[3] - math.Floor(n[3]); math.Abs(half-0.5) > 1e-3 {
			require.EqualValues(t, n[5], m.Days(), "days of %v", r)
		}
	}
	require.GreaterOrEqual(t, len(histories), 1000)
	t.Logf("stability is off by at most %.2g of itself", worst)
}

// TestNineInTenAfterTheStability is what stability means.
func TestNineInTenAfterTheStability(t *testing.T) {
	m := spacing.Memory{Stability: fixed.FromInt(40), Difficulty: fixed.FromInt(5)}
	require.InDelta(t, 0.9, float(m.Recall(40)), 1e-7)
	require.EqualValues(t, 40, m.Days())
	require.InDelta(t, 1, float(m.Recall(0)), 1e-7)
}

func TestAnAnswerNeverSpoilsAMemory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m spacing.Memory
		require.Zero(t, m.Days())
		for range rapid.IntRange(1, 40).Draw(t, "answers") {
			days := rapid.Int64Range(-1, 40_000).Draw(t, "days")
			better, worse := m.Answered(spacing.Good, days), m.Answered(spacing.Again, days)
			require.LessOrEqual(t, worse.Stability, better.Stability, "who did not know it is asked no later")
			require.GreaterOrEqual(t, worse.Difficulty, better.Difficulty)
			m = m.Answered(spacing.Grade(rapid.IntRange(0, 9).Draw(t, "grade")), days)
			require.True(t, m.Known())
			require.GreaterOrEqual(t, m.Days(), int64(1))
			require.LessOrEqual(t, m.Days(), int64(36_500))
			require.GreaterOrEqual(t, m.Difficulty, fixed.One)
			require.LessOrEqual(t, m.Difficulty, 10*fixed.One)
			require.GreaterOrEqual(t, m.Recall(days), m.Recall(days+1), "nobody remembers better for waiting")
		}
	})
}
