// Package chain ties the journal's entries to one another, so that any later change to one of them shows.
//
// hash(0) is 32 zero bytes; hash(n) = SHA-256(hash(n-1) || canonical bytes of entry n).
package chain

import (
	"crypto/sha256"
	"fmt"
	"iter"
)

// Hash is a link of the chain.
type Hash [sha256.Size]byte

// Next returns the link of the entry whose canonical bytes are record, after prev.
func Next(prev Hash, record []byte) Hash {
	h := sha256.New()
	h.Write(prev[:])
	h.Write(record)
	return Hash(h.Sum(nil))
}

// Link is an entry as it is stored.
type Link struct {
	Seq    uint64 // the kitchen's number for it, from 1 on
	Record []byte // canonical bytes
	Hash   Hash   // as stored beside it
}

// Fault names an entry that is not as it was when it was kept.
type Fault struct {
	Seq uint64
	Why string
}

// Error implements error.
func (f *Fault) Error() string { return fmt.Sprintf("entry %d: %s", f.Seq, f.Why) }

// Report is what a walk along the chain found.
type Report struct {
	Entries uint64 // walked
	Head    Hash   // of the last
	First   *Fault // the first entry that is off, nil if all are right
	Faults  int    // how many are off
}

// Verify walks links, oldest first. It goes on after a fault from the hash that is stored there, so that one damaged
// entry does not hide the others. The error is what the links themselves reported; the report holds up to there.
func Verify(links iter.Seq2[Link, error]) (Report, error) {
	var r Report
	next := uint64(1)
	for l, err := range links {
		if err != nil {
			return r, err
		}
		if l.Seq != next {
			r.fault(next, missing(next, l.Seq))
		} else if Next(r.Head, l.Record) != l.Hash {
			r.fault(l.Seq, "its bytes do not agree with its hash: one of them was changed after it was kept")
		}
		r.Entries++
		r.Head, next = l.Hash, l.Seq+1
	}
	return r, nil
}

func missing(want, got uint64) string {
	if got < want {
		return fmt.Sprintf("number %d stands where this one belongs", got)
	}
	return fmt.Sprintf("missing; the next one there is %d", got)
}

func (r *Report) fault(seq uint64, why string) {
	if r.First == nil {
		r.First = &Fault{Seq: seq, Why: why}
	}
	r.Faults++
}
