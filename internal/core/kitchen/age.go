package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/young"
)

// tooYoung refuses a member what a rule about age keeps from them. No lead can give leave.
func (s *State) tooYoung(crew, place string, t young.Task, now stamp.Milli) *Refusal {
	m := s.Member(crew)
	if m == nil || m.Born == 0 {
		return nil
	}
	f := young.May(s.Country, s.Equipment().AgeRules, m.Born, s.WallDay(now), t)
	if f == nil {
		return nil
	}
	return &Refusal{Code: RefTooYoung, Place: place, Name: f.Rule.Key, Number: f.Age, Limit: f.Rule.Under}
}

// TooYoungAt refuses work at a stage that a rule about age keeps from a member; place is where it happens, if that is known.
func (s *State) TooYoungAt(crew string, p *procedure.Procedure, stage, place string, now stamp.Milli) *Refusal {
	st, _ := p.Stage(stage)
	if st == nil {
		return nil
	}
	t := young.Task{Equipment: st.Equipment, Cautions: []*procedure.Caution{st.Caution}}
	for i := range st.Steps {
		t.Cautions = append(t.Cautions, st.Steps[i].Caution)
	}
	switch {
	case st.Equipment == fryer:
		t.Deed, t.Lift = young.Cook, s.lifts(place)
		t.Pressure = slices.ContainsFunc(p.Stages, func(o procedure.Stage) bool { return o.Equipment == fryer && o.Pressure })
	case st.Equipment != "" && st.Kind == procedure.Work: // who only puts something in or takes it out fetches
		t.Deed = young.Stand
	}
	r := s.tooYoung(crew, place, t, now)
	if r != nil {
		r.Stage = stage
	}
	return r
}

// lifts tells whether a fryer raises and lowers baskets by itself: where it is not known which, whether each does.
func (s *State) lifts(place string) bool {
	devices, lift := s.Equipment().Devices, false
	for i := range devices {
		d := &devices[i]
		if d.Kind != fryer || place != "" && d.Name != place {
			continue
		}
		if !d.Lift {
			return false
		}
		lift = true
	}
	return lift
}

// TooYoungForOil refuses a member to filter, top up or throw away a fryer's oil that may be too hot for their age.
func (s *State) TooYoungForOil(crew, place, deed string, now stamp.Milli) *Refusal {
	if deed == entry.OilMeasured {
		return nil
	}
	t := young.Task{Deed: young.Oil, Equipment: fryer}
	t.Warmth, t.Read = s.warmth(s.Equipment().Device(place), now)
	return s.tooYoung(crew, place, t, now)
}

// TooYoungForStep refuses a member a list's step that a rule about age keeps from them: where its caution is about hot oil
// or a hot surface, by what was last read. Numbers are read, and things are signed, at any age.
func (s *State) TooYoungForStep(crew string, st *procedure.Step, now stamp.Milli) *Refusal {
	if st.Kind == procedure.Read || st.Kind == procedure.Sign {
		return nil
	}
	t := young.Task{Cautions: []*procedure.Caution{st.Caution}}
	if r := s.tooYoung(crew, "", t, now); r != nil || st.Caution == nil {
		return r
	}
	for _, h := range [...]struct {
		hazard string
		deed   young.Deed
		only   string // kind of equipment
	}{{"hot oil", young.Oil, fryer}, {"hot surface", young.Clean, ""}} {
		if !slices.Contains(st.Caution.Hazards, h.hazard) {
			continue
		}
		place := ""
		t.Deed = h.deed
		if place, t.Warmth, t.Read = s.warmest(h.only, now); place == "" {
			continue
		}
		if r := s.tooYoung(crew, place, t, now); r != nil {
			return r
		}
	}
	return nil
}

// warmest returns the equipment, of a kind where one is named, that is warmest as far as is known: what was not read may be.
func (s *State) warmest(kind string, now stamp.Milli) (place string, warmth int64, read bool) {
	devices := s.Equipment().Devices
	for i := range devices {
		d := &devices[i]
		if kind != "" && d.Kind != kind || d.What == (procedure.Text{}) {
			continue
		}
		w, ok := s.warmth(d, now)
		if !ok {
			return d.Name, 0, false
		}
		if place == "" || w > warmth {
			place, warmth, read = d.Name, w, true
		}
	}
	return place, warmth, read
}

// warmth returns the last reading of a piece of equipment, unless it is older than a reading may be.
func (s *State) warmth(d *procedure.Device, now stamp.Milli) (milliC int64, read bool) {
	if d == nil {
		return 0, false
	}
	p := s.Place(d.Name)
	if p.ReadAt == 0 || d.ReadEvery > 0 && now.Since(p.ReadAt) > d.ReadEvery {
		return 0, false
	}
	return p.Reading, true
}
