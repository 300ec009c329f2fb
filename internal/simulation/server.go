package simulation

import (
	"fmt"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// server is the kitchen's server: its core, its store and its ends of the links.
type server struct {
	clocks
	core    *core.Core
	keeper  journal.Keeper
	full    bool  // the disk takes nothing
	ails    bool  // and the server knows
	disk    *disk // nil: the keeper is in memory
	backup  *Memory
	up      bool
	life    int // counts restarts: what was meant for an earlier life is lost
	inputs  []core.Input
	looping bool
	links   map[string]*link // by peer
	wakes   int64
	revoked map[string]bool
	changed int64 // when its journal last changed
	// When kitchen time was last set; phones hear of it with their next question.
	clockMoved int64
	reached    stamp.Milli // kitchen time at the last commit that this journal knows of
}

// restarts take at most so long, in ms.
const restartMost = 30_000

func newServer(k *Kitchen) *server {
	s := &server{clocks: k.newClocks(), links: map[string]*link{}, revoked: map[string]bool{}}
	s.off = k.between(0, 2000) // a usual server; clockSet makes it worse
	s.openStore()
	return s
}

// begin starts the server for the first time, with what a kitchen has.
func (s *server) begin() {
	s.boot()
	s.furnish()
}

// furnish gives an empty journal what every kitchen begins with.
func (s *server) furnish() {
	bodies := []entry.Body{
		&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US"},
		&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{Minutes: -300, Name: "EST"}}},
		&entry.Member{Crew: "al", Name: "Al", Lang: "en", Role: entry.Cook},
		&entry.Member{Crew: "bo", Name: "Bo", Lang: "es", Role: entry.Lead},
	}
	for _, p := range s.k.phones {
		bodies = append(bodies, &entry.Pairing{Device: p.name, Name: p.name})
	}
	docs, err := demo.Documents()
	if err != nil {
		panic(err)
	}
	for i := range docs {
		bodies = append(bodies, &docs[i])
	}
	for _, b := range demo.SignOffs(docs, "al", "bo") {
		bodies = append(bodies, &b)
	}
	s.step(core.Input{Op: core.OpMake, Bodies: bodies})
}

func (s *server) boot() {
	s.life++
	s.up, s.booted, s.asleep, s.changed = true, s.k.now, 0, s.k.now
	s.load()
}

// load makes the core anew from what is kept.
func (s *server) load() {
	s.core = core.NewServer(core.Config{Device: "kitchen", Generation: s.keeper.Generation(),
		TailLeast: s.k.opt.TailLeast, TailMost: s.k.opt.TailMost})
	stored, _ := s.keeper.Newest()
	s.step(core.Input{Op: core.OpStart, Stored: &stored})
}

// crash is a power cut: what is not in the keeper is gone, and so are all links.
func (s *server) crash() {
	if !s.up {
		return
	}
	s.up, s.core, s.inputs = false, nil, nil
	if s.disk != nil {
		s.onDisk(s.disk.cut)
	}
	for _, p := range s.k.phones {
		p.breakLink()
	}
	s.links = map[string]*link{}
	s.k.at(s.k.between(100, restartMost), s.revive)
}

func (s *server) revive() {
	if !s.up {
		s.boot()
	}
}

// restore replaces the journal by a backup, mostly under a new generation, as the command does it, at times under the same,
// as somebody does who copies files by hand; without one it makes one for the next time.
func (s *server) restore() {
	if s.disk != nil {
		return
	}
	if s.backup == nil || s.k.one(2) {
		s.backup = s.keeper.(*Memory).Backup("")
		return
	}
	s.crash()
	s.reached = 0
	generation := s.k.generation()
	if s.k.one(3) && s.keptApart() == len(s.backup.aside) { // of what was set aside no number tells
		generation = s.keeper.Generation()
		s.k.Events["restored under the same name"]++
	}
	s.keeper, s.backup = s.backup.Backup(generation), nil
	for _, p := range s.k.phones {
		p.hushed = true // the copy may know it as revoked, until the phones bring back that it was paired again
	}
}

func (s *server) keptApart() int {
	list, err := s.keeper.Aside()
	if err != nil {
		s.k.fail("what was set aside cannot be read: %v", err)
	}
	return len(list)
}

// lose replaces the journal by an empty one: the disk is gone.
func (s *server) lose() {
	s.reached = 0
	s.crash()
	generation := s.k.generation()
	if s.backup = nil; s.disk != nil {
		s.onDisk(s.disk.lose)
	} else {
		s.keeper = NewMemory(generation)
	}
	life := s.life
	s.k.at(restartMost+1, func() {
		if s.up && s.life > life {
			s.furnish()
		}
	})
}

// revoke takes a device off, and pairs it again some time later.
func (s *server) revoke(p *phone) {
	if !s.up || s.full || s.revoked[p.name] {
		return
	}
	s.revoked[p.name], p.hushed = true, true
	s.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Revocation{Device: p.name, Reason: "lost"}}})
	s.k.at(s.k.between(60_000, 600_000), func() { s.pair(p) })
}

func (s *server) pair(p *phone) {
	if !s.up || s.full {
		s.k.at(5000, func() { s.pair(p) })
		return
	}
	delete(s.revoked, p.name)
	s.give(core.Input{Op: core.OpMake, Bodies: []entry.Body{&entry.Pairing{Device: p.name, Name: p.name}}})
}

// give queues an input; the loop takes all that wait at once, as the real one does.
func (s *server) give(in core.Input) {
	if s.holdsBack(&in) {
		return
	}
	s.inputs = append(s.inputs, in)
	if s.looping {
		return
	}
	s.looping = true
	s.k.at(s.k.between(0, 8), func() {
		s.looping = false
		if in := s.inputs; s.up && len(in) > 0 {
			s.inputs = nil
			s.step(in...)
		}
	})
}

// step hands inputs to the core and does what must follow, unless the power is cut in between.
func (s *server) step(in ...core.Input) {
	for i := range in {
		in[i].Wall, in[i].Mono, in[i].Chance = s.wall(), s.mono(), s.k.chance()
	}
	s.k.Steps++
	before, _ := s.core.Kitchen(s.mono())
	out := s.core.Step(in...)
	now, _ := s.core.Kitchen(s.mono())
	if now < s.reached {
		s.k.fail("kitchen time goes back by %d ms", s.reached.Since(now))
	}
	if now.Since(before) > 20 || before.Since(now) > 20 {
		s.clockMoved = s.k.now
	}
	if s.cut() {
		return
	}
	if s.refuses(in, &out) {
		return
	}
	if c := out.Change(); c != nil && !s.full { // a checkpoint can wait
		if err := s.keeper.Keep(c); err != nil {
			s.k.fail("the server keeps what does not follow: %v", err)
			return
		}
		if len(c.Keep) > 0 {
			s.reached = now
		}
		for i := range c.Keep {
			s.k.note(c.Keep[i].Record)
		}
		if len(c.Keep) > 0 {
			s.changed = s.k.now
		}
	}
	if s.cut() {
		return
	}
	s.act(&out)
}

// cut tells whether the power is cut right now.
func (s *server) cut() bool {
	if s.k.calm || s.k.opt.PowerCut == 0 || !s.k.one(3000) {
		return false
	}
	s.k.Events["power cut in a step"]++
	s.crash()
	return true
}

func (s *server) act(out *core.Outcome) {
	s.k.heed("the server", out.Notes)
	for _, name := range out.Live {
		if l := s.links[name]; l != nil {
			l.live = true
		}
	}
	for _, m := range out.Send {
		s.send(m)
	}
	for _, c := range out.Cut {
		if l := s.links[c.Peer]; l != nil {
			l.shutByServer()
		}
	}
	if out.Need != nil {
		stored, err := out.Need.Fetch(s.keeper)
		if err != nil {
			s.k.fail("history: %v", err)
			return
		}
		s.step(core.Input{Op: core.OpHistory, Stored: stored})
	}
	if out.Wake != 0 && s.up {
		s.wakes++ // one timer: the last one set counts
		life, wake := s.life, s.wakes
		s.k.at(out.Wake-s.wall(), func() {
			if s.up && s.life == life && s.wakes == wake {
				s.give(core.Input{Op: core.OpTick})
			}
		})
	}
}

// send puts a frame into the links that it is for, in the order of the phones so that every run is the same.
func (s *server) send(m core.Message) {
	for _, p := range s.k.phones {
		l := p.link
		if l == nil || s.links[l.name] != l || m.Peer != l.name && (m.Peer != "" || !l.live) {
			continue
		}
		l.toPhone(m.Frame)
	}
}

// link is one connection of one phone.
type link struct {
	k      *Kitchen
	p      *phone
	name   string
	live   bool
	dead   bool // closed
	silent bool // carries nothing any more, and nobody knows
	up     int64
	down   int64 // when the last frame each way arrives: they do not overtake each other
	heard  int64
	opened int64
	half   bool // gone for the phone only
	owed   bool // something that came was not listened to
}

func (p *phone) dial() {
	s := p.k.server
	if !p.up || p.frozen || p.barred || p.link != nil {
		return
	}
	if !s.up {
		p.k.at(p.k.between(250, 10_000), p.dial)
		return
	}
	p.dials++
	l := &link{k: p.k, p: p, name: fmt.Sprintf("%s#%d", p.name, p.dials), heard: p.k.now, opened: p.k.now}
	p.link = l
	s.links[l.name] = l
	s.give(core.Input{Op: core.OpOpened, Peer: l.name})
	l.watch()
	p.step(core.Input{Op: core.OpOpened})
}

// watch is the server's end: a link from which nothing comes is closed.
func (l *link) watch() {
	l.k.at(int64(protocol.DeadAfter), func() {
		switch {
		case l.dead && !l.half:
		case l.k.now-l.heard >= int64(protocol.DeadAfter):
			l.gone()
		default:
			l.watch()
		}
	})
}

// delay is how long a frame takes: mostly little, sometimes long.
func (l *link) delay() int64 {
	if l.k.now < l.p.slowUntil {
		return l.k.between(300, 3000)
	}
	if l.k.one(20) {
		return l.k.between(50, 900)
	}
	return l.k.between(1, 40)
}

func (l *link) toServer(frame []byte) {
	l.up = max(l.up, l.k.now+l.delay())
	l.k.at(l.up-l.k.now, func() {
		if s := l.k.server; !l.silent && s.links[l.name] == l && s.up {
			l.heard = l.k.now
			forked, err := core.Forked(s.keeper, frame)
			if err != nil {
				l.k.fail("the journal cannot be read: %v", err)
			}
			s.give(core.Input{Op: core.OpFrame, Peer: l.name, Device: l.p.name, Revoked: s.revoked[l.p.name], Forked: forked, Frame: frame})
		}
	})
}

func (l *link) toPhone(frame []byte) {
	l.down = max(l.down, l.k.now+l.delay())
	l.k.at(l.down-l.k.now, func() {
		if p := l.p; !l.silent && !l.dead && p.link == l && p.up {
			p.whenAwake(func() {
				if p.link == l {
					p.step(core.Input{Op: core.OpFrame, Frame: frame})
				}
			})
		}
	})
}

// gone closes the server's end.
func (l *link) gone() {
	s := l.k.server
	if s.links[l.name] == l {
		delete(s.links, l.name)
		if s.up {
			s.give(core.Input{Op: core.OpShut, Peer: l.name})
		}
	}
}

// shutByServer closes the link from the server; what is under way still arrives.
func (l *link) shutByServer() {
	delete(l.k.server.links, l.name)
	l.down = max(l.down, l.k.now+l.delay()) + 1
	l.k.at(l.down-l.k.now, func() {
		if l.p.link == l {
			l.p.whenAwake(l.p.lostLink)
		}
	})
}
