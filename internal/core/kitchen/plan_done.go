package kitchen

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// early is how long before a plan was taken on what it plans may have been begun: who taps "accept" with a basket in hand has it.
const early = stamp.Minute

// Did tells whether the kitchen has done a row of a plan: of the item as much was loaded, coated or put into tubs since the plan was
// made as its rows up to this one ask for, half of this one at least.
func (s *State) Did(m *PlanMark, k int) bool {
	row := &m.Rows[k]
	if int(row.Item) >= len(m.Items) || row.Deed == entry.PlanKeep || len(m.Items[row.Item].Vessels) == 0 {
		return false
	}
	it := &m.Items[row.Item]
	from := m.PlanAccepted.At(m.From)
	want := int64(row.Units) * it.Grams / 2
	for i := range m.Rows[:k] {
		if o := &m.Rows[i]; o.Deed == row.Deed && o.Item == row.Item && o.Start >= m.From {
			want += int64(o.Units) * it.Grams
		}
	}
	if row.Start < m.From { // of an earlier plan: it is over, done or not
		return true
	}
	return s.made(it.Item, it.Vessels[min(int(row.Deed), len(it.Vessels)-1)], from.Add(-early)) >= max(want, 1)
}

// made is how many grams of an item came into a kind of vessel since an instant.
func (s *State) made(item, vessel string, since stamp.Milli) (grams int64) {
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Procedure == item && b.Vessel == vessel && b.MadeAt >= since && !s.parted(b) {
			grams += b.InGrams
		}
	}
	return grams
}

// parted tells whether a batch came out of others in vessels of its own kind: nothing was made by that.
func (s *State) parted(b *Batch) bool {
	if len(b.Parents) == 0 {
		return false
	}
	p := s.Batch(b.Parents[0])
	return p != nil && p.Vessel == b.Vessel
}

// How long what the plan wants rings: again after the patience, and not at all once it is so late that the plan is another.
const (
	planPatience = 5 * stamp.Minute
	planStale    = 90 * stamp.Minute
)

// plans adds the bells of plans that were taken on with them: of each row that is not done, at its time.
func (b *belling) plans() {
	list := b.s.PlansFrom(b.s.WallDay(b.now) - 1)
	for _, m := range list {
		for k := range m.Rows {
			if at := m.PlanAccepted.At(m.Rows[k].Start); m.Ring && at <= b.until && b.s.wants(list, m, k, b.now) {
				b.ring([]point{{PointPlan, Attention, at, "plan/" + m.ID.String() + "/" + strconv.Itoa(k) + "/"}}, planPatience,
					Bell{Plan: m.ID, Row: k, Fryer: m.Rows[k].Deed == entry.PlanLoad, Ends: at.Add(planStale) + 1})
			}
		}
	}
}

// wants tells whether a row of a plan is still to be done: it is not done, not stale, and no later plan rules at its time.
func (s *State) wants(list []*PlanMark, m *PlanMark, k int, now stamp.Milli) bool {
	row := &m.Rows[k]
	at := m.PlanAccepted.At(row.Start)
	if row.Deed == entry.PlanKeep || row.Start < m.From || now.Since(at) > planStale {
		return false
	}
	for _, o := range list {
		if o.At > m.At && o.PlanAccepted.At(o.From) <= at && at <= o.PlanAccepted.At(o.To) {
			return false
		}
	}
	return !s.Did(m, k)
}

// PlanByID returns the plan that an entry brought, as long as it is that of its day, or nil.
func (s *State) PlanByID(id entry.ID) *PlanMark {
	for _, m := range s.PlansFrom(-farDays) {
		if m.ID == id && !id.IsZero() {
			return m
		}
	}
	return nil
}

// farDays is more days than any kitchen has.
const farDays = 1 << 30

// Wanted lists rows of plans that rule now and are not done, the next ones first: those of the last hour and a half, and those to come.
func (s *State) Wanted(now stamp.Milli) (list []WantedRow) {
	plans := s.PlansFrom(s.WallDay(now) - 1)
	for _, m := range plans {
		for k := range m.Rows {
			if s.wants(plans, m, k, now) {
				list = append(list, WantedRow{m, k, m.PlanAccepted.At(m.Rows[k].Start)})
			}
		}
	}
	for i := 1; i < len(list); i++ {
		for k := i; k > 0 && list[k].At < list[k-1].At; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
	}
	return list
}

// WantedRow is a row of a plan that is not done.
type WantedRow struct {
	Plan *PlanMark
	Row  int
	At   stamp.Milli
}

// IsSingle tells whether equipment of a kind holds one load at a time.
func IsSingle(eq *procedure.Equipment, kind string) bool {
	for i := range eq.Devices {
		if d := &eq.Devices[i]; d.Kind == kind && d.Single {
			return true
		}
	}
	return false
}
