package report

import (
	"encoding/binary"
	"errors"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// typeface knows how wide the letters of a TrueType font are, and which letters it has.
type typeface struct {
	ttf    []byte
	widths []uint16 // by code point up to U+FFFF, in thousandths of the size; none where the font lacks it
}

const none = 0xffff

// typefaces reads the two fonts once: both are part of the program, so that paper looks the same wherever it is printed.
var typefaces = sync.OnceValues(func() ([2]*typeface, error) {
	regular, err := readTypeface(goregular.TTF)
	if err != nil {
		return [2]*typeface{}, err
	}
	bold, err := readTypeface(gobold.TTF)
	return [2]*typeface{regular, bold}, err
})

var errFont = errors.New("report: this is not a TrueType font with a Unicode map")

// readTypeface reads the tables head, hhea, hmtx and cmap (format 4) of ISO/IEC 14496-22.
func readTypeface(ttf []byte) (*typeface, error) {
	head, hhea := table(ttf, "head"), table(ttf, "hhea")
	hmtx, cmap := table(ttf, "hmtx"), unicodeMap(table(ttf, "cmap"))
	if len(head) < 20 || len(hhea) < 36 || len(cmap) < 16 {
		return nil, errFont
	}
	perEm, metrics := int(be16(head, 18)), int(be16(hhea, 34))
	if perEm == 0 || metrics == 0 || len(hmtx) < 4*metrics {
		return nil, errFont
	}
	f := &typeface{ttf: ttf, widths: make([]uint16, 1<<16)}
	for i := range f.widths {
		f.widths[i] = none
	}
	eachGlyph(cmap, func(r, glyph int) {
		advance := int(be16(hmtx, 4*min(glyph, metrics-1)))
		f.widths[r] = uint16((advance*1000 + perEm/2) / perEm)
	})
	return f, nil
}

func be16(b []byte, at int) uint16 {
	if at < 0 || at+2 > len(b) {
		return 0
	}
	return binary.BigEndian.Uint16(b[at:])
}

// table returns a table of the font, nil if it has none of the name.
func table(ttf []byte, name string) []byte {
	for at := 12; at < 12+16*int(be16(ttf, 4)) && at+16 <= len(ttf); at += 16 {
		if string(ttf[at:at+4]) != name {
			continue
		}
		from, size := binary.BigEndian.Uint32(ttf[at+8:]), binary.BigEndian.Uint32(ttf[at+12:])
		if end := uint64(from) + uint64(size); end <= uint64(len(ttf)) {
			return ttf[from:end]
		}
	}
	return nil
}

// unicodeMap returns the part of cmap that maps Unicode's basic plane (platform 3, encoding 1, format 4).
func unicodeMap(cmap []byte) []byte {
	for i := range int(be16(cmap, 2)) {
		at := 4 + 8*i
		if be16(cmap, at) != 3 || be16(cmap, at+2) != 1 || at+8 > len(cmap) {
			continue
		}
		from := binary.BigEndian.Uint32(cmap[at+4:])
		if uint64(from) < uint64(len(cmap)) && be16(cmap, int(from)) == 4 {
			return cmap[from:]
		}
	}
	return nil
}

func eachGlyph(m []byte, yield func(r, glyph int)) {
	n := int(be16(m, 6)) / 2
	ends, starts := 14, 16+2*n
	for i := range n {
		from, to := int(be16(m, starts+2*i)), int(be16(m, ends+2*i))
		delta, offset := int(be16(m, starts+2*n+2*i)), int(be16(m, starts+4*n+2*i))
		for r := from; r <= to && r < none; r++ {
			glyph := (r + delta) & 0xffff
			if offset != 0 {
				glyph = int(be16(m, starts+4*n+2*i+offset+2*(r-from)))
				if glyph != 0 {
					glyph = (glyph + delta) & 0xffff
				}
			}
			if glyph != 0 {
				yield(r, glyph)
			}
		}
	}
}

// has tells whether the font draws a letter.
func (f *typeface) has(r rune) bool { return r >= 0 && int(r) < len(f.widths) && f.widths[r] != none }

// width returns how wide a text is, in thousandths of the size. What the font lacks must have been spelt out.
func (f *typeface) width(s string) int {
	w := 0
	for _, r := range s {
		if f.has(r) {
			w += int(f.widths[r])
		}
	}
	return w
}

// spell replaces what the fonts cannot draw by its code point, "[U+1F357]", so that nothing vanishes from a record without
// a trace. Any white space becomes a plain space; what has no shape of its own is left out.
func (f *typeface) spell(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	plain := true
	for _, r := range s {
		plain = plain && r >= ' ' && r != 0x7f && f.has(r)
	}
	if plain {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\u00a0':
			b.WriteRune(r)
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r):
		case r >= ' ' && r != 0x7f && f.has(r):
			b.WriteRune(r)
		default:
			b.WriteString("[U+" + strings.ToUpper(pad4(strconv.FormatInt(int64(r), 16))) + "]")
		}
	}
	return b.String()
}

func pad4(s string) string { return strings.Repeat("0", max(0, 4-len(s))) + s }
