package physics

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/fixed"
)

// row is a row of a published table by the names of its columns.
type row map[string]string

func (r row) number(t testing.TB, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[name], 64)
	require.NoError(t, err, "%s of %v", name, r)
	return v
}

// published reads a table of testdata/published, which must have at least so many rows.
func published(t testing.TB, name string, least int) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("../../../testdata/published", name))
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(lines), least, name)
	var rows []row
	for _, line := range lines[1:] {
		r := row{}
		for i, v := range line {
			r[lines[0][i]] = v
		}
		rows = append(rows, r)
	}
	return rows
}

// of returns the row whose id is that.
func of(t testing.TB, rows []row, id string) row {
	t.Helper()
	for _, r := range rows {
		if r["id"] == id {
			return r
		}
	}
	require.Fail(t, "no row "+id)
	return nil
}

func number(x fixed.Num) float64 { return float64(x) / (1 << 32) }

func num(x float64) fixed.Num { return fixed.Num(math.Round(x * (1 << 32))) }

// IAPWS R7-97(2012), tables 35 and 36, published to nine digits.
func TestWaterMeetsThePublishedCheckValues(t *testing.T) {
	for _, r := range published(t, "if97-verification.csv", 5) {
		want, input := r.number(t, "published"), r.number(t, "input")
		switch r["function"] {
		case "tsat":
			require.InDelta(t, want, number(Boiling(num(input*1e6))), 1e-6, "Tsat(%v MPa), one micro-kelvin", input)
		case "psat":
			require.InEpsilon(t, want, number(Saturation(num(input)))/1e6, 2e-9, "Psat(%v K), relative", input)
		default:
			require.Fail(t, r["function"])
		}
	}
}

// Both equations of region 4 tell the same line, from the triple point to the critical point.
func TestBoilingUndoesSaturation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := rapid.Float64Range(273.16, 647).Draw(t, "kelvin")
		require.InDelta(t, kelvin, number(Boiling(Saturation(num(kelvin)))), 1e-5)
	})
	require.Equal(t, Boiling(0), Boiling(fixed.FromInt(-5)), "below the range the lower end answers")
	require.InDelta(t, 273.15, number(Boiling(0)), 1e-3)
	require.InDelta(t, 647.096, number(Boiling(fixed.Max)), 1e-3, "and above it the critical point")
}

// The coefficients in the core are those of the table.
func TestCoefficientsAsPublished(t *testing.T) {
	rows := published(t, "if97-region4-coefficients.csv", 9)
	require.Len(t, rows, len(region4))
	for i, r := range rows {
		require.InEpsilon(t, r.number(t, "n_i"), float64(region4[i][0])/float64(region4[i][1]), 1e-14, "n%d", i+1)
	}
}

// ICAO Doc 7488 (printed pressures from memory) and the boiling points computed from it by IAPWS-IF97.
func TestBoilingAtAltitude(t *testing.T) {
	for _, r := range published(t, "altitude-pressure-boiling.csv", 17) {
		metres := r.number(t, "geopotential_altitude_m")
		altitude := int64(math.Round(metres * 1000))
		require.InDelta(t, r.number(t, "pressure_Pa"), number(AirPressure(altitude)), 0.0501, "%v m", metres)
		require.InDelta(t, r.number(t, "boiling_C"), float64(BoilingPoint(altitude))/1000, 0.00101, "%v m: printed to 1 mK", metres)
		require.InDelta(t, r.number(t, "boiling_C"), float64(ProbePoint(altitude))/1000, 0.006, "%v m: to 10 mK", metres)
		if r["icao_printed_Pa"] != "" {
			require.InDelta(t, r.number(t, "icao_printed_Pa"), number(AirPressure(altitude)), 0.15, "%v m", metres)
		}
	}
	for i, r := range published(t, "isa-formula.csv", 6) {
		want := []float64{101325, 288.15, 0.0065, 9.80665, 287.05287}
		if i < len(want) {
			require.Equal(t, want[i], r.number(t, "value"), "the constants that the core's formula was made of")
		}
		if r["symbol"] == "exponent" {
			require.InDelta(t, r.number(t, "value"), 9_806_650_000.0/1_865_843_655, 1e-5)
		}
	}
	require.Equal(t, AirPressure(LowestAltitude), AirPressure(-1<<62), "nonsense answers for the nearest altitude")
	require.Equal(t, AirPressure(HighestAltitude), AirPressure(1<<62))
}

// Steam under gauge pressure in a closed fryer at three altitudes.
func TestSteamUnderPressure(t *testing.T) {
	const psi = 6894.757293168
	for _, r := range published(t, "saturation-vs-gauge.csv", 47) {
		gauge := int64(math.Round(r.number(t, "gauge_psi") * psi))
		got := SteamPoint(int64(r.number(t, "altitude_m")*1000), gauge)
		require.InDelta(t, r.number(t, "Tsat_C"), float64(got)/1000, 0.0056, "%v psi at %v m", r["gauge_psi"], r["altitude_m"])
	}
}

func TestHigherIsCooler(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Int64Range(LowestAltitude, HighestAltitude-1000).Draw(t, "altitude")
		b := rapid.Int64Range(a+1000, HighestAltitude).Draw(t, "higher")
		require.Greater(t, BoilingPoint(a), BoilingPoint(b))
	})
}

// The limit as it is published in both scales, on the boundary and a thousandth of a degree beyond it.
func TestProbeLimitOnItsBoundary(t *testing.T) {
	rows := published(t, "thermometers.csv", 5)
	require.EqualValues(t, 1, of(t, rows, "therm-C").number(t, "value_si"))
	require.EqualValues(t, 2, of(t, rows, "therm-F").number(t, "value_customary"))
	for _, expected := range []int64{0, 97_314, -500} {
		for _, sign := range []int64{1, -1} {
			require.True(t, WithinLimit(expected+sign*1000, expected, false))
			require.False(t, WithinLimit(expected+sign*1001, expected, false))
			require.True(t, WithinLimit(expected+sign*1111, expected, true), "2 degF are 1111.1 thousandths")
			require.False(t, WithinLimit(expected+sign*1112, expected, true))
		}
	}
	require.False(t, WithinLimit(1<<62, 0, true))
	require.False(t, WithinLimit(-1<<62, 1<<60, false))
	for _, fahrenheit := range []bool{false, true} {
		require.True(t, WithinLimit(ProbeLimit(fahrenheit), 0, fahrenheit))
		require.False(t, WithinLimit(ProbeLimit(fahrenheit)+1, 0, fahrenheit), "the limit shown is the limit used")
	}
}

func TestCheckDue(t *testing.T) {
	require.EqualValues(t, 0, CheckDue(0, 1000), "never checked is due now")
	require.EqualValues(t, 6000, CheckDue(5000, 1000))
	require.EqualValues(t, 0, CheckDue(5000, 0), "a probe without an interval is due always")
}
