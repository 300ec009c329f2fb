package young

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/procedure"
)

// published reads the table of 29 CFR 570: by the id of its rows, column by column.
func published(t *testing.T) map[string]map[string]string {
	t.Helper()
	f, err := os.Open("../../../testdata/published/youth-employment-us.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := map[string]map[string]string{}
	for _, r := range rows[1:] {
		out[r[0]] = map[string]string{}
		for i, name := range rows[0] {
			out[r[0]][name] = r[i]
		}
	}
	return out
}

// day counts the days to a date from 1970-01-01, by adding up the lengths of the months.
func day(y, m, d int) int32 {
	leap := func(y int) bool { return y%4 == 0 && (y%100 != 0 || y%400 == 0) }
	n := int32(d - 1)
	for i := 1970; i < y; i++ {
		n += 365
		if leap(i) {
			n++
		}
	}
	for i, length := range []int32{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31} {
		if i+1 < m {
			n += length
			if i == 1 && leap(y) {
				n++
			}
		}
	}
	return n
}

// today is a day on which somebody born on 15 June is as old as the years say.
var today = day(2026, 6, 15)

func aged(years int) int32 { return day(2026-years, 6, 15) }

var (
	pressureFryer = Task{Deed: Cook, Equipment: "fryer", Pressure: true}
	openFryer     = Task{Deed: Cook, Equipment: "fryer"}
	liftFryer     = Task{Deed: Cook, Equipment: "fryer", Lift: true}
	pressureLift  = Task{Deed: Cook, Equipment: "fryer", Pressure: true, Lift: true}
	bench         = Task{}
	coldRoom      = Task{Deed: Stand, Equipment: "cold room"}
	fetching      = Task{Equipment: "cold room"}
)

func oil(at int64) Task   { return Task{Deed: Oil, Equipment: "fryer", Read: true, Warmth: at} }
func clean(at int64) Task { return Task{Deed: Clean, Read: true, Warmth: at} }

// Each row of the published table that names equipment or work of ours, at the ages to either side of it.
func TestPublishedRows(t *testing.T) {
	rows := published(t)
	for _, c := range []struct {
		row, allowed string
		age          int
		task         Task
		refused      string // by which row
	}{
		{"min-14", "no", 13, bench, "min-14"},
		{"min-14", "no", 14, bench, ""},
		{"cook-1415-press", "no", 14, pressureFryer, "cook-1415-press"},
		{"cook-1415-press", "no", 15, pressureFryer, "cook-1415-press"},
		{"cook-1415-press", "no", 15, pressureLift, "cook-1415-press"},
		{"cook-1415-pressfry", "no", 15, pressureFryer, "cook-1415-press"}, // both forbid it: the one that was read is named
		{"cook-1415-fry", "conditional", 14, openFryer, "cook-1415-fry"},
		{"cook-1415-fry", "conditional", 15, openFryer, "cook-1415-fry"},
		{"cook-1415-fry", "conditional", 15, liftFryer, ""},
		{"oil-1415", "conditional", 15, oil(37_778), ""},
		{"oil-1415", "conditional", 15, oil(37_779), "oil-1415"},
		{"oil-1415", "conditional", 15, Task{Deed: Oil, Equipment: "fryer"}, "oil-1415"}, // never read: it counts as hot
		{"surf-1415", "conditional", 15, clean(37_778), ""},
		{"surf-1415", "conditional", 15, clean(37_779), "surf-1415"},
		{"cold-1415", "no", 15, coldRoom, "cold-1415"},
		{"cold-1415", "no", 15, fetching, ""},
		{"fry-1617", "yes", 16, pressureFryer, ""},
		{"fry-1617", "yes", 17, pressureFryer, ""},
		{"fry-1617", "yes", 16, openFryer, ""},
		{"fry-1617", "yes", 16, oil(170_000), ""},
		{"fry-1617", "yes", 16, coldRoom, ""},
		{"age-18", "yes", 18, pressureFryer, ""},
	} {
		require.Equal(t, c.allowed, rows[c.row]["allowed"], c.row)
		found := May("US", nil, aged(c.age), today, c.task)
		if c.refused == "" {
			require.Nil(t, found, "%s at %d: %v", c.row, c.age, c.task)
			continue
		}
		require.NotNil(t, found, "%s at %d: %v", c.row, c.age, c.task)
		require.Equal(t, c.refused, found.Rule.Row)
		require.EqualValues(t, c.age, found.Age)
	}
}

// What the rules say of themselves is what stands in the table, the mark of what is from memory too.
func TestRulesAsPublished(t *testing.T) {
	rows := published(t)
	for _, r := range us {
		row := rows[r.Row]
		require.Equal(t, row["regulation"], r.Law, r.Row)
		require.Equal(t, row["status"] == "from memory", r.Memory, r.Row)
		require.Contains(t, row["source"], r.Source[:len("29 CFR 570")], r.Row)
		if r.Most > 0 {
			require.Equal(t, "degF", row["unit"], r.Row)
			f, err := strconv.ParseInt(row["value"], 10, 64)
			require.NoError(t, err)
			require.Equal(t, ((f-32)*5000+4)/9, r.Most, "%s: rounded like a reading of %d °F", r.Row, f)
		}
		if r.Row == "min-14" {
			require.Equal(t, row["value"], strconv.FormatInt(r.Under, 10))
		} else {
			require.Equal(t, "14-15", row["age_group"], "%s: under %d", r.Row, r.Under)
			require.EqualValues(t, 16, r.Under, r.Row)
		}
	}
}

// The other rows are about what stands in no kitchen of this tool, or about hours, which it does not plan: a new kind of
// equipment, or a new row, has to be looked at here.
func TestRowsLeftOut(t *testing.T) {
	require.Equal(t, []string{"fryer", "cold room", "hold cabinet"}, procedure.EquipmentKinds[:])
	out := map[string]string{
		"ho-meat": "no such machine", "ho-meat-clean": "no such machine", "ho-mixer": "no such machine", "ho-mixer-ex": "no such machine",
		"ho-mixer-hp": "no such machine", "ho-mixer-bowl": "no such machine", "ho-baler": "no such machine", "ho-baler-load": "no such machine",
		"slicer-1415": "no such machine", "micro-1415": "no such machine", "cook-1415-grill": "no such machine", "bake-1415": "nothing is baked",
		"ladder-1415": "no such work", "hrs-school": "hours", "hrs-nonschool": "hours", "hrs-week": "hours", "hrs-offweek": "hours",
		"hrs-start": "hours", "hrs-end": "hours", "hrs-end-summer": "hours", "hrs-outside": "hours",
		"fry-1617": "allows", "age-18": "allows", "stricter": "held for all rules",
	}
	for _, r := range us {
		out[r.Row] = "enforced"
	}
	for id := range published(t) {
		require.Contains(t, out, id)
	}
	require.Len(t, out, len(published(t)))
}

// A country that nothing is known of has nothing enforced, nor has somebody whose day of birth was not said.
func TestNothingKnown(t *testing.T) {
	require.Nil(t, May("ES", nil, aged(13), today, pressureFryer))
	require.Nil(t, May("", nil, aged(13), today, pressureFryer))
	require.Nil(t, May("US", nil, 0, today, pressureFryer))
	require.True(t, Known("US"))
	require.False(t, Known("ES"))
}

// The kitchen's own rules hold anywhere; of two that forbid the stricter is named, and none is let off by a milder one.
func TestOwnRules(t *testing.T) {
	hot := &procedure.Caution{Hazards: []string{"hot oil", "hot surface"}}
	own := []procedure.AgeRule{
		{Under: 18, Equipment: "fryer", ExceptLift: true, Text: procedure.Text{EN: "No fryer"}},
		{Under: 17, Hazard: "chemicals", Text: procedure.Text{EN: "No chemicals"}},
	}
	require.Equal(t, "No fryer", May("ES", own, aged(17), today, openFryer).Rule.Own.Text.EN)
	require.Nil(t, May("ES", own, aged(17), today, liftFryer))
	require.Nil(t, May("ES", own, aged(18), today, openFryer))
	require.Equal(t, "No fryer", May("US", own, aged(15), today, openFryer).Rule.Own.Text.EN, "18 is stricter than 16")
	require.Equal(t, "cook-1415-press", May("US", own, aged(15), today, pressureLift).Rule.Row, "a lift helps only where the rule says so")
	require.Nil(t, May("ES", own, aged(16), today, Task{Cautions: []*procedure.Caution{nil, hot}}))
	chemicals := &procedure.Caution{Hazards: []string{"chemicals"}}
	require.Equal(t, "No chemicals", May("ES", own, aged(16), today, Task{Cautions: []*procedure.Caution{hot, chemicals}}).Rule.Own.Text.EN)
	require.Equal(t, "All", May("", []procedure.AgeRule{{Under: 15, Text: procedure.Text{EN: "All"}}}, aged(14), today, bench).Rule.Own.Text.EN)
	require.Len(t, Rules("US", own), len(us)+2)
	for _, r := range Rules("US", own) {
		require.Equal(t, r, *Find("US", own, r.Key))
	}
	require.Equal(t, "No chemicals", Find("ES", own, "own-2").Own.Text.EN)
	require.Nil(t, Find("ES", own, "min-14"))
}

func TestAge(t *testing.T) {
	require.EqualValues(t, 15, Age(day(2010, 11, 26), day(2026, 11, 25)))
	require.EqualValues(t, 16, Age(day(2010, 11, 26), day(2026, 11, 26)))
	require.EqualValues(t, 15, Age(day(2008, 2, 29), day(2024, 2, 28)))
	require.EqualValues(t, 16, Age(day(2008, 2, 29), day(2024, 2, 29)))
	require.EqualValues(t, 16, Age(day(2008, 2, 29), day(2025, 2, 28)), "no such day in 2025: the later one counts")
	require.EqualValues(t, 17, Age(day(2008, 2, 29), day(2025, 3, 1)))
	require.EqualValues(t, 50, Age(-3654, day(2009, 12, 31)))
}

// One more rule never lets anybody do more, and nobody who grows older may do less.
func TestStricterWins(t *testing.T) {
	kinds := append([]string{""}, procedure.EquipmentKinds[:]...)
	hazards := append([]string{""}, procedure.Hazards[:]...)
	rapid.Check(t, func(t *rapid.T) {
		task := Task{Deed: Deed(rapid.IntRange(0, int(Stand)).Draw(t, "deed")), Equipment: rapid.SampledFrom(kinds).Draw(t, "kind"),
			Pressure: rapid.Bool().Draw(t, "pressure"), Lift: rapid.Bool().Draw(t, "lift"), Read: rapid.Bool().Draw(t, "read"),
			Warmth: rapid.Int64Range(20_000, 180_000).Draw(t, "warmth"), Cautions: []*procedure.Caution{{Hazards: []string{rapid.SampledFrom(hazards).Draw(t, "hazard")}}}}
		var own []procedure.AgeRule
		for range rapid.IntRange(0, 4).Draw(t, "rules") {
			own = append(own, procedure.AgeRule{Under: rapid.Int64Range(1, 21).Draw(t, "under"), Equipment: rapid.SampledFrom(kinds).Draw(t, "of"),
				Hazard: rapid.SampledFrom(hazards).Draw(t, "about"), ExceptLift: rapid.Bool().Draw(t, "except")})
		}
		born := today - rapid.Int32Range(1, 30*366).Draw(t, "days")
		country := rapid.SampledFrom([]string{"US", "ES", ""}).Draw(t, "country")
		found := May(country, own, born, today, task)
		for n := range own {
			if fewer := May(country, own[:n], born, today, task); fewer != nil {
				if found == nil || found.Rule.Under < fewer.Rule.Under {
					t.Fatalf("another rule let them off: %v, then %v", fewer, found)
				}
			}
		}
		if May("US", own, born, today, task) == nil && found != nil {
			t.Fatalf("the published set let them off: %v", found)
		}
		if found == nil && May(country, own, born, today+366, task) != nil {
			t.Fatalf("a year older, and less is allowed")
		}
	})
}
