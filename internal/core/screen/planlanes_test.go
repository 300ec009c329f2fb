package screen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
)

// Words under a tub's scale never lie on one another, nor beyond its ends, however near to each other what they tell of is.
func TestWordsUnderATubsScaleNeverMeet(t *testing.T) {
	k := newPlanned(t)
	day := k.s.WallDay(k.now) + 1
	both := 0
	for _, crew := range []string{"maren", "ines"} {
		p := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: crew, Lang: map[string]string{"maren": "en", "ines": "es"}[crew], View: "main", Path: "/plan"})
		for start := stamp.Span(0); start < 20*stamp.Hour; start += 100 * stamp.Minute {
			for wait := 30 * stamp.Minute; wait < 17*stamp.Hour; wait += 35 * stamp.Minute {
				for _, boat := range []stamp.Span{0, 20 * stamp.Minute, 3 * stamp.Hour, 9 * stamp.Hour} {
					for _, room := range []stamp.Span{0, 45 * stamp.Minute, 5 * stamp.Hour} {
						from := k.now.Add(start)
						tub := planning.Tub{Item: "bone-in", Vessels: make([]planning.Vessel, 2), Grams: 9_000, Start: from, Latest: from.Add(room), Drains: from.Add(room + wait), Ready: from.Add(room + wait), BestUntil: from.Add(room + wait + 2*stamp.Hour)}
						x := &Planned{Day: day, Zero: k.now, Plan: planning.Plan{Day: day, Tubs: []planning.Tub{tub}}}
						if boat > 0 {
							x.Rushes = []planning.Rush{{At: tub.Drains.Add(boat)}}
							x.Plan.Coats = []planning.Coat{{From: []planning.Source{{Own: 0}}}}
							x.Plan.Drops = []planning.Drop{{Rush: 0, From: []planning.Source{{Own: 0}}}}
						}
						l := p.planStart(x, 0)
						end := int64(0)
						for i := range l.marks {
							m := &l.marks[i]
							at, to := m.at, m.at+m.wide()
							if m.end {
								at, to = m.at-m.wide(), m.at
							}
							require.GreaterOrEqual(t, at, end, "%s lies on what is before it: %+v", m.text, l.marks)
							require.LessOrEqual(t, to, int64(1000), "%s goes beyond: %+v", m.text, l.marks)
							end = to
						}
						if len(l.marks) == 3 {
							both++
						}
						require.Equal(t, boat > 0, l.marks[len(l.marks)-1].bold)
					}
				}
			}
		}
	}
	require.Greater(t, both, 100, "where there is room the start has its word")
}
