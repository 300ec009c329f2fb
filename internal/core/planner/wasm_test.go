package planner

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// told begins the line on which the phone's build tells what it planned.
const told = "planned: "

// plansOf is a digest of the plans of some problems after so many moves, with what they cost and their bounds.
func plansOf(t *testing.T) string {
	sum := sha256.New()
	for _, id := range []string{"tiny", "small-0003", "cold-room-0001"} {
		p := problem(t, id)
		sum.Write(solved(p, 90_000, 1).Write(p))
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// TestPhonePlansAsTheServer holds that so many moves make the same plan in WebAssembly as they do here, to the last byte.
func TestPhonePlansAsTheServer(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Log(told + plansOf(t))
		return
	}
	file := filepath.Join(t.TempDir(), "planner.wasm")
	build := exec.Command("go", "test", "-c", "-o", file, ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	run := exec.Command("node", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), file,
		"-test.run=^TestPhonePlansAsTheServer$", "-test.v")
	run.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir()} // a page of WebAssembly holds only so much surroundings
	out, err = run.CombinedOutput()
	require.NoError(t, err, string(out))
	_, after, found := strings.Cut(string(out), told)
	require.True(t, found, string(out))
	line, _, _ := strings.Cut(after, "\n")
	require.Equal(t, plansOf(t), strings.TrimSpace(line))
}
