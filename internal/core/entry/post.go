package entry

import "brinebell/internal/core/wire"

// Post says where a device stands. Another pairing of the device ends it.
type Post struct {
	Device string
	Place  string // a piece of equipment; empty: it is carried about
}

// Kind implements Body.
func (*Post) Kind() Kind { return DevicePosted }

// Fields implements wire.Fielder.
func (b *Post) Fields(c *wire.Coder) {
	wire.Str(c, "device", &b.Device)
	wire.Str(c, "place", &b.Place)
}
