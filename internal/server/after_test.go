package server_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
	"brinebell/internal/server"
)

// TestPlannedDaysAreHandedOut: the demo kitchen's yesterday as a table, by the server and by the command line alike, and as parts of
// a page.
func TestPlannedDaysAreHandedOut(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Demo: true})
	phone := joined(t, s, "pass phone")
	now := time.Now().UTC()
	span := "from=" + now.AddDate(0, 0, -3).Format(time.DateOnly) + "&to=" + now.AddDate(0, 0, 1).Format(time.DateOnly) // the kitchen's day may be another
	status, h, body := ask(t, "GET", s.LocalURL()+"/api/after.csv?"+span, &phone, "")
	require.Equal(t, http.StatusOK, status, string(body))
	require.Contains(t, h.Get("Content-Type"), "text/csv")
	rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	day := ""
	for _, row := range rows[1:] {
		if row[at["kind"]] == "day" && row[at["cost"]] != "" {
			require.Empty(t, day, "one day is over of which loads were written down")
			day = row[at["day"]]
			require.NotEmpty(t, row[at["cost_plan"]])
			require.NotEmpty(t, row[at["cost_hindsight"]])
			require.NotEmpty(t, row[at["change"]])
		}
	}
	require.NotEmpty(t, day)

	q, err := url.ParseQuery(span)
	require.NoError(t, err)
	q.Set("days", "1")
	alone, _, err := server.Export(data, "csv", q)
	require.NoError(t, err)
	require.Equal(t, string(body), string(alone))
	_, _, err = server.Export(data, "pdf", q)
	require.Equal(t, fail.Invalid, fail.KindOf(err))

	for _, query := range []string{"day=" + day, "day=" + day + "&part=week", span} {
		status, _, body = ask(t, "GET", s.LocalURL()+"/api/after.page?lang=es&"+query, &phone, "")
		require.Equal(t, http.StatusOK, status, string(body))
		var page struct{ Parts []map[string]any }
		require.NoError(t, json.Unmarshal(body, &page), string(body))
		if query == "day="+day {
			require.Contains(t, string(body), "Lo que más habría ahorrado")
			require.Greater(t, len(page.Parts), 8)
		}
	}
	status, _, _ = ask(t, "GET", s.LocalURL()+"/api/after.csv?"+span, nil, "")
	require.Equal(t, http.StatusUnauthorized, status)
}
