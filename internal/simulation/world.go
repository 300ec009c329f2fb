// Package simulation runs a whole kitchen in one goroutine out of one seed: the server, its phones, their clocks that
// are wrong and drift and jump, links that delay and break and fall silent, restarts, and power cuts between any two
// steps that lose whatever was not durable. Only time, chance and storage are replaced; every rule is the real one.
//
// The same seed gives the same run. What must hold is checked while it runs and whenever it has come to rest.
package simulation

import (
	"cmp"
	"container/heap"
	"fmt"
	"math/rand/v2"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/journaltest"
)

// Options say what a kitchen is put through.
type Options struct {
	Seed   uint64
	Phones int
	Trouble
	Folder              string // the server keeps its journal with SQLite in this folder; empty: in memory
	Taps                int64  // mean time between two taps on one phone, ms; 0: Taps
	TailLeast, TailMost int    // how short the journal's tails are kept; 0: as in a real kitchen
}

// Trouble is how often something goes wrong. All are mean times between two such events, in ms of true time; 0: never.
type Trouble struct {
	LinkBreaks int64 // one link closes, seen at both ends
	LinkSilent int64 // one link carries nothing any more, and nobody is told
	PowerCut   int64 // one device, or the server, stops between two steps
	ClockSet   int64 // one device's wall clock is set wrong, by up to ClockOff
	Sleep      int64 // a phone is frozen for a while
	Revoke     int64 // a device is revoked, and paired again later
	Restore    int64 // the server's journal, in memory, is replaced by a backup
	Empty      int64 // the server's journal is lost altogether
	HalfOpen   int64 // one link is gone for the phone, and the server does not know
	Swizzle    int64 // links are stopped one by one and come back in another order
	Slow       int64 // one phone's link takes seconds for a while
	Twice      int64 // a phone pushes once more what it pushed last
	PhoneFull  int64 // a phone's storage is full for a while
	ServerFull int64 // the server's disk is full for a while
	OldStore   int64 // a phone's store is replaced by an older copy of itself
	Wiped      int64 // a phone's store is emptied
	Boot1970   int64 // the server restarts with a clock that has lost the time
	ClockOff   int64 // ms by which clocks are wrong at most
	DriftPPM   int64 // by which clocks run fast or slow at most
}

// Taps is the usual mean time between two taps on one phone, in ms: a rush, so that much happens in little time.
const Taps = 20_000

// Kitchen is a simulated kitchen.
type Kitchen struct {
	opt     Options
	rand    *rand.Rand
	now     int64 // true time, ms since the start
	order   uint64
	events  queue
	server  *server
	phones  []*phone
	calm    bool // no trouble, no taps
	failure error
	seen    map[entry.ID]bool // entries that were durable on a phone
	got     map[string]bool   // bells that were answered
	mangle  func(phone string, ring []byte) []byte
	Made    int            // entries made by taps
	Steps   int            // of all cores
	Events  map[string]int // what happened, by kind
}

type event struct {
	at    int64
	order uint64
	do    func()
}

type queue []event

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].at < q[j].at || q[i].at == q[j].at && q[i].order < q[j].order
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

// Push implements heap.Interface.
func (q *queue) Push(x any) { *q = append(*q, x.(event)) }

// Pop implements heap.Interface.
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// New opens a kitchen with its server running and its phones on.
func New(opt Options) *Kitchen {
	k := &Kitchen{opt: opt, rand: rand.New(rand.NewPCG(opt.Seed, 1)), seen: map[entry.ID]bool{}, got: map[string]bool{},
		Events: map[string]int{}}
	k.server = newServer(k)
	for i := range opt.Phones {
		k.phones = append(k.phones, newPhone(k, i))
	}
	k.server.begin()
	for _, p := range k.phones {
		p.boot()
	}
	k.trouble()
	return k
}

// at has something done in so many ms of true time.
func (k *Kitchen) at(in int64, do func()) {
	k.order++
	heap.Push(&k.events, event{k.now + max(in, 0), k.order, do})
}

// Run lets so much true time pass. It stops at the first thing that must not be.
func (k *Kitchen) Run(span stamp.Span) error {
	end := k.now + int64(span)
	for len(k.events) > 0 && k.events[0].at <= end && k.failure == nil {
		e := heap.Pop(&k.events).(event)
		k.now = e.at
		e.do()
	}
	k.now = max(k.now, end)
	return k.failure
}

// fail notes what must not be.
func (k *Kitchen) fail(format string, args ...any) {
	if k.failure == nil {
		k.failure = fmt.Errorf("seed %d, after %d s: "+format, append([]any{k.opt.Seed, k.now / 1000}, args...)...)
	}
}

// between returns a random number from low to high, both included.
func (k *Kitchen) between(low, high int64) int64 {
	if high <= low {
		return low
	}
	return low + k.rand.Int64N(high-low+1)
}

// one tells whether a chance of one in n came up.
func (k *Kitchen) one(n int) bool { return k.rand.IntN(n) == 0 }

// soon returns a random time whose mean is mean.
func (k *Kitchen) soon(mean int64) int64 { return 1 + int64(k.rand.ExpFloat64()*float64(mean)) }

func (k *Kitchen) chance() (c [32]byte) {
	for i := 0; i < 32; i += 8 {
		copy(c[i:], wire.Fixed64(k.rand.Uint64()))
	}
	return c
}

func (k *Kitchen) generation() string {
	var chance [10]byte
	copy(chance[:], wire.Fixed64(k.rand.Uint64()))
	return entry.NewID(journaltest.Begun+stamp.Milli(k.now), chance).String()
}

// clocks are the two clocks of one device.
type clocks struct {
	k      *Kitchen
	off    int64 // of the wall clock
	ppm    int64
	booted int64 // true time at which the steady clock was 0
	asleep int64 // ms for which the steady clock stood still
}

func (k *Kitchen) newClocks() clocks {
	c := clocks{k: k, ppm: k.between(-k.opt.DriftPPM, k.opt.DriftPPM)}
	c.set()
	return c
}

// set makes the wall clock wrong.
func (c *clocks) set() { c.off = c.k.between(-c.k.opt.ClockOff, c.k.opt.ClockOff) }

func (c *clocks) wall() int64 {
	return int64(journaltest.Begun) + c.k.now + c.k.now*c.ppm/1_000_000 + c.off
}

func (c *clocks) mono() int64 {
	past := c.k.now - c.booted - c.asleep
	return 1000 + past + past*c.ppm/1_000_000
}

// trouble has things go wrong, each at its own pace.
func (k *Kitchen) trouble() {
	t := &k.opt.Trouble
	k.often("link breaks", t.LinkBreaks, func() { k.phone().breakLink() })
	k.often("link silent", t.LinkSilent, func() { k.phone().silence() })
	k.often("power cut", t.PowerCut, k.powerCut)
	k.often("clock set", t.ClockSet, k.clockSet)
	k.often("sleep", t.Sleep, func() { k.phone().sleep(k.between(1000, 40*60_000)) })
	k.often("revoke", t.Revoke, func() { k.server.revoke(k.phone()) })
	k.often("restore", t.Restore, func() { k.server.restore() })
	k.often("empty", t.Empty, func() { k.server.lose() })
	k.often("half-open link", t.HalfOpen, func() { k.phone().halfOpen() })
	k.often("swizzle", t.Swizzle, k.swizzle)
	k.often("slow link", t.Slow, func() { k.phone().crawl() })
	k.often("pushed twice", t.Twice, func() { k.phone().twice() })
	k.often("phone full", t.PhoneFull, func() { k.phone().fill() })
	k.often("server full", t.ServerFull, k.server.fill)
	k.often("older store", t.OldStore, func() { k.phone().age() })
	k.often("store wiped", t.Wiped, func() { k.phone().wipe() })
	k.often("boot in 1970", t.Boot1970, k.server.boot1970)
	k.every(listenEvery, k.listen)
	for _, p := range k.phones {
		k.often("tap", cmp.Or(k.opt.Taps, Taps), p.tap)
	}
}

func (k *Kitchen) often(kind string, mean int64, do func()) {
	if mean == 0 {
		return
	}
	k.at(k.soon(mean), func() {
		if !k.calm {
			k.Events[kind]++
			do()
		}
		k.often(kind, mean, do)
	})
}

// every does something again and again.
func (k *Kitchen) every(ms int64, do func()) {
	k.at(ms, func() {
		do()
		k.every(ms, do)
	})
}

func (k *Kitchen) phone() *phone { return k.phones[k.rand.IntN(len(k.phones))] }

func (k *Kitchen) powerCut() {
	if k.one(len(k.phones) + 1) {
		k.server.crash()
	} else {
		k.phone().crash()
	}
}

func (k *Kitchen) clockSet() {
	if k.one(len(k.phones) + 1) {
		k.server.set()
	} else {
		k.phone().set()
	}
}
