package main

import (
	"crypto/sha256"
	"database/sql"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/chain"
	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/sqlite"
)

// rewrite changes what was written down of a deviation where it lies, and hashes it and all that follow anew, as somebody who owns
// the disk can.
func rewrite(t *testing.T, data, was, is string) {
	t.Helper()
	s, err := sqlite.Open(data, sqlite.Options{})
	require.NoError(t, err)
	var prev chain.Hash
	var records, hashes [][]byte
	changed := 0
	for n, err := range s.Since(0) {
		require.NoError(t, err)
		record := slices.Clone(n.Record)
		if e, err := entry.ReadRecord(record); err == nil {
			if body, err := e.Open(); err == nil {
				if d, ok := body.(*entry.Deviation); ok && d.Text == was {
					d.Text = is
					other := entry.New(e.ID, e.At, e.Crew, d)
					record = entry.AppendRecord(nil, &other)
					changed++
				}
			}
		}
		prev = sha256.Sum256(append(prev[:], record...))
		records, hashes = append(records, record), append(hashes, slices.Clone(prev[:]))
	}
	require.NoError(t, s.Close())
	require.Equal(t, 1, changed)
	db, err := sql.Open("sqlite", "file:"+filepath.Join(data, "kitchen.db"))
	require.NoError(t, err)
	for i := range records {
		_, err := db.Exec("UPDATE entries SET record = ?, hash = ? WHERE seq = ?", records[i], hashes[i], i+1)
		require.NoError(t, err)
	}
	_, err = db.Exec("DELETE FROM checkpoints") // they would give it away to the server itself
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

// History is written anew on the server's disk and hashed anew, so that its chain is whole. A phone that knew it compares states a
// little after it has come back: the server's log says which device knew something else.
func TestAPhoneThatKnewAnotherHistorySaysSo(t *testing.T) {
	address, err := freePort()
	require.NoError(t, err)
	r := &returning{t: t, data: filepath.Join(t.TempDir(), "kitchen"), address: address, made: map[[16]byte]bool{}}
	passes, err := seed(r.data, 1, nil)
	require.NoError(t, err)
	r.start()
	defer func() { r.server.kill() }()
	base := headIn(t, r.data)
	p := newPhone(address, passes[0])
	r.phones = []*phone{p}
	var over atomic.Bool
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		p.stays(&over)
	}()
	defer func() {
		over.Store(true)
		p.hangsUp()
		<-ended
	}()
	r.settled(base)
	out := p.step(core.Input{Op: core.OpTap, View: "bench", Path: "/more", Tap: []byte(`{"do":"deviate","text":"Cold room at 9 degrees"}`)})
	for i := range out.Keep {
		r.made[out.Keep[i].ID()] = true
	}
	says := func(device string) bool { // of a server that has ended

		return strings.Contains(string(r.server.log.text), "device "+device+" holds another state after the same entries")
	}
	// later lets a minute go by for the phone, a step at a time so that the line seems alive to it.
	later := func() {
		r.tap(len(r.made)) // it compares after there was something new, or every five minutes
		r.settled(base)
		for range 20 {
			p.mu.Lock()
			p.began = p.began.Add(-3 * time.Second)
			p.mu.Unlock()
			p.step(core.Input{Op: core.OpTick})
			time.Sleep(20 * time.Millisecond)
		}
	}
	later()
	require.NoError(t, r.server.stop())
	require.False(t, says(passes[0].Device), "as long as nothing was written anew nothing is said")

	rewrite(t, r.data, "Cold room at 9 degrees", "Cold room at 3 degrees")
	s, err := sqlite.Open(r.data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First, "the chain alone cannot tell")
	require.NoError(t, s.Close())
	r.start()
	later()
	require.NoError(t, r.server.stop()) // its log is read once it has ended
	require.True(t, says(passes[0].Device), "%s", r.server.log.text)
}
