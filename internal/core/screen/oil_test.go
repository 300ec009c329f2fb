package screen

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// Days and loads left, against the same formulas in floats.
func TestOilSaysHowLongItMayLast(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "/oil/fryer-1")
	oiled(w, ctx)
	place := w.s.Place("fryer-1")
	days := func(m *kitchen.OilMark) float64 { return float64(m.At.Since(w.now)) / float64(stamp.Day) }
	loads := func(m *kitchen.OilMark) float64 { return float64(m.Loads - place.Loads) }
	at, early, late := inverse(place.Oil, 24, days)
	require.Greater(t, early, 0.0)
	text := said(draw(t, ctx))
	whole := func(f float64) string { return strconv.Itoa(int(math.Floor(f))) }
	require.Contains(t, text, "24.0 % in about "+whole(at)+" d; 9 of 10 times in "+whole(early)+" to "+whole(late)+" d.")
	at, early, late = inverse(place.Oil, 24, loads)
	require.Contains(t, text, "About "+whole(at)+" loads left ("+whole(early)+" to "+whole(late)+").")
	require.Contains(t, text, "US has no limit on polar compounds here. The strictest of all stands in for it.")
	require.Contains(t, text, "Follow your local code.")
}

// inverse is the textbook's inverse prediction: where level - (a + bx) = t s sqrt(1 + 1/n + (x-mean)^2/Sxx). Student's t for a 90 %
// interval: NIST/SEMATECH e-Handbook, 1.3.6.7.2.
func inverse(marks []kitchen.OilMark, level float64, x func(*kitchen.OilMark) float64) (at, early, late float64) {
	var xs, ys []float64
	for i := range marks {
		if marks[i].Deed == entry.OilMeasured {
			xs, ys = append(xs, x(&marks[i])), append(ys, float64(marks[i].Polar)/1000)
		}
	}
	n, mx, my, sxx, sxy, rest := float64(len(xs)), 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range xs {
		mx, my = mx+xs[i]/n, my+ys[i]/n
	}
	for i := range xs {
		sxx, sxy = sxx+(xs[i]-mx)*(xs[i]-mx), sxy+(xs[i]-mx)*(ys[i]-my)
	}
	b := sxy / sxx
	for i := range xs {
		rest += math.Pow(ys[i]-my-b*(xs[i]-mx), 2)
	}
	quantile := map[float64]float64{6: 2.132}[n]
	reaches := func(side float64) float64 {
		low, high := mx, mx+1000
		for range 100 {
			x := (low + high) / 2
			if my+b*(x-mx)+side*quantile*math.Sqrt(rest/(n-2)*(1+1/n+(x-mx)*(x-mx)/sxx)) < level {
				low = x
			} else {
				high = x
			}
		}
		return low
	}
	return reaches(0), reaches(1), reaches(-1)
}

// What cannot be estimated is refused in a sentence; what is beyond its limit is said first.
func TestOilEstimatesAreRefused(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "/oil/fryer-2")
	say := func(polar int64) string {
		w.wait(20 * stamp.Hour)
		w.make("teo", &entry.Oil{Place: "fryer-2", Deed: entry.OilMeasured, Polar: polar})
		ctx.Now = w.now
		return said(draw(t, ctx))
	}
	require.Contains(t, said(draw(t, ctx)), "0 measurements since the oil was changed. An estimate needs 4.")
	require.Contains(t, say(9000), "1 measurement since the oil was changed. An estimate needs 4.")
	say(8000)
	require.Contains(t, say(9500), "3 measurements since")
	require.Contains(t, say(8200), "The measurements scatter too much, or do not rise: no estimate.")
	text := say(24_001)
	require.Contains(t, text, "24.001 % is beyond the limit of 24.0 %. Change the oil, and follow your local code.")
	require.NotContains(t, text, "9 of 10")
	w.make("teo", &entry.Oil{Place: "fryer-2", Deed: entry.OilChanged, Volume: 18_000})
	require.Contains(t, said(draw(t, ctx)), "0 measurements since the oil was changed.")
}

// The limits of a country stand there with their sources, those from memory marked.
func TestOilLimitsOfACountry(t *testing.T) {
	w := midshift(t)
	for country, want := range map[string][]string{
		"DE": {"DE: polar compounds 24.0 %, list of national limits, 2023", "DE: free fatty acids 1.0 %, DGF", "DE: polymers 12.0 %, DGF 2000/2012, from memory",
			"DE: acid value, mg KOH/g 2.0 = 1.0 % free fatty acids, DGF 2012, from memory"},
		"CH": {"CH: polar compounds 27.0 %, national rule, from memory"},
		"ES": {"ES: polar compounds 25.0 %, BOE 26/1989"},
		"JP": {"JP: acid value, mg KOH/g 3.0 = 1.5 % free fatty acids, list of national limits, 2023", "DE: polar compounds 24.0 %"},
		"US": {"US: no figure in federal law national rule, from memory", "DE: polar compounds 24.0 %"},
		"":   {"DE: polar compounds 24.0 %"},
	} {
		w.make("", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: country})
		var rows string
		for _, list := range partsOf(draw(t, w.ctx("maren", "/oil/fryer-1")), "pairs") {
			for _, r := range list["rows"].([]any) {
				row := r.(map[string]any)
				rows += row["k"].(string) + " " + row["v"].([]any)[0].(map[string]any)["t"].(string) + "\n"
			}
		}
		for _, s := range want {
			require.Contains(t, strings.ReplaceAll(rows, "\u00a0", " "), s)
		}
	}
}

// A vat of 50 lb to which 10 lb are added each day turns over in 5 days: testdata/published/oil-conversions.csv.
func TestTurnover(t *testing.T) {
	f, err := os.Open("../../../testdata/published/oil-conversions.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, r := range rows {
		if r[0] == "turnover-ex" {
			require.Equal(t, r[2], strconv.Itoa(int(turnover(50_000, 3*10_000, 3*stamp.Day))))
		}
	}
	require.Zero(t, turnover(50_000, 0, stamp.Day))
	require.Zero(t, turnover(0, 10, stamp.Day))
	require.Zero(t, turnover(50_000, 10, stamp.Hour))
}

// A fryer whose oil was thrown away stands empty until somebody writes down that it was filled.
func TestAnEmptiedFryerSaysSo(t *testing.T) {
	w := midshift(t)
	oil := func(deed string, volume int64) {
		w.make("teo", &entry.Oil{Place: "fryer-2", Deed: deed, Volume: volume})
		w.now = w.now.Add(stamp.Minute)
	}
	empty := func() bool {
		return strings.Contains(said(draw(t, w.ctx("maren", "/oil/fryer-2"))), "The fryer stands empty since")
	}
	require.False(t, empty())
	oil(entry.OilDiscarded, 0)
	require.True(t, empty())
	oil(entry.OilChanged, 20_000)
	require.False(t, empty())
}

// Cautions stand before what is done with hot oil, and only fryers have oil.
func TestOilsCautionsComeFirst(t *testing.T) {
	w := midshift(t)
	for _, crew := range []string{"maren", "ines"} {
		d := draw(t, w.ctx(crew, "/oil/fryer-1"))
		parts := d["parts"].([]any)
		require.Equal(t, "caution", parts[0].(map[string]any)["p"])
		deeds := 0
		each(d, func(o map[string]any) {
			if do, ok := o["do"].(map[string]any); ok && do["do"] == kitchen.DoOil {
				deeds++
			}
		})
		require.Equal(t, 5, deeds)
	}
	require.Equal(t, "missing", draw(t, w.ctx("maren", "/oil/cold-room"))["kind"])
	require.Contains(t, said(draw(t, w.ctx("maren", "/place/fryer-1"))), "Oil\n")
}

// A number that is corrected is held against its step's limit while it is typed, as it was the first time.
func TestACorrectionIsJudgedWhileItIsTyped(t *testing.T) {
	w := midshift(t)
	path := "/batch/" + w.open("tray", 1).Parents[0].String() + "/history"
	draft := func(path string) (found map[string]any) {
		each(draw(t, w.ctx("maren", path)), func(o map[string]any) {
			if a, ok := o["draft"].(map[string]any); ok && found == nil && o["kind"] == "number" {
				found = a
			}
		})
		return found
	}
	d := draft(path)
	require.NotNil(t, d, "a load's core temperature can be corrected")
	require.Nil(t, d["bad"])
	d = draft(path + "?" + d["name"].(string) + "=1")
	require.Equal(t, "1", d["text"])
	require.Equal(t, float64(1), d["bad"])
	require.Contains(t, said(drawn(d)), "under the limit")
}
