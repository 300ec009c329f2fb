package simulation

import (
	"maps"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/journaltest"
)

// More that goes wrong in kitchens. What is common to all of it stands in world.go.

// halfOpen is a line that is gone for the phone while the server still holds it open: what was under way up still arrives,
// perhaps after the phone has dialled anew, and what goes down is lost.
func (p *phone) halfOpen() {
	if p.link != nil {
		p.link.half = true
		p.whenAwake(p.lostLink)
	}
}

// swizzle takes the phones off the network one by one, and lets them back in another order.
func (k *Kitchen) swizzle() {
	for i, n := range k.rand.Perm(len(k.phones)) {
		k.at(int64(i)*k.between(500, 8000), k.phones[n].bar)
	}
	for i, n := range k.rand.Perm(len(k.phones)) {
		k.at(60_000+int64(i)*k.between(500, 8000), k.phones[n].unbar)
	}
}

func (p *phone) bar() {
	if !p.k.calm {
		p.barred = true
		p.breakLink()
	}
}

func (p *phone) unbar() {
	if p.barred {
		p.barred = false
		p.dial()
	}
}

// crawl makes everything that the phone sends and gets take seconds for a while.
func (p *phone) crawl() { p.slowUntil = p.k.now + p.k.between(10_000, 180_000) }

// twice sends once more what the phone pushed last: two loops of one app that know nothing of each other, or a frame that
// was given up for lost.
func (p *phone) twice() {
	if p.pushed != nil && p.link != nil && p.link.live {
		p.link.toServer(p.pushed)
	}
}

// remember keeps what was pushed.
func (p *phone) remember(frame []byte) {
	if protocol.Type(frame[0]) == protocol.TypePush {
		p.pushed = frame
	}
}

// fill lets the phone's storage be full for a while. What the core makes waits in memory; bells and line go on.
func (p *phone) fill() {
	p.full = true
	p.k.at(p.k.between(10_000, 300_000), p.room)
}

// room ends a full storage.
func (p *phone) room() {
	if p.full {
		p.full = false
		if !p.frozen {
			p.step(core.Input{Op: core.OpTick})
		}
	}
}

// age replaces the phone's store by a copy of itself that is older, as a phone has that was set up anew from a backup. The
// first time it only makes the copy. What had left the phone for nowhere is gone with it.
func (p *phone) age() {
	if p.copy == nil {
		c := p.shelf
		c.records = maps.Clone(c.records)
		p.copy = &c
		return
	}
	p.become(*p.copy)
	p.copy = nil
}

// wipe empties the phone's store, as a browser may that is short of room.
func (p *phone) wipe() { p.become(shelf{records: map[entry.ID]core.Numbered{}}) }

func (p *phone) become(s shelf) {
	p.crash()
	for id, n := range p.shelf.records {
		if _, ok := s.records[id]; !ok && n.Seq == 0 {
			delete(p.k.seen, id)
		}
	}
	p.shelf = s
}

// fill lets the server's disk be full for a while: as in the real one, what cannot be kept is forgotten and all lines are
// cut, and then pushes are held back until there is room.
func (s *server) fill() {
	s.full = true
	s.k.at(s.k.between(5000, 120_000), s.room)
}

// room ends a full disk, and cuts the lines that were not listened to.
func (s *server) room() {
	s.full, s.ails = false, false
	for _, p := range s.k.phones {
		if l := p.link; l != nil && l.owed && s.links[l.name] == l {
			l.gone()
			l.shutByServer()
		}
	}
	s.revive()
}

// refuses tells whether the disk does not take what was to be kept, and goes on from what is on it. Once that is known,
// checkpoints and memory are not even tried: they can wait.
func (s *server) refuses(in []core.Input, out *core.Outcome) bool {
	entries := len(out.Keep) + len(out.Aside)
	if !s.full || out.Change() == nil || s.ails && entries == 0 {
		return false
	}
	s.ails = true
	s.k.Events["refused by a full disk"]++
	if in[0].Op == core.OpStart {
		s.crash() // not even the start can be written down
		return true
	}
	for _, p := range s.k.phones {
		if l := p.link; l != nil && s.links[l.name] == l {
			l.shutByServer()
		}
	}
	s.links, s.inputs = map[string]*link{}, nil
	s.load()
	return true
}

// holdsBack tells whether an input waits until the disk takes entries again.
func (s *server) holdsBack(in *core.Input) bool {
	if !s.ails || in.Op == core.OpMake || len(in.Frame) == 0 {
		return false
	}
	t := protocol.Type(in.Frame[0])
	if t != protocol.TypePush && t != protocol.TypeOffer {
		return false
	}
	if l := s.links[in.Peer]; l != nil {
		l.owed = true
	}
	return true
}

// boot1970 restarts the server with a clock that has no battery; later the network tells it the time.
func (s *server) boot1970() {
	right := s.off
	s.crash()
	s.off = -int64(journaltest.Begun) - s.k.now
	s.k.at(s.k.between(60_000, 600_000), func() { s.off = right })
}
