package simulation

import (
	"bytes"
	"fmt"
	"maps"
	"slices"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
)

// shelf is what a phone holds durably.
type shelf struct {
	base    []byte
	records map[entry.ID]core.Numbered
	memory  []byte
	top     []byte
}

// apply is one transaction.
func (s *shelf) apply(o *core.Outcome) {
	if o.Base != nil {
		maps.DeleteFunc(s.records, func(_ entry.ID, n core.Numbered) bool { return n.Seq != 0 })
		s.base, s.top = bytes.Clone(o.Base.State), nil
		for _, n := range o.Base.Tail {
			s.records[n.ID()] = core.Numbered{Seq: n.Seq, Record: bytes.Clone(n.Record)}
		}
	}
	for _, n := range o.Keep {
		s.records[n.ID()] = core.Numbered{Seq: n.Seq, Record: bytes.Clone(n.Record)}
	}
	if o.Memory != nil {
		s.memory = bytes.Clone(o.Memory)
	}
	if o.Top != nil {
		s.top = bytes.Clone(o.Top)
	}
}

// stored returns the shelf as the blob of a start reads it, so that those bytes are exercised too.
func (s *shelf) stored() *core.Stored {
	out := core.Stored{Base: s.base, Memory: s.memory, Top: s.top}
	for _, id := range slices.SortedFunc(maps.Keys(s.records), entry.ID.Compare) {
		out.Tail = append(out.Tail, s.records[id])
	}
	back, err := core.ReadStored(core.AppendStored(nil, &out))
	if err != nil {
		panic(err)
	}
	return back
}

// readEvery is of how many screens one is read back: the others are drawn all the same.
const readEvery = 16

// phone is a device: its core, its shelf, its page and its end of the link.
type phone struct {
	clocks
	name    string
	path    string // what its page shows
	core    *core.Core
	shelf   shelf
	up      bool
	frozen  bool
	slept   int64 // since when it is frozen
	life    int
	link    *link
	dials   int
	wakes   int
	backlog []func()       // arrives when it wakes
	full    bool           // its storage takes nothing
	unsaved []core.Outcome // while it is full
	copy    *shelf         // an older one
	pushed  []byte         // the last frame with entries that it sent
	barred  bool           // it cannot reach the network
	ear     ear
	// Everything takes long until then.
	slowUntil int64
	hushed    bool   // it was revoked and may not know better yet
	changed   int64  // when its journal last changed
	screen    []byte // drawn last
	drawn     int
}

func newPhone(k *Kitchen, i int) *phone {
	paths := []string{"/hold", "/", "/timers", "/who", "/lists"}
	return &phone{clocks: k.newClocks(), name: fmt.Sprintf("phone-%d", i+1), path: paths[i%len(paths)],
		shelf: shelf{records: map[entry.ID]core.Numbered{}}}
}

func (p *phone) boot() {
	p.life++
	p.up, p.booted, p.asleep = true, p.k.now, 0
	p.ear = ear{heard: map[string]bool{}, turn: p.ear.turn}
	p.core = core.New(core.Config{Device: p.name, Key: "00ff", TailLeast: p.k.opt.TailLeast, TailMost: p.k.opt.TailMost})
	p.step(core.Input{Op: core.OpStart, Lang: "en", Stored: p.shelf.stored()})
	life := p.life
	p.step(core.Input{Op: core.OpLook, View: "page", Path: p.path})
	if p.up && p.life == life {
		p.atOnce()
	}
	p.step(core.Input{Op: core.OpTap, View: "page", Tap: []byte(`{"do":"crew","crew":"bo"}`)})
	p.k.at(p.k.between(0, 1500), p.dial)
}

// crash is a power cut or a killed page: what is not on the shelf is gone.
func (p *phone) crash() {
	if !p.up {
		return
	}
	p.up, p.frozen, p.core, p.backlog, p.unsaved = false, false, nil, nil, nil
	if p.link != nil {
		p.link.gone()
		p.link = nil
	}
	p.k.at(p.k.between(100, restartMost), p.revive)
}

func (p *phone) revive() {
	if !p.up {
		p.boot()
	}
}

// sleep freezes the phone: nothing runs, and its steady clock stands still.
func (p *phone) sleep(ms int64) {
	if !p.up || p.frozen {
		return
	}
	p.frozen, p.slept = true, p.k.now
	life := p.life
	p.k.at(ms, func() {
		if p.life == life {
			p.wake()
		}
	})
}

// wake ends a sleep.
func (p *phone) wake() {
	if !p.up || !p.frozen {
		return
	}
	p.frozen = false
	p.asleep += p.k.now - p.slept
	life, list := p.life, p.backlog
	p.backlog = nil
	p.step(core.Input{Op: core.OpTick})
	for _, do := range list {
		if p.up && p.life == life {
			do()
		}
	}
	p.dial()
}

// whenAwake does it now, or when the phone wakes.
func (p *phone) whenAwake(do func()) {
	if p.frozen {
		p.backlog = append(p.backlog, do)
	} else if p.up {
		do()
	}
}

// breakLink closes the link at both ends.
func (p *phone) breakLink() {
	if l := p.link; l != nil {
		l.gone()
		p.whenAwake(p.lostLink)
	}
}

// silence makes the link carry nothing any more.
func (p *phone) silence() {
	if p.link != nil {
		p.link.silent = true
	}
}

// lostLink is the phone's end being closed.
func (p *phone) lostLink() {
	if p.link == nil || !p.up {
		return
	}
	p.link.dead, p.link = true, nil
	p.step(core.Input{Op: core.OpShut})
	p.k.at(p.k.between(250, 10_000), p.dial)
}

// step hands an input to the core and does what must follow, unless the power is cut in between.
func (p *phone) step(in core.Input) {
	if !p.up {
		return
	}
	in.Wall, in.Mono, in.Chance = p.wall(), p.mono(), p.k.chance()
	p.k.Steps++
	out := p.core.Step(in)
	if p.cut() {
		return
	}
	for _, n := range out.Keep {
		p.k.note(n.Record)
	}
	p.unsaved = append(p.unsaved, out)
	if !p.full {
		p.save()
	}
	if len(out.Keep) > 0 || out.Base != nil {
		p.changed = p.k.now
	}
	if p.cut() {
		return
	}
	p.act(&out)
}

// save puts what waits on the shelf.
func (p *phone) save() {
	for i := range p.unsaved {
		p.shelf.apply(&p.unsaved[i])
		for _, n := range p.unsaved[i].Keep {
			if n.Seq == 0 {
				p.k.seen[n.ID()] = true
			}
		}
	}
	p.unsaved = nil
}

func (p *phone) cut() bool {
	if p.k.calm || p.k.opt.PowerCut == 0 || !p.k.one(6000) {
		return false
	}
	p.k.Events["power cut in a step"]++
	p.crash()
	return true
}

func (p *phone) act(out *core.Outcome) {
	p.k.heed(p.name, out.Notes)
	for _, m := range out.Send {
		if p.link != nil {
			p.remember(m.Frame)
			p.link.toServer(m.Frame)
		}
	}
	if len(out.Cut) > 0 && p.link != nil {
		p.link.gone()
		p.link.dead, p.link = true, nil
		p.k.at(p.k.between(250, 10_000), p.dial)
	}
	if out.Clock != nil {
		p.setClock(*out.Clock)
	}
	if out.Ring != nil {
		if p.k.mangle != nil {
			out.Ring = p.k.mangle(p.name, out.Ring)
		}
		p.hears(out.Ring)
	} else if out.Clock != nil {
		p.sounds()
	}
	for _, d := range out.Draw {
		p.screen = d.JSON
		p.drawn++
		if p.drawn%readEvery != 0 {
			continue
		}
		if _, err := jsontext.Read(d.JSON); err != nil {
			p.k.fail("%s draws what is not JSON: %v", p.name, err)
		}
	}
	if out.Wake == 0 {
		p.k.fail("%s never wakes again", p.name)
		return
	}
	p.wakes++ // one timer: the last one set counts
	life, wake := p.life, p.wakes
	p.k.at(out.Wake-p.wall(), func() {
		if p.up && p.life == life && p.wakes == wake {
			p.whenAwake(func() { p.step(core.Input{Op: core.OpTick}) })
		}
	})
}
