package kitchen_test

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// offsetsOf asks Go's time zone database for a zone's offsets in 2026.
func offsetsOf(t *testing.T, zone string) (*time.Location, *entry.Offsets) {
	loc, err := time.LoadLocation(zone)
	require.NoError(t, err)
	o := &entry.Offsets{Zone: zone}
	last := 1 << 30
	for at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() == 2026; at = at.Add(15 * time.Minute) {
		name, off := at.In(loc).Zone()
		if off != last {
			o.List = append(o.List, entry.Offset{From: stamp.Milli(at.UnixMilli()), Minutes: int32(off / 60), Name: name})
			last = off
		}
	}
	return loc, o
}

// TestWallTimes checks days and clock times against Go's own time zone database, every quarter of an hour of 2026,
// through both clock changes.
func TestWallTimes(t *testing.T) {
	for _, zone := range []string{"America/New_York", "Europe/Berlin"} {
		loc, offsets := offsetsOf(t, zone)
		require.Len(t, offsets.List, 3)
		s := kitchen.New()
		e := entry.New(entry.ID{1}, stamp.Stamp{At: 1, Device: "server"}, "", offsets)
		s.Apply(&e, kitchen.Amended{})
		require.Equal(t, zone, s.Zone)
		for at := time.Date(2026, 1, 2, 0, 0, 0, 0, loc); at.Year() == 2026; at = at.Add(15 * time.Minute) {
			now := stamp.Milli(at.UnixMilli())
			day, clock := s.Wall(now)
			y, m, d := at.Date()
			midnight := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
			require.Equal(t, int32(midnight.Unix()/86400), day)
			require.Equal(t, day, s.WallDay(now))
			h, min, _ := at.Clock()
			require.Equal(t, stamp.Span(h)*stamp.Hour+stamp.Span(min)*stamp.Minute, clock)
			name, _ := at.Zone()
			require.Equal(t, name, s.OffsetAt(now).Name)
			weekday := (int(at.Weekday())+6)%7 + 1
			require.Equal(t, uint8(weekday), kitchen.Weekday(day))
			back := s.WallAt(day, clock)
			require.True(t, back == now || back == now.Add(-stamp.Hour), "the first of two when the clocks go back")
			if now > stamp.Milli(time.Date(y, m, d, 4, 0, 0, 0, loc).UnixMilli()) {
				require.Equal(t, now, back)
			}
		}
	}
}

// TestWallTimesAtTheChanges: Source of the instants: the rules of the two zones (United States: second Sunday in March
// and first in November at 02:00 local; European Union: last Sunday in March and October at 01:00 UTC).
func TestWallTimesAtTheChanges(t *testing.T) {
	at := func(text string) stamp.Milli {
		v, err := time.Parse(time.RFC3339, text)
		require.NoError(t, err)
		return stamp.Milli(v.UnixMilli())
	}
	for _, c := range []struct{ zone, forward, back string }{
		{"America/New_York", "2026-03-08T07:00:00Z", "2026-11-01T06:00:00Z"},
		{"Europe/Berlin", "2026-03-29T01:00:00Z", "2026-10-25T01:00:00Z"},
	} {
		_, offsets := offsetsOf(t, c.zone)
		s := kitchen.New()
		e := entry.New(entry.ID{1}, stamp.Stamp{At: 1, Device: "server"}, "", offsets)
		s.Apply(&e, kitchen.Amended{})
		forward, back := at(c.forward), at(c.back)
		_, before := s.Wall(forward - 1)
		_, after := s.Wall(forward)
		require.Equal(t, stamp.Hour+1, after-before, "an hour is skipped")
		_, before = s.Wall(back - 1)
		_, after = s.Wall(back)
		require.Equal(t, -stamp.Hour+1, after-before, "an hour comes twice")
		day := s.WallDay(forward)
		require.Equal(t, forward, s.WallAt(day, 2*stamp.Hour+30*stamp.Minute), "02:30 does not exist that night")
		require.Equal(t, 23*stamp.Hour, s.DayStart(day+1).Since(s.DayStart(day)))
		day = s.WallDay(back)
		require.Equal(t, 25*stamp.Hour, s.DayStart(day+1).Since(s.DayStart(day)))
	}
}

// TestWaitsAreLengths: eight hours are eight hours, also in the night in which the clocks change.
func TestWaitsAreLengths(t *testing.T) {
	_, offsets := offsetsOf(t, "America/New_York")
	k := newKit(t)
	k.say(offsets)
	k.now = stamp.Milli(time.Date(2026, 11, 1, 2, 0, 0, 0, time.UTC).UnixMilli()) // 22:00 of the night before
	c := kitchen.Command{Do: kitchen.DoMove, Batch: k.tub()}
	k.wait(7*stamp.Hour - 1)
	r := k.refused(kitchen.RefTooSoon, c)
	_, clock := k.s.Wall(r.Until)
	require.Equal(t, 4*stamp.Hour, clock, "22:00 and seven hours is 04:00 that night")
	k.wait(1)
	k.do(c)
}

func TestUnknownZoneIsUTC(t *testing.T) {
	s := kitchen.New()
	require.Equal(t, "UTC", s.OffsetAt(5).Name)
	require.Equal(t, int32(-1), s.WallDay(-1))
	require.Equal(t, stamp.Milli(stamp.Day), s.DayStart(1))
	day, _ := s.Wall(1<<63 - 1)
	require.Positive(t, day)
}

// TestListsAreDueOnceWhenTheClocksChange: a list that is due at an hour that does not exist that night, or that comes twice, rings
// once for each day, and a daily one has neither a day too few nor one too many.
func TestListsAreDueOnceWhenTheClocksChange(t *testing.T) {
	for _, c := range []struct {
		zone  string
		night time.Time
	}{
		{"America/New_York", time.Date(2026, 3, 8, 0, 0, 0, 0, time.UTC)},
		{"America/New_York", time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)},
		{"Europe/Berlin", time.Date(2026, 3, 29, 0, 0, 0, 0, time.UTC)},
		{"Europe/Berlin", time.Date(2026, 10, 25, 0, 0, 0, 0, time.UTC)},
	} {
		for _, due := range []string{"01:30", "02:30", "03:00"} {
			loc, offsets := offsetsOf(t, c.zone)
			k := newKit(t)
			k.say(offsets)
			k.now = stamp.Milli(time.Date(c.night.Year(), c.night.Month(), c.night.Day()-1, 12, 0, 0, 0, loc).UnixMilli())
			doc := openingDoc(2)
			doc.Name = "night"
			doc.Text = strings.NewReplacer(`"opening"`, `"night"`, `"06:15"`, `"`+due+`"`, `"05:00"`, `"00:15"`).Replace(doc.Text)
			k.say(&doc)
			require.NotNil(t, k.s.List("night"), due)
			k.crew = "ann"
			days := map[int32]int{}
			ringing := map[string]bool{}
			for end := k.now.Add(72 * stamp.Hour); k.now < end; k.now = k.now.Add(15 * stamp.Minute) {
				for _, b := range k.ringing() {
					if b.List != "night" {
						continue
					}
					if !ringing[b.Key] {
						ringing[b.Key] = true
						days[b.Day]++
					}
					k.do(kitchen.Command{Do: kitchen.DoListClose, List: "night", Day: b.Day, Reason: "closed for the night"})
				}
			}
			first := k.s.WallDay(stamp.Milli(c.night.Add(12 * time.Hour).UnixMilli()))
			require.Equal(t, map[int32]int{first: 1, first + 1: 1, first + 2: 1}, days, "%s, %s, due %s", c.zone, c.night.Format(time.DateOnly), due)
		}
	}
}
