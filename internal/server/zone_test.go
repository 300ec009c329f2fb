package server

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
)

// The nights on which clocks change in 2026, from the published rules: in New York on the second Sunday in March and
// the first in November at 02:00 local time (Energy Policy Act of 2005, section 110; 15 U.S.C. 260a), in Berlin on the
// last Sundays of March and October at 01:00 UTC (Directive 2000/84/EC).
func TestOffsetsThroughBothClockChanges(t *testing.T) {
	now := time.Date(2026, time.November, 25, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		zone    string
		at      string
		minutes int32
		name    string
	}{
		{"America/New_York", "2026-03-08T06:59:59Z", -300, "EST"},
		{"America/New_York", "2026-03-08T07:00:00Z", -240, "EDT"},
		{"America/New_York", "2026-11-01T05:59:59Z", -240, "EDT"},
		{"America/New_York", "2026-11-01T06:00:00Z", -300, "EST"},
		{"Europe/Berlin", "2026-03-29T00:59:59Z", 60, "CET"},
		{"Europe/Berlin", "2026-03-29T01:00:00Z", 120, "CEST"},
		{"Europe/Berlin", "2026-10-25T00:59:59Z", 120, "CEST"},
		{"Europe/Berlin", "2026-10-25T01:00:00Z", 60, "CET"},
		{"Asia/Kolkata", "2027-01-01T00:00:00Z", 330, "IST"},
		{"UTC", "2030-01-01T00:00:00Z", 0, "UTC"},
	} {
		list, until, err := offsets(c.zone, now)
		require.NoError(t, err)
		require.Equal(t, c.zone, list.Zone)
		require.Greater(t, until.Sub(now), 9*365*24*time.Hour)
		at, err := time.Parse(time.RFC3339, c.at)
		require.NoError(t, err)
		got := list.List[0]
		for _, o := range list.List {
			if o.From <= stamp.Milli(at.UnixMilli()) {
				got = o
			}
		}
		require.Equal(t, c.minutes, got.Minutes, "%s at %s", c.zone, c.at)
		require.Equal(t, c.name, got.Name, "%s at %s", c.zone, c.at)
	}
}

func TestOffsetsOfABoardThatBootsIn1970(t *testing.T) {
	list, until, err := offsets("Europe/Berlin", time.Unix(30, 0))
	require.NoError(t, err)
	require.LessOrEqual(t, list.List[0].From, stamp.Milli(built.UnixMilli()))
	require.Greater(t, until.Year(), 2034)
}

func TestZonesThatAreNone(t *testing.T) {
	for _, zone := range []string{"", "Local", "Mars/Olympus", "../etc/passwd"} {
		_, _, err := offsets(zone, time.Now())
		require.Equal(t, fail.Invalid, fail.KindOf(err), "%q", zone)
		require.Contains(t, fail.Sentence(err), "--zone")
	}
	_, _, err := offsets(localZone(), time.Now())
	require.NoError(t, err)
}
