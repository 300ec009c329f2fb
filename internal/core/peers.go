package core

import (
	"slices"

	"brinebell/internal/core/protocol"
)

// peer returns the connection called name, or nil.
func (c *Core) peer(name string) *peer {
	if i := slices.IndexFunc(c.server.peers, func(p *peer) bool { return p.name == name }); i >= 0 && name != "" {
		return c.server.peers[i]
	}
	return nil
}

// meet takes note of a new connection.
func (c *Core) meet(name string) *peer {
	c.part(name)
	p := &peer{name: name}
	c.server.peers = append(c.server.peers, p)
	return p
}

// part takes note that a connection is gone.
func (c *Core) part(name string) {
	c.server.peers = slices.DeleteFunc(c.server.peers, func(p *peer) bool { return p.name == name })
	c.server.near.due = true
}

// hear takes what a peer says.
func (c *Core) hear(in *Input) {
	p := c.peer(in.Peer)
	if p == nil {
		p = c.meet(in.Peer)
	}
	p.heard = c.mono
	c.server.near.due = c.server.near.due || p.silent
	if protocol.PassOver(in.Frame) && p.hello {
		return
	}
	f, err := protocol.Read(in.Frame)
	if err != nil {
		c.note("from ", in.Device, ": ", err.Error())
		c.cut(p, protocol.ByeFrame, err.Error())
		return
	}
	if h, ok := f.(*protocol.Hello); ok && !p.hello {
		c.greet(p, in, h)
		return
	}
	if !p.hello {
		c.cut(p, protocol.ByeFrame, "a hello must come first")
		return
	}
	c.heard(p, f)
}

// shutOut tells whether a peer's device was revoked, before it said hello or since.
func (c *Core) shutOut(p *peer) bool {
	_, gone := c.server.gone[p.device]
	return p.revoked || gone
}

// heard takes a frame of a peer that was greeted. A revoked device is listened to for what it announced, and the time.
func (c *Core) heard(p *peer, f protocol.Frame) {
	if t := f.Type(); c.shutOut(p) && t != protocol.TypePush && t != protocol.TypeClockAsk {
		c.cut(p, protocol.ByeRevoked, goneText)
		return
	}
	switch f := f.(type) {
	case *protocol.Push:
		for _, r := range f.Records {
			c.offer(p, p.device, r)
		}
		if f.Last && p.pushing {
			p.pushing = false
			p.wants = !c.shutOut(p)
		}
	case *protocol.Fetch:
		p.wants, p.have, p.base = !p.pushing, f.Have, f.Have == 0
	case *protocol.ClockAsk:
		c.send(p.name, &protocol.ClockAnswer{T1: f.T1, T2: c.now, T3: c.now, Pace: c.server.clock.Pace()})
	case *protocol.HashAsk:
		c.compareWith(p, f)
	case *protocol.CodeAsk:
		c.codeFor(p, f.Crew)
	case *protocol.PaceSet:
		c.setPace(f.Pace)
	case *protocol.Offer:
		c.beginFrom(p, f.State)
	case *protocol.Near:
		c.here(p, f)
	default:
		c.cut(p, protocol.ByeFrame, "only the kitchen sends a "+f.Type().String()+" frame")
	}
}

// greet answers a hello.
func (c *Core) greet(p *peer, in *Input, h *protocol.Hello) {
	s := &c.server
	if h.Version < protocol.VersionOldest || h.Version > protocol.Version {
		c.cut(p, protocol.ByeVersion, "this app and the kitchen do not understand each other: reload the app")
		return
	}
	_, gone := s.gone[in.Device]
	p.version = h.Version
	p.hello, p.device, p.revoked = true, in.Device, gone || in.Revoked
	p.refill = !p.revoked && h.Generation != "" && (h.Generation != c.cfg.Generation || max(h.Have, h.Held) > s.head || in.Forked)
	p.pushing = h.Unsent > 0 || p.refill
	p.have, p.base = h.Have, h.Have == 0
	if p.refill {
		p.old, p.held = h.Generation, h.Have
		p.have, p.base = 0, true
		c.note("device ", p.device, " was with another generation of the journal and brings back what it holds")
	}
	p.wants = !p.pushing && !p.revoked
	c.send(p.name, &protocol.Welcome{Version: h.Version, Fingerprint: c.fingerprint(), Generation: c.cfg.Generation,
		Head: s.head, Kitchen: c.now, Pace: s.clock.Pace(), Revoked: p.revoked, Forked: in.Forked})
}

// compareWith compares states with a device that holds the same entries.
func (c *Core) compareWith(p *peer, f *protocol.HashAsk) {
	s := &c.server
	if f.Have != s.head || len(s.group) > 0 || len(s.parked) > 0 {
		return // it is not about the same entries any more
	}
	hash := c.log.Hash()
	if hash != f.Hash {
		c.log.Refold() // it may be this side's states that are wrong
		if again := c.log.Hash(); again != hash {
			c.note("a state of the server's own did not hold and was built anew")
			hash, s.base = again, nil
		}
	}
	if hash != f.Hash {
		c.note("device ", p.device, " holds another state after the same entries; it builds it anew. Several after one start: entries may have been changed on the disk, see brinebell verify --backup")
	}
	c.send(p.name, &protocol.HashAnswer{Have: f.Have, Hash: hash, Same: hash == f.Hash})
}

// codeFor hands a wish for a joining code to the shell, if a lead wishes it.
func (c *Core) codeFor(p *peer, crew string) {
	if m := c.log.State().Member(crew); m == nil || !c.log.State().IsLead(crew) {
		c.send(p.name, &protocol.Code{Refused: "crew"})
		return
	}
	c.out.Codes = append(c.out.Codes, CodeAsk{Peer: p.name, Device: p.device, Crew: crew})
}
