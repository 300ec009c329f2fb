package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// TestClockAndDateAgainstTheStandardLibrary compares wall times and dates with package time's, which the ring itself
// may not use.
func TestClockAndDateAgainstTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		at := stamp.Milli(rapid.Int64Range(-60_000_000_000_000, 60_000_000_000_000).Draw(rt, "at"))
		z := Zone(rapid.Int32Range(-14*60, 14*60).Draw(rt, "zone"))
		want := time.UnixMilli(int64(at)).In(time.FixedZone("", int(z)*60))
		require.Equal(rt, want.Format("15:04"), Clock(at, z))
		require.Equal(rt, want.Format("15:04:05"), ClockSeconds(at, z))
		require.Equal(rt, want.Format("Monday 2 Jan"), EN.Date(z.Day(at), false))
		require.Equal(rt, want.Format("Mon 2 Jan"), EN.Date(z.Day(at), true))
		y, m, d := stamp.Civil(z.Day(at))
		require.Equal(rt, []int{want.Year(), int(want.Month()), want.Day()}, []int{y, m, d})
	})
}

func TestDatesInSpanish(t *testing.T) {
	z := Zone(-300)
	at := stamp.Milli(time.Date(2026, 11, 26, 16, 38, 12, 0, time.UTC).UnixMilli())
	require.Equal(t, "jueves 26 nov", ES.Date(z.Day(at), false))
	require.Equal(t, "jue 26 nov", ES.Date(z.Day(at), true))
	require.Equal(t, "11:38", ES.When(at, at, z))
	require.Equal(t, "Fri 02:38", EN.When(at.Add(15*stamp.Hour), at, z))
	require.Equal(t, "Wed 11:38", EN.When(at.Add(-stamp.Day), at, z))
	require.Equal(t, "Thu 3 Dec, 11:38", EN.When(at.Add(7*stamp.Day), at, z))
}

// TestEachInstantHasItsOwnOffset: clocks in New York go back at 06:00 UTC on 1 November 2026.
func TestEachInstantHasItsOwnOffset(t *testing.T) {
	change := stamp.Milli(time.Date(2026, 11, 1, 6, 0, 0, 0, time.UTC).UnixMilli())
	s := kitchen.New()
	s.Offsets = []entry.Offset{{From: 0, Minutes: -240}, {From: change, Minutes: -300}}
	require.Equal(t, "01:59", EN.At(s, change-1, change))
	require.Equal(t, "01:00", EN.At(s, change, change))
}

func TestLengths(t *testing.T) {
	for _, c := range []struct {
		span stamp.Span
		want string
		over string
	}{
		{0, "0\u00a0s", "1\u00a0s"}, {999, "0\u00a0s", "1\u00a0s"}, {30_000, "30\u00a0s", "30\u00a0s"},
		{stamp.Minute, "1\u00a0min", "1\u00a0min"}, {90_000, "1:30", "1:30"}, {599_999, "9:59", "10\u00a0min"},
		{32 * stamp.Minute, "32\u00a0min", "32\u00a0min"}, {32*stamp.Minute + 1, "32\u00a0min", "33\u00a0min"},
		{7 * stamp.Hour, "7\u00a0h", "7\u00a0h"}, {161 * stamp.Minute, "2\u00a0h\u00a041", "2\u00a0h\u00a041"},
		{3 * stamp.Day, "3 days", "3 days"}, {-stamp.Minute, "-1\u00a0min", "1\u00a0s"},
	} {
		require.Equal(t, c.want, EN.Length(c.span), "%d", c.span)
		require.Equal(t, c.over, EN.Over(c.span), "%d", c.span)
	}
	require.NotPanics(t, func() { _ = EN.Length(-1<<63) + EN.Over(-1<<63) + EN.Over(1<<63-1) })
}

func TestAmountsAndLimits(t *testing.T) {
	n := func(v int64) *int64 { return &v }
	require.Equal(t, "13.8\u00a0kg", EN.Amount(13_800, "g"))
	require.Equal(t, "13,8\u00a0kg", ES.Amount(13_800, "g"))
	require.Equal(t, "1 pieza", ES.Amount(1, "1"))
	require.Equal(t, "at least 75.0\u00a0°C", EN.Limit(procedure.Limit{Min: n(75_000)}, "mC"))
	require.Equal(t, "como mucho 5,0\u00a0°C", ES.Limit(procedure.Limit{Max: n(5_000)}, "mC"))
	require.Equal(t, "164.0 to 174.0\u00a0°C", EN.Limit(procedure.Limit{Min: n(164_000), Max: n(174_000)}, "mC"))
	require.Equal(t, "500\u00a0g to 2\u00a0kg", EN.Limit(procedure.Limit{Min: n(500), Max: n(2_000)}, "g"))
	require.Empty(t, EN.Limit(procedure.Limit{}, "mC"))
	require.Equal(t, "14 pieces, 2.1\u00a0kg", EN.Weight(2_100, 14))
}

func TestTypingNamesTheUnit(t *testing.T) {
	for _, c := range []struct{ unit, typedIn, code, shown string }{
		{"mC", "", "Cel", "°C"}, {"mC", "[degF]", "[degF]", "°F"}, {"g", "", "kg", "kg"}, {"g", "[lb_av]", "[lb_av]", "lb"},
		{"g", "[oz_av]", "[oz_av]", "oz"}, {"g", "g", "g", "g"}, {"mL", "", "L", "L"}, {"mL", "[gal_us]", "[gal_us]", "gal"},
		{"mL", "[foz_us]", "[foz_us]", "fl oz"}, {"ms", "", "s", "s"}, {"ms", "min", "min", "min"}, {"mC", "kg", "Cel", "°C"},
	} {
		how := EN.Typing(c.unit, c.typedIn)
		require.Equal(t, c.code, how.Code)
		require.Equal(t, c.shown, how.Unit)
		_, err := quantity.Typed("12.5", how.Code, quantity.Unit(c.unit))
		require.NoError(t, err, "what a page asks for, the core can read")
	}
	require.Equal(t, "pieces", EN.Typing("1", "1").Unit)
}

func TestCustomaryIsShownAsTyped(t *testing.T) {
	require.Equal(t, "[degF]", Shown("mC", "[degF]"))
	require.Equal(t, "mC", Shown("mC", "Cel"))
	require.Equal(t, "g", Shown("g", ""))
	n := int64(73_889) // 165 °F, rounded up as a least amount is
	require.Equal(t, "at least 165.0\u00a0°F", EN.Limit(procedure.Limit{Min: &n}, "[degF]"))
	require.Equal(t, "165.0\u00a0°F", EN.Amount(n, "[degF]"))
	require.Equal(t, "5.0\u00a0°F", EN.Difference(2_778, "[degF]"))
}
