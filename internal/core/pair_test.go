package core_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/demo"
	"brinebell/internal/journaltest"
	"brinebell/internal/simulation"
)

// bench is a server and some phones on perfect links, stepped by hand.
type bench struct {
	t      *testing.T
	now    int64 // wall clock of all, ms
	dice   byte
	server *core.Core
	keeper *simulation.Memory
	phones []*phone
	live   map[string]bool
	notes  []string
	cuts   map[string]string // peer: reason
	codes  []core.CodeAsk
	lost   bool // the server's frames do not arrive
}

type phone struct {
	b       *bench
	name    string
	peer    string
	core    *core.Core
	stored  core.Stored
	waiting [][]byte // frames for the server
	draws   []core.Draw
	rings   [][]byte
	cuts    []string
	clock   *core.Clock
	wake    int64
	off     int64 // of its wall clock
	seen    []protocol.Frame
}

const gen1 = "01a21100-0000-7000-8000-000000000001"

// twoInTouch is a furnished kitchen with two phones, both on the line.
func twoInTouch(t *testing.T, one, other string) (*bench, *phone, *phone) {
	b := newBench(t)
	b.furnish()
	p, q := b.phone(one), b.phone(other)
	p.dial()
	q.dial()
	return b, p, q
}

func newBench(t *testing.T) *bench {
	b := &bench{t: t, now: int64(journaltest.Begun), live: map[string]bool{}, cuts: map[string]string{}}
	b.keeper = simulation.NewMemory(gen1)
	b.boot()
	return b
}

// boot starts the server from its keeper.
func (b *bench) boot() {
	b.server = core.NewServer(core.Config{Device: "kitchen", Generation: b.keeper.Generation(), Demo: true})
	stored, err := b.keeper.Newest()
	require.NoError(b.t, err)
	b.live = map[string]bool{}
	b.give(core.Input{Op: core.OpStart, Stored: &stored})
}

// furnish gives the kitchen its name, crew and documents.
func (b *bench) furnish() {
	bodies := []entry.Body{&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York"},
		&entry.Member{Crew: "al", Name: "Al", Lang: "en"}, &entry.Member{Crew: "bo", Name: "Bo", Lang: "es", Role: entry.Lead}}
	docs, err := demo.Documents()
	require.NoError(b.t, err)
	for i := range docs {
		bodies = append(bodies, &docs[i])
	}
	for _, b := range demo.SignOffs(docs, "al", "bo") {
		bodies = append(bodies, &b)
	}
	b.give(core.Input{Op: core.OpMake, Bodies: bodies})
}

func (b *bench) fresh() (c [32]byte) {
	b.dice++
	c[0], c[9], c[20] = b.dice, b.dice^0x55, 7
	return c
}

// give steps the server and does what must follow.
func (b *bench) give(in ...core.Input) core.Outcome {
	for i := range in {
		in[i].Wall, in[i].Mono, in[i].Chance = b.now, b.now, b.fresh()
	}
	out := b.server.Step(in...)
	if c := out.Change(); c != nil {
		require.NoError(b.t, b.keeper.Keep(c))
	}
	b.notes = append(b.notes, out.Notes...)
	b.codes = append(b.codes, out.Codes...)
	for _, name := range out.Live {
		b.live[name] = true
	}
	for _, m := range out.Send {
		for _, p := range b.phones {
			if p.peer != "" && (m.Peer == p.peer || m.Peer == "" && b.live[p.peer]) && !b.lost {
				f, err := protocol.Read(m.Frame)
				require.NoError(b.t, err)
				p.seen = append(p.seen, f)
				p.step(core.Input{Op: core.OpFrame, Frame: m.Frame})
			}
		}
	}
	for _, c := range out.Cut {
		if b.cuts[c.Peer] == "" {
			b.cuts[c.Peer] = c.Reason
		}
	}
	if out.Need != nil {
		stored, err := out.Need.Fetch(b.keeper)
		require.NoError(b.t, err)
		b.give(core.Input{Op: core.OpHistory, Stored: stored})
	}
	return out
}

// phone adds a phone that holds nothing and is not in touch.
func (b *bench) phone(name string) *phone {
	p := &phone{b: b, name: name}
	b.phones = append(b.phones, p)
	p.boot()
	return p
}

func (p *phone) boot() {
	p.peer, p.waiting = "", nil
	p.core = core.New(core.Config{Device: p.name, Key: "0a"})
	stored, err := core.ReadStored(core.AppendStored(nil, &p.stored))
	require.NoError(p.b.t, err)
	p.step(core.Input{Op: core.OpStart, Stored: stored, Lang: "en"})
	p.tap(`{"do":"crew","crew":"bo"}`)
}

// step steps the phone and keeps what must be kept. What it sends waits for flow.
func (p *phone) step(in core.Input) core.Outcome {
	in.Wall, in.Mono, in.Chance = p.b.now+p.off, p.b.now-int64(journaltest.Begun)+5000, p.b.fresh()
	out := p.core.Step(in)
	p.keep(&out)
	for _, m := range out.Send {
		p.waiting = append(p.waiting, m.Frame)
	}
	p.draws = append(p.draws, out.Draw...)
	if out.Ring != nil {
		p.rings = append(p.rings, out.Ring)
	}
	if out.Clock != nil {
		p.clock = out.Clock
	}
	for _, c := range out.Cut {
		p.cuts = append(p.cuts, c.Reason)
	}
	p.b.notes = append(p.b.notes, out.Notes...)
	p.wake = out.Wake
	return out
}

func (p *phone) keep(out *core.Outcome) {
	s := &p.stored
	if out.Base != nil {
		s.Base, s.Top = out.Base.State, nil
		s.Tail = slices.DeleteFunc(s.Tail, func(o core.Numbered) bool { return o.Seq != 0 })
		p.put(out.Base.Tail)
	}
	p.put(out.Keep)
	if out.Memory != nil {
		s.Memory = out.Memory
	}
	if out.Top != nil {
		s.Top = out.Top
	}
}

// put keeps records; one with an id that is there already replaces that.
func (p *phone) put(list []core.Numbered) {
	if len(list) == 0 {
		return
	}
	at := make(map[entry.ID]int, len(p.stored.Tail))
	for i, n := range p.stored.Tail {
		at[n.ID()] = i
	}
	for _, n := range list {
		if i, ok := at[n.ID()]; ok {
			p.stored.Tail[i] = n
			continue
		}
		at[n.ID()] = len(p.stored.Tail)
		p.stored.Tail = append(p.stored.Tail, n)
	}
}

// dial opens a line.
func (p *phone) dial() {
	p.b.dice++
	p.peer = fmt.Sprintf("%s#%d", p.name, p.b.dice)
	p.b.give(core.Input{Op: core.OpOpened, Peer: p.peer})
	p.step(core.Input{Op: core.OpOpened})
	p.b.flow()
}

// hang closes it.
func (p *phone) hang() {
	p.b.give(core.Input{Op: core.OpShut, Peer: p.peer})
	delete(p.b.live, p.peer)
	p.peer, p.waiting = "", nil
	p.step(core.Input{Op: core.OpShut})
}

// flow carries frames until nobody has anything to say.
func (b *bench) flow() {
	for range 1000 {
		var in []core.Input
		for _, p := range b.phones {
			if p.peer == "" {
				p.waiting = nil
				continue
			}
			for _, f := range p.waiting {
				forked, err := core.Forked(b.keeper, f)
				require.NoError(b.t, err)
				in = append(in, core.Input{Op: core.OpFrame, Peer: p.peer, Device: p.name, Frame: f, Forked: forked})
			}
			p.waiting = nil
		}
		if len(in) == 0 {
			return
		}
		b.give(in...)
	}
	b.t.Fatal("they never stop talking")
}

// pass lets time pass, with ticks every so often.
func (b *bench) pass(span stamp.Span, every stamp.Span) {
	for end := b.now + int64(span); b.now < end; {
		b.now = min(b.now+int64(every), end)
		for _, p := range b.phones {
			p.step(core.Input{Op: core.OpTick})
		}
		b.give(core.Input{Op: core.OpTick})
		b.flow()
	}
}

func (p *phone) tap(json string) core.Outcome {
	return p.step(core.Input{Op: core.OpTap, View: "page", Path: "/", Tap: []byte(json)})
}

func (p *phone) note(text string) {
	p.tap(string(wire.AppendJSON(nil, &kitchen.Command{Do: kitchen.DoNote, Place: "cold-room", Text: text})))
}

func (p *phone) waitingCount() int {
	n := 0
	for _, e := range p.stored.Tail {
		if e.Seq == 0 {
			n++
		}
	}
	return n
}

// find returns the record of the first entry of a kind in the kitchen's journal.
func (b *bench) find(kind entry.Kind) []byte {
	for n := range b.keeper.Since(0) {
		if e, _ := entry.ReadRecord(n.Record); e.Kind == kind {
			return n.Record
		}
	}
	b.t.Fatalf("no %s in the journal", kind)
	return nil
}

// same checks that all hold the same state, that it is that of the journal folded anew, and that nobody got there only
// because states were compared.
func (b *bench) same() {
	b.t.Helper()
	require.NotContains(b.t, strings.Join(b.notes, "\n"), "holds another state after the same entries")
	require.NotContains(b.t, strings.Join(b.notes, "\n"), "did not hold")
	var l journal.Log
	var s core.Stored
	for n, err := range b.keeper.Since(0) {
		require.NoError(b.t, err)
		s.Tail = append(s.Tail, n)
	}
	_, err := l.Load(&s)
	require.NoError(b.t, err)
	require.Equal(b.t, l.Bytes(), b.server.StateBytes(), "the server's state is not that of its journal")
	for _, p := range b.phones {
		require.Equal(b.t, b.server.StateBytes(), p.core.StateBytes(), "%s holds another state", p.name)
	}
}

func (b *bench) head() uint64 {
	head, err := b.keeper.Head()
	require.NoError(b.t, err)
	return head
}

// push sends records as a device would.
func (b *bench) push(p *phone, refill bool, records ...[]byte) core.Outcome {
	out := b.give(core.Input{Op: core.OpFrame, Peer: p.peer, Device: p.name,
		Frame: protocol.Make(&protocol.Push{Refill: refill, Records: records})})
	b.flow()
	return out
}

// holds tells whether the kitchen has an entry in its journal or set aside.
func (b *bench) holds(id entry.ID) bool {
	if _, ok, _ := b.keeper.Place(id); ok {
		return true
	}
	list, err := b.keeper.Aside()
	require.NoError(b.t, err)
	return slices.ContainsFunc(list, func(a core.Aside) bool { return len(a.Record) > 17 && entry.ID(a.Record[1:17]) == id })
}

// kitchen returns what a phone takes for kitchen time.
func (p *phone) kitchen() int64 {
	return p.clock.Kitchen + (p.b.now-int64(journaltest.Begun)+5000-p.clock.Mono)*p.clock.Pace
}
