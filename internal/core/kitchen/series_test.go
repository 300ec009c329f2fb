package kitchen_test

import (
	"encoding/csv"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

func (k *kit) series(parts ...string) []int64 {
	r := k.s.SeriesOf(kitchen.SeriesKey(parts...))
	if r == nil {
		return nil
	}
	var values []int64
	for _, v := range r.Values {
		values = append(values, v.Value)
	}
	return values
}

// TestSeriesKeepWhatIsMeasured walks a tub to its trays: how long it waited, what was read and what a piece weighs stay when the
// batches have left the state.
func TestSeriesKeepWhatIsMeasured(t *testing.T) {
	k := newKit(t)
	k.trays()
	marinated := k.series(kitchen.SeriesWait, "pieces", "marinate")
	require.Len(t, marinated, 1)
	require.GreaterOrEqual(t, marinated[0], int64(7*stamp.Hour))
	require.NotEmpty(t, k.series(kitchen.SeriesWait, "pieces", "set"))
	require.NotEmpty(t, k.series(kitchen.SeriesPlace, "fryer-1"))
	require.Len(t, k.series(kitchen.SeriesUnit, "pieces"), 1)
	tub := k.s.Batches[0]
	require.Equal(t, int64(math.Round(float64(tub.InGrams)*1000/float64(tub.InPieces))), k.series(kitchen.SeriesUnit, "pieces")[0])

	k.wait(4 * stamp.Day)
	k.say(&entry.Note{Place: "fryer-1", Text: "days later"})
	require.Equal(t, marinated, k.series(kitchen.SeriesWait, "pieces", "marinate"))
	k.wait(60 * stamp.Day)
	k.say(&entry.Note{Place: "fryer-1", Text: "months later"})
	require.Empty(t, k.s.Series)
}

// TestUnitsWeighedAtReceivingAreCharted: each by itself, and none that nobody could have weighed.
func TestUnitsWeighedAtReceivingAreCharted(t *testing.T) {
	k := newKit(t)
	k.do(delivery(4000, 1300))
	require.Equal(t, []int64{1250, 1300, 1390}, k.series(kitchen.SeriesIn, "pieces"))
	require.Equal(t, "g", k.s.SeriesOf("received/pieces").Unit)
	d := k.s.Delivery("L7")
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: d.ID, Weights: []int64{1280}})
	require.Equal(t, []int64{1280}, k.series(kitchen.SeriesIn, "pieces"), "what was corrected is not in the chart")
	k.say(&entry.Delivery{Procedure: "pieces", Lot: "L8", Weights: []int64{-5, 0}})
	k.say(&entry.Delivery{Procedure: "nobody's", Lot: "L9", Weights: []int64{1300}})
	require.Equal(t, []int64{1280}, k.series(kitchen.SeriesIn, "pieces"))
	require.Nil(t, k.s.SeriesOf("received/nobody's"))
}

// TestALoadsNumberComesOnceADay: what was written on a load's paper names it for the whole day, where a tub's number is free
// again with the tub.
func TestALoadsNumberComesOnceADay(t *testing.T) {
	k := newKit(t)
	first := k.loaded()
	require.EqualValues(t, 1, first.Number)
	k.cooked(first.ID)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: first.ID})
	require.NotEqual(t, kitchen.Open, k.batch(first.ID).Status)
	k.wait(30 * stamp.Minute)
	k.readOil()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"})
	second := k.open("cook")[0]
	require.EqualValues(t, 2, second.Number)
	k.cooked(second.ID)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: second.ID})
	require.EqualValues(t, 1, k.batch(k.tub()).Number, "a tub that is empty comes back")

	for day := k.s.WallDay(k.now); k.s.WallDay(k.now) == day; {
		k.wait(stamp.Hour)
	}
	require.EqualValues(t, 1, k.loaded().Number, "another day begins at one")
}

// TestSeriesFollowCorrections: what is taken back or corrected is not in the chart, and of many values the newest are.
func TestSeriesFollowCorrections(t *testing.T) {
	k := newKit(t)
	var ids []entry.ID
	for i := range 70 {
		k.wait(stamp.Hour)
		ids = append(ids, k.say(&entry.Reading{Place: "fryer-1", MilliC: 170_000 + int64(i)}))
	}
	got := k.series(kitchen.SeriesPlace, "fryer-1")
	require.Len(t, got, 60)
	require.Equal(t, []int64{170_010, 170_069}, []int64{got[0], got[59]})
	k.say(&entry.Withdrawal{Entry: ids[69]})
	c := entry.New(entry.ID{}, k.s.Last, "", &entry.Reading{Place: "fryer-1", MilliC: 168_000})
	k.say(&entry.Correction{Entry: ids[68], To: c.Kind, Ver: c.Ver, Body: c.Raw})
	got = k.series(kitchen.SeriesPlace, "fryer-1")
	require.Equal(t, []int64{170_067, 168_000}, got[58:])
	k.say(&entry.Reading{Place: "nowhere", MilliC: 1000})
	require.Nil(t, k.s.SeriesOf("place/nowhere"), "only what the documents name is charted")
}

// Every published limit stands in the core as it stands in testdata/published/oil-discard-limits.csv, memory marked.
func TestOilLimitsAreThePublishedOnes(t *testing.T) {
	codes := map[string]string{"Austria": "AT", "Belgium": "BE", "Brazil": "BR", "Chile": "CL", "China": "CN", "Costa Rica": "CR",
		"Czech Republic": "CZ", "Finland": "FI", "France": "FR", "Germany": "DE", "Germany (DGF)": "DE", "Hungary": "HU", "India": "IN",
		"Italy": "IT", "Panama": "PA", "Poland": "PL", "Portugal": "PT", "Japan": "JP", "Spain": "ES", "European range": "EU",
		"Netherlands": "NL", "Switzerland": "CH", "US federal": "US"}
	measures := map[string]kitchen.OilMeasure{"TPM": kitchen.PolarCompounds, "acid value": kitchen.AcidValue, "free fatty acids": kitchen.FreeAcids,
		"polymerised triglycerides": kitchen.Polymers, "dimer and polymer triglycerides": kitchen.Polymers, "any number": kitchen.NoOilLimit}
	for _, r := range published(t, "oil-discard-limits.csv") {
		country, ok := codes[r[0]]
		require.True(t, ok, r[0])
		if country == "EU" {
			_, polar := kitchen.OilLimits("DE")
			require.Equal(t, r[3], strconv.Itoa(int(polar.Limit/10))+"-27", "the low end of the range is the strictest limit")
			continue
		}
		limit := 0.0
		if r[3] != "" {
			var err error
			limit, err = strconv.ParseFloat(r[3], 64)
			require.NoError(t, err)
		}
		own, _ := kitchen.OilLimits(country)
		require.True(t, slices.ContainsFunc(own, func(l kitchen.OilLimit) bool {
			return l.Measure == measures[r[1]] && l.Limit == int64(math.Round(limit*10)) && l.Below == (r[2] == "<") &&
				l.Memory == (r[6] == "from memory")
		}), "%v", r)
	}
	total := 0
	for _, c := range slices.Compact(slices.Sorted(maps.Values(codes))) {
		own, polar := kitchen.OilLimits(c)
		total += len(own)
		if c == "US" || c == "JP" || c == "NL" {
			require.Equal(t, int64(240), polar.Limit, "without a limit of its own, the strictest")
		} else if c != "EU" {
			require.Equal(t, c, polar.Country)
		}
	}
	require.Equal(t, 28, total, "no limit stands in the core that is not published")
	for _, r := range published(t, "oil-conversions.csv") {
		if r[0] == "av-ffa" {
			ratio, err := strconv.ParseFloat(r[2], 64)
			require.NoError(t, err)
			for acid := int64(0); acid < 10_000; acid += 7 {
				require.InDelta(t, float64(acid)/ratio, float64(kitchen.FreeAcidsOf(acid)), 0.5001)
			}
		}
	}
}

func published(t *testing.T, name string) [][]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func TestBeyondAnOilLimit(t *testing.T) {
	at25 := kitchen.OilLimit{Limit: 250}
	below25 := kitchen.OilLimit{Limit: 250, Below: true}
	for polar, want := range map[int64][2]bool{24_999: {false, false}, 25_000: {false, true}, 25_001: {true, true}} {
		require.Equal(t, want, [2]bool{at25.Beyond(polar), below25.Beyond(polar)}, "%d", polar)
	}
}
