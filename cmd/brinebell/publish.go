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
	Data path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Lang string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the sentences: en or es."`
	Args struct {
		Files []string `positional-arg-name:"FILE" required:"1" description:"Documents to publish."`
	} `positional-args:"yes" required:"yes"`
}

// Run checks every document, and publishes them all or none.
func (c *publishCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	texts, faulty, err := examine(to.out, c.Args.Files, c.Lang)
	switch {
	case err != nil:
		return err
	case faulty:
		return errFaults
	}
	names := slices.DeleteFunc(slices.Clone(c.Args.Files), func(name string) bool { return texts[name] == nil })
	if len(names) == 0 {
		return errors.New("none of these files is a document: name procedures, lists, equipment or a plan. Nothing was published")
	}
	lines, err := server.Publish(data, texts, names)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(to.out, strings.Join(lines, "\n"))
	return err
}

type samplesCommand struct {
	Args struct {
		Dir path `positional-arg-name:"DIR" required:"yes" description:"Folder to write to. Files that are there already are left alone."`
	} `positional-args:"yes" required:"yes"`
}

// Run writes the demo's documents.
func (c *samplesCommand) Run(to streams) error {
	dir := string(c.Args.Dir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", dir, err)
	}
	samples, err := server.Samples()
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(samples)) {
		word := "written"
		if err := writeNew(filepath.Join(dir, name), samples[name]); errors.Is(err, fs.ErrExist) {
			word = "there already, left alone"
		} else if err != nil {
			return fmt.Errorf("%s cannot be written: %w", filepath.Join(dir, name), err)
		}
		if _, err := fmt.Fprintf(to.out, "%s: %s\n", filepath.Join(dir, name), word); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(to.out, "\nThe numbers in them are invented. Put in those of your supplier, your equipment and your local code\n"+
		"before anybody cooks by them; then: brinebell publish "+filepath.Join(dir, "procedure-*.json"))
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
