package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// TestDaysAsATableCanBeReadBack reads the table of the demo kitchen's yesterday with the standard library's reader, and holds
// its sums.
func TestDaysAsATableCanBeReadBack(t *testing.T) {
	now := stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())
	entries, err := demo.Yesterdays(now, [32]byte{7})
	require.NoError(t, err)
	s := kitchen.New()
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	today := s.WallDay(now)
	x := afterwards.Of(s, today-1, now)
	think := x.Thinker()
	think.Think(2000)
	x.Know(think.Best())
	x.Of.Done.Thrown[0].Why = "=dropped, \"or\" touched\nby somebody" // what a spreadsheet must not take for a formula
	out, err := AfterCSV([]*afterwards.Seen{nil, x, afterwards.Of(s, today, now)}, s, "es")
	require.NoError(t, err)
	require.Contains(t, string(out), "\r\n")
	rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, afterHeader, rows[0])
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	var whole []string
	sums := map[string]float64{}
	wasted, waste, formula := 0.0, 0, false
	value := func(row []string, name string) float64 {
		v, err := strconv.ParseFloat(row[at[name]], 64)
		require.NoError(t, err, "%s: %q", name, row[at[name]])
		return v
	}
	for _, row := range rows[1:] {
		require.Len(t, row, len(afterHeader))
		if row[at["day"]] != "2026-11-25" {
			require.Equal(t, "2026-11-26", row[at["day"]])
			require.Empty(t, row[at["cost"]], "a day that is not over has no cost yet")
			continue
		}
		switch row[at["kind"]] {
		case "day":
			whole = row
		case "item":
			for _, name := range []string{"cost", "cost_unmet", "cost_loads", "cost_waste", "cost_coating", "cost_marinating", "cost_plan", "cost_hindsight"} {
				sums[name] += value(row, name)
			}
			require.InDelta(t, value(row, "asked"), value(row, "sold")+value(row, "turned_away")+value(row, "estimated"), 0)
		case "waste":
			waste++
			wasted += value(row, "cost")
			formula = formula || strings.HasPrefix(row[at["reason"]], "'=dropped, \"or\" touched\nby")
		}
	}
	require.NotNil(t, whole)
	for name, sum := range sums {
		require.InDelta(t, value(whole, name), sum, 0.00001, name)
	}
	require.InDelta(t, value(whole, "cost_waste")+value(whole, "cost_discarded"), wasted, 0.00001)
	require.GreaterOrEqual(t, waste, 3)
	require.True(t, formula)
	require.Contains(t, changeNames, whole[at["change"]])
	require.Equal(t, "con hueso", rows[2][at["title"]])
	require.LessOrEqual(t, value(whole, "cost_hindsight"), value(whole, "cost"))
}
