package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// books writes into the kitchen's books: mostly about what is there.
func (m *maker) books() {
	switch m.Below(12) {
	case 0, 1:
		m.say(m.device(), &entry.ProbeCheck{
			Probe: pick(&m.chance, []string{"p1", "p2", ""}), Method: entry.IcePoint, Read: int64(m.Below(2500)) - 500, Within: 1000,
		})
	case 2, 3:
		if n := len(m.state.Deviations); n > 0 {
			m.say(m.device(), &entry.Part{
				Deviation: m.state.Deviations[m.Below(n)].Key, Part: pick(&m.chance, kitchen.Parts[:]), Text: "done", Grams: m.anyAmount(),
			})
		}
	case 4:
		c := &kitchen.Command{Do: kitchen.DoDayClose}
		who := kitchen.Who{Crew: "ann", Device: m.device()}
		drafts, _ := kitchen.Decide(m.state, c, who, m.now, func() entry.ID { return m.ID(m.now) })
		for _, d := range drafts {
			m.sayAs(d.ID, who.Device, who.Crew, d.Body)
		}
		if len(drafts) == 0 {
			m.say(m.device(), &entry.DayClose{Day: m.state.WallDay(m.now) - int32(m.Below(2)), Entries: m.state.Folded, Seal: m.state.Seal})
		}
	case 5:
		m.say(m.device(), &entry.Setting{Name: pick(&m.chance, []string{entry.SetKeepChilled, "colour"}), Number: m.anyAmount()})
	case 6:
		m.say(m.device(), &entry.Delivery{
			Supplier: "Reed", Lot: "LA", Procedure: pick(&m.chance, []string{"pieces", "none"}), Grams: m.anyAmount(), Measured: m.One(2),
			MilliC: int64(m.Below(9000)), Probe: "p1", Weights: []int64{m.anyAmount(), 1300}, Refused: m.One(5),
		})
	case 7:
		m.say(m.device(), cookLog(m.anyBatch(), holding(158, 20+m.Below(10))))
	case 8:
		m.say(m.device(), &entry.QuizAnswer{Key: pick(&m.chance, []string{"pieces/next", "pieces/soak/floor"}), Print: uint32(m.Below(2)), Right: m.One(2)})
	case 9, 10:
		m.training()
	default:
		m.say(m.device(), &entry.Oil{Place: m.anyPlace(), Deed: pick(&m.chance, []string{
			entry.OilFiltered, entry.OilChanged, entry.OilMeasured}), Volume: m.anyAmount(), Polar: m.anyAmount()})
	}
}
