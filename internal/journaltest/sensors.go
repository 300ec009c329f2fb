package journaltest

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// sources are sensors that a lead paired, a logger's file, and a sensor that nobody paired.
var sources = []string{"cold-a", "cold-b", "logger A", "stray"}

// sense is what sensors and loggers' files bring: readings as they are taken, late ones, wild ones, and the pairing of
// sensors.
func (m *maker) sense() {
	switch m.rand.IntN(8) {
	case 0:
		m.add(&entry.SensorPairing{Sensor: pick(m, sources), Name: "Cold room sensor", Every: stamp.Span(m.rand.Int64N(9e5)),
			Places: []string{pick(m, places), pick(m, places)}})
	case 1:
		if m.one(3) {
			m.add(&entry.SensorRevocation{Sensor: pick(m, sources), Reason: "broken"})
			return
		}
		m.add(&entry.FileRead{File: "week.csv", Place: pick(m, places), Source: "logger A", Rows: 9, Kept: m.rand.Int64N(9), Bad: 1})
	default:
		m.add(m.sensed())
	}
}

func (m *maker) sensed() *entry.Sensing {
	b := &entry.Sensing{Place: pick(m, places), Source: pick(m, sources), Probe: "air", From: m.now.Add(-stamp.Hour)}
	if m.one(4) { // late, now and then by days; or ahead
		b.From = b.From.Add(stamp.Span(m.rand.Int64N(int64(3*stamp.Day))) - 2*stamp.Day - stamp.Span(m.rand.Int64N(int64(stamp.Day))))
	}
	after := stamp.Span(0)
	for range 1 + m.rand.IntN(12) {
		after += stamp.Span(m.rand.Int64N(int64(10 * stamp.Minute)))
		b.List = append(b.List, entry.Sensed{After: after, MilliC: m.rand.Int64N(12_000) - 1_000})
	}
	if m.one(9) { // no order, no measure
		b.List = append(b.List, entry.Sensed{After: -stamp.Hour, MilliC: 1 << 62}, entry.Sensed{After: 1 << 62, MilliC: -1 << 62},
			entry.Sensed{})
	}
	return b
}
