package server

import (
	"context"
	"crypto/rand"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
	"brinebell/internal/fail"
	"brinebell/internal/hub"
	"brinebell/internal/sqlite"
)

// The demo kitchen is mid-shift whenever it is opened. One that stood still for longer than staleAfter would be full of
// batches long past their limits, so it begins anew; the devices that had joined stay.
const (
	staleAfter = 10 * time.Minute
	seenEvery  = 30 * time.Second
	seenName   = "demo.seen" // its time is when the demo was last running
)

// refresh begins a stale demo anew.
func (s *Server) refresh() error {
	if head, _ := s.store.Chain(); head == 0 || !s.cfg.Demo {
		return nil
	}
	info, err := os.Stat(filepath.Join(s.cfg.Data, seenName))
	if err == nil && time.Since(info.ModTime()).Abs() < staleAfter {
		return nil
	}
	s.cfg.Log.Info("the demo kitchen begins anew: it stood still for too long")
	return s.store.BeginAnew()
}

// beginDemo fills a new demo kitchen: its past, and the devices that are known already.
func (s *Server) beginDemo() error {
	const op = "server.beginDemo"
	var seed [32]byte
	_, _ = rand.Read(seed[:]) // never fails: documented by crypto/rand
	past := demo.Yesterdays
	if s.cfg.Evening {
		past = demo.Evenings
	}
	entries, err := past(stamp.Milli(s.cfg.Clock.Wall()), seed)
	if err != nil {
		return fail.E(op, fail.Other, "The demo kitchen could not be made up.", err)
	}
	records := make([][]byte, len(entries))
	for i := range entries {
		records[i] = entry.AppendRecord(nil, &entries[i])
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if err := s.hub.Do(ctx, func(in *core.Input) { in.Op, in.Records = core.OpTake, records }); err != nil {
		return err
	}
	devices, err := s.desk.Devices()
	if err != nil {
		return err
	}
	var bodies []entry.Body
	for _, d := range devices {
		if d.Revoked == 0 {
			bodies = append(bodies, &entry.Pairing{Device: d.ID, Name: d.Name, Wall: d.Wall})
		}
	}
	if len(bodies) == 0 {
		return nil
	}
	return s.write(ctx, bodies...)
}

// beSeen notes now and then that the demo is running.
func (s *Server) beSeen() {
	tick := time.NewTicker(seenEvery)
	defer tick.Stop()
	for {
		if err := touch(filepath.Join(s.cfg.Data, seenName)); err != nil {
			s.cfg.Log.Warn("the demo will begin anew at its next start", "error", err)
		}
		select {
		case <-s.quit:
			return
		case <-tick.C:
		}
	}
}

func touch(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	now := time.Now()
	return errors.Join(f.Close(), os.Chtimes(path, now, now))
}

// laterClock is a clock that is some days ahead.
type laterClock struct {
	hub.Clock
	by stamp.Span
}

// Wall implements hub.Clock.
func (c laterClock) Wall() int64 { return c.Clock.Wall() + int64(c.by) }

// toEvening puts the clock of a demo kitchen that begins in the evening ahead to the next Friday. One that goes on keeps the Friday that it
// began with: the kitchen's time never runs backwards.
func (s *Server) toEvening() error {
	name := filepath.Join(s.cfg.Data, eveningName)
	var by stamp.Span
	if head, _ := s.store.Chain(); head == 0 {
		by = demo.ToFriday(stamp.Milli(s.cfg.Clock.Wall()))
		if err := sqlite.WriteWhole(name, []byte(strconv.FormatInt(int64(by), 10))); err != nil {
			return err
		}
	} else if text, err := os.ReadFile(name); err == nil {
		n, err := strconv.ParseInt(string(text), 10, 64)
		if err != nil {
			return fail.E("server.toEvening", fail.Storage, "The file "+name+" should hold one number. Delete the demo's data folder to begin anew.", err)
		}
		by = stamp.Span(n)
	}
	s.cfg.Clock = laterClock{s.cfg.Clock, by}
	return nil
}

const eveningName = "demo.ahead" // ms by which the evening's clock is ahead

// crewEvery is how often the demo's crew looks whether something is due: every 36 seconds where kitchen time runs 600 times as fast. What
// it does each time goes to the phones together.
const crewEvery = 60 * time.Millisecond

// work lets the demo's crew work from its evening on.
func (s *Server) work() {
	var seed [32]byte
	_, _ = rand.Read(seed[:]) // never fails: documented by crypto/rand
	crew := demo.NewCrew(seed)
	tick := time.NewTicker(crewEvery)
	defer tick.Stop()
	for {
		select {
		case <-s.quit:
			return
		case <-tick.C:
		}
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		var records [][]byte
		err := s.hub.Ask(ctx, func(c *core.Core) {
			for _, e := range crew.Work(c.State(), c.Now()) {
				records = append(records, entry.AppendRecord(nil, &e))
			}
		})
		if err == nil && len(records) > 0 {
			err = s.hub.Do(ctx, func(in *core.Input) { in.Op, in.Records = core.OpTake, records })
		}
		cancel()
		if err != nil {
			s.cfg.Log.Debug("the demo's crew could not work", "error", err)
		}
	}
}
