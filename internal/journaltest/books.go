package journaltest

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

var (
	probes = []string{"", "probe-1", "probe-2", "probe-2"}
	parts  = []string{"cause", "held", "evaluation", "disposition", "correction", "prevention", "verification", "carried", "no part"}
	deeds  = []string{entry.OilFiltered, entry.OilToppedUp, entry.OilChanged, entry.OilDiscarded, entry.OilMeasured, "drunk"}
)

// books is what goes into the kitchen's books.
func (m *maker) books() {
	day := int32((m.now - 5*stamp.Milli(stamp.Hour)) / stamp.Milli(stamp.Day))
	switch m.rand.IntN(9) {
	case 0:
		m.add(&entry.ProbeCheck{Probe: pick(m, probes), Method: pick(m, []string{entry.IcePoint, entry.Boiling, entry.Reference}),
			Expected: 0, Read: m.rand.Int64N(4000) - 1500, Within: 1000, Altitude: 310_000})
	case 1, 2:
		m.add(&entry.Part{Deviation: m.someDeviation(), Part: pick(m, parts), Text: "so it was", Grams: m.rand.Int64N(900)})
	case 3:
		m.add(&entry.DayClose{Day: day - int32(m.rand.IntN(3)), Entries: uint64(m.rand.IntN(len(m.made) + 9)),
			Carried: []entry.Carry{{Subject: m.someDeviation(), Reason: "waits for the mechanic"}}})
	case 4:
		m.add(&entry.Setting{Name: pick(m, []string{entry.SetKeepChilled, entry.SetKeepFrozen, "colour", entry.SetGuestPieces, entry.SetStock + "birds", entry.SetStock + "oil"}), Number: m.rand.Int64N(900)})
	case 5:
		id := m.id()
		m.addAs(id, &entry.Delivery{Delivery: id, Supplier: "Reed", Lot: "lot-1", Procedure: pick(m, procedures), Grams: m.rand.Int64N(40_000),
			Measured: m.one(2), MilliC: m.rand.Int64N(9000), Probe: pick(m, probes), Weights: []int64{m.rand.Int64N(2000), 1300},
			Place: pick(m, places), Refused: m.one(5)})
	case 6:
		m.add(&entry.CookLog{Batch: m.someBatch(), Source: entry.LogTyped, Rows: []byte{2, 1, 2, 4}, Count: 1, Species: "chicken", Fat: m.rand.Int64N(12_000),
			Met: m.one(2), RowAt: 136 + m.rand.Int64N(30), Held: m.rand.Int64N(90_000), Dwell: m.rand.Int64N(2) * 60_000, Hottest: 70_000, Probe: pick(m, probes)})
	case 7:
		m.add(&entry.QuizAnswer{Key: pick(m, procedures) + "/next", Print: uint32(m.rand.IntN(2)), Right: m.one(2)})
	default:
		m.add(&entry.Oil{Place: pick(m, places), Deed: pick(m, deeds), Volume: m.rand.Int64N(9000), Polar: m.rand.Int64N(30_000)})
	}
}
