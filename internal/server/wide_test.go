package server_test

import (
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/probelog"
	"brinebell/internal/core/words"
	"brinebell/internal/fail"
	"brinebell/internal/logfile"
	"brinebell/internal/server"
)

// A file whose first line, or one of whose rows, has a million columns: each reader refuses it in a sentence that says so, or reads the
// columns that it needs, and none takes more memory for it than for a file of so many bytes.
func TestAFileOfAMillionColumns(t *testing.T) {
	const n = 1_000_000
	more := func(cell string) string { return strings.Repeat(","+cell, n) }
	data := t.TempDir()
	stop(t, start(t, server.Config{Data: data, Zone: "Europe/Berlin"}))
	readers := map[string]func(file string) string{
		"logger": func(file string) string {
			f, err := logfile.Read([]byte(file), logfile.Options{Zone: time.UTC, Now: time.Now().AddDate(9, 0, 0)})
			if err != nil {
				return err.Error()
			}
			for _, bad := range f.Bad {
				return bad.Text.EN
			}
			return "read"
		},
		"probe": func(file string) string {
			r := probelog.Read([]byte(file))
			if r.File != nil {
				return words.EN.LogFault(r.File)
			}
			for i := range r.Faults {
				return words.EN.LogFault(&r.Faults[i])
			}
			return "read"
		},
		"till": func(file string) string {
			said, err := server.ImportSales(data, &server.SalesAsked{File: "till.csv", Lang: "en", Dry: true}, []byte(file))
			if err != nil {
				return fail.Sentence(err) + err.Error()
			}
			return strings.Join(said, "\n")
		},
	}
	for _, c := range []struct{ reader, file, says string }{
		{"logger", "time,temp" + more("x") + "\n2026-11-24T11:05:00Z,3" + more("1") + "\n", "Line 1 has 2000009 bytes; at most 16384 are taken"},
		{"logger", "time,temp_f\n2026-11-24T11:05:00Z,3\n2026-11-24T11:06:00Z,3" + more("1") + "\n", "this row has 2000022 bytes; at most 16384 are taken"},
		{"probe", "time,temp_f" + more("x") + "\n2026-11-24T11:05:00Z,60" + more("1") + "\n", "line 1 has more than 200 columns"},
		{"probe", strings.TrimPrefix(more(""), ",") + "\n", "line 1 has more than 200 columns"},
		{"probe", "time,temp_f\n2026-11-24T11:05:00Z,60" + more("1") + "\n", "read"},
		{"probe", "time,temp_f\n2026-11-24T11:05:00Z" + more(`"a ""b"`) + "\n", "temp_f is"},
		{"till", "date,item,quantity" + more("x") + "\n2026-11-24,Strips,6" + more("1") + "\n", "Its first line has more than 200 columns."},
		{"till", "date;item;quantity" + strings.Repeat(`;"x"`, n) + "\n2026-11-24;Strips;6\n", "Its first line has more than 200 columns."},
		{"till", "date,item,quantity\n2026-11-24,Strips,6" + more("1") + "\n", "Nothing was brought in."},
		{"till", more("") + "\n" + more("") + "\n", "Nothing was brought in."},
	} {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		says := readers[c.reader](c.file)
		runtime.ReadMemStats(&after)
		require.Contains(t, says, c.says, "%s: %.40q", c.reader, c.file)
		require.Less(t, len(says), 4000, "%s: %.40q", c.reader, c.file)
		// What was allocated in all, so that no collection flatters it: some readings of the file's own bytes.
		require.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(64), "MiB for the %s: %.40q", c.reader, c.file)
	}
}
