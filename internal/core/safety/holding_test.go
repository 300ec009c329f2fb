package safety

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// testdata/published/food-code-numbers.csv; where codes differ each row is a limit of its own.
func TestHoldLimitsAreThePublishedOnes(t *testing.T) {
	fc := codeRows(t)
	for _, l := range HoldLimits() {
		row := fc[l.ID]
		require.NotNil(t, row, l.ID)
		require.Equal(t, "degF", row["unit_customary"])
		require.Equal(t, Fahrenheit(whole(t, row["value_customary"])), l.Limit, l.ID)
		require.Equal(t, row["operator"], map[bool]string{true: "<=", false: ">="}[l.Cold], l.ID)
		require.Equal(t, Celsius(whole(t, row["value_si"])), l.AsPrinted().Limit, l.ID)
		s := SourceOf(l.Source)
		require.Equal(t, row["status"], s.Status.String(), l.ID)
		if row["edition"] != "local" && row["source"] != "US TM-10-412" {
			require.Equal(t, row["section"], s.Section, l.ID)
			require.Equal(t, row["source"], s.Title)
		}
	}
	for _, id := range []string{"hold-hot", "hold-hot-nyc", "hold-hot-tm", "hold-cold"} {
		_, ok := HoldLimitOf(id)
		require.True(t, ok, id)
	}
	_, ok := HoldLimitOf("hold-warm")
	require.False(t, ok)
}

func TestHoldLimitsAtTheirBoundaries(t *testing.T) {
	for _, l := range HoldLimits() {
		in, out := l.Limit+tenthF, l.Limit-tenthF
		if l.Cold {
			in, out = out, in
		}
		for h, met := range map[Heat]bool{l.Limit: true, in: true, out: false, l.Limit + (out-in)/(2*tenthF): false} {
			require.Equal(t, met, l.Met(h), l.ID)
			f := l.Finding(h)
			require.Equal(t, Judge(met), f.Verdict)
			require.Equal(t, l.Source, f.Source)
		}
		f := l.Finding(out)
		require.EqualValues(t, 56, f.By, "a tenth of a degree F, in mC")
		off := l.OutOf([]Reading{at(0, l.Limit), at(stamp.Hour, out)})
		require.Equal(t, stamp.Hour, off.Off)
		require.False(t, off.Met())
	}
}

// What is kept in thousandths of °C is judged as it was typed, in tenths of either unit.
func TestKeptReadingsAreJudgedAsTyped(t *testing.T) {
	for n := int64(-500); n <= 5000; n++ {
		text := big.NewRat(n, 10).FloatString(1)
		for code, want := range map[string]Heat{"Cel": Heat(n) * (HeatC / 10), "[degF]": Heat(n-320) * tenthF} {
			mC, err := quantity.Convert(text, code, quantity.MilliC, quantity.HalfEven)
			require.NoError(t, err)
			require.Equal(t, want, FromKept(mC), "%s %s", text, code)
		}
	}
	for mC := int64(-50_000); mC < 300_000; mC += 10 {
		require.Equal(t, FromMilliC(mC), FromKept(mC), "hundredths of °C are never taken for °F")
	}
	require.Equal(t, HeatMost, FromKept(1<<60))
}

func TestTimeOffALimit(t *testing.T) {
	cold, _ := HoldLimitOf("hold-cold")
	ok, warm, hot := Fahrenheit(40), Fahrenheit(45), Fahrenheit(55)
	m := stamp.Minute
	o := cold.OutOf([]Reading{at(0, ok), at(10*m, warm), at(20*m, hot), at(30*m, ok), at(60*m, ok), at(70*m, warm), at(75*m, ok)})
	require.Equal(t, []OffRun{
		{base, base.Add(30 * m), base.Add(10 * m), hot, false}, {base.Add(60 * m), base.Add(75 * m), base.Add(70 * m), warm, false},
	}, o.Runs)
	require.Equal(t, 45*m, o.Off)
	require.Equal(t, 30*m, o.Longest)
	require.Equal(t, 3, o.Readings)
	require.Equal(t, hot, o.Worst)
	require.Equal(t, NotMet, o.Finding().Verdict)
	require.Equal(t, []Action{UseFirst, CallLead}, o.Actions(o.Spends(4*stamp.Hour, 0, base, base.Add(75*m))))
	require.Equal(t, 20*m, o.Between(base.Add(15*m), base.Add(65*m)))
	open := cold.OutOf([]Reading{at(0, ok), at(10*m, warm)})
	require.True(t, open.Open())
	u := open.Spends(4*stamp.Hour, 30*m, base, base.Add(40*m))
	require.Equal(t, Used{70 * m, 4 * stamp.Hour, base.Add(40 * m).Add(170 * m)}, u)
	require.EqualValues(t, 292, u.Share(), "291.7 thousandths, rounded up")
	require.Equal(t, []Action{ReadAgain, Elsewhere, Chill, UseFirst, CallLead}, open.Actions(u))
	require.Equal(t, []Action{ReadAgain, CallLead, Discard}, open.Actions(open.Spends(4*stamp.Hour, 0, base, base.Add(4*stamp.Hour+1))))
	certain := base.Add(10 * m).Add(4 * stamp.Hour)
	require.Equal(t, []Action{ReadAgain, CallLead, Discard}, open.Actions(open.Spends(4*stamp.Hour, 0, base, certain)))
	require.Equal(t, []Action{Discard, Repair, CallLead}, open.Actions(open.Spends(4*stamp.Hour, 0, base, certain+1)))
	require.True(t, open.Spends(4*stamp.Hour, 0, base, base.Add(4*stamp.Hour)).finding("x", "fc-time-4").Verdict == Met, "exactly four hours are allowed")
	first := cold.OutOf([]Reading{at(0, warm)})
	require.False(t, first.Met())
	require.Zero(t, first.Off)
	none := cold.OutOf(nil)
	require.True(t, none.Met())
	require.False(t, none.Open())
	hotLimit, _ := HoldLimitOf("hold-hot")
	h := hotLimit.OutOf([]Reading{at(0, Fahrenheit(134))})
	require.Equal(t, []Action{ReadAgain, HotAgain, Elsewhere, CallLead}, h.Actions(Used{Most: 1}))
}

// Time off never grows when readings get better, and is the same however a log is cut between two readings within the limit.
func TestTimeOffAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := HoldLimits()[rapid.IntRange(0, len(holdLimits)-1).Draw(t, "limit")]
		var log []Reading
		var after stamp.Span
		for range rapid.IntRange(1, 20).Draw(t, "readings") {
			log = append(log, at(after, l.Limit+Heat(rapid.Int64Range(-3, 3).Draw(t, "tenths"))*tenthF))
			after += stamp.Span(rapid.Int64Range(0, 1000).Draw(t, "after")) * stamp.Second
		}
		all := l.OutOf(log)
		require.LessOrEqual(t, all.Longest, all.Off)
		require.LessOrEqual(t, all.Off, log[len(log)-1].At.Since(log[0].At))
		require.Equal(t, all.Off, all.Between(log[0].At, log[len(log)-1].At))
		for i := range log {
			if l.Met(log[i].Heat) {
				a, b := l.OutOf(log[:i+1]), l.OutOf(log[i:])
				require.Equal(t, all.Off, a.Off+b.Off)
				require.Equal(t, all.Readings, a.Readings+b.Readings)
			}
		}
		better := append([]Reading{}, log...)
		i := rapid.IntRange(0, len(log)-1).Draw(t, "which")
		better[i].Heat = l.Limit
		b := l.OutOf(better)
		require.LessOrEqual(t, b.Off, all.Off)
	})
}

// Food Code 3-501.19: testdata/published/food-code-numbers.csv.
func TestTimeRulesAreThePublishedOnes(t *testing.T) {
	fc := codeRows(t)
	f := func(id string) Heat { return Fahrenheit(whole(t, fc[id]["value_customary"])) }
	s := func(id string) stamp.Span { return stamp.Span(whole(t, fc[id]["value_si"])) * stamp.Second }
	require.Equal(t, [3]TimeRule{
		{"tphc4", s("tphc4-max"), f("tphc4-cold"), f("tphc4-hot"), 0, "fc-time-4"},
		{"tphc4-70", s("tphc4-max"), f("tphc-70-4h"), 0, 0, "fc-time-4-70"},
		{"tphc6", s("tphc6-max"), f("tphc6-start"), 0, f("tphc6-ceiling"), "fc-time-6"},
	}, TimeRules())
	require.Equal(t, s("tphc4-max"), s("tphc4-mark"))
	require.Equal(t, "discard", fc["tphc4-unmarked"]["value_customary"])
}

func TestTimeAsAControl(t *testing.T) {
	for _, r := range TimeRules() {
		got, ok := TimeRuleOf(r.ID)
		require.True(t, ok)
		mark := base.Add(r.Most)
		check := func(met bool, start Heat, mark stamp.Milli, now stamp.Span, log ...Reading) TimeControl {
			t.Helper()
			c := got.Control(base, start, mark, log, base.Add(now))
			require.Equal(t, met, c.Met(), "%s: from %d to %d", r.ID, start, now)
			return c
		}
		c := check(true, r.Cold, mark, r.Most)
		require.Equal(t, mark, c.Until)
		require.EqualValues(t, 1000, c.Share())
		require.Empty(t, c.Actions())
		check(true, r.Cold, mark, r.Most-stamp.Second)
		c = check(false, r.Cold, mark, r.Most+stamp.Second)
		require.Equal(t, []Action{Discard}, c.Actions())
		require.EqualValues(t, 1001, c.Share())
		require.Equal(t, NotMet, c.Findings()[0].Verdict)
		check(false, r.Cold, mark, r.Most+1)
		c = check(false, r.Cold+tenthF, mark, 0)
		require.Equal(t, base, c.Until, "it may not start")
		require.Equal(t, []Action{Discard}, c.Actions())
		check(false, r.Cold, mark+1, stamp.Hour) // a later mark than it may bear
		c = check(false, r.Cold, 0, 0)
		require.Equal(t, []Action{WriteMark}, c.Actions())
		c = check(false, r.Cold, 0, 1)
		require.Equal(t, []Action{Discard}, c.Actions())
		c = check(true, r.Cold, mark-1000, 0)
		require.Equal(t, mark-1000, c.Until)
		if r.Hot != 0 {
			check(true, r.Hot, mark, stamp.Hour)
			check(false, r.Hot-tenthF, mark, stamp.Hour)
		}
		over := []Reading{at(-stamp.Hour, Fahrenheit(200)), at(stamp.Hour, Fahrenheit(70)), at(2*stamp.Hour, Fahrenheit(70)+tenthF),
			at(3*stamp.Hour, Fahrenheit(90))}
		c = check(r.Ceiling == 0, r.Cold, mark, 4*stamp.Hour, over...)
		if r.Ceiling != 0 {
			require.Equal(t, base.Add(2*stamp.Hour), c.Until)
			require.Equal(t, NotMet, c.Findings()[1].Verdict)
			require.Equal(t, []Action{Discard}, c.Actions())
			check(true, r.Cold, mark, 4*stamp.Hour, over[:2]...)
		}
	}
	_, ok := TimeRuleOf("tphc9")
	require.False(t, ok)
}

// Food Code 3-501.13: testdata/published/food-code-numbers.csv.
func TestThawing(t *testing.T) {
	require.Equal(t, ThawMost, stamp.Span(whole(t, codeRows(t)["thaw-raw-4h"]["value_si"]))*stamp.Second)
	cold, warm := Fahrenheit(41), Fahrenheit(41)+tenthF
	require.True(t, ThawCold([]Reading{at(0, cold)}).Met)
	off := ThawCold([]Reading{at(0, cold), at(1, warm)})
	require.False(t, off.Met)
	require.Equal(t, []Action{Chill, CallLead}, off.Actions)
	require.Equal(t, Unknown, ThawCold(nil).Findings[0].Verdict)
	require.False(t, ThawCold(nil).Met)
	water := []Reading{at(0, Fahrenheit(70))}
	food := func(last stamp.Span) []Reading {
		return []Reading{at(0, cold), at(stamp.Hour, warm), at(last, cold)}
	}
	raw := ThawWater(water, food(ThawMost), false, base)
	require.True(t, raw.Met, "four hours exactly")
	require.Equal(t, ThawMost, raw.Used.Spent)
	require.False(t, ThawWater(water, food(ThawMost+stamp.Second), false, base).Met)
	require.Equal(t, []Action{Discard}, ThawWater(water, food(ThawMost+1), false, base).Actions)
	going := ThawWater(water, food(ThawMost)[:2], false, base.Add(2*stamp.Hour))
	require.Equal(t, Used{2 * stamp.Hour, ThawMost, base.Add(ThawMost)}, going.Used)
	require.False(t, ThawWater(water, food(ThawMost), true, base).Met, "ready to eat may not rise above 41 °F")
	require.True(t, ThawWater(water, food(ThawMost)[:1], true, base).Met)
	require.False(t, ThawWater([]Reading{at(0, Fahrenheit(70)+tenthF)}, food(ThawMost), false, base).Met)
}
