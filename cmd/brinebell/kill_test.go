package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/sqlite"
)

const (
	pushers = 3
	killBy  = 130 * time.Millisecond // after the start of the process, at the latest
)

// pusher is a device that never stops telling, and remembers what it was shown as kept.
type pusher struct {
	base   string
	ticket hubtest.Ticket
	random *rand.Rand
	stop   atomic.Bool // make no more; go on until all is kept

	mu      sync.Mutex
	count   uint32
	pending map[entry.ID][]byte
	shown   map[entry.ID]uint64 // of its own and of the others
	wrong   error
	links   int
}

// run goes on until all is kept after stop, or until the deadline.
func (p *pusher) run(deadline time.Time) {
	for time.Now().Before(deadline) && !p.finished() {
		l, _, err := hubtest.Hello(p.base, p.ticket, "", 0, uint64(len(p.records())))
		if err == nil {
			p.talk(l, deadline)
		}
		if l != nil {
			_ = l.Close()
		}
		time.Sleep(3 * time.Millisecond)
	}
}

func (p *pusher) finished() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.stop.Load() && len(p.pending) == 0
}

func (p *pusher) records() [][]byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	var list [][]byte
	for _, r := range p.pending {
		list = append(list, r)
	}
	return list
}

// talk pushes what is pending, then ever more, while another goroutine reads.
func (p *pusher) talk(l *hubtest.Line, deadline time.Time) {
	p.links++
	dead := make(chan struct{})
	go func() {
		defer close(dead)
		for {
			f, err := l.Next(time.Until(deadline))
			if err != nil {
				return
			}
			p.see(hubtest.Shown(f))
		}
	}()
	records := p.records()
	for len(records) > 256 {
		if l.Send(&protocol.Push{Records: records[:256]}) != nil {
			return
		}
		records = records[256:]
	}
	err := l.Send(&protocol.Push{Last: true, Records: records})
	for err == nil && !p.stop.Load() {
		select {
		case <-dead:
			return
		case <-time.After(time.Duration(p.random.IntN(4)) * time.Millisecond):
		}
		err = l.Send(&protocol.Push{Last: true, Records: p.tell(1 + p.random.IntN(4))})
	}
	for err == nil && !p.finished() {
		select {
		case <-dead:
			return
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// tell makes n notes.
func (p *pusher) tell(n int) [][]byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	var list [][]byte
	for range n {
		p.count++
		var chance [10]byte
		for i := range chance {
			chance[i] = byte(p.random.IntN(256))
		}
		r := hubtest.Note(p.ticket.Device, stamp.Milli(time.Now().UnixMilli()), p.count, fmt.Sprint("note ", p.count), chance)
		p.pending[entry.ID(r[1:17])] = r
		list = append(list, r)
	}
	return list
}

// see notes what is shown as kept. A number that changes would be a broken promise.
func (p *pusher) see(shown map[entry.ID]uint64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for id, seq := range shown {
		if seq == 0 {
			continue
		}
		if had, ok := p.shown[id]; ok && had != seq {
			p.wrong = fmt.Errorf("entry %v was shown as number %d, then as %d", id, had, seq)
		}
		p.shown[id] = seq
		delete(p.pending, id)
	}
}

// The program is killed 200 times at random moments, from its very start on, while three devices never stop telling; 1,000 times when
// soaking. Whatever one of them was shown as kept is there at the end under that number; the chain is whole; and all that was
// told is there exactly once.
func TestSoakKilledAtRandomMomentsNothingKeptIsMissing(t *testing.T) {
	kills := 200
	if os.Getenv("BRINEBELL_SOAK") != "" {
		kills = 1000
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	data, port := filepath.Join(t.TempDir(), "kitchen"), freePort(t)
	base := "http://127.0.0.1:" + port
	said := new(greeting)
	start := func() *exec.Cmd {
		said.begun.Store(false)
		c := program("--listen", "127.0.0.1:"+port, "--data", data, "--zone", "Europe/Berlin")
		c.Stdout = said
		require.NoError(t, c.Start())
		return c
	}

	c := start()
	answers(t, base)
	var all []*pusher
	for i := range pushers {
		_, out, trouble := told("code", "--data", data)
		require.Empty(t, trouble)
		ticket, err := hubtest.Join(base, out[:7], fmt.Sprint("phone ", i))
		require.NoError(t, err)
		all = append(all, &pusher{base: base, ticket: ticket, random: rand.New(rand.NewPCG(seed, uint64(i+2))),
			pending: map[entry.ID][]byte{}, shown: map[entry.ID]uint64{}})
	}
	var running sync.WaitGroup
	deadline := time.Now().Add(time.Duration(kills) * time.Second / 2)
	for _, p := range all {
		running.Go(func() { p.run(deadline) })
	}
	starting := 0
	for range kills {
		time.Sleep(time.Duration(random.Int64N(int64(killBy))))
		if !said.begun.Load() {
			starting++
		}
		require.NoError(t, c.Process.Kill())
		_ = c.Wait() // killed, as it should be
		c = start()
	}
	for _, p := range all {
		p.stop.Store(true)
	}
	running.Wait()
	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.NoError(t, c.Wait())
	require.Greater(t, starting, kills/20, "many of them while it started")
	t.Logf("%d of %d kills came before it said that it serves", starting, kills)
	inspect(t, data, all, kills)
}

// greeting notes that a server has said that it serves.
type greeting struct{ begun atomic.Bool }

func (g *greeting) Write(p []byte) (int, error) {
	g.begun.Store(true)
	return len(p), nil
}

// inspect compares the journal with what the devices were shown.
func inspect(t *testing.T, data string, all []*pusher, kills int) {
	t.Helper()
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	report, err := store.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	held := map[entry.ID]uint64{}
	for n, err := range store.Since(0) {
		require.NoError(t, err)
		held[n.ID()] = n.Seq
	}
	told, links := 0, 0
	for _, p := range all {
		require.NoError(t, p.wrong)
		require.Empty(t, p.pending, "all that was told is kept in the end")
		for id, seq := range maps.All(p.shown) {
			require.Equal(t, seq, held[id], "an entry that was shown as kept")
		}
		told += int(p.count)
		links += p.links
	}
	require.Greater(t, links, kills/2, "the devices were on the line for most of the kills")
	t.Logf("%d kills, %d lines, %d entries told, %d in the journal", kills, links, told, len(held))
}
