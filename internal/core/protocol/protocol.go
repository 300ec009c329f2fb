// Package protocol is what a device and the kitchen's server say to each other: the frames, byte by byte.
//
// A frame is one binary websocket message: a byte that says what it is, then its fields in the order below, coded as
// package wire says (varints, strings and byte strings with their length, lists with their count, one byte for a
// truth value). A frame has exactly these fields: one that ends early, goes on, or is not written in its shortest form
// is refused. New fields mean a new Version; a server speaks the version before its own too.
//
//	 1 Hello       version, fingerprint, device, key, generation, have, unsent, kitchen (zigzag), bound (zigzag); from
//	               version 3 on: held, last (16 bytes, or none)
//	 2 Welcome     version, fingerprint, generation, head, kitchen (zigzag), pace (zigzag), revoked; from version 3 on: forked
//	 3 Push        refill, last, records
//	 4 Entries     prev, records: they are numbered prev+1, prev+2...
//	 5 Base        head, state, tail (number, record): all entries up to number head are in the state or in the tail
//	 6 Fetch       have: send what I lack; 0: send me a base
//	 7 ClockAsk    t1 (zigzag): the device's steady clock
//	 8 ClockAnswer t1, t2, t3 (zigzag): kitchen time when asked and when answered, pace (zigzag)
//	 9 HashAsk     have, hash: of the asker's state after the entries up to have
//	10 HashAnswer  have, hash, same
//	11 CodeAsk     crew: the lead who wants a joining code
//	12 Code        code, url, until (zigzag), refused: why there is none
//	13 PaceSet     kitchen (zigzag), pace (zigzag): from this frame on kitchen time runs so fast
//	14 SetAside    reason, ids (16 bytes each): kept apart for the lead, not taken into the kitchen's journal
//	15 Bye         reason, text: the line is closed after this
//	16 Offer       state: the base of a device, for a server whose journal is empty
//	17 Kept        numbers, ids (16 bytes): pushed entries that were kept before, or are folded into the base just sent
//	18 Near        rows (device, can, crew, since (zigzag)): from the kitchen, all devices that are in touch or were;
//	               from a device, itself
//
// Frames from 18 (hexadecimal 12) to 3f tell only how things stand at this moment: none of it is kept, and whoever does
// not know one passes over it. They are of version 2; a device or server that speaks version 1 is sent none.
//
//	7f Packed      raw deflate (RFC 1951) of one frame. The shells pack and unpack; the core never sees one.
//
// A device says Hello first. The server answers Welcome. If the device has unsent entries it pushes them, the last
// Push marked, and hears by Kept what of them is kept already, since the line may break before the last; then, or at once
// when it has none, the server sends Entries or a Base up to its head, and from then on
// Entries of every group that it commits: the device's own come back with their numbers, which is how it learns that
// they are kept. A device that was with another generation of the journal pushes all it holds, marked refill.
package protocol

import (
	"errors"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Version is that of the frames. VersionOldest is the oldest that is still understood.
const (
	Version       = 3
	VersionOldest = 1
	VersionNear   = 2 // from this one on Near is spoken
	VersionFork   = 3 // from this one on a device says which entry it knows as the last
)

// Sizes of frames, in bytes and records.
const (
	UpMax       = 512 << 10 // the largest frame that a server reads, packed or not
	OfferMax    = 8 << 20   // the largest offer that a server reads, unpacked
	DownMax     = 32 << 20  // the largest frame that a device reads, unpacked
	PushRecords = 256       // records in a push
	PushBytes   = 64 << 10  // bytes of records in a push, unless one alone is larger
	PackFrom    = 1 << 10   // frames from this size on are worth packing
	NearMost    = 512       // rows of a Near
)

// Heartbeat: a device asks the clock every HeartbeatEvery; a line from which nothing came for DeadAfter is dead.
const (
	HeartbeatEvery = 5 * stamp.Second
	DeadAfter      = 12 * stamp.Second
	NearEvery      = stamp.Second      // no more often does anybody say Near
	SilentAfter    = 15 * stamp.Second // a device from which no frame came for so long counts as out of touch: it may be frozen
)

// Type is the first byte of a frame.
type Type byte

// Types of frames.
const (
	TypeHello       Type = 1
	TypeWelcome     Type = 2
	TypePush        Type = 3
	TypeEntries     Type = 4
	TypeBase        Type = 5
	TypeFetch       Type = 6
	TypeClockAsk    Type = 7
	TypeClockAnswer Type = 8
	TypeHashAsk     Type = 9
	TypeHashAnswer  Type = 10
	TypeCodeAsk     Type = 11
	TypeCode        Type = 12
	TypePaceSet     Type = 13
	TypeSetAside    Type = 14
	TypeBye         Type = 15
	TypeOffer       Type = 16
	TypeKept        Type = 17
	TypeNear        Type = 18
	Packed          Type = 0x7f
)

// Frame is any frame.
type Frame interface {
	wire.Fielder
	Type() Type
}

var names = [...]string{TypeHello: "hello", TypeWelcome: "welcome", TypePush: "push", TypeEntries: "entries",
	TypeBase: "base", TypeFetch: "fetch", TypeClockAsk: "clock ask", TypeClockAnswer: "clock answer",
	TypeHashAsk: "hash ask", TypeHashAnswer: "hash answer", TypeCodeAsk: "code ask", TypeCode: "code",
	TypePaceSet: "pace set", TypeSetAside: "set aside", TypeBye: "bye", TypeOffer: "offer", TypeKept: "kept",
	TypeNear: "near"}

// String returns the type's name.
func (t Type) String() string {
	if int(t) < len(names) && names[t] != "" {
		return names[t]
	}
	return "type " + strconv.Itoa(int(t))
}

func (t Type) frame() Frame {
	switch t {
	case TypeHello:
		return new(Hello)
	case TypeWelcome:
		return new(Welcome)
	case TypePush:
		return new(Push)
	case TypeEntries:
		return new(Entries)
	case TypeBase:
		return new(Base)
	case TypeFetch:
		return new(Fetch)
	case TypeClockAsk:
		return new(ClockAsk)
	case TypeClockAnswer:
		return new(ClockAnswer)
	case TypeHashAsk:
		return new(HashAsk)
	case TypeHashAnswer:
		return new(HashAnswer)
	case TypeCodeAsk:
		return new(CodeAsk)
	case TypeCode:
		return new(Code)
	case TypePaceSet:
		return new(PaceSet)
	case TypeSetAside:
		return new(SetAside)
	case TypeBye:
		return new(Bye)
	case TypeOffer:
		return new(Offer)
	case TypeKept:
		return new(Kept)
	case TypeNear:
		return new(Near)
	}
	return nil
}

// Append appends a frame.
func Append(dst []byte, f Frame) []byte { return wire.Append(append(dst, byte(f.Type())), f) }

// Make returns a frame's bytes.
func Make(f Frame) []byte { return Append(nil, f) }

// A Fault says what is wrong with a frame.
type Fault struct {
	Frame Type
	Bytes int
	What  string
}

// Error implements error.
func (f *Fault) Error() string {
	return "protocol: a " + f.Frame.String() + " frame of " + strconv.Itoa(f.Bytes) + " bytes " + f.What
}

// ErrEmpty says that a frame has no bytes.
var ErrEmpty = errors.New("protocol: a frame without bytes")

// Read reads a frame. What it returns does not share memory with src.
func Read(src []byte) (Frame, error) {
	if len(src) == 0 {
		return nil, ErrEmpty
	}
	t := Type(src[0])
	f := t.frame()
	if f == nil {
		return nil, &Fault{t, len(src), "is of a type that this version does not know"}
	}
	if len(src) > DownMax {
		return nil, &Fault{t, len(src), "is longer than " + strconv.Itoa(DownMax)}
	}
	if err := wire.Read(src[1:], f); err != nil {
		return nil, &Fault{t, len(src), "cannot be read: " + err.Error()}
	}
	// One frame has one form: what reads but does not write back the same ended early, went on, or was padded.
	if string(Make(f)) != string(src) {
		return nil, &Fault{t, len(src), "is not in its one form: it ends early, goes on, or is padded"}
	}
	return f, nil
}

// ReadHello reads a frame that must be a Hello.
func ReadHello(src []byte) (*Hello, error) {
	f, err := Read(src)
	if err != nil {
		return nil, err
	}
	h, ok := f.(*Hello)
	if !ok {
		return nil, &Fault{f.Type(), len(src), "came where a hello must stand"}
	}
	return h, nil
}

// Hello is what a device says first.
type Hello struct {
	Version     uint32
	Fingerprint string // core.Fingerprint
	Device      string
	Key         []byte // the secret of this device
	Generation  string // of the journal that it was last with; empty: none yet
	Have        uint64 // it holds all entries up to this number, in a base or as such
	Unsent      uint64 // entries that it will push
	Kitchen     stamp.Milli
	Bound       stamp.Span // how far Kitchen may be off; negative: it does not know kitchen time
	Held        uint64     // the highest number that it knows of an entry that it holds, whatever it asks for by Have
	Last        []byte     // id of the entry that it knows under that number; none: it does not know it
}

// Type implements Frame.
func (*Hello) Type() Type { return TypeHello }

// Fields implements wire.Fielder.
func (f *Hello) Fields(c *wire.Coder) {
	wire.Uint(c, "version", &f.Version)
	wire.Str(c, "fingerprint", &f.Fingerprint)
	wire.Str(c, "device", &f.Device)
	c.Bytes("key", &f.Key)
	wire.Str(c, "generation", &f.Generation)
	wire.Uint(c, "have", &f.Have)
	wire.Uint(c, "unsent", &f.Unsent)
	wire.Int(c, "kitchen", &f.Kitchen)
	wire.Int(c, "bound", &f.Bound)
	if f.Version >= VersionFork {
		wire.Uint(c, "held", &f.Held)
		c.Bytes("last", &f.Last)
	}
}

// Welcome is the server's answer.
type Welcome struct {
	Version     uint32
	Fingerprint string
	Generation  string
	Head        uint64 // number of the last entry committed
	Kitchen     stamp.Milli
	Pace        int32
	Revoked     bool // what this device pushes is set aside, and then the line is closed
	Forked      bool // the journal is not the one that this device knows by the same name: an older copy was put in its place
}

// Type implements Frame.
func (*Welcome) Type() Type { return TypeWelcome }

// Fields implements wire.Fielder.
func (f *Welcome) Fields(c *wire.Coder) {
	wire.Uint(c, "version", &f.Version)
	wire.Str(c, "fingerprint", &f.Fingerprint)
	wire.Str(c, "generation", &f.Generation)
	wire.Uint(c, "head", &f.Head)
	wire.Int(c, "kitchen", &f.Kitchen)
	wire.Int(c, "pace", &f.Pace)
	c.Bool("revoked", &f.Revoked)
	if f.Version >= VersionFork {
		c.Bool("forked", &f.Forked)
	}
}

// Push hands entries to the server.
type Push struct {
	Refill  bool // they were numbered in another generation of the journal
	Last    bool // of those that Hello announced
	Records [][]byte
}

// Type implements Frame.
func (*Push) Type() Type { return TypePush }

// Fields implements wire.Fielder.
func (f *Push) Fields(c *wire.Coder) {
	c.Bool("refill", &f.Refill)
	c.Bool("last", &f.Last)
	wire.List(c, "records", &f.Records, walkBytes)
}

func walkBytes(c *wire.Coder, b *[]byte) { c.Bytes("", b) }

// Entries are entries that the server has committed, numbered Prev+1, Prev+2...
type Entries struct {
	Prev    uint64
	Records [][]byte
}

// Type implements Frame.
func (*Entries) Type() Type { return TypeEntries }

// Fields implements wire.Fielder.
func (f *Entries) Fields(c *wire.Coder) {
	wire.Uint(c, "prev", &f.Prev)
	wire.List(c, "records", &f.Records, walkBytes)
}

// Base is a state and the entries after it: together all entries numbered up to Head.
type Base struct {
	Head  uint64
	State []byte // the bytes of a base, see package journal
	Tail  []journal.Numbered
}

// Type implements Frame.
func (*Base) Type() Type { return TypeBase }

// Fields implements wire.Fielder.
func (f *Base) Fields(c *wire.Coder) {
	wire.Uint(c, "head", &f.Head)
	c.Bytes("state", &f.State)
	wire.List(c, "tail", &f.Tail, func(c *wire.Coder, n *journal.Numbered) {
		wire.Uint(c, "seq", &n.Seq)
		c.Bytes("record", &n.Record)
	})
}

// Fetch asks for what the device lacks.
type Fetch struct{ Have uint64 }

// Type implements Frame.
func (*Fetch) Type() Type { return TypeFetch }

// Fields implements wire.Fielder.
func (f *Fetch) Fields(c *wire.Coder) { wire.Uint(c, "have", &f.Have) }

// ClockAsk asks what time it is in the kitchen.
type ClockAsk struct{ T1 int64 }

// Type implements Frame.
func (*ClockAsk) Type() Type { return TypeClockAsk }

// Fields implements wire.Fielder.
func (f *ClockAsk) Fields(c *wire.Coder) { wire.Int(c, "t1", &f.T1) }

// ClockAnswer says what time it was in the kitchen.
type ClockAnswer struct {
	T1     int64
	T2, T3 stamp.Milli
	Pace   int32
}

// Type implements Frame.
func (*ClockAnswer) Type() Type { return TypeClockAnswer }

// Fields implements wire.Fielder.
func (f *ClockAnswer) Fields(c *wire.Coder) {
	wire.Int(c, "t1", &f.T1)
	wire.Int(c, "t2", &f.T2)
	wire.Int(c, "t3", &f.T3)
	wire.Int(c, "pace", &f.Pace)
}

// HashAsk asks whether two devices that hold the same entries hold the same state.
type HashAsk struct {
	Have uint64
	Hash [16]byte
}

// Type implements Frame.
func (*HashAsk) Type() Type { return TypeHashAsk }

// Fields implements wire.Fielder.
func (f *HashAsk) Fields(c *wire.Coder) {
	wire.Uint(c, "have", &f.Have)
	c.Fixed("hash", f.Hash[:])
}

// HashAnswer says so. It is only sent while the server's head is Have.
type HashAnswer struct {
	Have uint64
	Hash [16]byte
	Same bool
}

// Type implements Frame.
func (*HashAnswer) Type() Type { return TypeHashAnswer }

// Fields implements wire.Fielder.
func (f *HashAnswer) Fields(c *wire.Coder) {
	wire.Uint(c, "have", &f.Have)
	c.Fixed("hash", f.Hash[:])
	c.Bool("same", &f.Same)
}

// CodeAsk asks for a joining code, in the name of a lead.
type CodeAsk struct{ Crew string }

// Type implements Frame.
func (*CodeAsk) Type() Type { return TypeCodeAsk }

// Fields implements wire.Fielder.
func (f *CodeAsk) Fields(c *wire.Coder) { wire.Str(c, "crew", &f.Crew) }

// Code is a joining code, or why there is none.
type Code struct {
	Code    string
	URL     string // where the new device goes, code included
	Until   stamp.Milli
	Refused string // crew (not a lead), limit (too many codes); empty when there is a code
}

// Type implements Frame.
func (*Code) Type() Type { return TypeCode }

// Fields implements wire.Fielder.
func (f *Code) Fields(c *wire.Coder) {
	wire.Str(c, "code", &f.Code)
	wire.Str(c, "url", &f.URL)
	wire.Int(c, "until", &f.Until)
	wire.Str(c, "refused", &f.Refused)
}

// PaceSet says how fast kitchen time runs from now on. Sent by a device it asks for that (the demo only).
type PaceSet struct {
	Kitchen stamp.Milli
	Pace    int32
}

// Type implements Frame.
func (*PaceSet) Type() Type { return TypePaceSet }

// Fields implements wire.Fielder.
func (f *PaceSet) Fields(c *wire.Coder) {
	wire.Int(c, "kitchen", &f.Kitchen)
	wire.Int(c, "pace", &f.Pace)
}

// SetAside says which entries were set aside, and why.
type SetAside struct {
	Reason string // revoked, foreign, unreadable
	IDs    []entry.ID
}

// Type implements Frame.
func (*SetAside) Type() Type { return TypeSetAside }

// Fields implements wire.Fielder.
func (f *SetAside) Fields(c *wire.Coder) {
	wire.Str(c, "reason", &f.Reason)
	wire.List(c, "ids", &f.IDs, entry.WalkID)
}

// Offer is a device's base for a server that has none.
type Offer struct{ State []byte }

// Type implements Frame.
func (*Offer) Type() Type { return TypeOffer }

// Fields implements wire.Fielder.
func (f *Offer) Fields(c *wire.Coder) { c.Bytes("state", &f.State) }

// KeptEntry says under which number an entry is kept.
type KeptEntry struct {
	Seq uint64
	ID  entry.ID
}

// Kept says under which numbers entries are kept that the device pushed and will not get back in Entries.
type Kept struct{ List []KeptEntry }

// Type implements Frame.
func (*Kept) Type() Type { return TypeKept }

// Fields implements wire.Fielder.
func (f *Kept) Fields(c *wire.Coder) {
	wire.List(c, "kept", &f.List, func(c *wire.Coder, k *KeptEntry) {
		wire.Uint(c, "seq", &k.Seq)
		k.ID.Walk(c, "id")
	})
}
