package procedure

import (
	"strconv"
	"strings"
)

// Fault is one thing that is wrong with a document.
type Fault struct {
	Path string // JSON Pointer (RFC 6901) of what is wrong; of a missing member, where it should stand
	Line int    // counted from 1
	Text Text   // one sentence
}

// Error implements error, in English.
func (f *Fault) Error() string {
	return "line " + strconv.Itoa(f.Line) + ", " + f.Path + ": " + f.Text.EN
}

// FaultsMax is how many faults are named; after them one more says that there are others.
const FaultsMax = 100

// say makes a sentence in each language; {0}, {1}... stand for the arguments.
func say(en, es string, args ...string) Text {
	for i, a := range args {
		hole := "{" + strconv.Itoa(i) + "}"
		en, es = strings.ReplaceAll(en, hole, a), strings.ReplaceAll(es, hole, a)
	}
	return Text{EN: en, ES: es}
}

// clip shortens what a document says, so that it can be repeated in a sentence.
func clip(s string) string {
	const most = 40
	runes := []rune(s)
	for i, r := range runes {
		if !plain(r) {
			runes[i] = '?'
		}
	}
	if len(runes) > most {
		return strconv.Quote(string(runes[:most])) + "..."
	}
	return strconv.Quote(string(runes))
}

// plain tells whether a rune may stand in a text: no control characters, none that turn the direction of writing or
// have no width, no replacement character, and no angle brackets, since texts are words and never markup.
func plain(r rune) bool {
	switch {
	case r < ' ', r >= 0x7f && r < 0xa0, r == '<', r == '>', r == 0xfffd, r == 0xfeff, r == 0xad,
		r >= 0x200b && r <= 0x200f, r >= 0x2028 && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r == 0x61c,
		r >= 0xfff0 && r <= 0xfffb, r >= 0xe0000:
		return false
	}
	return true
}

// pointer escapes a name for a JSON Pointer.
func pointer(name string) string {
	return strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}
