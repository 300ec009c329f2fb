package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
)

// merge measures how long it takes until clients that worked alone, and come back all at once, all hold everything.

const (
	mergeClients = 20
	mergeEntries = 1000
	mergeRounds  = 3
	mergePatient = 3 * time.Minute
	agreePatient = 20 * time.Second // since all have all entries
)

func headOf(frame []byte) uint64 {
	if len(frame) == 0 || protocol.Type(frame[0]) != protocol.TypeBase {
		return 0
	}
	f, err := protocol.Read(frame)
	if err != nil {
		return 0
	}
	return f.(*protocol.Base).Head
}

// mergeKitchen has real cores tap alone, then connects them. It returns the time until all 20 hold all entries and
// their states are the same, byte for byte.
func mergeKitchen(server *process, passes []pass) (time.Duration, error) {
	phones := make([]*phone, len(passes))
	defer func() {
		for _, p := range phones {
			p.hangsUp()
		}
	}()
	for i, pass := range passes {
		phones[i] = newPhone(server.address, pass)
	}
	// Each has been on the line once, so that it knows the kitchen, and then works alone.
	if err := together(phones, func(p *phone) error { return p.connects() }); err != nil {
		return 0, err
	}
	time.Sleep(500 * time.Millisecond)
	base := uint64(0)
	for _, p := range phones {
		p.mu.Lock()
		base = max(base, p.head)
		p.mu.Unlock()
		p.hangsUp()
		p.step(core.Input{Op: core.OpShut})
	}
	made := 0
	for i, p := range phones {
		for n := range mergeEntries {
			p.step(core.Input{Op: core.OpTap, View: "bench", Path: "/", Tap: loneTap(i, n)})
		}
		made += len(p.unsent)
	}
	if made < mergeClients*mergeEntries {
		return 0, fmt.Errorf("only %d entries came of %d taps", made, mergeClients*mergeEntries)
	}
	began := time.Now()
	err := together(phones, func(p *phone) error {
		return errors.Join(p.connects(), p.has(base+uint64(made), mergePatient))
	})
	if err != nil {
		return 0, fmt.Errorf("%w\nserver: %s", err, server.log.text)
	}
	for all := time.Now(); ; { // a phone that has all may still wait for the base into which what came late is folded
		took, err := agreed(phones, began)
		if err == nil || time.Since(all) > agreePatient {
			return took, err
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// agreed reads the states of all phones, and fails where two differ.
func agreed(phones []*phone, began time.Time) (time.Duration, error) {
	states := make([][]byte, len(phones))
	var wait sync.WaitGroup
	for i, p := range phones {
		wait.Go(func() { states[i] = p.state() })
	}
	wait.Wait()
	took := time.Since(began)
	for i := range states {
		if len(states[i]) == 0 || !bytes.Equal(states[i], states[0]) {
			return 0, fmt.Errorf("phone %d of %d holds another state (%d bytes, the first has %d)", i, len(states), len(states[i]), len(states[0]))
		}
	}
	return took, nil
}

// loneTap is what somebody out of reach writes down: timers, readings, notes.
func loneTap(who, n int) []byte {
	switch n % 4 {
	case 0:
		return fmt.Appendf(nil, `{"do":"timer","name":"Timer %d of %d","span":%d}`, n, who, 60_000+n)
	case 1:
		return fmt.Appendf(nil, `{"do":"deviate","text":"Seen by %d: %d"}`, who, n)
	default:
		return fmt.Appendf(nil, `{"do":"note","place":"","text":"Note %d of %d, out of reach of the kitchen"}`, n, who)
	}
}

func together(phones []*phone, do func(*phone) error) error {
	var wait sync.WaitGroup
	faults := make([]error, len(phones))
	for i, p := range phones {
		wait.Go(func() { faults[i] = do(p) })
	}
	wait.Wait()
	return errors.Join(faults...)
}

// mergeFloor hands the floor as many entries from as many clients, and waits until each has read all.
func mergeFloor(server *process) (time.Duration, error) {
	var wait sync.WaitGroup
	seats := make([]*floorSeat, mergeClients)
	batches := make([][]entry.Entry, mergeClients)
	for i := range batches {
		for n := range mergeEntries {
			batches[i] = append(batches[i], tapEntry(fmt.Sprintf("device-%d", i), n))
		}
	}
	defer func() {
		for _, s := range seats {
			if s != nil {
				s.close()
			}
		}
	}()
	began := time.Now()
	faults := make([]error, mergeClients)
	for i := range seats {
		left, all := mergeClients*mergeEntries, make(chan struct{})
		wait.Go(func() {
			var err error
			seats[i], err = dialFloor(server.address, 0, func(ids []entry.ID, _ time.Time) {
				if left -= len(ids); left == 0 {
					close(all)
				}
			})
			if err != nil {
				faults[i] = err
				return
			}
			for rest := batches[i]; len(rest) > 0; rest = rest[250:] {
				if faults[i] = seats[i].push(rest[:250]); faults[i] != nil {
					return
				}
			}
			select {
			case <-all:
			case <-time.After(mergePatient):
				faults[i] = fmt.Errorf("the floor left client %d without %d entries", i, left)
			}
		})
	}
	wait.Wait()
	return time.Since(began), errors.Join(faults...)
}

func merges(binary string) ([]figure, error) {
	var floor, ours []float64
	for round := range mergeRounds {
		took, err := inFolder(func(data string) (time.Duration, error) {
			server, err := startFloor(data)
			if err != nil {
				return 0, err
			}
			defer server.kill()
			return mergeFloor(server)
		})
		if err != nil {
			return nil, err
		}
		floor = append(floor, ms(took))
		took, err = inFolder(func(data string) (time.Duration, error) { return mergeOnce(binary, data) })
		if err != nil {
			return nil, err
		}
		ours = append(ours, ms(took))
		fmt.Fprintf(os.Stderr, "  merge, round %d: floor %.0f ms, kitchen %.0f ms\n", round+1, floor[round], ours[round])
	}
	return []figure{
		scale("merge of 20 x 1,000: floor", median(floor), "ms"),
		scale("merge of 20 x 1,000: kitchen, all 20 equal", median(ours), "ms"),
		most("merge of 20 x 1,000 offline entries", median(ratios(ours, floor)), "x floor", 1.5),
	}, nil
}

func mergeOnce(binary, data string) (time.Duration, error) {
	passes, err := seed(data, mergeClients, nil)
	if err != nil {
		return 0, err
	}
	server, err := startKitchen(binary, data)
	if err != nil {
		return 0, err
	}
	defer server.kill()
	return mergeKitchen(server, passes)
}
