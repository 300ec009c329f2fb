package safety

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/fixed"
	"brinebell/internal/core/stamp"
)

func float(n fixed.Num) float64 { return float64(n) / (1 << 32) }

// line is a curve with one z over the whole range: rate 7/13.7 s at 160 degF, z 9.78 degF (chicken, 1 % fat).
func line() curve {
	var c curve
	for _, f := range []int64{120, 170} {
		rate := fixed.Mul(fixed.FromRatio(70, 137), fixed.Pow10(fixed.FromRatio((f-160)*100, 978)))
		c = append(c, point{heat: Fahrenheit(f), rate: rate, ln: fixed.Ln(rate)})
	}
	c[0].mean, c[1].mean = mean(c[0], c[1]), c[1].rate
	return c
}

// The worked profile: published definition of the lethal rate, integrals by plain arithmetic (lethality-integrals.csv).
func TestIntegralsOfTheWorkedProfile(t *testing.T) {
	want := map[string]float64{}
	for _, row := range published(t, "lethality-integrals.csv") {
		if row["value"] != "" {
			want[row["id"]] = number(t, row["value"])
		}
	}
	profile := []Reading{}
	for _, r := range [][2]int64{{0, 126}, {2, 134}, {4, 141}, {6, 146}, {8, 148}, {9, 146}, {11, 140}, {13, 132}} {
		profile = append(profile, Reading{begin.Add(stamp.Span(r[0]) * stamp.Minute), Fahrenheit(r[1])})
	}
	c := line()
	lower, linear := c.reduction(profile, 0)
	require.InDelta(t, want["ex-chk-log-lin"], float(linear), want["ex-chk-log-lin"]*0.0005)
	require.InDelta(t, want["ex-chk-lin"], float(linear)*13.7/7/60, want["ex-chk-lin"]*0.0005)
	require.Less(t, float(lower), float(linear), "the lower of two readings never gives more")
	require.Less(t, float(linear), want["ex-chk-log-trap"], "the trapezoid over-counts")
	_, iso := c.reduction([]Reading{{begin, Fahrenheit(160)}, {begin.Add(13700), Fahrenheit(160)}}, 0)
	require.InDelta(t, want["ex-iso"], float(iso), 1e-4)
	for id, over := range map[string]fixed.Num{
		"lr-63": fixed.FromRatio(63-70, 1) * 10 / 75, "lr-80": fixed.FromRatio(100, 75), "lr-110": fixed.FromRatio(11000-12111, 1000),
	} {
		require.InEpsilon(t, want[id], float(fixed.Pow10(over)), 0.007, id) // lr-110 is printed to two figures
	}
}

// A straight line through the logarithms of each column has the z and the D at 160 degF that lethality-fit.csv computes from
// the same tables: a cell read wrongly would move them.
func TestEachColumnHasTheFittedZ(t *testing.T) {
	for _, row := range published(t, "lethality-fit.csv") {
		species := Chicken
		if row["species"] == "turkey" {
			species = Turkey
		}
		rows, err := Rows(species, int64(number(t, row["fat_pct"]))*FatUnit)
		require.NoError(t, err)
		var n, x, y, xx, xy float64
		for _, r := range rows[:len(rows)-1] {
			if f := float64(r.F); f <= number(t, row["fit_to_F"]) {
				l := math.Log10(float64(r.Dwell) / 7000)
				n, x, y, xx, xy = n+1, x+f, y+l, xx+f*f, xy+f*l
			}
		}
		slope := (n*xy - x*y) / (n*xx - x*x)
		require.InDelta(t, number(t, row["z_fit_F"]), -1/slope, 0.006, "%v", row)
		require.InEpsilon(t, number(t, row["D160F_fit_s"]), math.Pow(10, y/n+slope*(160-x/n)), 0.001, "%v", row)
		require.InDelta(t, number(t, row["D160F_table_s"]), float64(rows[160-firstRow].Dwell)/7000, 6e-5, "%v", row)
	}
}

// Other laboratories' D values in chicken (lethality-d-z.csv; Murphy et al. 2004): at 70 degC, which is the row of 158 degF, the
// table of 7 D lies within a half of theirs, so the unit is right.
func TestTableIsNearMeasuredDValues(t *testing.T) {
	var seen int
	for _, row := range published(t, "lethality-d-z.csv") {
		if row["id"] != "murphy-meat-70" && row["id"] != "murphy-skin-70" {
			continue
		}
		rows, err := Rows(Chicken, FatMost)
		require.NoError(t, err)
		require.Equal(t, Celsius(70), rows[158-firstRow].Heat)
		require.InEpsilon(t, number(t, row["D_min"]), float64(rows[158-firstRow].Dwell)/7/60000, 0.5)
		seen++
	}
	require.Equal(t, 2, seen)
}

// reference computes both estimates in floating point, the second by a thousand small steps an interval.
func reference(rows []Row, log []Reading, probe Heat) (lower, linear float64) {
	dwell := func(h float64) float64 {
		timed := rows[:len(rows)-1]
		for i := len(timed) - 1; i >= 0; i-- {
			a := float64(timed[i].Heat)
			if h < a {
				continue
			}
			l := math.Log10(float64(timed[i].Dwell))
			if i+1 < len(timed) {
				l += (math.Log10(float64(timed[i+1].Dwell)) - l) * (h - a) / float64(timed[i+1].Heat-timed[i].Heat)
			}
			return math.Pow(10, l)
		}
		return math.Inf(1)
	}
	for i := 1; i < len(log); i++ {
		a, b, ms := float64(log[i-1].Heat-probe), float64(log[i].Heat-probe), float64(log[i].At-log[i-1].At)
		lower += 7 * ms / dwell(min(a, b))
		const steps = 2000
		for k := range steps {
			linear += 7 * ms / steps / dwell(a+(b-a)*(float64(k)+0.5)/steps)
		}
	}
	return lower, linear
}

func TestEstimatesAgreeWithFinePartsInFloatingPoint(t *testing.T) {
	for _, fat := range []int64{1000, 1500, 6500, 12000} {
		for species := range Turkey + 1 {
			rows, err := Rows(species, fat)
			require.NoError(t, err)
			for _, log := range [][]Reading{
				ramp(20*stamp.Second, 400, 1200, 1358, 1362, 1412, 1555, 1555, 1611, 1400, 1613, 1300),
				ramp(stamp.Minute, 300, 1619, 300, 1360, 1360, 1500), ramp(3*stamp.Second, 1500, 1501, 1502, 1500, 1499),
			} {
				lower, linear := reference(rows, log, HeatF/2)
				a, b := newCurve(rows).reduction(log, HeatF/2)
				require.InDelta(t, lower, float(a), lower*1e-5, "species %d, fat %d", species, fat)
				require.InEpsilon(t, linear, float(b), 0.001, "species %d, fat %d", species, fat)
			}
		}
	}
}
