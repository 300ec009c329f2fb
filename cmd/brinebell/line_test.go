package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/jessevdk/go-flags"
	"github.com/stretchr/testify/require"
)

// asked is the command that a command line asks for, not run.
func asked[C runner](t *testing.T, args ...string) C {
	t.Helper()
	l, err := newLine(commands())
	require.NoError(t, err)
	var out bytes.Buffer
	does, err := l.read(args, &out)
	require.NoError(t, err, args)
	require.Empty(t, out.String())
	require.IsType(t, *new(C), does)
	return does.(C)
}

func TestWithoutACommandAKitchenIsServed(t *testing.T) {
	c := asked[*serveCommand](t)
	require.Equal(t, serveCommand{Listen: ":8080", Log: "text"}, *c)
	c = asked[*serveCommand](t, "--demo", "--listen", ":1")
	require.True(t, c.Demo)
	require.Equal(t, ":1", c.Listen)
	c = asked[*serveCommand](t, "--log=json", "--kitchen=", "serve")
	require.Equal(t, "json", c.Log)
	require.Empty(t, c.Kitchen)
}

func TestAFlagStandsOverItsVariableAndThatOverTheDefault(t *testing.T) {
	for name, value := range map[string]string{
		"LISTEN": ":1", "LOG": "json", "NAME": "a.local,b.local", "DEMO": "Yes", "TIME": "2s", "MOVES": "7", "MAP": "time=1,temp=2",
		"PROBE_ERROR": "1", "PROBE_ERROR_C": "2", "DRY_RUN": "1", "SKIP_BAD": "true", "LIMIT_F": "135", "DATA": "~/kitchen", "FILE": "x", "HELP": "1",
	} {
		t.Setenv("BRINEBELL_"+name, value)
	}
	home, err := os.UserHomeDir()
	require.NoError(t, err)
	c := asked[*serveCommand](t)
	require.Equal(t, serveCommand{Listen: ":1", Log: "json", Name: list{"a.local", "b.local"}, Demo: true, Data: path(filepath.Join(home, "kitchen"))}, *c)
	c = asked[*serveCommand](t, "serve", "--listen", ":2", "--log", "text", "--name", "c", "--name=d,e", "--demo=no", "--data", "/k")
	require.Equal(t, serveCommand{Listen: ":2", Log: "text", Name: list{"c", "d", "e"}, Data: "/k"}, *c)

	p := asked[*planCommand](t, "plan")
	require.Equal(t, 2*time.Second, time.Duration(p.Time))
	require.EqualValues(t, 7, p.Moves)
	p = asked[*planCommand](t, "plan", "--time", "100ms", "--moves", "-1")
	require.Equal(t, 100*time.Millisecond, time.Duration(p.Time))
	require.EqualValues(t, -1, p.Moves)
	i := asked[*importCommand](t, "import", "line_test.go")
	require.Equal(t, pairs{"time": "1", "temp": "2"}, i.Map)
	require.True(t, i.DryRun && i.SkipBad)
	require.Equal(t, "logger", i.Logger)
	i = asked[*importCommand](t, "import", "--map", "day=3", "--map", `item=4,pieces=a\,b=c`, "line_test.go", "--dry-run=0")
	require.Equal(t, pairs{"day": "3", "item": "4", "pieces": "a,b=c"}, i.Map)
	require.False(t, i.DryRun)
	k := asked[*assessCookCommand](t, "assess", "cook", "x.csv", "--probe-error", "3")
	require.Equal(t, "3", k.ProbeError)
	require.Equal(t, "2", k.ProbeC)
	require.Equal(t, "135", asked[*assessHoldCommand](t, "assess", "hold", "x.csv").LimitF)

	t.Setenv("BRINEBELL_LOG", "xml") // of another command, or under a flag, it stands in nobody's way
	asked[*versionCommand](t, "version")
	require.Equal(t, "json", asked[*serveCommand](t, "--log", "json").Log)
	t.Setenv("BRINEBELL_MOVES", "many")
	asked[*planCommand](t, "plan", "--moves", "3")
}

func TestPathsAreMadeWhole(t *testing.T) {
	here, err := os.Getwd()
	require.NoError(t, err)
	home, err := os.UserHomeDir()
	require.NoError(t, err)
	for given, want := range map[string]string{
		"x/../y": filepath.Join(here, "y"), "/k": "/k", "~/k": filepath.Join(home, "k"), "~k": filepath.Join(here, "~k"), "-": "-",
	} {
		require.EqualValues(t, want, asked[*exportCommand](t, "export", "--data="+given, "x.pdf").Data, given)
		require.EqualValues(t, want, asked[*exportCommand](t, "export", "--", given).Args.File, given)
	}
	require.EqualValues(t, filepath.Join(here, "line_test.go"), asked[*importCommand](t, "import", "line_test.go").Args.File)
	require.Equal(t, []string{"x.json", "-y.json"}, asked[*checkCommand](t, "check", "x.json", "--lang", "es", "--", "-y.json").Args.Files)
}

func TestEachMisuseIsSaidInASentence(t *testing.T) {
	all := "take one of serve, check, verify, export, backup, restore, code, publish, samples, lead, assess, plan, import, version. For help: brinebell --help"
	for _, c := range []struct{ typed, set, says string }{
		{"--frob", "", "unknown flag --frob: brinebell takes --demo, --evening, --listen, "},
		{"verify --dta x", "", "unknown flag --dta: brinebell verify takes --data, --demo, --backup, --hash. For help: brinebell verify --help"},
		{"verify -demo", "", "unknown flag -demo: "},
		{"version --log json", "", "unknown flag --log: brinebell version takes none"},
		{"frobnicate", "", "unknown command frobnicate: " + all},
		{"frobnicate --help", "", "unknown command frobnicate: " + all},
		{"assess", "", "a command is missing after brinebell assess: one of cook, cool, hold. For help: brinebell assess --help"},
		{"assess fry", "", "unknown command assess fry: take one of cook, cool, hold"},
		{"--demo version", "", "unexpected argument version: the name of a command stands first, before its flags"},
		{"serve twice", "", "unexpected argument twice: brinebell serve takes none"},
		{"samples a b", "", "unexpected argument b: brinebell samples takes one, DIR"},
		{"check", "", "the required argument `FILE (at least 1 argument)` was not provided. For help: brinebell check --help"},
		{"lead", "", "the required argument `NAME (at least 1 argument)` was not provided"},
		{"samples", "", "the required argument `DIR` was not provided"},
		{"assess cook", "", "the required argument `FILE` was not provided. For help: brinebell assess cook --help"},
		{"serve --log", "", "expected argument for flag `--log'"},
		{"verify --data --demo", "", "expected argument for flag `--data', but got option `--demo'"},
		{"serve --log xml", "", "Invalid value `xml' for option `--log'. Allowed values are: text or json"},
		{"check x --lang=fr", "", "Invalid value `fr' for option `--lang'. Allowed values are: en or es"},
		{"verify --demo=maybe", "", `--demo: "maybe" must be yes or no`},
		{"plan --moves 1.5", "", "invalid argument for flag `--moves': \"1.5\" must be a whole number, such as 60000"},
		{"plan --time 5", "", "invalid argument for flag `--time': \"5\" must be a length of time, such as 100ms, 3s or 1m30s"},
		{"import --map foo line.go", "", "invalid argument for flag `--map': \"foo\" must be NAME=VALUE, with commas between several"},
		{"import none.csv", "", "none.csv cannot be read: no such file or directory"},
		{"import .", "", " is a folder: name a file"},
		{"serve", "LOG=xml", "BRINEBELL_LOG: Invalid value `xml' for option `--log'. Allowed values are: text or json"},
		{"verify", "DEMO=", `BRINEBELL_DEMO: "" must be yes or no`},
		{"plan", "MOVES=many", `BRINEBELL_MOVES: "many" must be a whole number`},
		{"plan", "TIME=long", `BRINEBELL_TIME: "long" must be a length of time`},
		{"import line.go", "ITEM=foo", `BRINEBELL_ITEM: "foo" must be NAME=VALUE`},
	} {
		t.Run(c.typed+" "+c.set, func(t *testing.T) {
			if name, value, ok := strings.Cut(c.set, "="); ok {
				t.Setenv("BRINEBELL_"+name, value)
			}
			code, out, trouble := told(strings.Fields(c.typed)...)
			require.Equal(t, exitMisused, code)
			require.Empty(t, out)
			require.Contains(t, trouble, c.says)
			require.Regexp(t, `^brinebell: [^\n]+\. For help: brinebell[a-z ]* --help\n$`, trouble)
			require.NotContains(t, trouble, "main.", "a type of ours")
		})
	}
}

// The variable by which a shell asks for completions must not make the library answer past the given streams, and exit.
func TestNothingIsCompleted(t *testing.T) {
	t.Setenv("GO_FLAGS_COMPLETION", "1")
	code, out, _ := told("version")
	require.Equal(t, exitDone, code)
	require.Equal(t, "brinebell dev\n", out)
}

func TestHelpNamesEveryCommandAndFlag(t *testing.T) {
	l, err := newLine(commands())
	require.NoError(t, err)
	var visit func(c *flags.Command, typed ...string)
	seen := 0
	visit = func(c *flags.Command, typed ...string) {
		for _, ask := range []string{"--help", "-h"} {
			code, out, trouble := told(append(slices.Clone(typed), ask)...)
			require.Equal(t, exitDone, code, typed)
			require.Empty(t, trouble)
			require.Contains(t, out, strings.Join(append([]string{"brinebell"}, typed...), " "))
			require.Contains(t, strings.Join(strings.Fields(out), " "), c.LongDescription)
			for _, part := range c.Commands() {
				require.Contains(t, out, "\n  "+part.Name+" ", typed)
				require.Contains(t, out, part.ShortDescription, typed)
			}
			for _, o := range c.Options() {
				require.Contains(t, out, "\n      --"+o.LongName, typed)
				require.Contains(t, out, "$"+variable(o)+")", typed)
				require.Contains(t, strings.Join(strings.Fields(out), " "), o.Description, typed)
			}
			for _, a := range c.Args() {
				require.Contains(t, out, "\n  "+a.Name+":", typed)
			}
			for row := range strings.Lines(out) {
				require.LessOrEqual(t, utf8.RuneCountInString(row), 81, row)
			}
		}
		seen++
		for _, part := range c.Commands() {
			visit(part, append(slices.Clone(typed), part.Name)...)
		}
	}
	visit(l.parser.Command)
	require.Equal(t, 1+14+3, seen)
	_, out, _ := told("serve", "--help")
	require.Contains(t, out, "(default :8080;")
	_, own, _ := told("--demo", "--help")
	require.Equal(t, out, own, "of the command that stands for none")
}

// A command does something or has parts that do, and everything that is said of it is there.
func TestEveryCommandDoesSomething(t *testing.T) {
	var visit func(parts []command)
	visit = func(parts []command) {
		for _, c := range parts {
			require.NotEqual(t, c.does == nil, c.parts == nil, c.name)
			require.NotEmpty(t, c.short, c.name)
			require.NotEmpty(t, c.long, c.name)
			visit(c.parts)
		}
	}
	visit(commands())
}
