package journal

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Between two snapshots are at least snapEvery entries: a snapshot costs about as much as folding fifteen.
const snapEvery = 64

// State returns the state after all entries. It is the log's: it changes with the next Add and State, and must not be
// written to.
func (l *Log) State() *kitchen.State {
	l.settle()
	l.restore(len(l.tail))
	for l.folded < len(l.tail) {
		item := l.tail[l.folded]
		l.state.Apply(&item.Entry, l.amended(item))
		l.folded++
		l.work++
		l.states++
		l.snap()
	}
	return l.state
}

// restore makes state hold what is right nearest before n.
func (l *Log) restore(n int) {
	if l.state != nil && l.folded <= n {
		return
	}
	var at snapshot
	if i := l.snapBefore(n); i >= 0 {
		at = l.snaps[i]
	} else {
		at.state, l.topAt = l.BaseState(), 0
	}
	l.state, l.folded = at.state.Clone(), at.n
	l.states++
}

// read reads a state that a device or the kitchen wrote, nil being the empty one. What the last one had read out of
// documents is not read again.
func (l *Log) read(state []byte) (*kitchen.State, error) {
	s := kitchen.New()
	if state != nil {
		var err error
		if s, err = kitchen.Read(state); err != nil {
			return nil, err
		}
	}
	s.Share(cmp.Or(l.base, l.known))
	return s, nil
}

// snapBefore returns the last snapshot that stands at n or before, -1 if there is none.
func (l *Log) snapBefore(n int) int {
	i, found := slices.BinarySearchFunc(l.snaps, n, func(s snapshot, n int) int { return cmp.Compare(s.n, n) })
	if !found {
		i--
	}
	return i
}

// snap takes a snapshot when one is due. They stand the closer the nearer the end, since most late entries are only a
// little late; so there are few, and a late entry costs a fold of about a quarter more than what follows it at most.
func (l *Log) snap() {
	before := 0
	if n := len(l.snaps); n > 0 {
		before = l.snaps[n-1].n
	}
	if l.folded-before < l.gap(l.folded) {
		return
	}
	l.snaps = append(l.snaps, snapshot{l.folded, l.state.Clone()})
	for i := len(l.snaps) - 2; i > 0; i-- {
		if after := l.snaps[i+1].n; after-l.snaps[i-1].n <= l.gap(after) {
			l.snaps = slices.Delete(l.snaps, i, i+1)
		}
	}
}

// gap returns how far before n the snapshot before may stand.
func (l *Log) gap(n int) int { return max(snapEvery, (len(l.tail)-n)/4) }

// amended says what the entries known make of an item. A withdrawal or correction counts only when it stands after
// what it amends, and was not itself withdrawn.
func (l *Log) amended(item *Item) kitchen.Amended {
	var a kitchen.Amended
	var by *Item
	for _, m := range l.amends[item.Entry.ID] {
		if compareItems(m, item) <= 0 || l.withdrawn(m) {
			continue
		}
		if m.Entry.Kind == entry.EntryWithdrawn {
			a.Withdrawn = true
		} else if by == nil || compareItems(by, m) < 0 {
			by = m
		}
	}
	if by != nil {
		a.By = &by.Entry
	}
	return a
}

func (l *Log) withdrawn(item *Item) bool {
	for _, m := range l.amends[item.Entry.ID] {
		if m.Entry.Kind == entry.EntryWithdrawn && compareItems(m, item) > 0 && !l.withdrawn(m) {
			return true
		}
	}
	return false
}

// Bytes returns the canonical bytes of the state after all entries.
func (l *Log) Bytes() []byte {
	b := l.State().Append(make([]byte, 0, l.size))
	l.size = len(b) + len(b)/16
	return b
}

// Hash returns a hash of Bytes, see wire.Digest. It is worked out once for each state, since every phone asks the kitchen for it.
func (l *Log) Hash() [16]byte {
	s := l.State()
	if l.hashed != l.states {
		l.bytes = s.Append(l.bytes[:0])
		l.hash, l.hashed = wire.Digest(l.bytes), l.states
	}
	return l.hash
}

// Cut returns a base with at least least entries after it, and where its tail begins in Tail. Like Advance it does not go
// past an instant. It folds.
func (l *Log) Cut(least int, until stamp.Milli) (base []byte, tail int) {
	l.State()
	i := l.snapBefore(min(len(l.tail)-least, l.firstAfter(until)))
	if i < 0 {
		return l.BaseBytes(), 0
	}
	s := l.snaps[i]
	return AppendBase(nil, l.tail[s.n-1].Place(), s.state.Append(nil)), s.n
}

// Advance moves the base on when the tail has grown to most, so that about least are left, never past an entry without
// a number, nor past an instant: with a base that ends in the future because of one wrong clock, whatever comes after would
// be late. It returns the new base, nil when it did not move. It folds.
func (l *Log) Advance(least, most int, until stamp.Milli) *Base {
	if l.Len() < most {
		return nil
	}
	l.State()
	end := min(len(l.tail)-least, l.firstAfter(until))
	if i := slices.IndexFunc(l.tail, func(i *Item) bool { return i.Seq == 0 }); i >= 0 {
		end = min(end, i)
	}
	i := l.snapBefore(end)
	if i < 0 && l.topAt > end && end >= snapEvery { // nothing was folded here before the top
		l.Refold()
		l.State()
		i = l.snapBefore(end)
	}
	if i < 0 {
		return nil
	}
	l.moveTo(l.snaps[i])
	base := l.BaseBytes()
	l.print = wire.Digest(base)
	return &Base{State: base, Last: l.last}
}

// firstAfter returns where the first entry after an instant stands in the tail.
func (l *Log) firstAfter(at stamp.Milli) int {
	i, _ := slices.BinarySearchFunc(l.tail, at, func(i *Item, at stamp.Milli) int { return cmp.Compare(i.Entry.At.At, at+1) })
	return i
}

// moveTo makes a snapshot the base.
func (l *Log) moveTo(s snapshot) {
	for _, item := range l.tail[:s.n] {
		delete(l.byID, item.Entry.ID)
		delete(l.amends, item.Entry.ID)
		if l.byID[item.target] == nil {
			delete(l.amends, item.target)
		}
	}
	l.base, l.unread, l.last = s.state, nil, l.tail[s.n-1].Place()
	l.edits++
	l.tail = slices.Clone(l.tail[s.n:])
	l.folded -= s.n
	l.topAt = max(0, l.topAt-s.n)
	l.snaps = slices.DeleteFunc(l.snaps, func(o snapshot) bool { return o.n <= s.n })
	for i := range l.snaps {
		l.snaps[i].n -= s.n
	}
}

// Past returns the state at an instant, by folding the entries up to it alone: what was corrected or taken back later is
// as it was. It returns nil when the base reaches beyond the instant, since what was before is not here. It is not to be
// changed, and holds until the next Past.
func (l *Log) Past(at stamp.Milli) *kitchen.State {
	if at < l.last.At.At {
		return nil
	}
	l.State() // settles the tail, and says which state it is
	if l.past != nil && l.pastOf == l.states && l.pastAt == at {
		return l.past
	}
	then := Log{base: l.BaseState(), last: l.last}
	for _, item := range l.tail[:l.firstAfter(at)] {
		_, _ = then.Add(item.Numbered()) // it was read before
	}
	l.past, l.pastOf, l.pastAt = then.State(), l.states, at
	return l.past
}
