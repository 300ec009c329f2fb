// Package server wires a kitchen's server together: the store, the hub and the web site. Start is what main calls, and
// what tests call.
package server

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"github.com/VictoriaMetrics/metrics"

	"brinebell/internal/core"
	"brinebell/internal/core/protocol"
	"brinebell/internal/fail"
	"brinebell/internal/hub"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

// Config says how to serve a kitchen.
type Config struct {
	Listen  string    // address and port, such as ":8080"; port 0 takes a free one
	Data    string    // the data folder
	Demo    bool      // the demo kitchen
	Evening bool      // of the demo: it begins on a Friday evening, and its crew works
	Kitchen string    // name of a kitchen that is new
	Zone    string    // IANA time zone of a kitchen that is new; empty: this machine's
	Country string    // ISO 3166-1 alpha-2, of a kitchen that is new
	Names   []string  // further names by which phones call this server
	Backups string    // folder of the daily backups; empty: one in the data folder
	Token   string    // opens /metrics from elsewhere; empty: only from this machine
	Version string    // of the program
	Files   fs.FS     // the built front end
	Clock   hub.Clock // nil: this machine's
	Log     *slog.Logger
	// PagesMax bounds the journal's file, in pages of 4 KiB; 0: only by the disk. Tests fill a disk with it.
	PagesMax int
}

// Server is a running kitchen.
type Server struct {
	cfg    Config
	store  *sqlite.Store
	desk   *pairing.Desk
	hub    *hub.Hub
	site   *web.Site
	photos *web.Photos
	http   *http.Server
	listen net.Listener
	token  string // what the command line on this machine shows
	chores sync.WaitGroup
	quit   chan struct{} // closed when chores must end
	ended  sync.Once
	zones  chan string // zones that the journal named, for the offsets' chore

	backedUp atomic.Int64 // wall time of the last good backup of this run; 0: none
}

// Start opens the kitchen and serves it. When it returns without an error, requests are answered.
func Start(cfg Config) (*Server, error) {
	if cfg.Clock == nil {
		cfg.Clock = systemClock{began: time.Now()}
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{cfg: cfg, token: newToken(), quit: make(chan struct{}), zones: make(chan string, 8)}
	if err := s.start(); err != nil {
		return nil, errors.Join(err, s.letGo())
	}
	return s, nil
}

func (s *Server) start() error {
	err := web.Built(s.cfg.Files)
	if err != nil {
		return err // before anything is made on the disk
	}
	if s.listen, err = listen(s.cfg.Listen); err != nil {
		return err
	}
	set := metrics.NewSet()
	if err := s.open(set); err != nil {
		return err
	}
	if s.photos, err = web.OpenPhotos(filepath.Join(s.cfg.Data, photosName), sqlite.WriteWhole); err != nil {
		return fail.E("server.Start", fail.Storage, "The folder of photos in "+s.cfg.Data+" cannot be opened. Give this user the right to write there.", err)
	}
	s.gauges(set)
	s.site, err = web.New(web.Config{
		Kitchen: kitchenSite{s}, Files: s.cfg.Files, Line: s.hub, Photos: s.photos, Names: s.cfg.Names, Sensors: &sensorSite{Server: s},
		Records: archive{s.store, s.cfg.Clock.Wall},
		Tokens:  []string{s.cfg.Token, s.token}, Meter: set, Log: s.cfg.Log,
	})
	if err != nil {
		return err
	}
	s.announce()
	s.serve()
	return nil
}

// open opens the folder, starts the hub on it, and writes what the journal lacks.
func (s *Server) open(set *metrics.Set) error {
	var err error
	if s.store, err = sqlite.Open(s.cfg.Data, sqlite.Options{Demo: s.cfg.Demo, PagesMax: s.cfg.PagesMax}); err != nil {
		return err
	}
	if s.store.Tight() {
		s.cfg.Log.Error("the disk is full; the kitchen starts in the room that was held free for that. Free some space: there will be none the next time")
	}
	if s.store.Older() {
		s.cfg.Log.Error("the data file is an older copy of the one that was here: it goes on under a new generation, and the phones bring back what it lacks. Let each of them come into touch")
	}
	if err := s.refresh(); err != nil {
		return err
	}
	if s.cfg.Evening {
		if err := s.toEvening(); err != nil {
			return err
		}
	}
	s.desk = pairing.NewDesk(s.store, nil)
	s.hub, err = hub.Start(hub.Config{
		Core: s.newCore, Keeper: s.store, Desk: s.desk, Clock: s.cfg.Clock, Log: s.cfg.Log,
		Meter: hub.NewMeter(set), JoinURL: s.JoinURL, Kept: s.kept,
	})
	if err != nil {
		return err
	}
	return s.begin()
}

func (s *Server) newCore() *core.Core {
	return core.NewServer(core.Config{Device: "kitchen", Generation: s.store.Generation(), Demo: s.cfg.Demo})
}

func listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fail.E("server.listen", fail.Busy,
			"The address "+address+" cannot be listened on: it is in use, or not this machine's. Stop what uses it, or choose another with --listen.", err)
	}
	return l, nil
}

func (s *Server) serve() {
	s.http = &http.Server{
		Handler:           s.site,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       time.Minute,
		WriteTimeout:      2 * time.Minute,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.cfg.Log.Handler(), slog.LevelDebug),
	}
	s.chores.Go(func() {
		if err := s.http.Serve(s.listen); !errors.Is(err, http.ErrServerClosed) {
			s.cfg.Log.Error("serving ended", "error", err)
		}
	})
	if s.cfg.Demo {
		s.chores.Go(s.beSeen)
		if s.cfg.Evening {
			s.chores.Go(s.work)
		}
	} else {
		s.chores.Go(s.keepOffsets)
		s.chores.Go(s.keepBackups)
	}
	s.chores.Go(s.inspect)
}

// Close stops gracefully: requests end, what has arrived is committed and sent, devices are told, the folder is let go.
func (s *Server) Close(ctx context.Context) error {
	var err error
	s.ended.Do(func() { err = errors.Join(s.http.Shutdown(ctx), s.letGo()) })
	return err
}

// stopIn is how long devices have to take what is still to be sent.
const stopIn = 3 * time.Second

func (s *Server) letGo() error {
	var errs []error
	close(s.quit)
	if s.hub != nil {
		ctx, cancel := context.WithTimeout(context.Background(), stopIn)
		errs = append(errs, s.hub.Stop(ctx))
		cancel()
	}
	if s.listen != nil {
		if err := s.listen.Close(); !errors.Is(err, net.ErrClosed) {
			errs = append(errs, err)
		}
	}
	s.chores.Wait()
	if s.photos != nil {
		errs = append(errs, s.photos.Close())
	}
	if s.store != nil {
		s.hush()
		errs = append(errs, s.store.Close())
	}
	return errors.Join(errs...)
}

// inspectAfter and inspectEvery say when the journal is checked while serving: not at the start, when phones wait.
const (
	inspectAfter = 2 * time.Minute
	inspectEvery = 24 * time.Hour
)

// inspect walks the whole journal now and then and says loudly what is off.
func (s *Server) inspect() {
	for wait := inspectAfter; ; wait = inspectEvery {
		select {
		case <-s.quit:
			return
		case <-time.After(wait):
		}
		report, err := s.store.Verify()
		switch {
		case err != nil:
			s.cfg.Log.Error("the journal could not be verified", "error", err)
		case report.First != nil:
			s.cfg.Log.Error("the journal was changed after it was kept", "first", report.First.Error(), "faults", report.Faults, "entries", report.Entries)
		default:
			s.cfg.Log.Info("journal verified", "entries", report.Entries, "hash", hex.EncodeToString(report.Head[:8]))
		}
	}
}

func (s *Server) gauges(set *metrics.Set) {
	set.NewGauge("brinebell_lines", func() float64 { return float64(s.hub.Lines()) })
	set.NewGauge("brinebell_journal_head", func() float64 {
		seq, _ := s.store.Chain()
		return float64(seq)
	})
	set.NewGauge("brinebell_ready", func() float64 {
		if s.hub.Ails() != nil {
			return 0
		}
		return 1
	})
	set.NewGauge("brinebell_backup_timestamp_seconds", func() float64 { return float64(s.backedUp.Load()) / 1000 })
	set.NewGauge("brinebell_resident_bytes", residentBytes)
	set.NewGauge("brinebell_goroutines", goroutines)
	set.NewGauge("brinebell_protocol_version", func() float64 { return protocol.Version })
}

func newToken() string {
	b := make([]byte, 24)
	_, _ = rand.Read(b) // never fails: documented by crypto/rand
	return hex.EncodeToString(b)
}

// systemClock is this machine's clock.
type systemClock struct{ began time.Time }

// Wall implements hub.Clock.
func (systemClock) Wall() int64 { return time.Now().UnixMilli() }

// Mono implements hub.Clock.
func (c systemClock) Mono() int64 { return steady(c.began).Milliseconds() }
