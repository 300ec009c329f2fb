package fixed

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func float(n Num) float64 { return float64(n) / (1 << 32) }

// near holds the package's promise: one part in 10^8, or two units in the last place.
func near(t require.TestingT, want float64, got Num, what ...any) {
	switch {
	case want >= float(Max):
		require.Equal(t, Max, got, what...)
	case want <= float(Min):
		require.Equal(t, Min, got, what...)
	default:
		require.InDelta(t, want, float(got), max(math.Abs(want)*1e-8, math.Ldexp(2, -32)), what...)
	}
}

// anyNum draws small and large numbers alike.
func anyNum(t *rapid.T, name string) Num {
	return Num(rapid.Int64Range(int64(Min), int64(Max)).Draw(t, name) >> rapid.IntRange(0, 62).Draw(t, name+" shift"))
}

func TestArithmeticAgreesWithBigNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyNum(t, "a"), anyNum(t, "b")
		x, y := big.NewInt(int64(a)), big.NewInt(int64(b))
		one := big.NewInt(int64(One))
		require.Equal(t, rounded(new(big.Int).Mul(x, y), one), Mul(a, b), "%d * %d", a, b)
		require.Equal(t, rounded(new(big.Int).Add(x, y), big.NewInt(1)), Add(a, b))
		require.Equal(t, int64(rounded(new(big.Int).Mul(x, y), one)), Round(a, int64(b)))
		if b != 0 {
			require.Equal(t, rounded(new(big.Int).Mul(x, one), y), Div(a, b), "%d / %d", a, b)
			require.Equal(t, rounded(new(big.Int).Mul(x, one), y), FromRatio(int64(a), int64(b)))
		}
		require.Equal(t, rounded(new(big.Int).Mul(x, one), big.NewInt(1)), FromInt(int64(a)))
	})
}

// rounded is over/under to the nearest, halves away from zero, within the range.
func rounded(over, under *big.Int) Num {
	twice := new(big.Int).Mul(new(big.Int).Abs(over), big.NewInt(2))
	size := new(big.Int).Abs(under)
	q := twice.Add(twice, size).Quo(twice, size.Mul(size, big.NewInt(2)))
	if !q.IsInt64() {
		q = big.NewInt(int64(Max))
	}
	if over.Sign()*under.Sign() < 0 {
		return -Num(q.Int64())
	}
	return Num(q.Int64())
}

func TestLogarithmsPowersAndRootsAgreeWithFloats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyNum(t, "x")
		near(t, math.Exp(float(x)), Exp(x), "exp %v", float(x))
		near(t, math.Pow(10, float(x)), Pow10(x), "10^ %v", float(x))
		near(t, math.Cbrt(float(x)), Cbrt(x), "cbrt %v", float(x))
		if x <= 0 {
			require.Equal(t, []Num{Min, Min, 0, 0}, []Num{Ln(x), Log10(x), Sqrt(x), Pow(x, One)})
			return
		}
		near(t, math.Log(float(x)), Ln(x), "ln %v", float(x))
		near(t, math.Log10(float(x)), Log10(x), "log10 %v", float(x))
		near(t, math.Sqrt(float(x)), Sqrt(x), "sqrt %v", float(x))
		y := Num(rapid.Int64Range(-int64(8*One), int64(8*One)).Draw(t, "y"))
		near(t, math.Pow(float(x), float(y)), Pow(x, y), "%v ^ %v", float(x), float(y))
	})
}

func TestEndsSaturate(t *testing.T) {
	require.Equal(t, []Num{Max, Min, 0}, []Num{Div(One, 0), Div(-One, 0), Div(0, 0)})
	require.Equal(t, []Num{Max, Min, Max}, []Num{Add(Max, 1), Add(Min, -1), Mul(Min, Min)})
	require.Equal(t, []Num{Max, 0, Max, 0}, []Num{Exp(Max), Exp(Min), Pow10(Max), Pow10(Min)})
	require.Equal(t, []Num{1, -1, 0}, []Num{FromRatio(1, 1<<33), FromRatio(-1, 1<<33), FromRatio(1, 1<<33+1)}, "a half goes away from zero")
	require.Equal(t, []Num{One, 0, 0}, []Num{Exp(0), Ln(One), Log10(One)})
}

func TestTextRoundsOnce(t *testing.T) {
	for _, c := range []struct {
		n      Num
		places int
		want   string
	}{
		{FromRatio(15, 2), 2, "7.50"}, {FromRatio(-15, 2), 0, "-8"}, {FromRatio(9995, 10000), 2, "1.00"},
		{FromRatio(-1, 1000), 2, "0.00"}, {FromRatio(1, 3), 9, "0.333333333"}, {Max, 1, "2147483648.0"}, {0, 0, "0"},
	} {
		require.Equal(t, c.want, c.n.Text(c.places))
	}
}

func BenchmarkPow10(b *testing.B) {
	x := FromRatio(123, 100)
	for b.Loop() {
		x = Pow10(-x) + FromRatio(23, 100)
	}
}
