package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// chance is a source of chance that gives the same from the same seed on every machine (the generator splitmix64).
type chance uint64

// Next returns 64 bits of chance.
func (c *chance) Next() uint64 {
	*c += 0x9e3779b97f4a7c15
	x := uint64(*c)
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Below returns a number from 0 to n-1.
func (c *chance) Below(n int) int { return int(c.Next() % uint64(n)) }

// One tells, in one of n cases.
func (c *chance) One(n int) bool { return c.Below(n) == 0 }

// ID makes an id for an instant.
func (c *chance) ID(at stamp.Milli) entry.ID {
	var b [10]byte
	for i := range b {
		b[i] = byte(c.Next() >> 32)
	}
	return entry.NewID(at, b)
}

func pick[T any](c *chance, list []T) T { return list[c.Below(len(list))] }

// journalsBegin is when random journals begin: 2026-10-30T04:00:00Z, two days before clocks change in New York.
const journalsBegin stamp.Milli = 1793332800000

// maker makes one random journal.
type maker struct {
	chance
	now     stamp.Milli
	clocks  map[string]*stamp.Clock // asked by name, never walked
	devices []string
	crew    []string
	state   *kitchen.State // by the entries in the order in which they were made: near enough to tap by
	list    []entry.Entry
	guides  []entry.ID
	asks    []entry.ID
	told    []entry.ID
	side    chance // for what would change all else if it took its chance from the same source
}

// random makes a journal of n entries: a kitchen at work, on four devices with clocks that are off, with taps that
// contradict each other, undos, corrections, and now and then something wild: unknown batches, huge numbers, kinds from
// the future, bodies that cannot be read. It gives the same journal for the same seed on every machine. The entries
// come in the order in which they were made, which is not their canonical order.
func random(seed uint64, n int) []entry.Entry {
	m := &maker{
		chance: chance(seed), side: chance(^seed), now: journalsBegin, clocks: map[string]*stamp.Clock{},
		devices: []string{"server", "ann-phone", "ben-phone", "wall"}, crew: []string{"ann", "ben", "cleo"},
		state: kitchen.New(),
	}
	m.setUp()
	for len(m.list) < n {
		m.now = m.now.Add(m.pause())
		switch d := m.Below(20); {
		case d < 13:
			m.tap()
		case d < 15:
			m.again()
		case d < 17:
			m.amend()
		default:
			m.wild()
		}
	}
	return m.list[:n]
}

// pause is how long nothing happens: mostly seconds, sometimes hours, so that all windows are hit.
func (m *maker) pause() stamp.Span {
	switch d := m.Below(20); {
	case d < 8:
		return stamp.Span(m.Below(12000))
	case d < 16:
		return stamp.Span(m.Below(15)) * stamp.Minute
	case d < 19:
		return stamp.Span(m.Below(300)) * stamp.Minute
	}
	return stamp.Span(m.Below(30)) * stamp.Hour
}

// say makes an entry on a device. Devices' clocks are off by up to a few seconds, the wall's by half an hour.
func (m *maker) say(device string, body entry.Body) *entry.Entry {
	return m.sayAs(m.ID(m.now), device, pick(&m.chance, m.crew), body)
}

func (m *maker) sayAs(id entry.ID, device, crew string, body entry.Body) *entry.Entry {
	e := entry.New(id, m.stamp(device), crew, body)
	return m.keep(e)
}

func (m *maker) stamp(device string) stamp.Stamp {
	clock := m.clocks[device]
	if clock == nil {
		clock = &stamp.Clock{Device: device}
		m.clocks[device] = clock
	}
	off := map[string]stamp.Span{"ann-phone": 3 * stamp.Second, "ben-phone": -4 * stamp.Second, "wall": -30 * stamp.Minute}
	return clock.Next(m.now.Add(off[device]))
}

func (m *maker) keep(e entry.Entry) *entry.Entry {
	m.list = append(m.list, e)
	m.state.Apply(&e, kitchen.Amended{})
	return &m.list[len(m.list)-1]
}

func (m *maker) device() string { return pick(&m.chance, m.devices) }

func (m *maker) setUp() {
	m.say("server", &entry.NamedKitchen{Name: "Test", Zone: "America/New_York", Country: "US"})
	m.say("server", &entry.Offsets{Zone: "America/New_York", List: []entry.Offset{
		{From: journalsBegin - 90*stamp.Milli(stamp.Day), Minutes: -240, Name: "EDT"}, {From: 1793512800000, Minutes: -300, Name: "EST"},
	}})
	eq, proc, list := equipmentDoc(1), piecesDoc(1), openingDoc(1)
	m.say("server", &eq)
	m.say("server", &proc)
	m.say("server", &list)
	m.say("server", &entry.Member{Crew: "ann", Name: "Ann", Lang: "en", Role: entry.Lead})
	m.say("server", &entry.Member{Crew: "ben", Name: "Ben", Lang: "es"})
	m.say("server", &entry.Pairing{Device: "ann-phone", Name: "Ann's phone"})
	m.read("fryer-1")
	m.read("cold-room")
}

// read reads equipment: mostly as it should be.
func (m *maker) read(place string) {
	c := 169_000
	if place == "cold-room" {
		c = 3_000
	}
	m.say(m.device(), &entry.Reading{Place: place, MilliC: int64(c + m.Below(3000) - 1500 + 8000*boolInt(m.One(6)))})
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// again says once more, on another device and soon after, what was said last: two cooks who do the same.
func (m *maker) again() {
	e := m.list[len(m.list)-1-m.Below(min(len(m.list), 8))]
	if e.Kind == entry.BatchStarted || e.Kind == entry.EntryWithdrawn {
		return
	}
	copied := entry.Entry{
		ID: m.ID(m.now), At: m.stamp(m.device()), Crew: pick(&m.chance, m.crew), Kind: e.Kind, Ver: e.Ver, Raw: e.Raw,
	}
	if body, err := e.Open(); err == nil {
		if p, ok := body.(*entry.Portioning); ok { // the other cook's pans have names of their own
			for i := range p.In {
				p.In[i].Batch = m.ID(m.now)
			}
			copied = entry.New(copied.ID, copied.At, copied.Crew, p)
		}
	}
	m.keep(copied)
}
