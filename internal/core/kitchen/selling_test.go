package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// sales returns what is known of the test kitchen's item today, in sums: sold, asked for in vain, and cells with something in the hold.
func (k *kit) sales() (sold, away int64, there int) {
	d := k.s.Sales("pieces", k.s.WallDay(k.now))
	if d == nil {
		return 0, 0, 0
	}
	for i := range kitchen.DaySlots {
		sold, away = sold+d.Sold(i), away+d.Away(i)
	}
	for i := range kitchen.DayCells {
		if d.There(i) {
			there++
		}
	}
	return sold, away, there
}

// TestWhatIsSoldIsKeptBySlot: with undos and corrections taken back, wherever they come, and what was wasted beside it.
func TestWhatIsSoldIsKeptBySlot(t *testing.T) {
	k := newKit(t)
	tray := k.trays()[0]
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Count: 4})
	first := k.s.WallDay(k.now)
	_, clock := k.s.Wall(k.now)
	slot := int(clock / (kitchen.SlotMinutes * stamp.Minute))
	require.EqualValues(t, 4, k.s.Sales("pieces", first).Sold(slot))
	k.wait(15 * stamp.Minute)
	undone := k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Count: 3})[0]
	corrected := k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Count: 2})[0]
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Wasted: 1, Reason: "dropped"})
	require.EqualValues(t, 5, k.s.Sales("pieces", first).Sold(slot+1))
	require.EqualValues(t, 1, k.s.Sales("pieces", first).Wasted())
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: undone})
	require.EqualValues(t, 2, k.s.Sales("pieces", first).Sold(slot+1))
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: corrected, Count: 6, Reason: "miscounted"})
	require.EqualValues(t, 6, k.s.Sales("pieces", first).Sold(slot+1))
	before := k.s.Append(nil)
	k.say(&entry.Note{Text: "the order does not matter"})
	k.list = k.list[:len(k.list)-1]
	c := chance(5)
	k.list = shuffled(&c, k.list)
	require.Equal(t, before, fold(k.list).Append(nil))
}

// TestNoneThereIsKnown: how long something stood for sale, until it was sold out or thrown away, and who asked after that.
func TestNoneThereIsKnown(t *testing.T) {
	k := newKit(t)
	trays := k.trays()
	_, _, there := k.sales()
	require.Zero(t, there, "what stands there still is told when it goes")
	open := new(kitchen.SalesDay)
	k.wait(20 * stamp.Minute)
	k.s.Offered("pieces", k.s.WallDay(k.now), open, k.now)
	cells := 0
	for i := range kitchen.DayCells {
		if open.There(i) {
			cells++
		}
	}
	require.InDelta(t, 4, cells, 1, "it can be asked for all the same")
	for _, b := range trays {
		k.do(kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: b.Pieces})
	}
	sold, _, there := k.sales()
	require.Positive(t, sold)
	require.Equal(t, cells, there)
	k.wait(10 * stamp.Minute)
	id := k.do(kitchen.Command{Do: kitchen.DoAway, Procedure: "pieces"})[0]
	k.do(kitchen.Command{Do: kitchen.DoAway, Procedure: "pieces"})
	_, away, after := k.sales()
	require.EqualValues(t, 2, away)
	require.Equal(t, there, after)
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: id})
	_, away, _ = k.sales()
	require.EqualValues(t, 1, away)
	k.refused(kitchen.RefNoProcedure, kitchen.Command{Do: kitchen.DoAway, Procedure: "soup"})
}

// TestAFileStandsInThePlaceOfCounts: the same file twice changes nothing, another one takes its place, and once it is taken out what was
// counted counts again.
func TestAFileStandsInThePlaceOfCounts(t *testing.T) {
	k := newKit(t)
	k.crew = "ann"
	tray := k.trays()[0]
	k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Count: 4})
	today := k.s.WallDay(k.now)
	file := []entry.Sales{{Item: "pieces", Day: today, From: 600, Each: 60, Pieces: []int64{9, 0, 5}}, {Item: "pieces", Day: today - 1, From: 600, Each: 15, Pieces: []int64{7}}}
	require.Len(t, k.do(kitchen.Command{Do: kitchen.DoSales, Sales: file}), 2)
	require.Empty(t, k.do(kitchen.Command{Do: kitchen.DoSales, Sales: file}), "all of it is known")
	sold, _, _ := k.sales()
	require.EqualValues(t, 14, sold)
	require.EqualValues(t, 5, k.s.Sales("pieces", today).Sold(48))
	require.Equal(t, 60, k.s.Sales("pieces", today).Each())
	file[0].Pieces[0] = 10
	require.Len(t, k.do(kitchen.Command{Do: kitchen.DoSales, Sales: file}), 1)
	require.Len(t, k.do(kitchen.Command{Do: kitchen.DoSales, Procedure: "pieces", Closes: true}), 2)
	sold, _, _ = k.sales()
	require.EqualValues(t, 4, sold)
	require.Nil(t, k.s.Sales("pieces", today-1))
	k.crew = "ben"
	k.refused(kitchen.RefNotLead, kitchen.Command{Do: kitchen.DoSales, Sales: file})
	k.say(&entry.Sales{Item: "pieces", Day: today - kitchen.SellingDays, From: 600, Each: 15, Pieces: []int64{7}})
	k.say(&entry.Sales{Item: "pieces", Day: today + 2, From: 600, Each: 15, Pieces: []int64{7}})
	require.Len(t, k.s.SalesOf("pieces"), 1, "too long ago, and not yet")
}

// TestWhatIsToldCanBeChangedAndTakenBack, and goes when it is of no use.
func TestWhatIsToldCanBeChangedAndTakenBack(t *testing.T) {
	k := newKit(t)
	k.crew = "ann"
	day := k.s.WallDay(k.now) + 1
	tell := kitchen.Command{Do: kitchen.DoDemand, Procedure: "pieces", Day: day, Value: 660, Number: 780, Count: 58, Answer: entry.DemandTyped}
	id := k.do(tell)[0]
	require.Len(t, k.s.Told(), 1)
	require.Equal(t, "ann", k.s.Told()[0].By)
	tell.Entry, tell.Count = id, 60
	k.do(tell)
	require.Empty(t, k.do(tell), "the same again changes nothing")
	require.Len(t, k.s.Told(), 1)
	require.EqualValues(t, 60, k.s.ToldBy(id).Pieces)
	k.crew = "ben"
	k.refused(kitchen.RefNotLead, tell)
	late := kitchen.Command{Do: kitchen.DoDemand, Procedure: "pieces", Day: day, Value: 840, Number: 1440, Answer: entry.DemandRaw}
	k.refused(kitchen.RefNotLead, late)
	k.crew = "ann"
	delivery := k.do(late)[0]
	late.Procedure = "soup"
	k.refused(kitchen.RefNoProcedure, late)
	k.do(kitchen.Command{Do: kitchen.DoDemand, Entry: delivery, Answer: entry.DemandRaw, Closes: true})
	require.Len(t, k.s.Told(), 1)
	bus := kitchen.Command{Do: kitchen.DoDemand, Day: day, Value: 930, Number: 1020, Count: 45, Answer: entry.DemandEvent, Name: "Bus"}
	k.do(bus) // whoever hears of it tells
	for _, change := range []func(c *kitchen.Command){
		func(c *kitchen.Command) { c.Count = 0 }, func(c *kitchen.Command) { c.Count = 10_000 }, func(c *kitchen.Command) { c.Number = 900 },
		func(c *kitchen.Command) { c.Day += 500 }, func(c *kitchen.Command) { c.Procedure = "soup" }, func(c *kitchen.Command) { c.Answer = "guess" },
	} {
		k.crew = "ann"
		bad := bus
		change(&bad)
		drafts, refused := k.try(bad)
		require.NotNil(t, refused, "%+v", bad)
		require.Empty(t, drafts)
	}
	k.do(kitchen.Command{Do: kitchen.DoDemand, Entry: id, Answer: entry.DemandTyped, Closes: true})
	require.Len(t, k.s.Told(), 1)
	k.wait(58 * stamp.Day)
	k.do(kitchen.Command{Do: kitchen.DoDemand, Procedure: "pieces", Day: day + 58, Value: 660, Number: 780, Count: 58, Answer: entry.DemandOrder})
	require.Len(t, k.s.Told(), 1, "the bus is too long ago to tell anything")
}
