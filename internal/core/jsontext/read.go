// Package jsontext reads and writes JSON (RFC 8259) without reflection, small enough to be carried by every phone.
//
// The reader keeps where each value stood, so that a fault in a document can be named by line; it refuses duplicate
// names, more than DepthMax levels and anything after the value.
package jsontext

import (
	"strconv"
	"unicode/utf8"
)

// DepthMax is the deepest nesting that is read.
const DepthMax = 64

// Kind is what a value is.
type Kind uint8

// Kinds of values.
const (
	Null Kind = iota
	Bool
	Number
	String
	List
	Object
)

// Value is one JSON value and where it stood.
type Value struct {
	Kind   Kind
	Bool   bool
	Text   string // of a String, unescaped; of a Number, as written
	Items  []Value
	Names  []string // of an Object, parallel to Items
	Offset int      // of its first byte
	End    int      // of the first byte after it
}

// Get returns the member called name, or nil.
func (v *Value) Get(name string) *Value {
	if v == nil || v.Kind != Object {
		return nil
	}
	for i, n := range v.Names {
		if n == name {
			return &v.Items[i]
		}
	}
	return nil
}

// Str returns the text of the member called name if it is a string, else "".
func (v *Value) Str(name string) string {
	if m := v.Get(name); m != nil && m.Kind == String {
		return m.Text
	}
	return ""
}

// Int returns the member called name if it is a whole number, else 0.
func (v *Value) Int(name string) int64 {
	n, _ := v.Get(name).Whole()
	return n
}

// True tells whether the member called name is true.
func (v *Value) True(name string) bool {
	m := v.Get(name)
	return m != nil && m.Kind == Bool && m.Bool
}

// List returns the elements of the member called name, nil if it is no list.
func (v *Value) List(name string) []Value {
	if m := v.Get(name); m != nil && m.Kind == List {
		return m.Items
	}
	return nil
}

// Whole returns the value as a whole number, if it is one that fits 64 bits.
func (v *Value) Whole() (int64, bool) {
	if v == nil || v.Kind != Number {
		return 0, false
	}
	n, err := strconv.ParseInt(v.Text, 10, 64)
	return n, err == nil
}

// A Fault says what is wrong with a JSON text and where.
type Fault struct {
	Offset int
	What   string
}

// Error implements error.
func (f *Fault) Error() string { return "at byte " + strconv.Itoa(f.Offset) + ": " + f.What }

// Line returns the line, counted from 1, on which offset stands in text.
func Line(text []byte, offset int) int {
	line := 1
	for i := 0; i < offset && i < len(text); i++ {
		if text[i] == '\n' {
			line++
		}
	}
	return line
}

// Read reads one value, which must be all there is.
func Read(text []byte) (Value, error) {
	r := reader{text: text}
	r.space()
	v, err := r.value(0)
	if err != nil {
		return Value{}, err
	}
	r.space()
	if r.at != len(text) {
		return Value{}, r.fault("there is more after the end of the value")
	}
	return v, nil
}

type reader struct {
	text []byte
	at   int
}

func (r *reader) fault(what string) error { return &Fault{Offset: r.at, What: what} }

func (r *reader) peek() byte {
	if r.at < len(r.text) {
		return r.text[r.at]
	}
	return 0
}

func (r *reader) space() {
	for r.at < len(r.text) {
		switch r.text[r.at] {
		case ' ', '\t', '\r', '\n':
			r.at++
		default:
			return
		}
	}
}

func (r *reader) value(depth int) (Value, error) {
	if depth > DepthMax {
		return Value{}, r.fault("nested more than " + strconv.Itoa(DepthMax) + " deep")
	}
	v := Value{Offset: r.at}
	var err error
	switch b := r.peek(); {
	case b == '{':
		err = r.object(&v, depth)
	case b == '[':
		err = r.list(&v, depth)
	case b == '"':
		v.Kind = String
		v.Text, err = r.str()
	case b == '-' || b >= '0' && b <= '9':
		v.Kind = Number
		v.Text, err = r.number()
	case r.word("true"):
		v.Kind, v.Bool = Bool, true
	case r.word("false"):
		v.Kind = Bool
	case r.word("null"):
	case r.at >= len(r.text):
		err = r.fault("the text ends where a value should stand")
	default:
		err = r.fault("no value can begin like this")
	}
	v.End = r.at
	return v, err
}

func (r *reader) word(w string) bool {
	if len(r.text)-r.at >= len(w) && string(r.text[r.at:r.at+len(w)]) == w {
		r.at += len(w)
		return true
	}
	return false
}

func (r *reader) object(v *Value, depth int) error {
	v.Kind = Object
	r.at++
	r.space()
	if r.peek() == '}' {
		r.at++
		return nil
	}
	for {
		if r.peek() != '"' {
			return r.fault("a name in double quotes should stand here")
		}
		start := r.at
		name, err := r.str()
		if err != nil {
			return err
		}
		if v.Get(name) != nil {
			r.at = start
			return r.fault("the name " + strconv.Quote(name) + " stands twice in one object")
		}
		r.space()
		if r.peek() != ':' {
			return r.fault("a colon should stand here")
		}
		r.at++
		r.space()
		item, err := r.value(depth + 1)
		if err != nil {
			return err
		}
		v.Names = append(v.Names, name)
		v.Items = append(v.Items, item)
		if more, err := r.more('}'); err != nil || !more {
			return err
		}
	}
}

func (r *reader) list(v *Value, depth int) error {
	v.Kind = List
	r.at++
	r.space()
	if r.peek() == ']' {
		r.at++
		return nil
	}
	for {
		item, err := r.value(depth + 1)
		if err != nil {
			return err
		}
		v.Items = append(v.Items, item)
		if more, err := r.more(']'); err != nil || !more {
			return err
		}
	}
}

func (r *reader) more(end byte) (bool, error) {
	r.space()
	switch r.peek() {
	case ',':
		r.at++
		r.space()
		return true, nil
	case end:
		r.at++
		return false, nil
	}
	return false, r.fault("a comma or " + string(rune(end)) + " should stand here")
}

func (r *reader) digits() bool {
	start := r.at
	for b := r.peek(); b >= '0' && b <= '9'; b = r.peek() {
		r.at++
	}
	return r.at > start
}

func (r *reader) number() (string, error) {
	start := r.at
	if r.peek() == '-' {
		r.at++
	}
	if r.peek() == '0' {
		r.at++
	} else if !r.digits() {
		return "", r.fault("a digit should stand here")
	}
	if r.peek() == '.' {
		r.at++
		if !r.digits() {
			return "", r.fault("a digit should follow the point")
		}
	}
	if b := r.peek(); b == 'e' || b == 'E' {
		r.at++
		if b := r.peek(); b == '+' || b == '-' {
			r.at++
		}
		if !r.digits() {
			return "", r.fault("a digit should stand in the exponent")
		}
	}
	return string(r.text[start:r.at]), nil
}

func (r *reader) str() (string, error) {
	r.at++
	start := r.at
	for r.at < len(r.text) { // the usual string has nothing to unescape
		switch b := r.text[r.at]; {
		case b == '"':
			s := r.text[start:r.at]
			if !utf8.Valid(s) {
				return "", r.fault("the text is not UTF-8")
			}
			r.at++
			return string(s), nil
		case b == '\\':
			return r.escaped(append([]byte(nil), r.text[start:r.at]...))
		case b < ' ':
			return "", r.fault("a control character must be escaped")
		}
		r.at++
	}
	return "", r.fault("the text ends within a string")
}

func (r *reader) escaped(out []byte) (string, error) {
	for r.at < len(r.text) {
		b := r.text[r.at]
		r.at++
		switch {
		case b == '"':
			if !utf8.Valid(out) {
				return "", r.fault("the text is not UTF-8")
			}
			return string(out), nil
		case b < ' ':
			return "", r.fault("a control character must be escaped")
		case b != '\\':
			out = append(out, b)
		default:
			var err error
			if out, err = r.escape(out); err != nil {
				return "", err
			}
		}
	}
	return "", r.fault("the text ends within a string")
}

func (r *reader) escape(out []byte) ([]byte, error) {
	const short, meant = `"\/bfnrt`, "\"\\/\b\f\n\r\t"
	b := r.peek()
	r.at++
	for i := range len(short) {
		if short[i] == b {
			return append(out, meant[i]), nil
		}
	}
	if b != 'u' {
		return nil, r.fault("no such escape")
	}
	c, err := r.hex4()
	if err != nil {
		return nil, err
	}
	if c >= 0xd800 && c < 0xdc00 && r.word(`\u`) {
		low, err := r.hex4()
		if err != nil {
			return nil, err
		}
		c = 0x10000 + (c-0xd800)<<10 + (low - 0xdc00)
	}
	return utf8.AppendRune(out, c), nil
}

func (r *reader) hex4() (rune, error) {
	if r.at+4 > len(r.text) {
		return 0, r.fault("four hexadecimal digits should stand here")
	}
	n, err := strconv.ParseUint(string(r.text[r.at:r.at+4]), 16, 16)
	if err != nil {
		return 0, r.fault("four hexadecimal digits should stand here")
	}
	r.at += 4
	return rune(n), nil
}
