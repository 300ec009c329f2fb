// Package journal holds a kitchen's entries in their order and folds them into its state.
//
// An entry's place is its stamp, then its id: the canonical order. A Log holds a base, which is the state after all
// entries up to one place, and the entries after it, its tail. The state is a pure function of the set of entries: in
// whatever order, however often and in whatever bundles they are added, folding gives the same bytes.
//
// A Keeper is where a device holds its journal through power cuts. The bytes of a base are:
//
//	1 byte   format, 1
//	varint   at, milliseconds (zigzag)   the place of the last entry that is folded into it;
//	varint   at, counter                 all zero when none is
//	string   at, device
//	16 bytes id
//	...      the state's canonical bytes, see package kitchen
package journal

import (
	"errors"
	"iter"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Place is where an entry stands in the canonical order. The zero Place is before all entries.
type Place struct {
	At stamp.Stamp
	ID entry.ID
}

// PlaceOf returns the place of an entry.
func PlaceOf(e *entry.Entry) Place { return Place{e.At, e.ID} }

// Compare orders places: by stamp, then id.
func (p Place) Compare(o Place) int {
	if c := stamp.Compare(p.At, o.At); c != 0 {
		return c
	}
	return p.ID.Compare(o.ID)
}

// IsZero tells whether the place is the one before all entries.
func (p Place) IsZero() bool { return p == Place{} }

// Fields implements wire.Fielder.
func (p *Place) Fields(c *wire.Coder) {
	wire.Int(c, "at", &p.At.At)
	wire.Uint(c, "count", &p.At.Count)
	wire.Str(c, "device", &p.At.Device)
	p.ID.Walk(c, "id")
}

// Numbered is an entry's record with the number that the kitchen's server gave it: 1, 2, 3... Zero means that it is
// not yet numbered: it is only on this device.
type Numbered struct {
	Seq    uint64
	Record []byte
}

// ID returns the id within the record, which must be a record.
func (n *Numbered) ID() entry.ID { return entry.ID(n.Record[1:17]) }

// Base is a state to begin from.
type Base struct {
	State []byte     // the bytes of a base, see above; nil: no entry folded
	Last  Place      // of the last entry folded into it
	Tail  []Numbered // phones: the entries after it. Server: nil, the store has them
}

// Stored is what a device holds of its journal.
type Stored struct {
	Base   []byte     // Base.State
	Tail   []Numbered // all entries whose place is after the base's, in any order
	Memory []byte     // the device's own small memory
	Top    []byte     // phones: what Log.Top returned to the same build; nil: nothing
}

// Aside is a record that the kitchen does not take in but must not lose: the lead decides.
type Aside struct {
	Device string // which brought it
	Reason string // revoked, foreign, unreadable
	Record []byte
}

// Change is what must become durable together, or not at all.
type Change struct {
	Keep   []Numbered // with the numbers head+1, head+2... in this order
	Base   *Base      // a new checkpoint, beside the older ones
	Void   *Place     // checkpoints that end at or after this place no longer hold: drop them. Before Base is stored
	Memory []byte     // replaces the memory, when not nil
	Aside  []Aside
}

// ErrNumber says that an entry was to be kept under a number that does not follow the last.
var ErrNumber = errors.New("journal: the number does not follow the last one kept")

// A Keeper holds the journal of a kitchen's server.
type Keeper interface {
	// Keep makes the change durable, all of it or nothing, and returns only when it would survive a power cut. An
	// entry whose id is already kept under the same number is left as it is; any other number that does not follow
	// the head is ErrNumber. The caller still owns the slices.
	Keep(c *Change) error
	// Head returns the number of the last entry kept, 0 for none.
	Head() (uint64, error)
	// Since yields the entries numbered above seq, in the order of their numbers. What it yields is the caller's.
	Since(seq uint64) iter.Seq2[Numbered, error]
	// Before returns the newest checkpoint that ends before the place, or none, with all entries after that
	// checkpoint, in any order, and the memory. The oldest checkpoint is never dropped but by Void: a journal may
	// have begun from it.
	Before(p Place) (Stored, error)
	// Place returns where the entry with the id stands, and whether it is kept at all.
	Place(id entry.ID) (Place, bool, error)
	// Newest is Before for a place after all places: what a server starts from.
	Newest() (Stored, error)
	// Aside returns what was set aside, oldest first.
	Aside() ([]Aside, error)
	// Generation names this journal. It changes when a journal begins anew or is restored from a backup, so that
	// phones bring back what it lost. It is a UUIDv7.
	Generation() string
}

// Need names history that a server's core cannot do without: that before Before, and that around Entries.
type Need struct {
	Before  Place      // zero: none
	Entries []entry.ID // they may be kept, or not
}

// Fetch gets what is needed out of a keeper. It returns nil when nothing of it is kept.
func (n *Need) Fetch(k Keeper) (*Stored, error) {
	before := n.Before
	for _, id := range n.Entries {
		p, ok, err := k.Place(id)
		if err != nil {
			return nil, err
		}
		if ok && (before.IsZero() || p.Compare(before) < 0) {
			before = p
		}
	}
	if before.IsZero() {
		return nil, nil
	}
	s, err := k.Before(before)
	return &s, err
}
