package main

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

// asKitchen makes the test binary be a kitchen's server, so that tests can kill it.
const asKitchen = "BRINEBELL_TEST_AS_KITCHEN"

func TestMain(m *testing.M) {
	if data := os.Getenv(asKitchen); data != "" {
		os.Exit(serveAt(data, os.Args[1]))
	}
	os.Exit(m.Run())
}

func serveAt(data, address string) int {
	ctx, cancel := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer cancel()
	s, err := server.Start(server.Config{Listen: address, Data: data, Zone: "America/New_York", Version: "test",
		Files: fstest.MapFS{"index.html": {Data: []byte("<!doctype html>")}}, Log: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))})
	if err == nil {
		<-ctx.Done()
		end, over := context.WithTimeout(context.Background(), 10*time.Second)
		defer over()
		err = s.Close(end)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// stays keeps a phone on the line until the end, whatever becomes of the server: it dials again at once, as all the others do.
func (p *phone) stays(over *atomic.Bool) {
	for !over.Load() {
		conn, err := dialKitchen(p.address, &p.read)
		if err != nil {
			time.Sleep(10 * time.Millisecond)
			continue
		}
		p.mu.Lock()
		p.conn, p.fault = conn, nil
		p.mu.Unlock()
		p.step(core.Input{Op: core.OpOpened})
		p.listen(conn)
		p.hangsUp()
		p.step(core.Input{Op: core.OpShut})
	}
}

// back waits until a phone holds all up to a head and has nothing unsent. Lines that break meanwhile are no fault.
func (p *phone) back(head uint64, until time.Time) error {
	for {
		p.mu.Lock()
		done, at, unsent := p.head >= head && len(p.unsent) == 0, p.head, len(p.unsent)
		p.mu.Unlock()
		switch {
		case done:
			return nil
		case time.Now().After(until):
			return fmt.Errorf("a phone holds %d of %d entries, %d unsent", at, head, unsent)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// returning is a server that goes away again and again, and the phones that come back to it all at once.
type returning struct {
	t       *testing.T
	data    string
	address string
	server  *process
	phones  []*phone
	mu      sync.Mutex
	made    map[[16]byte]bool
}

func (r *returning) start() {
	cmd := exec.Command(os.Args[0], r.address)
	cmd.Env = append(os.Environ(), asKitchen+"="+r.data)
	var err error
	r.server, err = start(cmd, r.address, r.data)
	require.NoError(r.t, err)
}

// tap has every phone write something down, on the line or not.
func (r *returning) tap(round int) {
	var all sync.WaitGroup
	for i, p := range r.phones {
		all.Go(func() {
			out := p.step(core.Input{Op: core.OpTap, View: "bench", Path: "/more", Tap: fmt.Appendf(nil, `{"do":"note","place":"","text":"Note %d of %d"}`, round, i)})
			r.mu.Lock()
			defer r.mu.Unlock()
			for k := range out.Keep {
				if out.Keep[k].Seq == 0 {
					r.made[out.Keep[k].ID()] = true
				}
			}
		})
	}
	all.Wait()
}

// settled waits until all phones have handed over what they made.
func (r *returning) settled(base uint64) {
	until := time.Now().Add(returnIn)
	err := together(r.phones, func(p *phone) error { return p.back(base+uint64(len(r.made)), until) })
	require.NoError(r.t, err)
}

// Many phones, and a server that stops or is killed again and again while they write things down: all come back at once each time. In
// the end every entry that any of them made is in the journal once, and all hold the same, byte for byte.
func TestSoakAllComeBackAtOnce(t *testing.T) {
	clients, restarts := 24, 3
	if os.Getenv("BRINEBELL_SOAK") != "" {
		clients, restarts = 200, 10
	}
	address, err := freePort()
	require.NoError(t, err)
	r := &returning{t: t, data: filepath.Join(t.TempDir(), "kitchen"), address: address, made: map[[16]byte]bool{}}
	passes, err := seed(r.data, clients, nil)
	require.NoError(t, err)
	r.start()
	defer func() { r.server.kill() }()
	base := headIn(t, r.data)

	var over atomic.Bool
	var lines sync.WaitGroup
	for _, pass := range passes {
		p := newPhone(address, pass)
		r.phones = append(r.phones, p)
		lines.Go(func() { p.stays(&over) })
	}
	defer func() {
		over.Store(true)
		for _, p := range r.phones {
			p.hangsUp()
		}
		lines.Wait()
	}()
	r.settled(base)
	var longest time.Duration
	var peaks []float64
	for n := range restarts {
		r.tap(3 * n)
		if n%2 == 0 {
			time.Sleep(time.Duration(rand.IntN(20)) * time.Millisecond) // in the middle of taking that in
			r.server.kill()
		} else {
			require.NoError(t, r.server.stop())
		}
		r.tap(3*n + 1) // nobody answers
		r.start()
		began := time.Now()
		r.tap(3*n + 2) // while they come back
		r.settled(base)
		longest = max(longest, time.Since(began))
		peak, err := memoryOf(r.server.cmd.Process.Pid, "VmHWM:")
		require.NoError(t, err)
		peaks = append(peaks, peak)
	}
	require.GreaterOrEqual(t, len(r.made), 3*restarts*clients)
	require.Eventually(t, func() bool {
		_, err := agreed(r.phones, time.Now())
		return err == nil
	}, agreePatient, 20*time.Millisecond, "all hold the same")
	require.NoError(t, r.server.stop())
	r.holdsEachOnce(base)
	require.LessOrEqual(t, slices.Max(peaks), returnMB, "megabytes at the peak while all come back")
	t.Logf("%d phones, %d restarts, %d entries; all were back with all entries after %v at the latest; MB at the peak of each: %.0f",
		clients, restarts, len(r.made), longest.Round(time.Millisecond), peaks)
}

// returnIn is how long they may take on a machine with much else to do, since each of them is a whole core, and all of them run on it too.
const returnIn = 2 * time.Minute

// returnMB is what the server may hold at its peak: what it may hold with 200 clients at rest.
const returnMB = 160.0

func headIn(t *testing.T, data string) uint64 {
	t.Helper()
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	head, _ := s.Chain()
	require.NoError(t, s.Close())
	return head
}

func (r *returning) holdsEachOnce(base uint64) {
	s, err := sqlite.Open(r.data, sqlite.Options{ReadOnly: true})
	require.NoError(r.t, err)
	defer func() { _ = s.Close() }()
	report, err := s.Verify()
	require.NoError(r.t, err)
	require.Nil(r.t, report.First)
	held := map[[16]byte]int{}
	for n, err := range s.Since(base) {
		require.NoError(r.t, err)
		held[n.ID()]++
	}
	for id := range r.made {
		require.Equal(r.t, 1, held[id])
	}
	require.Len(r.t, held, len(r.made), "and nothing else")
}
