package core

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/wire"
)

func unhex(s string) []byte {
	b, _ := wire.FromHex(s)
	return b
}

// entries takes entries that the server has committed.
func (c *Core) entries(f *protocol.Entries) {
	p := &c.phone
	end := f.Prev + uint64(len(f.Records))
	p.head = max(p.head, end)
	if len(f.Records) >= manyEntries {
		p.busyAt = c.mono
	}
	if f.Prev > c.mem.Have {
		c.fetch(c.mem.Have) // something is missing in between
		return
	}
	p.gap = false
	for i, record := range f.Records {
		if seq := f.Prev + 1 + uint64(i); seq > c.mem.Have {
			c.receive(Numbered{Seq: seq, Record: record})
		}
	}
	c.upTo(end)
}

// upTo notes that everything up to a number is held.
func (c *Core) upTo(seq uint64) {
	p := &c.phone
	c.mem.Have = max(c.mem.Have, seq)
	if c.mem.Have >= p.head {
		p.caught = true
		if c.mem.Old != "" && c.waiting() == 0 {
			c.mem.Old = "" // all is brought back
		}
	}
	p.changed, p.dirty, p.quiet = true, true, c.mono
}

// receive takes in one numbered entry.
func (c *Core) receive(n Numbered) {
	a, err := c.log.Add(n)
	if err == nil && a.Verdict == journal.Clash {
		// What the kitchen kept counts, on every device.
		c.note("an entry of this device has the id of another one that the kitchen kept first: ", a.Item.Entry.ID.String())
		c.log.Remove(a.Item.Entry.ID)
		a, err = c.log.Add(n)
	}
	c.out.Keep = append(c.out.Keep, n)
	if err != nil {
		c.note("number ", strconv.FormatUint(n.Seq, 10), " of the journal cannot be read; it is kept as it is")
		return
	}
	switch a.Verdict {
	case journal.New:
		c.stamps.Seen(a.Item.Entry.At, c.now)
		c.staleIf(!a.Need.IsZero())
	case journal.Late:
		c.numbered(a.Item.Entry.ID, n.Seq)
		c.staleIf(true)
	}
}

// numbered notes that an own entry is kept under a number.
func (c *Core) numbered(id entry.ID, seq uint64) {
	item := c.log.Get(id)
	if item == nil {
		if i := c.unsentIndex(id); i >= 0 {
			item = c.phone.unsent[i]
		}
	}
	if item == nil || item.Seq != 0 {
		return
	}
	item.Seq = seq
	c.out.Keep = append(c.out.Keep, item.Numbered())
	if held := c.log.Get(id) == item && seq <= c.mem.Have; held { // it is in the base, under another stamp
		c.log.Remove(id)
		c.staleIf(true)
	}
	c.phone.changed = true
}

// staleIf asks for a new base when something came that stands before the end of this device's own.
func (c *Core) staleIf(stale bool) {
	if !stale {
		return
	}
	c.mem.Stale, c.phone.dirty = true, true
}

// fetch asks for what is missing after a number; 0 asks for a base.
func (c *Core) fetch(have uint64) {
	p := &c.phone
	if !p.welcomed || p.fetching || p.gap && have > 0 {
		return
	}
	p.fetching, p.gap = have == 0, have > 0
	c.send("", &protocol.Fetch{Have: have})
}

// base takes over a base: it replaces everything held but own entries without a number.
func (c *Core) base(f *protocol.Base) {
	p := &c.phone
	p.fetching = false
	stored := Stored{Base: f.State, Tail: f.Tail}
	var check journal.Log
	if _, err := check.Load(&Stored{Base: f.State}); err != nil {
		c.note("the base that the kitchen sent cannot be read: ", err.Error())
		c.hangUp("base")
		return
	}
	last := check.Last()
	known := map[entry.ID]uint64{}
	for _, n := range f.Tail {
		if len(n.Record) > 17 {
			known[n.ID()] = n.Seq
		}
	}
	for _, item := range p.unsent {
		if seq, ok := known[item.Entry.ID]; ok {
			item.Seq = seq
		} else if item.Seq == 0 {
			stored.Tail = append(stored.Tail, Numbered{Record: item.Record})
		}
	}
	c.compact()
	for _, item := range p.apart {
		if _, ok := known[item.Entry.ID]; !ok {
			stored.Tail = append(stored.Tail, Numbered{Record: item.Record})
		}
	}
	c.out.Keep = nil // what came before in this step is in the base, or has no number and is kept again below
	for _, item := range p.unsent {
		c.out.Keep = append(c.out.Keep, item.Numbered())
	}
	c.load(&stored)
	c.out.Base = &Base{State: f.State, Last: last, Tail: f.Tail}
	c.mem.Have, c.mem.Stale = f.Head, false
	p.head = max(p.head, f.Head)
	if !last.IsZero() {
		c.stamps.Seen(last.At, c.now)
	}
	c.upTo(f.Head)
}

// compared takes the server's word on whether both hold the same state.
func (c *Core) compared(f *protocol.HashAnswer) {
	p := &c.phone
	if f.Same || f.Have != c.mem.Have || c.waiting() > 0 {
		return
	}
	c.note("this device's state differs from the kitchen's after the same entries; it is built anew")
	if p.rebuilt == 0 || c.mono-p.rebuilt > 600_000 {
		p.rebuilt = c.mono
		c.mem.Stale, p.dirty = true, true
	}
}

// When states are compared: so long after the last entry, and again so long after the last time, in ms.
const (
	compareAfter = 10_000
	compareEvery = 300_000
)

// compare asks the server to compare states, once in a while when all is quiet.
func (c *Core) compare() {
	p := &c.phone
	due := c.mem.Have != p.hashed || c.mono-p.hashAt >= compareEvery
	if !p.caught || c.mem.Stale || !due || c.mono-p.quiet < compareAfter || p.rules != c.fingerprint() || c.waiting() > 0 {
		return
	}
	p.hashed, p.hashAt = c.mem.Have, c.mono
	c.send("", &protocol.HashAsk{Have: c.mem.Have, Hash: c.log.Hash()})
}
