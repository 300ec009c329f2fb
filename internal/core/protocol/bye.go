package protocol

import "brinebell/internal/core/wire"

// Reasons of a Bye.
const (
	ByeVersion = "version"   // the frames' version is not understood
	ByeRevoked = "revoked"   // the device no longer belongs to the kitchen
	ByeFrame   = "frame"     // a frame could not be read, or came where it must not
	ByeFull    = "full"      // the server cannot store anything now
	ByeRestart = "restart"   // the server stops or starts anew
	ByeUnknown = "unknown"   // no such device, or the key is wrong
	ByeSlow    = "slow"      // too much waited to be sent
	ByeAgain   = "connected" // the device has connected anew
)

// Bye is the last frame before the line is closed.
type Bye struct {
	Reason string
	Text   string
}

// Type implements Frame.
func (*Bye) Type() Type { return TypeBye }

// Fields implements wire.Fielder.
func (f *Bye) Fields(c *wire.Coder) {
	wire.Str(c, "reason", &f.Reason)
	wire.Str(c, "text", &f.Text)
}
