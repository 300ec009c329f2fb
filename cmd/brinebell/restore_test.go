package main

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
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

// Photos go along: each once, under the name of its bytes, and none whose bytes are other ones.
func TestPhotosGoWithABackupAndComeBackWithARestore(t *testing.T) {
	data, out, fresh := filepath.Join(t.TempDir(), "kitchen"), t.TempDir(), filepath.Join(t.TempDir(), "new")
	s, err := sqlite.Open(data, sqlite.Options{})
	require.NoError(t, err)
	require.NoError(t, s.Close())
	require.NoError(t, os.Mkdir(filepath.Join(data, "photos"), 0o700))
	keep := func(name, bytes string) {
		require.NoError(t, os.WriteFile(filepath.Join(data, "photos", name), []byte(bytes), 0o600))
	}
	name := func(bytes string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(bytes))) }
	keep(name("tub"), "tub")
	keep(name("tray"), "tray")
	keep(name("pan"), "changed since")
	keep("notes.txt", "no photo")
	code, text, trouble := told("backup", "--data", data, filepath.Join(out, "1.db"))
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, text, "Photos copied to the folder photos in "+out+": 2\n")
	require.Contains(t, text, "Photos in "+data+" that are damaged and were left out: 1\n")
	keep(name("rack"), "rack")
	_, text, _ = told("backup", "--data", data, filepath.Join(out, "2.db"))
	require.Contains(t, text, "in "+out+": 1\n")
	code, _, trouble = told("backup", "--data", data, filepath.Join(data, "3.db")) // beside itself there is nothing to copy
	require.Equal(t, exitDone, code, trouble)

	code, text, trouble = told("restore", "--data", fresh, filepath.Join(out, "2.db"))
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, text, "Photos copied to the folder photos in "+fresh+": 3\n")
	list, err := os.ReadDir(filepath.Join(fresh, "photos"))
	require.NoError(t, err)
	require.Len(t, list, 3)
	for _, bytes := range []string{"tub", "tray", "rack"} {
		got, err := os.ReadFile(filepath.Join(fresh, "photos", name(bytes)))
		require.NoError(t, err)
		require.Equal(t, bytes, string(got))
	}
}

// TestBackupOfAServedKitchen: on demand and beside a running server, checked, put back; and later held against the journal.
func TestBackupOfAServedKitchen(t *testing.T) {
	data, port, out := filepath.Join(t.TempDir(), "kitchen"), freePort(t), t.TempDir()
	c := program("--listen", "127.0.0.1:"+port, "--data", data, "--zone", "Europe/Berlin")
	require.NoError(t, c.Start())
	answers(t, "http://127.0.0.1:"+port)
	file := filepath.Join(out, "tuesday.db")
	code, text, trouble := told("backup", "--data", data, file)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, text, "Backed up: 2 entries, each as it was kept, in "+file)
	code, text, trouble = told("backup", "--data", data, out)
	require.Equal(t, exitDone, code, trouble)
	require.Regexp(t, `kitchen-20\d\d-\d\d-\d\dT\d{6}\.db`, text)
	code, _, trouble = told("backup", "--data", data, file)
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "There is a file "+file+" already")
	code, _, trouble = told("lead", "--data", data, "Maren")
	require.Equal(t, exitDone, code, trouble)
	code, text, _ = told("verify", "--data", data, "--backup", file)
	require.Equal(t, exitDone, code)
	require.Contains(t, text, "OK  All 2 entries of "+file+" are here as they were.")
	_, hash, _ := strings.Cut(text, "Hash of the last: ")
	hash = hash[:64]
	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.NoError(t, c.Wait())

	code, text, _ = told("verify", "--data", data, "--hash", hash[:16])
	require.Equal(t, exitDone, code)
	require.Contains(t, text, "OK  That is the hash of entry 3: nothing up to there was changed")
	code, text, _ = told("verify", "--data", data, "--hash", strings.Repeat("0", 16))
	require.Equal(t, exitFaults, code)
	require.Contains(t, text, "FAULT  No entry has the hash 0000000000000000.")
	for _, bad := range []string{"12345", strings.Repeat("g", 16), strings.Repeat("a", 66)} {
		code, _, trouble = told("verify", "--data", data, "--hash", bad)
		require.Equal(t, exitFailed, code)
		require.Contains(t, trouble, "is no hash: it has 16 to 64 digits")
	}

	code, text, trouble = told("restore", "--data", data, file)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, text, "Restored: 2 entries")
	code, text, _ = told("verify", "--data", data, "--hash", hash, "--backup", file)
	require.Equal(t, exitFaults, code, "a restore is said to be a reason")
	require.Contains(t, text, "OK  All 2 entries of "+file)
	require.Contains(t, text, "or it was restored from an older copy")
	code, _, trouble = told("verify", "--data", data, "--hash", hash, "--backup", filepath.Join(data, "kitchen.json"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, trouble, "is no kitchen's data file")
}
