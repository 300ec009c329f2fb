package core

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
)

// began is what the server knows, while it runs, of the base that its journal began from.
type began struct {
	old  string   // generation of the journal that was lost
	held uint64   // whoever offered the base held all its entries up to this number
	told []string // devices whose base is kept aside
}

// beginFrom takes the base that a device offers after the journal was lost. An empty journal begins from it. Of two devices
// that were with the same journal, the one that held more of it has all that the other had from there, so its base takes the
// other's place. A base of which that cannot be known is kept aside, and the lead is told: nothing of it is lost.
func (c *Core) beginFrom(p *peer, base []byte) {
	s := &c.server
	last, state, err := journal.ReadBase(base)
	if !p.refill || err == nil && last.IsZero() {
		return
	}
	if err == nil {
		_, err = kitchen.Read(state)
	}
	if err != nil {
		c.note("device ", p.device, " offered a base that cannot be read: ", err.Error())
		return
	}
	same := s.began.old != "" && s.began.old == p.old && p.held > 0
	empty := c.log.Last().IsZero() && !slices.ContainsFunc(c.log.Tail(), func(i *journal.Item) bool { return i.Place().Compare(last) <= 0 })
	switch {
	case empty:
		c.begin(p, base, last)
		c.note("this journal was empty and begins from the base of device ", p.device)
	case same && p.held <= s.began.held: // all of it is in what this journal began from, or is pushed
	case same && c.log.Last() == s.root && last.Compare(s.root) > 0:
		c.begin(p, base, last)
		c.note("device ", p.device, " held more of the lost journal than the device that this one began from: it begins from its base now")
	case string(base) != string(c.log.BaseBytes()):
		c.keepAside(p, base)
	}
}

// begin makes a base the one that the journal began from. What stands before its end is in it, or else set aside.
func (c *Core) begin(p *peer, base []byte, last journal.Place) {
	s := &c.server
	stored := Stored{Base: base}
	for _, item := range c.log.Tail() {
		if item.Place().Compare(last) > 0 {
			stored.Tail = append(stored.Tail, item.Numbered())
		} else {
			c.setApart(nil, item.Entry.At.Device, "before the base", item.Record)
		}
	}
	c.log.Load(&stored)
	for i, item := range s.group {
		if again := c.log.Get(item.Entry.ID); again != nil {
			s.group[i] = again
		}
	}
	if root := s.root; !root.IsZero() {
		c.out.Void = &root
		for _, o := range s.peers {
			o.wants, o.base = o.wants || o.live, true // what they hold no longer holds
		}
	}
	s.root, s.shelved, s.changed, s.base = last, last, true, nil
	s.began.old, s.began.held = p.old, p.held
	c.mem.Root = journal.AppendBase(nil, last, nil)
	c.out.Base = &Base{State: base, Last: last}
	c.index()
}

// keepAside keeps a base apart that cannot be joined with this journal, and has the lead told once for each device.
func (c *Core) keepAside(p *peer, base []byte) {
	s := &c.server
	c.setApart(nil, p.device, "another past", base)
	if slices.Contains(s.began.told, p.device) {
		return
	}
	s.began.told = append(s.began.told, p.device)
	c.note("device ", p.device, " brought back a past of this kitchen that cannot be joined with what is kept by now; it is set aside whole in the data folder. ",
		"Compare what is open with that device before its page is opened again, and enter what is missing")
	c.makeDrafts("", []kitchen.Draft{{ID: c.newID(), Body: &entry.Deviation{Text: "Device " + p.device +
		": its past is set aside on the server. Look for open batches that are missing. / Su pasado está apartado en el servidor. Busca lotes abiertos que falten."}}})
}
