package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// sense is what sensors and loggers' files bring: readings in time, late ones, wild ones, sensors that come and go.
func (m *maker) sense() {
	sources := []string{"cold-a", "cold-a", "cold-a", "logger B", "stray"}
	switch m.Below(14) {
	case 0, 1:
		m.say("server", &entry.SensorPairing{Sensor: pick(&m.chance, sources), Name: "Sensor", Every: stamp.Span(m.Below(9)) * stamp.Minute,
			Places: []string{m.anyPlace(), "cold-room"}})
		return
	case 2:
		m.say("server", &entry.SensorRevocation{Sensor: pick(&m.chance, sources), Reason: "wet"})
		return
	case 3:
		m.say("server", &entry.FileRead{File: "week.csv", Place: "cold-room", Source: "logger B", Rows: 3, Kept: 2, Bad: 1})
		return
	case 4:
		m.say(m.device(), &entry.GotIt{Bell: "sensor/" + pick(&m.chance, sources) + "/" + pick(&m.chance, []string{"0", "1", "9"})})
		return
	}
	b := &entry.Sensing{Place: "cold-room", Source: pick(&m.chance, sources), Probe: "air", From: m.now.Add(-stamp.Hour)}
	if m.One(4) {
		b.Place = m.anyPlace()
	}
	if m.One(3) {
		b.From = b.From.Add(-stamp.Span(m.Below(3000)) * stamp.Minute)
	}
	after := stamp.Span(0)
	for range 1 + m.Below(12) {
		after += stamp.Span(m.Below(10)) * stamp.Minute
		b.List = append(b.List, entry.Sensed{After: after, MilliC: int64(m.Below(9000) - 500)})
	}
	if m.One(8) {
		b.From = pick(&m.chance, []stamp.Milli{-1 << 63, 0, 1<<63 - 1, b.From})
		b.List = append(b.List, entry.Sensed{After: -1 << 63, MilliC: m.anyAmount()}, entry.Sensed{After: 1<<63 - 1, MilliC: -m.anyAmount()},
			entry.Sensed{MilliC: 1<<63 - 1}, entry.Sensed{MilliC: -1 << 63})
	}
	m.say("sensor", b)
}
