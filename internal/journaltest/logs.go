package journaltest

import "brinebell/internal/core/entry"

var (
	thaws  = []string{"", "", "", entry.ThawCold, entry.ThawWater, entry.ThawCook, entry.ThawMicrowave, "in the sun"}
	whats  = []string{entry.LogCool, entry.LogTime, entry.LogThaw, "boil"}
	rules  = []string{"food-code", "fsis-2", "tphc4", "tphc4-70", "tphc6", entry.RuleThawRaw, entry.RuleThawReady, "none"}
	outs   = []string{entry.LogDone, entry.LogDiscarded, ""}
	dishes = []string{"Rice", "Beans", ""}
)

// log is what happens with frost, and with logs of temperature and time.
func (m *maker) log() {
	id := entry.ID{}
	if len(m.logs) > 0 && !m.one(9) {
		id = pick(m, m.logs)
	}
	batch := m.someBatch()
	if m.one(3) {
		batch = entry.ID{}
	}
	switch m.rand.IntN(8) {
	case 0, 1:
		m.add(&entry.Frost{Batch: m.someBatch(), Way: pick(m, thaws), Place: pick(m, places)})
	case 2, 3:
		id = m.id()
		m.logs = append(m.logs, id)
		m.addAs(id, &entry.Log{Log: id, What: pick(m, whats), Rule: pick(m, rules), Batch: batch, Name: pick(m, dishes),
			Measured: !m.one(6), MilliC: m.rand.Int64N(95_000) - 2000, Probe: pick(m, probes)})
	case 4:
		m.add(&entry.LogEnd{Log: id, Batch: batch, Outcome: pick(m, outs), Note: "gone"})
	default:
		m.add(&entry.LogReading{Log: id, Batch: batch, Water: m.one(3), MilliC: m.rand.Int64N(80_000) - 2000, Probe: pick(m, probes)})
	}
}
