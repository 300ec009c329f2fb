package web_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFiguresAreForThisMachineOrTheToken(t *testing.T) {
	s := newSite(t)
	require.Equal(t, http.StatusForbidden, s.ask("GET", "/metrics", "", remote).Code)
	require.Equal(t, http.StatusForbidden, s.ask("GET", "/metrics", "", remote, header("Authorization", "Bearer ")).Code, "an empty token opens nothing")
	require.Equal(t, http.StatusForbidden, s.ask("GET", "/metrics", "", remote, header("Authorization", "Bearer secreT")).Code)
	require.Equal(t, http.StatusOK, s.ask("GET", "/metrics", "", remote, header("Authorization", "Bearer secret")).Code)
	w := s.ask("GET", "/metrics", "")
	require.Equal(t, "application/openmetrics-text; version=1.0.0; charset=utf-8", w.Header().Get("Content-Type"))
	families := parseOpenMetrics(t, w.Body.String())
	require.Equal(t, "counter", families["brinebell_http_requests"])
	require.Equal(t, "histogram", families["brinebell_pretend_seconds"])
	for _, line := range []string{"# UNIT brinebell_pretend_seconds seconds", "# UNIT brinebell_pretend_bytes bytes",
		`brinebell_pretend_seconds_bucket{le="0.5"} 1`, `brinebell_pretend_seconds_bucket{le="1.0"} 1`, `brinebell_pretend_seconds_bucket{le="+Inf"} 2`} {
		require.Contains(t, w.Body.String(), line+"\n")
	}
}

var (
	unitLine   = regexp.MustCompile(`^# UNIT ([a-z_]+)_(seconds|bytes) (seconds|bytes)$`)
	boundGiven = regexp.MustCompile(`le="([^"]*)"`)
	// The standard's own form of a bound: as Go writes a number, with .0 where it would have neither point nor exponent.
	boundForm  = regexp.MustCompile(`^(\+Inf|-?[0-9]+(\.[0-9]+)?(e[+-][0-9]+)|-?[0-9]+\.[0-9]+)$`)
	typeLine   = regexp.MustCompile(`^# TYPE ([a-zA-Z_:][a-zA-Z0-9_:]*) (counter|gauge|histogram)$`)
	sampleLine = regexp.MustCompile(`^([a-zA-Z_:][a-zA-Z0-9_:]*)(\{[a-z]+="[^"]*"(,[a-z]+="[^"]*")*\})? (NaN|[+-]?Inf|[-+0-9.e]+)$`)
)

// parseOpenMetrics is a small strict reader of the exposition format; it returns the type of every family.
func parseOpenMetrics(t *testing.T, text string) map[string]string {
	t.Helper()
	require.True(t, strings.HasSuffix(text, "\n# EOF\n"), "the text must end with its mark")
	families, now := map[string]string{}, ""
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "# EOF\n"), "\n") {
		if line == "" {
			continue
		}
		if m := typeLine.FindStringSubmatch(line); m != nil {
			require.NotContains(t, families, m[1], "a family stands in one place")
			now = m[1]
			families[now] = m[2]
			continue
		}
		if m := unitLine.FindStringSubmatch(line); m != nil {
			require.Equal(t, now, m[1]+"_"+m[2], "a unit stands under its family's type")
			require.Equal(t, m[2], m[3], "a family's name ends in its unit")
			continue
		}
		if m := boundGiven.FindStringSubmatch(line); m != nil {
			require.Regexp(t, boundForm, m[1], line)
		}
		m := sampleLine.FindStringSubmatch(line)
		require.NotNil(t, m, "not a sample: %q", line)
		ends := map[string][]string{"counter": {"_total"}, "gauge": {""}, "histogram": {"_bucket", "_sum", "_count"}}[families[now]]
		ok := false
		for _, end := range ends {
			ok = ok || m[1] == now+end
		}
		require.True(t, ok, "%q does not belong to %s %s", line, families[now], now)
	}
	return families
}
