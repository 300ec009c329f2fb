package quantity

import (
	"encoding/csv"
	"maps"
	"math/big"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// table reads a table of published figures; see testdata/published/README.md for the sources.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var list []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		list = append(list, m)
	}
	require.NotEmpty(t, list)
	return list
}

// published says how the tables of published figures call a unit.
var published = map[string]struct {
	code string
	base Unit
}{
	"lb": {"[lb_av]", Gram}, "oz (avoirdupois)": {"[oz_av]", Gram}, "grain": {"[gr]", Gram}, "ton (short)": {"[ston_av]", Gram},
	"kg": {"kg", Gram}, "g": {"g", Gram},
	"gal (US)": {"[gal_us]", Millilitre}, "gal": {"[gal_us]", Millilitre}, "qt (US liquid)": {"[qt_us]", Millilitre},
	"pt (US liquid)": {"[pt_us]", Millilitre}, "cup (US)": {"[cup_us]", Millilitre}, "fl oz (US)": {"[foz_us]", Millilitre},
	"fl oz": {"[foz_us]", Millilitre}, "tbsp (US)": {"[tbs_us]", Millilitre}, "tsp (US)": {"[tsp_us]", Millilitre},
	"tsp": {"[tsp_us]", Millilitre}, "cu in": {"[cin_i]", Millilitre}, "L": {"L", Millilitre}, "mL": {"mL", Millilitre},
	"in": {"[in_i]", Millimetre}, "ft": {"[ft_i]", Millimetre}, "yd": {"[yd_i]", Millimetre}, "cm": {"cm", Millimetre}, "m": {"m", Millimetre},
	"atm": {"atm", Pascal}, "bar": {"bar", Pascal}, "psi": {"[psi]", Pascal}, "Pa": {"Pa", Pascal}, "kPa": {"kPa", Pascal},
	"degF": {"[degF]", MilliC}, "degC": {"Cel", MilliC},
}

func rat(s *scale) *big.Rat {
	return new(big.Rat).SetFrac(new(big.Int).SetUint64(s.num), new(big.Int).SetUint64(s.den))
}

// Factors: NIST Handbook 44, appendix C, and NIST SP 811, B.8 (testdata/published/unit-factors.csv says which are from
// memory). An exact factor is met exactly, a rounded one to the last digit that the table has.
func TestFactorsAreThePublishedOnes(t *testing.T) {
	for _, row := range table(t, "unit-factors.csv") {
		from, ok := published[row["from_unit"]]
		require.True(t, ok, row["from_unit"])
		want, ok := new(big.Rat).SetString(row["multiply_by"])
		require.True(t, ok)
		per := big.NewRat(1, 1000) // a milligram is no unit of ours
		if row["to_unit"] != "mg" {
			to, ok := published[row["to_unit"]]
			require.True(t, ok, row["to_unit"])
			require.Equal(t, from.base, to.base)
			per = rat(find(scales[:], to.code))
		}
		off := new(big.Rat).Quo(rat(find(scales[:], from.code)), per)
		off.Sub(off, want)
		if row["exactness"] == "exact" {
			require.Zero(t, off.Sign(), "%v", row)
			continue
		}
		_, digits, _ := strings.Cut(row["multiply_by"], ".")
		last := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(digits))), nil))
		require.LessOrEqual(t, off.Abs(off).Cmp(last), 0, "%v", row)
	}
}

// Pairs: testdata/published/unit-check-values.csv, to within half a base unit, and as the table rounds them.
func TestConvertedPairs(t *testing.T) {
	for _, row := range table(t, "unit-check-values.csv") {
		from, to := published[row["from_unit"]], published[row["to_unit"]]
		got, err := Convert(row["input"], from.code, from.base, HalfEven)
		require.NoError(t, err)
		want, ok := new(big.Rat).SetString(row["output"])
		require.True(t, ok)
		off := want.Sub(want.Mul(want, rat(find(scales[:], to.code))), new(big.Rat).SetInt64(got))
		require.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(11, 20)), 0, "%v: got %d", row, got) // the table itself has four decimals
		_, decimals, _ := strings.Cut(row["output_rounded"], ".")
		if to.code == "mL" {
			continue // finer than a millilitre: held above, and no more is kept
		}
		rounded, err := In(got, to.code, to.base, len(decimals), HalfEven)
		require.NoError(t, err)
		require.Equal(t, row["output_rounded"], string(appendFixed(nil, rounded, len(decimals), len(decimals), '.')), "%v", row)
	}
}

// Pairs as the FDA Food Code prints them: testdata/published/food-code-printed-pairs.csv.
func TestFoodCodePairs(t *testing.T) {
	for _, row := range table(t, "food-code-printed-pairs.csv") {
		mC, err := Convert(row["F_printed"], "[degF]", MilliC, HalfEven)
		require.NoError(t, err)
		exact, _ := new(big.Rat).SetString(row["C_exact_2dp"])
		off := exact.Sub(exact, big.NewRat(mC, 1000))
		require.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(1, 200)), 0, row["F_printed"])
		whole, err := In(mC, "Cel", MilliC, 0, HalfEven)
		require.NoError(t, err)
		require.Equal(t, row["C_printed"], strconv.FormatInt(whole, 10), "as the code rounds %s degF", row["F_printed"])
		require.Equal(t, row["F_printed"]+".0\u00a0°F", Print(mC, MilliC, Style{Customary: true}), "and back")
	}
}

// Ties go to the even neighbour, a least amount up and a greatest down: NIST SP 811, B.7 (from memory).
func TestRounding(t *testing.T) {
	for _, c := range []struct {
		number string
		r      Rounding
		want   int64
	}{
		{"0.5", HalfEven, 0}, {"1.5", HalfEven, 2}, {"2.5", HalfEven, 2}, {"2.51", HalfEven, 3}, {"-0.5", HalfEven, 0},
		{"-1.5", HalfEven, -2}, {"2.4", HalfEven, 2},
		{"2.1", Up, 3}, {"-2.1", Up, -2}, {"2", Up, 2}, {"2.9", Down, 2}, {"-2.1", Down, -3}, {"-2", Down, -2},
	} {
		got, err := Convert(c.number, "g", Gram, c.r)
		require.NoError(t, err)
		require.Equal(t, c.want, got, "%s, rounding %d", c.number, c.r)
	}
	require.Equal(t, "13.8\u00a0kg", Print(13_850, Gram, Style{}), "6.9749505 to 6.974950: the even digit stays")
	require.Equal(t, "14.0\u00a0kg", Print(13_950, Gram, Style{}), "6.9749515 to 6.974952: the odd digit goes up")
	// Where a limit is printed: SP 811, B.7.2 (from memory).
	least, err := Convert("165", "[degF]", MilliC, Up)
	require.NoError(t, err)
	require.EqualValues(t, 73_889, least)
	most, err := Convert("41.1", "[degF]", MilliC, Down)
	require.NoError(t, err)
	require.EqualValues(t, 5_055, most)
}

// The examples of the rule: testdata/published/rounding-rules.csv (NIST SP 811, B.7.1, from memory). To n digits is to
// n - 1 places after the point here.
func TestPublishedRoundingExamples(t *testing.T) {
	seen := 0
	for _, row := range table(t, "rounding-rules.csv") {
		number, rest, ok := strings.Cut(row["rule"], " to ")
		if !ok || !strings.HasPrefix(row["id"], "half-even-ex") {
			continue
		}
		digits, want, ok := strings.Cut(rest, " digits -> ")
		require.True(t, ok)
		want, _, _ = strings.Cut(want, " ")
		n, err := strconv.Atoi(digits)
		require.NoError(t, err)
		d, err := parseDecimal(number)
		require.NoError(t, err)
		got, err := d.times(pow10(n-1), 1, HalfEven)
		require.NoError(t, err)
		require.Equal(t, want, string(appendFixed(nil, got, n-1, n-1, '.')), row["id"])
		seen++
	}
	require.Equal(t, 4, seen)
}

// What was written comes back as it was: in each unit the kitchen uses, to as many places as a base unit can tell apart.
func TestUnitsComeBackAsTheyWere(t *testing.T) {
	places := map[string]int{"[degF]": 2, "Cel": 3, "[lb_av]": 2, "[oz_av]": 1, "[gal_us]": 3, "[qt_us]": 2, "[pt_us]": 2,
		"[cup_us]": 2, "[foz_us]": 1, "[tbs_us]": 1, "[tsp_us]": 0, "[psi]": 3, "kg": 3, "L": 3, "min": 4, "h": 6, "s": 3,
		"[in_i]": 1, "[ft_i]": 2, "kPa": 3}
	codes := slices.Sorted(maps.Keys(places))
	rapid.Check(t, func(t *rapid.T) {
		code := rapid.SampledFrom(codes).Draw(t, "unit")
		s, n := find(scales[:], code), places[code]
		written := rapid.Int64Range(-2_000_000, 2_000_000).Draw(t, "written")
		value, err := Convert(string(appendFixed(nil, written, n, n, '.')), code, s.base, HalfEven)
		require.NoError(t, err)
		back, err := In(value, code, s.base, n, HalfEven)
		require.NoError(t, err)
		require.Equal(t, written, back)
		again, err := Convert(string(appendFixed(nil, back, n, n, '.')), code, s.base, HalfEven)
		require.NoError(t, err)
		require.Equal(t, value, again)
	})
}

// In rounds once: what it says lies within half of its last place of the exact value, to the side that was asked for.
func TestInIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := scales[rapid.IntRange(0, len(scales)-1).Draw(t, "unit")]
		n := rapid.IntRange(0, 3).Draw(t, "places")
		value := rapid.Int64Range(-1_000_000_000, 1_000_000_000).Draw(t, "value")
		exact := new(big.Rat).Quo(new(big.Rat).SetInt64(value), rat(&s))
		exact.Sub(exact, new(big.Rat).SetInt64(s.offset))
		exact.Mul(exact, new(big.Rat).SetInt64(int64(pow10(n))))
		for r, ok := range map[Rounding]func(off *big.Rat) bool{
			HalfEven: func(off *big.Rat) bool { return new(big.Rat).Abs(off).Cmp(big.NewRat(1, 2)) <= 0 },
			Up:       func(off *big.Rat) bool { return off.Sign() >= 0 && off.Cmp(big.NewRat(1, 1)) < 0 },
			Down:     func(off *big.Rat) bool { return off.Sign() <= 0 && off.Cmp(big.NewRat(-1, 1)) > 0 },
		} {
			got, err := In(value, s.code, s.base, n, r)
			require.NoError(t, err)
			require.True(t, ok(new(big.Rat).Sub(new(big.Rat).SetInt64(got), exact)), "%d as %s to %d places, rounding %d: %d", value, s.code, n, r, got)
		}
	})
}

func TestInRefuses(t *testing.T) {
	for _, c := range []struct {
		value  int64
		code   string
		base   Unit
		places int
		want   error
	}{
		{1, "stone", Gram, 0, ErrUnit}, {1, "kg", Millilitre, 0, ErrKind}, {valueMax + 1, "g", Gram, 0, ErrLarge},
		{1, "g", Gram, 10, ErrLarge}, {1, "g", Gram, -1, ErrLarge}, {valueMax, "g", Gram, 9, ErrLarge},
	} {
		_, err := In(c.value, c.code, c.base, c.places, HalfEven)
		require.ErrorIs(t, err, c.want, "%v", c)
	}
}

// A temperature is rounded once on its way to a screen, and a limit never looks wider than it is, yet comes back as it
// was written.
func TestTemperaturesAreRoundedOnce(t *testing.T) {
	us := Style{Customary: true}
	require.Equal(t, "32.1\u00a0°F", Print(81, MilliC, us), "32.1458: by way of 32.15 it would be 32.2")
	rapid.Check(t, func(t *rapid.T) {
		tenths := rapid.Int64Range(-400, 4000).Draw(t, "tenths")
		text := string(appendFixed(nil, tenths, 1, 1, '.'))
		mC, err := Convert(text, "[degF]", MilliC, HalfEven)
		require.NoError(t, err)
		for _, print := range []func(int64, Unit, Style) string{Print, PrintLeast, PrintMost} {
			require.Equal(t, text+"\u00a0°F", print(mC, MilliC, us))
		}
		off := rapid.Int64Range(1, 27).Draw(t, "off") // half a tenth of a degree F is 27.8 mC
		least, err := Typed(strings.TrimSuffix(PrintLeast(mC+off, MilliC, us), "\u00a0°F"), "[degF]", MilliC)
		require.NoError(t, err)
		require.GreaterOrEqual(t, least, mC+off)
		most, err := Typed(strings.TrimSuffix(PrintMost(mC-off, MilliC, us), "\u00a0°F"), "[degF]", MilliC)
		require.NoError(t, err)
		require.LessOrEqual(t, most, mC-off)
	})
}

// Net contents are never rounded up above what is there: testdata/published/rounding-rules.csv, netweight (from memory).
func TestMostNeverShowsMoreThanThereIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Int64Range(0, 50_000).Draw(t, "g")
		shown := strings.Fields(strings.ReplaceAll(PrintMost(g, Gram, Style{Customary: true}), "\u00a0", " "))
		back, err := Convert(shown[0], map[string]string{"oz": "[oz_av]", "lb": "[lb_av]"}[shown[1]], Gram, Down)
		require.NoError(t, err)
		require.LessOrEqual(t, back, g)
	})
}

// Documents may use the codes that the published schema lists, and no more.
func TestDocumentsKeepTheirUnits(t *testing.T) {
	for i, s := range scales {
		_, err := Written("1 "+s.code, s.base, HalfEven)
		if i < documented {
			require.NoError(t, err, s.code)
			require.Equal(t, s.base.Known(), BaseOf(s.code) == s.base, s.code)
			continue
		}
		require.ErrorIs(t, err, ErrUnit, s.code)
		require.Empty(t, BaseOf(s.code))
	}
}

func TestConversionIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := scales[rapid.IntRange(0, len(scales)-1).Draw(t, "unit")]
		places := rapid.IntRange(0, 6).Draw(t, "places")
		mantissa := rapid.Int64Range(-200_000_000, 200_000_000).Draw(t, "mantissa")
		number := new(big.Rat).SetFrac64(mantissa, int64(pow10(places)))
		exact := new(big.Rat).Add(number, big.NewRat(s.offset, 1))
		exact.Mul(exact, new(big.Rat).SetFrac(new(big.Int).SetUint64(s.num), new(big.Int).SetUint64(s.den)))
		text := number.FloatString(places)
		up, err := Convert(text, s.code, s.base, Up)
		if new(big.Rat).Abs(exact).Cmp(big.NewRat(valueMax+1, 1)) >= 0 {
			require.ErrorIs(t, err, ErrLarge)
			return
		}
		require.NoError(t, err)
		down, err := Convert(text, s.code, s.base, Down)
		require.NoError(t, err)
		near, err := Convert(text, s.code, s.base, HalfEven)
		require.NoError(t, err)
		require.GreaterOrEqual(t, new(big.Rat).SetInt64(up).Cmp(exact), 0)
		require.LessOrEqual(t, new(big.Rat).SetInt64(down).Cmp(exact), 0)
		if exact.IsInt() {
			require.Equal(t, up, down)
		} else {
			require.Equal(t, up, down+1)
		}
		off := new(big.Rat).Sub(exact, new(big.Rat).SetInt64(near))
		half := off.Abs(off).Cmp(big.NewRat(1, 2))
		require.LessOrEqual(t, half, 0)
		if half == 0 {
			require.Zero(t, near&1, "a tie goes to the even neighbour")
		}
	})
}

// Common practice, no source: 14 lb of meat per US gallon of water, 6 US fl oz of concentrate per gallon.
func TestRatios(t *testing.T) {
	meat, err := Written("14 [lb_av]/[gal_us]", MilligramPerLitre, Down)
	require.NoError(t, err)
	require.EqualValues(t, 1_677_569, meat) // 14 x 453.59237 g in 3.785411784 L
	mix, err := Written("6 [foz_us]/[gal_us]", MicrolitrePerLitre, HalfEven)
	require.NoError(t, err)
	require.EqualValues(t, 46_875, mix) // 6/128 exactly
	own, err := Written("1.5 kg/L", MilligramPerLitre, Down)
	require.NoError(t, err)
	require.EqualValues(t, 1_500_000, own)
}

func TestRefusedAmounts(t *testing.T) {
	for text, want := range map[string]error{
		"75": ErrUnit, "75 K": ErrUnit, "75  Cel": ErrUnit, "75 cel": ErrUnit, " Cel": ErrNumber, "7e4 Cel": ErrNumber,
		"+7 Cel": ErrNumber, ".5 Cel": ErrNumber, "5. Cel": ErrNumber, "7,5 Cel": ErrNumber, "-- Cel": ErrNumber,
		"NaN Cel": ErrNumber, "1e400 Cel": ErrNumber, "٣ Cel": ErrNumber, "7 kg": ErrKind, "7 kg/L": ErrKind,
		"9999999999999999 Cel": ErrLarge, "0.1234567891 Cel": ErrNumber, "999999999999999 Cel": ErrLarge,
	} {
		_, err := Written(text, MilliC, HalfEven)
		require.ErrorIs(t, err, want, text)
	}
	_, err := Written("5 Cel/L", MilligramPerLitre, HalfEven)
	require.ErrorIs(t, err, ErrKind)
	_, err = Written("5 kg/cup", MilligramPerLitre, HalfEven)
	require.ErrorIs(t, err, ErrUnit)
	_, err = Written("999999999999999 [lb_av]/mL", MilligramPerLitre, HalfEven)
	require.ErrorIs(t, err, ErrLarge)
}

func TestTyped(t *testing.T) {
	for _, c := range []struct {
		text, code string
		base       Unit
		want       int64
	}{
		{"74.5", "Cel", MilliC, 74_500}, {"74,5", "Cel", MilliC, 74_500}, {" 75. ", "Cel", MilliC, 75_000},
		{"-0,5", "Cel", MilliC, -500}, {"165", "[degF]", MilliC, 73_889}, {"27.6", "kg", Gram, 27_600},
		{"30,4", "[lb_av]", Gram, 13_789}, {"24", "1", Piece, 24}, {"12", "min", Milli, 720_000},
	} {
		got, err := Typed(c.text, c.code, c.base)
		require.NoError(t, err, c.text)
		require.Equal(t, c.want, got, c.text)
	}
	for _, text := range []string{"", "-", ",", "1.2,3", "1,2,3", "7.5.1", "seven"} {
		_, err := Typed(text, "Cel", MilliC)
		require.Error(t, err, text)
	}
}

func TestPrint(t *testing.T) {
	es, us := Style{Lang: "es"}, Style{Lang: "en", Customary: true}
	for _, c := range []struct {
		value int64
		unit  Unit
		style Style
		want  string
	}{
		{13_800, Gram, Style{}, "13.8 kg"}, {13_800, Gram, es, "13,8 kg"}, {9_000, Gram, Style{}, "9.0 kg"},
		{552, Gram, Style{}, "552 g"}, {999, Gram, es, "999 g"}, {1_000, Gram, Style{}, "1.0 kg"}, {-1_400, Gram, es, "-1,4 kg"},
		{9_200, Millilitre, Style{}, "9.2 L"}, {552, Millilitre, es, "552 mL"}, {0, Gram, Style{}, "0 g"},
		{77_600, MilliC, Style{}, "77.6 °C"}, {77_600, MilliC, es, "77,6 °C"}, {77_600, MilliC, us, "171.7 °F"},
		{74_960, MilliC, Style{}, "74.96 °C"}, {73_889, MilliC, Style{}, "73.9 °C"}, {-500, MilliC, es, "-0,5 °C"},
		{-18_000, MilliC, Style{}, "-18.0 °C"}, {-40_000, MilliC, us, "-40.0 °F"}, {14, Piece, es, "14"},
		{13_800, Gram, us, "30.4 lb"}, {200, Gram, us, "7.1 oz"}, {9_200, Millilitre, us, "2.4 gal"},
		{177, Millilitre, us, "6.0 fl oz"}, {720_000, Milli, Style{}, "12 min"}, {5, Piece, us, "5"},
	} {
		require.Equal(t, strings.ReplaceAll(c.want, " ", "\u00a0"), Print(c.value, c.unit, c.style), "%d %s", c.value, c.unit)
	}
}

func TestPrintLimits(t *testing.T) {
	us := Style{Customary: true}
	space := func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }
	require.Equal(t, space("48 kg"), PrintExact(48_000, Gram, Style{}))
	require.Equal(t, space("1,25 L"), PrintExact(1_250, Millilitre, Style{Lang: "es"}))
	require.Equal(t, space("75 °C"), PrintExact(75_000, MilliC, Style{}))
	require.Equal(t, space("73.9 °C"), PrintLeast(73_889, MilliC, Style{}))
	require.Equal(t, space("73.8 °C"), PrintMost(73_889, MilliC, Style{}))
	require.Equal(t, space("165.0 °F"), PrintLeast(73_889, MilliC, us))
	require.Equal(t, space("165.1 °F"), PrintLeast(73_900, MilliC, us))
	require.Equal(t, space("360.0 °F"), PrintLeast(182_222, MilliC, us))
	require.Equal(t, space("165.0 °F"), PrintMost(73_889, MilliC, us))
	require.Equal(t, space("16 kg"), PrintMost(16_000, Gram, Style{}))
	require.Equal(t, space("35.2 lb"), PrintMost(16_000, Gram, us))
	require.Equal(t, space("9.0 °F"), PrintDifference(5_000, MilliC, us))
	require.Equal(t, space("3.2 °C"), PrintDifference(3_200, MilliC, Style{}))
	require.Equal(t, space("0.1 °F"), PrintApart(56, us, Up))
	require.Equal(t, space("0.1 °F"), PrintApart(22, us, Up))
	require.Equal(t, space("0.1 °C"), PrintApart(22, Style{}, Up))
	require.Equal(t, space("0.0 °C"), PrintApart(78, Style{}, Down))
}

func TestLengths(t *testing.T) {
	space := func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }
	for ms, want := range map[int64]string{
		0: "0:00", 30_000: "0:30", 599_999: "9:59", 600_000: "10 min", 3_599_999: "59 min", 3_600_000: "1 h",
		9_660_000: "2 h 41", 14_520_000: "4 h 02", -180_000: "-3:00",
	} {
		require.Equal(t, space(want), Length(ms))
	}
	for ms, want := range map[int64]string{
		0: "0 s", 40_000: "40 s", 630_000: "10 min 30 s", 6_300_000: "1 h 45 min", 25_200_000: "7 h", 3_601_000: "1 h 1 s",
	} {
		require.Equal(t, space(want), LengthExact(ms))
	}
}

func TestDurations(t *testing.T) {
	const h, m, s = 3_600_000, 60_000, 1_000
	for text, want := range map[string]int64{
		"PT7H": 7 * h, "PT1H45M": h + 45*m, "PT30S": 30 * s, "P2D": 48 * h, "P1DT2H3M4.005S": 26*h + 3*m + 4*s + 5,
		"P2W": 14 * 24 * h, "PT90M": 90 * m, "PT0,5S": 500, "PT0S": 0, "PT36H": 36 * h, "P400D": 400 * 24 * h,
	} {
		got, err := Duration(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for text, want := range map[string]error{
		"": ErrDuration, "P": ErrDuration, "PT": ErrDuration, "P1DT": ErrDuration, "7H": ErrDuration, "PT7": ErrDuration,
		"PTH": ErrDuration, "PT7h": ErrDuration, "PT1M1H": ErrDuration, "PT1H1H": ErrDuration, "-PT1H": ErrDuration,
		"P-1D": ErrDuration, "PT+1H": ErrDuration, "P1W2D": ErrDuration, "P1H": ErrDuration, "PT1D": ErrDuration,
		"P1Y": ErrNoLength, "P1M": ErrNoLength, "P1Y2M": ErrNoLength, "P1E9Y": ErrNoLength, "PT1H\n": ErrDuration,
		"P401D": ErrTooLong, "PT99999999999999999999H": ErrTooLong, "P58W": ErrTooLong, "P400DT1S": ErrTooLong,
		"PT1.5H": errNoDecimal, "PT1.0005S": errNoDecimal, "PT1.2.3S": errNoDecimal,
	} {
		_, err := Duration(text)
		require.ErrorIs(t, err, want, text)
	}
}

func TestDurationsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ms := rapid.Int64Range(0, lengthMax).Draw(t, "ms")
		text := string(AppendDuration(nil, ms))
		got, err := Duration(text)
		require.NoError(t, err, text)
		require.Equal(t, ms, got, text)
	})
	require.Equal(t, "PT1H45M", string(AppendDuration(nil, 6_300_000)))
	require.Equal(t, "P1D", string(AppendDuration(nil, 86_400_000)))
}

func FuzzDuration(f *testing.F) {
	f.Add("P1DT2H3M4.005S")
	f.Add("P1E9Y")
	f.Fuzz(func(t *testing.T, text string) {
		ms, err := Duration(text)
		if err == nil && (ms < 0 || ms > lengthMax) {
			t.Fatalf("%q is %d ms", text, ms)
		}
	})
}

func FuzzWritten(f *testing.F) {
	f.Add("14 [lb_av]/[gal_us]")
	f.Add("-0.5 Cel")
	f.Fuzz(func(t *testing.T, text string) {
		for _, base := range []Unit{MilliC, Gram, Millilitre, Milli, Piece, MilligramPerLitre, MicrolitrePerLitre} {
			up, err := Written(text, base, Up)
			down, err2 := Written(text, base, Down)
			if (err == nil) != (err2 == nil) || err == nil && (up < down || up > down+1) {
				t.Fatalf("%q: %d %v, %d %v", text, up, err, down, err2)
			}
		}
	})
}
