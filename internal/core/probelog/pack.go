package probelog

import (
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// packing walks readings as few bytes: the largest part of a degree of which all are whole numbers, then each reading as what
// it is apart from the one before.
type packing struct {
	unit safety.Heat
	list []safety.Reading
}

// Fields implements wire.Fielder.
func (p *packing) Fields(c *wire.Coder) {
	wire.Int(c, "unit", &p.unit)
	var last safety.Reading
	wire.List(c, "readings", &p.list, func(c *wire.Coder, r *safety.Reading) {
		at, n := r.At-last.At, safety.Heat(0)
		if !c.Reading() {
			n = (r.Heat - last.Heat) / p.unit
		}
		wire.Int(c, "after", &at)
		wire.Int(c, "heat", &n)
		if c.Reading() {
			*r = safety.Reading{At: last.At + at, Heat: last.Heat + n*p.unit}
		}
		last = *r
	})
}

// Pack writes readings so that Unpack gives back exactly these: two people who pack the same ones get the same bytes.
func Pack(list []safety.Reading) []byte {
	p := &packing{list: list}
	for _, r := range list {
		a, b := p.unit, max(r.Heat, -r.Heat)
		for b != 0 {
			a, b = b, a%b
		}
		p.unit = a
	}
	p.unit = max(p.unit, 1)
	return wire.Append(nil, p)
}

// Unpack reads what Pack wrote; nil where the bytes are no readings that can be assessed.
func Unpack(src []byte) []safety.Reading {
	p := new(packing)
	if wire.Read(src, p) != nil || safety.CheckLog(p.list) != nil {
		return nil
	}
	return p.list
}

// Digest names packed readings.
func Digest(packed []byte) string {
	sum := wire.Digest(packed)
	return wire.Hex(sum[:])
}

// Since returns readings with their times counted from an instant.
func Since(list []safety.Reading, from stamp.Milli) []safety.Reading {
	out := make([]safety.Reading, len(list))
	for i, r := range list {
		out[i] = safety.Reading{At: r.At - from, Heat: r.Heat}
	}
	return out
}
