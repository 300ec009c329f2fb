package safety

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/stamp"
)

// Food Code 3-501.17 and .18: testdata/published/food-code-numbers.csv.
func TestDateMarksAreThePublishedOnes(t *testing.T) {
	fc := codeRows(t)
	require.EqualValues(t, DateDays, whole(t, fc["date-max"]["value_si"]))
	require.EqualValues(t, Make(0).Used, whole(t, fc["date-day1"]["value_si"]))
	require.Equal(t, DateNeeded, stamp.Span(whole(t, fc["date-need"]["value_si"]))*stamp.Second)
	require.Equal(t, "paused", fc["date-frozen"]["value_si"])
	require.Equal(t, "earliest", fc["date-combine"]["value_si"])
	require.Equal(t, fc["date-combine"]["status"], SourceOf("fc-date-combine").Status.String())
	for _, id := range []string{"disp-over", "disp-unmarked", "disp-wrong"} {
		require.Equal(t, "discard", fc[id]["value_si"])
	}
}

func TestDateMarkCounts(t *testing.T) {
	m := Make(100)
	require.EqualValues(t, 106, m.Last(), "made on a Monday, used by Sunday")
	require.Equal(t, Met, m.Finding(106).Verdict)
	require.Equal(t, NotMet, m.Finding(107).Verdict)
	day := func(n int32) *int32 { return &n }
	require.Empty(t, m.Actions(105, day(106)))
	require.Equal(t, []Action{UseFirst}, m.Actions(106, day(106)))
	require.Equal(t, []Action{Discard}, m.Actions(107, day(106)), "over")
	require.Equal(t, []Action{Discard}, m.Actions(101, nil), "unmarked")
	require.Equal(t, []Action{Discard}, m.Actions(101, day(107)), "marked with a later day")
	require.Equal(t, m, m.By(99), "a day before changes nothing")

	f := m.Freeze(103)
	require.EqualValues(t, 4, f.Used, "the day of freezing counts")
	require.Zero(t, f.Until(func(int32) stamp.Milli { return 1 }))
	require.Equal(t, Met, f.Finding(500).Verdict, "frozen days do not count")
	thawed := f.Thaw(500)
	require.EqualValues(t, 5, thawed.Used, "the day of thawing counts")
	require.EqualValues(t, 502, thawed.Last())
	require.Equal(t, m.By(103), m.Freeze(103).Thaw(103), "frozen and thawed on one day: one day")
	require.Equal(t, NotMet, m.Freeze(106).Thaw(200).Finding(200).Verdict, "nothing was left when it was frozen")

	c := Combine(Make(100), Make(103), 104)
	require.EqualValues(t, 106, c.Last())
	require.EqualValues(t, 100, c.Made)
	c = Combine(Make(100).Freeze(101), Make(103), 104)
	require.False(t, c.Frozen)
	require.EqualValues(t, 100, c.Made)
	require.EqualValues(t, 108, c.Last(), "three days of the older are used, two of the younger")
}

// Days are the kitchen's: the night the clocks change makes a day of 23 or 25 hours, and is one day.
func TestDateMarkEndsWithTheKitchensDay(t *testing.T) {
	const hour = stamp.Milli(stamp.Hour)
	start := func(day int32) stamp.Milli {
		at := stamp.Milli(day) * 24 * hour
		if day > 103 {
			at -= hour // the clocks went forward on day 103
		}
		return at
	}
	require.Equal(t, (107*24-1)*hour-1, Make(100).Until(start))
	require.Equal(t, 103*24*hour-1, Make(96).Until(start))
}

func TestDateMarkProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Make(0)
		unfrozen := map[int32]bool{0: true}
		today, frozen := int32(0), false
		for range rapid.IntRange(0, 12).Draw(t, "events") {
			before := m.Used
			next := today + rapid.Int32Range(0, 3).Draw(t, "days")
			for d := today; d <= next && !frozen; d++ {
				unfrozen[d] = true
			}
			today = next
			switch rapid.SampledFrom([]string{"freeze", "thaw", "look"}).Draw(t, "what") {
			case "freeze":
				m, frozen = m.Freeze(today), true
			case "thaw":
				m, frozen = m.Thaw(today), false
				unfrozen[today] = true
			default:
				m = m.By(today)
			}
			require.GreaterOrEqual(t, m.Used, before)
		}
		require.Len(t, unfrozen, int(m.Used), "a day counts when the food was unfrozen during any part of it")
		other := Make(rapid.Int32Range(-3, today).Draw(t, "other"))
		c := Combine(m, other, today)
		require.Equal(t, c, Combine(other, m, today))
		require.GreaterOrEqual(t, c.Used, other.By(today).Used)
		require.GreaterOrEqual(t, c.Used, m.By(today).Used)
	})
}

func TestShareNeverFlatters(t *testing.T) {
	require.Zero(t, Used{Most: 5}.Share())
	require.EqualValues(t, 1, Used{Spent: 1, Most: 4 * stamp.Hour}.Share())
	require.EqualValues(t, 1000, Used{Spent: 9, Most: 9}.Share())
	require.EqualValues(t, 1001, Used{Spent: 4*stamp.Hour + 1, Most: 4 * stamp.Hour}.Share())
	require.EqualValues(t, 2000, Used{Spent: 8, Most: 4}.Share())
	require.False(t, Used{Spent: 10, Most: 9}.Met())
}
