// Package core is the one door to the rules: everything that happens on a device or in the server goes in as an Input,
// and what must follow comes out as an Outcome. It does nothing itself: no clock, no disk, no network, no chance.
//
// A phone's shell (cmd/corewasm and the worker) and the server's shell call Step, and then act in the order of the
// Outcome's fields: what is kept is durable before anything is sent, rung or drawn.
//
// See sections.go for the bytes that cross between the worker and the wasm core.
package core

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// Config is what a core is told once.
type Config struct {
	Device     string // this device's id; on the server any fixed word, "kitchen"
	Key        string // phones: the secret that pairing gave, hexadecimal; sent in Hello
	Generation string // server: journal.Keeper.Generation
	Demo       bool   // server: the demo's pace may be changed
	TailLeast  int    // entries that stay after the base; 0: journal.TailLeast, server: journal.KitchenLeast
	TailMost   int    // at so many the base moves on; 0: journal.TailMost, server: journal.KitchenMost
	server     bool   // NewServer sets it
}

// holds returns how short and how long the tail is kept on this device.
func (c Config) holds() (least, most int) {
	if c.server && c.TailMost == 0 {
		return journal.KitchenLeast, journal.KitchenMost
	}
	return c.tail()
}

// tail returns how short and how long phones keep their tail.
func (c Config) tail() (least, most int) {
	if c.TailMost == 0 {
		return journal.TailLeast, journal.TailMost
	}
	return c.TailLeast, c.TailMost
}

// Numbered is an entry's record with its number; see package journal.
type Numbered = journal.Numbered

// Base is a state to begin from; see package journal.
type Base = journal.Base

// Stored is what a device holds of its journal; see package journal.
type Stored = journal.Stored

// Aside is a record set aside; see package journal.
type Aside = journal.Aside

// Op is what kind of thing happened.
type Op uint8

// Kinds of inputs.
const (
	OpStart   Op = iota + 1 // first of all: Stored is what the device holds
	OpLook                  // phone: View shows Path from now on
	OpClose                 // phone: View is gone
	OpTap                   // Tap on View at Path; server: without View, made by the server in nobody's name
	OpOpened                // phone: the line to the server is open. Server: Peer has connected
	OpShut                  // phone: the line is gone. Server: Peer is gone
	OpFrame                 // Frame arrived; on the server from Peer, which speaks for Device
	OpTick                  // time has passed (Outcome.Wake came)
	OpHistory               // server: Stored answers Outcome.Need
	OpAbility               // phone: Ability says what this page can do
	OpMake                  // server: make entries of Bodies, now, in the name of Crew
	OpTake                  // server: take in Records as they are (the demo's past, a restored export)
	OpPace                  // server, demo: kitchen time runs Pace times as fast
	OpLog                   // phone: Frame is a piece of a probe's file that View was handed
	OpFull                  // server: no more of what Device brings is set aside
	OpState                 // for tests: Outcome.Base.State is the bytes of the whole state
)

// Input is one thing that happened.
type Input struct {
	Wall, Mono int64    // milliseconds: what this device's wall clock and its steady clock say
	Chance     [32]byte // fresh randomness; ids come from it
	Op         Op
	View, Path string  // page and its path (OpLook, OpClose, OpTap)
	Lang       string  // OpLook, OpStart: language of the device, for as long as no crew member is chosen
	Tap        []byte  // JSON of a kitchen.Command (OpTap)
	Ability    []byte  // JSON (OpAbility)
	File       File    // OpLog: which piece of a file Frame is
	Peer       string  // server: the connection
	Device     string  // server: the paired device behind the peer; OpMake: in whose name, empty: the server's
	Revoked    bool    // server: the device's key is right, but it was revoked
	Forked     bool    // server: Forked of a hello
	Mute       bool    // server: nothing can be kept now, so make no entries of its own accord
	Frame      []byte  // OpFrame, OpTake
	Stored     *Stored // OpStart, OpHistory
	Bodies     []entry.Body
	Crew       string
	Records    [][]byte
	Pace       int32
}

// Message is a frame to send.
type Message struct {
	Peer  string // server: to this connection, or "" to all that are live. Phones: ""
	Frame []byte
}

// Cut is a connection to close.
type Cut struct {
	Peer   string // server
	Reason string
}

// Need is history that the server's core cannot do without: get it with Fetch and answer with OpHistory, Stored being
// what Fetch returned, before any other input.
type Need = journal.Need

// CodeAsk is a lead's wish for a joining code: answer by sending the peer a protocol.Code.
type CodeAsk struct {
	Peer, Device, Crew string
}

// Draw is a screen for a view.
type Draw struct {
	View string
	JSON []byte
}

// Outcome is what must follow, in the order in which the shell must act.
type Outcome struct {
	// These are one transaction (Change puts together what is for a Keeper).
	Keep   []Numbered // an id that is already kept without a number gets its number
	Base   *Base      // phones: replaces everything kept but entries without a number. Server: one more checkpoint
	Void   *journal.Place
	Memory []byte // replaces the memory, when not nil
	Aside  []Aside
	Top    []byte // phones: keep it for the next start of this build, until a base is kept

	Live []string // server: these peers are live from now on, even for this outcome's Send
	Send []Message
	Cut  []Cut // after Send: on a phone one without a peer means hang up and dial anew; for ByeRevoked, wipe what is held

	Clock *Clock // phones: given at start and whenever the mapping moved
	Ring  []byte // JSON, nil when unchanged
	Plan  []byte // a core that plans: what it has come to, nil when nothing better
	Draw  []Draw // views whose screen changed

	Need    *Need     // server
	Codes   []CodeAsk // server
	Revoked []string  // server: devices that were revoked
	Notes   []string  // for the log: what looked wrong
	Wake    int64     // step again (OpTick) no later than this wall time; 0: no need
}

// Change returns what must become durable together, nil if nothing must.
func (o *Outcome) Change() *journal.Change {
	if len(o.Keep) == 0 && o.Base == nil && o.Void == nil && o.Memory == nil && len(o.Aside) == 0 {
		return nil
	}
	return &journal.Change{Keep: o.Keep, Base: o.Base, Void: o.Void, Memory: o.Memory, Aside: o.Aside}
}

// Core is the rules on one device. It is not safe for use by two goroutines at once.
type Core struct {
	cfg    Config
	log    journal.Log
	mem    memory
	stamps stamp.Clock
	phone  phone
	server server

	serves  func(*Core, *Input) // server: takes an input; nil on a phone
	commits func(*Core)         // server: ends a step

	out        *Outcome // of the step that is going on
	wall, mono int64    // the clocks in this step
	now        stamp.Milli
	chance     chance
	minted     uint64 // entries made since the start
	rules      string // Fingerprint, once it was needed
	again      bool   // it was not started yet, and its log is that of another
}

// New returns a phone's core that has seen nothing; its first input must be OpStart.
func New(cfg Config) *Core {
	return &Core{cfg: cfg, stamps: stamp.Clock{Device: cfg.Device}}
}

// Again returns a phone's core that has seen nothing but what c had read of the journal, which it goes on from where it is started
// with that journal, or a longer one. c must not be used any more.
func (c *Core) Again(cfg Config) *Core {
	next := New(cfg)
	next.log, next.again = c.log, true
	return next
}

// Step takes what happened, in order, and returns what must follow. On the server several inputs make one group: one
// transaction, one message to all. The outcome's slices are the caller's.
func (c *Core) Step(in ...Input) Outcome {
	var out Outcome
	c.out = &out
	for i := range in {
		c.wall, c.mono = in[i].Wall, in[i].Mono
		c.chance = newChance(in[i].Chance, c.cfg.Device, c.minted)
		if c.serves != nil {
			c.serves(c, &in[i])
		} else {
			c.carry(&in[i])
		}
	}
	if c.serves != nil {
		c.commits(c)
	} else {
		c.settle()
		c.phone.wake = out.Wake
	}
	c.out = nil
	return out
}

// serve takes an input of the server.
func (c *Core) serve(in *Input) {
	switch in.Op {
	case OpStart:
		c.startServer(in)
		return
	case OpState:
		c.out.Base = &Base{State: c.log.Bytes()}
		return
	}
	c.tellServer(in.Mute)
	switch in.Op {
	case OpOpened:
		c.meet(in.Peer)
	case OpShut:
		c.part(in.Peer)
	case OpFrame:
		c.hear(in)
	case OpHistory:
		c.history(in.Stored)
	case OpMake:
		c.make(in.Device, in.Crew, in.Bodies)
	case OpTake:
		c.take(in.Records)
	case OpTap:
		c.tapServer(in)
	case OpPace:
		c.setPace(in.Pace)
	case OpFull:
		c.tellFull(in.Device)
	}
}

// Folded returns how many entries were folded since the start, for those who measure.
func (c *Core) Folded() uint64 { return c.log.Work() }

// fingerprint is Fingerprint, worked out once.
func (c *Core) fingerprint() string {
	if c.rules == "" {
		c.rules = Fingerprint()
	}
	return c.rules
}

// StateBytes returns the canonical bytes of the state after all entries.
func (c *Core) StateBytes() []byte { return c.log.Bytes() }

// State returns the state after all entries, for reading until the next Step.
func (c *Core) State() *kitchen.State { return c.log.State() }

// Now returns kitchen time as of the last Step.
func (c *Core) Now() stamp.Milli { return c.now }

// note adds a line for the log.
func (c *Core) note(parts ...string) { c.out.Notes = append(c.out.Notes, strings.Join(parts, "")) }

// send sends a frame; on the server to one peer, or to all that are live.
func (c *Core) send(peer string, f protocol.Frame) {
	c.out.Send = append(c.out.Send, Message{Peer: peer, Frame: protocol.Make(f)})
}
