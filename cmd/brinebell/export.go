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
	Data     path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo     bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	From     string `long:"from" value-name:"DAY" description:"First of the kitchen's days, as 2026-11-24. Without it: today."`
	To       string `long:"to" value-name:"DAY" description:"Last day. Without it: the first."`
	At       string `long:"at" value-name:"INSTANT" description:"The kitchen as it was then, as 2026-11-24T11:05:00-05:00: into a .json file."`
	Lang     string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language: en or es."`
	By       string `long:"by" value-name:"CREW" description:"Crew id of who prints."`
	Show     string `long:"show" value-name:"KINDS" description:"Kinds of rows, with commas between, or all: cook, readings, log, sensor, receiving, probes, oil, step, other, deviations, lists."`
	Batch    string `long:"batch" value-name:"BATCH" description:"Only this batch: its code or id."`
	Lot      string `long:"lot" value-name:"LOT" description:"Only this supplier's lot."`
	Crew     string `long:"crew" value-name:"CREW" description:"Only what this crew member recorded: crew id."`
	Limit    string `long:"limit" value-name:"LIMIT" description:"Only this limit, as bone-in/cook/core."`
	Critical bool   `long:"critical" description:"Only numbers that a critical limit is set for."`
	Days     bool   `long:"days" description:"What each planned day cost, against its plan and in hindsight: into a .csv file."`
	Training string `long:"training" value-name:"CREW" description:"The training record of this crew member, with every signature: into a .pdf file."`
	Args     struct {
		File path `positional-arg-name:"FILE" required:"yes" description:"File to write: its ending says what it is, .pdf, .csv or .json."`
	} `positional-args:"yes" required:"yes"`
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
	form := strings.TrimPrefix(strings.ToLower(filepath.Ext(string(c.Args.File))), ".")
	out, chain, err := server.Export(data, form, q)
	if err != nil {
		return err
	}
	if err := os.WriteFile(string(c.Args.File), out, 0o600); err != nil {
		return fmt.Errorf("%s cannot be written: %w", c.Args.File, err)
	}
	if chain != nil && chain.Fault != "" {
		_, err := fmt.Fprintf(to.out, "FAULT  %s\n%d entries are off; %s says so on every page. Do not rely on it. Nothing was changed. The phones and backups may hold the entries as they were.\n",
			chain.Fault, chain.Faults, c.Args.File)
		return errors.Join(errFaults, err)
	}
	_, err = fmt.Fprintf(to.out, "%s: %d bytes\n", c.Args.File, len(out))
	return err
}
