package core

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
)

// newID makes an id for an entry of this step.
func (c *Core) newID() entry.ID {
	c.minted++
	return c.chance.id(c.stamps.Peek(c.now))
}

// makeOwn makes entries of a phone out of what was decided.
func (c *Core) makeOwn(drafts []kitchen.Draft) {
	p := &c.phone
	for _, d := range drafts {
		e := entry.New(d.ID, c.stampFor(d.Body), c.mem.Crew, d.Body)
		item := c.keepOwn(&e)
		if item == nil {
			c.note("an entry of this device could not be placed; it waits for the kitchen: ", e.ID.String())
			item = &journal.Item{Entry: e, Record: entry.AppendRecord(nil, &e)}
		}
		p.unsent = append(p.unsent, item)
		if c.mem.Doubt {
			c.mem.Unsure, p.dirty = append(c.mem.Unsure, d.ID), true
		}
		p.last = &screen.Tap{Entry: d.ID, At: c.now, Body: d.Body}
		p.changed, p.quiet = true, c.mono
	}
}

// stampFor gives the stamp for an entry made now. What an entry speaks of must stand before it, even when that was
// made by a device whose clock was far ahead.
func (c *Core) stampFor(body entry.Body) stamp.Stamp {
	if last := c.log.Last().At; last.At > c.stamps.Peek(c.now) {
		c.stamps.Resume(last.At, last.Count)
		c.now = max(c.now, last.At)
	}
	s := c.stamps.Next(c.now)
	if b, ok := body.(*entry.Pairing); ok { // it must end a revocation, even one by a clock that was ahead
		s = after(s, c.server.gone[b.Device].At)
	}
	for _, id := range c.spokenOf(body) {
		if item := c.log.Get(id); item != nil {
			s = after(s, item.Entry.At)
		}
	}
	return s
}

// after returns s, or if that is not after o the next stamp of the same device after o.
func after(s, o stamp.Stamp) stamp.Stamp {
	if stamp.Compare(o, s) >= 0 {
		s.At, s.Count = o.At, o.Count+1
	}
	return s
}

// spokenOf returns entries that the body says something about.
func (c *Core) spokenOf(body entry.Body) []entry.ID {
	switch b := body.(type) {
	case *entry.Withdrawal:
		return []entry.ID{b.Entry}
	case *entry.Correction:
		return []entry.ID{b.Entry}
	case *entry.TimerEnd:
		return []entry.ID{b.Timer}
	case *entry.Guide:
		return c.lastOf(nil, b.Batch)
	case *entry.GuideAsk:
		return c.lastOf([]entry.ID{b.Guide}, b.Batch)
	case *entry.GuideAnswer:
		return []entry.ID{b.Ask}
	case *entry.GuideCheck:
		return []entry.ID{b.Ask}
	case *entry.Move:
		return c.lastOf(nil, b.Batch)
	case *entry.Discard:
		return c.lastOf(nil, b.Batch)
	case *entry.Count:
		return c.lastOf(nil, b.Batch)
	case *entry.Step:
		return c.lastOf(nil, b.Batch)
	case *entry.CookLog:
		return c.lastOf(nil, b.Batch)
	case *entry.Portioning:
		var ids []entry.ID
		for _, share := range b.Out {
			ids = c.lastOf(ids, share.Batch)
		}
		return ids
	}
	return nil
}

// lastOf adds the entry that began a batch and the last one in its history.
func (c *Core) lastOf(ids []entry.ID, batch entry.ID) []entry.ID {
	if batch.IsZero() {
		return ids
	}
	ids = append(ids, batch)
	if b := c.log.State().Batch(batch); b != nil && len(b.Events) > 0 {
		ids = append(ids, b.Began, b.Events[len(b.Events)-1].Entry)
	}
	return ids
}

// askCode asks the kitchen for a joining code.
func (c *Core) askCode() {
	if !c.phone.welcomed {
		c.note("a joining code needs the line to the kitchen, which is down")
		return
	}
	c.send("", &protocol.CodeAsk{Crew: c.mem.Crew})
}

// askPace asks the demo kitchen to run at another pace.
func (c *Core) askPace(pace int32) {
	if c.phone.welcomed {
		c.send("", &protocol.PaceSet{Kitchen: c.now, Pace: pace})
	}
}
