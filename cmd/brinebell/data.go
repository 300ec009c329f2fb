package main

import (
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

type verifyCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
}

// Run walks the journal, beside a running server if there is one.
func (c *verifyCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	report, err := s.Verify()
	if err = errors.Join(err, s.Close()); err != nil {
		return err
	}
	if report.First != nil {
		_, err := fmt.Fprintf(to.out, "FAULT  %v\n%d of %d entries are off. Nothing was changed. The phones and backups may hold them as they were.\n",
			report.First, report.Faults, report.Entries)
		return errors.Join(errFaults, err)
	}
	_, err = fmt.Fprintf(to.out, "OK  %d entries, each as it was kept. Hash of the last: %s\n", report.Entries, hex.EncodeToString(report.Head[:]))
	return err
}

type restoreCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Args struct {
		File path `positional-arg-name:"FILE" required:"yes" description:"The copy of kitchen.db."`
	} `positional-args:"yes" required:"yes"`
}

// Run restores a stopped kitchen from a copy of its data file.
func (c *restoreCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	r, err := sqlite.Restore(data, string(c.Args.File))
	if err != nil {
		return err
	}
	text := fmt.Sprintf("Restored: %d entries, each as it was kept. Hash of the last: %s\n", r.Report.Entries, hex.EncodeToString(r.Report.Head[:]))
	if r.Aside != "" {
		text += "What was there before lies in " + r.Aside + ".\n"
	}
	if r.Devices > 0 {
		text += fmt.Sprintf("%d devices that joined since the copy was made stay joined.\n", r.Devices)
	}
	_, err = fmt.Fprint(to.out, text+"Start the kitchen and let each phone come into touch: it brings back what it knows and this copy lacks.\n")
	return err
}

type codeCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
}

// Run asks the running server for a code; of a stopped kitchen it opens the folder itself.
func (c *codeCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	code, until, err := server.JoiningCode(data)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s\nLets one device in, until %s.\n", code, until.Format("15:04"))
	return err
}

type leadCommand struct {
	Data path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Lang string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the lead's screens: en or es."`
	Args struct {
		Name []string `positional-arg-name:"NAME" required:"1" description:"The lead's name."`
	} `positional-args:"yes" required:"yes"`
}

// Run lists a lead.
func (c *leadCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	name, err := server.ListLead(data, strings.Join(c.Args.Name, " "), c.Lang)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s leads now. On a joined phone: tap who you are, then %s.\n", name, name)
	return err
}
