// Command brinebell serves a kitchen and looks after its data.
package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"brinebell/internal/fail"
	"brinebell/internal/server"
)

// version is set when a release is built.
var version = "dev"

// Exit codes.
const (
	exitDone    = 0
	exitFailed  = 1 // it could not be done; one line says why
	exitFaults  = 2 // what was looked at is faulty: check, verify and assess
	exitMisused = 64
)

const about = "The kitchen line on every phone: batches, their windows, and bells that ring together."

// commands is the whole command line, each command with its flags at rest. The first stands for none, too.
func commands() []command {
	return []command{
		{"serve", "Serve a kitchen (also without naming a command)", "Serve a kitchen to the phones on its network (also without naming a command).",
			new(serveCommand), nil},
		{"check", "Check documents", "Check documents: procedures, lists, equipment. Every fault is named by path, line and a sentence.",
			new(checkCommand), nil},
		{"verify", "Walk the journal for changed entries", "Walk the whole journal and name the first entry that was changed after it was kept, and hold it against a backup or a printed hash.",
			new(verifyCommand), nil},
		{"export", "Write records as PDF, CSV or JSON",
			"Write the records of some days as PDF, CSV or JSON, or the kitchen at an instant. The chain is walked first.",
			new(exportCommand), nil},
		{"backup", "Write a copy of the journal, checked",
			"Write a copy of the journal to a new file, also beside a running server. It is read back and checked before it gets its name.",
			new(backupCommand), nil},
		{"restore", "Put a copy of kitchen.db back",
			"Put a copy of kitchen.db in the place of a stopped kitchen's own, checked first. The phones bring back what it lacks.",
			new(restoreCommand), nil},
		{"code", "Print a joining code", "Print a joining code for one device: 10 minutes, single use.",
			new(codeCommand), nil},
		{"publish", "Publish documents in a kitchen", "Check documents and publish them in a kitchen, running or stopped.",
			new(publishCommand), nil},
		{"samples", "Write documents to be edited", "Write the demo kitchen's documents into a folder, to be edited: their numbers are invented.",
			new(samplesCommand), nil},
		{"lead", "List a lead in the crew", "List a lead in the crew of a kitchen, running or stopped: the first one of a new kitchen.",
			new(leadCommand), nil},
		// A limit that is not met is an answer, not a fault.
		{"assess", "Hold a probe's log against published limits",
			"Hold a probe's log against published limits: exit code 0 whether they are met or not.", nil, []command{
				{"cook", "A cook, against time-temperature tables",
					"Hold a cook's log against the published poultry time-temperature tables, and print what comes of it as JSON.",
					new(assessCookCommand), nil},
				{"cool", "A cooling, against a rule", "Hold a cooling's log against a published rule, and print what comes of it as JSON.",
					new(assessCoolCommand), nil},
				{"hold", "Cold or hot holding, against a limit",
					"Hold a cold or hot holding's log against a limit, and print the time off it as JSON.", new(assessHoldCommand), nil},
			}},
		{"plan", "Plan a day from demand backwards",
			"Plan a day from demand backwards: what to drop, coat and marinate when, at the least cost, and how far from the least it may be.",
			new(planCommand), nil},
		{"import", "Read a logger's or a till's file",
			"Read the CSV file of a temperature logger, or of a till (--sales), into the journal. The same file twice changes nothing.",
			new(importCommand), nil},
		{"version", "Print the version", "Print the version.", new(versionCommand), nil},
	}
}

// streams are what a command writes to, and reads its surroundings from.
type streams struct {
	out, err io.Writer
	files    fs.FS // the built front end
}

func main() { os.Exit(run(os.Args[1:], streams{os.Stdout, os.Stderr, server.FrontEnd()})) }

// errFaults says that a command found faults and has told them.
var errFaults = errors.New("faults were found")

// run is main without the process around it.
func run(args []string, to streams) int {
	l, err := newLine(commands())
	if err != nil {
		return outcome(err, to)
	}
	does, err := l.read(args, to.out)
	switch {
	case err != nil:
		_, _ = fmt.Fprintf(to.err, "brinebell: %s. For help: %s --help\n", strings.TrimSuffix(err.Error(), "."), l.named())
		return exitMisused
	case does == nil:
		return exitDone // help was asked for and given
	}
	return outcome(does.Run(to), to)
}

func outcome(err error, to streams) int {
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFaults):
		return exitFaults
	}
	if bad, ok := errors.AsType[*badInput](err); ok {
		_, _ = fmt.Fprintln(to.err, "brinebell: "+bad.text+".")
		return exitFaults
	}
	_, _ = fmt.Fprintln(to.err, "brinebell: "+oneLine(err))
	return exitFailed
}

// oneLine is what people are told of a failure.
func oneLine(err error) string {
	if _, ok := errors.AsType[*fail.Error](err); ok {
		return fail.Sentence(err)
	}
	return strings.ReplaceAll(err.Error(), "\n", "; ")
}

type versionCommand struct{}

// Run prints the version.
func (*versionCommand) Run(to streams) error {
	_, err := fmt.Fprintln(to.out, "brinebell "+version)
	return err
}
