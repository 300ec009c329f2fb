package screen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/planner"
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

// What comes next stands open and the rest is folded, but nothing is left out and nothing stands twice.
func TestThePlanFoldsWhatComesLater(t *testing.T) {
	k := newPlanned(t)
	p := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: "maren", Lang: "en", View: "main", Path: "/plan"})
	day := k.s.WallDay(k.now)
	x := &Planned{Day: day, Zero: k.now, Plan: planning.Plan{Day: day, Until: k.now.Add(9 * stamp.Hour)}}
	for r := range 3 {
		boat := k.now.Add(stamp.Span(2*r+2) * stamp.Hour)
		x.Rushes = append(x.Rushes, planning.Rush{At: boat, EN: "Boat", ES: "Barco"})
		for range 4 {
			x.Plan.Drops = append(x.Plan.Drops, planning.Drop{Item: "bone-in", Fryer: "fryer-1", Pieces: 8, Rush: r, Start: boat.Add(-stamp.Hour), Out: boat.Add(-50 * stamp.Minute), Ready: boat.Add(-40 * stamp.Minute), Until: boat})
		}
		x.Plan.Unmet = append(x.Plan.Unmet, planning.Unmet{Item: "bone-in", From: boat, To: boat.Add(stamp.Hour), Pieces: 3, Cost: planner.Money(1 + r%2)})
		x.Plan.Tubs = append(x.Plan.Tubs, planning.Tub{Item: "bone-in", Vessels: make([]planning.Vessel, 1), Grams: 9_000, Start: boat, Latest: boat.Add(stamp.Hour), Ready: boat.Add(8 * stamp.Hour), BestUntil: boat.Add(12 * stamp.Hour)})
	}
	x.Plan.Tubs = append(x.Plan.Tubs, x.Plan.Tubs[2])
	p.planStarts(x)
	p.planDrops(x)
	p.planUnmet(x)
	open, shut := map[string]int{}, map[string]int{}
	var walk func(parts []part, into map[string]int)
	walk = func(parts []part, into map[string]int) {
		for _, one := range parts {
			switch o := one.(type) {
			case *folded:
				walk(o.parts, shut)
			case *lanes:
				for i := range o.rows {
					into[o.rows[i].key]++
				}
			case *empty:
				into[o.title]++
			}
		}
	}
	walk(p.parts, open)
	require.Len(t, open, 4+2+1, "%v", open)
	require.Len(t, shut, 8+2+2, "%v", shut)
	for _, all := range []map[string]int{open, shut} {
		for key, n := range all {
			require.Equal(t, 1, n, key)
		}
	}
	for i := range 4 {
		require.Contains(t, open, "drop-"+p.num(i), "the next boat's stand open")
	}
}
