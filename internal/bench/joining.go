package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"brinebell/internal/core"
)

// joining measures what a new device costs, and a start of the server, with a short and a long past behind it: both
// must follow the work that is open, not the length of the past.

const (
	shortPast  = 10_000
	longPast   = 100_000
	joinRounds = 9
)

// past is a kitchen with a past of some length.
type past struct {
	entries int
	packed  int // bytes of its journal under gzip
	data    string
	passes  []pass
	server  *process
	bytes   []float64
	took    []float64
}

func openPast(binary, data string, entries int) (*past, error) {
	p := &past{entries: entries, data: data}
	var err error
	if p.passes, err = seed(data, joinRounds+1, fillHistory(entries, &p.packed)); err != nil {
		return nil, err
	}
	// The first start folds the whole past once and leaves checkpoints; every later one begins from them.
	first, err := startKitchen(binary, data)
	if err != nil {
		return nil, err
	}
	if err := p.join(first, p.passes[joinRounds]); err != nil {
		return nil, err
	}
	p.bytes, p.took = nil, nil
	if err := first.stop(); err != nil {
		return nil, err
	}
	p.server, err = startKitchen(binary, data)
	return p, err
}

// join lets a device that has nothing join, and notes its bytes and its time until it has folded everything.
func (p *past) join(server *process, pass pass) error {
	ph := newPhone(server.address, pass)
	defer ph.hangsUp()
	ph.step(core.Input{Op: core.OpLook, View: "bench", Path: "/"})
	began := time.Now()
	if err := ph.connects(); err != nil {
		return err
	}
	if err := ph.has(uint64(p.entries), time.Minute); err != nil {
		return fmt.Errorf("%w\nserver: %s", err, server.log.text)
	}
	state := ph.state()
	p.took = append(p.took, ms(time.Since(began)))
	p.bytes = append(p.bytes, float64(ph.read.Load()))
	n, err := folded(state)
	if err == nil && n < uint64(p.entries) {
		err = fmt.Errorf("a joined phone has folded %d of %d entries", n, p.entries)
	}
	return err
}

func joins(binary string) ([]figure, error) {
	return inFolder(func(folder string) ([]figure, error) {
		short, err := openPast(binary, folder+"/short", shortPast)
		if err != nil {
			return nil, err
		}
		defer short.server.kill()
		long, err := openPast(binary, folder+"/long", longPast)
		if err != nil {
			return nil, err
		}
		defer func() { long.server.kill() }()
		for i := range joinRounds {
			if err := errors.Join(short.join(short.server, short.passes[i]), long.join(long.server, long.passes[i])); err != nil {
				return nil, err
			}
			fmt.Fprintf(os.Stderr, "  join, round %d: %d entries %.1f KB %.0f ms, %d entries %.1f KB %.0f ms\n", i+1,
				shortPast, short.bytes[i]/1000, short.took[i], longPast, long.bytes[i]/1000, long.took[i])
		}
		idle, err := long.server.resident()
		if err != nil {
			return nil, err
		}
		starts, err := restarts(binary, long)
		if err != nil {
			return nil, err
		}
		kb := median(long.bytes) / 1000
		return []figure{
			most("join, 100,000 entries: bytes", kb, "KB", 150),
			most("join, 100,000 entries: bytes of the gzipped journal", 100*median(long.bytes)/float64(long.packed), "%", 5),
			most("join, 100,000 entries: bytes", median(long.bytes)/median(short.bytes), "x at 10,000", 1.2),
			scale("join, 100,000 entries: until folded", median(long.took), "ms"),
			most("join, 100,000 entries: time", median(ratios(long.took, short.took)), "x at 10,000", 1.2),
			most("server start to first answer, 100,000 entries", median(starts), "ms", 300),
			most("server memory, idle, 100,000 entries", idle, "MB", 64),
		}, nil
	})
}

// restarts stops and starts the server with the long past and returns how long each start took.
func restarts(binary string, long *past) ([]float64, error) {
	var took []float64
	for range 5 {
		if err := long.server.stop(); err != nil {
			return nil, err
		}
		server, err := startKitchen(binary, long.data)
		if err != nil {
			return nil, err
		}
		took = append(took, ms(server.readyAfter))
		long.server = server
	}
	return took, nil
}
