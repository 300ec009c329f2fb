package journal

import (
	"errors"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

const baseFormat = 1

// TailLeast and TailMost bound the tail that a device keeps: when it has grown to TailMost, the base moves on until
// TailLeast are left. An undo, a usual correction and an entry from a phone that was out of touch for some hours then
// still fall within the tail, and what a joining device fetches stays small.
const (
	TailLeast = 512
	TailMost  = 1024
)

// KitchenLeast and KitchenMost are the same for the kitchen's server, which has the memory to hold a whole shift: what a
// phone brings that was out of touch for eight hours then needs no older history from the disk.
const (
	KitchenLeast = 1536
	KitchenMost  = 2560
)

// ErrBase says that the bytes of a base cannot be read.
var ErrBase = errors.New("journal: these are not the bytes of a base")

// AppendBase appends the bytes of a base.
func AppendBase(dst []byte, last Place, state []byte) []byte {
	dst = append(dst, baseFormat)
	dst = wire.Append(dst, &last)
	return append(dst, state...)
}

// ReadBase reads the bytes of a base; state shares their memory. No bytes are the base that nothing is folded into.
func ReadBase(src []byte) (last Place, state []byte, err error) {
	if len(src) == 0 {
		return Place{}, nil, nil
	}
	if src[0] != baseFormat {
		return Place{}, nil, ErrBase
	}
	if err := wire.Read(src[1:], &last); err != nil {
		return Place{}, nil, ErrBase
	}
	n := 1 + len(wire.Append(nil, &last))
	if n > len(src) {
		return Place{}, nil, ErrBase
	}
	return last, src[n:], nil
}

// Item is an entry in a log.
type Item struct {
	Entry  entry.Entry
	Seq    uint64 // 0: not numbered yet
	Record []byte
	target entry.ID // of a withdrawal or correction
}

// Place returns where the item stands.
func (i *Item) Place() Place { return PlaceOf(&i.Entry) }

// Numbered returns the item as it is kept.
func (i *Item) Numbered() Numbered { return Numbered{Seq: i.Seq, Record: i.Record} }

func compareItems(a, b *Item) int { return entry.Compare(&a.Entry, &b.Entry) }

// Log is a journal's base and tail. It folds only when the state is asked for. The zero value is an empty journal.
type Log struct {
	base   *kitchen.State // after last, not to be changed; nil: of an empty journal, or unread
	unread []byte         // the base's state, as long as nobody needs it: see Resume
	print  [16]byte       // digest of the base's bytes
	last   Place
	tail   []*Item // in canonical order
	fresh  []*Item // added since, not sorted in yet
	byID   map[entry.ID]*Item
	amends map[entry.ID][]*Item // withdrawals and corrections, by what they amend
	dirty  int                  // the state holds at most tail[:dirty] as it should
	clean  bool                 // dirty does not count
	state  *kitchen.State       // after tail[:folded]; nil: to be restored
	folded int
	snaps  []snapshot // by n, ascending
	work   uint64     // entries applied, for those who measure
	states uint64     // grows whenever state becomes another
	hashed uint64     // states when hash was worked out; 0: it was not
	hash   [16]byte
	bytes  []byte         // that were hashed last: memory for the next
	size   int            // room for the next state in bytes: a little more than the last took
	edits  uint64         // grows whenever states become others
	topped uint64         // edits when Top was worked out
	topAt  int            // states are folded from a top after tail[:topAt]; 0: from the base
	known  *kitchen.State // whose documents were read

	past   *kitchen.State // that Past returned last
	pastAt stamp.Milli
	pastOf uint64 // of states
}

// snapshot is a state kept so that an entry that comes late costs little.
type snapshot struct {
	n     int            // after tail[:n]
	state *kitchen.State // not to be changed
}

// Load replaces the journal by what a device holds. It returns the records that it did not take in: those that cannot
// be read or contradict another, and those without a number that the base may hold or not. Numbered ones before the
// base's end are in it. With a top of this base, that is not read before Resume says whether it is needed.
func (l *Log) Load(s *Stored) (rest []Numbered, err error) {
	last, state, err := ReadBase(s.Base)
	if err != nil {
		return nil, err
	}
	fresh := Log{last: last, work: l.work, print: wire.Digest(s.Base)}
	if len(state) > 0 && ofBase(s.Top, fresh.print) {
		fresh.unread = state
	} else if fresh.base, err = l.read(state); err != nil {
		return nil, err
	}
	*l = fresh
	for _, n := range s.Tail {
		rest = l.load(rest, n)
	}
	return rest, nil
}

// load takes in a record that a device holds, or else appends it to the rest.
func (l *Log) load(rest []Numbered, n Numbered) []Numbered {
	if a, err := l.Add(n); err != nil || a.Verdict == Clash || a.Verdict == Late && n.Seq == 0 {
		rest = append(rest, n)
	}
	return rest
}

// Verdict says what became of an added entry.
type Verdict uint8

// Verdicts.
const (
	New      Verdict = iota // it was not there
	Known                   // it was there already
	Renumber                // it was there without a number, and has one now
	Late                    // it stands before the end of the base: not taken in, older history is needed
	Clash                   // another entry has the same id: not taken in
)

// Added says what became of an added entry.
type Added struct {
	Verdict Verdict
	Item    *Item // that the log holds now, or the one that was refused
	// Need is set when a new entry amends one that is not in the tail, be it through others. If that is folded into the
	// base, the state is right only after the log was loaded with history that goes back before it.
	Need entry.ID
}

// Add takes in an entry. The log keeps the record. An error means that it is not a record.
func (l *Log) Add(n Numbered) (Added, error) {
	e, err := entry.ReadRecord(n.Record)
	if err != nil {
		return Added{}, err
	}
	item := &Item{Entry: e, Seq: n.Seq, Record: n.Record}
	if old := l.byID[e.ID]; old != nil {
		return l.again(old, item), nil
	}
	if item.Place().Compare(l.last) <= 0 {
		return Added{Verdict: Late, Item: item}, nil
	}
	if l.byID == nil {
		l.byID, l.amends = map[entry.ID]*Item{}, map[entry.ID][]*Item{}
	}
	l.byID[e.ID] = item
	l.fresh = append(l.fresh, item)
	return Added{Verdict: New, Item: item, Need: l.amend(item)}, nil
}

// again adds an entry whose id is known.
func (l *Log) again(old, item *Item) Added {
	switch {
	case string(old.Record) != string(item.Record):
		return Added{Verdict: Clash, Item: item}
	case old.Seq == 0 && item.Seq != 0:
		old.Seq = item.Seq
		return Added{Verdict: Renumber, Item: old}
	}
	return Added{Verdict: Known, Item: old}
}

// amend notes what item amends, if anything.
func (l *Log) amend(item *Item) (unknown entry.ID) {
	if item.target = TargetOf(&item.Entry); item.target.IsZero() {
		return entry.ID{}
	}
	l.amends[item.target] = append(l.amends[item.target], item)
	l.touch(item.target)
	return l.Lacks(item.target)
}

// Lacks follows an entry to what it amends, and what that amends in its turn, and returns the first that is not in the
// tail. It returns zero if all are, or if nothing is folded into the base.
func (l *Log) Lacks(id entry.ID) entry.ID {
	if l.last.IsZero() {
		return entry.ID{}
	}
	for range len(l.byID) + 1 { // ends: an entry amends what exists, but who knows what was written
		item := l.byID[id]
		if item == nil {
			return id
		}
		id = item.target
	}
	return entry.ID{}
}

// From returns the place from which on states change with an item: its own, or that of what it amends in its turn.
func (l *Log) From(item *Item) Place {
	place, id := item.Place(), item.target
	for range len(l.byID) {
		target := l.byID[id]
		if target == nil {
			break
		}
		if p := target.Place(); p.Compare(place) < 0 {
			place = p
		}
		id = target.target
	}
	return place
}

// TargetOf returns the id of the entry that e amends, zero if it amends none.
func TargetOf(e *entry.Entry) entry.ID {
	if e.Kind != entry.EntryWithdrawn && e.Kind != entry.EntryCorrected {
		return entry.ID{}
	}
	switch b, _ := e.Open(); b := b.(type) {
	case *entry.Withdrawal:
		return b.Entry
	case *entry.Correction:
		return b.Entry
	}
	return entry.ID{}
}

// touch makes the place of an entry, and of what that entry amends in its turn, dirty.
func (l *Log) touch(id entry.ID) {
	for range l.byID { // ends: an entry amends what exists, but who knows what was written
		item := l.byID[id]
		if item == nil {
			return
		}
		l.fromIndex(l.index(item))
		if id = item.target; id.IsZero() {
			return
		}
	}
}

// index returns where an item stands in the sorted tail, or will.
func (l *Log) index(item *Item) int {
	i, _ := slices.BinarySearchFunc(l.tail, item, compareItems)
	return i
}

// fromIndex says that the states after tail[:i] are right at most up to i.
func (l *Log) fromIndex(i int) {
	l.edits++
	if l.clean || i < l.dirty {
		l.dirty, l.clean = i, false
	}
}

// Remove takes an entry out again that was set aside.
func (l *Log) Remove(id entry.ID) {
	item := l.byID[id]
	if item == nil {
		return
	}
	l.settle()
	l.touch(id)
	l.settle()
	i := l.index(item)
	l.tail = slices.Delete(l.tail, i, i+1)
	delete(l.byID, id)
	if !item.target.IsZero() {
		list := l.amends[item.target]
		l.amends[item.target] = slices.DeleteFunc(list, func(o *Item) bool { return o == item })
	}
}

// settle sorts the fresh entries into the tail, and drops states that no longer hold.
func (l *Log) settle() {
	if len(l.fresh) > 0 {
		slices.SortFunc(l.fresh, compareItems)
		l.fromIndex(l.index(l.fresh[0]))
		if n := len(l.tail); n == 0 || compareItems(l.tail[n-1], l.fresh[0]) < 0 {
			l.tail = append(l.tail, l.fresh...)
		} else {
			l.tail = merge(l.tail, l.fresh)
		}
		l.fresh = l.fresh[:0]
	}
	if l.clean {
		return
	}
	if l.dirty < l.folded {
		l.state = nil
	}
	for len(l.snaps) > 0 && l.snaps[len(l.snaps)-1].n > l.dirty {
		l.snaps = l.snaps[:len(l.snaps)-1]
	}
	l.clean = true
}

func merge(a, b []*Item) []*Item {
	out := make([]*Item, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		if compareItems(a[0], b[0]) < 0 {
			out, a = append(out, a[0]), a[1:]
		} else {
			out, b = append(out, b[0]), b[1:]
		}
	}
	return append(append(out, a...), b...)
}

// Get returns the entry with the id if it is in the tail, else nil.
func (l *Log) Get(id entry.ID) *Item { return l.byID[id] }

// Tail returns the tail in canonical order. It is the log's: read it before the next Add.
func (l *Log) Tail() []*Item {
	l.settle()
	return l.tail
}

// Len returns how many entries the tail has.
func (l *Log) Len() int { return len(l.tail) + len(l.fresh) }

// BaseState returns the state that the base holds, for reading.
func (l *Log) BaseState() *kitchen.State {
	if l.unread != nil {
		l.base, l.unread = l.readBase(), nil
	}
	if l.base == nil {
		l.base = kitchen.New()
	}
	return l.base
}

// BaseBytes returns the bytes of the base, nil if nothing is folded into it.
func (l *Log) BaseBytes() []byte {
	if l.last.IsZero() {
		return nil
	}
	return AppendBase(nil, l.last, l.BaseState().Append(nil))
}

// Refold forgets all states but the base, so that the next State folds anew.
func (l *Log) Refold() { l.state, l.snaps = nil, nil }

// Last returns the place of the last entry folded into the base.
func (l *Log) Last() Place { return l.last }

// Work returns how many entries were applied so far.
func (l *Log) Work() uint64 { return l.work }
