package core

import (
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
)

// phone is what a device's core knows while it runs.
type phone struct {
	open     bool // the line to the server is open
	welcomed bool // and the server has answered
	caught   bool // and has sent all that it had
	fetching bool // a base was asked for
	gap      bool // entries were asked for that are missing in between
	head     uint64
	heard    int64 // steady clock when something last came; at opening the time of that
	helloAt  int64
	announce bool              // the hello said that there is something to push
	rules    string            // the server's fingerprint
	unsent   []*journal.Item   // own entries without a number, oldest first
	apart    []*journal.Item   // set aside by the kitchen: held, not in the log
	sent     map[entry.ID]bool // of them, what went out on this line
	asks     int
	askAt    int64
	clock    Clock // as handed out last
	hashed   uint64
	hashAt   int64
	quiet    int64 // steady clock when entries last came or went
	topAt    int64 // steady clock before which no top is kept
	rebuilt  int64 // steady clock when a base was last fetched because hashes differed
	lang     string
	able     screen.Ability
	ableFrom stamp.Milli // it steps without a pause since then
	wake     int64       // wall clock by which it asked to be stepped; 0: it did not
	views    []*view
	ring     []byte
	last     *screen.Tap
	code     screen.Code
	changed  bool        // something that screens show
	dirty    bool        // the memory must be kept
	nextAt   stamp.Milli // when a screen or bell changes by itself
	held     int64       // steady clock since which drawing waits for the rest to come in; 0: it does not
	busyAt   int64       // steady clock when a frame with many entries came
	speaks   uint32      // version of the frames on this line
	here     []byte      // what it said of itself on this line
	hereNext int64       // steady clock before which nothing more is said of it
	near     []screen.Near
	nearTold bool            // on this line: what is in near is so now
	night    *night          // practice, on a core that does nothing else
	plans    *planRun        // thought about the plan, on a core that does nothing else
	planned  *screen.Planned // what this device's planner has come to
}

// carry takes an input of a phone.
func (c *Core) carry(in *Input) {
	if c.phone.night != nil || in.Op == OpNight {
		c.nightCarry(in)
		return
	}
	if in.Op == OpPlan {
		c.planCarry(in)
		return
	}
	c.tell(in)
	switch in.Op {
	case OpPlanned:
		c.planTake(in)
	case OpStart:
		c.start(in)
	case OpLook:
		c.look(in)
	case OpClose:
		c.closeView(in.View)
	case OpTap:
		c.tap(in)
	case OpOpened:
		c.opened()
	case OpShut:
		c.shut()
	case OpFrame:
		c.frame(in.Frame)
	case OpAbility:
		c.ability(in.Ability)
	case OpLog:
		c.takeLog(in)
	case OpState:
		out := c.log.Bytes()
		c.out.Base = &Base{State: out}
	}
}

// start begins from what the device holds.
func (c *Core) start(in *Input) {
	stored := in.Stored
	if stored == nil {
		stored = &Stored{}
	}
	mem, ok := readMemory(stored.Memory)
	if !ok {
		c.note("the memory of this device cannot be read; it begins anew")
		mem.Stale = true
	}
	c.mem = mem
	c.mem.Clock.Resume(c.wall, c.mono)
	c.now = c.mem.Clock.At(c.mono)
	c.stamps.Resume(mem.StampAt, mem.StampCount)
	c.doubt()
	c.phone.lang, c.phone.ableFrom, c.phone.topAt = in.Lang, c.now, c.mono+topAfter
	c.load(stored)
	for _, item := range c.log.Tail() {
		if item.Entry.At.Device == c.cfg.Device {
			c.stamps.Seen(item.Entry.At, c.now)
		}
	}
	c.phone.changed = true
}

// load takes over a base and the entries after it, and finds out which of them the kitchen has not kept yet.
func (c *Core) load(s *Stored) {
	rest, ok := []Numbered(nil), false
	if c.again {
		rest, ok = c.log.GoOn(s)
		c.again = false
	}
	var err error
	if !ok {
		rest, err = c.log.Load(s)
	}
	if err != nil {
		c.note("the base of this device cannot be read; it is fetched anew: ", err.Error())
		c.mem.Have, c.mem.Stale = 0, true
		rest, _ = c.log.Load(&Stored{Tail: s.Tail})
	}
	p := &c.phone
	p.unsent, p.apart = nil, nil
	for _, item := range c.log.Tail() {
		if item.Seq == 0 && !slices.Contains(c.mem.Aside, item.Entry.ID) {
			p.unsent = append(p.unsent, item)
		}
	}
	c.mem.Aside = slices.DeleteFunc(c.mem.Aside, func(id entry.ID) bool {
		item := c.log.Get(id)
		if item != nil && item.Seq == 0 {
			p.apart = append(p.apart, item)
			c.log.Remove(id)
		}
		return item != nil && item.Seq != 0 // the kitchen took it in after all
	})
	for _, n := range rest {
		c.stray(n)
	}
	if c.log.Resume(s.Top) != nil {
		bare := *s
		bare.Top = nil
		c.load(&bare)
	}
}

// stray keeps an entry in mind that the log could not take: one without a number is pushed all the same.
func (c *Core) stray(n Numbered) {
	e, err := entry.ReadRecord(n.Record)
	if err != nil {
		c.note("a kept record cannot be read and is left as it is: ", err.Error())
		return
	}
	item := &journal.Item{Entry: e, Record: n.Record}
	switch p := &c.phone; {
	case n.Seq != 0:
	case slices.Contains(c.mem.Aside, e.ID):
		p.apart = append(p.apart, item)
	default:
		p.unsent = append(p.unsent, item)
	}
}

// waiting returns how many entries the kitchen has not kept yet.
func (c *Core) waiting() int {
	c.compact()
	return len(c.phone.unsent)
}

// compact drops from the unsent those that have a number by now.
func (c *Core) compact() {
	p := &c.phone
	p.unsent = slices.DeleteFunc(p.unsent, func(i *journal.Item) bool { return i.Seq != 0 })
}

// opened greets the server on a new line.
func (c *Core) opened() {
	c.shut()
	p := &c.phone
	p.open, p.heard, p.helloAt = true, c.mono, c.mono
	p.announce = c.waiting() > 0
	held, last := c.lastHeld()
	h := protocol.Hello{Version: protocol.Version, Fingerprint: c.fingerprint(), Device: c.cfg.Device,
		Key: unhex(c.cfg.Key), Generation: c.mem.Generation, Have: c.mem.Have, Unsent: uint64(len(p.unsent)),
		Kitchen: c.now, Bound: c.mem.Clock.Bound(c.mono), Held: held, Last: last}
	if c.mem.Old != "" {
		h.Generation = c.mem.Old
	}
	if c.mem.Stale {
		h.Have = 0
	}
	c.send("", &h)
}

// shut takes note that the line is gone.
func (c *Core) shut() {
	p := &c.phone
	if p.open {
		c.mem.OutSince, p.dirty = c.now, true
	}
	p.open, p.welcomed, p.caught, p.fetching, p.gap, p.announce = false, false, false, false, false, false
	p.sent = map[entry.ID]bool{}
	p.asks, p.askAt, p.heard = 0, 0, 0
	p.here, p.nearTold = nil, false
	p.changed = true
}

// frame takes what the server says.
func (c *Core) frame(src []byte) {
	p := &c.phone
	if !p.open {
		return // of a line that was given up
	}
	if protocol.PassOver(src) {
		p.heard = c.mono
		return
	}
	f, err := protocol.Read(src)
	if err != nil {
		c.note("the kitchen sent what cannot be read: ", err.Error())
		c.hangUp("frame")
		return
	}
	p.heard = c.mono
	if w, ok := f.(*protocol.Welcome); ok && !p.welcomed {
		c.welcome(w)
		return
	}
	if bye, ok := f.(*protocol.Bye); ok {
		c.bye(bye)
		return
	}
	if !p.welcomed && !c.mem.Revoked {
		c.hangUp("order")
		return
	}
	c.said(f)
}

// said takes a frame on a line that has been greeted.
func (c *Core) said(f protocol.Frame) {
	switch f := f.(type) {
	case *protocol.Entries:
		c.entries(f)
	case *protocol.Base:
		c.base(f)
	case *protocol.Kept:
		for _, k := range f.List {
			c.numbered(k.ID, k.Seq)
		}
	case *protocol.ClockAnswer:
		c.answered(f.T1, f.T2, f.T3, f.Pace)
	case *protocol.PaceSet:
		c.mem.Clock.SetPace(f.Kitchen, f.Pace, c.wall, c.mono)
		c.now = c.mem.Clock.At(c.mono)
		c.phone.asks, c.phone.askAt, c.phone.changed = 0, c.mono, true
	case *protocol.HashAnswer:
		c.compared(f)
	case *protocol.Code:
		c.phone.code = screen.Code{Text: f.Code, URL: f.URL, Until: f.Until}
		c.phone.changed = true
	case *protocol.SetAside:
		c.setAside(f)
	case *protocol.Near:
		c.heardNear(f)
	default:
		c.note("the kitchen sent a ", f.Type().String(), " frame, which only devices send")
		c.hangUp("order")
	}
}

// hangUp gives the line up; the shell dials anew.
func (c *Core) hangUp(reason string) {
	c.out.Cut = append(c.out.Cut, Cut{Reason: reason})
	c.shut()
}

func (c *Core) bye(f *protocol.Bye) {
	reason := f.Reason
	if reason == protocol.ByeRevoked {
		c.mem.Revoked, c.phone.dirty = true, true
		if c.waiting() > 0 { // it comes back to hand them over; only then may the shell wipe what it holds
			reason = "waiting"
		}
	}
	c.note("the kitchen closed the line: ", f.Reason, " ", f.Text)
	c.hangUp(reason)
}

// welcome is the server's answer to the hello.
func (c *Core) welcome(w *protocol.Welcome) {
	p := &c.phone
	if w.Version < protocol.VersionOldest || w.Version > protocol.Version {
		c.note("the kitchen speaks version ", strconv.Itoa(int(w.Version)), " of the frames: update this app")
		c.hangUp(protocol.ByeVersion)
		return
	}
	p.welcomed = !w.Revoked // else nothing but what was announced is said on this line
	p.head, p.rules, p.speaks = w.Head, w.Fingerprint, w.Version
	c.mem.OutSince, c.mem.Revoked, p.dirty, p.changed = 0, w.Revoked, true, true
	c.answered(p.helloAt, w.Kitchen, w.Kitchen, w.Pace)
	p.askAt = c.mono
	if w.Revoked {
		if p.announce {
			c.push(true) // all of it is set aside; then the kitchen closes the line
		}
		return
	}
	if held, _ := c.lastHeld(); w.Generation != c.mem.Generation || w.Head < held || w.Forked {
		c.regenerate(w.Generation)
	}
	p.caught = c.mem.Have >= w.Head && !p.announce
	if refill := c.mem.Old != ""; refill || p.announce {
		if base := c.log.BaseBytes(); refill && base != nil {
			c.send("", &protocol.Offer{State: base}) // the shell packs it
		}
		c.push(true)
	}
}

// older marks the generation of a journal that an older copy of itself has replaced, so that it is told from the copy's.
const older = "+"

// regenerate meets a journal that has begun anew, or was restored from a backup: what this device holds is pushed
// again, all of it, and what it has does not count.
func (c *Core) regenerate(generation string) {
	if c.mem.Generation != "" && c.mem.Old == "" && (c.mem.Have > 0 || c.log.Len() > 0) {
		c.mem.Old = c.mem.Generation
		if c.mem.Old == generation {
			c.mem.Old += older
		}
	}
	c.mem.Generation, c.mem.Have = generation, 0
	if c.mem.Old != "" && c.log.State().Demo {
		c.forget()
		return
	}
	if c.mem.Old == "" {
		return
	}
	c.note("the kitchen's journal has begun anew or was restored: bringing back what this device holds")
	stored := Stored{Base: c.log.BaseBytes()}
	for _, item := range c.log.Tail() {
		stored.Tail = append(stored.Tail, Numbered{Record: item.Record})
	}
	for _, item := range slices.Concat(c.phone.unsent, c.phone.apart) {
		if c.log.Get(item.Entry.ID) == nil {
			stored.Tail = append(stored.Tail, Numbered{Record: item.Record})
		}
	}
	c.out.Base = &Base{State: stored.Base, Last: c.log.Last(), Tail: stored.Tail}
	c.mem.Aside = nil // what was set aside may be lost with the journal: the new one is asked again
	c.load(&stored)
}

// forget drops all that was held of a demo kitchen that has begun anew.
func (c *Core) forget() {
	c.mem.Old, c.mem.Stale, c.mem.Aside = "", true, nil
	for _, item := range c.phone.unsent {
		c.mem.Aside = append(c.mem.Aside, item.Entry.ID)
	}
	c.phone.announce = true // the kitchen waits for the end of a refill that does not come
	c.out.Base = &Base{}
	c.load(&Stored{})
}

// push sends what was not sent on this line. With last, it ends what the hello announced.
func (c *Core) push(last bool) {
	p := &c.phone
	c.compact()
	f, size := protocol.Push{}, 0
	flush := func(last bool) {
		f.Refill, f.Last = c.mem.Old != "", last
		c.send("", &f)
		f, size = protocol.Push{}, 0
	}
	for _, item := range p.unsent {
		if p.sent[item.Entry.ID] {
			continue
		}
		n := len(item.Record)
		if len(f.Records) == protocol.PushRecords || len(f.Records) > 0 && size+n > protocol.PushBytes {
			flush(false)
		}
		f.Records, size = append(f.Records, item.Record), size+n
		p.sent[item.Entry.ID] = true
	}
	if last || len(f.Records) > 0 {
		flush(last)
	}
	if n := len(c.mem.Unsure); n > 0 {
		c.mem.Unsure = slices.DeleteFunc(c.mem.Unsure, func(id entry.ID) bool { return p.sent[id] })
		p.dirty = p.dirty || len(c.mem.Unsure) < n
	}
}

// setAside takes note that the kitchen did not take in some entries of this device.
func (c *Core) setAside(f *protocol.SetAside) {
	c.note(strconv.Itoa(len(f.IDs)), " entries were set aside by the kitchen: ", f.Reason)
	for _, id := range f.IDs {
		if i := c.unsentIndex(id); i >= 0 {
			c.phone.apart = append(c.phone.apart, c.phone.unsent[i])
			c.phone.unsent = slices.Delete(c.phone.unsent, i, i+1)
			c.mem.Aside = append(c.mem.Aside, id)
			c.log.Remove(id)
		}
	}
	c.phone.changed, c.phone.dirty = true, true
}

func (c *Core) unsentIndex(id entry.ID) int {
	return slices.IndexFunc(c.phone.unsent, func(i *journal.Item) bool { return i.Entry.ID == id })
}
