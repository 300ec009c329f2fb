package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/safety"
)

// logs freezes, thaws, cools, and lets time keep: as taps would, and past all rules.
func (m *maker) logs() {
	b := m.open()
	var batch entry.ID
	if b != nil {
		batch = b.ID
	}
	if m.One(9) {
		batch = m.ID(m.now)
	}
	switch m.Below(8) {
	case 0, 1:
		m.say(m.device(), &entry.Frost{Batch: batch, Way: pick(&m.chance, []string{"", "", "cold", "water", "microwave", "sun"}),
			Place: pick(&m.chance, []string{"", "cold-room", "nowhere"})})
	case 2, 3:
		l := entry.Log{What: pick(&m.chance, []string{entry.LogCool, entry.LogTime, entry.LogThaw, "boil"}), Batch: batch,
			Rule:     pick(&m.chance, []string{"food-code", "fsis-1", "tphc4", "tphc6", entry.RuleThawRaw, entry.RuleThawReady, "none"}),
			Measured: !m.One(5), MilliC: int64(m.Below(90_000)), Probe: "p2"}
		if m.One(3) {
			l.Batch, l.Name = entry.ID{}, "rice"
		}
		id := m.ID(m.now)
		l.Log = id
		m.sayAs(id, m.device(), "ann", &l)
	case 4:
		if len(m.state.Logs) > 0 {
			l := pick(&m.chance, m.state.Logs)
			m.say(m.device(), &entry.LogEnd{Log: l.ID, Batch: l.Batch, Outcome: pick(&m.chance, []string{entry.LogDone, entry.LogDiscarded, ""})})
		}
	default:
		r := entry.LogReading{Log: m.ID(m.now), MilliC: int64(m.Below(80_000)), Water: m.One(3), Probe: "p1"}
		if len(m.state.Logs) > 0 && !m.One(9) {
			l := pick(&m.chance, m.state.Logs)
			r.Log, r.Batch = l.ID, l.Batch
			if m.One(3) {
				r.MilliC = int64(m.Below(5000))
			}
		}
		if m.One(20) {
			r.MilliC = -1 << 63
		}
		m.say(m.device(), &r)
	}
}

// logCommand is what a cook would tap of it.
func (m *maker) logCommand(b *kitchen.Batch) *kitchen.Command {
	c := &kitchen.Command{Batch: b.ID, Unit: "mC", Value: int64(m.Below(70_000))}
	switch m.Below(5) {
	case 0:
		c.Do = kitchen.DoFreeze
		if b.Frozen != 0 {
			c.Answer = pick(&m.chance, kitchen.ThawWays[:])
		}
	case 1:
		c.Do, c.Answer, c.Procedure = kitchen.DoLog, entry.LogTime, pick(&m.chance, []string{"tphc4", "tphc4-70", "tphc6"})
	case 2:
		c.Do, c.Answer, c.Procedure = kitchen.DoLog, entry.LogCool, pick(&m.chance, safety.CoolRules()).ID
	default:
		c.Do = pick(&m.chance, []string{kitchen.DoLogRead, kitchen.DoLogRead, kitchen.DoLogEnd})
		if c.Answer = entry.LogDone; len(m.state.Logs) > 0 {
			c.Log = pick(&m.chance, m.state.Logs).ID
		}
	}
	return c
}
