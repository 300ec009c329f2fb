package core

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
)

// Forked tells whether a frame is the hello of a device that knows another entry under a number than the journal has: an
// older copy of the journal was put in its place by hand, generation and all, and has grown since. What the device knows is
// not to be passed over then. A journal that has fewer entries than the device knows shows that by itself.
func Forked(k journal.Keeper, frame []byte) (bool, error) {
	if len(frame) == 0 || protocol.Type(frame[0]) != protocol.TypeHello {
		return false, nil
	}
	h, err := protocol.ReadHello(frame)
	if err != nil || h.Generation != k.Generation() || h.Held == 0 || len(h.Last) != len(entry.ID{}) {
		return false, nil // a hello that cannot be read is refused elsewhere
	}
	for n, err := range k.Since(h.Held - 1) {
		return err == nil && n.Seq == h.Held && n.ID() != entry.ID(h.Last), err
	}
	return false, nil
}

// lastHeld is the highest number that the kitchen gave to what this device holds, and the id of that entry; nil if it does not
// know it. Of its own entries it may know later numbers than the one up to which it holds all.
func (c *Core) lastHeld() (held uint64, id []byte) {
	held = c.mem.Have
	for _, item := range c.log.Tail() {
		if item.Seq >= held && item.Seq > 0 {
			held, id = item.Seq, append(id[:0], item.Entry.ID[:]...)
		}
	}
	return held, id
}
