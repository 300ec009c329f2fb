package journaltest

import (
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/demo"
)

// Begun is when random journals begin: 2026-11-25T05:00:00Z.
const Begun stamp.Milli = 1_795_582_800_000

// Random makes a journal of n entries of all kinds out of a seed, in canonical order: real work on batches that
// follow each other, contradictions, nonsense about batches that never were, corrections, withdrawals of withdrawals,
// kinds of newer builds, bodies that cannot be read, stamps that meet within a millisecond. It spans some days, so that
// what ended long ago is dropped from the state on the way.
func Random(seed uint64, n int) []entry.Entry {
	m := newMaker(seed)
	m.begin()
	for len(m.made) < n {
		m.step()
	}
	list := m.made[:n]
	slices.SortFunc(list, func(a, b entry.Entry) int { return entry.Compare(&a, &b) })
	return list
}

// stages are those of the demo kitchen's main procedure, with the vessel of each.
var stages = [][2]string{{"mix", "tub"}, {"marinate", "tub"}, {"drain", "tub"}, {"coat", "pan"}, {"set", "pan"},
	{"load", "load"}, {"cook", "load"}, {"release", "load"}, {"rest", "load"}, {"stage", "tray"}, {"hold", "tray"}}

var (
	devices    = []string{"anna-1", "bea-2", "cole-3", "wall-4", "kitchen"}
	crew       = []string{"al", "bo", "cy", ""}
	places     = []string{"fryer-1", "fryer-2", "cold-room", "cabinet-1", "nowhere"}
	lists      = []string{"opening", "changeover", "closing", "cleaning", "no-list"}
	procedures = []string{"bone-in", "bone-in", "bone-in", "thigh-strips", "wedges", "no-such"}
	points     = []string{"best", "last", "past", "timer"}
	steps      = []string{"meat-temp", "brine", "turn", "pour", "press", "basket", "oil", "lid", "core", "drip", "look"}
	units      = []string{"mC", "g", "mL", "ms", "1", ""}
)

// documents are those of the demo kitchen.
var documents = sync.OnceValue(func() []entry.Document {
	docs, err := demo.Documents()
	if err != nil {
		panic(err) // they are embedded, and have their own test
	}
	return docs
})

// batch is what the maker remembers of a batch.
type batch struct {
	id    entry.ID
	stage int
	began entry.ID
}

type maker struct {
	rand    *rand.Rand
	now     stamp.Milli
	clocks  map[string]*stamp.Clock
	made    []entry.Entry
	batches []batch
	timers  []entry.ID
	logs    []entry.ID
	guides  []entry.ID
	asks    []entry.ID
	told    []entry.ID
	code    int
}

func newMaker(seed uint64) *maker {
	return &maker{rand: rand.New(rand.NewPCG(seed, 2026)), now: Begun, clocks: map[string]*stamp.Clock{}}
}

func pick[T any](m *maker, list []T) T { return list[m.rand.IntN(len(list))] }

// one tells whether a chance of one in n came up.
func (m *maker) one(n int) bool { return m.rand.IntN(n) == 0 }

func (m *maker) id() entry.ID {
	var chance [10]byte
	copy(chance[:], wire.Fixed64(m.rand.Uint64()))
	copy(chance[8:], wire.Fixed64(m.rand.Uint64()))
	return entry.NewID(m.now, chance)
}

// add makes an entry of a body that needs no id of its own.
func (m *maker) add(body entry.Body) entry.ID { return m.addAs(m.id(), body) }

func (m *maker) addAs(id entry.ID, body entry.Body) entry.ID {
	device := pick(m, devices)
	if m.clocks[device] == nil {
		m.clocks[device] = &stamp.Clock{Device: device}
	}
	e := entry.New(id, m.clocks[device].Next(m.now), pick(m, crew), body)
	m.made = append(m.made, e)
	return id
}

// begin makes what every kitchen has: a name, offsets, crew, devices, documents.
func (m *maker) begin() {
	m.add(&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US", Demo: true})
	m.add(&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{From: 0, Minutes: -300, Name: "EST"}}})
	for i, id := range crew[:3] {
		m.add(&entry.Member{Crew: id, Name: "Crew " + id, Lang: []string{"en", "es", "en"}[i], Role: entry.Role(i)})
	}
	for _, d := range devices[:4] {
		m.add(&entry.Pairing{Device: d, Name: "Phone " + d, Wall: d == "wall-4"})
	}
	for _, d := range documents() {
		m.add(&d)
	}
}

// step lets some time pass, and something happen.
func (m *maker) step() {
	switch m.rand.IntN(20) {
	case 0:
		m.now = m.now.Add(stamp.Span(m.rand.Int64N(int64(9 * stamp.Hour))))
	case 1, 2, 3, 4: // within the same millisecond
	default:
		m.now = m.now.Add(stamp.Span(m.rand.Int64N(int64(20 * stamp.Minute))))
	}
	switch {
	case m.one(12):
		m.amend()
	case m.one(25):
		m.strange()
	case m.one(4):
		m.small()
	case m.one(9):
		m.books()
	case m.one(16):
		m.train()
	case m.one(24):
		m.plan()
	case m.one(10):
		m.log()
	case m.one(16):
		m.demand()
	default:
		m.work()
	}
}

// work is what a batch goes through.
func (m *maker) work() {
	if len(m.batches) == 0 || m.one(9) {
		m.start()
		return
	}
	b := &m.batches[m.recent(len(m.batches))]
	switch m.rand.IntN(10) {
	case 0, 1, 2:
		m.move(b)
	case 3, 4:
		m.portion(b)
	case 5, 6:
		m.add(&entry.Step{Batch: b.id, Stage: stages[b.stage][0], Step: pick(m, steps), Value: m.rand.Int64N(90_000),
			Unit: pick(m, units), Answer: pick(m, []string{"", "yes", "no"}), SignBy: pick(m, crew), Probe: pick(m, probes), Photo: pick(m, []string{"", "", "", "ab12", "cd34"})})
	case 7, 8:
		m.add(&entry.Count{Batch: b.id, Sold: m.rand.Int64N(9), Wasted: m.rand.Int64N(3), Reason: "dropped"})
	default:
		m.add(&entry.Discard{Batch: b.id, Grams: m.rand.Int64N(4000), Reason: "past its limit"})
	}
}

// recent returns an index below n, mostly one of the last.
func (m *maker) recent(n int) int {
	if m.one(5) {
		return m.rand.IntN(n)
	}
	return n - 1 - m.rand.IntN(min(n, 6))
}

func (m *maker) start() {
	id := m.id()
	m.code++
	m.addAs(id, &entry.Start{Batch: id, Code: "T" + strconv.Itoa(m.code), Procedure: pick(m, procedures),
		Version: uint32(m.rand.IntN(9)), Stage: "mix", Vessel: "tub", Number: uint32(m.rand.IntN(6)),
		Place: pick(m, places), Grams: m.rand.Int64N(16_000), Pieces: m.rand.Int64N(100), Lots: []string{"lot-1"},
		Mix: entry.Mix{Water: 9000, Concentrate: 500}})
	m.batches = append(m.batches, batch{id, 0, id})
}

func (m *maker) override() entry.Override {
	if m.one(6) {
		return entry.Override{By: "bo", Reason: "looked at it"}
	}
	return entry.Override{}
}

func (m *maker) move(b *batch) {
	from, to := b.stage, min(b.stage+1, len(stages)-1)
	if m.one(6) {
		from, to = m.rand.IntN(len(stages)), m.rand.IntN(len(stages))
	}
	again := m.one(10) // two devices say the same
	for range 1 + btoi(again) {
		b.began = m.add(&entry.Move{Batch: b.id, From: stages[from][0], To: stages[to][0], Place: pick(m, places),
			Override: m.override()})
	}
	b.stage = to
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (m *maker) portion(b *batch) {
	to := min(b.stage+1, len(stages)-1)
	p := &entry.Portioning{Override: m.override()}
	p.Out = []entry.Share{{Batch: b.id, Stage: stages[b.stage][0], Grams: m.rand.Int64N(9000),
		Pieces: m.rand.Int64N(60), All: m.one(2)}}
	if m.one(4) {
		o := m.batches[m.recent(len(m.batches))]
		p.Out = append(p.Out, entry.Share{Batch: o.id, Stage: stages[o.stage][0], Grams: 500, Pieces: 4})
	}
	if m.one(3) {
		p.Lost = []entry.Loss{{Why: "drip", Grams: m.rand.Int64N(300)}, {Why: "waste", Pieces: 1}}
	}
	var made []batch
	id := m.id()
	for range 1 + m.rand.IntN(3) {
		m.code++
		part := m.id()
		p.In = append(p.In, entry.Portion{Batch: part, Code: "P" + strconv.Itoa(m.code), Stage: stages[to][0],
			Vessel: stages[to][1], Number: uint32(m.rand.IntN(9)), Place: pick(m, places),
			Grams: m.rand.Int64N(5000), Pieces: m.rand.Int64N(40)})
		made = append(made, batch{part, to, id})
	}
	m.addAs(id, p)
	m.batches = append(m.batches, made...)
}

// small is what happens beside the batches.
func (m *maker) small() {
	day := int32((m.now - 5*stamp.Milli(stamp.Hour)) / stamp.Milli(stamp.Day))
	switch m.rand.IntN(16) {
	case 0:
		id := m.id()
		m.timers = append(m.timers, m.addAs(id, &entry.Timer{Timer: id, Name: "rice", Span: stamp.Span(m.rand.Int64N(9e6))}))
	case 1:
		m.add(&entry.TimerEnd{Timer: m.someTimer()})
	case 2, 3:
		m.add(&entry.Reading{Place: pick(m, places), MilliC: m.rand.Int64N(200_000) - 20_000, Probe: pick(m, probes)})
	case 4, 5:
		m.add(&entry.Step{List: pick(m, lists), Day: day - int32(m.rand.IntN(2)), Step: pick(m, append(steps, "hands", "sign")),
			Answer: pick(m, []string{"", "yes", "no"})})
	case 6:
		m.add(&entry.ListClose{List: pick(m, lists), Day: day})
	case 7:
		id := m.id()
		m.addAs(id, &entry.Deviation{Deviation: id, Batch: m.someBatch(), Text: "lid was open"})
	case 8:
		m.add(&entry.Answer{Deviation: m.someDeviation(), Action: "thrown away", Closes: m.one(2)})
	case 9, 10:
		m.add(&entry.GotIt{Bell: m.someBell()})
	case 11:
		m.add(&entry.Equipment{Place: pick(m, places), Out: m.one(2), Reason: "filter"})
	case 12:
		m.add(&entry.Note{Batch: m.someBatch(), Place: pick(m, places), Text: "smells good"})
	case 13, 14:
		m.sense()
	default:
		m.rare(day)
	}
}

// rare is what seldom happens.
func (m *maker) rare(day int32) {
	switch m.rand.IntN(8) {
	case 0:
		m.add(&entry.ClockDoubt{Device: pick(m, append(devices, "")), Off: stamp.Span(m.rand.Int64N(9e7))})
	case 1:
		m.add(&entry.Revocation{Device: pick(m, devices), Reason: "lost"})
	case 2:
		m.add(&entry.Pairing{Device: pick(m, devices), Name: "again"})
	case 7:
		m.add(&entry.Post{Device: pick(m, devices), Place: pick(m, []string{"", "cold-room", "fryer-1", "nowhere"})})
	case 3:
		m.add(&entry.Member{Crew: pick(m, crew), Name: "New", Lang: "es", Role: entry.Lead, Gone: m.one(3), Born: m.rand.Int32N(21_000), Trainer: m.one(2)})
	case 4:
		d := pick(m, documents())
		d.Version += uint32(m.rand.IntN(2))
		m.add(&d)
	case 5:
		m.add(&entry.Document{What: "procedure", Name: "broken", Version: 1, Text: "{"})
	default:
		m.add(&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{From: 0, Minutes: -240, Name: "EDT"},
			{From: m.now, Minutes: int32(-60 * m.rand.IntN(6)), Name: "X"}}})
	}
}

func (m *maker) someTimer() entry.ID {
	if len(m.timers) == 0 || m.one(8) {
		return m.id()
	}
	return pick(m, m.timers)
}

func (m *maker) someBatch() entry.ID {
	if len(m.batches) == 0 || m.one(8) {
		return m.id() // none that ever was
	}
	return m.batches[m.recent(len(m.batches))].id
}

func (m *maker) someEntry() *entry.Entry { return &m.made[m.recent(len(m.made))] }

func (m *maker) someDeviation() string {
	return m.someEntry().ID.String() + "/" + strconv.Itoa(1+m.rand.IntN(19))
}

func (m *maker) someBell() string {
	n := "/" + strconv.Itoa(m.rand.IntN(3))
	if m.one(4) {
		return "timer/" + m.someTimer().String() + n
	}
	if len(m.batches) == 0 {
		return "list/opening/20782" + n
	}
	return m.batches[m.recent(len(m.batches))].began.String() + "/" + pick(m, points) + n
}

// amend withdraws or corrects something, now and then something that is itself a withdrawal.
func (m *maker) amend() {
	target := m.someEntry()
	if m.one(2) {
		m.add(&entry.Withdrawal{Entry: target.ID})
		return
	}
	body, err := target.Open()
	if err != nil {
		return
	}
	switch b := body.(type) {
	case *entry.Step:
		b.Value, b.Answer = m.rand.Int64N(80_000), "yes"
	case *entry.Count:
		b.Sold = m.rand.Int64N(5)
	case *entry.Start:
		b.Grams = m.rand.Int64N(16_000)
	case *entry.Reading:
		b.MilliC = m.rand.Int64N(180_000)
	}
	m.add(&entry.Correction{Entry: target.ID, To: target.Kind, Ver: target.Ver, Body: wire.Append(nil, body), Reason: "misread"})
}

// strange is what no usual device of this build writes.
func (m *maker) strange() {
	m.add(&entry.Note{Text: "strange"})
	e := &m.made[len(m.made)-1]
	switch m.rand.IntN(4) {
	case 0:
		e.Kind, e.Ver = entry.Kind(900+m.rand.IntN(50)), 3 // of a newer build
	case 1:
		e.Ver = 7 // a newer version of a known kind
	case 2:
		e.Kind, e.Ver, e.Raw = pick(m, entry.Kinds()), 1, []byte{0xff, 0xff, 0xff} // cannot be read
	default:
		e.At.At = e.At.At.Add(2 * stamp.Day) // a clock in the future
	}
}
