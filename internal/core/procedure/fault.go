package procedure

import (
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
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

// syntaxES says in Spanish what package jsontext says in English.
func syntaxES(what string) string {
	for _, w := range [...][2]string{
		{"there is more after", "hay algo más después del final"},
		{"nested more than", "anidado a más de " + strconv.Itoa(jsontext.DepthMax) + " niveles"},
		{"the text ends where", "el texto acaba donde debería ir un valor"},
		{"no value can begin", "ningún valor empieza así"},
		{"a name in double quotes", "aquí debería ir un nombre entre comillas dobles"},
		{"the name ", "un nombre está dos veces en un objeto"},
		{"a colon", "aquí deberían ir dos puntos"},
		{"a comma or ", "aquí debería ir una coma o el cierre"},
		{"a digit should", "aquí debería ir una cifra"},
		{"the text is not UTF-8", "el texto no es UTF-8"},
		{"a control character", "un carácter de control debe escribirse con escape"},
		{"the text ends within", "el texto acaba dentro de un texto entre comillas"},
		{"no such escape", "no existe ese escape"},
		{"four hexadecimal", "aquí deberían ir cuatro cifras hexadecimales"},
		{"more than", "demasiados nombres en un objeto"},
	} {
		if strings.HasPrefix(what, w[0]) {
			return w[1]
		}
	}
	return "no se puede leer"
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
