package core

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// Clock says what kitchen time is at a reading of the device's two clocks, all in milliseconds, how fast it runs, and
// how far it may be off.
type Clock struct {
	Kitchen, Wall, Mono, Pace, Bound int64
}

func (k *Clock) appendJSON(dst []byte) []byte {
	w := jsontext.Writer{Out: dst}
	w.Object("")
	w.Int("kitchen", k.Kitchen)
	w.Int("wall", k.Wall)
	w.Int("mono", k.Mono)
	w.Int("pace", k.Pace)
	w.Int("bound", k.Bound)
	w.EndObject()
	return w.Out
}

// Clock asks: a new line asks eight times at a second's distance, then with every heartbeat.
const (
	asksFast = 8
	askEvery = 1000 // ms
)

// restampFrom is how far kitchen time must have been off before entries that were not sent yet are put right.
const restampFrom = stamp.LeadMax

// tell takes note of the phone's clocks.
func (c *Core) tell(in *Input) {
	if in.Op == OpStart {
		return
	}
	d := &c.mem.Clock
	before := d.Doubtful()
	d.Step(c.wall, c.mono)
	c.now = d.At(c.mono)
	if c.phone.wake != 0 && c.wall-c.phone.wake > overslept {
		c.phone.ableFrom, c.phone.changed = c.now, true
	}
	c.phone.wake = 0
	if d.Doubtful() && !before {
		c.doubt()
		c.phone.changed, c.phone.askAt = true, c.mono
	}
}

// doubt notes from which instant on entries carry a time that the kitchen has not confirmed.
func (c *Core) doubt() {
	if !c.mem.Doubt {
		c.mem.Doubt, c.mem.DoubtFrom, c.phone.dirty = true, c.now, true
	}
}

// answered takes account of an exchange of clocks.
func (c *Core) answered(t1 int64, t2, t3 stamp.Milli, pace int32) {
	d := &c.mem.Clock
	was := d.At(c.mono)
	d.Answer(t1, t2, t3, c.mono, c.wall, pace)
	c.now = d.At(c.mono)
	if !d.Known() || d.Doubtful() {
		return
	}
	if off := was.Since(c.now); c.mem.Doubt && (off > restampFrom || off < -restampFrom) {
		c.restamp(off)
	}
	if c.mem.Doubt {
		c.mem.Doubt, c.mem.Unsure, c.phone.dirty = false, nil, true
	}
}

// restamp puts right the time of entries that were made by a clock that turns out to be off, as long as they have
// never left this device: the kitchen may hold one that was sent even if its answer was lost.
func (c *Core) restamp(off stamp.Span) {
	p := &c.phone
	for i, item := range p.unsent {
		e := item.Entry
		if !slices.Contains(c.mem.Unsure, e.ID) || c.log.Get(e.ID) == nil {
			continue
		}
		e.At.At = e.At.At.Add(-off)
		c.log.Remove(e.ID)
		if again := c.keepOwn(&e); again != nil {
			p.unsent[i] = again
		}
	}
	p.changed = true
}

// giveClock hands out the mapping when it moved.
func (c *Core) giveClock() {
	d := &c.mem.Clock
	k := Clock{int64(d.At(c.mono)), c.wall, c.mono, int64(d.Pace()), int64(d.Bound(c.mono))}
	last := &c.phone.clock
	moved := k.Kitchen - last.Kitchen - (k.Mono-last.Mono)*last.Pace
	if *last == (Clock{}) || moved != 0 || k.Pace != last.Pace {
		*last, c.out.Clock = k, &k
	}
	if moved > 20 || moved < -20 {
		c.phone.dirty = true
	}
}

// beat asks the clock when it is time, and hangs up a line from which nothing comes.
func (c *Core) beat() {
	p := &c.phone
	if !p.open || !p.welcomed && p.heard == 0 {
		return
	}
	if c.mono-p.heard >= int64(protocol.DeadAfter) {
		c.out.Cut = append(c.out.Cut, Cut{Reason: "silent"})
		c.shut()
		return
	}
	if p.welcomed && c.mono >= p.askAt {
		c.send("", &protocol.ClockAsk{T1: c.mono})
		p.asks++
		p.askAt = c.mono + askEvery
		if p.asks >= asksFast && !c.mem.Clock.Doubtful() {
			p.askAt = c.mono + int64(protocol.HeartbeatEvery)
		}
	}
	c.wakeAt(c.wall + min(p.askAt-c.mono, p.heard+int64(protocol.DeadAfter)-c.mono))
}

// keepOwn adds an entry of this device to the log and has it kept. It returns nil if the log did not take it.
func (c *Core) keepOwn(e *entry.Entry) *journal.Item {
	n := Numbered{Record: entry.AppendRecord(nil, e)}
	a, err := c.log.Add(n)
	c.out.Keep = append(c.out.Keep, n)
	if err != nil || a.Verdict != journal.New {
		return nil
	}
	c.staleIf(!a.Need.IsZero())
	return a.Item
}

// Kitchen returns what kitchen time is at a reading of the steady clock, and on a phone how far it may be off.
func (c *Core) Kitchen(mono int64) (now stamp.Milli, bound stamp.Span) {
	if c.cfg.server {
		return c.server.clock.Now().Add(stamp.Span((mono - c.mono) * int64(c.server.clock.Pace()))), 0
	}
	return c.mem.Clock.At(mono), c.mem.Clock.Bound(mono)
}
