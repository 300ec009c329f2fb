package main

import (
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"brinebell/internal/server"
)

type exportCommand struct {
	Data     string `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo     bool   `help:"The demo kitchen's folder, if --data is not given."`
	From     string `placeholder:"DAY" help:"First of the kitchen's days, as 2026-11-24. Without it: today."`
	To       string `placeholder:"DAY" help:"Last day. Without it: the first."`
	At       string `placeholder:"INSTANT" help:"The kitchen as it was then, as 2026-11-24T11:05:00-05:00: into a .json file."`
	Lang     string `enum:"en,es" default:"en" help:"Language: en or es."`
	By       string `placeholder:"CREW" help:"Crew id of who prints."`
	Show     string `placeholder:"KINDS" help:"Kinds of rows, with commas between, or all: cook, readings, log, sensor, receiving, probes, oil, step, other, deviations, lists."`
	Batch    string `help:"Only this batch: its code or id."`
	Lot      string `help:"Only this supplier's lot."`
	Crew     string `help:"Only what this crew member recorded: crew id."`
	Limit    string `help:"Only this limit, as bone-in/cook/core."`
	Critical bool   `help:"Only numbers that a critical limit is set for."`
	Days     bool   `help:"What each planned day cost, against its plan and in hindsight: into a .csv file."`
	Training string `placeholder:"CREW" help:"The training record of this crew member, with every signature: into a .pdf file."`
	File     string `arg:"" type:"path" help:"File to write: its ending says what it is, .pdf, .csv or .json."`
}

// exportMemory is what an export tries to stay below, in bytes: it may run on a small board beside the server.
const exportMemory = 70 << 20

// exportIdle is how far the memory may grow beyond what is in use before it is collected, in percent: it ends soon anyway.
const exportIdle = 800

// Run writes a file of the kitchen's records, beside a running server if there is one.
func (c *exportCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	q := url.Values{}
	for name, value := range map[string]string{"from": c.From, "to": c.To, "at": c.At, "lang": c.Lang, "by": c.By, "show": c.Show, "batch": c.Batch,
		"lot": c.Lot, "crew": c.Crew, "limit": c.Limit, "training": c.Training} {
		if value != "" {
			q.Set(name, value)
		}
	}
	if c.Critical {
		q.Set("critical", "1")
	}
	if c.Days {
		q.Set("days", "1")
	}
	debug.SetMemoryLimit(exportMemory)
	debug.SetGCPercent(exportIdle)
	form := strings.TrimPrefix(strings.ToLower(filepath.Ext(c.File)), ".")
	out, chain, err := server.Export(data, form, q)
	if err != nil {
		return err
	}
	if err := os.WriteFile(c.File, out, 0o600); err != nil {
		return fmt.Errorf("%s cannot be written: %w", c.File, err)
	}
	if chain != nil && chain.Fault != "" {
		_, err := fmt.Fprintf(to.out, "FAULT  %s\n%d entries are off; %s says so on every page. Do not rely on it. Nothing was changed. The phones and backups may hold the entries as they were.\n",
			chain.Fault, chain.Faults, c.File)
		return errors.Join(errFaults, err)
	}
	_, err = fmt.Fprintf(to.out, "%s: %d bytes\n", c.File, len(out))
	return err
}
