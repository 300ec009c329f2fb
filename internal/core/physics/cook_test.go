package physics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const pound = 453.59237

// supplier is an invented table: thigh units of 90 to 180 g.
var supplier = CookTable{Rows: []CookRow{{90, 480_000}, {120, 600_000}, {150, 690_000}, {180, 780_000}}}

func TestRowsComeBackAsPrinted(t *testing.T) {
	for _, r := range supplier.Rows {
		got, how := supplier.Time(r.Grams)
		require.Equal(t, r.Millis, got)
		require.Equal(t, Printed, how)
	}
}

func TestEndsOfTheTable(t *testing.T) {
	least, most := supplier.Ends()
	require.EqualValues(t, 77, least, "15 % below 90 g is 76.5 g: 76 g is further out")
	require.EqualValues(t, 207, most, "15 % above 180 g")
	for grams, want := range map[int64]How{76: TooFar, 77: Extended, 89: Extended, 90: Printed, 91: Between, 181: Extended, 207: Extended, 208: TooFar, 0: TooFar, -5: TooFar, 1 << 60: TooFar} {
		_, how := supplier.Time(grams)
		require.Equal(t, want, how, "%d g", grams)
	}
	_, how := (&CookTable{}).Time(100)
	require.Equal(t, TooFar, how)
}

// mass-scaling.csv: t ~ m^(2/3) of AIP Advances 11 115316 (2021), ratios computed.
func TestMassToTheTwoThirds(t *testing.T) {
	rows := published(t, "mass-scaling.csv", 21)
	tried := 0
	for _, r := range rows {
		switch {
		case r["quantity"][:min(len(r["quantity"]), 10)] == "time ratio":
			ratio := of(t, rows, r["id"]).number(t, "value")
			var mass float64
			_, err := fscan(r["quantity"], "time ratio for mass ratio ", &mass)
			require.NoError(t, err)
			require.InDelta(t, ratio, number(twoThirds(int64(mass*10000), 10000)), 1e-6, "mass %v: printed to 1e-6", mass)
			if mass >= 0.85 && mass <= 1.15 { // as the core uses it: from a table of one row
				one := CookTable{Rows: []CookRow{{10_000, 1_000_000_000}}}
				got, how := one.Time(int64(mass * 10000))
				require.Equal(t, Extended, how)
				require.InDelta(t, ratio*1e9, float64(got), 1001)
			}
			tried++
		case r["quantity"][:min(len(r["quantity"]), 13)] == "Panofsky time":
			var lb float64
			_, err := fscan(r["quantity"], "Panofsky time for ", &lb)
			require.NoError(t, err)
			require.InDelta(t, r.number(t, "value"), number(twoThirds(int64(lb*1000), 1000))/1.5, 6e-5, "%v lb", lb)
			tried++
		}
	}
	require.Equal(t, 17, tried)
}

// A table that keeps to the law is met between its rows too, not only at them.
func TestTableOfTheLawIsMetBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Int64Range(50, 3000).Draw(t, "first")
		table := CookTable{}
		for _, times := range []float64{1, 1.3, 1.9, 3} {
			grams := int64(float64(start) * times)
			table.Rows = append(table.Rows, CookRow{grams, int64(60_000 * math.Pow(float64(grams), 2.0/3))})
		}
		grams := rapid.Int64Range(start, 3*start).Draw(t, "grams")
		got, _ := table.Time(grams)
		require.InDelta(t, 60_000*math.Pow(float64(grams), 2.0/3), float64(got), 510, "to the second")
	})
}

// Heavier never cooks shorter, and no time leaves its two rows, whatever the table.
func TestCookTimeIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var table CookTable
		grams, millis := rapid.Int64Range(10, 2000).Draw(t, "grams"), rapid.Int64Range(30, 4000).Draw(t, "seconds")*1000
		for range rapid.IntRange(1, 8).Draw(t, "rows") {
			table.Rows = append(table.Rows, CookRow{grams, millis})
			grams += rapid.Int64Range(1, 900).Draw(t, "more grams")
			millis += rapid.Int64Range(0, 3000).Draw(t, "more seconds") * 1000
		}
		least, most := table.Ends()
		a := rapid.Int64Range(least, most).Draw(t, "a")
		b := rapid.Int64Range(a, most).Draw(t, "b")
		ta, how := table.Time(a)
		tb, _ := table.Time(b)
		require.NotEqual(t, TooFar, how)
		require.LessOrEqual(t, ta, tb+1000, "%d g and %d g: seconds are rounded", a, b)
		for i := range table.Rows[1:] {
			if lo, hi := table.Rows[i], table.Rows[i+1]; a > lo.Grams && a < hi.Grams {
				require.GreaterOrEqual(t, ta, lo.Millis)
				require.LessOrEqual(t, ta, hi.Millis)
			}
		}
	})
}

// The USDA timetable (turkey-roasting-table.csv) with every second row taken away: the rows left out come back within the
// hours that are printed for the weights around them.
func TestRoastingTimetableGivesBackTheRowsLeftOut(t *testing.T) {
	rows := published(t, "turkey-roasting-table.csv", 6)
	type weight struct{ lb, least, most float64 }
	var all []weight // stuffed whole birds: at each weight the end of one row and the beginning of the next
	for _, r := range rows {
		if r["stuffed_h_min"] == "" || r["row"] == "6-8 breast" {
			continue
		}
		all = append(all, weight{r.number(t, "lb_min"), r.number(t, "stuffed_h_min"), r.number(t, "stuffed_h_max")})
	}
	require.Len(t, all, 5)
	for skip := 1; skip < len(all)-1; skip++ {
		var table CookTable
		for i, w := range all {
			if i != skip {
				table.Rows = append(table.Rows, CookRow{int64(w.lb*pound + 0.5), int64(w.least * 3_600_000)})
			}
		}
		got, how := table.Time(int64(all[skip].lb*pound + 0.5))
		require.Equal(t, Between, how)
		h := float64(got) / 3_600_000
		require.GreaterOrEqual(t, h, all[skip-1].least, "%v lb", all[skip].lb)
		require.LessOrEqual(t, h, all[skip].most, "%v lb", all[skip].lb)
		require.InEpsilon(t, all[skip].least, h, 0.08, "%v lb: within 8 %% of the row that was left out", all[skip].lb)
	}
	last := all[len(all)-1]
	table := CookTable{Rows: []CookRow{{int64(last.lb * pound), int64(last.least * 3_600_000)}}}
	_, most := table.Ends()
	got, how := table.Time(most)
	require.Equal(t, Extended, how)
	require.Less(t, float64(got)/3_600_000, last.most+0.01, "23 lb from the row at 20 lb stays under what is printed at 24 lb")
	for _, r := range rows { // the formula beside the table, at both ends of each row
		for lb, h := range map[string]string{"lb_min": "panofsky_h_at_lb_min", "lb_max": "panofsky_h_at_lb_max"} {
			require.InDelta(t, r.number(t, h), number(twoThirds(int64(r.number(t, lb)), 1))/1.5, 6e-4)
		}
	}
}
