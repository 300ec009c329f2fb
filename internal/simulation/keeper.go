package simulation

import (
	"bytes"
	"iter"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
)

// Memory is a journal.Keeper that holds everything in memory: what Keep was given is durable when it returns.
type Memory struct {
	generation string
	list       []journal.Numbered // by number
	places     []journal.Place    // of list
	byID       map[entry.ID]uint64
	bases      []journal.Base // by place
	memory     []byte
	aside      []journal.Aside
}

var _ journal.Keeper = (*Memory)(nil)

// NewMemory returns an empty journal of the generation, a UUIDv7.
func NewMemory(generation string) *Memory {
	return &Memory{generation: generation, byID: map[entry.ID]uint64{}}
}

// Backup returns a copy as it is now, which a restore gives a new generation.
func (m *Memory) Backup(generation string) *Memory {
	c := NewMemory(generation)
	c.list, c.places = slices.Clone(m.list), slices.Clone(m.places)
	for id, seq := range m.byID {
		c.byID[id] = seq
	}
	c.bases, c.memory, c.aside = slices.Clone(m.bases), m.memory, slices.Clone(m.aside)
	return c
}

// Keep implements journal.Keeper.
func (m *Memory) Keep(c *journal.Change) error {
	fresh, places, err := m.follow(c.Keep)
	if err != nil {
		return err
	}
	for _, n := range fresh {
		m.byID[n.ID()] = n.Seq
	}
	m.list, m.places = append(m.list, fresh...), append(m.places, places...)
	if c.Void != nil {
		m.bases = slices.DeleteFunc(m.bases, func(b journal.Base) bool { return b.Last.Compare(*c.Void) >= 0 })
	}
	if c.Base != nil {
		m.bases = append(m.bases, journal.Base{State: bytes.Clone(c.Base.State), Last: c.Base.Last})
		slices.SortFunc(m.bases, func(a, b journal.Base) int { return a.Last.Compare(b.Last) })
	}
	if c.Memory != nil {
		m.memory = bytes.Clone(c.Memory)
	}
	for _, a := range c.Aside {
		a.Record = bytes.Clone(a.Record)
		m.aside = append(m.aside, a)
	}
	return nil
}

// follow checks that the entries follow the head, and returns copies of those that are not kept yet.
func (m *Memory) follow(list []journal.Numbered) (fresh []journal.Numbered, places []journal.Place, err error) {
	head := uint64(len(m.list))
	for _, n := range list {
		e, err := entry.ReadRecord(n.Record)
		if err != nil {
			return nil, nil, err
		}
		seq, kept := m.byID[e.ID]
		if kept && seq == n.Seq {
			continue
		}
		if kept || n.Seq != head+1 {
			return nil, nil, journal.ErrNumber
		}
		head++
		fresh = append(fresh, journal.Numbered{Seq: n.Seq, Record: bytes.Clone(n.Record)})
		places = append(places, journal.PlaceOf(&e))
	}
	return fresh, places, nil
}

// Head implements journal.Keeper.
func (m *Memory) Head() (uint64, error) { return uint64(len(m.list)), nil }

// Since implements journal.Keeper.
func (m *Memory) Since(seq uint64) iter.Seq2[journal.Numbered, error] {
	return func(yield func(journal.Numbered, error) bool) {
		for _, n := range m.list[min(seq, uint64(len(m.list))):] {
			if !yield(journal.Numbered{Seq: n.Seq, Record: bytes.Clone(n.Record)}, nil) {
				return
			}
		}
	}
}

// Before implements journal.Keeper.
func (m *Memory) Before(p journal.Place) (journal.Stored, error) {
	return m.stored(func(b *journal.Base) bool { return b.Last.Compare(p) < 0 }), nil
}

// Newest implements journal.Keeper.
func (m *Memory) Newest() (journal.Stored, error) {
	return m.stored(func(*journal.Base) bool { return true }), nil
}

func (m *Memory) stored(usable func(*journal.Base) bool) journal.Stored {
	s := journal.Stored{Memory: bytes.Clone(m.memory)}
	var last journal.Place
	for i := range m.bases {
		if b := &m.bases[i]; usable(b) {
			s.Base, last = bytes.Clone(b.State), b.Last
		}
	}
	for i, n := range m.list {
		if m.places[i].Compare(last) > 0 {
			s.Tail = append(s.Tail, journal.Numbered{Seq: n.Seq, Record: bytes.Clone(n.Record)})
		}
	}
	return s
}

// Place implements journal.Keeper.
func (m *Memory) Place(id entry.ID) (journal.Place, bool, error) {
	seq, ok := m.byID[id]
	if !ok {
		return journal.Place{}, false, nil
	}
	return m.places[seq-1], true, nil
}

// Aside implements journal.Keeper.
func (m *Memory) Aside() ([]journal.Aside, error) { return slices.Clone(m.aside), nil }

// Generation implements journal.Keeper.
func (m *Memory) Generation() string { return m.generation }
