// Package practice is a pretend night: the real core run on the kitchen's own documents, with an invented crew, time that is
// squeezed, and trouble made from the kitchen's own limits.
//
// A night is a journal in memory. What is done in it goes through Decide where a tap would, and stands in it as an entry
// where hands would do it without asking. What trouble costs is therefore what the core says of those entries. The same
// kitchen, rung, seed and taps make the same night, byte for byte; nothing of it ever reaches a real journal.
package practice

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// Night is one pretend night.
type Night struct {
	rung    Rung
	seed    uint64
	crew    string
	l       words.Lang
	p       *procedure.Procedure
	s       *kitchen.State
	entries []entry.Entry
	clock   stamp.Clock
	dice    uint64

	now, start, end stamp.Milli
	queue           []due // what comes, in no order
	turn            int   // counts what was put into the queue, so that two things at one instant keep their order
	held            []hold
	deck            []int       // kinds of trouble that this night may still bring, the next first
	owed            int         // troubles whose time has come, and that have not
	slot            int         // how many times trouble was due
	armed           stamp.Milli // since when one waits for its moment
	planned         int         // troubles that were planned ahead
	trayOf          int         // 1 + the kind of trouble that comes over the first tray; 0: none
	list0           string      // the list that the crew leaves to trouble
	forgot          due         // a batch that the crew forgets in a stage (name), until trouble (of) comes over it
	open            *opened
	told            []record
	acting          int // index of the record whose consequences are being done; -1: the crew's own work
}

// hold keeps the crew's hands off a batch, and says for which trouble.
type hold struct {
	batch entry.ID
	until stamp.Milli
	of    int // index of the record; what is thrown away of the batch later is its cost
}

// The invented crew, beside whoever practises.
const (
	lead   = "practice-lead"
	cook   = "practice-cook"
	device = "practice"
)

// day is the kitchen's day on which every night is played: a Friday, 2027-06-04.
const day = 20973

// New makes a night. From is only read.
func New(from *kitchen.State, seed uint64, rung Rung, crew string, lang string) *Night {
	n := &Night{rung: rung, seed: seed, crew: cmp.Or(crew, "practice-you"), l: words.Of(lang), s: kitchen.New(), clock: stamp.Clock{Device: device},
		dice: seed*2 + 1, acting: -1}
	n.p = from.Procedure(rung.Procedure, 0)
	n.start = (&kitchen.State{Offsets: from.Offsets}).WallAt(day, rung.From)
	n.end = n.start.Add(rung.Hours)
	n.now = n.start
	if n.p == nil {
		return n
	}
	n.shuffle()
	n.plan(from)
	for i := range n.queue {
		n.now = min(n.now, n.queue[i].at.Add(-stamp.Minute))
	}
	n.lists(from)
	n.furnish(from)
	n.run(n.start)
	n.now = n.start
	n.begin()
	return n
}

// furnish writes what the kitchen has: its documents, its clocks, and the crew of the night.
func (n *Night) furnish(from *kitchen.State) {
	n.write("", &entry.NamedKitchen{Name: from.Name, Zone: from.Zone, Country: from.Country, Demo: true})
	if len(from.Offsets) > 0 {
		n.write("", &entry.Offsets{Zone: from.Zone, List: from.Offsets})
	}
	name := n.crew
	if m := from.Member(n.crew); m != nil {
		name = m.Name
	}
	n.write("", &entry.Member{Crew: lead, Name: "Vera", Lang: string(n.l), Role: entry.Lead})
	n.write("", &entry.Member{Crew: cook, Name: "Otto", Lang: string(n.l)})
	n.write("", &entry.Member{Crew: n.crew, Name: name, Lang: string(n.l)})
	n.s.Share(from)
	for i := range from.Documents {
		d := from.Documents[i].Document
		if i+1 == len(from.Documents) || from.Documents[i+1].What != d.What || from.Documents[i+1].Name != d.Name {
			n.write(lead, &d)
		}
	}
	for _, who := range [...]string{lead, cook, n.crew} {
		n.signed(who)
	}
}

// signed lets a crew member do everything: practice is where one may before one may.
func (n *Night) signed(who string) {
	sign := func(what, document, competence string, version uint32) {
		n.write(lead, &entry.SignOff{Crew: who, What: what, Document: document, Competence: competence, Version: version, By: lead,
			Grounds: entry.GroundsExperience})
	}
	for _, p := range n.s.Procedures() {
		for i := range p.Competences {
			sign(kitchen.WhatProcedure, p.Name, p.Competences[i].Name, p.Version)
		}
	}
	for _, l := range n.s.Lists() {
		if l.Competence != nil {
			sign(kitchen.WhatList, l.Name, l.Competence.Name, l.Version)
		}
	}
}

// next returns the next number of the night's chance (Steele, Lea and Flood's SplitMix64).
func (n *Night) next() uint64 {
	n.dice += 0x9e3779b97f4a7c15
	z := n.dice
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to less than most.
func (n *Night) below(most int64) int64 {
	if most <= 0 {
		return 0
	}
	return int64(n.next() >> 1 % uint64(most))
}

func (n *Night) newID() entry.ID {
	var chance [10]byte
	for i := range chance {
		if i%8 == 0 {
			n.next()
		}
		chance[i] = byte(n.dice >> (i % 8 * 8))
	}
	return entry.NewID(n.now, chance)
}

// write makes an entry and folds it.
func (n *Night) write(crew string, body entry.Body) entry.ID {
	id := n.newID()
	n.keep(crew, id, body)
	return id
}

func (n *Night) keep(crew string, id entry.ID, body entry.Body) {
	e := entry.New(id, n.clock.Next(n.now), crew, body)
	n.s.Apply(&e, kitchen.Amended{})
	n.entries = append(n.entries, e)
}

// tap does what a crew member asks for, if the core lets it.
func (n *Night) tap(crew string, c *kitchen.Command) ([]kitchen.Draft, *kitchen.Refusal) {
	who := kitchen.Who{Crew: crew, Device: device}
	drafts, r := kitchen.Decide(n.s, c, who, n.now, n.newID)
	if r != nil && r.Code == kitchen.RefNotSigned { // a run of deviations made it lapse, which ends no practice
		n.signed(crew)
		drafts, r = kitchen.Decide(n.s, c, who, n.now, n.newID)
	}
	if r != nil {
		return nil, r
	}
	for _, d := range drafts {
		n.keep(crew, d.ID, d.Body)
		n.follow(d.Body)
	}
	return drafts, nil
}

// Now is the instant that the night has come to.
func (n *Night) Now() stamp.Milli { return n.now }

// From is when the night began.
func (n *Night) From() stamp.Milli { return n.start }

// Until is when the night ends.
func (n *Night) Until() stamp.Milli { return n.end }

// State is the pretend kitchen, to be read only.
func (n *Night) State() *kitchen.State { return n.s }

// Entries are the night's journal so far, to be read only.
func (n *Night) Entries() []entry.Entry { return n.entries }

// Bells returns what rings, and what will within the hour.
func (n *Night) Bells() []kitchen.Bell { return kitchen.Bells(n.s, n.now, stamp.Hour) }

// Ends tells whether the night is over: there is no trouble left open, and nothing more passes.
func (n *Night) Ends() bool { return n.now >= n.end && n.open == nil }

// Pass lets time pass up to an instant. It stops earlier when trouble comes, at its very instant: then Trouble says which.
func (n *Night) Pass(to stamp.Milli) {
	to = min(to, n.end)
	if n.run(to) {
		return
	}
	if n.now = max(n.now, to); n.now >= n.end && n.open != nil {
		n.unanswered()
	}
}

// Auto plays what is left of the night, and answers by turns: for measuring.
func (n *Night) Auto() {
	for i := 0; !n.Ends(); i++ {
		n.Pass(n.end)
		if t := n.Trouble(); t != nil {
			n.Choose(i % len(t.Choices))
		}
	}
}

// Tap does what whoever practises taps on the usual screens. A tap that is one of the answers to open trouble answers it, and so
// does one that makes an end of it.
func (n *Night) Tap(c *kitchen.Command) *kitchen.Refusal {
	c, r := kitchen.Untyped(c)
	if r != nil || n.open == nil {
		if r == nil {
			_, r = n.tap(n.crew, c)
		}
		return r
	}
	if i := n.answers(c); i >= 0 {
		n.choose(i, c)
		return n.told[len(n.told)-1].refusal
	}
	if _, r = n.tap(n.crew, c); r == nil {
		n.settles()
	}
	return r
}

// settles answers open trouble that a tap has made an end of in another way than by one of its answers.
func (n *Night) settles() {
	o := &n.open.about
	b := n.s.Batch(o.batch)
	on := b != nil && (b.Status != kitchen.Open || b.Stage != o.stage)
	switch l := n.s.List(o.list); troubles[n.open.kind].need {
	case openList:
		if l != nil && len(n.s.MissingOf(l, day)) == 0 {
			n.choose(0, nil)
		}
	case goesOn, done:
		if on {
			n.choose(0, nil)
		}
	case tacky:
		if on {
			n.choose(1, nil)
		}
	}
}
