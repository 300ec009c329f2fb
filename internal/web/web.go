// Package web answers every request of the kitchen's browsers: the app's files, joining, photos, health and figures. It
// changes nothing itself; what changes goes through the Kitchen that it is given.
//
// Every answer, on every route, carries the same strict headers; every request must name this server as its host, and
// every request that a page makes must come from a page of this very origin. Failures become answers in one place.
package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"maps"
	"net/http"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/VictoriaMetrics/metrics"

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// Kitchen is what the routes need of the running kitchen.
type Kitchen interface {
	// About says what anybody on the network may know.
	About() About
	// Join lets a device in; a.From and a.Free are set by the route.
	Join(ctx context.Context, a pairing.Application) (pairing.Ticket, error)
	// Standing tells how a device stands to the kitchen.
	Standing(device string, key []byte) (pairing.Standing, error)
	// Code makes a joining code.
	Code() (pairing.Code, error)
	// Pace makes the demo's kitchen time run so fast, 1 to 3,600 times.
	Pace(ctx context.Context, pace int) error
	// Write does what the command line on this machine asks for, in a text that only those two read.
	Write(ctx context.Context, text []byte) error
	// Ready is nil when entries can be kept, else says why not.
	Ready() error
}

// About is what anybody on the network may know.
type About struct {
	Kitchen    string `json:"kitchen"`
	Generation string `json:"generation"`
	Demo       bool   `json:"demo"`
	Secure     bool   `json:"secure"`
	Version    string `json:"version"`
	Protocol   int    `json:"protocol"`
}

// Config wires a Site.
type Config struct {
	Kitchen Kitchen
	Files   fs.FS        // the built front end
	Line    http.Handler // the websocket
	Photos  *Photos
	Sensors Sensors      // nil: no readings are taken
	Records Records      // nil: there are none to fetch
	Names   []string     // further names by which this server is called, beside its own and its addresses
	Tokens  []string     // each opens /metrics from elsewhere, and /code on this machine; an empty one opens nothing
	Meter   *metrics.Set // what /metrics shows
	Log     *slog.Logger
}

// Site is the handler of all requests.
type Site struct {
	cfg    Config
	mux    *http.ServeMux
	assets *assets
	hosts  *hosts
	meter  siteMeter
	photos allowances

	tickets tickets
	press   chan struct{} // holds whoever makes a file
}

// New returns the handler. It fails if the front end's list of files cannot be read.
func New(cfg Config) (*Site, error) {
	if cfg.Meter == nil {
		cfg.Meter = metrics.NewSet()
	}
	files, err := newAssets(cfg.Files)
	if err != nil {
		return nil, err
	}
	s := &Site{cfg: cfg, mux: http.NewServeMux(), assets: files, hosts: newHosts(cfg.Names), meter: newSiteMeter(cfg.Meter),
		press: make(chan struct{}, presses)}
	s.routes()
	return s, nil
}

// handler answers a request or says why not.
type handler func(w http.ResponseWriter, r *http.Request) error

// methods are a route's handlers by HTTP method. GET answers HEAD too.
type methods map[string]handler

func (s *Site) routes() {
	for pattern, m := range s.table() {
		s.mux.Handle(pattern, s.route(m))
	}
}

// table is every route that there is.
func (s *Site) table() map[string]methods {
	get := func(h handler) methods { return methods{http.MethodGet: h} }
	post := func(h handler) methods { return methods{http.MethodPost: h} }
	all := map[string]methods{
		"/hello":                get(s.hello),
		"/join":                 {http.MethodPost: s.join, http.MethodGet: s.page},
		"/line":                 get(s.line),
		"/healthz":              get(s.healthz),
		"/readyz":               get(s.readyz),
		"/metrics":              get(s.metrics),
		"/photo":                post(s.putPhoto),
		"/photo/{hash}":         get(s.getPhoto),
		"/demo/pace":            post(s.pace),
		"/code":                 post(s.code),
		"/write":                post(s.write),
		"/api/ticket":           post(s.giveTicket),
		"/assets/{path...}":     get(s.asset),
		"/sw.js":                get(s.asset),
		"/manifest.webmanifest": get(s.asset),
		"/{$}":                  get(s.page),
		"/":                     get(s.missing),
	}
	for _, address := range Files {
		if s.cfg.Records != nil {
			all[address] = get(s.fetch(address))
		}
	}
	maps.Copy(all, s.sensorRoutes())
	for _, place := range places {
		all["/"+place], all["/"+place+"/{rest...}"] = get(s.page), get(s.page)
	}
	return all
}

// places are the first parts of the app's own addresses. All of them get the same page, which finds its way itself.
var places = []string{"batch", "start", "portion", "load", "hold", "lists", "list", "timers", "timer", "deviations", "deviation",
	"mark", "find", "who", "more", "kitchen", "sensors", "import", "place", "devices", "ring", "settings", "wall", "join/code",
	"cook", "oil", "charts", "chart", "probes", "probe", "cooktime", "records", "dayclose", "receive", "log", "logs", "quiz", "firstaid", "trainer", "guide", "crew", "practice", "plan"}

// ServeHTTP implements http.Handler.
func (s *Site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.meter.requests.Inc()
	secure(w.Header(), r)
	defer func() {
		if cause := recover(); cause != nil {
			s.cfg.Log.Error("a request's handler panicked", "path", r.URL.Path, "cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
			s.answerError(w, r, errors.New("panic"))
		}
	}()
	if err := s.guard(r); err != nil {
		s.meter.refused.Inc()
		s.answerError(w, r, err)
		return
	}
	s.mux.ServeHTTP(w, r)
}

func (s *Site) route(m methods) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		method := r.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		h := m[method]
		if h == nil {
			w.Header().Set("Allow", allowed(m))
			s.answerError(w, r, &answer{http.StatusMethodNotAllowed, "method", "This address does not take " + r.Method + " requests."})
			return
		}
		if err := h(w, r); err != nil {
			s.answerError(w, r, err)
		}
	})
}

func allowed(m methods) string {
	switch {
	case m[http.MethodGet] == nil:
		return http.MethodPost
	case m[http.MethodPost] == nil:
		return "GET, HEAD"
	}
	return "GET, HEAD, POST"
}

// answer is a failure that has an HTTP status of its own.
type answer struct {
	status int
	kind   string
	text   string
}

// Error implements error.
func (a *answer) Error() string { return a.kind + ": " + a.text }

// statuses says how each kind of failure is answered.
var statuses = map[fail.Kind]int{
	fail.Invalid: http.StatusBadRequest,
	fail.Refused: http.StatusForbidden,
	fail.Missing: http.StatusNotFound,
	fail.Busy:    http.StatusTooManyRequests,
	fail.Storage: http.StatusInsufficientStorage,
	fail.Damaged: http.StatusInternalServerError,
	fail.Newer:   http.StatusInternalServerError,
	fail.TooBig:  http.StatusRequestEntityTooLarge,
}

// answerError is the one place where failures become answers: {"kind":"...","text":"..."}, the text in the language that
// is asked for.
func (s *Site) answerError(w http.ResponseWriter, r *http.Request, err error) {
	a, ok := errors.AsType[*answer](err)
	if !ok {
		kind := fail.KindOf(err)
		a = &answer{statuses[kind], kind.String(), fail.Sentence(err)}
		if a.status == 0 {
			a.status = http.StatusInternalServerError
		}
	}
	if a.status >= http.StatusInternalServerError && r.URL.Path != "/readyz" {
		s.cfg.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	}
	lang := langOf(r)
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Language", lang)
	w.Header().Add("Vary", "Accept-Language")
	writeJSON(w, a.status, map[string]string{"kind": a.kind, "text": say(lang, a.text)})
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	b, _ := json.Marshal(v) // only our own structs and maps of strings
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Length", strconv.Itoa(len(b)))
	w.WriteHeader(status)
	_, _ = w.Write(b) // whoever went away does not hear it
}

// bodyMax bounds the JSON that is read, in bytes.
const bodyMax = 4 << 10

// readJSON reads a JSON body of known fields. Demanding the JSON type keeps other sites' forms out a second time.
func readJSON(w http.ResponseWriter, r *http.Request, v any) error {
	if t, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); strings.TrimSpace(t) != "application/json" {
		return &answer{http.StatusUnsupportedMediaType, "type", "Send JSON, with Content-Type: application/json."}
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, bodyMax))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	if err == nil && d.More() {
		err = errors.New("more than one value")
	}
	if _, big := errors.AsType[*http.MaxBytesError](err); big {
		return fail.E("web.readJSON", fail.TooBig, fmt.Sprintf("The request is larger than %d bytes.", bodyMax), err)
	}
	if err != nil {
		return fail.E("web.readJSON", fail.Invalid, "The request is not the JSON that this address takes.", err)
	}
	return nil
}

func (s *Site) missing(http.ResponseWriter, *http.Request) error {
	return fail.E("web.missing", fail.Missing, "There is nothing at this address.", nil)
}

func (s *Site) line(w http.ResponseWriter, r *http.Request) error {
	if !strings.EqualFold(r.Header.Get("Upgrade"), "websocket") {
		w.Header().Set("Upgrade", "websocket")
		return &answer{http.StatusUpgradeRequired, "upgrade", "This address speaks the websocket protocol only."}
	}
	s.cfg.Line.ServeHTTP(w, r)
	return nil
}

func (s *Site) hello(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, s.cfg.Kitchen.About())
	return nil
}

func (s *Site) healthz(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, map[string]string{"status": "up"})
	return nil
}

// readyz says yes or no to anybody; why not is only for those on this machine or with the token.
func (s *Site) readyz(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	err := s.cfg.Kitchen.Ready()
	if err == nil {
		writeJSON(w, http.StatusOK, map[string]string{"status": "ready"})
		return nil
	}
	text := "The kitchen's server does not keep entries now. The phones go on with their own copies."
	if s.trusted(r) {
		text = fail.Sentence(err)
	}
	return &answer{http.StatusServiceUnavailable, fail.KindOf(err).String(), text}
}

// drain reads what is left of a small body, so that the connection can be used again.
func drain(r io.Reader) { _, _ = io.CopyN(io.Discard, r, bodyMax) }
