// Package fail carries what went wrong three ways: a kind for code, a sentence for people, and the operation for us.
//
// The cook sees Sentence, the log gets Error, a handler reads KindOf.
package fail

import (
	"errors"
	"strings"
)

// Kind sorts failures by what must be done about them. The numbers only ever grow.
type Kind uint8

// Kinds of failures.
const (
	Other   Kind = iota
	Invalid      // what was sent cannot be right; sending it again does not help
	Refused      // whoever asks may not do this
	Missing      // there is no such thing
	Busy         // somebody else is at it, or it was tried too often; later it may work
	Storage      // the disk or the file on it
	Damaged      // stored bytes are not what was stored
	Newer        // written by a newer version of this program
	TooBig       // over a limit that the sentence names
)

var names = [...]string{"other", "invalid", "refused", "missing", "busy", "storage", "damaged", "newer", "too big"}

// String returns the kind's name as it stands in logs and answers.
func (k Kind) String() string {
	if int(k) < len(names) {
		return names[k]
	}
	return names[Other]
}

// Error is a failure.
type Error struct {
	Op       string // package and function: sqlite.Keep
	Kind     Kind
	Sentence string // for people: what is off, by how much, what to do
	Err      error  // what lay beneath, for the log; may be nil
}

// E makes a failure. err may be nil.
func E(op string, kind Kind, sentence string, err error) error {
	return &Error{Op: op, Kind: kind, Sentence: sentence, Err: err}
}

// Error returns the line for the log.
func (e *Error) Error() string {
	parts := []string{e.Op, e.Kind.String(), e.Sentence}
	if e.Err != nil {
		parts = append(parts, e.Err.Error())
	}
	return strings.Join(parts, ": ")
}

// Unwrap returns what lay beneath.
func (e *Error) Unwrap() error { return e.Err }

// KindOf returns the kind of the first failure in err's chain, Other if there is none.
func KindOf(err error) Kind {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Other
}

// Sentence returns what to tell people about err.
func Sentence(err error) string {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Sentence
	}
	return "Something went wrong inside the kitchen's server. Nothing that was shown as saved is lost. The server's log says more."
}
