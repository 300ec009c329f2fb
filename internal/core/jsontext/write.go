package jsontext

import (
	"strconv"
	"unicode/utf8"
)

// Writer appends JSON to Out. Commas look after themselves.
type Writer struct {
	Out   []byte
	comma bool
}

func (w *Writer) name(name string) {
	if w.comma {
		w.Out = append(w.Out, ',')
	}
	if name != "" {
		w.Out = AppendString(w.Out, name)
		w.Out = append(w.Out, ':')
	}
	w.comma = true
}

// Object opens an object; within a list, name is "".
func (w *Writer) Object(name string) { w.open(name, '{') }

// List opens a list.
func (w *Writer) List(name string) { w.open(name, '[') }

func (w *Writer) open(name string, b byte) {
	w.name(name)
	w.Out = append(w.Out, b)
	w.comma = false
}

// EndObject closes the object opened last.
func (w *Writer) EndObject() { w.Out, w.comma = append(w.Out, '}'), true }

// EndList closes the list opened last.
func (w *Writer) EndList() { w.Out, w.comma = append(w.Out, ']'), true }

// Str writes a string.
func (w *Writer) Str(name, s string) {
	w.name(name)
	w.Out = AppendString(w.Out, s)
}

// Int writes a whole number.
func (w *Writer) Int(name string, n int64) {
	w.name(name)
	w.Out = strconv.AppendInt(w.Out, n, 10)
}

// Bool writes a truth value.
func (w *Writer) Bool(name string, b bool) {
	w.name(name)
	w.Out = strconv.AppendBool(w.Out, b)
}

// Raw writes JSON that is already written.
func (w *Writer) Raw(name string, json []byte) {
	w.name(name)
	w.Out = append(w.Out, json...)
}

// OptStr writes a string unless it is empty.
func (w *Writer) OptStr(name, s string) {
	if s != "" {
		w.Str(name, s)
	}
}

// OptInt writes a whole number unless it is zero.
func (w *Writer) OptInt(name string, n int64) {
	if n != 0 {
		w.Int(name, n)
	}
}

// OptBool writes a truth value unless it is false.
func (w *Writer) OptBool(name string, b bool) {
	if b {
		w.Bool(name, b)
	}
}

// AppendString appends s as a JSON string. Angle brackets, ampersands and the two line separators that scripts trip
// over are escaped, so that the result may stand anywhere.
func AppendString(dst []byte, s string) []byte {
	const hex = "0123456789abcdef"
	dst = append(dst, '"')
	for _, r := range s { // invalid UTF-8 becomes U+FFFD here
		switch {
		case r == '"' || r == '\\':
			dst = append(dst, '\\', byte(r))
		case r == '\n':
			dst = append(dst, '\\', 'n')
		case r < ' ' || r == '<' || r == '>' || r == '&' || r == 0x2028 || r == 0x2029:
			dst = append(dst, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		default:
			dst = utf8.AppendRune(dst, r)
		}
	}
	return append(dst, '"')
}
