package logfile

import (
	"bytes"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// decode finds out how the file's characters are written and returns them as UTF-8.
func decode(b []byte) (text, charset string) {
	switch {
	case bytes.HasPrefix(b, []byte{0xef, 0xbb, 0xbf}):
		return strings.ToValidUTF8(string(b[3:]), "\uFFFD"), "UTF-8"
	case bytes.HasPrefix(b, []byte{0xff, 0xfe}):
		return wide(b[2:], 1), "UTF-16LE"
	case bytes.HasPrefix(b, []byte{0xfe, 0xff}):
		return wide(b[2:], 0), "UTF-16BE"
	}
	// Without a mark: what is mostly ASCII in two bytes has a NUL in every other place.
	if n := min(len(b), 200) &^ 1; n >= 8 {
		var nul [2]int
		for i, c := range b[:n] {
			if c == 0 {
				nul[i%2]++
			}
		}
		if nul[1] > n/4 && nul[0] == 0 {
			return wide(b, 1), "UTF-16LE"
		}
		if nul[0] > n/4 && nul[1] == 0 {
			return wide(b, 0), "UTF-16BE"
		}
	}
	if utf8.Valid(b) {
		return string(b), "UTF-8"
	}
	return western(b), "Windows-1252"
}

// wide reads UTF-16; high is where the higher byte of a pair stands.
func wide(b []byte, high int) string {
	units := make([]uint16, len(b)/2)
	for i := range units {
		units[i] = uint16(b[2*i+high])<<8 | uint16(b[2*i+1-high])
	}
	return string(utf16.Decode(units))
}

// high1252 are the characters 0x80 to 0x9f of Windows-1252 (from memory; its other upper characters are those of Unicode).
var high1252 = [32]rune{'€', 0xfffd, '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', 0xfffd, 'Ž', 0xfffd,
	0xfffd, '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', 0xfffd, 'ž', 'Ÿ'}

func western(b []byte) string {
	var out strings.Builder
	out.Grow(len(b) + len(b)/8)
	for _, c := range b {
		switch {
		case c < 0x80:
			out.WriteByte(c)
		case c < 0xa0:
			out.WriteRune(high1252[c-0x80])
		default:
			out.WriteRune(rune(c))
		}
	}
	return out.String()
}
