package journal

import (
	"bytes"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/wire"
)

// A top is a state that was folded before, and of what: a device keeps one beside its journal, so that its next start need
// not fold again what the last one did. It is never needed and never believed without proof: Resume takes it only where
// base and entries are those it was folded from. Its bytes are good for the build that wrote them:
//
//	1 byte   format, 1
//	16 bytes digest of the base's bytes
//	16 bytes digest of the first entries of the tail, as many as that
//	varint   how many
//	...      the state's canonical bytes after them
const (
	topFormat = 1
	topHead   = 1 + 2*16
)

// Top returns the state after all entries as bytes for Resume. It folds.
func (l *Log) Top() []byte {
	state := l.State()
	l.topped = l.edits
	dst := append(append([]byte{topFormat}, l.print[:]...), l.printOf(len(l.tail))...)
	return state.Append(wire.AppendUvarint(dst, uint64(len(l.tail))))
}

// TopDue tells whether the journal has changed since the last Top.
func (l *Log) TopDue() bool {
	l.settle()
	return l.topped != l.edits
}

// printOf is a digest of the first n entries of the tail.
func (l *Log) printOf(n int) []byte {
	prints := make([]byte, 0, 16*n)
	for _, item := range l.tail[:n] {
		print := wire.Digest(item.Record)
		prints = append(prints, print[:]...)
	}
	print := wire.Digest(prints)
	return print[:]
}

// ofBase tells whether a top was folded from a base of this digest.
func ofBase(top []byte, print [16]byte) bool {
	return len(top) > topHead && top[0] == topFormat && bytes.Equal(top[1:17], print[:])
}

// Resume begins from a top rather than from the base, as far as it holds: it must be folded from this base, and from entries that
// are all here, and are the first ones. What came since and amends one of those is folded as ever. It comes after Load, which
// was given the same top, and after what is to be removed was; an error means that the base cannot be read.
func (l *Log) Resume(top []byte) error {
	l.settle()
	if len(l.snaps) > 0 || l.state != nil {
		return nil // it went on from what it had folded
	}
	if ofBase(top, l.print) {
		n, state, err := wire.TakeUvarint(top[topHead:])
		if err == nil && n > 0 && n <= uint64(len(l.tail)) && bytes.Equal(l.printOf(int(n)), top[17:topHead]) && l.resume(int(n), state) {
			return nil
		}
	}
	if l.unread == nil {
		return nil
	}
	base, err := l.read(l.unread)
	if err == nil {
		l.base, l.unread = base, nil
	}
	return err
}

// resume begins after the first n entries.
func (l *Log) resume(n int, state []byte) bool {
	s, err := l.read(state)
	if err != nil {
		return false
	}
	if n == len(l.tail) {
		l.topped = l.edits
	}
	l.state, l.folded, l.snaps, l.topAt, l.known = nil, 0, []snapshot{{n, s}}, n, s
	for _, item := range l.tail[n:] {
		l.touch(item.target)
	}
	return true
}

// GoOn does what Load does for a device that holds all that this log holds, under the same base, and perhaps more: what was read
// and folded stays. It reports whether that is so; if not it has done nothing.
func (l *Log) GoOn(s *Stored) (rest []Numbered, ok bool) {
	if !l.under(s.Base) {
		return nil, false
	}
	here := make(map[*Item]uint64, len(l.byID))
	var more []Numbered
	for _, n := range s.Tail {
		if item := l.holds(n); item != nil {
			here[item] = n.Seq
		} else {
			more = append(more, n)
		}
	}
	if len(here) != len(l.byID) {
		return nil, false
	}
	for item, seq := range here {
		item.Seq = seq
	}
	for _, n := range more {
		rest = l.load(rest, n)
	}
	return rest, true
}

// under tells whether the log's base is the one of these bytes. To compare them is quicker than to digest them, where they are here.
func (l *Log) under(base []byte) bool {
	if l.unread == nil {
		return wire.Digest(base) == l.print
	}
	last, state, err := ReadBase(base)
	return err == nil && last == l.last && bytes.Equal(state, l.unread)
}

// holds returns the item of just this record, nil if there is none.
func (l *Log) holds(n Numbered) *Item {
	if len(n.Record) < 17 {
		return nil
	}
	if item := l.byID[n.ID()]; item != nil && string(item.Record) == string(n.Record) {
		return item
	}
	return nil
}

// readBase reads a base that was not needed yet.
func (l *Log) readBase() *kitchen.State {
	s, err := l.read(l.unread)
	if err != nil {
		panic("journal: a base that was folded from before cannot be read: " + err.Error()) // the shell starts again, without the top
	}
	return s
}
