package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

func (k *kit) oil(deed string, unit string, value int64) kitchen.Command {
	return kitchen.Command{Do: kitchen.DoOil, Place: "fryer-1", Answer: deed, Unit: unit, Value: value}
}

// TestOilIsTended writes down what is done with a fryer's oil, counts its loads and begins anew with fresh oil.
func TestOilIsTended(t *testing.T) {
	k := newKit(t)
	k.do(k.oil(entry.OilChanged, "mL", 18_000))
	k.trays()
	place := k.s.Place("fryer-1")
	require.Equal(t, int64(1), place.Loads)
	require.Len(t, place.Oil, 1)
	typed := k.oil(entry.OilMeasured, "m%", 0)
	typed.Into, typed.Typed, typed.TypedIn = "value", "12,5", "%"
	ids := k.do(typed)
	place = k.s.Place("fryer-1")
	require.Equal(t, int64(12_500), place.Oil[1].Polar)
	require.Equal(t, int64(1), place.Oil[1].Loads)
	require.Equal(t, "ben", place.Oil[1].By)

	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: ids[0], Unit: "m%", Value: 13_500, Reason: "misread"})
	require.Equal(t, int64(13_500), k.s.Place("fryer-1").Oil[1].Polar)
	ids = k.do(k.oil(entry.OilToppedUp, "mL", 900))
	k.do(kitchen.Command{Do: kitchen.DoCorrect, Entry: ids[0], Unit: "mL", Value: 1100, Reason: "misread"})
	require.Equal(t, int64(1100), k.s.Place("fryer-1").Oil[2].Volume)
	ids = k.do(k.oil(entry.OilFiltered, "", 0))
	k.do(kitchen.Command{Do: kitchen.DoUndo, Entry: ids[0]})
	require.Len(t, k.s.Place("fryer-1").Oil, 3)

	k.do(k.oil(entry.OilChanged, "mL", 18_000))
	require.Len(t, k.s.Place("fryer-1").Oil, 1)
	require.Zero(t, k.s.Place("fryer-1").Loads)
	require.Empty(t, k.s.Deviations)
}

// TestOilIsLeftAloneUnderALoad: nobody reaches into a fryer with a load in it; and numbers nobody can mean are refused.
func TestOilRefusals(t *testing.T) {
	k := newKit(t)
	k.refused(kitchen.RefNoPlace, kitchen.Command{Do: kitchen.DoOil, Place: "nowhere", Answer: entry.OilFiltered})
	k.refused(kitchen.RefNotEquipment, kitchen.Command{Do: kitchen.DoOil, Place: "cold-room", Answer: entry.OilFiltered})
	k.refused(kitchen.RefNeedAnswer, k.oil("stirred", "", 0))
	k.refused(kitchen.RefNeedNumber, k.oil(entry.OilMeasured, "mL", 25_000))
	k.refused(kitchen.RefUnlikely, k.oil(entry.OilMeasured, "m%", 100_001))
	k.refused(kitchen.RefUnlikely, k.oil(entry.OilMeasured, "m%", 0))
	k.refused(kitchen.RefNeedNumber, k.oil(entry.OilToppedUp, "mL", 0))
	k.refused(kitchen.RefUnlikely, k.oil(entry.OilToppedUp, "mL", 1<<60))
	require.Equal(t, "fryer-1", k.loaded().Place)
	for _, deed := range []string{entry.OilFiltered, entry.OilToppedUp, entry.OilChanged, entry.OilDiscarded} {
		require.Equal(t, "fryer-1", k.refused(kitchen.RefPlaceBusy, k.oil(deed, "mL", 1000)).Place)
	}
	k.do(k.oil(entry.OilMeasured, "m%", 20_000))
}

// TestOilBeyondItsLimit opens a deviation by the limit of the kitchen's own country, and by no other's.
func TestOilBeyondItsLimit(t *testing.T) {
	for country, limit := range map[string]int64{"DE": 24_000, "FR": 25_000, "HU": 30_000, "US": 0, "": 0} {
		k := newKit(t)
		k.say(&entry.NamedKitchen{Name: "Test", Zone: "UTC", Country: country})
		k.do(k.oil(entry.OilMeasured, "m%", max(limit, 1)))
		require.Empty(t, k.s.Deviations, country)
		k.do(k.oil(entry.OilMeasured, "m%", limit+39_000))
		if limit == 0 {
			require.Empty(t, k.s.Deviations, country)
			continue
		}
		d := k.off(kitchen.DevOilSpent)
		require.Equal(t, []int64{limit + 39_000, limit}, []int64{d.Number, d.Limit})
		require.Equal(t, []string{"m%", "fryer-1"}, []string{d.Unit, d.Place})
	}
}

// TestOilsHistoryIsBounded: the latest deeds stay, and when the oil was filled.
func TestOilsHistoryIsBounded(t *testing.T) {
	k := newKit(t)
	k.do(k.oil(entry.OilChanged, "mL", 18_000))
	for i := range 80 {
		k.wait(stamp.Hour)
		k.do(k.oil(entry.OilMeasured, "m%", int64(1000+i)))
	}
	oil := k.s.Place("fryer-1").Oil
	require.Len(t, oil, 60)
	require.Equal(t, entry.OilChanged, oil[0].Deed)
	require.Equal(t, int64(1079), oil[59].Polar)
	require.Equal(t, int64(1021), oil[1].Polar)
}
