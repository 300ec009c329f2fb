// Command brinebell serves a kitchen and looks after its data.
package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/alecthomas/kong"

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

// commands is the whole command line.
type commands struct {
	Serve   serveCommand   `cmd:"" default:"withargs" help:"Serve a kitchen to the phones on its network (also without naming a command)."`
	Check   checkCommand   `cmd:"" help:"Check documents: procedures, lists, equipment. Every fault is named by path, line and a sentence."`
	Verify  verifyCommand  `cmd:"" help:"Walk the whole journal and name the first entry that was changed after it was kept."`
	Export  exportCommand  `cmd:"" help:"Write the records of some days as PDF, CSV or JSON, or the kitchen at an instant. The chain is walked first."`
	Restore restoreCommand `cmd:"" help:"Put a copy of kitchen.db in the place of a stopped kitchen's own, checked first. The phones bring back what it lacks."`
	Code    codeCommand    `cmd:"" help:"Print a joining code for one device: 10 minutes, single use."`
	Publish publishCommand `cmd:"" help:"Check documents and publish them in a kitchen, running or stopped."`
	Samples samplesCommand `cmd:"" help:"Write the demo kitchen's documents into a folder, to be edited: their numbers are invented."`
	Lead    leadCommand    `cmd:"" help:"List a lead in the crew of a kitchen, running or stopped: the first one of a new kitchen."`
	Assess  assessCommand  `cmd:"" help:"Hold a probe's log against published limits: exit code 0 whether they are met or not."`
	Plan    planCommand    `cmd:"" help:"Plan a day from demand backwards: what to drop, coat and marinate when, at the least cost, and how far from the least it may be."`
	Import  importCommand  `cmd:"" help:"Read the CSV file of a temperature logger into the journal. The same file twice changes nothing."`
	Version versionCommand `cmd:"" help:"Print the version."`
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
	var c commands
	exit := -1
	parser, err := kong.New(&c,
		kong.Name("brinebell"),
		kong.Description("The kitchen line on every phone: batches, their windows, and bells that ring together."),
		kong.Writers(to.out, to.err),
		kong.Exit(func(code int) { exit = code }),
		kong.DefaultEnvars("BRINEBELL"),
		kong.UsageOnError(),
		kong.Bind(to),
	)
	if err != nil {
		_, _ = fmt.Fprintln(to.err, err)
		return exitFailed
	}
	ctx, err := parser.Parse(args)
	if exit >= 0 {
		return exit // help was asked for and given
	}
	if err != nil {
		_, _ = fmt.Fprintf(to.err, "brinebell: %s. For help: brinebell --help\n", strings.TrimSuffix(err.Error(), "."))
		return exitMisused
	}
	return outcome(ctx.Run(), to)
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
func (versionCommand) Run(to streams) error {
	_, err := fmt.Fprintln(to.out, "brinebell "+version)
	return err
}
