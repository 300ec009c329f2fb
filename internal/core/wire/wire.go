// Package wire turns records into bytes and JSON and back, from one description of their fields.
//
// A type describes itself once, in a method Fields(*Coder), naming each field in order. The same walk then writes the
// compact binary form, reads it, writes JSON for people, and reads JSON back. Binary fields have no tags: new fields
// are only ever added at the end of a type's walk, and a reader that meets the end of the bytes leaves the rest zero.
//
// Binary forms: unsigned integers are LEB128 varints, signed ones zigzag varints, strings and byte strings carry
// their length first, lists their count, booleans are one byte.
package wire

import "errors"

// ErrShort says that the bytes ended within a field.
var ErrShort = errors.New("wire: the bytes end within a field")

// ErrBad says that the bytes cannot be what was expected.
var ErrBad = errors.New("wire: the bytes are not what was expected")

// listMax bounds the length of any list, so that a few hostile bytes cannot ask for gigabytes.
const listMax = 1 << 20

type mode uint8

const (
	writeBytes mode = iota
	readBytes
	writeJSON
	readJSON
)

// Fielder is a type that can walk its own fields.
type Fielder interface{ Fields(c *Coder) }

// Coder walks the fields of a value in one direction. Use Append, Read, AppendJSON or ReadJSON.
type Coder struct {
	mode mode
	out  []byte
	in   []byte
	err  error
	json jsonWalk
}

// Append appends the binary form of v to dst.
func Append(dst []byte, v Fielder) []byte {
	c := Coder{mode: writeBytes, out: dst}
	v.Fields(&c)
	return c.out
}

// Read fills v from its binary form. Bytes beyond the fields that this version knows are ignored, so that a newer
// writer may add fields; fields beyond the end of the bytes keep their zero value.
func Read(src []byte, v Fielder) error {
	c := Coder{mode: readBytes, in: src}
	v.Fields(&c)
	return c.err
}

// Reading tells a walk that it fills the value rather than writing it.
func (c *Coder) Reading() bool { return c.mode == readBytes || c.mode == readJSON }

// Err returns the first thing that went wrong.
func (c *Coder) Err() error { return c.err }

// Fail makes the walk fail; walks use it to refuse impossible values.
func (c *Coder) Fail(err error) {
	if c.err == nil {
		c.err = err
	}
}

func (c *Coder) done() bool { return c.err != nil || len(c.in) == 0 }

func (c *Coder) uvarint() uint64 {
	var v uint64
	for shift := uint(0); shift < 64; shift += 7 {
		if len(c.in) == 0 {
			c.Fail(ErrShort)
			return 0
		}
		b := c.in[0]
		c.in = c.in[1:]
		v |= uint64(b&0x7f) << shift
		if b < 0x80 {
			if shift == 63 && b > 1 {
				break
			}
			return v
		}
	}
	c.Fail(ErrBad)
	return 0
}

// AppendUvarint appends v as a LEB128 varint.
func AppendUvarint(dst []byte, v uint64) []byte {
	for v >= 0x80 {
		dst = append(dst, byte(v)|0x80)
		v >>= 7
	}
	return append(dst, byte(v))
}

// TakeUvarint reads a LEB128 varint and returns the rest.
func TakeUvarint(src []byte) (uint64, []byte, error) {
	c := Coder{mode: readBytes, in: src}
	v := c.uvarint()
	return v, c.in, c.err
}

// TakeBytes reads a length and that many bytes, which share src's memory, and returns the rest.
func TakeBytes(src []byte) (b, rest []byte, err error) {
	c := Coder{mode: readBytes, in: src}
	b = c.take()
	return b, c.in, c.err
}

// AppendBytes appends the length of b and b.
func AppendBytes(dst, b []byte) []byte { return append(AppendUvarint(dst, uint64(len(b))), b...) }

func (c *Coder) take() []byte {
	n := c.uvarint()
	if c.err != nil {
		return nil
	}
	if n > uint64(len(c.in)) {
		c.Fail(ErrShort)
		return nil
	}
	b := c.in[:n:n]
	c.in = c.in[n:]
	return b
}

func zigzag(v int64) uint64   { return uint64(v<<1) ^ uint64(v>>63) }
func unzigzag(u uint64) int64 { return int64(u>>1) ^ -int64(u&1) }

// Int walks a signed integer of any size.
func Int[T ~int | ~int8 | ~int16 | ~int32 | ~int64](c *Coder, name string, v *T) {
	switch c.mode {
	case writeBytes:
		c.out = AppendUvarint(c.out, zigzag(int64(*v)))
	case readBytes:
		if c.done() {
			return
		}
		n := unzigzag(c.uvarint())
		if int64(T(n)) != n {
			c.Fail(ErrBad)
			return
		}
		*v = T(n)
	case writeJSON:
		c.json.writeInt(name, int64(*v))
	case readJSON:
		n := c.json.readInt(c, name, int64(*v))
		if int64(T(n)) != n {
			c.Fail(ErrBad)
			return
		}
		*v = T(n)
	}
}

// Uint walks an unsigned integer of any size.
func Uint[T ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64](c *Coder, name string, v *T) {
	switch c.mode {
	case writeBytes:
		c.out = AppendUvarint(c.out, uint64(*v))
	case readBytes:
		if c.done() {
			return
		}
		n := c.uvarint()
		if uint64(T(n)) != n {
			c.Fail(ErrBad)
			return
		}
		*v = T(n)
	case writeJSON:
		c.json.writeInt(name, int64(*v))
	case readJSON:
		n := c.json.readInt(c, name, int64(*v))
		if n < 0 || uint64(T(n)) != uint64(n) {
			c.Fail(ErrBad)
			return
		}
		*v = T(n)
	}
}

// Str walks a string.
func Str[T ~string](c *Coder, name string, v *T) {
	switch c.mode {
	case writeBytes:
		c.out = AppendUvarint(c.out, uint64(len(*v)))
		c.out = append(c.out, *v...)
	case readBytes:
		if c.done() {
			return
		}
		*v = T(c.take())
	case writeJSON:
		c.json.writeString(name, string(*v))
	case readJSON:
		*v = T(c.json.readString(c, name, string(*v)))
	}
}

// Bytes walks a byte string; in JSON it is lower-case hexadecimal.
func (c *Coder) Bytes(name string, v *[]byte) {
	switch c.mode {
	case writeBytes:
		c.out = AppendBytes(c.out, *v)
	case readBytes:
		if c.done() {
			return
		}
		if b := c.take(); len(b) > 0 {
			*v = append([]byte(nil), b...)
		}
	case writeJSON:
		c.json.writeString(name, Hex(*v))
	case readJSON:
		if s := c.json.readString(c, name, ""); s != "" {
			b, ok := FromHex(s)
			if !ok {
				c.Fail(ErrBad)
				return
			}
			*v = b
		}
	}
}

// Fixed walks exactly len(v) bytes; in JSON they are lower-case hexadecimal.
func (c *Coder) Fixed(name string, v []byte) {
	switch c.mode {
	case writeBytes:
		c.out = append(c.out, v...)
	case readBytes:
		if c.done() {
			return
		}
		if len(c.in) < len(v) {
			c.Fail(ErrShort)
			return
		}
		copy(v, c.in)
		c.in = c.in[len(v):]
	case writeJSON:
		c.json.writeString(name, Hex(v))
	case readJSON:
		if s := c.json.readString(c, name, ""); s != "" && !decodeHex(v, s) {
			c.Fail(ErrBad)
		}
	}
}

// Bool walks a truth value.
func (c *Coder) Bool(name string, v *bool) {
	switch c.mode {
	case writeBytes:
		b := byte(0)
		if *v {
			b = 1
		}
		c.out = append(c.out, b)
	case readBytes:
		if c.done() {
			return
		}
		if c.in[0] > 1 {
			c.Fail(ErrBad)
			return
		}
		*v = c.in[0] == 1
		c.in = c.in[1:]
	case writeJSON:
		c.json.writeBool(name, *v)
	case readJSON:
		*v = c.json.readBool(c, name, *v)
	}
}

// List walks a list, each element with walk. What does not depend on T is in list: each T costs a phone its own copy.
func List[T any](c *Coder, name string, v *[]T, walk func(c *Coder, e *T)) {
	grow := func(n int) {
		if *v = append(*v, make([]T, n)...); n == 0 {
			*v = nil
		}
	}
	c.list(name, len(*v), grow, func(i int) { walk(c, &(*v)[i]) })
}

// list walks a list of n elements with at. When it reads it first makes room with grow; grow(0) empties the list.
func (c *Coder) list(name string, n int, grow, at func(int)) {
	switch c.mode {
	case writeBytes:
		c.out = AppendUvarint(c.out, uint64(n))
		for i := range n {
			at(i)
		}
	case readBytes:
		c.listFromBytes(grow, at)
	case writeJSON:
		c.json.openList(name)
		for i := range n {
			at(i)
		}
		c.json.closeList()
	case readJSON:
		if more := c.json.enterList(c, name); more > 0 {
			grow(more)
			for i := range more {
				at(n + i)
				c.json.nextElement()
			}
		}
		c.json.leave()
	}
}

func (c *Coder) listFromBytes(grow, at func(int)) {
	if c.done() {
		return
	}
	n := c.uvarint()
	if n > listMax || n > uint64(len(c.in)) {
		c.Fail(ErrBad)
		return
	}
	grow(0)
	if n == 0 || c.err != nil {
		return
	}
	grow(int(n))
	for i := range int(n) {
		if c.done() {
			c.Fail(ErrShort)
			return
		}
		at(i)
	}
}

// Struct is a walk for List over elements that walk themselves; in JSON each becomes an object.
func Struct[T any, P interface {
	*T
	Fielder
}](c *Coder, e *T) {
	Nest(c, "", P(e))
}

// Nest walks a value within a value. In binary it is simply in place, so a nested type must not grow: list elements
// that may grow are walked with Framed.
func Nest(c *Coder, name string, v Fielder) {
	switch c.mode {
	case writeJSON:
		c.json.openObject(name)
		v.Fields(c)
		c.json.closeObject()
	case readJSON:
		if c.json.enterObject(c, name) {
			v.Fields(c)
			c.json.leave()
		}
	default:
		v.Fields(c)
	}
}

// Framed is a walk for List like Struct, but carries each element's length, so that fields can be added to it later.
func Framed[T any, P interface {
	*T
	Fielder
}](c *Coder, e *T) {
	c.framed(P(e))
}

//go:noinline
func (c *Coder) framed(v Fielder) {
	switch c.mode {
	case writeBytes:
		at := len(c.out)
		c.out = Append(append(c.out, 0), v) // its length, which mostly is one byte
		size := len(c.out) - at - 1
		var head [10]byte
		length := AppendUvarint(head[:0], uint64(size))
		c.out = append(c.out, length[1:]...)
		copy(c.out[at+len(length):], c.out[at+1:at+1+size])
		copy(c.out[at:], length)
	case readBytes:
		if b := c.take(); c.err == nil {
			c.Fail(Read(b, v))
		}
	default:
		Nest(c, "", v)
	}
}

// Word is a walk for List over strings.
func Word[T ~string](c *Coder, e *T) { Str(c, "", e) }
