package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/sqlite"
)

// TestRestoreACopy: a copy that is read before anything is touched, a folder that is kept, and a second name for it.
func TestRestoreACopy(t *testing.T) {
	data := filepath.Join(t.TempDir(), "kitchen")
	s, err := sqlite.Open(data, sqlite.Options{})
	require.NoError(t, err)
	require.NoError(t, s.Close())
	for _, name := range []string{"Maren", "Teo"} {
		code, _, trouble := told("lead", "--data", data, name)
		require.Equal(t, exitDone, code, trouble)
		if name == "Maren" {
			text, err := os.ReadFile(filepath.Join(data, "kitchen.db"))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(data+".copy", text, 0o600))
		}
	}
	before, err := sqlite.ReadMark(data)
	require.NoError(t, err)

	code, _, trouble := told("restore", "--data", data, filepath.Join(data, "kitchen.json"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "is no kitchen's data file, or cannot be read. Nothing was changed.")
	code, out, trouble := told("restore", "--data", data, data+".copy")
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "each as it was kept. Hash of the last: ")
	require.Contains(t, out, "let each phone come into touch")
	after, err := sqlite.ReadMark(data)
	require.NoError(t, err)
	require.NotEqual(t, before.Generation, after.Generation)
	kept, err := filepath.Glob(filepath.Join(data, "before-restore-*", "kitchen.db"))
	require.NoError(t, err)
	require.Len(t, kept, 1)

	code, verified, _ := told("verify", "--data", data)
	require.Equal(t, exitDone, code)
	require.Contains(t, verified, "OK ")
	fresh := filepath.Join(t.TempDir(), "new") // also where there was no kitchen yet
	code, _, trouble = told("restore", "--data", fresh, data+".copy")
	require.Equal(t, exitDone, code, trouble)
	code, again, _ := told("verify", "--data", fresh)
	require.Equal(t, exitDone, code)
	require.Equal(t, verified, again)
}
