package server_test

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

// notKept tells the kitchen something that it cannot keep, and waits until it hangs up with the reason.
func notKept(t *testing.T, l *hubtest.Line, record []byte, reason string) {
	t.Helper()
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: [][]byte{record}}))
	for {
		f, err := l.Next(soon)
		require.NoError(t, err)
		require.NotContains(t, hubtest.Shown(f), entry.ID(record[1:17]), "shown as kept")
		if bye, ok := f.(*protocol.Bye); ok {
			require.Equal(t, protocol.ByeFull, bye.Reason)
			require.Contains(t, bye.Text, reason)
			return
		}
	}
}

// goesOn lets the time of the next try come, and waits until entries are kept again.
func goesOn(t *testing.T, s *server.Server, clock *hands, ticket hubtest.Ticket) {
	t.Helper()
	require.Eventually(t, func() bool {
		clock.wall.Add(6000)
		if l, _, _ := hubtest.Hello(s.LocalURL(), ticket, "", 0, 0); l != nil { // whoever comes wakes it
			_ = l.Close()
		}
		status, _ := get(t, s.LocalURL()+"/readyz")
		return status == http.StatusOK
	}, 15*time.Second, 20*time.Millisecond)
}

func heldIn(t *testing.T, data string, records ...[]byte) {
	t.Helper()
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	report, err := store.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	for _, r := range records {
		_, there, err := store.Place(entry.ID(r[1:17]))
		require.NoError(t, err)
		require.True(t, there)
	}
}

// The disk of the data folder, one of its own, is filled to its last byte while the kitchen is served: what comes is not shown as kept,
// the line is let in to read, nothing is deleted, and with room again it goes on by itself.
func TestADiskThatFillsWhileTheKitchenIsServed(t *testing.T) {
	data := t.TempDir()
	mounted := syscall.Mount("tmpfs", data, "tmpfs", 0, "size=40m") == nil
	if mounted {
		t.Cleanup(func() { _ = syscall.Unmount(data, syscall.MNT_DETACH) })
	}
	clock := newHands(time.Now())
	s := start(t, server.Config{Data: data, Zone: "Europe/Berlin", Clock: clock})
	ticket := joined(t, s, "phone")
	first, second := note(ticket.Device, "before"), note(ticket.Device, strings.Repeat("while it is full ", 4000))
	push(t, onLine(t, s, ticket), first)
	if !mounted {
		heldIn(t, data, first)
		return // a user who may mount nothing: the test of a journal that may not grow is the proof
	}
	film := filepath.Join(data, "film")
	f, err := os.Create(film)
	require.NoError(t, err)
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	require.NoError(t, f.Close())

	l := onLine(t, s, ticket)
	notKept(t, l, second, "disk of the kitchen's server is full")
	status, text := get(t, s.LocalURL()+"/readyz")
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Contains(t, text, "disk of the kitchen's server is full")
	onLine(t, s, ticket)
	require.ErrorContains(t, s.BackUp(), "room", "and no backup is tried on it")

	require.NoError(t, os.Remove(film))
	goesOn(t, s, clock, ticket)
	push(t, onLine(t, s, ticket), second)
	require.NoError(t, s.BackUp())
	stop(t, s)
	heldIn(t, data, first, second)
}

// The data folder is moved away under a kitchen that is served, and another one stands in its place for a while: nothing is shown as
// kept that nobody would find again, and once it is back all goes on.
func TestADataFolderThatIsMovedAwayWhileTheKitchenIsServed(t *testing.T) {
	data := filepath.Join(t.TempDir(), "kitchen")
	clock := newHands(time.Now())
	s := start(t, server.Config{Data: data, Zone: "Europe/Berlin", Clock: clock})
	ticket := joined(t, s, "phone")
	first, second := note(ticket.Device, "before"), note(ticket.Device, "while it is away")
	push(t, onLine(t, s, ticket), first)
	l := onLine(t, s, ticket)
	require.NoError(t, os.Rename(data, data+".away"))
	notKept(t, l, second, "no longer at "+data)
	status, text := get(t, s.LocalURL()+"/readyz")
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Contains(t, text, "no longer at "+data)
	require.NoDirExists(t, data)
	require.Error(t, s.BackUp())

	require.NoError(t, os.Rename(data+".away", data))
	goesOn(t, s, clock, ticket)
	push(t, onLine(t, s, ticket), second)
	stop(t, s)
	heldIn(t, data, first, second)
}
