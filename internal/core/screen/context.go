// Package screen turns the kitchen's state and one device's own circumstances into what that device draws and when it
// rings.
//
// It decides nothing: what may be done is kitchen.Decide's to say, and a button only carries the command that a tap
// hands to it. Everything drawn is JSON, already in the language of whoever holds the device.
package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// Context is everything that a screen depends on.
type Context struct {
	State *kitchen.State
	Bells []kitchen.Bell // what BellsAt says, if it is at hand: what is drawn at one instant shares it
	Now   stamp.Milli    // kitchen time
	Mono  int64          // this device's monotonic clock at Now, ms
	Pace  int64          // how fast kitchen time runs against Mono; 0 and 1 are real time

	Device string // this device's id; empty before it has joined
	Crew   string // crew id of who holds it; empty when nobody has tapped a name
	Lang   string // en or es: what the device was set to; a known crew member's own language wins
	View   string // which page of the browser asks, handed back
	Path   string // path and query, as in the address bar

	Log *Log // the probe's file that the page was handed, or nil

	Practice *Practice // the night of practice that is drawn, and not the kitchen; nil: the kitchen

	Saved      Saved
	Ability    Ability
	AwakeSince stamp.Milli                      // since when this device has been able to ring without a break; 0: always
	Last       *Tap                             // this device's own last tap that can be taken back
	Planned    *Planned                         // what this device's planner has come to; nil before the last part of the core is there
	Refused    *Refused                         // what the last tap of this view was refused for
	Code       Code                             // a joining code that the kitchen gave this device
	Past       func(stamp.Milli) *kitchen.State // the kitchen at an instant; nil, or returning nil: it is not known here
	Reach      stamp.Milli                      // from when on Past knows
	Near       []Near                           // the devices that are in touch with the kitchen, or were, as it last said
	NearNow    bool                             // it is so now: this device is in touch
}

// Near is a device of the kitchen.
type Near struct {
	Device string
	Can    uint8
	Crew   string      // who holds it
	Since  stamp.Milli // out of touch since then; 0: in touch
}

// What a device can do about ringing.
const (
	CanTell  uint8 = 1 << iota // its page has looked; without this the rest is not known
	CanSound                   // sound is unlocked
	CanSeen                    // the page is in front
	CanHeard                   // somebody has heard its bell there: it is loud enough
	canRing  = CanTell | CanSound | CanSeen
)

func (n *Near) rings() bool { return n.Since == 0 && n.Can&canRing == canRing }

// Saved says how far this device's entries have come.
type Saved struct {
	Joined   bool        // the device has a key of the kitchen's
	InTouch  bool        // the line to the kitchen is open
	Waiting  int         // entries that the kitchen has not kept yet
	OutSince stamp.Milli // since when the line has been down; 0 when it is open or never was
	Off      stamp.Span  // how far this device's kitchen time may be off
	Entries  bool        // the device holds a state at all
	Revoked  bool        // a lead took the device off the kitchen
}

// Ability is what the page says this device can do about ringing.
type Ability struct {
	Known     bool // the page has reported
	Sound     bool // sound is unlocked
	Stuck     bool // it was, and stands still
	Awake     bool // the screen is kept awake
	Vibrate   bool
	Installed bool
	Visible   bool
	Secure    bool // the page's origin has a service worker
	Heard     bool // somebody has heard its bell
	Voice     bool // it can speak the language of whoever holds it
	Stays     bool // the browser has promised not to clear the page's store
}

// Tap is an entry that this device made, for the undo bar.
type Tap struct {
	Entry entry.ID
	At    stamp.Milli
	Body  entry.Body
}

// Refused is a command that was refused, and why.
type Refused struct {
	Command *kitchen.Command
	Why     *kitchen.Refusal
}

// Code is a one-time joining code. The zero value means that there is none.
type Code struct {
	Text  string
	URL   string // where the new device goes, code included
	Until stamp.Milli
}

// UndoFor is how long a tap can be taken back.
const UndoFor = 10 * stamp.Second
