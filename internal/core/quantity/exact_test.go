package quantity

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestExactKeepsWhatWasRead(t *testing.T) {
	for _, c := range []struct {
		number, code string
		want         Exact
	}{
		{"32", "[degF]", 0}, {"0", "Cel", 0}, {"-40", "[degF]", -40 * PerCelsius}, {"-40", "Cel", Fahrenheit(-400)},
		{"135", "[degF]", Fahrenheit(1350)}, {"134.9", "[degF]", Fahrenheit(1349)}, {"41", "[degF]", 5 * PerCelsius},
		{"0.000000001", "Cel", 9}, {"32.000000001", "[degF]", 5},
	} {
		got, err := ReadExact(c.number, c.code)
		require.NoError(t, err, c.number)
		require.Equal(t, c.want, got, "%s %s", c.number, c.code)
	}
	below, err := ReadExact("57.222222222", "Cel")
	require.NoError(t, err)
	require.Less(t, below, Fahrenheit(1350), "no reading is rounded up to its limit")
	for text, want := range map[string]error{"hot": ErrNumber, "1e3": ErrNumber, "1000001": ErrLarge, "0.1234567891": ErrNumber} {
		_, err := ReadExact(text, "Cel")
		require.ErrorIs(t, err, want, text)
	}
	_, err = ReadExact("20", "kg")
	require.ErrorIs(t, err, ErrKind)
	_, err = ReadExact("20", "K")
	require.ErrorIs(t, err, ErrUnit)
}

func TestExactIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(0, 9).Draw(t, "places")
		mantissa := rapid.Int64Range(-999_999_999, 999_999_999).Draw(t, "mantissa")
		text := string(appendFixed(nil, mantissa, places, places, '.'))
		for code, per := range map[string]Exact{"Cel": PerCelsius, "[degF]": PerFahrenheit} {
			got, err := ReadExact(text, code)
			if err != nil {
				require.ErrorIs(t, err, ErrLarge)
				continue
			}
			want, _ := new(big.Rat).SetString(text)
			want.Sub(want, big.NewRat(map[string]int64{"Cel": 0, "[degF]": 32}[code], 1))
			want.Mul(want, big.NewRat(int64(per), 1))
			require.Zero(t, want.Cmp(big.NewRat(int64(got), 1)), "%s %s", text, code)
		}
	})
}

// What a cook typed in tenths of either unit and was kept in thousandths of °C is judged as it was typed.
func TestKeptIsAsItWasTyped(t *testing.T) {
	for n := int64(-500); n <= 5000; n++ {
		text := string(appendFixed(nil, n, 1, 1, '.'))
		for _, code := range []string{"Cel", "[degF]"} {
			mC, err := Convert(text, code, MilliC, HalfEven)
			require.NoError(t, err)
			want, err := ReadExact(text, code)
			require.NoError(t, err)
			require.Equal(t, want, Kept(mC), "%s %s", text, code)
			require.Equal(t, mC, want.MilliC())
		}
	}
	for mC := int64(-50_000); mC < 300_000; mC += 10 {
		require.Equal(t, Exact(mC)*(PerCelsius/1000), Kept(mC), "hundredths of °C are never taken for °F")
	}
}
