package screen

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// cookPath is a log of bone-in chicken as somebody typed it.
const cookPath = "/cook?f=7&e=0.5&rows=0_4C*240_48C*480_66.5C*600_70.9C*610_71.7C*620_71.8C*630_71.9C*640_70C"

func TestCookSaysWhatIsMetByWhichRow(t *testing.T) {
	w := midshift(t)
	text := said(draw(t, w.ctx("maren", cookPath)))
	for _, want := range []string{
		"Limit met. ", "30 s at 70.0 °C (158 °F) or hotter without a break; the table asks for 24.5 s: met by 5.5 s.",
		"Limit met: 8 min between 10.0 °C and 54.4 °C on the way up, of 6 h", "7 asked for.", "Table 3, p. 37 (2021)",
		"Gaps of more than a minute between readings: 3, the longest 4 min.", "Follow your local code", "at once",
	} {
		require.Contains(t, text, want)
	}
	d := draw(t, w.ctx("maren", cookPath))
	plots := partsOf(d, "plot")
	require.Len(t, plots, 1)
	require.Len(t, plots[0]["rows"], 8)
	require.Equal(t, []any{"4\u00a0min", "47.5\u00a0°C"}, plots[0]["rows"].([]any)[1], "48 °C less the probe's error")
	table := partsOf(d, "pairs")[0]["rows"].([]any)
	require.Len(t, table, 28, "every printed row up to the first that counts at once")
	require.Equal(t, "72.8\u00a0°C (163\u00a0°F)", table[27].(map[string]any)["k"])
	text = said(draw(t, w.ctx("ines", cookPath)))
	require.Contains(t, text, "Límite cumplido. ")
	require.Contains(t, text, "la tabla pide 24,5 s: cumplido por 5,5 s.")

	text = said(draw(t, w.ctx("maren", cookPath+"&k=t"))) // turkey: 40 s at 158 degF, 26.3 s at 160
	require.Contains(t, text, "Limit not met. ")
	require.Contains(t, text, "short.")
	text = said(draw(t, w.ctx("maren", "/cook?f=6&u=F&rows=0_162F")))
	require.Contains(t, text, "162.0 °F was reached; from 162 °F on one reading is enough: met by 0.0 °F.")
	require.Contains(t, text, "Cannot be told: 0 s between 50.0 °F and 130.0 °F")
	text = said(draw(t, w.ctx("maren", "/cook?f=6&u=F&rows=0_161.999F")))
	require.Contains(t, text, "Limit not met. ")
}

func TestCookTakesReadingsAsTheyAreTyped(t *testing.T) {
	w := midshift(t)
	at := func(path string) (d drawn, add string) {
		d = draw(t, w.ctx("maren", path))
		each(d, func(o map[string]any) {
			if o["label"] == "Add the reading" {
				add = o["to"].(string)
			}
		})
		return d, add
	}
	d, add := at("/cook")
	require.Empty(t, add)
	require.Contains(t, said(d), "No readings yet.")
	require.Len(t, partsOf(d, "caution"), 1)
	for _, half := range []string{"?s=30", "?t=60", "?s=30&t=-", "?s=x&t=60", "?s=-1&t=60", "?s=30&t=5000", "?s=172800&t=60"} {
		_, add = at("/cook" + half)
		require.Empty(t, add, half)
	}
	_, add = at("/cook?f=7&s=30.5&t=71,5&rows=60_72C*0_40F")
	require.Equal(t, "/cook?rows=0_40F%2A30.5_71%2C5C%2A60_72C&f=7", add, "by its time, as it was typed")
	d, _ = at(add)
	require.Contains(t, said(d), "30.5 s, 71.5 °C")
	require.Contains(t, said(d), "0 s, 4.4 °C")
	_, add = at("/cook?s=60&t=50&rows=60_72C*0_40F")
	require.Equal(t, "/cook?rows=0_40F%2A60_50C", add, "the newer one at a time counts")

	for path, want := range map[string]string{
		"/cook?rows=0_40F": "Type the per cent of fat", "/cook?f=12.001&rows=0_40F": "The published tables end at 12 % fat",
		"/cook?f=7&e=10.1&rows=0_40F": "take another probe", "/cook?f=7&u=F&e=5000&rows=0_40F": "take another probe",
	} {
		d, _ = at(path)
		require.Contains(t, said(d), want, path)
		require.Empty(t, partsOf(d, "plot"), path)
	}
	d, _ = at("/cook?f=7&rows=rubbish*1_2*_*3_C*0_40F*%00")
	require.Contains(t, said(d), "1 reading\n", "what cannot be read is left out")
}
