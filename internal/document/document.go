// Package document looks whether a document can be published, and says of every fault where it stands and what is
// wrong, in a cook's language.
//
// Two readers look at it: the ring's own, which the phones use, and a validator for the published JSON Schema, so that
// neither can drift from what is published. Nothing is ever fetched.
package document

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/procedure"
)

// Schema is the published JSON Schema (2020-12) of procedures, lists and equipment, format 1.
//
//go:embed documents-1.schema.json
var Schema []byte

// Fault is one thing that is wrong with a document.
type Fault struct {
	Path string // JSON Pointer (RFC 6901); of a missing member, where it should stand
	Line int    // counted from 1
	Text string // one sentence
}

// String returns the fault as one line: line, path, sentence.
func (f Fault) String() string {
	path := f.Path
	if path == "" {
		path = "/"
	}
	return fmt.Sprintf("%d: %s: %s", f.Line, path, f.Text)
}

// Check returns every fault of a document, in the order in which they stand, in the language (en or es); none if it
// can be published.
func Check(text []byte, lang string) []Fault {
	if wide(text) {
		return []Fault{{Line: 1, Text: words("The file is written in UTF-16. Save it as UTF-8 in your editor, then check it again.",
			"El archivo está escrito en UTF-16. Guárdelo como UTF-8 en su editor y vuelva a comprobarlo.").In(lang)}}
	}
	faults := own(text, lang)
	if len(text) > procedure.DocumentMax {
		return faults
	}
	value, err := jsontext.Read(text)
	if err != nil {
		return faults
	}
	for _, f := range published(&value) {
		if !covered(faults, f.path) {
			faults = append(faults, Fault{Path: f.path, Line: jsontext.Line(text, offset(&value, f.path)), Text: f.text.In(lang)})
		}
	}
	slices.SortStableFunc(faults, func(a, b Fault) int { return cmp.Compare(a.Line, b.Line) })
	return faults
}

// wide tells whether a text begins with the byte-order mark of UTF-16, which some editors call Unicode.
func wide(text []byte) bool {
	return bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff"))
}

// IsSchema tells whether a text is a JSON Schema, which says so itself, and no document: those have a format.
func IsSchema(text []byte) bool {
	v, err := jsontext.Read(text)
	return err == nil && v.Get("format") == nil && strings.Contains(v.Str("$schema"), "//json-schema.org/")
}

func own(text []byte, lang string) []Fault {
	_, found := procedure.Parse(text)
	var faults []Fault
	for _, f := range found {
		faults = append(faults, Fault{Path: f.Path, Line: f.Line, Text: f.Text.In(lang)})
	}
	return faults
}

// covered tells whether a fault is named already at path, above it or below it: the ring's sentence says more.
func covered(faults []Fault, path string) bool {
	return slices.ContainsFunc(faults, func(f Fault) bool {
		return f.Path == path || strings.HasPrefix(f.Path, path+"/") || f.Path != "" && strings.HasPrefix(path, f.Path+"/")
	})
}

// offset returns where the value at path stands, or the nearest above it that exists.
func offset(v *jsontext.Value, path string) int {
	at := v.Offset
	for part := range strings.SplitSeq(strings.TrimPrefix(path, "/"), "/") {
		if v = member(v, unpoint(part)); v == nil {
			break
		}
		at = v.Offset
	}
	return at
}

func member(v *jsontext.Value, name string) *jsontext.Value {
	if v.Kind != jsontext.List {
		return v.Get(name)
	}
	for i := range v.Items {
		if fmt.Sprint(i) == name {
			return &v.Items[i]
		}
	}
	return nil
}

func unpoint(s string) string { return strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~") }
