package planning

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// eveningOf is the demo on a Friday evening.
func eveningOf(t *testing.T, began stamp.Milli) (s *kitchen.State, now stamp.Milli) {
	now = began.Add(demo.ToFriday(began))
	require.Less(t, now.Since(began), 7*stamp.Day)
	entries, err := demo.Evenings(now, [32]byte{3})
	require.NoError(t, err)
	s = folded(t, entries)
	evening, clock := s.Wall(now)
	require.Equal(t, uint8(5), kitchen.Weekday(evening))
	require.True(t, clock >= 18*stamp.Hour+35*stamp.Minute && clock < 19*stamp.Hour+35*stamp.Minute, "%v", clock)
	return s, now
}

func saying(s *kitchen.State, now stamp.Milli, body entry.Body) {
	e := entry.New(entry.NewID(now, [10]byte{1, 9: byte(body.Kind())}), stamp.Stamp{At: now, Count: 9000, Device: "z"}, "maren", body)
	s.Apply(&e, kitchen.Amended{})
}

// takeOn makes a plan for a day and takes it on.
func takeOn(s *kitchen.State, now stamp.Milli, day int32) {
	p, n, _ := Problem(s, now, day, Options{})
	v := planner.NewSolver(p, 1)
	v.Think(100_000)
	rows := Rows(p, v.Plan(), n)
	saying(s, now, Accept(&rows, n, true))
}

func TestTheDemoBeginsOnAFridayEveningAtAnyHour(t *testing.T) {
	began := stamp.Milli(time.Date(2026, 11, 26, 0, 11, 0, 0, time.UTC).UnixMilli())
	for n := range stamp.Span(12) {
		s, now := eveningOf(t, began.Add(n*15*stamp.Hour))
		require.NotEmpty(t, s.Batches)
		require.LessOrEqual(t, s.Last.At, now, "nothing has happened yet that is still to come")
	}
}

// A Friday evening to Saturday's close: the demo's crew works by a plan for the next day, made anew when a fryer goes out, and keeps
// its windows.
func TestTheDemosCrewFollowsThePlan(t *testing.T) {
	s, now := eveningOf(t, stamp.Milli(time.Date(2026, 11, 26, 3, 11, 0, 0, time.UTC).UnixMilli()))
	saturday := s.WallDay(now) + 1
	takeOn(s, now, saturday)
	crew := demo.NewCrew([32]byte{5})
	until, dies := s.DayStart(saturday).Add(21*stamp.Hour+30*stamp.Minute), s.DayStart(saturday).Add(12*stamp.Hour)
	before := len(s.Deviations)
	for ; now < until; now = now.Add(20 * stamp.Second) {
		if now >= dies {
			dies = until
			saying(s, now, &entry.Equipment{Place: "fryer-1", Out: true, Reason: "no heat"})
			takeOn(s, now, saturday)
		}
		for _, e := range crew.Work(s, now) {
			s.Apply(&e, kitchen.Amended{})
		}
	}
	m, did := s.PlanOf(saturday), 0
	for k := range m.Rows {
		if s.Did(m, k) {
			did++
		}
	}
	var sold, wasted int64
	for i := range s.Batches {
		if b := &s.Batches[i]; b.MadeAt > s.DayStart(saturday) {
			sold, wasted = sold+b.Sold, wasted+b.Wasted
		}
	}
	t.Log(len(m.Rows), "rows,", did, "done,", sold, "sold,", wasted, "wasted")
	require.Greater(t, len(m.Rows), 30)
	require.Greater(t, did*10, len(m.Rows)*8, "rows that are done, of %d", len(m.Rows))
	require.Greater(t, sold, int64(200))
	require.Less(t, wasted, sold/2)
	require.Len(t, s.Deviations, before, "%+v", s.Deviations)
}

// However late the crew comes, no fryer stays taken: what cooked too long is let out from under pressure, and thrown away or not.
func TestTheDemosCrewComesLate(t *testing.T) {
	for _, late := range []stamp.Span{3 * stamp.Minute, 5 * stamp.Minute, 7 * stamp.Minute, 11 * stamp.Minute, 17 * stamp.Minute} {
		s, now := eveningOf(t, stamp.Milli(time.Date(2026, 11, 26, 3, 11, 0, 0, time.UTC).UnixMilli()))
		crew, began := demo.NewCrew([32]byte{5}), now
		takeOn(s, now, s.WallDay(now)+1)
		for until := now.Add(3 * stamp.Hour); now < until; now = now.Add(late) { // past the ceiling of whatever is in oil
			for _, e := range crew.Work(s, now) {
				s.Apply(&e, kitchen.Amended{})
			}
		}
		for until := now.Add(stamp.Hour); now < until; now = now.Add(20 * stamp.Second) {
			for _, e := range crew.Work(s, now) {
				s.Apply(&e, kitchen.Amended{})
			}
		}
		fried := 0
		for i := range s.Batches {
			if b := &s.Batches[i]; b.Vessel == "load" && b.MadeAt > began {
				fried++
			}
		}
		require.Positive(t, fried, "nothing was dropped meanwhile")
		for _, fryer := range []string{"fryer-1", "fryer-2"} {
			require.Empty(t, s.In(fryer), "%s, %v", fryer, late)
		}
	}
}
