package records_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
)

// TestADeviationThatLaterReadingsTookAwayIsNoneOnRecord: the room seemed beyond its limit for longer than it may; a reading that
// came later shows that it was not. The readings are on record, all of them.
func TestADeviationThatLaterReadingsTookAwayIsNoneOnRecord(t *testing.T) {
	k := newKit(t)
	k.say(&entry.Document{What: "equipment", Name: "kitchen", Version: 2, Text: strings.Replace(strings.Replace(equipmentText,
		`"version": 1`, `"version": 2`, 1), `"every": "PT4H"`, `"every": "PT4H", "allow": "PT20M"`, 1)})
	from := k.now
	k.now = k.now.Add(2 * stamp.Hour)
	told := func(minutes stamp.Span, milliC int64) entry.Sensed {
		return entry.Sensed{After: minutes * stamp.Minute, MilliC: milliC}
	}
	k.say(&entry.Sensing{Place: "cold-room", Source: "s", From: from, List: []entry.Sensed{told(0, 3000), told(10, 9000), told(40, 3000)}})
	require.Len(t, k.book().Deviations, 1)
	k.say(&entry.Sensing{Place: "cold-room", Source: "s", From: from, List: []entry.Sensed{told(11, 3000)}})
	b := k.book()
	require.Empty(t, b.Deviations)
	n := 0
	for i := range b.Rows {
		if r := &b.Rows[i]; r.Kind == records.Sensor {
			n += len(r.Body.(*entry.Sensing).List)
		}
	}
	require.Equal(t, 4, n)
}

// TestReadingsAreHeldAgainstTheLimitOfTheirTime: one entry tells of before and after the limit changed.
func TestReadingsAreHeldAgainstTheLimitOfTheirTime(t *testing.T) {
	k := newKit(t)
	first := k.now
	k.now = k.now.Add(stamp.Hour)
	k.say(&entry.Document{What: "equipment", Name: "kitchen", Version: 2, Text: strings.Replace(strings.Replace(equipmentText,
		`"version": 1`, `"version": 2`, 1), `"max": "4 Cel"`, `"max": "8 Cel"`, 1)})
	changed := k.now
	k.now = k.now.Add(stamp.Hour)
	before := k.say(&entry.Sensing{Place: "cold-room", Source: "s", From: first, List: []entry.Sensed{{MilliC: 5000}}})
	after := k.say(&entry.Sensing{Place: "cold-room", Source: "s", From: changed, List: []entry.Sensed{{MilliC: 5000}}})
	require.Equal(t, int64(1000), k.row(before).Off)
	require.Equal(t, int64(0), k.row(after).Off)
	require.Equal(t, int64(8000), *k.row(after).Limit.Max)
}

// TestACooksLogIsACookTemperature: held against its own limit; what is not met is never shown as met, however close the
// numbers come when they are rounded.
func TestACooksLogIsACookTemperature(t *testing.T) {
	k := newKit(t)
	load := k.load("L1")
	held := k.row(k.say(&entry.CookLog{Batch: load, Degrees: "Cel", Met: true, RowAt: 158, Held: 30_000, Dwell: 24_500, Hottest: 71_000, Probe: "p1"}))
	require.Equal(t, records.Cook, held.Kind)
	require.Equal(t, []any{int64(30_000), "ms", int64(24_500), int64(0), "fried/lethality", "CL1", "p1"},
		[]any{held.Value, held.Unit, *held.Limit.Min, held.Off, held.LimitKey(), held.Code, held.Probe})
	close := k.row(k.say(&entry.CookLog{Batch: load, Degrees: "[degF]", RowAt: 162, Hottest: 72_222}))
	require.Equal(t, []any{int64(72_222), "mC", int64(72_222), int64(1)}, []any{close.Value, close.Unit, *close.Limit.Min, close.Off})
}
