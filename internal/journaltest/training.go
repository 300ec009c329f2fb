package journaltest

import "brinebell/internal/core/entry"

var (
	tones       = []string{entry.ToneWell, entry.ToneSlow, entry.ToneWrong, entry.ToneOther, "shouted"}
	competences = []string{"fryer", "tubs", "coating", "nothing"}
)

// train is what belongs to learning the work: PINs, guided work and what is asked in it, sign-offs, practice nights.
func (m *maker) train() {
	day := int32((m.now - 5*86_400_000/24) / 86_400_000)
	spot := entry.Spot{Batch: m.someBatch(), Stage: pick(m, stages)[0]}
	if m.one(4) {
		spot = entry.Spot{List: pick(m, lists), Day: day}
	}
	id := m.id()
	switch m.rand.IntN(10) {
	case 0:
		m.add(&entry.Pin{Crew: pick(m, crew), Salt: []byte{1, byte(m.rand.IntN(9))}, Rounds: 2, Digest: []byte{3}})
	case 1, 2:
		m.guides = append(m.guides, id)
		m.addAs(id, &entry.Guide{Guide: id, Spot: spot, Crew: pick(m, crew), Trainer: pick(m, crew)})
	case 3:
		m.asks = append(m.asks, id)
		m.addAs(id, &entry.GuideAsk{Ask: id, Guide: m.known(m.guides), Spot: spot, Step: pick(m, steps), Help: m.one(3), Text: "which?"})
	case 4:
		m.add(&entry.GuideAnswer{Ask: m.known(m.asks), Yes: !m.one(4), Trainer: pick(m, crew), Pin: m.one(3), Seen: "76"})
	case 5:
		m.add(&entry.GuideCheck{Ask: m.known(m.asks), Mine: m.one(2)})
	case 6:
		m.add(&entry.TrainerNote{Crew: pick(m, crew), Spot: spot, Step: pick(m, steps), Tone: pick(m, tones), Text: "look again"})
	case 7:
		m.add(&entry.Rung{Procedure: pick(m, procedures), Rung: uint32(m.rand.IntN(4)), Seed: m.rand.Uint64() >> 1, Troubles: 5,
			Right: m.rand.Int64N(6), Hurt: m.rand.Int64N(3), Grams: m.rand.Int64N(9000), Passed: m.one(2)})
	default:
		m.add(&entry.SignOff{Crew: pick(m, crew), What: pick(m, []string{"procedure", "procedure", "list"}), Document: pick(m, procedures),
			Competence: pick(m, competences), Version: uint32(m.rand.IntN(9)), By: pick(m, crew), Grounds: entry.GroundsEvidence,
			Gone: m.one(4), Pin: m.one(3), Reason: "seen"})
	}
}

// known returns one of the ids, now and then one that no entry has.
func (m *maker) known(list []entry.ID) entry.ID {
	if len(list) == 0 || m.one(8) {
		return m.id()
	}
	return list[m.recent(len(list))]
}
