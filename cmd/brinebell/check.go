package main

import (
	"bytes"
	"fmt"
	"io"
	"os"

	"brinebell/internal/document"
)

type checkCommand struct {
	Lang string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the sentences: en or es."`
	Args struct {
		Files []string `positional-arg-name:"FILE" required:"1" description:"Documents to check."`
	} `positional-args:"yes" required:"yes"`
}

// Run checks each file and tells every fault, one a line: file, line, path, sentence.
func (c *checkCommand) Run(to streams) error {
	_, faulty, err := examine(to.out, c.Args.Files, c.Lang)
	if err == nil && faulty {
		err = errFaults
	}
	return err
}

// notDocument is said of a schema: it lies beside the documents, so that a shell's * names it too.
var notDocument = map[string]string{
	"en": "a JSON Schema, not a document: passed over",
	"es": "un JSON Schema, no un documento: se pasa por alto",
}

// examine reads and checks files, and tells what is wrong with them. A schema is named and left out of texts.
func examine(w io.Writer, files []string, lang string) (texts map[string][]byte, faulty bool, err error) {
	texts = map[string][]byte{}
	for _, name := range files {
		text, err := readDocument(name)
		if err != nil {
			return nil, false, err
		}
		if document.IsSchema(text) {
			if _, err := fmt.Fprintf(w, "%s: %s\n", name, notDocument[lang]); err != nil {
				return nil, false, err
			}
			continue
		}
		faults := document.Check(text, lang)
		if err := report(w, name, faults); err != nil {
			return nil, false, err
		}
		texts[name] = text
		faulty = faulty || len(faults) > 0
	}
	return texts, faulty, nil
}

func report(w io.Writer, name string, faults []document.Fault) error {
	if len(faults) == 0 {
		_, err := fmt.Fprintf(w, "%s: OK\n", name)
		return err
	}
	for _, f := range faults {
		if _, err := fmt.Fprintf(w, "%s:%v\n", name, f); err != nil {
			return err
		}
	}
	return nil
}

// readMost is more than a document may have, in bytes: what is longer is cut, and the check says that it is too long.
const readMost = 1 << 20

func readDocument(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("the file %s cannot be read: %w", name, err)
	}
	defer func() { _ = f.Close() }() // only read
	text, err := io.ReadAll(io.LimitReader(f, readMost))
	if err != nil {
		return nil, fmt.Errorf("the file %s cannot be read: %w", name, err)
	}
	return bytes.TrimPrefix(text, byteOrderMark), nil
}

// byteOrderMark is what some editors put before a text in UTF-8. RFC 8259 lets a reader pass over it; what is published is
// the text without it, so that no other reader need.
var byteOrderMark = []byte("\xef\xbb\xbf")
