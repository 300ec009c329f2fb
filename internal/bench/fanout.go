package main

import (
	"crypto/rand"
	"fmt"
	"os"
	"sync"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// fanout measures how long after one client has appended an entry every other client has it, parsed.

// crowd is a contender that is running, and how to sit down at it.
type crowd struct {
	name   string
	server *process
	dial   func(i int, tell seen) (seat, error)
	device func(i int) string
}

// window is one stretch of a contender's time.
type window struct {
	clients, events int
	every           time.Duration
}

const (
	fanoutRounds = 8
	warmUp       = 5 // events at the beginning of a window that do not count
)

// sightings gathers when each entry was sent and how long it took to be seen.
type sightings struct {
	mu    sync.Mutex
	sent  map[entry.ID]time.Time
	took  []time.Duration
	left  int
	ended chan struct{}
}

func (s *sightings) tell(ids []entry.ID, at time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, id := range ids {
		sent, ours := s.sent[id]
		if !ours {
			continue
		}
		if !sent.IsZero() {
			s.took = append(s.took, at.Sub(sent))
		}
		if s.left--; s.left == 0 {
			close(s.ended)
		}
	}
}

// run plays one window and returns the time of each delivery, the author's own included.
func (c *crowd) run(w window) ([]time.Duration, error) {
	s := &sightings{sent: map[entry.ID]time.Time{}, left: w.clients * w.events, ended: make(chan struct{})}
	seats := make([]seat, w.clients)
	defer func() {
		for _, one := range seats {
			if one != nil {
				one.close()
			}
		}
	}()
	var err error
	for i := range seats {
		if seats[i], err = c.dial(i, s.tell); err != nil {
			return nil, fmt.Errorf("%s, client %d: %w", c.name, i, err)
		}
	}
	next := time.Now()
	for n := range w.events {
		who := n * 7 % w.clients
		e := tapEntry(c.device(who), n)
		next = next.Add(w.every)
		time.Sleep(time.Until(next))
		s.mu.Lock()
		s.sent[e.ID] = time.Time{}
		if n >= warmUp {
			s.sent[e.ID] = time.Now()
		}
		s.mu.Unlock()
		if err := seats[who].push([]entry.Entry{e}); err != nil {
			return nil, err
		}
	}
	select {
	case <-s.ended:
		return s.took, nil
	case <-time.After(30 * time.Second):
		return nil, fmt.Errorf("%s: %d of %d deliveries missing after 30 s:\n%s", c.name, s.left, w.clients*w.events, c.server.log.text)
	}
}

// tapEntry is what a tap on a step makes: the commonest entry there is.
func tapEntry(device string, n int) entry.Entry {
	now := stamp.Milli(time.Now().UnixMilli())
	return entry.New(freshID(now), stamp.Stamp{At: now, Device: device}, crew, &entry.Reading{
		Place: "fryer-1", MilliC: 176_000 + int64(n%5)*100, Probe: "probe-2", Note: "after skimming",
	})
}

func freshID(now stamp.Milli) entry.ID {
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	return entry.NewID(now, chance)
}

// fanouts runs the two contenders in turn, window by window, and compares them round by round.
func fanouts(floor, ours *crowd, clients int, every time.Duration, events int) ([]figure, error) {
	w := window{clients: clients, events: events + warmUp, every: every}
	var p50, p99 [2][]float64
	var all [2][]time.Duration
	for round := range fanoutRounds {
		order := []*crowd{floor, ours}
		if round%2 == 1 {
			order[0], order[1] = ours, floor
		}
		for _, c := range order {
			took, err := c.run(w)
			if err != nil {
				return nil, err
			}
			k := 0
			if c == ours {
				k = 1
			}
			all[k] = append(all[k], took...)
			p50[k] = append(p50[k], ms(percentile(took, 50)))
			p99[k] = append(p99[k], ms(percentile(took, 99)))
		}
		fmt.Fprintf(os.Stderr, "  %d clients, round %d: floor p50 %.1f p99 %.1f ms, kitchen p50 %.1f p99 %.1f ms\n", clients, round+1,
			p50[0][round], p99[0][round], p50[1][round], p99[1][round])
	}
	name := fmt.Sprintf("append to seen, %d clients: ", clients)
	return []figure{
		scale(name+"floor p99", ms(percentile(all[0], 99)), "ms"),
		scale(name+"kitchen p99", ms(percentile(all[1], 99)), "ms"),
		scale(name+"p50", median(ratios(p50[1], p50[0])), "x floor"),
		most(name+"p99", median(ratios(p99[1], p99[0])), "x floor", 1.3),
	}, nil
}
