package core

import (
	"cmp"
	"slices"

	"brinebell/internal/core/clock"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// memory is what a device knows beside the journal and keeps through a restart. It changes in one transaction with
// the journal, so that have never says more than is held.
type memory struct {
	Clock      clock.Device
	StampAt    stamp.Milli // of the hybrid clock
	StampCount uint32
	Generation string // of the kitchen's journal
	Old        string // the generation before, while what it held is being brought back
	Have       uint64 // all entries up to this number are held, in the base or as such; server: its head
	Crew       string
	OutSince   stamp.Milli // when the line went down; 0: it is open or never was
	Stale      bool        // the base must be fetched anew: it lacks something that is older than its end
	Revoked    bool
	Aside      []entry.ID // own entries that the kitchen set aside
	Doubt      bool       // the clock was resumed, jumped or never known, and no exchange has confirmed it since
	DoubtFrom  stamp.Milli
	Committed  stamp.Milli // server: kitchen time of the last commit
	Root       []byte      // server: the place before which the journal has no entries, because it began from a base
	Lang       string
	Unsure     []entry.ID    // own entries made while Doubt was on, that have never left this device
	Tries      []kitchen.Try // wrong PINs since the last right one
}

const memoryFormat = 1

// Fields implements wire.Fielder.
func (m *memory) Fields(c *wire.Coder) {
	wire.Nest(c, "clock", &m.Clock)
	wire.Int(c, "stampAt", &m.StampAt)
	wire.Uint(c, "stampCount", &m.StampCount)
	wire.Str(c, "generation", &m.Generation)
	wire.Str(c, "old", &m.Old)
	wire.Uint(c, "have", &m.Have)
	wire.Str(c, "crew", &m.Crew)
	wire.Int(c, "outSince", &m.OutSince)
	c.Bool("stale", &m.Stale)
	c.Bool("revoked", &m.Revoked)
	wire.List(c, "aside", &m.Aside, entry.WalkID)
	c.Bool("doubt", &m.Doubt)
	wire.Int(c, "doubtFrom", &m.DoubtFrom)
	wire.Int(c, "committed", &m.Committed)
	c.Bytes("root", &m.Root)
	wire.Str(c, "lang", &m.Lang)
	wire.List(c, "unsure", &m.Unsure, entry.WalkID)
	wire.List(c, "tries", &m.Tries, wire.Struct[kitchen.Try])
}

// tried counts a wrong PIN, or forgets those before a right one, and takes every PIN out of the command: none is drawn again.
func (m *memory) tried(cmd *kitchen.Command, why *kitchen.Refusal, now stamp.Milli) (changed bool) {
	given, crew := cmd.Pin+cmd.OldPin != "", cmp.Or(cmd.Trainer, m.Crew)
	cmd.Pin, cmd.OldPin, cmd.Again = "", "", ""
	wrong := why != nil && why.Code == kitchen.RefPin
	if !given || why != nil && !wrong {
		return false
	}
	if wrong {
		crew = why.Name
	}
	n := len(m.Tries)
	m.Tries = slices.DeleteFunc(m.Tries, func(t kitchen.Try) bool { return t.Crew == crew })
	if wrong {
		m.Tries = append(m.Tries, kitchen.Try{Crew: crew, Count: why.Number, At: now})
	}
	return wrong || len(m.Tries) < n
}

func (m *memory) append(dst []byte) []byte { return wire.Append(append(dst, memoryFormat), m) }

// readMemory reads a memory. One that cannot be read is as good as none: the entries tell the rest.
func readMemory(src []byte) (memory, bool) {
	var m memory
	if len(src) == 0 {
		return m, true
	}
	if src[0] != memoryFormat || wire.Read(src[1:], &m) != nil {
		return memory{}, false
	}
	return m, true
}
