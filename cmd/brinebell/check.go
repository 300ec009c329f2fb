package main

import (
	"fmt"
	"io"
	"os"

	"brinebell/internal/core/procedure"
	"brinebell/internal/document"
)

type checkCommand struct {
	Lang  string   `enum:"en,es" default:"en" help:"Language of the sentences: en or es."`
	Files []string `arg:"" name:"file" help:"Documents to check."`
}

// Run checks each file and tells every fault, one a line: file, line, path, sentence.
func (c *checkCommand) Run(to streams) error {
	faulty := false
	for _, name := range c.Files {
		text, err := readDocument(name)
		if err != nil {
			return err
		}
		faults := document.Check(text, c.Lang)
		if err := report(to.out, name, faults); err != nil {
			return err
		}
		faulty = faulty || len(faults) > 0
	}
	if faulty {
		return errFaults
	}
	return nil
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

// readDocument reads a file, but not endlessly: what is longer than a document may be is cut one byte behind, so that
// the check says so.
func readDocument(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("the file %s cannot be read: %w", name, err)
	}
	defer func() { _ = f.Close() }() // only read
	text, err := io.ReadAll(io.LimitReader(f, procedure.DocumentMax+1))
	if err != nil {
		return nil, fmt.Errorf("the file %s cannot be read: %w", name, err)
	}
	return text, nil
}
