// Package words holds every sentence that Brinebell says, in English and Spanish, and how numbers, lengths, times and
// dates are said in each.
//
// A text may hold named places, "{name}", and, for texts that count, its singular and plural as "one|other". Sentences
// about something off follow one grammar: the number, how far out, which limit, what to do.
package words

import (
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"brinebell/internal/core/jsontext"
)

// Lang is a language that the tool speaks.
type Lang string

// Languages.
const (
	EN Lang = "en"
	ES Lang = "es"
)

// Langs lists the languages.
func Langs() []Lang { return []Lang{EN, ES} }

// Of returns the language for a BCP 47 tag, English when the tool does not speak it.
func Of(tag string) Lang {
	if tag == "es" || strings.HasPrefix(tag, "es-") {
		return ES
	}
	return EN
}

// text is one row of a table.
type text struct{ id, en, es string }

func (t *text) in(l Lang) string {
	if l == ES {
		return t.es
	}
	return t.en
}

// find returns the row called id in a table sorted by id.
func find(table []text, id string) *text {
	i := sort.Search(len(table), func(i int) bool { return table[i].id >= id })
	if i < len(table) && table[i].id == id {
		return &table[i]
	}
	return nil
}

// said returns the row called id of what screens say.
func said(id string) *text {
	row := firstText(id)
	if row == nil {
		row = restText(id)
	}
	if row == nil && (strings.HasPrefix(id, "pr.") || strings.HasPrefix(id, "pl.")) { // an id that is nowhere must not have a whole part fetched
		row = laterText(id)
	}
	return row
}

// A phone's core comes in parts (frontend/buildcore.mjs), and texts with them: each of these functions lies in the part whose
// texts it knows, so that who asks it has them.
func firstText(id string) *text {
	return among(id, screenTable, booksTable, figureTable, sensorTable, logTable, guidedTable, trainingTable)
}

func restText(id string) *text {
	return among(id, crewTable, leadTable, measureTable, nightTable, probeTable)
}

func laterText(id string) *text {
	return among(id, practiceTable, practiceRestTable, planTable, planDemandTable, planAfterTable, planSaysTable)
}

func among(id string, tables ...[]text) *text {
	for _, table := range tables {
		if row := find(table, id); row != nil {
			return row
		}
	}
	return nil
}

// T returns the text called id with its places filled from pairs of name and value. An id that does not exist comes
// back as itself; a test holds that none is asked for.
func (l Lang) T(id string, pairs ...string) string {
	row := said(id)
	if row == nil {
		return id
	}
	return fill(row.in(l), pairs)
}

// N returns the text called id in its singular or plural for n, with {n} and further places filled.
func (l Lang) N(id string, n int64, pairs ...string) string {
	row := said(id)
	if row == nil {
		return id
	}
	return fill(plural(row.in(l), n), append(pairs, "n", strconv.FormatInt(n, 10)))
}

// plural returns the form of "one|other" that goes with n; both languages use the first for 1 alone.
func plural(s string, n int64) string {
	one, other, both := strings.Cut(s, "|")
	if both && n != 1 {
		return other
	}
	return one
}

func fill(s string, pairs []string) string {
	if !strings.Contains(s, "{") {
		return s
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		s = strings.ReplaceAll(s, "{"+pairs[i]+"}", pairs[i+1])
	}
	return s
}

// Upper returns s with its first letter as a capital, for a phrase that begins a sentence.
func Upper(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}

// Lower returns s with its first letter small, for a title that stands within a sentence. Words that begin with two
// capitals stay as they are.
func Lower(s string) string {
	r := []rune(s)
	if len(r) < 2 || strings.ToUpper(string(r[1])) == string(r[1]) && r[1] != ' ' {
		return s
	}
	return strings.ToLower(string(r[0])) + string(r[1:])
}

// Page returns the static words that the page itself needs, as a JSON object from id to text. Places and plurals stand
// in them as in the tables, for the page to fill.
func Page(l Lang) []byte {
	var w jsontext.Writer
	w.Object("")
	w.Str("lang", string(l))
	for i := range pageTable {
		w.Str(pageTable[i].id, pageTable[i].in(l))
	}
	w.EndObject()
	return w.Out
}
