package simulation

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// What must hold of the bells: every alarm that is due rings on every living phone at its instant of kitchen time, once,
// until somebody answers it. A phone that comes to life late rings at once and says how late. Once it is answered by anyone
// in touch it is silent on all that are in touch, and rings again only under its next number.

// Bounds of what is looked at, in ms.
const (
	listenEvery = 20_000 // each phone is listened to so often
	drawsWithin = 1500   // the core may hold drawing back for so long while much comes in
	inStepAfter = 15_000 // a line, and kitchen time, must be so old before its phone's clock counts as set
	lateFrom    = 3000   // a bell that is later says so
)

// order is one bell that the core orders.
type order struct {
	key string
	at  stamp.Milli
}

// ear is a phone's page as far as it sounds: what rings begins at once, what is booked at its instant by the clock that the
// core gave, whether the core steps then or not.
type ear struct {
	clock core.Clock
	now   []order
	book  []order
	heard map[string]bool // what has begun to ring and was not silenced since
	turn  int             // counts bookings: only the last timer counts
}

// kitchenNow is kitchen time by the clock that the page was given.
func (p *phone) kitchenNow() stamp.Milli {
	c := &p.ear.clock
	return stamp.Milli(c.Kitchen + (p.mono()-c.Mono)*c.Pace)
}

// setClock takes the core's clock. What rings follows within the time for which drawing may be held back.
func (p *phone) setClock(c core.Clock) {
	before := p.kitchenNow()
	p.ear.clock = c
	if moved := p.kitchenNow().Since(before); moved > 20 || moved < -20 {
		p.changed = p.k.now
	}
}

// hears takes what the core orders.
func (p *phone) hears(json []byte) {
	v, err := jsontext.Read(json)
	if err != nil {
		p.k.fail("%s rings what is not JSON: %v", p.name, err)
		return
	}
	e := &p.ear
	e.now, e.book = orders(v.List("now")), orders(v.List("book"))
	alive := map[string]bool{}
	for _, list := range [][]order{e.now, e.book} {
		for _, o := range list {
			if alive[o.key] {
				p.k.fail("%s is told to ring %s twice", p.name, o.key)
			}
			alive[o.key] = true
		}
	}
	now := p.kitchenNow()
	for _, o := range e.now {
		if o.at > now {
			p.k.fail("%s is told to ring %s %d ms before its instant", p.name, o.key, o.at.Since(now))
		}
	}
	p.sounds()
}

// silences ends what is not to ring any more: no longer ordered, or only booked for later since the clock was put right.
func (p *phone) silences(now stamp.Milli) {
	e := &p.ear
	for _, key := range slices.Sorted(maps.Keys(e.heard)) {
		still := slices.ContainsFunc(e.now, func(o order) bool { return o.key == key }) ||
			slices.ContainsFunc(e.book, func(o order) bool { return o.key == key && o.at <= now })
		if still {
			continue
		}
		delete(e.heard, key)
		if !p.hushed && ringing(p.core.State(), now)[key] != 0 {
			p.k.fail("%s falls silent on %s, which nobody has answered", p.name, key)
		}
	}
}

func orders(list []jsontext.Value) (out []order) {
	for i := range list {
		out = append(out, order{list[i].Str("key"), stamp.Milli(list[i].Int("at"))})
	}
	return out
}

// sounds begins what is due, and sets the timer for what is next.
func (p *phone) sounds() {
	e, now := &p.ear, p.kitchenNow()
	p.silences(now)
	for _, o := range e.now {
		p.begins(o, now)
	}
	var next stamp.Milli
	for _, o := range e.book {
		if o.at <= now {
			p.begins(o, now)
		} else if next == 0 || o.at < next {
			next = o.at
		}
	}
	e.turn++
	if next == 0 {
		return
	}
	life, turn := p.life, e.turn
	p.k.at(int64(next.Since(now)), func() {
		if p.up && p.life == life {
			p.whenAwake(func() {
				if p.up && p.life == life && p.ear.turn == turn {
					p.sounds()
				}
			})
		}
	})
}

// begins is a bell that begins to ring, unless it rings already.
func (p *phone) begins(o order, now stamp.Milli) {
	if p.ear.heard[o.key] {
		return
	}
	p.ear.heard[o.key] = true
	p.k.Events["ring"]++
	if p.k.now-p.changed >= drawsWithin && ringing(p.core.State(), now)[o.key] != o.at {
		p.k.fail("%s rings %s, which does not ring in its state at that instant", p.name, o.key)
	}
	i := strings.LastIndexByte(o.key, '/')
	if n, err := strconv.Atoi(o.key[i+1:]); err != nil || n > 0 && !p.k.got[o.key[:i+1]+strconv.Itoa(n-1)] {
		p.k.fail("%s rings %s, but the ring before was never answered", p.name, o.key)
	}
	if p.inStep() {
		right, _ := p.k.server.core.Kitchen(p.k.server.mono())
		mine, bound := p.core.Kitchen(p.mono())
		if off := mine.Since(right); off > bound+2 || -off > bound+2 {
			p.k.fail("%s rings %s %d ms off, and thinks that it is right to %d ms", p.name, o.key, off, bound)
		}
		p.k.Events["ring in step"]++
	}
}

// inStep tells whether the phone's line is whole and old enough for its clock to be set.
func (p *phone) inStep() bool {
	s := p.k.server
	return s.up && p.link != nil && !p.link.silent && s.links[p.link.name] == p.link && p.link.live &&
		p.k.now-max(p.link.opened, s.clockMoved) >= inStepAfter
}

// ringing returns what rings in a state at an instant, and since when.
func ringing(s *kitchen.State, now stamp.Milli) map[string]stamp.Milli {
	set := map[string]stamp.Milli{}
	for _, b := range kitchen.Bells(s, now, 0) {
		if b.Ringing {
			set[b.Key] = b.At
		}
	}
	return set
}

// listen compares what rings on all phones with what must, by their own states and by the kitchen's.
func (k *Kitchen) listen() {
	for _, p := range k.phones {
		if !p.up || p.frozen || k.now-p.changed < drawsWithin || k.failure != nil {
			continue
		}
		now, _ := p.core.Kitchen(p.mono())
		if off := p.kitchenNow().Since(now); off > 2 || off < -2 {
			k.fail("%s has a page whose clock is %d ms off its core's", p.name, off)
		}
		if k.server.up && k.now-k.server.changed >= drawsWithin && p.inStep() && p.sameAs(k.server.core.State()) {
			p.hushed = p.hushed && k.server.revoked[p.name]
			right, _ := k.server.core.Kitchen(k.server.mono())
			_, bound := p.core.Kitchen(p.mono())
			p.compare("the kitchen's state", k.server.core.State(), right, bound)
			k.Events["listened in touch"]++
		}
		p.compare("its own state", p.core.State(), now, 0)
		k.Events["listened"]++
	}
}

func (p *phone) sameAs(s *kitchen.State) bool {
	mine := p.core.State()
	return mine.Folded == s.Folded && mine.Last == s.Last
}

// compare compares what is heard from the phone with what rings in a state at an instant that may be off by bound.
func (p *phone) compare(whose string, s *kitchen.State, now stamp.Milli, bound stamp.Span) {
	then := ringing(s, now.Add(-drawsWithin-bound))
	rings := ringing(s, now)
	for _, key := range slices.Sorted(maps.Keys(rings)) {
		if then[key] != 0 && !p.ear.heard[key] && !p.hushed {
			p.k.fail("%s does not ring %s, due %d ms ago by %s", p.name, key, now.Since(rings[key]), whose)
		}
	}
	soon := ringing(s, now.Add(bound))
	for _, key := range slices.Sorted(maps.Keys(p.ear.heard)) {
		if soon[key] == 0 {
			p.k.fail("%s rings %s, which is silent by %s", p.name, key, whose)
		}
	}
}

// atOnce checks a phone that has just come to life: what is due rings already, and the most urgent says how late it is.
func (p *phone) atOnce() {
	now := p.kitchenNow()
	bells := kitchen.Bells(p.core.State(), now, 0)
	if p.hushed || len(bells) == 0 || !bells[0].Ringing {
		return
	}
	for i := range bells {
		if bells[i].Ringing && !p.ear.heard[bells[i].Key] {
			p.k.fail("%s came to life and does not ring %s", p.name, bells[i].Key)
		}
	}
	if now.Since(bells[0].At) > lateFrom+1 {
		v, err := jsontext.Read(p.screen)
		ring := v.Get("ring")
		if err != nil || ring == nil || ring.Str("late") == "" {
			p.k.fail("%s came to life and does not say that %s is %d ms late", p.name, bells[0].Key, now.Since(bells[0].At))
		}
		p.k.Events["rung late"]++
	}
}

// note keeps what was answered.
func (k *Kitchen) note(record []byte) {
	e, err := entry.ReadRecord(record)
	if err != nil || e.Kind != entry.BellAnswered {
		return
	}
	if b, err := e.Open(); err == nil {
		k.got[b.(*entry.GotIt).Bell] = true
	}
}
