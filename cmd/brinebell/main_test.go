package main

import (
	"bytes"
	"context"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"
)

// asProgram makes the test binary be the program itself, so that tests can kill it.
const asProgram = "BRINEBELL_TEST_AS_PROGRAM"

// page is the least front end that can be served.
var page = fstest.MapFS{"index.html": {Data: []byte("<!doctype html>")}}

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(run(os.Args[1:], streams{os.Stdout, os.Stderr, page}))
	}
	os.Exit(m.Run())
}

// program is the command line as a process of its own.
func program(args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), asProgram+"=1")
	return c
}

// told runs a command within the test and returns its exit code and what it printed.
func told(args ...string) (code int, out, trouble string) {
	var o, e bytes.Buffer
	code = run(args, streams{&o, &e, page})
	return code, o.String(), e.String()
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer func() { _ = l.Close() }()
	_, port, err := net.SplitHostPort(l.Addr().String())
	require.NoError(t, err)
	return port
}

// answers waits until a server answers at base.
func answers(t *testing.T, base string) {
	t.Helper()
	require.Eventually(t, func() bool {
		answer, err := http.Get(base + "/readyz")
		if err != nil {
			return false
		}
		_ = answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	}, 20*time.Second, 5*time.Millisecond)
}

func TestServeCodeVerifyAndStop(t *testing.T) {
	data, port := filepath.Join(t.TempDir(), "kitchen"), freePort(t)
	base := "http://127.0.0.1:" + port
	c := program("--listen", "127.0.0.1:"+port, "--data", data, "--zone", "Europe/Berlin", "--kitchen", "Pier")
	var out, trouble bytes.Buffer
	c.Stdout, c.Stderr = &out, &trouble
	require.NoError(t, c.Start())
	answers(t, base)

	code, text, _ := told("code", "--data", data)
	require.Equal(t, exitDone, code)
	require.Regexp(t, `^[2-9A-Z]{3} [2-9A-Z]{3}\n`, text)
	code, text, _ = told("verify", "--data", data)
	require.Equal(t, exitDone, code)
	require.Contains(t, text, "OK  2 entries")
	code, _, text = told("serve", "--data", data, "--listen", "127.0.0.1:0")
	require.Equal(t, exitFailed, code)
	require.Contains(t, text, "already being served")
	code, _, text = told("serve", "--data", t.TempDir(), "--listen", "127.0.0.1:"+port)
	require.Equal(t, exitFailed, code)
	require.Contains(t, text, "cannot be listened on")
	require.Equal(t, 1, strings.Count(text, "\n"), "one line")

	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.NoError(t, c.Wait(), trouble.String())
	for _, words := range []string{"Brinebell serves Pier.", "http://localhost:" + port, "Joining code:", "What to do first", data} {
		require.Contains(t, out.String(), words)
	}
	code, text, _ = told("code", "--data", data)
	require.Equal(t, exitDone, code, "of a stopped kitchen")
	require.Regexp(t, `^[2-9A-Z]{3} [2-9A-Z]{3}\n`, text)
	code, _, text = told("serve", "--demo", "--data", data, "--listen", "127.0.0.1:0")
	require.Equal(t, exitFailed, code)
	require.Contains(t, text, "holds a real kitchen")
}

func TestTheCrewAndDocumentsOfANewKitchen(t *testing.T) {
	data, port := filepath.Join(t.TempDir(), "kitchen"), freePort(t)
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() {
		c := serveCommand{Listen: "127.0.0.1:" + port, Data: path(data), Zone: "America/New_York"}
		served <- c.serve(ctx, streams{new(bytes.Buffer), new(bytes.Buffer), page})
	}()
	answers(t, "http://127.0.0.1:"+port)
	samples := filepath.Join(t.TempDir(), "samples")
	code, text, _ := told("samples", samples)
	require.Equal(t, exitDone, code)
	require.Contains(t, text, "The numbers in them are invented.")
	_, text, _ = told("samples", samples)
	require.Contains(t, text, "left alone")
	require.FileExists(t, filepath.Join(samples, "documents-1.schema.json"))
	files, err := filepath.Glob(filepath.Join(samples, "[elp]*.json")) // equipment, lists, procedures
	require.NoError(t, err)
	require.NotEmpty(t, files)

	code, text, _ = told(append([]string{"publish", "--data", data}, files[:2]...)...)
	require.Equal(t, exitDone, code, text)
	code, text, trouble := told("lead", "Ada", "Brook", "--data", data)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, text, "Ada Brook leads now")
	cancel()
	require.NoError(t, <-served)

	rest := append([]string{filepath.Join(samples, "documents-1.schema.json")}, files[2:]...)
	code, text, trouble = told(append([]string{"publish", "--data", data}, rest...)...)
	require.Equal(t, exitDone, code, "of a stopped kitchen: %s%s", text, trouble)
	code, _, trouble = told(append([]string{"publish", "--data", data}, files...)...)
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "published already")
	code, _, _ = told("lead", "Ada", "Brook", "--lang", "es", "--data", data)
	require.Equal(t, exitDone, code)
	broken := filepath.Join(t.TempDir(), "broken.json")
	require.NoError(t, os.WriteFile(broken, []byte("{\n\"format\": 7\n}"), 0o600))
	code, text, _ = told("publish", "--data", data, broken)
	require.Equal(t, exitFaults, code)
	require.Contains(t, text, broken+":")
	code, text, _ = told("check", files[0], broken)
	require.Equal(t, exitFaults, code)
	require.Contains(t, text, files[0]+": OK")
	code, _, _ = told("check", files[0])
	require.Equal(t, exitDone, code)
	code, _, trouble = told("check", filepath.Join(samples, "none.json"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "none.json")
	code, _, trouble = told("lead", strings.Repeat("x", 41), "--data", data)
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "1 to 40 characters")
}

// Who writes the samples and checks all that lies in the folder is told of no fault, and can publish the same way.
func TestSamplesThenCheckAll(t *testing.T) {
	dir, data := filepath.Join(t.TempDir(), "samples"), filepath.Join(t.TempDir(), "kitchen")
	code, _, trouble := told("samples", dir)
	require.Equal(t, exitDone, code, trouble)
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	schema := filepath.Join(dir, "documents-1.schema.json")
	require.Contains(t, files, schema)
	code, text, _ := told(append([]string{"check"}, files...)...)
	require.Equal(t, exitDone, code, text)
	require.Contains(t, text, schema+": a JSON Schema, not a document: passed over\n")
	require.Equal(t, len(files)-1, strings.Count(text, ": OK\n"))
	_, text, _ = told("check", "--lang", "es", schema)
	require.Contains(t, text, schema+": un JSON Schema, no un documento")

	code, _, trouble = told("publish", "--data", data, schema)
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "none of these files is a document")
}

// What an editor put before the text is passed over, and is no part of what is published.
func TestAByteOrderMarkIsPassedOver(t *testing.T) {
	dir := t.TempDir()
	_, _, _ = told("samples", dir)
	text, err := os.ReadFile(filepath.Join(dir, "equipment.json"))
	require.NoError(t, err)
	marked := filepath.Join(dir, "marked.json")
	require.NoError(t, os.WriteFile(marked, append([]byte("\xef\xbb\xbf"), text...), 0o600))
	code, said, _ := told("check", marked)
	require.Equal(t, exitDone, code, said)
	read, err := readDocument(marked)
	require.NoError(t, err)
	require.Equal(t, text, read)
}

func TestVerifyNamesTheEntry(t *testing.T) {
	code, _, text := told("verify", "--data", t.TempDir())
	require.Equal(t, exitFailed, code)
	require.Contains(t, text, "There is no kitchen in")
}

func TestUsage(t *testing.T) {
	code, text, _ := told("--help")
	require.Equal(t, exitDone, code)
	for _, word := range []string{"serve", "check", "verify", "code", "publish", "samples", "lead", "version"} {
		require.Contains(t, text, word)
	}
	code, _, text = told("frobnicate")
	require.Equal(t, exitMisused, code)
	require.Equal(t, 1, strings.Count(text, "\n"))
	code, text, _ = told("version")
	require.Equal(t, exitDone, code)
	require.Equal(t, "brinebell dev\n", text)
}

func TestSettingsFromTheEnvironment(t *testing.T) {
	t.Setenv("BRINEBELL_DATA", t.TempDir())
	code, _, text := told("verify")
	require.Equal(t, exitFailed, code)
	require.Contains(t, text, os.Getenv("BRINEBELL_DATA"))
}
