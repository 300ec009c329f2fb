package words

import (
	"strconv"

	"brinebell/internal/core/probelog"
)

// LogFault says what is wrong with a probe's file, or with one of its rows: which row, its line, and half a sentence.
func (l Lang) LogFault(f *probelog.Fault) string {
	names := f.Name
	if f.Problem >= probelog.Missing && f.Name == "temp_f" {
		names = l.T("plog.temps")
	}
	text := l.T("plog."+strconv.Itoa(int(f.Problem)), "name", names, "text", strconv.Quote(f.Text), "n", strconv.Itoa(f.N), "m", strconv.Itoa(f.M))
	if f.Row == 0 {
		return text
	}
	return l.T("plog.row", "row", strconv.Itoa(f.Row), "line", strconv.Itoa(f.Line), "why", text)
}
