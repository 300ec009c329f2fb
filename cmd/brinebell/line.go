package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/jessevdk/go-flags"
)

// command is one of the program's commands. It does something, or it has parts that do.
type command struct {
	name, short, long string

	does  runner
	parts []command
}

// runner does what a command is for, once its flags are read into it.
type runner interface{ Run(to streams) error }

// line reads the command line. The library reads flags into the commands and writes their help; ours is the command that
// stands for none, the environment, and what is said of most misuses.
type line struct {
	parser *flags.Parser
	does   map[*flags.Command]runner
	path   []*flags.Command // the command that was named
	bare   bool             // none was, and the first stands for it
}

func newLine(all []command) (*line, error) {
	l := &line{flags.NewNamedParser("brinebell", flags.PassDoubleDash|flags.AllowBoolValues), map[*flags.Command]runner{}, nil, false}
	l.parser.LongDescription = about
	// The library would answer a shell that asks for completions itself, on the process's own output, and exit.
	_ = os.Unsetenv("GO_FLAGS_COMPLETION")
	return l, l.add(l.parser.Command, all)
}

// add gives a command its parts. A flag's default and its variable are said in its help.
func (l *line) add(under *flags.Command, parts []command) error {
	for _, part := range parts {
		var into any = part.does
		if part.does == nil {
			into = &struct{}{}
		}
		c, err := under.AddCommand(part.name, part.short, part.long, into)
		if err != nil {
			return err
		}
		l.does[c] = part.does
		for _, o := range c.Options() {
			about := "$" + variable(o)
			if len(o.Default) > 0 {
				about = "default " + o.Default[0] + "; " + about
			}
			o.Description, o.DefaultMask = strings.TrimSuffix(o.Description, ".")+" ("+about+")", "-"
		}
		if err := l.add(c, part.parts); err != nil {
			return err
		}
	}
	return nil
}

// variable is the name in the environment that stands for a flag: BRINEBELL_PROBE_ERROR for --probe-error.
func variable(o *flags.Option) string {
	return "BRINEBELL_" + strings.ToUpper(strings.ReplaceAll(o.LongName, "-", "_"))
}

// read is the command that was asked for, with its flags and arguments in it, or none if help was asked for and written.
func (l *line) read(args []string, out io.Writer) (runner, error) {
	own := args
	if i := slices.Index(args, "--"); i >= 0 {
		own = args[:i]
	}
	help := slices.Contains(own, "--help") || slices.Contains(own, "-h")
	l.bare = len(args) == 0 || strings.HasPrefix(args[0], "-") && args[0] != "--help" && args[0] != "-h"
	if l.bare {
		args = append([]string{l.parser.Commands()[0].Name}, args...)
	}
	err := l.find(args)
	switch {
	case err != nil:
		return nil, err
	case help:
		return nil, l.help(out)
	case l.group():
		return nil, fmt.Errorf("a command is missing after %s: one of %s", l.named(), names(l.last().Commands()))
	}
	if args, err = truths(l.last(), args); err != nil {
		return nil, err
	}
	l.parser.UnknownOptionHandler = func(name string, _ flags.SplitArgument, _ []string) ([]string, error) {
		return nil, l.unknown(args, name)
	}
	rest, err := l.parser.ParseArgs(args)
	switch {
	case err != nil:
		return nil, plain(err)
	case len(rest) > 0 && !(l.bare && rest[0] == args[0] && len(rest) == 1): // brinebell --demo serve
		return nil, l.surplus(rest[0])
	}
	return l.does[l.last()], surroundings(l.last())
}

// find goes from command to part by the first arguments.
func (l *line) find(args []string) error {
	for _, name := range args {
		if !l.group() {
			return nil
		}
		c := l.last().Find(name)
		if c == nil && !strings.HasPrefix(name, "-") {
			return fmt.Errorf("unknown command %s: take one of %s", strings.TrimPrefix(l.named()+" "+name, l.parser.Name+" "), names(l.last().Commands()))
		}
		if c == nil {
			return nil
		}
		l.last().Active = c
		l.path = append(l.path, c)
	}
	return nil
}

// last is the command named last, or the program itself.
func (l *line) last() *flags.Command {
	if len(l.path) == 0 {
		return l.parser.Command
	}
	return l.path[len(l.path)-1]
}

func (l *line) group() bool { return len(l.last().Commands()) > 0 }

// named is the command as it is typed.
func (l *line) named() string {
	name := l.parser.Name
	if !l.bare {
		for _, c := range l.path {
			name += " " + c.Name
		}
	}
	return name
}

func names(list []*flags.Command) string {
	var all []string
	for _, c := range list {
		all = append(all, c.Name)
	}
	return strings.Join(all, ", ")
}

func (l *line) help(out io.Writer) error {
	l.parser.WriteHelp(out)
	more := "\n"
	if l.group() {
		more = "\nThe flags of a command: " + l.named() + " COMMAND --help\n"
	}
	if len(l.last().Options()) > 0 {
		more = "\nThe variable named beside a flag stands for it where it is not given.\n"
	}
	_, err := io.WriteString(out, more)
	return err
}

// unknown says which flags a command takes.
func (l *line) unknown(args []string, name string) error {
	typed := "--" + name
	if !slices.ContainsFunc(args, func(arg string) bool { return strings.HasPrefix(arg, typed) }) {
		typed = "-" + name
	}
	var takes []string
	for _, o := range l.last().Options() {
		takes = append(takes, "--"+o.LongName)
	}
	if len(takes) == 0 {
		return fmt.Errorf("unknown flag %s: %s takes none", typed, l.named())
	}
	return fmt.Errorf("unknown flag %s: %s takes %s", typed, l.named(), strings.Join(takes, ", "))
}

// surplus says what a command takes when it was given more.
func (l *line) surplus(arg string) error {
	if l.bare {
		return fmt.Errorf("unexpected argument %s: the name of a command stands first, before its flags", arg)
	}
	var takes []string
	for _, a := range l.last().Args() {
		takes = append(takes, a.Name)
	}
	if len(takes) == 0 {
		return fmt.Errorf("unexpected argument %s: %s takes none", arg, l.named())
	}
	return fmt.Errorf("unexpected argument %s: %s takes one, %s", arg, l.named(), strings.Join(takes, ", "))
}

// surroundings sets each flag that was not typed from its variable. The library could, but it reads the variables of every
// command, whichever was asked for, and does not say that it was a variable that it could not read.
func surroundings(c *flags.Command) error {
	for _, o := range c.Options() {
		value, told := os.LookupEnv(variable(o))
		if !told || o.IsSet() && !o.IsSetDefault() {
			continue
		}
		err := error(nil)
		if yesNo(o) {
			value, err = truth(value)
		}
		if err == nil {
			err = o.Set(&value)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", variable(o), plain(err))
		}
	}
	return nil
}

// yesNo tells whether a flag is on or off.
func yesNo(o *flags.Option) bool {
	_, is := o.Value().(bool)
	return is
}

// truths puts the values of flags that are on or off (--demo=no) into the words that the library knows.
func truths(c *flags.Command, args []string) ([]string, error) {
	args = slices.Clone(args)
	for i, arg := range args {
		if arg == "--" {
			break
		}
		name, value, given := strings.Cut(strings.TrimPrefix(arg, "--"), "=")
		if o := c.FindOptionByLongName(name); given && arg != name && o != nil && yesNo(o) {
			word, err := truth(value)
			if err != nil {
				return nil, fmt.Errorf("--%s: %w", name, err)
			}
			args[i] = "--" + name + "=" + word
		}
	}
	return args, nil
}

func truth(value string) (string, error) {
	switch strings.ToLower(value) {
	case "true", "yes", "1":
		return "true", nil
	case "false", "no", "0":
		return "false", nil
	}
	return "", fmt.Errorf("%q must be yes or no (or true, false, 1, 0)", value)
}

// plain leaves out of the library's sentence what type it wanted in Go.
func plain(err error) error {
	e, ok := errors.AsType[*flags.Error](err)
	if !ok {
		return err
	}
	before, rest, _ := strings.Cut(e.Message, " (expected ")
	_, after, typed := strings.Cut(rest, "): ")
	if !typed {
		return err
	}
	return errors.New(before + ": " + after)
}
