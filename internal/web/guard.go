package web

import (
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"net/http"
	"net/netip"
	"os"
	"strconv"
	"strings"
	"sync"
	"time"
)

// csp is the policy of every answer but the worker's script: nothing from elsewhere, nothing inline, no evaluation, and
// text becomes markup or a script's address only through the app's own policies.
const csp = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; " +
	"media-src 'self' blob:; connect-src 'self'%LINE%; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; " +
	"frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types lit-html brinebell"

// workerCSP is the policy of the worker's script. A worker obeys the policy of its own script's answer, so this is the
// one place where WebAssembly may run.
const workerCSP = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'%LINE%; base-uri 'none'; " +
	"form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types brinebell"

// policy names the websocket's address too: some browsers do not count it as 'self'.
func policy(text string, r *http.Request) string {
	return strings.Replace(text, "%LINE%", " ws://"+r.Host+" wss://"+r.Host, 1)
}

// secure sets the headers that every answer carries.
func secure(h http.Header, r *http.Request) {
	h.Set("Content-Security-Policy", strings.Replace(csp, "%LINE%", "", 1))
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(self), microphone=(), geolocation=(), payment=(), usb=(), screen-wake-lock=(self)")
	h.Set("Vary", "Accept-Encoding")
}

// guard refuses requests that are meant for another host, and those that another site's page makes.
func (s *Site) guard(r *http.Request) error {
	if !s.hosts.own(r) {
		return &answer{http.StatusMisdirectedRequest, "host",
			"This server does not answer to the name in the address. Use the address that it printed when it started, or start it with --name."}
	}
	// From here on the host is one of our own names, so that it may stand in a header.
	origin := r.Header.Get("Origin")
	if origin != "" && origin != "http://"+r.Host && origin != "https://"+r.Host {
		return foreign()
	}
	switch site := r.Header.Get("Sec-Fetch-Site"); {
	case site == "" || site == "same-origin" || site == "none":
	case r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document":
		// somebody followed a link from elsewhere: nothing changes by looking
	default:
		return foreign()
	}
	if r.URL.Path == "/line" && origin == "" {
		return foreign()
	}
	return nil
}

func foreign() error {
	return &answer{http.StatusForbidden, "origin", "Pages of another site may not use this kitchen."}
}

// hosts knows the names and addresses of this machine.
type hosts struct {
	names map[string]bool

	mu        sync.Mutex
	looked    time.Time
	addresses map[netip.Addr]bool
}

func newHosts(more []string) *hosts {
	h := &hosts{names: map[string]bool{"localhost": true}}
	if name, err := os.Hostname(); err == nil {
		name = strings.ToLower(name)
		short, _, _ := strings.Cut(name, ".")
		more = append(more, name, short, short+".local")
	}
	for _, n := range more {
		h.names[strings.ToLower(strings.TrimSuffix(n, "."))] = true
	}
	delete(h.names, "")
	return h
}

// own tells whether the request names this machine.
func (h *hosts) own(r *http.Request) bool {
	host := r.Host
	if name, port, err := net.SplitHostPort(host); err == nil {
		if _, err := strconv.ParseUint(port, 10, 16); err != nil {
			return false // the host stands in headers, so it must be nothing but a host
		}
		host = name
	}
	addr, err := netip.ParseAddr(strings.Trim(host, "[]"))
	if err != nil {
		return h.names[strings.ToLower(strings.TrimSuffix(host, "."))]
	}
	addr = addr.Unmap().WithZone("")
	if addr.IsLoopback() {
		return true
	}
	if local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok {
		if at, err := netip.ParseAddrPort(local.String()); err == nil && at.Addr().Unmap().WithZone("") == addr {
			return true
		}
	}
	return h.names[addr.String()] || h.address(addr)
}

// address tells whether one of this machine's interfaces has the address. It looks anew at most once a second: the
// router may have given another one.
func (h *hosts) address(a netip.Addr) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if time.Since(h.looked) > time.Second {
		h.looked, h.addresses = time.Now(), map[netip.Addr]bool{}
		list, _ := net.InterfaceAddrs() // none known: then only names and the connection's own address count
		for _, i := range list {
			if n, err := netip.ParsePrefix(i.String()); err == nil {
				h.addresses[n.Addr().Unmap().WithZone("")] = true
			}
		}
	}
	return h.addresses[a]
}

// loopback tells whether the request comes from this machine itself.
func loopback(r *http.Request) bool {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && at.Addr().Unmap().IsLoopback()
}

// from is the network address of whoever asks, for rate limits.
func from(r *http.Request) string {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	addr := at.Addr().Unmap()
	if addr.Is6() {
		// One household has a whole /64.
		if p, err := addr.Prefix(64); err == nil {
			return p.String()
		}
	}
	return addr.String()
}

// trusted tells whether the request comes from this machine or carries the token.
func (s *Site) trusted(r *http.Request) bool { return loopback(r) || s.hasToken(r) }

func (s *Site) hasToken(r *http.Request) bool {
	got := sha256.Sum256([]byte(r.Header.Get("Authorization")))
	found := 0
	for _, token := range s.cfg.Tokens {
		want := sha256.Sum256([]byte("Bearer " + token))
		if token != "" {
			found |= subtle.ConstantTimeCompare(want[:], got[:])
		}
	}
	return found == 1
}
