package importrules

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/journaltest"
)

const wasmJournals = 120

// A phone and the server must come to the same bytes from the same entries, so the core is built as the phones get it,
// run by node, and fed the journals that the native core is fed, each in another order.
func TestWasmFoldsAsNative(t *testing.T) {
	folder := t.TempDir()
	wasm := buildWasm(t, folder)
	args := []string{"testdata/fold.mjs", loader(t), wasm}
	var want []string
	for i := range wasmJournals {
		seed := uint64(i + 1)
		entries := journaltest.Random(seed, 10+i*390/wasmJournals)
		path := filepath.Join(folder, fmt.Sprintf("%03d.journal", i))
		require.NoError(t, os.WriteFile(path, core.AppendStored(nil, stored(entries, seed+1000)), 0o600))
		args = append(args, path)
		state := foldNative(stored(entries, seed+2000))
		require.NotEmpty(t, state)
		sum := sha256.Sum256(state)
		want = append(want, hex.EncodeToString(sum[:]))
	}
	out, err := exec.Command("node", args...).CombinedOutput()
	require.NoError(t, err, string(out))
	got := strings.Fields(string(out))
	require.Len(t, got, wasmJournals)
	different := map[string]bool{}
	for i := range want {
		require.Equal(t, want[i], got[i], "journal of seed %d", i+1)
		different[want[i]] = true
	}
	require.Greater(t, len(different), wasmJournals/2, "the journals must not all come to the same state")
}

// What a phone downloads stays small: the linker leaves out what only a server does, as long as nothing of a phone's
// core names it.
func TestPhonesCarryNoServer(t *testing.T) {
	wasm := buildWasm(t, t.TempDir(), "--traces") // with the names of its functions
	text, err := os.ReadFile(wasm)
	require.NoError(t, err)
	for does, here := range map[string]bool{"carry": true, "serve": false, "commit": false, "checkpoint": false, "admit": false} {
		require.Equal(t, here, strings.Contains(string(text), "core.(*Core)."+does+"\x00"), does)
	}
}

// stored shuffles entries into what a phone has on its shelf.
func stored(entries []entry.Entry, seed uint64) *core.Stored {
	s := new(core.Stored)
	for i := range entries {
		s.Tail = append(s.Tail, core.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &entries[i])})
	}
	rand.New(rand.NewPCG(seed, 0)).Shuffle(len(s.Tail), func(i, j int) { s.Tail[i], s.Tail[j] = s.Tail[j], s.Tail[i] })
	return s
}

func foldNative(s *core.Stored) []byte {
	c := core.New(core.Config{Device: "phone1", Key: "00"})
	c.Step(core.Input{Op: core.OpStart, Wall: 1_800_000_000_000, Mono: 1, Stored: s})
	return c.StateBytes()
}

func loader(t *testing.T) string {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	return filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")
}

// buildWasm builds the core by the same script that builds the phones' one.
func buildWasm(t *testing.T, folder string, how ...string) string {
	t.Helper()
	path := filepath.Join(folder, "core.wasm")
	out, err := exec.Command("node", append([]string{"../../frontend/buildcore.mjs", path}, how...)...).CombinedOutput()
	require.NoError(t, err, string(out))
	return path
}
