package web

import (
	"bytes"
	"net/http"
	"regexp"
	"strings"

	"github.com/VictoriaMetrics/metrics"

	"brinebell/internal/fail"
)

type siteMeter struct{ requests, refused, joins, joinsRefused, photos, files *metrics.Counter }

func newSiteMeter(set *metrics.Set) siteMeter {
	return siteMeter{
		requests:     set.NewCounter("brinebell_http_requests_total"),
		refused:      set.NewCounter("brinebell_http_foreign_total"),
		joins:        set.NewCounter("brinebell_joins_total"),
		joinsRefused: set.NewCounter("brinebell_joins_refused_total"),
		photos:       set.NewCounter("brinebell_photos_total"),
		files:        set.NewCounter("brinebell_files_total"),
	}
}

// metrics shows the figures as OpenMetrics 1.0 text.
func (s *Site) metrics(w http.ResponseWriter, r *http.Request) error {
	if !s.trusted(r) {
		return fail.E("web.metrics", fail.Refused, "Figures are shown on this machine, or to whoever has the token.", nil)
	}
	var plain bytes.Buffer
	s.cfg.Meter.WritePrometheus(&plain)
	w.Header().Set("Content-Type", "application/openmetrics-text; version=1.0.0; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write(openMetrics(plain.String())) // whoever went away does not hear it
	return nil
}

// openMetrics turns plain sample lines, grouped by family as the library writes them, into OpenMetrics: each family has
// a line with its type and, if its name ends in one, its unit; a bucket's bound is written with a point; and the text
// ends with the mark that it is whole.
func openMetrics(plain string) []byte {
	var out bytes.Buffer
	last := ""
	for line := range strings.Lines(plain) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		name := line[:strings.IndexAny(line, "{ ")]
		family, kind := familyOf(name, line)
		if family != last {
			out.WriteString("# TYPE " + family + " " + kind + "\n")
			for _, unit := range []string{"seconds", "bytes"} {
				if strings.HasSuffix(family, "_"+unit) {
					out.WriteString("# UNIT " + family + " " + unit + "\n")
				}
			}
			last = family
		}
		out.WriteString(wholeBound.ReplaceAllString(line, `le="$1.0"`))
	}
	out.WriteString("# EOF\n")
	return out.Bytes()
}

// wholeBound is a bucket's bound as the library writes it when it is a whole number: readers hold 1 and 1.0 for two.
var wholeBound = regexp.MustCompile(`\ble="(-?[0-9]+)"`)

// familyOf tells which family a sample belongs to, by the endings that our names keep to.
func familyOf(name, line string) (family, kind string) {
	if f, ok := strings.CutSuffix(name, "_total"); ok {
		return f, "counter"
	}
	if f, ok := strings.CutSuffix(name, "_bucket"); ok && strings.Contains(line, "le=") {
		return f, "histogram"
	}
	for _, end := range []string{"_sum", "_count"} {
		if f, ok := strings.CutSuffix(name, end); ok && strings.HasSuffix(f, "_seconds") {
			return f, "histogram"
		}
	}
	return name, "gauge"
}
