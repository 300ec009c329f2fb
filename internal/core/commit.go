package core

import (
	"maps"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// Checkpoints are made when no entry came for quietFor ms, or when the tail is tailFar times as long as it should be.
const (
	quietFor = 200
	tailFar  = 8
)

// commit ends a step of the server: it numbers the group, answers, sends each waiting peer what it lacks, and sends
// the group to all.
func (c *Core) commit() {
	s := &c.server
	before := s.head
	c.number()
	c.answerPeers()
	if s.need == nil {
		c.catchUp(before)
	} else {
		c.out.Need = s.need
	}
	c.sendItems("", before, s.group)
	c.showOut()
	c.tellNear()
	s.group, s.from = nil, nil
	c.checkpoint()
	if len(c.out.Keep) > 0 || s.changed {
		s.clock.Committed()
		c.mem.Committed = s.clock.Last()
		c.mem.StampAt, c.mem.StampCount = c.stamps.Last()
		c.mem.Have = s.head
		c.out.Memory, s.changed = c.mem.append(nil), false
	}
}

// number gives the group its numbers.
func (c *Core) number() {
	s := &c.server
	for i, item := range s.group {
		s.head++
		item.Seq = s.head
		if p := s.from[i]; p != nil && !p.live { // a base may come instead of the entry itself
			p.kept = append(p.kept, protocol.KeptEntry{Seq: item.Seq, ID: item.Entry.ID})
		}
		c.out.Keep = append(c.out.Keep, item.Numbered())
		s.recent = append(s.recent, item)
		c.void(item)
		if item.Entry.Kind == entry.DeviceRevoked {
			c.out.Revoked = append(c.out.Revoked, c.revokedBy(item)...)
		}
	}
	if len(s.group) > 0 {
		s.base = nil
	}
}

// void says that checkpoints no longer hold which end after an entry, or after what it amends.
func (c *Core) void(item *journal.Item) {
	s := &c.server
	place := c.log.From(item)
	if place.Compare(s.shelved) > 0 {
		return
	}
	if c.out.Void == nil || place.Compare(*c.out.Void) < 0 {
		c.out.Void = &place
	}
	s.shelved = place
}

func (c *Core) revokedBy(item *journal.Item) []string {
	if b, err := item.Entry.Open(); err == nil {
		if device := b.(*entry.Revocation).Device; c.server.gone[device] == item.Place() {
			return []string{device}
		}
	}
	return nil
}

// answerPeers tells each peer what became of what it pushed.
func (c *Core) answerPeers() {
	for _, p := range c.server.peers {
		if p.name == "" {
			continue // it was cut in this step
		}
		for _, reason := range slices.Sorted(maps.Keys(p.aside)) {
			c.send(p.name, &protocol.SetAside{Reason: reason, IDs: p.aside[reason]})
		}
		p.aside = nil
		kept := &p.answer
		if !p.live {
			p.kept = append(p.kept, p.answer...)
			kept = &p.kept
		}
		// Who still brings what it announced hears at once what of it is kept: the line may break before the last of it.
		if len(*kept) > 0 && (p.live || p.pushing) {
			c.send(p.name, &protocol.Kept{List: *kept})
			*kept = nil
		}
		p.answer = nil
	}
}

// goneText is what a revoked device is told.
const goneText = "this device no longer belongs to the kitchen"

// showOut says goodbye to peers whose device was revoked.
func (c *Core) showOut() {
	for _, p := range c.server.peers {
		if p.hello && !p.pushing && c.shutOut(p) {
			c.cut(p, protocol.ByeRevoked, goneText)
		}
	}
	c.server.peers = slices.DeleteFunc(c.server.peers, func(p *peer) bool { return p.name == "" })
}

// cut says goodbye to a peer and has it closed, once: what is sent to nobody by name goes to all.
func (c *Core) cut(p *peer, reason, text string) {
	if p.name == "" {
		return
	}
	c.send(p.name, &protocol.Bye{Reason: reason, Text: text})
	c.out.Cut = append(c.out.Cut, Cut{Peer: p.name, Reason: reason})
	p.name, p.live, p.wants = "", false, false
	c.server.near.due = true
}

// catchUp sends every peer that wants it what it lacks, and makes it live. Entries up to before are sent; the group of
// this step goes to all.
func (c *Core) catchUp(before uint64) {
	for _, p := range c.server.peers {
		if !p.wants {
			continue
		}
		p.wants = false
		from := p.have
		if p.base || p.have < c.server.low || before-p.have > c.catchUpMost() {
			c.sendBase(p)
		} else {
			c.sendEntries(p, before)
			p.kept = slices.DeleteFunc(p.kept, func(k protocol.KeptEntry) bool { return k.Seq > from }) // those come back
		}
		if len(p.kept) > 0 {
			c.send(p.name, &protocol.Kept{List: p.kept})
		}
		p.kept = nil
		if !p.live {
			p.live = true
			c.out.Live = append(c.out.Live, p.name)
		}
	}
}

// catchUpMost is how many entries a device may lack to be sent them one by one; beyond, a base is smaller.
func (c *Core) catchUpMost() uint64 {
	_, most := c.cfg.tail()
	return uint64(most)
}

// Bounds of one frame of entries: records in a catch-up, and bytes in any, so that no flood of documents makes a frame
// that devices do not read or lines do not queue.
const (
	framesOf    = 512
	framesBytes = 4 << 20
)

func (c *Core) sendEntries(p *peer, upTo uint64) {
	s := &c.server
	for p.have < upTo {
		items := s.recent[p.have-s.low : min(upTo, p.have+framesOf)-s.low]
		c.sendItems(p.name, p.have, items)
		p.have += uint64(len(items))
	}
}

// sendItems sends entries that follow number prev.
func (c *Core) sendItems(peer string, prev uint64, items []*journal.Item) {
	f, size := protocol.Entries{Prev: prev}, 0
	for _, item := range items {
		if size+len(item.Record) > framesBytes && size > 0 {
			c.send(peer, &f)
			f, size = protocol.Entries{Prev: f.Prev + uint64(len(f.Records))}, 0
		}
		f.Records, size = append(f.Records, item.Record), size+len(item.Record)
	}
	if len(f.Records) > 0 {
		c.send(peer, &f)
	}
}

// sendBase sends a base with its tail, the same bytes to all who ask while nothing changes.
func (c *Core) sendBase(p *peer) {
	s := &c.server
	if s.base == nil || s.baseAt != s.head {
		least, _ := c.cfg.tail()
		f, size := c.makeBase(least)
		for ; size > baseBytes && least > 0; least /= 2 {
			f, size = c.makeBase(least / 2)
		}
		s.base, s.baseAt = protocol.Make(f), s.head
	}
	c.out.Send = append(c.out.Send, Message{Peer: p.name, Frame: s.base})
	p.have = s.head
}

// baseBytes is how large the tail of a base may be, in bytes, before a shorter one is taken: devices read no frame beyond
// protocol.DownMax.
const baseBytes = protocol.DownMax / 4

// makeBase makes a base with about so many entries after it, and says how large these are.
func (c *Core) makeBase(least int) (f *protocol.Base, size int) {
	base, from := c.log.Cut(least, c.now.Add(stamp.LeadMax))
	f = &protocol.Base{Head: c.server.head, State: base}
	for _, item := range c.log.Tail()[from:] {
		f.Tail, size = append(f.Tail, item.Numbered()), size+len(item.Record)
	}
	return f, size
}

// checkpoint moves the base on when the tail has grown and the kitchen is quiet.
func (c *Core) checkpoint() {
	s := &c.server
	n := c.log.Len()
	least, most := c.cfg.holds()
	if n < most || s.need != nil || len(c.out.Keep) > 0 {
		if n >= most {
			c.wakeAt(c.wall + quietFor)
		}
		return
	}
	if c.wall-s.busyAt < quietFor && n < tailFar*most {
		c.wakeAt(s.busyAt + quietFor)
		return
	}
	b := c.log.Advance(least, most, c.now.Add(stamp.LeadMax))
	if b == nil {
		return
	}
	if b.Last.Compare(s.shelved) > 0 {
		s.shelved = b.Last
	}
	c.out.Base, s.changed = b, true
	if over := len(s.recent) - 2*most; over > 0 {
		s.recent = slices.Clone(s.recent[over:])
		s.low += uint64(over)
	}
}
