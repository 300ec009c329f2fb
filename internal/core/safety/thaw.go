package safety

import "brinebell/internal/core/stamp"

// ThawMost is how long raw food may be above 41 °F in running water, with the time to prepare or to chill it again.
const ThawMost = 4 * stamp.Hour

// Thaw is a thawing held against the rules of its way: 3-501.13 of the Food Code.
type Thaw struct {
	Findings []Finding
	Used     Used // of the four hours, for raw food in water
	Met      bool
	Actions  []Action
}

// ThawCold holds a thawing in a cold room against its limit on the food.
func ThawCold(food []Reading) Thaw { return (&Thaw{Met: true}).held("thaw-fridge", food) }

// ThawWater holds a thawing under running water against its limits on the water and on the food: what is ready to eat
// may not rise above 41 °F, and what is raw may be above it for four hours.
func ThawWater(water, food []Reading, ready bool, now stamp.Milli) Thaw {
	t := (&Thaw{Met: true}).held("thaw-water", water)
	if ready {
		return t.held("thaw-rte", food)
	}
	limit, _ := HoldLimitOf("thaw-fridge")
	off := limit.OutOf(food)
	if len(food) > 0 {
		t.Used = off.Spends(ThawMost, 0, food[0].At, max(now, food[len(food)-1].At))
	}
	t.Used.Most = ThawMost
	t.Findings = append(t.Findings, t.Used.finding("thaw-raw-4h", "fc-thaw-raw"))
	if !t.Used.Met() {
		t.Met, t.Actions = false, []Action{Discard}
	}
	return t
}

// held adds a limit that all readings of a log must be within.
func (t *Thaw) held(id string, log []Reading) Thaw {
	limit, _ := HoldLimitOf(id)
	off := limit.OutOf(log)
	f := off.Finding()
	switch {
	case len(log) == 0:
		f.Verdict, t.Met = Unknown, false
		t.Actions = append(t.Actions, ReadAgain)
	case !off.Met():
		t.Met = false
		t.Actions = append(t.Actions, Chill, CallLead)
	}
	t.Findings = append(t.Findings, f)
	return *t
}
