package safety

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// figures reads a table of published figures; testdata/published/README.md names the sources.
func figures(t testing.TB, name, key string) map[string]map[string]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	list := map[string]map[string]string{}
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		id := m[key]
		if m["stage"] != "" {
			id += "/" + m["stage"]
		}
		require.NotContains(t, list, id)
		list[id] = m
	}
	return list
}

func codeRows(t testing.TB) map[string]map[string]string {
	return figures(t, "food-code-numbers.csv", "id")
}

func whole(t testing.TB, text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	require.NoError(t, err)
	return n
}

const base = stamp.Milli(1_790_000_000_000)

// tenthF is a tenth of a degree Fahrenheit.
const tenthF = HeatF / 10

// at is a reading so long after the base.
func at(s stamp.Span, h Heat) Reading { return Reading{base.Add(s), h} }

func cool(t testing.TB, rule string, log ...Reading) Cooling {
	r, ok := CoolRuleOf(rule)
	require.True(t, ok, rule)
	return r.Cool(log)
}

// testdata/published/food-code-numbers.csv: Food Code 3-501.14, and fsis-cooling.csv: FSIS Appendix B.
func TestCoolingRulesAreThePublishedOnes(t *testing.T) {
	fc := codeRows(t)
	seconds := func(id string) stamp.Span { return stamp.Span(whole(t, fc[id]["value_si"])) * stamp.Second }
	fahrenheit := func(id string) int64 { return whole(t, fc[id]["value_customary"]) }
	model, _ := CoolRuleOf("food-code")
	require.Equal(t, fahrenheit("cool-1-start"), model.From)
	require.Equal(t, []CoolMark{
		{0, fahrenheit("cool-1-end"), seconds("cool-1-time")}, {0, fahrenheit("cool-2-end"), seconds("cool-total")},
	}, model.Marks[:model.N])
	for rule, id := range map[string]string{"food-code-ambient": "cool-ambient", "food-code-received": "recv-above41-cool"} {
		r, _ := CoolRuleOf(rule)
		require.Zero(t, r.From)
		require.Equal(t, []CoolMark{{0, fahrenheit("cool-2-end"), seconds(id)}}, r.Marks[:r.N])
	}
	options := map[string]string{
		"fsis-1": "1 (any cooked product)", "fsis-3": "3 (cured; 100 ppm ingoing nitrite)", "fsis-3-summary": "3 (cured; as summarised)",
	}
	fsis := figures(t, "fsis-cooling.csv", "option")
	seen := 2 // of option 2, below
	for rule, option := range options {
		r, ok := CoolRuleOf(rule)
		require.True(t, ok)
		second := fsis[option+"/2"]
		first := fsis[option+"/1"]
		if first == nil { // the summary has a row of its own for what differs
			first = fsis[options["fsis-3"]+"/1"]
		} else {
			seen++
		}
		seen++
		require.Equal(t, whole(t, first["from_F"]), r.From)
		require.Equal(t, CoolMark{0, whole(t, first["to_F"]), hours(t, first["max_h"])}, r.Marks[0], rule)
		require.Equal(t, CoolMark{whole(t, second["from_F"]), whole(t, second["to_F"]), hours(t, second["max_h"])}, r.Marks[1], rule)
		total, _, _ := strings.Cut(strings.TrimPrefix(second["note"], "total "), " ")
		require.Equal(t, CoolMark{0, whole(t, second["to_F"]), hours(t, total)}, r.Marks[2], rule)
		require.Equal(t, second["status"], SourceOf(r.Source).Status.String())
	}
	slow, _ := CoolRuleOf("fsis-2")
	first := fsis["2 (slow; continuous)/1"]
	require.Equal(t, CoolMark{0, whole(t, first["to_F"]), hours(t, first["max_h"])}, slow.Marks[0])
	require.Contains(t, first["note"], "120-80 F should take no more than 1 h")
	require.Equal(t, CoolMark{0, 80, stamp.Hour}, slow.Marks[1])
	require.Equal(t, CoolMark{0, whole(t, fsis["2 (slow; continuous)/2"]["to_F"]), 0}, slow.Marks[2], "the last part has no time")
	require.Len(t, fsis, seen, "every row is compared")
}

func hours(t testing.TB, text string) stamp.Span {
	ms, err := quantity.Convert(text, "h", quantity.Milli, quantity.HalfEven)
	require.NoError(t, err)
	return stamp.Span(ms)
}

// Each mark of each rule, a second and a tenth of a degree to either side.
func TestCoolingAtItsBoundaries(t *testing.T) {
	for _, r := range CoolRules() {
		from := Fahrenheit(r.From)
		if r.From == 0 {
			from = Fahrenheit(150)
		}
		for i, m := range r.Marks[:r.N] {
			if m.Most == 0 {
				continue
			}
			start := at(0, from)
			before := []Reading{at(-stamp.Hour, from+tenthF), start}
			begin := start.At
			if m.After != 0 {
				before = append(before, at(stamp.Minute, Fahrenheit(m.After)))
				begin = start.At.Add(stamp.Minute)
			}
			if r.From == 0 {
				before = before[1:]
			}
			for _, c := range []struct {
				after stamp.Span
				heat  Heat
				met   bool
			}{
				{m.Most - stamp.Second, Fahrenheit(m.To), true}, {m.Most, Fahrenheit(m.To), true}, {m.Most + 1, Fahrenheit(m.To), false},
				{m.Most + stamp.Second, Fahrenheit(m.To), false}, {m.Most, Fahrenheit(m.To) + tenthF, false},
				{m.Most, Fahrenheit(m.To) + 1, false}, {m.Most, Fahrenheit(m.To) - tenthF, true},
			} {
				log := append(append([]Reading{}, before...), Reading{begin.Add(c.after), c.heat})
				got := r.Cool(log)
				require.Equal(t, c.met, got.Parts[i].Met(), "%s, mark %d: %d after %d ms", r.ID, i, c.heat, c.after)
				require.Equal(t, c.after, got.Parts[i].Lasted, "%s, mark %d", r.ID, i)
				require.Equal(t, Judge(c.met), got.Findings()[i].Verdict)
			}
		}
	}
}

// The clock starts at the last reading at or above 135 °F before the product stays below, or at the first reading.
func TestCoolingClockStarts(t *testing.T) {
	end := at(5*stamp.Hour, Fahrenheit(41))
	c := cool(t, "food-code", at(0, Fahrenheit(140)), at(stamp.Hour, Fahrenheit(135)), at(2*stamp.Hour, Fahrenheit(70)), end)
	require.Equal(t, base.Add(stamp.Hour), c.Start, "135.0 is at 135")
	require.Equal(t, stamp.Hour, c.Parts[0].Lasted)
	require.True(t, c.Met())
	require.Empty(t, c.Actions())
	c = cool(t, "food-code", at(0, Fahrenheit(140)), at(stamp.Hour, Fahrenheit(135)-tenthF), at(2*stamp.Hour, Fahrenheit(70)), end)
	require.Equal(t, base, c.Start, "134.9 is below")
	c = cool(t, "food-code", at(0, Fahrenheit(140)), at(stamp.Hour, Fahrenheit(130)), at(2*stamp.Hour, Fahrenheit(136)),
		at(3*stamp.Hour, Fahrenheit(70)), end)
	require.Equal(t, base.Add(2*stamp.Hour), c.Start, "it did not stay below")
	c = cool(t, "food-code", at(0, Fahrenheit(120)), at(stamp.Hour, Fahrenheit(70)), end)
	require.True(t, c.Below)
	require.Equal(t, base, c.Start)
	require.True(t, c.Met())
	c = cool(t, "food-code", at(0, Fahrenheit(65)), at(stamp.Hour, Fahrenheit(41)))
	require.Zero(t, c.Parts[0].Lasted, "it began at the mark")
	require.True(t, c.Met())
}

func TestCoolingThatNeverArrives(t *testing.T) {
	c := cool(t, "food-code", at(0, Fahrenheit(135)), at(stamp.Hour, Fahrenheit(71)))
	require.Equal(t, stamp.Hour, c.Parts[0].Lasted, "to the end of the log")
	require.False(t, c.Parts[0].Met(), "although two hours are not over")
	require.Equal(t, Used{stamp.Hour, 2 * stamp.Hour, base.Add(2 * stamp.Hour)}, c.Used())
	require.EqualValues(t, 500, c.Used().Share())
	require.Equal(t, []Action{Faster, CallLead}, c.Actions())
	c = cool(t, "food-code", at(0, Fahrenheit(135)), at(3*stamp.Hour, Fahrenheit(69)))
	require.Equal(t, []Action{Reheat, Discard, CallLead}, c.Actions())
	require.Equal(t, base.Add(6*stamp.Hour), c.Used().Until)
	c = cool(t, "food-code", at(0, Fahrenheit(135)), at(2*stamp.Hour, Fahrenheit(69)), at(6*stamp.Hour+1, Fahrenheit(42)))
	require.Equal(t, []Action{Discard, CallLead}, c.Actions())
	c = cool(t, "food-code", at(0, Fahrenheit(140)), at(stamp.Hour, Fahrenheit(138)))
	require.True(t, c.Never)
	require.Zero(t, c.Parts[1].Lasted)
	require.False(t, c.Met())
	c = cool(t, "fsis-1", at(0, Fahrenheit(130)), at(stamp.Hour, Fahrenheit(81)))
	require.False(t, c.Parts[1].Begun)
	require.False(t, c.Met())
	nothing := cool(t, "food-code")
	require.False(t, nothing.Met())
	require.Empty(t, nothing.Actions())
	c = cool(t, "food-code", at(0, Fahrenheit(135)), at(stamp.Hour, Fahrenheit(41)), at(2*stamp.Hour, Fahrenheit(41)+tenthF))
	require.True(t, c.Warmed)
	require.True(t, c.Met())
}

// The second stage of an option has its own time even when the whole is in time.
func TestEveryStageHasItsOwnTime(t *testing.T) {
	log := []Reading{at(0, Fahrenheit(130)), at(stamp.Hour, Fahrenheit(80)), at(6*stamp.Hour+stamp.Second, Fahrenheit(40))}
	c := cool(t, "fsis-1", log...)
	require.True(t, c.Parts[0].Met())
	require.False(t, c.Parts[1].Met())
	require.True(t, c.Parts[2].Met())
	require.False(t, c.Met())
	require.Equal(t, []Action{Discard, CallLead}, c.Actions())
}

// Colder readings, or the same ones earlier, never turn a rule that was met into one that is not, as long as the clock
// starts at the same reading.
func TestColderNeverBreaksACooling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := CoolRules()[rapid.IntRange(0, len(coolRules)-1).Draw(t, "rule")]
		log := []Reading{at(0, Fahrenheit(135))}
		colder := []Reading{log[0]}
		var after stamp.Span
		for range rapid.IntRange(1, 12).Draw(t, "readings") {
			after += stamp.Span(rapid.Int64Range(1, int64(2*stamp.Hour)).Draw(t, "after"))
			h := Heat(rapid.Int64Range(300, 1190).Draw(t, "tenths")-320) * tenthF
			log = append(log, at(after, h))
			colder = append(colder, at(after, h-Heat(rapid.Int64Range(0, 400).Draw(t, "colder"))*tenthF))
		}
		a, b := r.Cool(log), r.Cool(colder)
		for i := range a.Parts {
			if r.Marks[i].After == 0 && a.Parts[i].Met() {
				require.True(t, b.Parts[i].Met(), "%s mark %d", r.ID, i)
			}
			require.LessOrEqual(t, a.Parts[i].Lasted, after)
		}
	})
}
