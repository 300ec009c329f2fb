package words

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDecimal(t *testing.T) {
	for _, c := range []struct {
		value            int64
		places, decimals int
		en, es           string
	}{
		{17_549, 4, 1, "1.8", "1,8"}, {17_449, 4, 1, "1.7", "1,7"}, {0, 4, 1, "0.0", "0,0"}, {-2_550, 2, 1, "-25.5", "-25,5"},
		{1_012_499, 6, 3, "1.012", "1,012"}, {1_000_500, 6, 3, "1.001", "1,001"}, {310_499, 3, 0, "310", "310"},
		{310_500, 3, 0, "311", "311"}, {-400, 3, 0, "0", "0"}, {5, 2, 2, "0.05", "0,05"}, {99_999, 3, 1, "100.0", "100,0"},
	} {
		require.Equal(t, c.en, EN.Decimal(c.value, c.places, c.decimals))
		require.Equal(t, c.es, ES.Decimal(c.value, c.places, c.decimals))
	}
}

func TestSayFillsNumberedPlaces(t *testing.T) {
	require.Equal(t, "For 1.2 kg: 10 min", EN.Say("cooktime.is", []string{"1.2 kg", "10 min"}))
}
