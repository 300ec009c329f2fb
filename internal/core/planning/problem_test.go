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

// noon is shortly before the noon boat in the demo kitchen.
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

func TestDemo(t *testing.T) {
	s := demoAt(t, noon)
	for _, day := range []int32{s.WallDay(noon), s.WallDay(noon) + 1} {
		p, n, missing := Problem(s, noon, day, Options{})
		for _, m := range missing {
			t.Log(m.Text, m.Args)
		}
		require.NotNil(t, p)
		t.Logf("%+v", *n)
		t.Logf("start %d open %d close %d slot %d groups %+v stations %+v busy %+v carry %+v", p.Start, p.Open, p.Close, p.Slot, p.Groups, p.Stations, p.Busy, p.Carry)
		for _, it := range p.Items {
			t.Logf("%s %+v %+v %+v", it.Name, it.Cook, it.Coat, it.Marinate)
			t.Log(it.Demand)
		}
		t.Logf("hot %+v coated %+v marinated %+v", p.Hot, p.Coated, p.Marinated)
		for _, moves := range []int{5_000, 50_000, 200_000} {
			began := time.Now()
			v := planner.NewSolver(p, 1)
			first := time.Since(began)
			v.Think(moves)
			x := v.Plan()
			costs, broken := planner.Check(p, x)
			require.Empty(t, broken)
			require.Equal(t, costs.Sum(), x.Cost)
			t.Log(moves, first, time.Since(began), x.Cost, x.Bound, len(x.Loads), len(x.Coats), len(x.Marinades), costs)
		}
	}
}
