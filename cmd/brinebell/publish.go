package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/demo"
	"brinebell/internal/document"
	"brinebell/internal/fail"
	"brinebell/internal/web"
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
	state, err := readState(data)
	if err != nil {
		return err
	}
	var own web.Own
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
		if faulty = faulty || len(faults) > 0; faulty {
			continue
		}
		d, err := demo.Published(text)
		if err != nil {
			return err
		}
		if err := newer(state, &d, name); err != nil {
			return err
		}
		own.Documents = append(own.Documents, d)
	}
	if faulty {
		return errFaults
	}
	return c.publish(to, data, own)
}

func (c *publishCommand) publish(to streams, data string, own web.Own) error {
	if err := write(data, own); err != nil {
		return err
	}
	for _, d := range own.Documents {
		if _, err := fmt.Fprintf(to.out, "published: %s %s, version %d\n", d.What, d.Name, d.Version); err != nil {
			return err
		}
	}
	return nil
}

// newer refuses a version that is published already, or older than one that is.
func newer(state *kitchen.State, d *entry.Document, file string) error {
	for _, old := range state.Documents {
		if old.What == d.What && old.Name == d.Name && old.Version >= d.Version {
			return fail.E("brinebell.publish", fail.Refused, fmt.Sprintf(
				"%s: version %d of %s %s is published already, so %d cannot be. Give it version %d. Nothing was published.",
				file, old.Version, d.What, d.Name, d.Version, old.Version+1), nil)
		}
	}
	return nil
}

type samplesCommand struct {
	Dir string `arg:"" type:"path" help:"Folder to write to. Files that are there already are left alone."`
}

// Run writes the demo's documents.
func (c *samplesCommand) Run(to streams) error {
	if err := os.MkdirAll(c.Dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", c.Dir, err)
	}
	names, err := fs.Glob(demo.Files(), "*.json")
	if err != nil {
		return err
	}
	for _, name := range names {
		text, err := fs.ReadFile(demo.Files(), name)
		if err != nil {
			return err
		}
		word := "written"
		if err := writeNew(filepath.Join(c.Dir, name), text); errors.Is(err, fs.ErrExist) {
			word = "there already, left alone"
		} else if err != nil {
			return fmt.Errorf("%s cannot be written: %w", filepath.Join(c.Dir, name), err)
		}
		if _, err := fmt.Fprintf(to.out, "%s: %s\n", filepath.Join(c.Dir, name), word); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(to.out, "\nThe numbers in them are invented. Put in those of your supplier, your equipment and your local code\n"+
		"before anybody cooks by them; then: brinebell publish "+filepath.Join(c.Dir, "*.json"))
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

type leadCommand struct {
	Data string   `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo bool     `help:"The demo kitchen's folder, if --data is not given."`
	Lang string   `enum:"en,es" default:"en" help:"Language of the lead's screens: en or es."`
	Name []string `arg:"" help:"The lead's name."`
}

// crewNameMax is how many characters a crew member's name has at most.
const crewNameMax = 40

// Run lists a lead.
func (c *leadCommand) Run(to streams) error {
	name := strings.Join(strings.Fields(strings.Join(c.Name, " ")), " ")
	strange := func(r rune) bool { return !unicode.IsPrint(r) }
	if n := utf8.RuneCountInString(name); n == 0 || n > crewNameMax || strings.ContainsFunc(name, strange) {
		return fmt.Errorf("a name has 1 to %d characters, letters and usual signs; this one has %d", crewNameMax, n)
	}
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	state, err := readState(data)
	if err != nil {
		return err
	}
	m := entry.Member{Crew: crewID(state, name), Name: name, Lang: c.Lang, Role: entry.Lead}
	if err := write(data, web.Own{Members: []entry.Member{m}}); err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s leads now. On a joined phone: tap who you are, then %s.\n", name, name)
	return err
}

// crewID makes a short id out of a name that nobody in the crew has.
func crewID(state *kitchen.State, name string) string {
	base := strings.Map(func(r rune) rune {
		if r = unicode.ToLower(r); r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, name)
	base = base[:min(len(base), 12)]
	if base == "" {
		base = "lead"
	}
	id := base
	for n := 2; state.Member(id) != nil; n++ {
		id = fmt.Sprintf("%s%d", base, n)
	}
	return id
}
