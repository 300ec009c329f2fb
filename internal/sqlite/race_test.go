package sqlite

import (
	"database/sql"
	"math/rand/v2"
	"net/url"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
)

// race is a kitchen that writes while others empty its log and read.
type race struct {
	t     *testing.T
	dir   string
	store *Store
	over  atomic.Bool
	kept  atomic.Uint64
	walks atomic.Int64 // journals read whole, beside
	emptied,
	resets atomic.Int64 // checkpoints by others, and those that began the log anew
}

func (r *race) write(seed uint64) {
	random := rand.New(rand.NewPCG(seed, 1))
	for !r.over.Load() {
		c := journal.Change{Keep: numbered(int(r.kept.Load())+1, 1+random.IntN(6))}
		if random.IntN(40) == 0 {
			e := made(int64(r.kept.Load() + 1))
			c.Base = &journal.Base{State: make([]byte, random.IntN(400_000)), Last: journal.PlaceOf(&e)}
		}
		if err := r.store.Keep(&c); err != nil {
			r.t.Error(err)
			return
		}
		r.kept.Add(uint64(len(c.Keep)))
	}
}

// empty copies the log into the file over a connection of its own, as somebody with a shell of SQLite's could.
func (r *race) empty(seed uint64) {
	random := rand.New(rand.NewPCG(seed, 2))
	db, err := sql.Open("sqlite", address(filepath.Join(r.dir, dataName), url.Values{"_pragma": {"busy_timeout(3)"}}))
	if err != nil {
		r.t.Error(err)
		return
	}
	defer func() { _ = db.Close() }()
	for !r.over.Load() {
		how := []string{"PASSIVE", "FULL", "RESTART", "TRUNCATE"}[random.IntN(4)]
		var busy, pages, done int
		if err := db.QueryRow("PRAGMA wal_checkpoint("+how+")").Scan(&busy, &pages, &done); err != nil {
			r.t.Error(err)
			return
		}
		r.emptied.Add(1)
		if busy == 0 && (how == "RESTART" || how == "TRUNCATE") {
			r.resets.Add(1)
		}
		time.Sleep(time.Duration(random.IntN(5000)) * time.Microsecond)
	}
}

// read reads the end of the journal: all that was kept before is in it, without a gap and each as it was told.
func (r *race) read() {
	for !r.over.Load() {
		least := r.kept.Load()
		next := max(least, 2000) - 2000
		for n, err := range r.store.Since(next) {
			if err != nil || n.Seq != next+1 || string(n.Record) != string(record(int64(n.Seq))) {
				r.t.Errorf("entry %d came after %d: %v", n.Seq, next, err)
				return
			}
			next = n.Seq
		}
		if next < least {
			r.t.Errorf("the journal ended at %d, but %d were kept before it was read", next, least)
			return
		}
		time.Sleep(time.Millisecond)
	}
}

// look opens the folder as a second process would, walks all of it and lets go of it again.
func (r *race) look() {
	for !r.over.Load() {
		least := r.kept.Load()
		s, err := Open(r.dir, Options{ReadOnly: true})
		if err != nil {
			r.t.Error(err)
			return
		}
		report, err := s.Verify()
		if err != nil || report.First != nil || report.Entries < least {
			r.t.Errorf("%d entries of at least %d: %v, %v", report.Entries, least, report.First, err)
		}
		if err := s.Close(); err != nil {
			r.t.Error(err)
		}
		r.walks.Add(1)
		time.Sleep(2 * time.Millisecond)
	}
}

// The kitchen writes and empties its own log after every few pages, while two others empty it too and others read: a flaw of SQLite
// before 3.51.3 lost committed pages in just that. Every entry is there at the end, as it was told, and the chain is whole.
// A few seconds of it in every test run; half as long again as BRINEBELL_SOAK says when soaking, 15 minutes of the usual ten.
func TestSoakWritesAgainstCheckpoints(t *testing.T) {
	length, long := soaking(t, 2*time.Second)
	if long {
		length += length / 2
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := &race{t: t, dir: t.TempDir()}
	r.store = open(t, r.dir, Options{})
	_, err := r.store.conn.ExecContext(background, "PRAGMA wal_autocheckpoint = 16")
	require.NoError(t, err)
	var all sync.WaitGroup
	all.Go(func() { r.write(seed) })
	all.Go(func() { r.empty(seed) })
	all.Go(func() { r.empty(seed + 1) })
	all.Go(r.read)
	all.Go(r.look)
	for end := time.Now().Add(length); time.Now().Before(end) && !t.Failed(); {
		time.Sleep(20 * time.Millisecond)
	}
	r.over.Store(true)
	all.Wait()
	require.NoError(t, r.store.Close())

	s := open(t, r.dir, Options{})
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.Equal(t, r.kept.Load(), report.Entries)
	next := uint64(1)
	for n, err := range s.Since(0) {
		require.NoError(t, err)
		require.Equal(t, next, n.Seq)
		if string(n.Record) != string(record(int64(next))) {
			t.Fatalf("entry %d is not as it was told", next)
		}
		next++
	}
	require.NotZero(t, r.resets.Load(), "else nothing raced")
	require.NotZero(t, r.walks.Load())
	t.Logf("%d entries, %d checkpoints by others, %d of which began the log anew, %d walks beside", report.Entries, r.emptied.Load(), r.resets.Load(), r.walks.Load())
}
