package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// An inspector finds each reading of a cooling with until when it was allowed, who read it with what, and whether the limits were
// met by then; and that something was frozen.
func TestLogsAreOnRecord(t *testing.T) {
	log := entry.ID{}
	reads := func(id byte, later stamp.Span, milliC int64) func(stamp.Stamp) entry.Entry {
		return func(at stamp.Stamp) entry.Entry {
			at.At = at.At.Add(later)
			return says(id, "ines", &entry.LogReading{Log: log, MilliC: milliC, Probe: "probe-1"})(at)
		}
	}
	var tub entry.ID
	all, day := aDay(t)
	for i := range all {
		if all[i].Kind == entry.BatchStarted {
			tub = all[i].ID
		}
	}
	last := all[len(all)-1].At
	for i, make := range []func(stamp.Stamp) entry.Entry{
		says(1, "maren", &entry.Frost{Batch: tub}),
		func(at stamp.Stamp) entry.Entry {
			e := says(2, "ines", &entry.Log{What: entry.LogCool, Rule: "food-code", Name: "Gravy", Measured: true, MilliC: 60_000, Probe: "probe-1"})(at)
			log = e.ID
			return e
		},
		reads(3, stamp.Minute, 40_000), reads(4, 2*stamp.Hour+2*stamp.Minute, 30_000),
		func(at stamp.Stamp) entry.Entry {
			at.At = at.At.Add(3 * stamp.Hour)
			return says(5, "maren", &entry.LogEnd{Log: log, Outcome: entry.LogDiscarded})(at)
		},
	} {
		at := last
		at.Count += uint32(i + 1)
		all = append(all, make(at))
	}
	b := collect(t, all, Ask{From: day, To: day + 1, Lang: "en"})
	var rows []Row
	for _, d := range b.Days {
		for _, r := range d.Rows {
			if r.Kind == Log {
				rows = append(rows, r)
			}
		}
	}
	require.Len(t, rows, 5)
	require.Equal(t, "frozen: its time and its date stop", rows[0].What)
	require.NotEmpty(t, rows[0].Batch)
	require.Equal(t, "Gravy", rows[1].Subject)
	require.Equal(t, "Cooling, begun", rows[1].What)
	require.Contains(t, rows[2].Limit, "allowed until ")
	require.Contains(t, rows[2].Note, "3-501.14(A)")
	require.Equal(t, "40", rows[2].Number)
	require.Equal(t, []string{"", "", "", NotMet, NotMet}, []string{rows[0].Verdict, rows[1].Verdict, rows[2].Verdict, rows[3].Verdict, rows[4].Verdict})
	require.Equal(t, "Cooling, ended: discarded", rows[4].What)
	text := squeeze(textOf(t, print(t, b)))
	for _, want := range []string{"Frost, cooling, time as a control, thawing (", "Gravy: 2 min over the time to cool down", "40.0 °C"} {
		require.Contains(t, text, squeeze(want))
	}
	csv, err := CSV(b)
	require.NoError(t, err)
	require.Contains(t, string(csv), ",log,")
	es := collect(t, all, Ask{From: day, To: day + 1, Lang: "es"})
	require.Contains(t, squeeze(textOf(t, print(t, es))), squeeze("congelado: su tiempo y su fecha se paran"))
}
