package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// training writes what belongs to learning the work: mostly about what is there.
func (m *maker) training() {
	at := entry.Spot{Batch: m.anyBatch()}
	if b := m.state.Batch(at.Batch); b != nil {
		at.Stage = b.Stage
	}
	if m.One(4) {
		at = entry.Spot{List: "opening", Day: m.state.WallDay(m.now)}
	}
	if m.One(4) {
		m.guide(at)
		return
	}
	if m.One(5) {
		m.planned()
		return
	}
	id, who := m.ID(m.now), func() string { return pick(&m.chance, m.crew) }
	switch m.Below(10) {
	case 0:
		m.say(m.device(), &entry.Pin{Crew: who(), Salt: []byte{byte(m.Below(9))}, Rounds: 2, Digest: []byte{3}})
	case 1, 2:
		m.guides = append(m.guides, id)
		m.sayAs(id, m.device(), who(), &entry.Guide{Guide: id, Spot: at, Crew: who(), Trainer: who()})
	case 3:
		m.asks = append(m.asks, id)
		m.sayAs(id, m.device(), who(), &entry.GuideAsk{Ask: id, Guide: m.known(m.guides), Spot: at, Step: pick(&m.chance, []string{"temp", "lid", "core"}), Help: m.One(3)})
	case 4:
		m.say(m.device(), &entry.GuideAnswer{Ask: m.known(m.asks), Yes: !m.One(4), Trainer: who(), Pin: m.One(2), Seen: "4"})
	case 5:
		m.say(m.device(), &entry.GuideCheck{Ask: m.known(m.asks), Mine: m.One(2)})
	case 6:
		m.say(m.device(), &entry.TrainerNote{Crew: who(), Spot: at, Step: "temp", Tone: entry.ToneWrong})
	case 7:
		m.say(m.device(), &entry.Rung{Procedure: "pieces", Rung: uint32(m.Below(3)), Seed: 7, Troubles: 5, Right: int64(m.Below(5)), Passed: m.One(2)})
	default:
		m.say(m.device(), &entry.SignOff{
			Crew: who(), What: kitchen.WhatProcedure, Document: "pieces", Competence: pick(&m.chance, []string{"fryer", "tubs"}),
			Version: uint32(m.Below(3)), By: who(), Grounds: entry.GroundsExperience, Gone: m.One(4),
		})
	}
}

func (m *maker) known(list []entry.ID) entry.ID {
	if len(list) == 0 || m.One(8) {
		return m.ID(m.now)
	}
	return pick(&m.chance, list)
}

// guide leads somebody to a step: it is asked about or not, answered or not, and done.
func (m *maker) guide(at entry.Spot) {
	for i := range m.state.Batches { // there are critical steps at a cook
		if b := &m.state.Batches[i]; b.Status == kitchen.Open && b.Stage == "cook" && !m.One(4) {
			at = entry.Spot{Batch: b.ID, Stage: b.Stage}
		}
	}
	learner, trainer := pick(&m.chance, m.crew), pick(&m.chance, m.crew)
	id, ask, step := m.ID(m.now), m.ID(m.now), pick(&m.chance, []string{"lid", "core", "temp"})
	m.guides, m.asks = append(m.guides, id), append(m.asks, ask)
	m.sayAs(id, m.device(), learner, &entry.Guide{Guide: id, Spot: at, Crew: learner, Trainer: trainer})
	if m.One(2) {
		m.sayAs(ask, m.device(), learner, &entry.GuideAsk{Ask: ask, Guide: id, Spot: at, Step: step, Help: m.One(5)})
		m.say(m.device(), &entry.GuideAnswer{Ask: ask, Yes: !m.One(4), Trainer: trainer, Pin: m.One(2), Seen: "76000 mC"})
	}
	if m.One(2) {
		m.sayAs(m.ID(m.now), m.device(), trainer, &entry.GuideCheck{Ask: m.known(m.asks), Mine: m.One(2)})
	}
	if !at.Batch.IsZero() && m.One(2) {
		body := m.stepBody(at.Batch, at.Stage, step)
		body.Photo = pick(&m.chance, []string{"", "ab12", "cd34"})
		m.sayAs(m.ID(m.now), m.device(), learner, body)
	}
}

// planned writes what is decided about days.
func (m *maker) planned() {
	day := m.state.WallDay(m.now) + int32(m.Below(2))
	if m.One(3) {
		m.say(m.device(), &entry.Shift{Station: pick(&m.chance, []string{"tubs", "table"}), Day: day, From: 360, To: uint32(360 + m.Below(500)), Crew: pick(&m.chance, m.crew)})
		return
	}
	zero := m.state.DayStart(day)
	p := &entry.PlanAccepted{Day: day, Version: 1, Zero: zero, From: int32(m.now.Since(zero) / stamp.Minute), Cost: 90, Bound: 80, Ring: m.One(2)}
	p.To = p.From + 600
	for n := range m.Below(4) {
		p.Items = append(p.Items, entry.PlanItem{Item: pick(&m.chance, []string{"pieces", "wings"}), Unit: 4, Grams: 600, Demand: 40})
		p.Rows = append(p.Rows, entry.PlanRow{Deed: uint8(m.Below(4)), Item: uint8(m.Below(3)), Start: p.From + int32(n*m.Below(40)), Units: uint32(m.Below(12)), Place: "fryer-1"})
	}
	m.say(m.device(), p)
}
