package core

import (
	"bytes"
	"slices"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/practice"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// OpNight begins a night of practice: Frame is the state of the real kitchen, Tap says which night. The core that takes it
// is another instance than the one that runs the kitchen, with no shelf and no line; from then on it takes OpLook, OpTap and
// OpTick alone, and orders nothing but screens, rings and its clock.
const OpNight Op = 64

// Practice time goes on in slices, so that a tap never waits for more of it than one, and what runs fast is drawn only so
// often. nightSlice is as long as a slow phone simulates within some frames.
const (
	nightSlice = 10 * stamp.Minute
	nightEvery = 80 // ms from drawing to drawing
)

// Commands of a night, beside what cooks tap.
const (
	doNightStop  = "practice-stop"  // its time stands; Reason: why
	doNightGo    = "practice-go"    // its time goes on
	doNightPace  = "practice-pace"  // and runs Number times as fast as life
	doNightWait  = "practice-wait"  // the same, while trouble is open: nobody answers it for now
	doNightLook  = "practice-look"  // the kitchen is looked at, while trouble waits
	doNightShow  = "practice-show"  // and is shown again
	doNightReply = "practice-reply" // answer Number of the open trouble
)

// nightPrefix is where the places of the pretend kitchen stand in the page.
const nightPrefix = "/practice/night"

// night is a night of practice on a core of its own.
type night struct {
	screen.Practice
	pace   int64  // how many times as fast as life its time runs now; 0: it stands
	mono   int64  // steady clock when its time was last brought up
	shown  string // the trouble that its time last stopped for
	said   string // and the one whose outcome it last stopped for
	drawn  int64  // steady clock of the last drawing
	clock  Clock
	behind bool // there is more to pass than one slice
}

// nightBegin makes a night in a kitchen.
func (c *Core) nightBegin(in *Input) {
	from, err := kitchen.Read(in.Frame)
	if err != nil {
		c.note("the kitchen to practise in cannot be read: ", err.Error())
		return
	}
	cmd, err := kitchen.ReadCommand(in.Tap)
	if err != nil {
		c.note("the night to practise cannot be read: ", err.Error())
		return
	}
	seed := uint64(cmd.Number)
	if seed == 0 {
		seed = wire.TakeFixed64(in.Chance[:])%9000 + 1000 // so that it can be said aloud
	}
	for _, r := range practice.Rungs(from, cmd.Procedure) {
		if r.Key != cmd.Name {
			continue
		}
		n := &night{mono: c.mono}
		n.Practice = screen.Practice{Night: practice.New(from, seed, r, cmd.Crew, cmd.Text), Rung: r, Seed: seed, Crew: cmd.Crew, Speed: screen.PracticeSpeed(0, 0)}
		c.phone.night, c.phone.lang = n, cmd.Text
		return
	}
	c.note("no such night to practise: ", cmd.Name)
}

// nightCarry takes an input of a core that practises.
func (c *Core) nightCarry(in *Input) {
	n := c.phone.night
	if in.Op == OpNight || n == nil {
		c.nightBegin(in)
		return
	}
	c.nightPass()
	switch in.Op {
	case OpLook:
		in.Path = strings.TrimPrefix(in.Path, nightPrefix)
		c.look(in)
	case OpClose:
		c.closeView(in.View)
	case OpTap:
		c.nightTap(in)
	}
	c.phone.changed = true
}

// nightPass brings practice time up, by a slice at most. It stops where trouble comes.
func (c *Core) nightPass() {
	n := c.phone.night
	passed := stamp.Milli(max(c.mono-n.mono, 0) * n.pace)
	slice := min(passed, stamp.Milli(nightSlice))
	n.Pass(n.Now() + slice)
	n.behind = slice < passed
	if n.mono = c.mono; n.behind && n.pace > 0 {
		n.mono -= int64(passed-slice) / n.pace
	}
	n.nightHeed()
}

// nightHeed lets time stand where trouble has come, where something came of it, and at the end.
func (n *night) nightHeed() {
	if m := n.Said(); m != nil && m.Key != n.said {
		n.said, n.Replied = m.Key, true
		n.nightStop("")
	}
	if t := n.Trouble(); t != nil && t.Key != n.shown {
		n.shown, n.Aside = t.Key, false
		n.nightStop("")
	}
	if n.Ends() {
		n.nightStop("")
	}
}

// nightStop lets practice time stand.
func (n *night) nightStop(why string) { n.pace, n.Why, n.behind = 0, why, false }

// nightTap does what a button asks for.
func (c *Core) nightTap(in *Input) {
	n, v := c.phone.night, c.view(in.View)
	v.refused, v.asked = nil, true
	cmd, err := kitchen.ReadCommand(in.Tap)
	if err != nil {
		c.note("a tap cannot be read: ", err.Error())
		return
	}
	switch cmd.Do {
	case doNightStop:
		if n.pace > 0 || cmd.Reason == screen.PracticeBell {
			n.nightStop(cmd.Reason)
		}
	case doNightGo, doNightWait:
		n.Aside = n.Trouble() != nil && !n.Replied
		n.pace, n.Why, n.Replied = n.Speed, "", false
	case doNightPace:
		n.Speed = screen.PracticeSpeed(cmd.Number, 0)
		if n.pace > 0 {
			n.pace = n.Speed
		}
	case doNightLook, doNightShow:
		n.Aside, n.Replied = cmd.Do == doNightLook, false
	case doNightReply:
		n.Choose(int(cmd.Number))
	default:
		if why := n.Tap(cmd); why != nil {
			v.refused = &screen.Refused{Command: cmd, Why: why}
		}
	}
	n.nightHeed()
}

// nightContext is what the screens of a night depend on.
func (c *Core) nightContext() screen.Context {
	n := c.phone.night
	return screen.Context{State: n.State(), Now: n.Now(), Mono: c.mono, Pace: n.pace, Device: c.cfg.Device, Crew: n.Crew, Lang: c.phone.lang,
		Saved: screen.Saved{Joined: true, InTouch: true, Entries: true}, Ability: screen.Ability{Known: true, Sound: true, Awake: true, Secure: true},
		Practice: &n.Practice}
}

// nightSettle ends a step of a core that practises: it draws, and says when the next is due.
func (c *Core) nightSettle() {
	n := c.phone.night
	if n == nil {
		return
	}
	asked := slices.ContainsFunc(c.phone.views, func(v *view) bool { return v.asked })
	if asked || n.pace == 0 || !n.behind && c.mono-n.drawn >= nightEvery || c.mono-n.drawn >= 2*nightEvery { // what stands is not drawn later
		n.drawn = c.mono
		c.nightDraw()
	}
	if at := (Clock{Kitchen: int64(n.Now()), Wall: c.wall, Mono: c.mono, Pace: n.pace}); at.Pace != n.clock.Pace {
		n.clock, c.out.Clock = at, &at
	}
	switch {
	case n.behind:
		c.wakeAt(c.wall)
	case n.pace > 0:
		c.wakeAt(c.wall + nightEvery)
	}
}

// nightDraw draws the views of a night, under the addresses that the page has for them.
func (c *Core) nightDraw() {
	from := len(c.out.Draw)
	c.drawAll(true)
	for i := range c.out.Draw[from:] {
		d := &c.out.Draw[from+i]
		for _, name := range []string{`"to":"`, `"path":"`} {
			d.JSON = bytes.ReplaceAll(d.JSON, []byte(name+"/"), []byte(name+nightPrefix+"/"))
		}
	}
}
