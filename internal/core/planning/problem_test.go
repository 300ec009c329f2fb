package planning

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// noon is shortly before the noon boat in the demo kitchen: its clocks show 11:38.
var noon = stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())

// folded is the state of a journal in its order.
func folded(t testing.TB, entries []entry.Entry) *kitchen.State {
	t.Helper()
	s := kitchen.New()
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	return s
}

func demoAt(t testing.TB, now stamp.Milli) *kitchen.State {
	t.Helper()
	entries, err := demo.Entries(now, [32]byte{7})
	require.NoError(t, err)
	return folded(t, entries)
}

// texts lists the ids of what is said.
func texts(missing []Missing) (list []string) {
	for _, m := range missing {
		list = append(list, m.Text)
	}
	return list
}

// TestTheDemoAtNoon: the demo's kitchen at 11:38, minute 698, by its procedures' own figures.
func TestTheDemoAtNoon(t *testing.T) {
	s := demoAt(t, noon)
	p, n, missing := Problem(s, noon, s.WallDay(noon), Options{})
	wellFormed(t, p)
	require.Equal(t, []string{"pl.miss.past"}, texts(missing), "a tray past its limit is not counted on")
	require.Equal(t, []string{"bone-in", "thigh-strips", "wedges"}, []string{p.Items[0].Name, p.Items[1].Name, p.Items[2].Name}, "mushrooms are Friday's")
	require.Equal(t, 1260, p.Close)
	require.Equal(t, 5, p.Slot, "wedges keep 20 minutes: not a whole slot of 15 after each drop")
	bone := &p.Items[0]
	require.Equal(t, planner.Cook{Group: 0, MaxUnits: 12, Busy: 22, Out: 18, Ready: 4, Hold: 50, LoadCost: bone.Cook.LoadCost, WasteCost: bone.Cook.WasteCost}, bone.Cook,
		"load 3 min, cook 11:15, release 3, rest 40 s, 4 between loads; hold 50")
	require.Equal(t, 40, bone.Coat.SetMin)
	require.Equal(t, 600, bone.Coat.SetMax)
	require.Equal(t, 14, bone.Coat.UnitsPerPan, "9 kg in units of 620 g")
	m := bone.Marinate
	require.Equal(t, []int{420, 780, 1200, 60, 25}, []int{m.Min, m.Best, m.Max, m.Drain, m.TubUnits})
	// in the fryers: bone-in since 11.5 min of cooking, strips since under 3
	require.Equal(t, []planner.Busy{{Group: 0, Until: 706}, {Group: 0, Until: 710}}, p.Busy)
	require.Equal(t, []int{706, 710}, []int{n.Groups[0].Fryers[0].Free, n.Groups[0].Fryers[1].Free})
	// trays: one put up 20 min ago, one load in the fryer; of each item the older one first
	require.Equal(t, 37, p.Hot[0].Amount)
	require.Equal(t, 728, p.Hot[0].Until)
	require.Equal(t, 46, p.Hot[1].Amount)
	// a tub drains since 48 min: floor 40, ceiling 2 h; two more marinate and must drain 1 h
	require.Len(t, p.Marinated, 3)
	require.Equal(t, planner.Lot{Item: 0, Amount: 22, Ready: 698, Until: 770, Best: 755}, p.Marinated[0])
	require.True(t, n.Marinated[0][0].Drains)
	require.Equal(t, 698-(6*60+28)+420+60, p.Marinated[1].Ready, "6 h 28 of 7 h, then an hour of draining")
	require.Equal(t, 698-(6*60+28)+1260, p.Marinated[1].Until)
	require.Equal(t, []planner.Carry{{Item: 0, At: 1800, Units: 58, ShortCost: money(2_400_000)}, {Item: 1, At: 1860, Units: 12, ShortCost: money(2_600_000)}}, p.Carry)
	require.Len(t, n.Rushes, 6)
}

func TestTomorrowBeginsThisEvening(t *testing.T) {
	s := demoAt(t, noon)
	p, _, _ := Problem(s, noon, s.WallDay(noon)+1, Options{})
	wellFormed(t, p)
	require.Equal(t, 698-1440-8, p.Start, "11:30 of the day before, on the grid of a quarter of an hour")
	require.Equal(t, 1260, p.Close)
	require.Len(t, p.Items, 4, "tomorrow is Friday: mushrooms too")
	sold := 0
	for slot, n := range p.Items[1].Demand {
		if at := p.Open + slot*p.Slot; n > 0 {
			require.True(t, at >= 540 && at < 1260, "mushrooms are asked for at %d", at)
			sold += n
		}
	}
	require.Positive(t, sold)
	_, _, missing := Problem(s, noon, s.WallDay(noon)+2, Options{})
	require.Equal(t, []string{"pl.miss.over"}, texts(missing))
}

func TestWhatIf(t *testing.T) {
	s := demoAt(t, noon)
	day := s.WallDay(noon)
	p, n, _ := Problem(s, noon, day, Options{Fryers: 2, Pans: 3, Tubs: -1})
	wellFormed(t, p)
	require.Equal(t, 4, p.Groups[0].Windows[0].Count)
	require.Equal(t, "+2", n.Groups[0].Fryers[3].Name)
	require.Equal(t, []int{23, 8}, []int{p.Pans, p.Tubs})
	p, _, _ = Problem(s, noon, day, Options{NoFryer: []string{"fryer-2"}})
	require.Equal(t, 1, p.Groups[0].Windows[0].Count)
	require.Len(t, p.Busy, 1)
	p, _, _ = Problem(s, noon, day, Options{Fryers: -2})
	wellFormed(t, p)
	require.Zero(t, p.Groups[0].Windows[0].Count)
	require.Empty(t, p.Busy)
	p, n, _ = Problem(s, noon, day+1, Options{Earlier: 30})
	wellFormed(t, p)
	require.Equal(t, 300, p.Stations[1].Windows[1].From, "the coating table opens at 05:30")
	base, _, _ := Problem(s, noon, day, Options{})
	p, _, _ = Problem(s, noon, day, Options{Without: []entry.ID{n.Marinated[0][0].Batch}})
	require.Len(t, p.Marinated, len(base.Marinated)-1)
	p, _, _ = Problem(s, noon, day, Options{Demand: []entry.Demand{{Demand: entry.ID{1}, Item: "bone-in", Day: day, From: 720, To: 795, Pieces: 100, Sort: entry.DemandTyped}}})
	require.Equal(t, 100, asked(p, 0, 720, 795))
	require.NotEqual(t, 100, asked(base, 0, 720, 795))
}

// Of what was never sold the document says what is usual; what somebody typed takes its place, what comes on top is added.
func TestWhatIsUsual(t *testing.T) {
	now := noon.Add(-noon.Since(0)%stamp.Day + 10*stamp.Hour)
	s := kitchenOf(t, 4, now)
	day := s.WallDay(now) + 1
	usual := 0
	for _, u := range s.PlanDocument().Item("bone-in").Usual {
		usual += u.Pieces
	}
	all := func(more ...entry.Demand) int {
		p, n, _ := Problem(s, now, day, Options{Demand: more})
		return asked(p, n.item("bone-in"), 0, 1440)
	}
	require.Equal(t, usual, all())
	told := entry.Demand{Demand: entry.ID{1}, Item: "bone-in", Day: day, From: 12 * 60, To: 13 * 60, Pieces: 30}
	told.Sort = entry.DemandOrder
	require.Equal(t, usual+30, all(told))
	told.Sort = entry.DemandTyped
	noon := 0
	for _, u := range s.PlanDocument().Item("bone-in").Usual {
		if u.From == 12*stamp.Hour {
			noon = u.Pieces * 60 / 75
		}
	}
	require.Equal(t, usual-noon+30, all(told))
}

// What should stand ready for the day after is what is asked for then until that can be sold which is begun on that day, as the forecast
// says where there are sales, else as the document says.
func TestWhatShouldStandReady(t *testing.T) {
	now := noon.Add(-noon.Since(0)%stamp.Day + 10*stamp.Hour)
	units := func(s *kitchen.State, more ...entry.Demand) int {
		p, n, _ := Problem(s, now, s.WallDay(now), Options{Demand: more})
		for _, c := range p.Carry {
			if c.Item == n.item("bone-in") && !c.Coated {
				require.Equal(t, 1440+6*60, c.At)
				return c.Units
			}
		}
		return 0
	}
	told := entry.Demand{Demand: entry.ID{1}, Item: "bone-in", Day: kitchenOf(t, 4, now).WallDay(now) + 1, From: 12 * 60, To: 13 * 60, Pieces: 40, Sort: entry.DemandOrder}
	require.Equal(t, 22, units(kitchenOf(t, 4, now)), "nothing was ever sold")
	for pieces, least := range map[int64]int{0: 0, 2: 2 * 32 / 4, 5: 5 * 32 / 4} { // in each quarter of an hour from 06:30 to 14:32, 4 to a unit
		s := kitchenOf(t, 4, now)
		for day := int32(1); day <= 28; day++ {
			sale := &entry.Sales{Item: "bone-in", Day: s.WallDay(now) - day, From: 390, Each: 15}
			for range 58 {
				sale.Pieces = append(sale.Pieces, pieces)
			}
			sale.Pieces[57]++ // a day on which one is sold is a day
			e := entry.New(entry.NewID(now, [10]byte{9: byte(day)}), stamp.Stamp{At: now, Count: uint32(day), Device: "till"}, "", sale)
			s.Apply(&e, kitchen.Amended{})
		}
		got := units(s)
		require.GreaterOrEqual(t, got, least, "%d pieces", pieces)
		require.LessOrEqual(t, got, least+least/2, "running out costs more than throwing away, but not that much")
		require.Equal(t, 10, units(s, told)-got, "what is ordered comes on top")
		typed := told
		typed.From, typed.To, typed.Pieces, typed.Sort = 0, 1440, 0, entry.DemandTyped
		require.Zero(t, units(s, typed), "somebody says that nothing is asked for")
	}
}

func asked(p *planner.Problem, i, from, to int) (n int) {
	for slot, k := range p.Items[i].Demand {
		if at := p.Open + slot*p.Slot; at >= from && at < to {
			n += k
		}
	}
	return n
}

func TestNothingIsPlannedWithoutADocument(t *testing.T) {
	p, _, missing := Problem(kitchen.New(), noon, 20_783, Options{})
	require.Nil(t, p)
	require.Equal(t, []string{"pl.miss.document"}, texts(missing))
}

// A delivery that comes late is waited for: no tub of it begins before, the rest goes on, it costs no less, and a plan that begins one is
// refused; taken back, all is as before.
func TestADeliveryThatComesLate(t *testing.T) {
	s := demoAt(t, noon)
	day := s.WallDay(noon)
	plan := func() (*planner.Problem, *planner.Plan) {
		p, n, _ := Problem(s, noon, day, Options{})
		wellFormed(t, p)
		require.Equal(t, day, n.Day)
		v := planner.NewSolver(p, 1)
		v.Think(60_000)
		x := v.Plan()
		_, faults := planner.Check(p, x)
		require.Empty(t, faults)
		return p, x
	}
	first := func(x *planner.Plan, item int) int {
		at := 1 << 20
		for _, m := range x.Marinades {
			if m.Item == item {
				at = min(at, m.Start)
			}
		}
		return at
	}
	p, before := plan()
	late := -1
	for i := range p.Items {
		if first(before, i) < 20*60 {
			late = i
		}
	}
	require.GreaterOrEqual(t, late, 0, "something is begun today")
	a := acting{t: t, s: s}
	told := entry.Demand{Demand: entry.ID{7}, Item: p.Items[late].Name, Day: day, From: 20 * 60, To: 24 * 60, Sort: entry.DemandRaw}
	a.say(noon, &told)
	q, after := plan()
	require.Equal(t, []planner.Away{{From: 0, To: 20 * 60}}, q.Items[late].Marinate.Away)
	require.GreaterOrEqual(t, first(after, late), 20*60)
	for i := range q.Items {
		if m := q.Items[i].Marinate; i != late && m != nil {
			require.Empty(t, m.Away)
		}
	}
	_, breaches := planner.Breaches(q, before)
	require.True(t, slices.ContainsFunc(breaches, func(b planner.Breach) bool { return b.Rule == planner.RuleRaw && b.Need == 20*60 }), "%+v", breaches)
	told.Pieces = -1
	a.say(noon.Add(stamp.Second), &told)
	q, _ = plan()
	require.Empty(t, q.Items[late].Marinate.Away)
}
