package screen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
)

// A count of stock is kept, and what comes and goes meanwhile is reckoned with; after some days nobody can.
func TestACountOfStockIsKept(t *testing.T) {
	k := newPlanned(t)
	doc := k.s.PlanDocument()
	order := func(good string) (row choiceRow, left int64, count *kitchen.StockMark) {
		p := newPage(&Context{State: k.s, Now: k.now, Device: "d1", Crew: "teo", Lang: "en", View: "main", Path: "/plan/order"})
		day := k.s.WallDay(k.now)
		o := ordering{p: p, x: &Planned{Day: day, Plan: planning.Plan{Day: day}}, doc: doc, today: day}
		for i := range doc.Goods {
			if g := &doc.Goods[i]; g.Name == good {
				left, count = o.left(g)
				return o.row(g), left, count
			}
		}
		t.Fatal(good)
		return
	}
	row, _, count := order("house-mix")
	require.Nil(t, count)
	require.Contains(t, row.detail, "Tap to type")
	for good, n := range map[string]int64{"house-mix": 9_000, "birds": 40_000, "flour": 20_000, "oil": 30_000} {
		k.tap(kitchen.Command{Do: kitchen.DoSet, Name: entry.SetStock + good, Number: n})
	}
	_, left, _ := order("birds")
	require.EqualValues(t, 40_000, left, "what was started before the count was counted")
	k.now = k.now.Add(10 * stamp.Minute)
	k.tap(kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 15_000, Lots: []string{"FR-9"}})
	k.tap(kitchen.Command{Do: kitchen.DoDeliver, Procedure: "bone-in", Name: "A farm", Lots: []string{"FR-10"}, Grams: 26_000, Value: 3_000, Unit: "mC", Probe: "probe-1"})
	row, left, count = order("birds")
	require.EqualValues(t, 40_000-15_000+26_000, left)
	require.Equal(t, "maren", count.By)
	require.Contains(t, row.detail, "51.0\u00a0kg there (counted 11:38, Maren Oduya)")
	_, left, _ = order("house-mix")
	require.EqualValues(t, 9_000-600, left, "15 kg into 10 L of water, 60 mL of the mix to each")
	_, left, _ = order("flour")
	require.EqualValues(t, 20_000, left)
	for i := range k.s.Batches {
		if b := &k.s.Batches[i]; b.Status == kitchen.Open && b.Procedure == "bone-in" && b.Stage == "set" {
			k.tap(kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-2", Answer: "in"})
			k.say(entry.NewID(k.now, [10]byte{5}), &entry.Portioning{Out: []entry.Share{{Batch: b.ID, Stage: "set", Grams: 4_000}},
				In: []entry.Portion{{Batch: entry.NewID(k.now, [10]byte{6}), Code: "Z", Stage: "load", Vessel: "load", Number: 99, Place: "fryer-2", Grams: 4_000, Pieces: 25}}})
			break
		}
	}
	_, left, _ = order("oil")
	require.EqualValues(t, 30_000-90, left, "90 mL go with a load")
	k.now = k.now.Add((kitchen.StockDays + 1) * stamp.Day)
	k.tap(kitchen.Command{Do: kitchen.DoNote, Place: "cold-room", Text: "Days later"})
	_, _, count = order("birds")
	require.Nil(t, count, "too old to be of use")
	_, r := kitchen.Decide(k.s, &kitchen.Command{Do: kitchen.DoSet, Name: entry.SetStock + "birds", Number: -1}, kitchen.Who{Crew: "teo", Device: "d1"}, k.now, nil)
	require.Equal(t, kitchen.RefUnlikely, r.Code)
}

// How much guests ask for is the lead's to say, and what a bus asks for follows.
func TestPiecesOfGuests(t *testing.T) {
	k := newPlanned(t)
	asks := func(crew string) string {
		text, _ := drawnAt(t, &Context{State: k.s, Now: k.now, Device: "d1", Crew: crew, Lang: "en", View: "main", Saved: Saved{Joined: true, Entries: true, InTouch: true}}, "/plan/events?f=14:00&t=15:00&n=40")
		return text
	}
	wrong, _ := drawnAt(t, &Context{State: k.s, Now: k.now, Device: "d1", Crew: "maren", Lang: "en", View: "main", Saved: Saved{Joined: true, Entries: true, InTouch: true}}, "/plan/events?f=17:30&t=16:00")
	require.Contains(t, wrong, "16:00 is not after 17:30", "said before the guests are counted")
	require.Contains(t, asks("maren"), "25 pieces for ten guests (common practice")
	require.Contains(t, asks("maren"), "Change it")
	require.NotContains(t, asks("teo"), "Change it")
	before := asks("maren")
	set := kitchen.Command{Do: kitchen.DoSet, Name: entry.SetGuestPieces, Typed: "50", TypedIn: "1", Into: "count"}
	_, r := kitchen.Decide(k.s, &set, kitchen.Who{Crew: "teo", Device: "d1"}, k.now, nil)
	require.Equal(t, kitchen.RefNotLead, r.Code)
	k.tap(set)
	require.Contains(t, asks("maren"), "50 pieces for ten guests, as told by a lead")
	require.NotEqual(t, before, asks("maren"))
	set.Typed = "900"
	_, r = kitchen.Decide(k.s, &set, kitchen.Who{Crew: "maren", Device: "d1"}, k.now, nil)
	require.Equal(t, kitchen.RefUnlikely, r.Code)
}
