package statistics

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/fixed"
)

func published(t *testing.T, name string) [][]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func number(t require.TestingT, s string) float64 {
	f, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return f
}

// The worked example of the NIST/SEMATECH e-Handbook, 6.3.2.2, in ten-thousandths, as the handbook prints its limits, and in
// thousandths, as kitchens keep theirs.
func TestFlowRateOfTheHandbook(t *testing.T) {
	want := map[string]float64{}
	var values []float64
	for _, r := range published(t, "individuals-flow-rate.csv") {
		if r[0] == "value" {
			values = append(values, number(t, r[1]))
		} else {
			want[r[0]] = number(t, r[1])
		}
	}
	require.Len(t, values, 10)
	for _, scale := range []float64{10_000, 1000} {
		series := make([]int64, len(values))
		for i, v := range values {
			series[i] = int64(math.Round(v * scale))
		}
		c := Individuals(series)
		in := func(name string) int64 { return int64(math.Round(want[name] * scale)) }
		require.Equal(t, in("mean"), c.Mean)
		require.Equal(t, in("mean moving range"), c.MeanRange)
		require.Equal(t, in("lower limit"), c.Lower)
		require.Equal(t, in("upper limit"), c.Upper)
		require.Empty(t, c.Signals())
	}
	require.Equal(t, int64(d2), int64(math.Round(want["d2"]*1000)))
	require.Equal(t, int64(d4), int64(math.Round(want["D4"]*1000)))
	require.InDelta(t, want["E2"], 3000.0/d2, 0.0005)
}

// Every rule against a slow reading of its sentence, in floats, on series that wander.
func TestRunRulesSayWhatTheirSentencesSay(t *testing.T) {
	seen := map[Rule]int{}
	rapid.Check(t, func(t *rapid.T) {
		seed := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		values, level := make([]int64, 60), 0.0
		for i := range values {
			level += seed.NormFloat64() * 300
			values[i] = int64(10_000 + level + seed.NormFloat64()*1000)
		}
		c := Individuals(values)
		got := map[Signal]bool{}
		for _, s := range c.Signals() {
			got[s] = true
			seen[s.Rule]++
		}
		for i := range values {
			for r := range Rules {
				for _, above := range []bool{true, false} {
					require.Equal(t, slow(values, r, i, above), got[Signal{r, i, above}], "rule %d at %d", r, i)
				}
			}
		}
	})
	for r := range Rules {
		require.NotZero(t, seen[r], "rule %d was never met", r)
	}
}

func slow(values []int64, r Rule, i int, above bool) bool {
	mean, ranges := 0.0, 0.0
	for j, v := range values {
		mean += float64(v) / float64(len(values))
		if j > 0 {
			ranges += math.Abs(float64(v-values[j-1])) / float64(len(values)-1)
		}
	}
	sigma := ranges / 1.128
	beyond := func(last, need int, k float64) bool {
		n, now := 0, false
		for j := max(0, i-last+1); j <= i; j++ {
			z := (float64(values[j]) - mean) / sigma
			if !above {
				z = -z
			}
			if now = z > k; now {
				n++
			}
		}
		return now && n >= need
	}
	switch r {
	case Beyond3:
		return beyond(1, 1, 3)
	case Beyond2:
		return beyond(3, 2, 2)
	case Beyond1:
		return beyond(5, 4, 1)
	case OneSide:
		return beyond(8, 8, 0)
	case Trend:
		for j := i - 4; j <= i; j++ {
			if j < 1 || values[j] == values[j-1] || values[j] > values[j-1] != above {
				return false
			}
		}
		return true
	}
	return i > 0 && math.Abs(float64(values[i]-values[i-1])) > 3.267*ranges && values[i] > values[i-1] == above
}

func TestChartsOfFewOrWildValuesHold(t *testing.T) {
	none := Individuals(nil)
	require.Equal(t, []int64{0, 0, 0, 0, 0}, []int64{none.Mean, none.Lower, none.Upper, none.MeanRange, none.MostRange})
	require.Empty(t, none.Signals())
	one := Individuals([]int64{7})
	require.Equal(t, []int64{7, 7, 7, 0, 0}, []int64{one.Mean, one.Lower, one.Upper, one.MeanRange, one.MostRange})
	require.Empty(t, Individuals([]int64{5, 5, 5, 5, 5, 5, 5, 5, 5}).Signals())
	wild := make([]int64, 2*Most)
	for i := range wild {
		wild[i] = math.MaxInt64
		if i%2 == 0 {
			wild[i] = math.MinInt64
		}
	}
	c := Individuals(wild)
	require.Len(t, c.Values, Most)
	require.Equal(t, int64(2*Far), c.MeanRange)
	require.Equal(t, int64(math.Round(3*2*Far/1.128)), c.Upper)
	require.Equal(t, -c.Upper, c.Lower)
}

// Ties go to the even neighbour (NIST SP 811, B.7.1).
func TestLinesRoundTiesToEven(t *testing.T) {
	require.Equal(t, []int64{2, 2, 4, -2, -2}, []int64{nearest(3, 2), nearest(5, 2), nearest(7, 2), nearest(-3, 2), nearest(-5, 2)})
}

func num(f float64) fixed.Num  { return fixed.Num(math.Round(f * (1 << 32))) }
func real(n fixed.Num) float64 { return float64(n) / (1 << 32) }

// The certified figures of NIST's Statistical Reference Datasets, Norris.
func TestLineThroughNorris(t *testing.T) {
	want := map[string]float64{}
	var points []Pair
	for _, r := range published(t, "line-norris.csv") {
		if x, err := strconv.ParseFloat(r[0], 64); err == nil {
			points = append(points, Pair{num(x), num(number(t, r[1]))})
		} else {
			want[r[0]] = number(t, r[1])
		}
	}
	require.Len(t, points, 36)
	f, ok := Least(points)
	require.True(t, ok)
	require.InDelta(t, want["slope"], real(f.Slope), 1e-8)
	require.InDelta(t, want["intercept"], real(f.At(0)), 1e-6)
	require.InDelta(t, want["residual standard deviation"], real(f.Scatter), 1e-6)
}

// The table is the published one, and agrees with the distribution: integrated here, its tail is 0.05.
func TestStudentsTable(t *testing.T) {
	rows := published(t, "students-t-90.csv")
	require.Len(t, rows, len(t90))
	for i, r := range rows {
		v := float64(i + 1)
		require.Equal(t, strconv.Itoa(i+1), r[0])
		require.Equal(t, int64(t90[i]), int64(math.Round(number(t, r[1])*1000)))
		a, _ := math.Lgamma((v + 1) / 2)
		b, _ := math.Lgamma(v / 2)
		scale := math.Exp(a-b) / math.Sqrt(v*math.Pi)
		area, steps := 0.0, 20_000
		for j := range steps {
			x := (float64(j) + 0.5) * float64(t90[i]) / 1000 / float64(steps)
			area += scale * math.Pow(1+x*x/v, -(v+1)/2) * float64(t90[i]) / 1000 / float64(steps)
		}
		require.InDelta(t, 0.45, area, 0.0002, "%d degrees of freedom", i+1)
	}
}

// Lines, intervals and where they reach a level, against the textbook's formulas in floats; and at both ends of the reach the
// edge of the interval stands at the level.
func TestLinesAgreeWithFloats(t *testing.T) {
	reached := 0
	rapid.Check(t, func(t *rapid.T) {
		seed := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		n := rapid.IntRange(4, 60).Draw(t, "n")
		points := make([]Pair, n)
		slope, noise := 0.1+seed.Float64()*2, 0.05+seed.Float64()
		mx, my := 0.0, 0.0
		for i := range points {
			x := float64(i) + seed.Float64()/2
			points[i] = Pair{num(x), num(4 + slope*x + noise*seed.NormFloat64())}
			mx, my = mx+real(points[i].X)/float64(n), my+real(points[i].Y)/float64(n)
		}
		sxx, sxy, rest := 0.0, 0.0, 0.0
		for _, p := range points {
			sxx += (real(p.X) - mx) * (real(p.X) - mx)
			sxy += (real(p.X) - mx) * (real(p.Y) - my)
		}
		b := sxy / sxx
		for _, p := range points {
			d := real(p.Y) - my - b*(real(p.X)-mx)
			rest += d * d
		}
		s := math.Sqrt(rest / float64(n-2))
		f, ok := Least(points)
		require.True(t, ok)
		require.InDelta(t, b, real(f.Slope), 1e-6)
		require.InDelta(t, s, real(f.Scatter), 1e-5)
		quantile := float64(t90[min(n-3, len(t90)-1)]) / 1000
		x := 70.0
		half := quantile * s * math.Sqrt(1+1/float64(n)+(x-mx)*(x-mx)/sxx)
		require.InEpsilon(t, half, real(f.Half(num(x))), 1e-4)
		at, early, late, ok := f.Reach(num(25))
		steep := b > 0 && b*b > quantile*quantile*s*s/sxx
		if !ok {
			require.False(t, steep && b*b > 1.001*quantile*quantile*s*s/sxx)
			return
		}
		reached++
		require.InDelta(t, (25-my)/b+mx, real(at), 1e-3)
		require.LessOrEqual(t, early, at)
		require.LessOrEqual(t, at, late)
		for x, sign := range map[fixed.Num]float64{early: 1, late: -1} {
			if math.Abs(real(x)) < 1000 {
				require.InDelta(t, 25, real(f.At(x))+sign*real(f.Half(x)), 0.01)
			}
		}
	})
	require.NotZero(t, reached)
}

func TestNoLineThroughTooFewPoints(t *testing.T) {
	for _, points := range [][]Pair{nil, {{0, 0}, {1, 1}, {2, 2}}, {{5, 0}, {5, 1}, {5, 2}, {5, 3}}} {
		_, ok := Least(points)
		require.False(t, ok)
	}
	falling, ok := Least([]Pair{{num(0), num(9)}, {num(1), num(8)}, {num(2), num(6)}, {num(3), num(5)}})
	require.True(t, ok)
	_, _, _, ok = falling.Reach(num(25))
	require.False(t, ok, "oil that gets better reaches no limit")
}

// Nine of ten further measurements lie within the interval.
func TestIntervalCoversNineOfTen(t *testing.T) {
	seed := rand.New(rand.NewPCG(7, 7))
	within := 0
	for range 4000 {
		points := make([]Pair, 7)
		for i := range points {
			points[i] = Pair{fixed.FromInt(int64(i)), num(5 + 2*float64(i) + seed.NormFloat64())}
		}
		f, _ := Least(points)
		if y := 5 + 2*9 + seed.NormFloat64(); math.Abs(y-real(f.At(num(9)))) < real(f.Half(num(9))) {
			within++
		}
	}
	require.InDelta(t, 3600, within, 80)
}
