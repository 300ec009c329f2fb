package planning

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// making makes a kitchen with work at all stages, by entries that no rule looked at: most batches are within their windows, some not.
type making struct {
	*rand.Rand
	t     testing.TB
	now   stamp.Milli
	count uint32
	list  []entry.Entry
}

func (m *making) id(at stamp.Milli) entry.ID {
	m.count++
	return entry.NewID(at, [10]byte{6: 1, 7: byte(m.count >> 16), 8: byte(m.count >> 8), 9: byte(m.count)})
}

func (m *making) say(at stamp.Milli, id entry.ID, body entry.Body) {
	m.count++
	m.list = append(m.list, entry.New(id, stamp.Stamp{At: at, Count: m.count, Device: "d"}, "", body))
}

func (m *making) told(at stamp.Milli, body entry.Body) { m.say(at, m.id(at), body) }

// between draws a length.
func (m *making) between(least, most stamp.Span) stamp.Span {
	if most <= least {
		return least
	}
	return least + stamp.Span(m.Int64N(int64(most-least)))
}

// kitchenOf is a random kitchen of the demo's documents at an instant.
func kitchenOf(t testing.TB, seed uint64, now stamp.Milli) *kitchen.State {
	t.Helper()
	m := &making{Rand: rand.New(rand.NewPCG(seed, 5)), t: t, now: now}
	documents, err := demo.Documents()
	require.NoError(t, err)
	before := now.Add(-3 * stamp.Day)
	m.told(before, &entry.NamedKitchen{Name: "Random", Zone: "UTC"})
	procedures := map[string]*procedure.Procedure{}
	var names []string
	for i := range documents {
		m.told(before, &documents[i])
		if doc, err := procedure.Open([]byte(documents[i].Text)); err == nil && doc.Procedure != nil {
			procedures[doc.Procedure.Name] = doc.Procedure
			names = append(names, doc.Procedure.Name)
		}
	}
	for _, f := range []string{"fryer-1", "fryer-2"} {
		if m.IntN(12) > 0 {
			m.told(now.Add(-m.between(stamp.Minute, 2*stamp.Hour)), &entry.Reading{Place: f, MilliC: 168_000})
		}
		if m.IntN(12) == 0 {
			m.told(now.Add(-stamp.Hour), &entry.Equipment{Place: f, Out: true, Reason: "the gasket leaks"})
		}
	}
	for n := range 2 + m.IntN(9) {
		p := procedures[names[m.IntN(len(names))]]
		m.batch(p, uint32(n+1))
	}
	if m.IntN(3) == 0 {
		m.told(now.Add(-stamp.Minute), &entry.Shift{Station: "coating-table", Day: int32(now / stamp.Milli(stamp.Day)), From: uint32(m.IntN(900)), To: uint32(900 + m.IntN(500))})
	}
	list := m.list
	for i := 1; i < len(list); i++ {
		for k := i; k > 0 && entry.Compare(&list[k], &list[k-1]) < 0; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
	}
	return folded(t, list)
}

// batch takes a tub through its stages up to now, from a beginning that leaves it at a stage drawn at random.
func (m *making) batch(p *procedure.Procedure, number uint32) {
	end := m.IntN(len(p.Stages))
	times := make([]stamp.Span, end+1)
	total := stamp.Span(0)
	for k := range times {
		w := &p.Stages[k].Window
		times[k] = m.between(w.Floor, max(w.Floor, w.Ceiling))
		if k == end && m.IntN(8) > 0 {
			times[k] = m.between(0, w.Ceiling)
		}
		total += times[k]
	}
	at := m.now.Add(-total)
	id := m.id(at)
	grams := 4000 + m.Int64N(12_000)
	m.say(at, id, &entry.Start{Batch: id, Code: "A", Procedure: p.Name, Version: p.Version, Stage: p.Stages[0].Name, Vessel: p.Stages[0].Vessel, Number: number, Grams: grams})
	for k := 1; k <= end; k++ {
		at = at.Add(times[k-1])
		st := &p.Stages[k]
		place := map[string]string{"fryer": "fryer-1", "cold room": "cold-room", "hold cabinet": "cabinet-1"}[st.Equipment]
		if place == "fryer-1" && number%2 == 0 {
			place = "fryer-2"
		}
		if st.Vessel == p.Stages[k-1].Vessel {
			m.told(at, &entry.Move{Batch: id, From: p.Stages[k-1].Name, To: st.Name, Place: place})
			continue
		}
		if st.Enter.MostGrams > 0 {
			grams = min(grams, st.Enter.MostGrams)
		}
		next, pieces := m.id(at), grams/p.PieceGrams
		if st.Enter.MostPiece > 0 && pieces > st.Enter.MostPiece {
			pieces = st.Enter.MostPiece
		}
		m.told(at, &entry.Portioning{Out: []entry.Share{{Batch: id, Stage: p.Stages[k-1].Name, Grams: grams}},
			In: []entry.Portion{{Batch: next, Code: "B", Stage: st.Name, Vessel: st.Vessel, Number: number, Place: place, Grams: grams, Pieces: pieces}}})
		id = next
	}
}
