package wire

import "brinebell/internal/core/jsontext"

// AppendJSON appends v as a JSON object.
func AppendJSON(dst []byte, v Fielder) []byte {
	c := Coder{mode: writeJSON}
	c.json.w.Out = dst
	c.json.openObject("")
	v.Fields(&c)
	c.json.closeObject()
	return c.json.w.Out
}

// ReadJSON fills v from a JSON object. Names that v does not know are ignored.
func ReadJSON(src *jsontext.Value, v Fielder) error {
	if src == nil || src.Kind != jsontext.Object {
		return ErrBad
	}
	c := Coder{mode: readJSON}
	c.json.stack = []place{{in: src}}
	v.Fields(&c)
	return c.err
}

// Hex returns b in lower-case hexadecimal.
func Hex(b []byte) string {
	const digits = "0123456789abcdef"
	out := make([]byte, 0, 2*len(b))
	for _, x := range b {
		out = append(out, digits[x>>4], digits[x&15])
	}
	return string(out)
}

// FromHex returns the bytes that s, in hexadecimal of either case, stands for.
func FromHex(s string) ([]byte, bool) {
	if len(s)%2 != 0 {
		return nil, false
	}
	out := make([]byte, len(s)/2)
	for i := range out {
		hi, lo := nibble(s[2*i]), nibble(s[2*i+1])
		if hi|lo > 15 {
			return nil, false
		}
		out[i] = hi<<4 | lo
	}
	return out, true
}

func nibble(b byte) byte {
	switch {
	case b >= '0' && b <= '9':
		return b - '0'
	case b >= 'a' && b <= 'f':
		return b - 'a' + 10
	case b >= 'A' && b <= 'F':
		return b - 'A' + 10
	}
	return 0xff
}

func decodeHex(dst []byte, s string) bool {
	b, ok := FromHex(s)
	return ok && copy(dst, b) == len(b) && len(b) == len(dst)
}

// place is where a JSON reading walk stands: an object, or an element of a list.
type place struct {
	in   *jsontext.Value
	elem int
}

type jsonWalk struct {
	w     jsontext.Writer
	stack []place
}

func (j *jsonWalk) writeInt(name string, v int64)     { j.w.Int(name, v) }
func (j *jsonWalk) writeString(name string, v string) { j.w.Str(name, v) }
func (j *jsonWalk) writeBool(name string, v bool)     { j.w.Bool(name, v) }
func (j *jsonWalk) openObject(name string)            { j.w.Object(name) }
func (j *jsonWalk) closeObject()                      { j.w.EndObject() }
func (j *jsonWalk) openList(name string)              { j.w.List(name) }
func (j *jsonWalk) closeList()                        { j.w.EndList() }

// find returns the value that a field reads: a member by name, or the current element when the name is "".
func (j *jsonWalk) find(name string) *jsontext.Value {
	p := &j.stack[len(j.stack)-1]
	if p.in == nil {
		return nil
	}
	if p.in.Kind == jsontext.List {
		if p.elem < len(p.in.Items) {
			return &p.in.Items[p.elem]
		}
		return nil
	}
	return p.in.Get(name)
}

func (j *jsonWalk) readInt(c *Coder, name string, old int64) int64 {
	v := j.find(name)
	if v == nil || v.Kind == jsontext.Null {
		return old
	}
	n, ok := v.Whole()
	if !ok {
		c.Fail(ErrBad)
	}
	return n
}

func (j *jsonWalk) readString(c *Coder, name, old string) string {
	v := j.find(name)
	if v == nil || v.Kind == jsontext.Null {
		return old
	}
	if v.Kind != jsontext.String {
		c.Fail(ErrBad)
	}
	return v.Text
}

func (j *jsonWalk) readBool(c *Coder, name string, old bool) bool {
	v := j.find(name)
	if v == nil || v.Kind == jsontext.Null {
		return old
	}
	if v.Kind != jsontext.Bool {
		c.Fail(ErrBad)
	}
	return v.Bool
}

func (j *jsonWalk) enterList(c *Coder, name string) int {
	v := j.find(name)
	if v != nil && v.Kind == jsontext.Null {
		v = nil
	}
	if v != nil && v.Kind != jsontext.List {
		c.Fail(ErrBad)
		v = nil
	}
	j.stack = append(j.stack, place{in: v})
	if v == nil {
		return 0
	}
	return len(v.Items)
}

func (j *jsonWalk) nextElement() { j.stack[len(j.stack)-1].elem++ }

func (j *jsonWalk) enterObject(c *Coder, name string) bool {
	v := j.find(name)
	if v == nil || v.Kind == jsontext.Null {
		return false
	}
	if v.Kind != jsontext.Object {
		c.Fail(ErrBad)
		return false
	}
	j.stack = append(j.stack, place{in: v})
	return true
}

func (j *jsonWalk) leave() { j.stack = j.stack[:len(j.stack)-1] }
