package forecast

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const told = "OUTLOOKS "

// outlooks are those of some invented kitchens, with what to be ready for.
func outlooks() string {
	var all []any
	for seed := range uint64(25) {
		m := Fit(newKnown(seed).pastOf(int(3+seed*2), seed%3 > 0), 0, knownSlots)
		o := m.Day(0, uint8(seed%7))
		all = append(all, o, Demand(o, 3, 1), o.Span(0, knownSlots), m.Score(Ratio{9, 1}))
	}
	text, err := json.Marshal(all)
	if err != nil {
		return err.Error()
	}
	return string(text)
}

// A phone forecasts what the server does, to the last thousandth of a piece. Compiled to WebAssembly this test says what comes out;
// natively it has that run by node and compares.
func TestPhoneForecastsAsTheServer(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Log(told + outlooks())
		return
	}
	folder := t.TempDir()
	file := filepath.Join(folder, "forecast.wasm")
	build := exec.Command("go", "test", "-c", "-o", file, ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	run := exec.Command("node", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), file,
		"-test.run=^TestPhoneForecastsAsTheServer$", "-test.v")
	run.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + folder} // a page of WebAssembly holds only so much surroundings
	out, err = run.CombinedOutput()
	require.NoError(t, err, string(out))
	_, after, found := strings.Cut(string(out), told)
	require.True(t, found, string(out))
	line, _, _ := strings.Cut(after, "\n")
	require.Equal(t, outlooks(), strings.TrimSpace(line))
}
