package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"brinebell/internal/server"
)

type publishCommand struct {
	Data  string   `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo  bool     `help:"The demo kitchen's folder, if --data is not given."`
	Lang  string   `enum:"en,es" default:"en" help:"Language of the sentences: en or es."`
	Files []string `arg:"" name:"file" help:"Documents to publish."`
}

// Run checks every document, and publishes them all or none.
func (c *publishCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	texts, faulty, err := examine(to.out, c.Files, c.Lang)
	switch {
	case err != nil:
		return err
	case faulty:
		return errFaults
	}
	lines, err := server.Publish(data, texts, c.Files)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(to.out, strings.Join(lines, "\n"))
	return err
}

type samplesCommand struct {
	Dir string `arg:"" type:"path" help:"Folder to write to. Files that are there already are left alone."`
}

// Run writes the demo's documents.
func (c *samplesCommand) Run(to streams) error {
	if err := os.MkdirAll(c.Dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", c.Dir, err)
	}
	samples, err := server.Samples()
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(samples)) {
		word := "written"
		if err := writeNew(filepath.Join(c.Dir, name), samples[name]); errors.Is(err, fs.ErrExist) {
			word = "there already, left alone"
		} else if err != nil {
			return fmt.Errorf("%s cannot be written: %w", filepath.Join(c.Dir, name), err)
		}
		if _, err := fmt.Fprintf(to.out, "%s: %s\n", filepath.Join(c.Dir, name), word); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(to.out, "\nThe numbers in them are invented. Put in those of your supplier, your equipment and your local code\n"+
		"before anybody cooks by them; then: brinebell publish "+filepath.Join(c.Dir, "procedure-*.json"))
	return err
}

func writeNew(path string, text []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}
