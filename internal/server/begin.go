package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/fail"
	"brinebell/internal/sqlite"
)

// begin writes what a new kitchen's journal starts with, and renews what runs out.
func (s *Server) begin() error {
	head, _ := s.store.Chain()
	switch {
	case head == 0 && s.cfg.Demo:
		return s.beginDemo()
	case s.cfg.Demo:
		return nil // its offsets are part of its past
	case head > 0:
		if err := errors.Join(s.findName(), s.writeOffsets(false)); err != nil {
			s.cfg.Log.Error("the kitchen starts, but what it lacks could not be written", "error", err)
		}
		return nil
	}
	zone := s.cfg.Zone
	if zone == "" {
		zone = localZone()
	}
	list, until, err := offsets(zone, time.UnixMilli(s.cfg.Clock.Wall()))
	if err != nil {
		return err
	}
	name := strings.Join(strings.Fields(s.cfg.Kitchen), " ")
	if name == "" {
		name = "Kitchen"
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if err := s.write(ctx, &entry.NamedKitchen{Name: name, Zone: zone, Country: s.cfg.Country}, list); err != nil {
		return err
	}
	return s.store.SetOffsets(zone, until.UnixMilli())
}

// findName looks the kitchen's name up in the journal, should the server have ended before it was noted.
func (s *Server) findName() error {
	if _, zone := s.store.Named(); zone != "" {
		return nil
	}
	named := &entry.NamedKitchen{Name: "Kitchen", Zone: localZone()}
	for n, err := range s.store.Since(0) {
		if err != nil {
			return err
		}
		e, err := entry.ReadRecord(n.Record)
		if err != nil || e.Kind != entry.KitchenNamed {
			continue
		}
		if body, err := e.Open(); err == nil {
			named = body.(*entry.NamedKitchen)
		}
	}
	return s.store.SetName(named.Name, named.Zone)
}

// Code makes a joining code.
func (s *Server) Code() (text string, until time.Time, err error) {
	c, err := s.desk.NewCode(s.cfg.Clock.Wall())
	return c.Text, time.UnixMilli(c.Until), err
}

// Address is where the server listens.
func (s *Server) Address() net.Addr { return s.listen.Addr() }

// LocalURL is the address for a browser on this machine.
func (s *Server) LocalURL() string { return "http://localhost:" + s.port() }

// LANURL is the address for phones on the kitchen's network, empty if this machine has none or does not listen there.
func (s *Server) LANURL() string {
	at, err := netip.ParseAddrPort(s.listen.Addr().String())
	if err != nil || at.Addr().IsLoopback() {
		return ""
	}
	if len(s.cfg.Names) > 0 {
		return "http://" + net.JoinHostPort(s.cfg.Names[0], s.port())
	}
	addr := at.Addr().Unmap()
	if addr.IsUnspecified() {
		addr = lanAddress()
	}
	if !addr.IsValid() {
		return ""
	}
	return "http://" + net.JoinHostPort(addr.String(), s.port())
}

func (s *Server) port() string {
	_, port, _ := net.SplitHostPort(s.listen.Addr().String()) // a listener's address has a port
	return port
}

// lanAddress is the first of this machine's private IPv4 addresses, else any other that is not for itself alone.
func lanAddress() netip.Addr {
	list, _ := net.InterfaceAddrs() // none known: no address
	var other netip.Addr
	for _, i := range list {
		p, err := netip.ParsePrefix(i.String())
		switch {
		case err != nil || p.Addr().IsLoopback() || p.Addr().IsLinkLocalUnicast():
		case p.Addr().Is4() && p.Addr().IsPrivate():
			return p.Addr()
		case !other.IsValid() && p.Addr().Is4():
			other = p.Addr()
		}
	}
	return other
}

// Kitchen is the kitchen's name.
func (s *Server) Kitchen() string {
	name, _ := s.store.Named()
	return name
}

// JoinURL is where a new device goes with a code.
func (s *Server) JoinURL(code string) string {
	base := s.LANURL()
	if base == "" {
		base = s.LocalURL()
	}
	return base + "/join?code=" + url.QueryEscape(strings.ReplaceAll(code, " ", ""))
}

// running is what a running server leaves for the command line on its machine.
type running struct {
	Process int    `json:"process"`
	URL     string `json:"url"`
	Token   string `json:"token"`
}

const runningName = "running.json"

// announce leaves word of the server. It comes before the first answer, so that whoever saw one finds it.
func (s *Server) announce() {
	b, err := json.Marshal(running{os.Getpid(), "http://127.0.0.1:" + s.port(), s.token})
	if err == nil {
		err = sqlite.WriteWhole(filepath.Join(s.cfg.Data, runningName), b)
	}
	if err != nil {
		// The kitchen works without; only "brinebell code" then needs it stopped.
		s.cfg.Log.Warn("the command line will not find this server", "error", err)
	}
}

func (s *Server) hush() { _ = os.Remove(filepath.Join(s.cfg.Data, runningName)) }

// findRunning tells how to reach the server that serves a data folder, if it left word.
func findRunning(data string) (running, error) {
	var r running
	b, err := os.ReadFile(filepath.Join(data, runningName))
	if errors.Is(err, os.ErrNotExist) {
		return r, fail.E("server.findRunning", fail.Missing, "No kitchen is being served from "+data+".", err)
	}
	if err == nil {
		err = json.Unmarshal(b, &r)
	}
	if err != nil {
		return r, fail.E("server.findRunning", fail.Storage, fmt.Sprintf("The file %s cannot be read.", filepath.Join(data, runningName)), err)
	}
	return r, nil
}
