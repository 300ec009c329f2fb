package forecast

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const proof = "../../../testdata/"

// rows reads a table of testdata as maps by column.
func rows(t *testing.T, name string) []map[string]string {
	f, err := os.Open(proof + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	list, err := r.ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, row := range list[1:] {
		m := map[string]string{}
		for i, name := range list[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

func TestLogarithmAndPower(t *testing.T) {
	for x := 1e-300; x < 1e300; x *= 3.7 {
		require.InEpsilon(t, 1+math.Abs(math.Log(x)), 1+math.Abs(ln(x)), 1e-14)
		require.Equal(t, math.Log(x) < 0, ln(x) < 0)
	}
	for x := -740.0; x < 700; x += 0.37 {
		require.InEpsilon(t, math.Exp(x), exp(x), 1e-12, "%v", x)
	}
}

// R 4.2.2 says how likely these counts are.
func TestPublishedQuantiles(t *testing.T) {
	list := rows(t, "published/count-quantiles.csv")
	require.Len(t, list, 45)
	for _, row := range list {
		size := 0.0
		if row["size_k"] != "" {
			size = number(t, row["size_k"])
		}
		got := quantile(number(t, row["mean_mu"]), size, number(t, row["p"]))
		require.Equal(t, row["quantile"], strconv.Itoa(got), "%v", row)
	}
}

func TestPublishedProbabilities(t *testing.T) {
	list := rows(t, "published/negative-binomial.csv")
	require.Len(t, list, 5)
	for _, row := range list {
		size, mean, x := number(t, row["size_k"]), number(t, row["mean_mu"]), int(number(t, row["x"]))
		all := upTo(mean, size, x)
		require.InDelta(t, number(t, row["cdf"]), all, 1e-9)
		require.InDelta(t, number(t, row["pmf"]), all-upTo(mean, size, x-1), 1e-9)
	}
}

// The textbooks' demand is normal. That of counts is not: where theirs is wide it is skewed, so amounts agree within 2 %.
func TestPublishedNewsvendor(t *testing.T) {
	value := map[string]float64{}
	for _, row := range rows(t, "published/newsvendor.csv") {
		value[row["id"]] = number(t, row["value"])
	}
	ratios := 0
	for _, name := range []string{"nahmias", "calendar", "cachon"} {
		r := Ratio{int64(value[name+"-cu"]*100 + 0.5), int64(value[name+"-co"]*100 + 0.5)}
		require.InDelta(t, value[name+"-cr"], r.value(), 1e-6, name)
		ratios++
	}
	require.Equal(t, 3, ratios)
	for _, c := range []struct {
		name      string
		mean, dev float64
	}{{"nahmias", value["nahmias-mean"], value["nahmias-sd"]}, {"calendar", 250, 40}, {"cachon", 3192, 1181}} {
		size := c.mean * c.mean / (c.dev*c.dev - c.mean)
		mean := int64(c.mean*thousand + 0.5)
		r := Ratio{int64(value[c.name+"-cu"]*100 + 0.5), int64(value[c.name+"-co"]*100 + 0.5)}
		q := Quantile(mean, int64(size*thousand), r)
		want := value[c.name+"-Q"]
		require.InDelta(t, want, q, math.Max(want*0.02, 0.5), c.name)
		// and what keeps for no second span is the same
		require.Equal(t, q, Keeping([]Span{{mean, int64(size * thousand)}}, Left{Short: r.Short, Discard: r.Over}), c.name)
	}
}

// The four cases of the plan format: a quantile of R's, spread over an hour.
func TestDemandCases(t *testing.T) {
	list := rows(t, "plan/demand_cases.csv")
	require.Len(t, list, 4)
	for _, row := range list {
		o := Outlook{Size: int64(number(t, row["size_r"]) * thousand)}
		for _, m := range strings.Split(row["slot_means"], ";") {
			o.Mean = append(o.Mean, int64(number(t, m)*thousand))
		}
		margin, waste := int64(math.Round(number(t, row["margin"])*100)), int64(math.Round(number(t, row["waste_cost"])*100))
		got := Demand(o, margin, waste)
		var text []string
		all := 0
		for _, d := range got {
			text = append(text, strconv.Itoa(d))
			all += d
		}
		require.Equal(t, row["slot_demand"], strings.Join(text, ";"))
		require.Equal(t, row["quantile"], strconv.Itoa(all))
	}
}

// Every problem under testdata/plan carries the forecast that its demand was made of.
func TestDemandOfEveryProblem(t *testing.T) {
	names, err := filepath.Glob(proof + "plan/*-00*.json")
	require.NoError(t, err)
	require.Len(t, names, 30)
	slots := 0
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		var p struct {
			Items []struct {
				ID            string
				Margin        float64
				Demand, Fixed []int
				Mean          []float64
				NbSize        float64 `json:"nb_size"`
				Cook          struct {
					Waste float64 `json:"waste_cost"`
				}
			}
		}
		require.NoError(t, json.Unmarshal(text, &p))
		for _, it := range p.Items {
			var means []int64 // four decimals
			for _, m := range it.Mean {
				means = append(means, int64(math.Round(m*10_000)))
			}
			ratio := Ratio{int64(math.Round(it.Margin * 100)), int64(math.Round(it.Cook.Waste * 100))}.value()
			var got []int
			for from := 0; from < len(means); from += slotsOfHour {
				hour := means[from:min(from+slotsOfHour, len(means))]
				got = spread(got, quantile(float64(sum(hour))/10_000, it.NbSize, ratio), hour)
			}
			for s := range got {
				got[s] += it.Fixed[s]
				slots++
			}
			require.Equal(t, it.Demand, got, "%s %s", name, it.ID)
		}
	}
	require.Greater(t, slots, 3000)
}
