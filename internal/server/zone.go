package server

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"time"
	_ "time/tzdata" // small boards and Windows have no zone files

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
)

// Offsets are written for this long ahead, and again when less than renewAt of it is left.
const (
	offsetsBack  = 400 * 24 * time.Hour
	offsetsAhead = 10 * 366 * 24 * time.Hour
	renewAt      = 8 * 366 * 24 * time.Hour
)

// built is a time before which no clock is right: the program is younger. A board without a battery boots in 1970.
var built = time.Date(2026, time.November, 1, 0, 0, 0, 0, time.UTC)

// offsets lists how far a zone's wall time is ahead of UTC, from a year before now until years ahead.
func offsets(zone string, now time.Time) (*entry.Offsets, time.Time, error) {
	place, err := time.LoadLocation(zone)
	if err != nil || zone == "" || zone == "Local" {
		return nil, now, fail.E("server.offsets", fail.Invalid, "There is no time zone called "+zone+". Give one such as America/New_York or Europe/Berlin with --zone.", err)
	}
	if now.Before(built) {
		now = built
	}
	until := now.Add(offsetsAhead)
	list := &entry.Offsets{Zone: zone}
	for at := now.Add(-offsetsBack); at.Before(until); {
		name, seconds := at.In(place).Zone()
		list.List = append(list.List, entry.Offset{From: stamp.Milli(at.UnixMilli()), Minutes: int32(seconds / 60), Name: name})
		_, end := at.In(place).ZoneBounds()
		if end.IsZero() {
			break // this zone changes no more
		}
		at = end
	}
	return list, until, nil
}

// localZone is the name of this machine's time zone, UTC if it does not tell.
func localZone() string {
	candidates := []string{os.Getenv("TZ")}
	if b, err := os.ReadFile("/etc/timezone"); err == nil {
		candidates = append(candidates, strings.TrimSpace(string(b)))
	}
	if target, err := filepath.EvalSymlinks("/etc/localtime"); err == nil {
		if _, name, ok := strings.Cut(filepath.ToSlash(target), "zoneinfo/"); ok {
			candidates = append(candidates, name)
		}
	}
	candidates = append(candidates, time.Local.String())
	for _, name := range candidates {
		if name == "" || name == "Local" || strings.HasPrefix(name, ":") {
			continue
		}
		if _, err := time.LoadLocation(name); err == nil {
			return name
		}
	}
	return "UTC"
}

// keepOffsets writes the offsets anew when they run out, or when the kitchen's zone changes.
func (s *Server) keepOffsets() {
	const every = 12 * time.Hour
	timer := time.NewTimer(every)
	defer timer.Stop()
	for {
		select {
		case <-s.quit:
			return
		case <-s.zones:
		case <-timer.C:
		}
		timer.Reset(every)
		if err := s.writeOffsets(false); err != nil {
			s.cfg.Log.Error("the time zone's offsets could not be written", "error", err)
		}
	}
}

// writeOffsets writes them if they are for another zone, or run out.
func (s *Server) writeOffsets(always bool) error {
	_, zone := s.store.Named()
	now := time.UnixMilli(s.cfg.Clock.Wall())
	have, until := s.store.Offsets()
	if !always && have == zone && time.UnixMilli(until).Sub(now) > renewAt {
		return nil
	}
	list, end, err := offsets(zone, now)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if err := s.write(ctx, list); err != nil {
		return err
	}
	return s.store.SetOffsets(zone, end.UnixMilli())
}
