// Package pairing decides which devices belong to the kitchen: a code that works once lets a phone in, and from then on
// the phone shows a key of its own.
//
// A code is six characters of Alphabet (about 29 bits), lasts CodeLife and lets exactly one device in. A key is 32
// random bytes, told to the device once; here only its SHA-256 is kept. All times are the server's wall clock in
// milliseconds since 1970, handed in.
package pairing

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"io"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"brinebell/internal/fail"
)

// Alphabet holds the characters of codes: none that look alike on a wet screen.
const Alphabet = "23456789ABCDEFGHJKMNPQRSTVWXYZ"

// Limits of pairing.
const (
	CodeLife   = 10 * time.Minute
	codeChars  = 6
	deviceLen  = 8
	NameMax    = 40 // characters of a device's name
	KeyBytes   = 32
	codesAlive = 8 // at most so many unused codes at a time; the oldest gives way
)

// Device is a device that belongs, or belonged, to the kitchen.
type Device struct {
	ID      string
	Name    string
	Wall    bool     // a wall screen
	KeyHash [32]byte // SHA-256 of its key
	Paired  int64    // when
	Revoked int64    // when it was shut out; 0: it belongs
}

// Book is where the desk keeps what must outlive a restart. All of it is durable when a method returns.
type Book interface {
	// KeepCode adds an unused code by its hash and forgets all but the newest keep of them.
	KeepCode(hash [32]byte, made, until int64, keep int) error
	// Admit uses up the code and adds the device, both or neither. It reports false if no unused code with this hash
	// is valid at now; of two callers with one code exactly one gets true. A nil hash admits without a code.
	Admit(hash *[32]byte, now int64, d Device) (bool, error)
	// Device finds a device; ErrUnknown if there is none.
	Device(id string) (Device, error)
	// Devices lists all, oldest pairing first.
	Devices() ([]Device, error)
	// Revoke marks a device as shut out. Doing it twice keeps the first time.
	Revoke(id string, now int64) error
}

// ErrUnknown says that the kitchen has no such device.
var ErrUnknown = errors.New("pairing: no such device")

// Standing is how a device stands to the kitchen.
type Standing uint8

// Standings.
const (
	Stranger Standing = iota // no such device, or not its key
	Paired
	Revoked // its key is right, but it was shut out
)

// Desk lets devices in.
type Desk struct {
	book   Book
	chance io.Reader
	tries  *limits
}

// NewDesk returns a desk over book. chance is nil for the system's randomness.
func NewDesk(book Book, chance io.Reader) *Desk {
	if chance == nil {
		chance = rand.Reader
	}
	return &Desk{book: book, chance: chance, tries: newLimits()}
}

// Code is a joining code.
type Code struct {
	Text  string // as shown: K7M 4QP
	Until int64
}

// NewCode makes a code.
func (d *Desk) NewCode(now int64) (Code, error) {
	text, err := d.word(codeChars)
	if err != nil {
		return Code{}, err
	}
	c := Code{Text: text[:codeChars/2] + " " + text[codeChars/2:], Until: now + CodeLife.Milliseconds()}
	return c, d.book.KeepCode(sha256.Sum256([]byte(text)), now, c.Until, codesAlive)
}

// word returns n characters of Alphabet, each equally likely.
func (d *Desk) word(n int) (string, error) {
	out := make([]byte, 0, n)
	var b [1]byte
	for len(out) < n {
		if _, err := io.ReadFull(d.chance, b[:]); err != nil {
			return "", err
		}
		if int(b[0]) < 256/len(Alphabet)*len(Alphabet) {
			out = append(out, Alphabet[int(b[0])%len(Alphabet)])
		}
	}
	return string(out), nil
}

// Application is a device's wish to join.
type Application struct {
	Code string // as typed
	Name string // of the device; "" gives it one
	Wall bool
	From string // network address, for the rate limit
	Free bool   // needs no code: the demo kitchen on this machine
}

// Ticket is what a device gets when it joins. Nobody can tell it its key again.
type Ticket struct {
	Device Device
	Key    []byte
}

// Join lets a device in, or says why not.
func (d *Desk) Join(a Application, now int64) (Ticket, error) {
	const op = "pairing.Join"
	if !a.Free {
		if wait := d.tries.take(a.From, now); wait > 0 {
			return Ticket{}, tooOften(op, wait)
		}
	}
	name, err := cleanName(a.Name)
	if err != nil {
		return Ticket{}, err
	}
	t, err := d.ticket(name, a.Wall, now)
	if err != nil {
		return Ticket{}, err
	}
	var hash *[32]byte
	if !a.Free {
		h := sha256.Sum256([]byte(tidyCode(a.Code)))
		hash = &h
	}
	ok, err := d.book.Admit(hash, now, t.Device)
	if err != nil {
		return Ticket{}, err
	}
	if !ok {
		return Ticket{}, fail.E(op, fail.Refused,
			"This code does not let a device in: it is mistyped, used already, or older than 10 minutes. Ask the lead for a new one.", nil)
	}
	d.tries.right(a.From)
	return t, nil
}

func (d *Desk) ticket(name string, wall bool, now int64) (Ticket, error) {
	id, err := d.word(deviceLen)
	if err != nil {
		return Ticket{}, err
	}
	key := make([]byte, KeyBytes)
	if _, err := io.ReadFull(d.chance, key); err != nil {
		return Ticket{}, err
	}
	id = strings.ToLower(id)
	if name == "" {
		name = "Device " + strings.ToUpper(id[:3])
	}
	return Ticket{Device{ID: id, Name: name, Wall: wall, KeyHash: sha256.Sum256(key), Paired: now}, key}, nil
}

// tidyCode forgives what fingers do to a code: lower case, spaces, dashes.
func tidyCode(s string) string {
	return strings.Map(func(r rune) rune {
		switch r = unicode.ToUpper(r); {
		case strings.ContainsRune(Alphabet, r):
			return r
		case unicode.IsSpace(r) || unicode.Is(unicode.Dash, r):
			return -1
		}
		return '?'
	}, s)
}

func cleanName(s string) (string, error) {
	const op = "pairing.Join"
	s = strings.Join(strings.Fields(s), " ")
	if n := utf8.RuneCountInString(s); n > NameMax {
		return "", fail.E(op, fail.Invalid, countSentence(n), nil)
	}
	strange := func(r rune) bool { return !unicode.IsPrint(r) }
	if !utf8.ValidString(s) || strings.ContainsFunc(s, strange) {
		return "", fail.E(op, fail.Invalid, "A device's name holds letters, digits and usual signs only.", nil)
	}
	return s, nil
}

// Standing tells whether key is the key of device, and whether it still belongs.
func (d *Desk) Standing(device string, key []byte) (Standing, error) {
	dev, err := d.book.Device(device)
	if errors.Is(err, ErrUnknown) {
		return Stranger, nil
	}
	if err != nil {
		return Stranger, err
	}
	hash := sha256.Sum256(key)
	switch {
	case subtle.ConstantTimeCompare(hash[:], dev.KeyHash[:]) != 1:
		return Stranger, nil
	case dev.Revoked != 0:
		return Revoked, nil
	}
	return Paired, nil
}

// Revoke shuts a device out.
func (d *Desk) Revoke(device string, now int64) error { return d.book.Revoke(device, now) }

// Devices lists all devices, oldest pairing first.
func (d *Desk) Devices() ([]Device, error) { return d.book.Devices() }
