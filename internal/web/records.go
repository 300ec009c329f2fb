package web

import (
	"context"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"brinebell/internal/fail"
)

// Records are the kitchen's records as files.
type Records interface {
	// Make makes the file of one of the addresses in Files out of the query, or says what is wrong with it. Device is who
	// asks; empty: the command line.
	Make(ctx context.Context, address string, q url.Values, device string) (File, error)
	// May tells why that device may not have the file, so that no link is given to what would be refused; nil: it may ask.
	May(address string, q url.Values, device string) error
}

// Files are the addresses of files: the records of some days for a person, for a table, for programs and as parts of a
// phone's page, and the kitchen at an instant in the same ways. /api/state is all that the kitchen's state then holds.
// /api/training is the training record of a person, /api/steps.page tells which steps make trouble.
// /api/after is what planned days cost, as a table and as parts of a page.
var Files = []string{"/api/report", "/api/records.csv", "/api/records.json", "/api/records.page",
	"/api/state", "/api/state.pdf", "/api/state.csv", "/api/state.json", "/api/state.page", "/api/training", "/api/steps.page",
	"/api/after.csv", "/api/after.page"}

// File is something to save.
type File struct {
	Name, Type string
	Bytes      []byte
}

// presses is how many files are made at a time: one report of a month takes a core for some time, and bells come first.
const presses = 1

// pressPatience is how long somebody waits for another's file to be made.
const pressPatience = 30 * time.Second

// fetch answers with a file. Whoever asks shows a device's key, a ticket for this very address, or, on this machine, the
// token.
func (s *Site) fetch(address string) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		const op = "web.fetch"
		if r.Method == http.MethodHead {
			return &answer{http.StatusMethodNotAllowed, "method", "Files are made when they are fetched: use GET."}
		}
		q := r.URL.Query()
		device, err := s.mayFetch(r, q)
		if err != nil {
			return err
		}
		q.Del("ticket")
		ctx, cancel := context.WithTimeout(r.Context(), pressPatience)
		defer cancel()
		select {
		case s.press <- struct{}{}:
			defer func() { <-s.press }()
		case <-ctx.Done():
			return fail.E(op, fail.Busy, "The kitchen's server is making another file. Ask again in a minute.", ctx.Err())
		}
		f, err := s.cfg.Records.Make(r.Context(), address, q, device)
		if err != nil {
			return err
		}
		s.meter.files.Inc()
		h := w.Header()
		h.Set("Content-Type", f.Type)
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.Name}))
		h.Set("Content-Length", strconv.Itoa(len(f.Bytes)))
		h.Set("Cache-Control", "no-store")
		h.Set("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'")
		_, _ = w.Write(f.Bytes) // whoever went away does not hear it
		return nil
	}
}

// mayFetch returns who fetches: a device's id, or nothing for the command line on this machine.
func (s *Site) mayFetch(r *http.Request, q url.Values) (string, error) {
	switch {
	case q.Has("ticket"):
		device, ok := s.tickets.redeem(q.Get("ticket"), addressOf(r.URL.Path, q), time.Now())
		if !ok {
			return "", fail.E("web.mayFetch", fail.Refused,
				"This link was used already, is older than a minute, or was given for something else. Go back to the records and tap again.", nil)
		}
		// Whoever was taken off the kitchen meanwhile gets nothing more.
		if err := s.stillOurs(device.id, device.key); err != nil {
			return "", err
		}
		return device.id, nil
	case loopback(r) && s.hasToken(r):
		return "", nil
	}
	return s.device(r)
}

// giveTicket answers a device that may fetch a file with a link that a browser can follow: POST {"path":"/api/report?..."}.
// A browser's download carries no headers of ours, and a key in an address would stay in its history.
func (s *Site) giveTicket(w http.ResponseWriter, r *http.Request) error {
	const op = "web.giveTicket"
	var body struct {
		Path string `json:"path"`
	}
	device, err := s.device(r)
	if err != nil {
		return err
	}
	if err := readJSON(w, r, &body); err != nil {
		return err
	}
	u, err := url.Parse(body.Path)
	if err != nil || u.Scheme != "" || u.Host != "" || s.cfg.Records == nil || !slices.Contains(Files, u.Path) {
		return fail.E(op, fail.Invalid, "There is no file at this address. Links are given for: "+strings.Join(Files, ", ")+".", err)
	}
	_, key, _ := strings.Cut(strings.TrimPrefix(r.Header.Get("Authorization"), "Device "), " ")
	q := u.Query()
	q.Del("ticket")
	if err := s.cfg.Records.May(u.Path, q, device); err != nil {
		return err
	}
	word, err := s.tickets.give(holder{device, key}, addressOf(u.Path, q), time.Now())
	if err != nil {
		return err
	}
	q.Set("ticket", word)
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, map[string]string{"path": u.Path + "?" + q.Encode()})
	return nil
}

// addressOf is what a ticket is for: the path and all that is asked for, in one order.
func addressOf(path string, q url.Values) string {
	rest := url.Values{}
	for k, v := range q {
		if k != "ticket" {
			rest[k] = v
		}
	}
	return path + "?" + rest.Encode()
}
