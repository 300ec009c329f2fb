// Package entry says what can happen in a kitchen: every kind of entry, its versions, and its bytes.
//
// An entry is never changed. Its record, the canonical bytes that are hashed, sent and stored, is:
//
//	1 byte   format, 1
//	16 bytes id, a UUIDv7 (RFC 9562)
//	varint   at, milliseconds of kitchen time (zigzag)
//	varint   at, counter
//	string   at, device
//	string   crew, the id of who did it; empty when nobody in particular did
//	varint   kind
//	varint   version of the kind
//	bytes    body: the kind's fields in the order of its Fields method
//
// Kinds and versions that this build does not know are kept and passed on as they are, and not folded.
package entry

import (
	"cmp"
	"errors"
	"strconv"

	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// ID names an entry, and the batch, timer or deviation that the entry began.
type ID [16]byte

// NewID makes a UUIDv7 (RFC 9562 section 5.7) from a time in milliseconds and ten bytes of chance.
func NewID(ms stamp.Milli, chance [10]byte) ID {
	var id ID
	for i := range 6 {
		id[i] = byte(ms >> (40 - 8*i))
	}
	copy(id[6:], chance[:])
	id[6] = id[6]&0x0f | 0x70
	id[8] = id[8]&0x3f | 0x80
	return id
}

// String returns the id in the form of RFC 9562.
func (id ID) String() string {
	h := wire.Hex(id[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// IsZero tells whether the id names nothing.
func (id ID) IsZero() bool { return id == ID{} }

// Compare orders ids by their bytes.
func (id ID) Compare(o ID) int { return cmp.Compare(string(id[:]), string(o[:])) }

// ParseID reads the form that String writes.
func ParseID(s string) (ID, error) {
	var id ID
	if len(s) == 36 && s[8] == '-' && s[13] == '-' && s[18] == '-' && s[23] == '-' {
		if b, ok := wire.FromHex(s[:8] + s[9:13] + s[14:18] + s[19:23] + s[24:]); ok {
			return ID(b), nil
		}
	}
	return id, errors.New("no such id: " + strconv.Quote(s))
}

// Walk walks an id.
func (id *ID) Walk(c *wire.Coder, name string) { c.Fixed(name, id[:]) }

// WalkID is a walk for wire.List over ids.
func WalkID(c *wire.Coder, id *ID) { id.Walk(c, "") }

// Entry is one thing that happened.
type Entry struct {
	ID   ID
	At   stamp.Stamp
	Crew string
	Kind Kind
	Ver  uint32
	Raw  []byte // the body's bytes
}

// Compare orders entries canonically: by stamp, then id.
func Compare(a, b *Entry) int {
	if c := stamp.Compare(a.At, b.At); c != 0 {
		return c
	}
	return a.ID.Compare(b.ID)
}

const recordFormat = 1

// RecordMax is the largest record that is taken, in bytes. Only published documents come near it.
const RecordMax = 256 << 10

// ErrRecord says that a record cannot be read.
var ErrRecord = errors.New("entry: this is not an entry's record")

// AppendRecord appends the canonical bytes of e.
func AppendRecord(dst []byte, e *Entry) []byte {
	dst = append(dst, recordFormat)
	return wire.Append(dst, (*record)(e))
}

// ReadRecord reads an entry from its canonical bytes, all of them. The entry keeps its own copy.
func ReadRecord(src []byte) (Entry, error) {
	if len(src) < 18 || len(src) > RecordMax || src[0] != recordFormat {
		return Entry{}, ErrRecord
	}
	var e Entry
	if err := wire.Read(src[1:], (*record)(&e)); err != nil {
		return Entry{}, err
	}
	// One entry has one form: anything that reads but does not write back the same is refused.
	if string(AppendRecord(make([]byte, 0, len(src)+1), &e)) != string(src) || e.At.Device == "" {
		return Entry{}, ErrRecord
	}
	return e, nil
}

type record Entry

func (r *record) Fields(c *wire.Coder) {
	r.ID.Walk(c, "id")
	wire.Int(c, "at", &r.At.At)
	wire.Uint(c, "count", &r.At.Count)
	wire.Str(c, "device", &r.At.Device)
	wire.Str(c, "crew", &r.Crew)
	wire.Uint(c, "kind", &r.Kind)
	wire.Uint(c, "ver", &r.Ver)
	c.Bytes("body", &r.Raw)
}

// New makes an entry with the given body.
func New(id ID, at stamp.Stamp, crew string, body Body) Entry {
	return Entry{ID: id, At: at, Crew: crew, Kind: body.Kind(), Ver: versionOf(body.Kind()), Raw: wire.Append(nil, body)}
}

// ErrUnknown says that this build does not know the kind, or not this version of it.
var ErrUnknown = errors.New("entry: kind or version not known to this build")

// Open reads the body. It returns ErrUnknown for a kind or version from a newer build.
func (e *Entry) Open() (Body, error) {
	k, ok := kinds[e.Kind]
	if !ok || e.Ver > k.version || e.Ver == 0 {
		return nil, ErrUnknown
	}
	b := k.make()
	if err := wire.Read(e.Raw, b); err != nil {
		return nil, err
	}
	return b, nil
}

// AppendJSON appends e as a JSON object for people and exports, the body under its own names.
func (e *Entry) AppendJSON(dst []byte) []byte {
	j := asJSON{e}
	return wire.AppendJSON(dst, j)
}

type asJSON struct{ e *Entry }

func (j asJSON) Fields(c *wire.Coder) {
	e := j.e
	id, kind := e.ID.String(), e.Kind.String()
	wire.Str(c, "id", &id)
	wire.Int(c, "at", &e.At.At)
	wire.Uint(c, "count", &e.At.Count)
	wire.Str(c, "device", &e.At.Device)
	wire.Str(c, "crew", &e.Crew)
	wire.Str(c, "kind", &kind)
	wire.Uint(c, "ver", &e.Ver)
	if b, err := e.Open(); err == nil {
		if p, ok := b.(*Pin); ok { // of ten thousand PINs the digest tells which: it stays in the journal
			b = &Pin{Crew: p.Crew}
		}
		wire.Nest(c, "body", b)
	} else {
		c.Bytes("raw", &e.Raw)
	}
}
