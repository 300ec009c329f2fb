package protocol

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// PassOver tells whether a frame is of a type that this version does not know and need not.
func PassOver(src []byte) bool {
	return len(src) > 0 && src[0] > byte(TypeNear) && src[0] < 0x40
}

// Row is a device in touch with the kitchen, or one that was.
type Row struct {
	Device string
	Can    uint8       // what it can do about ringing: screen.CanTell and the like
	Crew   string      // who holds it; empty: nobody said
	Since  stamp.Milli // out of touch since then; 0: in touch
}

// Fields implements wire.Fielder.
func (r *Row) Fields(c *wire.Coder) {
	wire.Str(c, "device", &r.Device)
	wire.Uint(c, "can", &r.Can)
	wire.Str(c, "crew", &r.Crew)
	wire.Int(c, "since", &r.Since)
}

// Near says who is in touch, and what the devices can do: from a device itself, from the kitchen all.
type Near struct{ Rows [][]byte } // each a Row

// Type implements Frame.
func (*Near) Type() Type { return TypeNear }

// Fields implements wire.Fielder.
func (f *Near) Fields(c *wire.Coder) { wire.List(c, "rows", &f.Rows, walkBytes) }
