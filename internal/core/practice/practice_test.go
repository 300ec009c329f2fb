package practice_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/practice"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// halfmoon is the invented kitchen with its documents, and nothing done in it yet.
func halfmoon(t testing.TB) *kitchen.State {
	docs, err := demo.Documents()
	require.NoError(t, err)
	return stateOf(t, docs)
}

func stateOf(t testing.TB, docs []entry.Document) *kitchen.State {
	s := kitchen.New()
	clock := stamp.Clock{Device: "server"}
	write := func(n int, body entry.Body) {
		e := entry.New(entry.NewID(1_700_000_000_000, [10]byte{byte(n >> 8), byte(n)}), clock.Next(1_700_000_000_000), "", body)
		s.Apply(&e, kitchen.Amended{})
	}
	write(0, &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Country: "US"})
	write(1, &entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{From: 0, Minutes: -240, Name: "EDT"}}})
	write(2, &entry.Member{Crew: "jun", Name: "Jun", Lang: "en"})
	for i := range docs {
		write(3+i, &docs[i])
	}
	require.Empty(t, s.Deviations)
	return s
}

func TestANight(t *testing.T) {
	from := halfmoon(t)
	for _, r := range practice.Rungs(from, "bone-in") {
		n := practice.New(from, 7, r, "jun", "en")
		for !n.Ends() {
			n.Pass(n.Now().Add(stamp.Minute))
			if tr := n.Trouble(); tr != nil {
				t.Log(r.Key, tr.Key, tr.Title, "|", tr.Says, tr.Choices)
				n.Choose(0)
				t.Logf("   %+v", *n.Said())
			}
		}
		d := n.Debrief()
		t.Log(r.Key, d.Troubles, d.Right, d.Grams, d.Lost, d.Passed, len(n.Entries()))
		for _, b := range n.State().Batches {
			t.Log(b.Code, b.Stage, b.Status, b.Grams, b.Pieces, b.Sold, b.Wasted)
		}
		for _, v := range n.State().Deviations {
			t.Log("dev", v.Code, v.Stage, v.Place, v.Number, v.Limit)
		}
	}
}
