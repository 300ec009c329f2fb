package kitchen

import (
	"cmp"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// early is how long before a plan was taken on what it plans may have been begun: who taps "accept" with a basket in hand has it.
const early = stamp.Minute

// Did tells whether the kitchen has done a row of a plan: of the item as much was loaded, coated or put into tubs since the plan was
// made as its rows up to this one ask for, half of this one at least.
func (s *State) Did(m *PlanMark, k int) bool {
	row := &m.Rows[k]
	if int(row.Item) >= len(m.Items) || row.Deed == entry.PlanKeep {
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
	return s.made(it.Item, row.Deed, from.Add(-early)) >= max(want, 1)
}

// made is how many grams of an item came into a vessel of what a deed makes since an instant.
func (s *State) made(item string, deed uint8, since stamp.Milli) (grams int64) {
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Procedure != item || b.MadeAt < since {
			continue
		}
		p := s.Procedure(b.Procedure, b.Version)
		if p == nil || len(p.Stages) == 0 || s.parted(b) {
			continue
		}
		is := entry.PlanTubs
		switch {
		case b.Vessel == p.Stages[0].Vessel:
		case b.Vessel == p.Stages[len(p.Stages)-1].Vessel:
			continue
		default:
			is = entry.PlanCoat
			for k := range p.Stages {
				if st := &p.Stages[k]; st.Vessel == b.Vessel && st.Equipment != "" && s.single(st.Equipment) {
					is = entry.PlanLoad
				}
			}
		}
		if is == deed {
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
	for i := range b.s.Plans {
		m := &b.s.Plans[i]
		if !m.Ring {
			continue
		}
		for k := range m.Rows {
			row := &m.Rows[k]
			at := m.PlanAccepted.At(row.Start)
			if row.Deed == entry.PlanKeep || row.Start < m.From || at > b.until || b.now.Since(at) > planStale || b.s.overruled(m, at) || b.s.Did(m, k) {
				continue
			}
			b.ring([]point{{PointPlan, Attention, at, "plan/" + m.ID.String() + "/" + strconv.Itoa(k) + "/"}}, planPatience,
				Bell{Plan: m.ID, Row: k, Fryer: row.Deed == entry.PlanLoad})
		}
	}
}

// overruled tells whether a later plan rules at an instant.
func (s *State) overruled(m *PlanMark, at stamp.Milli) bool {
	for i := range s.Plans {
		o := &s.Plans[i]
		if o.ID != m.ID && o.At > m.At && o.PlanAccepted.At(o.From) <= at && at <= o.PlanAccepted.At(o.To) {
			return true
		}
	}
	return false
}

// PlanByID returns the plan that an entry brought, as long as it is that of its day, or nil.
func (s *State) PlanByID(id entry.ID) *PlanMark {
	for i := range s.Plans {
		if s.Plans[i].ID == id && !id.IsZero() {
			return &s.Plans[i]
		}
	}
	return nil
}

// Wanted lists rows of plans that rule now and are not done, the next ones first: those of the last hour and a half, and those to come.
func (s *State) Wanted(now stamp.Milli) (list []WantedRow) {
	for i := range s.Plans {
		m := &s.Plans[i]
		for k := range m.Rows {
			row := &m.Rows[k]
			at := m.PlanAccepted.At(row.Start)
			if row.Deed != entry.PlanKeep && row.Start >= m.From && now.Since(at) <= planStale && !s.overruled(m, at) && !s.Did(m, k) {
				list = append(list, WantedRow{m, k, at})
			}
		}
	}
	order.Stable(list, func(a, b WantedRow) int { return cmp.Compare(a.At, b.At) })
	return list
}

// WantedRow is a row of a plan that is not done.
type WantedRow struct {
	Plan *PlanMark
	Row  int
	At   stamp.Milli
}

// single tells whether equipment of a kind holds one load at a time.
func (s *State) single(kind string) bool { return IsSingle(s.Equipment(), kind) }

// IsSingle tells whether equipment of a kind holds one load at a time.
func IsSingle(eq *procedure.Equipment, kind string) bool {
	for i := range eq.Devices {
		if d := &eq.Devices[i]; d.Kind == kind && d.Single {
			return true
		}
	}
	return false
}
