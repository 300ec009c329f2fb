package report

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A phone's page says what the paper says: each row of the day with its value, its limit and whether it was met.
func TestAPhonesPageSaysWhatThePaperSays(t *testing.T) {
	all, day := aDay(t)
	for _, lang := range []string{"en", "es"} {
		b := collect(t, all, Ask{From: day, To: day, Lang: lang})
		b.Chain = Chain{Entries: uint64(len(all))}
		out, err := Sheet(b)
		require.NoError(t, err)
		var got struct{ Parts []part }
		require.NoError(t, json.Unmarshal(out, &got))
		var page strings.Builder
		rows := 0
		for _, p := range got.Parts {
			require.Contains(t, []string{"history", "pairs", "note"}, p.P, "a phone draws no other here")
			for _, r := range p.Rows {
				rows++
				page.WriteString(r.At + " " + r.Who + " " + r.Text + "\n")
			}
		}
		require.Positive(t, rows)
		text, w := page.String(), wordsOf(lang)
		for _, r := range b.Days[0].Rows {
			if r.Kind == Sensor || b.Without != nil && contains(b.Without, r.Kind) {
				continue
			}
			line := ""
			for _, l := range strings.Split(text, "\n") {
				if strings.HasPrefix(l, r.At.Format("15:04")) && strings.Contains(l, r.Value) && strings.Contains(l, orElse(r.What, r.Subject)) {
					line = l
				}
			}
			require.NotEmpty(t, line, "%s %s %s", r.At, r.What, r.Value)
			if r.Verdict == NotMet && r.Withdrawn == nil {
				require.Contains(t, text, w.t("sheetNotMet", "limit", r.Limit))
			}
		}
		require.NotContains(t, text, "..")
		for _, d := range b.Days[0].Deviations {
			require.Contains(t, text, d.Title)
		}
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func TestAPageOfTooManyRowsSaysHowManyAreLeftOut(t *testing.T) {
	b := &Book{Lang: "en", Days: []Day{{Title: "Tuesday"}}}
	for range sheetRows + 7 {
		b.Days[0].Rows = append(b.Days[0].Rows, Row{Kind: Reading, What: "oil", Value: "168 °C"})
	}
	out, err := Sheet(b)
	require.NoError(t, err)
	require.Contains(t, string(out), "7 more rows: the files have all of them.")
	require.Equal(t, sheetRows, strings.Count(string(out), `"text":"oil: 168 °C"`))

	b.Days[0].Rows, b.Chain = nil, Chain{Fault: "entry 7: changed", Faults: 1}
	out, err = Sheet(b)
	require.NoError(t, err)
	require.Contains(t, string(out), "THE RECORD WAS CHANGED AFTER IT WAS KEPT")
}
