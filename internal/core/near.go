package core

import (
	"bytes"

	"brinebell/internal/core/protocol"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/wire"
)

// Who is in touch with the kitchen, what their devices can do about ringing, and who holds them. It is told while it is
// so and forgotten: none of it is an entry, and no state depends on it.

// near is what the kitchen knows of who is in touch.
type near struct {
	rows   []protocol.Row
	told   []byte // the frame that all live devices were sent
	due    bool   // something may have changed since
	next   int64  // steady clock before which nothing more is told
	silent int64  // steady clock when the next device will have been silent too long; 0: none can
}

// here takes what a device says of itself.
func (c *Core) here(p *peer, f *protocol.Near) {
	p.here = protocol.Row{}
	if len(f.Rows) != 1 || wire.Read(f.Rows[0], &p.here) != nil {
		c.cut(p, protocol.ByeFrame, "a device speaks for itself")
		return
	}
	if c.log.State().Member(p.here.Crew) == nil {
		p.here.Crew = "" // what goes on to all is of the kitchen, and small
	}
	c.server.near.due = true
}

// tellNear tells all devices who is in touch, when that has changed or somebody is new, and at most once in NearEvery.
func (c *Core) tellNear() {
	n := &c.server.near
	if n.due || n.silent != 0 && c.mono >= n.silent {
		n.due = true
		if c.mono >= n.next {
			n.due, n.next = false, c.mono+int64(protocol.NearEvery)
			c.lookNear()
			c.sendNear()
		}
	}
	if n.due {
		c.wakeAt(c.wall + n.next - c.mono)
	}
	if n.silent != 0 {
		c.wakeAt(c.wall + n.silent - c.mono)
	}
}

// lookNear works out who is in touch. A device that is frozen sends nothing, though its line stays open.
func (c *Core) lookNear() {
	n := &c.server.near
	n.silent = 0
	for i := range n.rows {
		if r := &n.rows[i]; r.Since == 0 {
			r.Since = c.now // unless it is found below
		}
	}
	for _, p := range c.server.peers {
		if !p.hello || c.shutOut(p) {
			continue
		}
		until := p.heard + int64(protocol.SilentAfter)
		if p.silent = c.mono >= until; p.silent {
			continue
		}
		if n.silent == 0 || until < n.silent {
			n.silent = until
		}
		r := n.row(p.device)
		*r = p.here
		r.Device, r.Since = p.device, 0
	}
}

// row returns the row of a device, which may be a new one. When there are too many, those who are gone are forgotten.
func (n *near) row(device string) *protocol.Row {
	for i := range n.rows {
		if n.rows[i].Device == device {
			return &n.rows[i]
		}
	}
	if len(n.rows) >= protocol.NearMost {
		var in []protocol.Row
		for _, r := range n.rows {
			if r.Since == 0 {
				in = append(in, r)
			}
		}
		n.rows = in
	}
	n.rows = append(n.rows, protocol.Row{})
	return &n.rows[len(n.rows)-1]
}

// sendNear sends all rows to all live devices that understand them.
func (c *Core) sendNear() {
	s := &c.server
	var f protocol.Near
	for i := range s.near.rows {
		f.Rows = append(f.Rows, wire.Append(nil, &s.near.rows[i]))
	}
	frame, fresh, old := protocol.Make(&f), false, false
	for _, p := range s.peers {
		if p.live {
			fresh, p.told = fresh || !p.told, true
			old = old || p.version < protocol.VersionNear
		}
	}
	if !fresh && bytes.Equal(frame, s.near.told) {
		return
	}
	s.near.told = frame
	if !old {
		c.out.Send = append(c.out.Send, Message{Frame: frame})
		return
	}
	for _, p := range s.peers {
		if p.live && p.version >= protocol.VersionNear {
			c.out.Send = append(c.out.Send, Message{Peer: p.name, Frame: frame})
		}
	}
}

// sayHere tells the kitchen what this device can do and who holds it, when that has changed, and at most once in
// NearEvery.
func (c *Core) sayHere() {
	p := &c.phone
	r := protocol.Row{Crew: c.mem.Crew}
	for i, can := range [...]bool{p.able.Known, p.able.Sound, p.able.Visible, p.able.Heard} {
		if can {
			r.Can |= screen.CanTell << i
		}
	}
	switch here := wire.Append(nil, &r); {
	case bytes.Equal(here, p.here) || p.speaks < protocol.VersionNear:
	case c.mono < p.hereNext:
		c.wakeAt(c.wall + p.hereNext - c.mono)
	default:
		p.here, p.hereNext = here, c.mono+int64(protocol.NearEvery)
		c.send("", &protocol.Near{Rows: [][]byte{here}})
	}
}

// heardNear takes what the kitchen says of who is in touch.
func (c *Core) heardNear(f *protocol.Near) {
	p := &c.phone
	p.near, p.nearTold, p.changed = nil, true, true
	for _, row := range f.Rows {
		var r protocol.Row
		if wire.Read(row, &r) == nil {
			p.near = append(p.near, screen.Near(r))
		}
	}
}
