package screen

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// said returns every text on a screen, one after the other.
func said(d drawn) string {
	var all strings.Builder
	each(d, func(o map[string]any) {
		for _, name := range []string{"t", "title", "label", "detail", "small", "word", "says", "text"} {
			if s, ok := o[name].(string); ok {
				all.WriteString(strings.ReplaceAll(s, "\u00a0", " ") + "\n")
			}
		}
	})
	return all.String()
}

func partsOf(d drawn, kind string) []map[string]any {
	var out []map[string]any
	each(d, func(o map[string]any) {
		if o["p"] == kind {
			out = append(out, o)
		}
	})
	return out
}

// The handbook's worked example, read as temperatures, through the state to the screen: NIST/SEMATECH e-Handbook, 6.3.2.2,
// testdata/published/individuals-flow-rate.csv.
func TestChartOfTheHandbooksExample(t *testing.T) {
	w := midshift(t)
	w.s.Series = []kitchen.Series{{Key: "place/fryer-1", Unit: "mC"}}
	r := &w.s.Series[0]
	for i, v := range []int64{49600, 47600, 49900, 51300, 47800, 51200, 52600, 52400, 53600, 52100} {
		r.Values = append(r.Values, kitchen.Measured{At: w.now.Add(stamp.Span(i-10) * stamp.Hour), Value: v})
	}
	d := draw(t, w.ctx("maren", "/chart/place/fryer-1"))
	text := said(d)
	for _, want := range []string{"Upper limit 55.8 °C", "Lower limit 45.8 °C", "Upper limit 6.1 °C", "10 values from 47.6 °C to 53.6 °C",
		"No rule says that anything has changed."} {
		require.Contains(t, text, want)
	}
	plots := partsOf(d, "plot")
	require.Len(t, plots, 2)
	require.Len(t, plots[0]["rows"], 10, "every value stands in the table")
	require.Len(t, plots[1]["rows"], 9)

	r.Values = r.Values[:9]
	text = said(draw(t, w.ctx("maren", "/chart/place/fryer-1")))
	require.Contains(t, text, "9 values so far. Limits need 10.")
	require.NotContains(t, text, "Upper limit")
}

// What a rule says stands on the list of charts and, as a sentence with who should look, on the chart, in both languages.
func TestSignsAreSaid(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "/chart/place/fryer-1")
	charted(w, ctx)
	text := said(draw(t, ctx))
	require.Contains(t, text, "172.0 °C (02:38) is above the limit of 171.5 °C.")
	require.Contains(t, text, "8 values in a row are above the mean, the last 02:38.")
	require.Contains(t, text, "A lead should look for what has changed.")
	ctx.Path = "/charts"
	require.Contains(t, said(draw(t, ctx)), "a sign of change")
	ctx.Crew, ctx.Path = "ines", "/chart/place/fryer-1"
	require.Contains(t, said(draw(t, ctx)), "172,0 °C (02:38) está por encima del límite de 171,5 °C.")
}

// Every series of a shift has a name of the documents and a chart.
func TestEverySeriesHasAName(t *testing.T) {
	w := midshift(t)
	require.Greater(t, len(w.s.Series), 10)
	for _, r := range w.s.Series {
		d := draw(t, w.ctx("ines", "/chart/"+r.Key))
		require.NotContains(t, d["title"], "/", r.Key)
		require.Len(t, partsOf(d, "plot"), 1, r.Key)
	}
	w.s.Series = nil
	require.Contains(t, said(draw(t, w.ctx("maren", "/charts"))), "Nothing measured yet")
	require.Equal(t, "missing", draw(t, w.ctx("maren", "/chart/place/fryer-1"))["kind"])
}
