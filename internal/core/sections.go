package core

import (
	"errors"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/wire"
)

// Between the worker and the wasm core cross a header, a blob and an answer.
//
// The header is a JSON object: {"op": start look close tap opened shut frame tick ability log state night plan planned, "wall": ms, "mono":
// ms, "chance": 64 hexadecimal digits}, and by op: view, path, lang, tap (an object), ability (an object), device and
// key (of start; what pairing gave), file, first and last (of log: the piece of a probe's file that the blob is).
//
// The blob of "frame" is the frame, that of "night" and "plan" the bytes of a state, that of "planned" a plan. The blob of "start" and every answer are sections: a tag, the length of what
// follows (4 bytes, little-endian), and that:
//
//	K  a record to keep: its number (8 bytes, little-endian; 0: none yet), its id (16 bytes), the record
//	B  the bytes of a base: it replaces everything kept except records without a number
//	T  a record of the base's tail, like K. A start's blob has only T, for all that is kept
//	M  the device's memory: it replaces the one before
//	O  a top: the same build may be given it back at its next start, as long as no base was kept since
//	S  a frame to send
//	X  a reason: hang up and dial anew
//	C  the clock, JSON {"kitchen","wall","mono","pace","bound"}: kitchen time at those two clocks, in ms
//	R  what rings, JSON
//	D  a screen, JSON with "view"
//	N  a note for the log
//	W  a wall time in ms (8 bytes, little-endian): step with "tick" no later
//	P  a plan that the planner has come to
//	F  a fault, JSON {"text"}: the core stopped
//
// K, B, T, M and O of one answer are stored in one transaction before anything else of it is done.
const (
	tagKeep   = 'K'
	tagBase   = 'B'
	tagTail   = 'T'
	tagMemory = 'M'
	tagTop    = 'O'
	tagSend   = 'S'
	tagCut    = 'X'
	tagClock  = 'C'
	tagRing   = 'R'
	tagDraw   = 'D'
	tagNote   = 'N'
	tagWake   = 'W'
	tagPlan   = 'P'
	tagFault  = 'F'
)

// ErrSections says that a blob is not made of whole sections.
var ErrSections = errors.New("core: the stored sections cannot be read")

// ErrHeader says that a header cannot be read.
var ErrHeader = errors.New("core: the header is not what was agreed")

var ops = map[string]Op{
	"start": OpStart, "look": OpLook, "close": OpClose, "tap": OpTap, "opened": OpOpened, "shut": OpShut,
	"frame": OpFrame, "tick": OpTick, "ability": OpAbility, "state": OpState, "log": OpLog, "night": OpNight, "plan": OpPlan, "planned": OpPlanned,
}

// ReadHeader reads a header into an input, and into the configuration that a start carries.
func ReadHeader(text []byte) (Config, Input, error) {
	v, err := jsontext.Read(text)
	if err != nil {
		return Config{}, Input{}, err
	}
	in := Input{Op: ops[v.Str("op")], Wall: v.Int("wall"), Mono: v.Int("mono"),
		View: v.Str("view"), Path: v.Str("path"), Lang: v.Str("lang")}
	chance, ok := wire.FromHex(v.Str("chance"))
	if in.Op == 0 || !ok || len(chance) != 0 && copy(in.Chance[:], chance) != len(in.Chance) {
		return Config{}, Input{}, ErrHeader
	}
	in.File = File{Name: v.Str("file"), First: v.True("first"), Last: v.True("last")}
	in.Tap, in.Ability = part(text, &v, "tap"), part(text, &v, "ability")
	return Config{Device: v.Str("device"), Key: v.Str("key")}, in, nil
}

// part returns the text of the member called name, nil if it is no object.
func part(text []byte, v *jsontext.Value, name string) []byte {
	m := v.Get(name)
	if m == nil || m.Kind != jsontext.Object {
		return nil
	}
	return text[m.Offset:m.End]
}

func appendSection(dst []byte, tag byte, payload ...[]byte) []byte {
	n := 0
	for _, p := range payload {
		n += len(p)
	}
	dst = append(dst, tag, byte(n), byte(n>>8), byte(n>>16), byte(n>>24))
	for _, p := range payload {
		dst = append(dst, p...)
	}
	return dst
}

func appendNumbered(dst []byte, tag byte, n *Numbered) []byte {
	return appendSection(dst, tag, wire.Fixed64(n.Seq), n.Record[1:17], n.Record)
}

// AppendOutcome appends the sections of an outcome, in the order in which a phone must act.
func AppendOutcome(dst []byte, o *Outcome) []byte {
	if o.Base != nil {
		dst = appendSection(dst, tagBase, o.Base.State)
		for i := range o.Base.Tail {
			dst = appendNumbered(dst, tagTail, &o.Base.Tail[i])
		}
	}
	for i := range o.Keep {
		dst = appendNumbered(dst, tagKeep, &o.Keep[i])
	}
	if o.Memory != nil {
		dst = appendSection(dst, tagMemory, o.Memory)
	}
	if o.Top != nil {
		dst = appendSection(dst, tagTop, o.Top)
	}
	for _, m := range o.Send {
		dst = appendSection(dst, tagSend, m.Frame)
	}
	for _, x := range o.Cut {
		dst = appendSection(dst, tagCut, []byte(x.Reason))
	}
	if o.Clock != nil {
		dst = appendSection(dst, tagClock, o.Clock.appendJSON(nil))
	}
	if o.Ring != nil {
		dst = appendSection(dst, tagRing, o.Ring)
	}
	if o.Plan != nil {
		dst = appendSection(dst, tagPlan, o.Plan)
	}
	for _, d := range o.Draw {
		dst = appendSection(dst, tagDraw, d.JSON)
	}
	for _, n := range o.Notes {
		dst = appendSection(dst, tagNote, []byte(n))
	}
	if o.Wake != 0 {
		dst = appendSection(dst, tagWake, wire.Fixed64(uint64(o.Wake)))
	}
	return dst
}

// AppendFault appends the section that says that the core stopped.
func AppendFault(dst []byte, text string) []byte {
	var w jsontext.Writer
	w.Object("")
	w.Str("text", text)
	w.EndObject()
	return appendSection(dst, tagFault, w.Out)
}

// AppendStored appends what a device holds as the blob of a start.
func AppendStored(dst []byte, s *Stored) []byte {
	if s.Base != nil {
		dst = appendSection(dst, tagBase, s.Base)
	}
	for i := range s.Tail {
		dst = appendNumbered(dst, tagTail, &s.Tail[i])
	}
	if s.Memory != nil {
		dst = appendSection(dst, tagMemory, s.Memory)
	}
	if s.Top != nil {
		dst = appendSection(dst, tagTop, s.Top)
	}
	return dst
}

// ReadStored reads the blob of a start. K counts as T. A nil blob is a device that holds nothing. A record that is not
// what its id says is handed on empty.
func ReadStored(blob []byte) (*Stored, error) {
	var s Stored
	err := EachSection(blob, func(tag byte, payload []byte) error {
		switch tag {
		case tagBase:
			s.Base = payload
		case tagMemory:
			s.Memory = payload
		case tagTop:
			s.Top = payload
		case tagKeep, tagTail:
			if len(payload) < 24+17 || entry.ID(payload[8:24]) != entry.ID(payload[25:41]) {
				// One bad record must not keep the others, and the bells, from starting: it goes in unreadable, and is noted.
				s.Tail = append(s.Tail, Numbered{})
				return nil
			}
			s.Tail = append(s.Tail, Numbered{Seq: wire.TakeFixed64(payload), Record: payload[24:]})
		}
		return nil
	})
	return &s, err
}

// EachSection calls do with every section of a blob, in order, until it returns an error.
func EachSection(blob []byte, do func(tag byte, payload []byte) error) error {
	for len(blob) > 0 {
		if len(blob) < 5 {
			return ErrSections
		}
		n := uint64(blob[1]) | uint64(blob[2])<<8 | uint64(blob[3])<<16 | uint64(blob[4])<<24
		if n > uint64(len(blob)-5) {
			return ErrSections
		}
		if err := do(blob[0], blob[5:5+n:5+n]); err != nil {
			return err
		}
		blob = blob[5+n:]
	}
	return nil
}
