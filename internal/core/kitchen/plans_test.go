package kitchen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// taken is a plan of a tub and two drops, taken on in the kitchen under test now.
func taken(k *kit, ring bool) *entry.PlanAccepted {
	day, clock := k.s.Wall(k.now)
	now := int32(clock / stamp.Minute)
	return &entry.PlanAccepted{Day: day, Version: 1, Zero: k.s.DayStart(day), From: now, To: now + 900, Ring: ring,
		Items: []entry.PlanItem{{Item: "pieces", Unit: 4, Grams: 600, Vessels: []string{"load", "pan", "tub"}}},
		Rows: []entry.PlanRow{{Deed: entry.PlanTubs, Start: now + 5, Spell: 15, Units: 20, Tubs: 1},
			{Deed: entry.PlanTubs, Start: now + 30, Spell: 15, Units: 20, Tubs: 1}, {Deed: entry.PlanLoad, Start: now + 890, Units: 4, Place: "fryer-1"}}}
}

func (k *kit) planBells() (rows []int) {
	for _, b := range k.ringing() {
		if b.Point == kitchen.PointPlan {
			rows = append(rows, b.Row)
		}
	}
	return rows
}

func TestThePlanRings(t *testing.T) {
	k := quiet(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoPlan, Plan: taken(k, true)})
	require.Empty(t, k.planBells(), "nothing is due yet")
	k.wait(6 * stamp.Minute)
	require.Equal(t, []int{0}, k.planBells())
	k.do(kitchen.Command{Do: kitchen.DoGot, Bell: k.ringing()[0].Key})
	require.Empty(t, k.planBells(), "somebody heard it")
	k.wait(5 * stamp.Minute)
	require.Equal(t, []int{0}, k.planBells(), "and nothing was done")
	k.tub()
	require.Empty(t, k.planBells(), "a tub was started")
	require.True(t, k.s.Did(k.s.PlanOf(k.s.WallDay(evening)), 0))
	require.False(t, k.s.Did(k.s.PlanOf(k.s.WallDay(evening)), 1), "one tub is not two")
	k.wait(20 * stamp.Minute)
	require.Equal(t, []int{1}, k.planBells())
	k.wait(2 * stamp.Hour)
	require.Empty(t, k.planBells(), "so late the plan is another")

	k = quiet(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoPlan, Plan: taken(k, false)})
	k.wait(6 * stamp.Minute)
	require.Empty(t, k.planBells(), "the lead did not want it to ring")
	require.Len(t, k.s.Wanted(k.now), 3)
}

func TestAPlanFollowsAnother(t *testing.T) {
	k := quiet(t)
	k.crew = "ann"
	k.do(kitchen.Command{Do: kitchen.DoPlan, Plan: taken(k, true)})
	k.wait(20 * stamp.Minute)
	second := taken(k, true)
	second.Items = []entry.PlanItem{{Item: "wings", Unit: 2, Grams: 100, Vessels: []string{"load"}}}
	second.Rows = []entry.PlanRow{{Deed: entry.PlanLoad, Start: second.From + 10, Units: 9}}
	k.do(kitchen.Command{Do: kitchen.DoPlan, Plan: second})
	require.Len(t, k.s.PlansFrom(0), 1)
	p := k.s.PlanOf(second.Day)
	require.Len(t, p.Rows, 2, "what began before the new plan stays, the rest gives way to it")
	require.Equal(t, "pieces", p.Items[p.Rows[0].Item].Item)
	require.Equal(t, "wings", p.Items[p.Rows[1].Item].Item)
	require.Len(t, k.s.Wanted(k.now), 1)
}

func TestPlansThatAreRefused(t *testing.T) {
	k := quiet(t)
	plan := taken(k, true)
	k.refused(kitchen.RefNotLead, kitchen.Command{Do: kitchen.DoPlan, Plan: plan})
	k.crew = "ann"
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoPlan})
	late := *plan
	late.Day, late.Zero = plan.Day+30, k.s.DayStart(plan.Day+30)
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoPlan, Plan: &late})
	odd := *plan
	odd.Rows = []entry.PlanRow{{Item: 7}}
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoPlan, Plan: &odd})
	other := *plan
	other.Zero++
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoPlan, Plan: &other})
	long := *plan
	long.Rows = make([]entry.PlanRow, 401)
	k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoPlan, Plan: &long})
	k.refused(kitchen.RefNoPlace, kitchen.Command{Do: kitchen.DoShift, Name: "table", Day: plan.Day})
}

func TestAPlanComesBackFromJSON(t *testing.T) {
	k := quiet(t)
	c := kitchen.Command{Do: kitchen.DoPlan, Plan: taken(k, true)}
	back, err := kitchen.ReadCommand(wire.AppendJSON(nil, &c))
	require.NoError(t, err)
	require.Equal(t, &c, back)
	c = kitchen.Command{Do: kitchen.DoUndo}
	require.NotContains(t, string(wire.AppendJSON(nil, &c)), "plan")
}

func TestPlansAreForgotten(t *testing.T) {
	k := quiet(t)
	k.crew = "ann"
	for range 20 {
		k.do(kitchen.Command{Do: kitchen.DoPlan, Plan: taken(k, true)})
		k.wait(stamp.Day)
	}
	require.LessOrEqual(t, len(k.s.PlansFrom(0)), 15)
	require.Empty(t, k.planBells())
}
