package server_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/fail"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

// pastCopy is a stopped kitchen with a copy of its data file that is older than its last entries.
type pastCopy struct {
	data, copy string
	generation string // before
	ticket     hubtest.Ticket
	late       hubtest.Ticket // joined after the copy was made
	have       uint64         // what the device knows
	lost       [][]byte       // records that the copy lacks, in their order
}

func twoStates(t *testing.T) *pastCopy {
	t.Helper()
	p := &pastCopy{data: t.TempDir(), copy: filepath.Join(t.TempDir(), "tuesday.db")}
	cfg := server.Config{Data: p.data, Kitchen: "Halfmoon Ferry Canteen", Zone: "America/New_York"}
	s := start(t, cfg)
	p.ticket = joined(t, s, "Fry station")
	push(t, onLine(t, s, p.ticket), note(p.ticket.Device, "before the copy"))
	stop(t, s)
	text, err := os.ReadFile(filepath.Join(p.data, "kitchen.db"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(p.copy, text, 0o600))

	s = start(t, cfg)
	p.late = joined(t, s, "Hold phone")
	l := onLine(t, s, p.ticket)
	for range 30 {
		p.lost = append(p.lost, note(p.ticket.Device, "after the copy"))
	}
	push(t, l, p.lost...)
	stop(t, s)
	store, err := sqlite.Open(p.data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	p.generation = store.Generation()
	p.have, _ = store.Chain()
	require.NoError(t, store.Close())
	return p
}

// comesBack lets the device say what it last knew, as a phone does, and bring back what the kitchen says that it lacks.
func (p *pastCopy) comesBack(t *testing.T, s *server.Server) *protocol.Welcome {
	t.Helper()
	last := entry.ID(p.lost[len(p.lost)-1][1:17])
	l, w, err := hubtest.HelloAs(s.LocalURL(), p.ticket, &protocol.Hello{Generation: p.generation, Have: p.have, Held: p.have, Last: last[:]})
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	require.True(t, w.Generation != p.generation || w.Forked || w.Head < p.have, "else a phone would not know")
	require.NoError(t, l.Send(&protocol.Push{Refill: true, Last: true, Records: p.lost}))
	got, err := l.Kept(p.lost, soon)
	require.NoError(t, err)
	require.Len(t, got, len(p.lost))
	return w
}

func (p *pastCopy) holdsAll(t *testing.T) {
	t.Helper()
	store, err := sqlite.Open(p.data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { require.NoError(t, store.Close()) }()
	for _, r := range p.lost {
		_, there, err := store.Place(entry.ID(r[1:17]))
		require.NoError(t, err)
		require.True(t, there)
	}
	report, err := store.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
}

func TestARestoredKitchenGetsBackWhatThePhonesKnow(t *testing.T) {
	p := twoStates(t)
	r, err := sqlite.Restore(p.data, p.copy)
	require.NoError(t, err)
	require.Less(t, r.Report.Entries, p.have)
	require.NotEqual(t, p.generation, r.Generation)
	require.Equal(t, 1, r.Devices)
	require.FileExists(t, filepath.Join(r.Aside, "kitchen.db"), "what was there is moved, not deleted")

	s := start(t, server.Config{Data: p.data})
	defer stop(t, s)
	w := p.comesBack(t, s)
	require.Equal(t, r.Generation, w.Generation)
	p.holdsAll(t)
	onLine(t, s, p.late) // let in after the copy was made: still in
}

func TestWhoWasTakenOffSinceStaysOff(t *testing.T) {
	p := twoStates(t)
	store, err := sqlite.Open(p.data, sqlite.Options{})
	require.NoError(t, err)
	require.NoError(t, store.Revoke(p.ticket.Device, 7))
	require.NoError(t, store.Close())
	_, err = sqlite.Restore(p.data, p.copy)
	require.NoError(t, err)
	s := start(t, server.Config{Data: p.data})
	defer stop(t, s)
	_, w, err := hubtest.Hello(s.LocalURL(), p.ticket, p.generation, p.have, 0)
	require.NoError(t, err)
	require.True(t, w.Revoked)
}

// Somebody copies the file back by hand, beside the kitchen.json of the folder: the start notices.
func TestAFilePutBackByHandIsNoticedAtTheStart(t *testing.T) {
	p := twoStates(t)
	text, err := os.ReadFile(p.copy)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(p.data, "kitchen.db"), text, 0o600))
	s := start(t, server.Config{Data: p.data})
	w := p.comesBack(t, s)
	require.NotEqual(t, p.generation, w.Generation)
	stop(t, s)
	p.holdsAll(t)
	s = start(t, server.Config{Data: p.data})
	defer stop(t, s)
	_, again, err := hubtest.Hello(s.LocalURL(), p.ticket, w.Generation, 0, 0)
	require.NoError(t, err)
	require.Equal(t, w.Generation, again.Generation, "once is enough")
}

// The whole folder is put back, and the kitchen goes on until its numbers are past those that the phone knows: nothing on
// this machine tells, but the entry that the phone knows under its last number does.
func TestAFolderPutBackByHandIsNoticedByWhatAPhoneKnows(t *testing.T) {
	p := twoStates(t)
	text, err := os.ReadFile(p.copy)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(p.data, "kitchen.db"), text, 0o600))
	require.NoError(t, os.Remove(filepath.Join(p.data, "kitchen.json")))
	s := start(t, server.Config{Data: p.data})
	defer stop(t, s)
	other := joined(t, s, "Prep")
	l := onLine(t, s, other)
	var records [][]byte
	for range 60 {
		records = append(records, note(other.Device, "made since"))
	}
	push(t, l, records...)
	w := p.comesBack(t, s)
	require.Equal(t, p.generation, w.Generation)
	require.Greater(t, w.Head, p.have)
	require.True(t, w.Forked)
	p.holdsAll(t)

	// Whoever knows the same is let be.
	for id, seq := range push(t, l, note(other.Device, "one more")) {
		_, w, err = hubtest.HelloAs(s.LocalURL(), other, &protocol.Hello{Generation: w.Generation, Have: seq, Held: seq, Last: id[:]})
		require.NoError(t, err)
		require.False(t, w.Forked)
	}
}

func TestABadCopyChangesNothing(t *testing.T) {
	p := twoStates(t)
	bad := filepath.Join(t.TempDir(), "bad.db")
	text, err := os.ReadFile(p.copy)
	require.NoError(t, err)
	for name, b := range map[string][]byte{"empty": nil, "no database": []byte("kitchen"), "cut": text[:len(text)/2]} {
		require.NoError(t, os.WriteFile(bad, b, 0o600))
		_, err := sqlite.Restore(p.data, bad)
		require.Error(t, err, name)
		require.NotEmpty(t, fail.Sentence(err))
	}
	_, err = sqlite.Restore(p.data, filepath.Join(t.TempDir(), "nowhere.db"))
	require.Equal(t, fail.Invalid, fail.KindOf(err))
	p.holdsAll(t)
	require.NoDirExists(t, filepath.Join(p.data, "restoring"))

	s := start(t, server.Config{Data: p.data})
	_, err = sqlite.Restore(p.data, p.copy)
	require.Equal(t, fail.Busy, fail.KindOf(err), "never under a running kitchen")
	stop(t, s)
	p.holdsAll(t)
}
