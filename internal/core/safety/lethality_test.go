package safety

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/fixed"
	"brinebell/internal/core/stamp"
)

// published reads a table of published figures; testdata/published/README.md names the sources.
func published(t testing.TB, name string) []map[string]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
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
	return list
}

func number(t testing.TB, text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

// cell is a printed dwell.
type cell struct {
	species Species
	f, fat  int64
	dwell   stamp.Span
}

// cells reads both poultry tables: FSIS-GD-2021-0014, tables 3 and 4, all confirmed.
func cells(t testing.TB) []cell {
	var list []cell
	for species, name := range []string{"lethality-chicken.csv", "lethality-turkey.csv"} {
		for _, row := range published(t, name) {
			require.Equal(t, "confirmed", row["status"])
			printed := number(t, row["dwell_printed"])
			if row["dwell_printed_unit"] == "min" {
				printed *= 60
			}
			list = append(list, cell{Species(species), int64(number(t, row["temp_F"])), int64(number(t, row["fat_pct"])),
				stamp.Span(math.Round(printed * 1000))})
		}
	}
	require.Len(t, list, 720)
	return list
}

const begin stamp.Milli = 1764061200000

func assess(t require.TestingT, c Cook, log ...Reading) *Cooked {
	out, err := AssessCook(c, log)
	require.NoError(t, err)
	return out
}

func TestEveryCellIsThePrintedOne(t *testing.T) {
	for _, c := range cells(t) {
		rows, err := Rows(c.species, c.fat*FatUnit)
		require.NoError(t, err)
		i := c.f - firstRow
		if last := int64(len(rows)) - 1; i > last {
			require.Zero(t, c.dwell, "%v: printed after the table's end", c)
			continue
		}
		require.Equal(t, Row{F: c.f, Heat: Fahrenheit(c.f), Dwell: c.dwell}, rows[i], "%v", c)
	}
}

// Held for exactly its time at exactly its temperature a cell is met, and a second, a millisecond, a tenth or a
// thousand-millionth of a degree less is not. A cell of no time is met by one reading.
func TestEveryCellIsMetAtItsTimeAndTemperatureAndNotBelow(t *testing.T) {
	for _, c := range cells(t) {
		cook := Cook{Species: c.species, Fat: c.fat * FatUnit}
		hold := func(h Heat, length stamp.Span) *Cooked {
			return assess(t, cook, Reading{begin, h}, Reading{begin.Add(max(length, 1)), h})
		}
		at := Fahrenheit(c.f)
		what := fmt.Sprint(c)
		out := hold(at, c.dwell)
		require.True(t, out.Met, what)
		require.Equal(t, Met, out.Dwell.Verdict, what)
		if c.dwell == 0 {
			require.Equal(t, 0, out.Instant, what)
			require.Zero(t, out.HeldAt(), what)
			require.GreaterOrEqual(t, out.Lower, LogRequired*fixed.One, what)
			require.GreaterOrEqual(t, out.Linear, LogRequired*fixed.One, what)
			continue
		}
		require.Equal(t, -1, out.Instant, what)
		require.Equal(t, c.f, out.HeldAt(), what)
		require.InDelta(t, 7, float(out.Lower), 1e-5, what)
		require.InDelta(t, 7, float(out.Linear), 1e-5, what)
		require.True(t, hold(at, c.dwell+stamp.Second).Met, what)
		for _, less := range []*Cooked{hold(at, c.dwell-stamp.Second), hold(at, c.dwell-1)} {
			require.False(t, less.Met, what)
			require.Zero(t, less.HeldAt(), what)
			require.Equal(t, NotMet, less.Dwell.Verdict, what)
			require.Equal(t, less.Dwell.Limit.Value-less.Dwell.Got.Value, less.Dwell.By, what)
		}
		require.False(t, hold(at-HeatF/10, c.dwell).Met, what)
		require.False(t, hold(at-1, c.dwell).Met, what)
		require.True(t, hold(at+HeatF/10, c.dwell).Met, what)
	}
}

// The coolest reading at which one is enough: a part of a degree below it is not.
func TestOneReadingIsEnoughFromTheRowWithoutTime(t *testing.T) {
	for _, c := range []struct {
		species Species
		fat, f  int64
	}{{Chicken, 6, 162}, {Chicken, 7, 163}, {Turkey, 1, 165}, {Turkey, 12, 165}} {
		cook := Cook{Species: c.species, Fat: c.fat * FatUnit}
		require.True(t, assess(t, cook, Reading{begin, Fahrenheit(c.f)}).Met)
		require.False(t, assess(t, cook, Reading{begin, Fahrenheit(c.f) - 1}).Met)
	}
}

func TestBetweenTwoColumnsTheLargerDwellCounts(t *testing.T) {
	printed := map[cell]stamp.Span{}
	for _, c := range cells(t) {
		printed[cell{c.species, c.f, c.fat, 0}] = c.dwell
	}
	for _, species := range []Species{Chicken, Turkey} {
		for fat := int64(1); fat < columns; fat++ {
			for _, between := range []int64{fat*FatUnit + 1, fat*FatUnit + 500, fat*FatUnit + 999} {
				rows, err := Rows(species, between)
				require.NoError(t, err)
				for _, r := range rows {
					want := max(printed[cell{species, r.F, fat, 0}], printed[cell{species, r.F, fat + 1, 0}])
					require.Equal(t, want, r.Dwell, "%v %d F %d", species, r.F, between)
				}
			}
		}
	}
	// Three cells fall while fat rises; there the lower level of fat has the larger dwell.
	rows, err := Rows(Chicken, 1500)
	require.NoError(t, err)
	require.Equal(t, 126*stamp.Second, rows[151-firstRow].Dwell)
}

// Between rows, too, the larger of two columns is a straight line, because no two neighbours cross there.
func TestColumnsDoNotCrossBetweenRows(t *testing.T) {
	for _, text := range []string{chickenTable, turkeyTable} {
		for i := range columns - 1 {
			a, b := column(text, i), column(text, i+1)
			for k := range min(len(a), len(b)) - 1 {
				before, after := a[k]-b[k], a[k+1]-b[k+1]
				require.False(t, before < 0 && after > 0 || before > 0 && after < 0, "columns %d and %d, row %d", i+1, i+2, k)
			}
			for k := range len(a) - 1 {
				require.True(t, a[k] > a[k+1] || a[k] == 0, "a hotter row is never longer")
			}
		}
	}
}

func TestFatBeyondTheColumns(t *testing.T) {
	first, err := Rows(Chicken, FatUnit)
	require.NoError(t, err)
	for _, lean := range []int64{0, 1, 500, 999} {
		rows, err := Rows(Chicken, lean)
		require.NoError(t, err)
		require.Equal(t, first, rows)
	}
	for _, bad := range []int64{FatMost + 1, 13 * FatUnit, -1} {
		_, err := Rows(Chicken, bad)
		require.ErrorIs(t, err, ErrFat)
		_, err = AssessCook(Cook{Fat: bad}, []Reading{{begin, 0}})
		require.ErrorIs(t, err, ErrFat)
	}
	_, err = Rows(Turkey+1, FatUnit)
	require.ErrorIs(t, err, ErrSpecies)
}

// The red-meat table asks for less: were it taken for poultry, these cooks would pass. FSIS-GD-2021-0014, table 2.
func TestTheMeatTableIsNotEnoughForPoultry(t *testing.T) {
	var seen int
	for _, row := range published(t, "lethality-meat.csv") {
		if row["log10_reduction_salmonella"] != "7.0" {
			continue
		}
		h := Fahrenheit(int64(number(t, row["temp_F"])))
		length := max(stamp.Span(math.Round(number(t, row["dwell_s"])*1000)), 1)
		for _, species := range []Species{Chicken, Turkey} {
			out := assess(t, Cook{Species: species, Fat: 7 * FatUnit}, Reading{begin, h}, Reading{begin.Add(length), h})
			require.False(t, out.Met, "%v", row)
			seen++
		}
	}
	require.Equal(t, 62, seen)
}

func TestDwellHasDecimalsOfASecond(t *testing.T) {
	cook := Cook{Species: Chicken, Fat: FatUnit} // 160 degF, 1 % fat: 13.7 s
	for _, c := range []struct {
		length stamp.Span
		met    bool
	}{{13 * stamp.Second, false}, {13699, false}, {13700, true}, {14 * stamp.Second, true}} {
		out := assess(t, cook, Reading{begin, Fahrenheit(160)}, Reading{begin.Add(c.length), Fahrenheit(160)})
		require.Equal(t, c.met, out.Met, "%d ms", c.length)
	}
}

// ramp makes a log of degF tenths, so many ms apart.
func ramp(step stamp.Span, tenths ...int64) (log []Reading) {
	for i, f := range tenths {
		log = append(log, Reading{begin.Add(stamp.Span(i) * step), Heat(f-320) * HeatF / 10})
	}
	return log
}

func TestTheRunThatHeldFirstIsNamedTheLowestOfThose(t *testing.T) {
	cook := Cook{Species: Chicken, Fat: FatUnit}
	// 158 holds after 21.9 s, 160 after 13.7 s: the log climbs over both, and 160 is over first.
	out := assess(t, cook, ramp(5*stamp.Second, 1400, 1585, 1605, 1605, 1605, 1605)...)
	require.Equal(t, int64(160), out.HeldAt())
	require.Equal(t, Run{Row: out.Rows[24], First: 2, Held: 5, Last: 5, Length: 15 * stamp.Second}, out.Run)
	// With readings 30 s apart 157 to 161 are all over at the same instant.
	out = assess(t, cook, ramp(30*stamp.Second, 1615, 1615, 1590, 1400)...)
	require.Equal(t, int64(157), out.HeldAt())
	require.Equal(t, 2, out.Run.Last)
	require.Equal(t, 60*stamp.Second, out.Run.Length)
	// The run goes on to its last reading at exactly the row.
	out = assess(t, cook, ramp(25*stamp.Second, 1580, 1580, 1580, 1579)...)
	require.Equal(t, Run{Row: out.Rows[158-firstRow], First: 0, Held: 1, Last: 2, Length: 50 * stamp.Second}, out.Run)
	// One reading below breaks the run, and the nearest is told.
	out = assess(t, cook, ramp(7*stamp.Second, 1600, 1600, 1599, 1600, 1600)...)
	require.True(t, out.Met, "28 s at 159 degF")
	require.Equal(t, int64(159), out.HeldAt())
	out = assess(t, cook, ramp(7*stamp.Second, 1611, 1612, 1360, 1600, 1600)...) // 7 of 10.8 s, then 7 of 13.7 s
	require.False(t, out.Met)
	require.Equal(t, Run{Row: out.Rows[161-firstRow], First: 0, Held: -1, Last: 1, Length: 7 * stamp.Second}, out.Run)
}
