package web_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/VictoriaMetrics/metrics"
	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

// kitchen is a pretend kitchen.
type kitchen struct {
	about   web.About
	joined  []pairing.Application
	ready   error
	pace    int
	joins   error
	panics  bool
	written []string
}

func (k *kitchen) About() web.About { return k.about }

func (k *kitchen) Join(_ context.Context, a pairing.Application) (pairing.Ticket, error) {
	if k.panics {
		panic("the kitchen fell over")
	}
	if k.joins != nil {
		return pairing.Ticket{}, k.joins
	}
	k.joined = append(k.joined, a)
	return pairing.Ticket{Device: pairing.Device{ID: "dev1"}, Key: bytes.Repeat([]byte{0xab}, 32)}, nil
}

func (k *kitchen) Standing(device string, key []byte) (pairing.Standing, error) {
	switch {
	case device == "dev1" && bytes.Equal(key, bytes.Repeat([]byte{0xab}, 32)):
		return pairing.Paired, nil
	case device == "out":
		return pairing.Revoked, nil
	}
	return pairing.Stranger, nil
}

func (k *kitchen) Code() (pairing.Code, error) { return pairing.Code{Text: "K7M 4QP", Until: 99}, nil }

func (k *kitchen) Pace(_ context.Context, pace int) error {
	if pace != 1 && pace != 10 && pace != 60 {
		return fail.E("test", fail.Invalid, "No such pace.", nil)
	}
	k.pace = pace
	return nil
}

func (k *kitchen) Write(_ context.Context, text []byte) error {
	k.written = append(k.written, string(text))
	return nil
}

func (k *kitchen) Ready() error { return k.ready }

var deviceKey = "Device dev1 " + hex.EncodeToString(bytes.Repeat([]byte{0xab}, 32))

var built = fstest.MapFS{
	"index.html":                   {Data: []byte("<!doctype html><title>page</title>")},
	"index.html.br":                {Data: []byte("br page")},
	"index.html.gz":                {Data: []byte("gz page")},
	"assets/OFL.txt":               {Data: []byte("licence")},
	"sw.js":                        {Data: []byte("// worker")},
	"manifest.webmanifest":         {Data: []byte("{}")},
	"assets/app.0123abcd.js":       {Data: []byte("app")},
	"assets/app.0123abcd.js.br":    {Data: []byte("br app")},
	"assets/worker.0123abcd.js":    {Data: []byte("worker")},
	"assets/core.0123abcd.wasm":    {Data: []byte("\x00asm")},
	"assets/core.0123abcd.wasm.gz": {Data: []byte("gz core")},
}

type site struct {
	*web.Site
	kitchen *kitchen
	sensors *sensors
	log     *bytes.Buffer
}

func newSite(t *testing.T) site {
	t.Helper()
	return newSiteWith(t, &shelf{})
}

func newSiteWith(t *testing.T, records web.Records) site {
	t.Helper()
	photos, err := web.OpenPhotos(t.TempDir(), sqlite.WriteWhole)
	require.NoError(t, err)
	t.Cleanup(func() { _ = photos.Close() })
	k := &kitchen{about: web.About{Kitchen: "Test", Demo: true, Version: "v", Protocol: 1}}
	var log bytes.Buffer
	meter := metrics.NewSet()
	lengths := meter.NewPrometheusHistogramExt("brinebell_pretend_seconds", []float64{0.5, 1})
	lengths.Update(0.25)
	lengths.Update(7)
	meter.NewCounter("brinebell_pretend_bytes_total").Add(3)
	watched := &sensors{}
	s, err := web.New(web.Config{Kitchen: k, Files: built, Photos: photos, Records: records, Sensors: watched, Names: []string{"kitchen.test"}, Tokens: []string{"", "secret"},
		Meter: meter, Log: slog.New(slog.NewJSONHandler(&log, nil)),
		Line: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusSwitchingProtocols) })})
	require.NoError(t, err)
	return site{s, k, watched, &log}
}

// ask makes a request of a browser on this machine, changed by change.
func (s site) ask(method, path, body string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host, r.RemoteAddr = "localhost:8080", "127.0.0.1:5000"
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, c := range change {
		c(r)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(name, value) }
}

func remote(r *http.Request) { r.RemoteAddr = "192.168.4.7:5000" }

func host(name string) func(*http.Request) { return func(r *http.Request) { r.Host = name } }

type route struct{ method, path string }

// routes is every route there is, with a method that it takes, and some ways to miss one.
func (s site) routes(t *testing.T) []route {
	t.Helper()
	list := []route{{"GET", "/assets/app.0123abcd.js"}, {"GET", "/no/such/place"}, {"PUT", "/hello"}}
	fill := strings.NewReplacer("{hash}", strings.Repeat("0", 64), "{path...}", "none.js", "{rest...}", "1/history", "{$}", "")
	for _, r := range s.Routes() {
		path := fill.Replace(r[1])
		require.NotContains(t, path, "{", "say what stands for it")
		list = append(list, route{r[0], path})
	}
	require.Greater(t, len(list), 80)
	return list
}

func TestForeignHostsAreRefusedOnEveryRoute(t *testing.T) {
	s := newSite(t)
	for _, r := range s.routes(t) {
		for _, name := range []string{"evil.test", "localhost.evil.test", "kitchen.test.evil.test", "8.8.8.8", "", "localhost:8080;", "localhost:x"} {
			w := s.ask(r.method, r.path, "", host(name))
			require.Equal(t, http.StatusMisdirectedRequest, w.Code, "%s %s at %q", r.method, r.path, name)
			require.NotContains(t, w.Header().Get("Content-Security-Policy"), "evil")
		}
		for _, name := range []string{"localhost", "LOCALHOST:8080", "kitchen.test.", "127.0.0.1:8080", "[::1]:8080"} {
			require.NotEqual(t, http.StatusMisdirectedRequest, s.ask(r.method, r.path, "", host(name)).Code, "%s %s at %q", r.method, r.path, name)
		}
	}
}

func TestForeignOriginsAreRefusedOnEveryRoute(t *testing.T) {
	s := newSite(t)
	for _, r := range s.routes(t) {
		for _, origin := range []string{"null", "http://evil.test", "http://localhost", "http://localhost:8081", "http://localhost:8080.evil.test", "ftp://localhost:8080", "http://kitchen.test"} {
			w := s.ask(r.method, r.path, "", header("Origin", origin))
			require.Equal(t, http.StatusForbidden, w.Code, "%s %s from %q", r.method, r.path, origin)
		}
		w := s.ask(r.method, r.path, "", header("Sec-Fetch-Site", "cross-site"), header("Sec-Fetch-Mode", "no-cors"))
		require.Equal(t, http.StatusForbidden, w.Code, "%s %s without origin", r.method, r.path)
	}
	require.Equal(t, http.StatusForbidden, s.ask("GET", "/line", "", header("Upgrade", "websocket")).Code, "a line without an origin")
	require.Equal(t, http.StatusSwitchingProtocols,
		s.ask("GET", "/line", "", header("Upgrade", "websocket"), header("Origin", "http://localhost:8080")).Code)
	require.Equal(t, http.StatusUpgradeRequired, s.ask("GET", "/line", "", header("Origin", "http://localhost:8080")).Code)
	followed := []func(*http.Request){header("Sec-Fetch-Site", "cross-site"), header("Sec-Fetch-Mode", "navigate"), header("Sec-Fetch-Dest", "document")}
	require.Equal(t, http.StatusOK, s.ask("GET", "/", "", followed...).Code, "a link that somebody followed")
	followed[2] = header("Sec-Fetch-Dest", "iframe")
	require.Equal(t, http.StatusForbidden, s.ask("GET", "/", "", followed...).Code, "a frame within another page")
}

func TestEveryAnswerIsStrict(t *testing.T) {
	s := newSite(t)
	for _, r := range s.routes(t) {
		h := s.ask(r.method, r.path, "").Header()
		policy := h.Get("Content-Security-Policy")
		require.Contains(t, policy, "default-src 'none'", r.path)
		require.Contains(t, policy, "frame-ancestors 'none'", r.path)
		require.NotContains(t, policy, "unsafe-inline", r.path)
		require.NotContains(t, policy, "'unsafe-eval'", r.path)
		require.NotContains(t, policy, "wasm-unsafe-eval", r.path)
		require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), r.path)
		require.Equal(t, "no-referrer", h.Get("Referrer-Policy"), r.path)
	}
	worker := s.ask("GET", "/assets/worker.0123abcd.js", "").Header().Get("Content-Security-Policy")
	require.Contains(t, worker, "script-src 'self' 'wasm-unsafe-eval'")
	require.Contains(t, worker, "connect-src 'self' ws://localhost:8080")
	page := s.ask("GET", "/", "").Header().Get("Content-Security-Policy")
	require.Contains(t, page, "require-trusted-types-for 'script'")
}

func TestFailuresHaveOneForm(t *testing.T) {
	s := newSite(t)
	for _, r := range []struct {
		method, path, body, kind string
		status                   int
	}{
		{"GET", "/no/such/place", "", "missing", 404},
		{"GET", "/assets/gone.js", "", "missing", 404},
		{"GET", "/assets/../web.go", "", "", 307},
		{"GET", "/assets/%2e%2e/%2e%2e/etc/passwd", "", "missing", 404},
		{"PUT", "/hello", "", "method", 405},
		{"DELETE", "/photo", "", "method", 405},
		{"POST", "/join", `{"code":`, "invalid", 400},
		{"POST", "/join", `{"kode":"x"}`, "invalid", 400},
		{"POST", "/join", `{} {}`, "invalid", 400},
		{"POST", "/join", `{"name":"` + strings.Repeat("x", 5000) + `"}`, "too big", 413},
		{"POST", "/demo/pace", `{"pace":0}`, "invalid", 400},
		{"POST", "/photo", "x", "key", 401},
	} {
		w := s.ask(r.method, r.path, r.body)
		require.Equal(t, r.status, w.Code, "%s %s", r.method, r.path)
		if r.kind == "" {
			continue
		}
		var body struct{ Kind, Text string }
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &body))
		require.Equal(t, r.kind, body.Kind)
		require.Regexp(t, `^[A-Z].*\.`, body.Text)
		require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	}
	require.Equal(t, "GET, HEAD", s.ask("PUT", "/hello", "").Header().Get("Allow"))
	require.Equal(t, "GET, HEAD, POST", s.ask("PUT", "/join", "").Header().Get("Allow"))
	require.Equal(t, http.StatusUnsupportedMediaType, s.ask("POST", "/join", "code=K7M4QP", header("Content-Type", "text/plain")).Code)
}

func TestAPanicIsOneAnswerAndOneLogLine(t *testing.T) {
	s := newSite(t)
	s.kitchen.panics = true
	w := s.ask("POST", "/join", `{}`)
	require.Equal(t, http.StatusInternalServerError, w.Code)
	require.NotContains(t, w.Body.String(), "the kitchen fell over", "the cause stays in the log")
	require.Regexp(t, `"text":"[A-Z][^"]+\."`, w.Body.String())
	require.Equal(t, 1, strings.Count(s.log.String(), "the kitchen fell over"))
	s.kitchen.panics = false
	require.Equal(t, http.StatusOK, s.ask("POST", "/join", `{}`).Code, "the next request is answered as ever")
}

func TestAFailuresCauseIsOneLogLine(t *testing.T) {
	s := newSite(t)
	s.kitchen.joins = fail.E("test", fail.Storage, "The disk is full.", fmt.Errorf("line one\nline two \x1b[31m"))
	w := s.ask("POST", "/join", `{}`)
	require.Equal(t, http.StatusInsufficientStorage, w.Code)
	require.NotContains(t, w.Body.String(), "line one", "the cause stays in the log")
	require.Equal(t, 1, strings.Count(s.log.String(), "\n"))
	require.NotContains(t, s.log.String(), "\x1b")
}

func TestEveryPlaceOfTheAppIsThePage(t *testing.T) {
	s := newSite(t)
	for _, path := range []string{"/", "/batch/0192", "/batch/0192/history", "/start", "/start/wings?g=1", "/portion/1", "/load/fryer-1", "/hold",
		"/lists", "/list/opening", "/timers", "/timer/new", "/deviations", "/deviation/k", "/mark/1", "/find?code=AB2C", "/who", "/more",
		"/kitchen", "/place/fryer-1", "/devices", "/ring", "/settings", "/wall", "/join", "/join?code=K7M4QP"} {
		w := s.ask("GET", path, "")
		require.Equal(t, http.StatusOK, w.Code, path)
		require.Equal(t, "text/html; charset=utf-8", w.Header().Get("Content-Type"), path)
		require.Equal(t, "no-cache", w.Header().Get("Cache-Control"), path)
		require.Contains(t, w.Body.String(), "<title>page", path)
	}
}

func TestAssetsAreSentInTheSmallestFormThatIsTaken(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct{ path, accept, encoding, body string }{
		{"/", "gzip, deflate, br, zstd", "br", "br page"},
		{"/", "gzip, deflate", "gzip", "gz page"},
		{"/", "", "", "<!doctype html><title>page</title>"},
		{"/", "br;q=0, gzip;q=0.5", "gzip", "gz page"},
		{"/", "br;q=0,*", "gzip", "gz page"},
		{"/", "*;q=0", "", "<!doctype html><title>page</title>"},
		{"/assets/app.0123abcd.js", "gzip", "", "app"},
		{"/assets/core.0123abcd.wasm", "br, gzip", "gzip", "gz core"},
	} {
		w := s.ask("GET", c.path, "", header("Accept-Encoding", c.accept))
		require.Equal(t, c.encoding, w.Header().Get("Content-Encoding"), "%s for %q", c.path, c.accept)
		require.Equal(t, c.body, w.Body.String())
		require.Equal(t, "Accept-Encoding", w.Header().Get("Vary"))
		tag := w.Header().Get("ETag")
		again := s.ask("GET", c.path, "", header("Accept-Encoding", c.accept), header("If-None-Match", tag))
		require.Equal(t, http.StatusNotModified, again.Code)
	}
	w := s.ask("GET", "/assets/core.0123abcd.wasm", "")
	require.Equal(t, "application/wasm", w.Header().Get("Content-Type"))
	require.Equal(t, "public, max-age=31536000, immutable", w.Header().Get("Cache-Control"))
	require.Equal(t, "no-cache", s.ask("GET", "/assets/OFL.txt", "").Header().Get("Cache-Control"), "its name does not change with its content")
	require.Equal(t, "no-cache", s.ask("GET", "/sw.js", "").Header().Get("Cache-Control"))
	require.Equal(t, 0, s.ask("HEAD", "/assets/core.0123abcd.wasm", "").Body.Len())
}

func TestAFrontEndWithAListOfFiles(t *testing.T) {
	files := fstest.MapFS{
		"index.html":       {Data: []byte("page")},
		"app.99.js":        {Data: []byte("app")},
		"files.json":       {Data: []byte(`[{"path":"/index.html","hash":"1","type":"text/html"},{"path":"/assets/app.99.js","hash":"99","type":"text/javascript"}]`)},
		"not-listed.99.js": {Data: []byte("secret")},
	}
	s, err := web.New(web.Config{Kitchen: &kitchen{}, Files: files, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	w := site{Site: s}.ask("GET", "/assets/app.99.js", "")
	require.Equal(t, "app", w.Body.String())
	require.Equal(t, "text/javascript", w.Header().Get("Content-Type"))
	require.Equal(t, 404, site{Site: s}.ask("GET", "/assets/not-listed.99.js", "").Code)

	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err = z.Write([]byte("the core"))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	files["assets/core.0123abcd.wasm.gz"] = &fstest.MapFile{Data: packed.Bytes()}
	files["files.json"] = &fstest.MapFile{Data: []byte(`[{"path":"/assets/core.0123abcd.wasm","hash":"1","type":"application/wasm"}]`)}
	s, err = web.New(web.Config{Kitchen: &kitchen{}, Files: files, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	for accept, body := range map[string]string{"": "the core", "gzip": packed.String()} {
		w := site{Site: s}.ask("GET", "/assets/core.0123abcd.wasm", "", header("Accept-Encoding", accept))
		require.Equal(t, body, w.Body.String(), "only the compressed form is there, asked for with %q", accept)
	}

	files["files.json"] = &fstest.MapFile{Data: []byte(`[{"path":"gone.js"}]`)}
	_, err = web.New(web.Config{Files: files})
	require.ErrorContains(t, err, "gone.js")
	files["files.json"] = &fstest.MapFile{Data: []byte(`[`)}
	_, err = web.New(web.Config{Files: files})
	require.Equal(t, fail.Damaged, fail.KindOf(err))
	require.Equal(t, fail.Missing, fail.KindOf(web.Built(fstest.MapFS{".keep": {}})))
	require.NoError(t, web.Built(built))
}

func TestJoining(t *testing.T) {
	s := newSite(t)
	w := s.ask("POST", "/join", `{"code":"k7m 4qp","name":"Grill","wall":true}`, remote)
	require.Equal(t, http.StatusOK, w.Code)
	require.JSONEq(t, `{"device":"dev1","key":"`+strings.Repeat("ab", 32)+`"}`, w.Body.String())
	require.Equal(t, pairing.Application{Code: "k7m 4qp", Name: "Grill", Wall: true, From: "192.168.4.7"}, s.kitchen.joined[0])

	s.ask("POST", "/join", `{}`)
	require.True(t, s.kitchen.joined[1].Free, "the demo on this machine")
	s.ask("POST", "/join", `{}`, remote)
	require.False(t, s.kitchen.joined[2].Free, "the demo from elsewhere")
	s.ask("POST", "/join", `{}`, func(r *http.Request) { r.RemoteAddr = "[2001:db8:1:2:3::4]:1" })
	require.Equal(t, "2001:db8:1:2::/64", s.kitchen.joined[3].From)
	s.kitchen.about.Demo = false
	s.ask("POST", "/join", `{}`)
	require.False(t, s.kitchen.joined[4].Free, "a real kitchen")

	s.kitchen.joins = fail.E("test", fail.Busy, "Too many tries.", nil)
	w = s.ask("POST", "/join", `{}`)
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	require.Equal(t, "30", w.Header().Get("Retry-After"))
}

func TestWhatAnybodyMayKnow(t *testing.T) {
	s := newSite(t)
	require.JSONEq(t, `{"kitchen":"Test","generation":"","demo":true,"secure":false,"version":"v","protocol":1}`, s.ask("GET", "/hello", "", remote).Body.String())
	require.Equal(t, http.StatusOK, s.ask("GET", "/healthz", "", remote).Code)
	require.Equal(t, http.StatusOK, s.ask("GET", "/readyz", "", remote).Code)
	s.kitchen.ready = fail.E("test", fail.Storage, "The disk sda1 is full.", nil)
	require.Equal(t, http.StatusServiceUnavailable, s.ask("GET", "/readyz", "", remote).Code)
	require.NotContains(t, s.ask("GET", "/readyz", "", remote).Body.String(), "sda1")
	require.Contains(t, s.ask("GET", "/readyz", "").Body.String(), "sda1")
	require.Equal(t, http.StatusOK, s.ask("GET", "/healthz", "").Code, "it is up all the same")
}

func TestCodesForTheCommandLine(t *testing.T) {
	s := newSite(t)
	token := header("Authorization", "Bearer secret")
	require.Equal(t, http.StatusForbidden, s.ask("POST", "/code", "").Code)
	require.Equal(t, http.StatusForbidden, s.ask("POST", "/code", "", token, remote).Code)
	require.JSONEq(t, `{"code":"K7M 4QP","until":99}`, s.ask("POST", "/code", "", token).Body.String())
}

func TestTheCommandLineWritesThroughARunningServer(t *testing.T) {
	s := newSite(t)
	body := `{"lead":1}`
	token := header("Authorization", "Bearer secret")
	require.Equal(t, http.StatusForbidden, s.ask("POST", "/write", body).Code)
	require.Equal(t, http.StatusForbidden, s.ask("POST", "/write", body, token, remote).Code)
	require.Empty(t, s.kitchen.written)
	require.Equal(t, http.StatusOK, s.ask("POST", "/write", body, token).Code)
	require.Equal(t, []string{body}, s.kitchen.written)
	require.Equal(t, http.StatusRequestEntityTooLarge, s.ask("POST", "/write", strings.Repeat("x", 17<<20), token).Code)
}

func TestPace(t *testing.T) {
	s := newSite(t)
	require.Equal(t, http.StatusOK, s.ask("POST", "/demo/pace", `{"pace":60}`).Code)
	require.Equal(t, 60, s.kitchen.pace)
	require.Equal(t, http.StatusUnauthorized, s.ask("POST", "/demo/pace", `{"pace":10}`, remote).Code)
	require.Equal(t, http.StatusOK, s.ask("POST", "/demo/pace", `{"pace":10}`, remote, header("Authorization", deviceKey)).Code)
	require.Equal(t, 10, s.kitchen.pace)
}

func picture(t *testing.T, encode func(io.Writer, image.Image) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, encode(&b, image.NewGray(image.Rect(0, 0, 12, 7))))
	return b.String()
}

// wide is the header of a PNG that says to be of the given size.
func wide(w, h uint32) string {
	ihdr := []byte{'I', 'H', 'D', 'R', byte(w >> 24), byte(w >> 16), byte(w >> 8), byte(w), byte(h >> 24), byte(h >> 16), byte(h >> 8), byte(h), 8, 2, 0, 0, 0}
	sum := crc32.ChecksumIEEE(ihdr)
	return "\x89PNG\r\n\x1a\n\x00\x00\x00\x0d" + string(ihdr) + string([]byte{byte(sum >> 24), byte(sum >> 16), byte(sum >> 8), byte(sum)})
}

func TestPhotos(t *testing.T) {
	s := newSite(t)
	key := header("Authorization", deviceKey)
	kinds := map[string]string{
		"image/png":  picture(t, png.Encode),
		"image/jpeg": picture(t, func(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, nil) }),
		"image/webp": "RIFF\x24\x00\x00\x00WEBPVP8L\x18\x00\x00\x00\x2f\x0b\x80\x01\x00" + strings.Repeat("\x00", 20),
	}
	for kind, photo := range kinds {
		w := s.ask("POST", "/photo", photo, key)
		require.Equal(t, http.StatusOK, w.Code, "%s: %s", kind, w.Body)
		var body struct{ Hash string }
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &body))
		got := s.ask("GET", "/photo/"+body.Hash, "")
		require.Equal(t, photo, got.Body.String())
		require.Equal(t, kind, got.Header().Get("Content-Type"))
		require.Contains(t, got.Header().Get("Content-Security-Policy"), "sandbox")
		require.Equal(t, http.StatusOK, s.ask("POST", "/photo", photo, key).Code, "twice is one")
	}
	for name, c := range map[string]struct {
		body   string
		status int
		words  string
	}{
		"a flood of pixels": {wide(30_000, 30_000), 413, "30000 by 30000"},
		"a long strip":      {wide(9000, 2), 413, "at most 8192"},
		"too many in all":   {wide(8000, 8000), 413, "24 million"},
		"no pixels":         {wide(0, 5), 400, "PNG, JPEG or WebP"},
		"a script":          {"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", 400, "PNG, JPEG or WebP"},
		"a cut header":      {kinds["image/png"][:20], 400, "PNG, JPEG or WebP"},
		"a cut WebP":        {kinds["image/webp"][:18], 400, "PNG, JPEG or WebP"},
		"an unknown WebP":   {"RIFF\x24\x00\x00\x00WEBPXXXX" + strings.Repeat("\x00", 30), 400, "PNG, JPEG or WebP"},
		"a huge WebP":       {"RIFF\x24\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00\xff\xff\xff\xff\xff\xff", 413, "16777216"},
		"more than 8 MiB":   {kinds["image/png"] + strings.Repeat("x", web.PhotoBytesMax), 413, "8 MiB"},
	} {
		w := s.ask("POST", "/photo", c.body, key)
		require.Equal(t, c.status, w.Code, name)
		require.Contains(t, w.Body.String(), c.words, name)
	}
	require.Equal(t, http.StatusForbidden, s.ask("POST", "/photo", kinds["image/png"], header("Authorization", "Device nobody abcd")).Code)
	require.Equal(t, http.StatusUnauthorized, s.ask("POST", "/photo", kinds["image/png"], header("Authorization", "Device dev1 zz")).Code)
	for _, name := range []string{"..", "%2e%2e%2fkitchen.db", strings.Repeat("a", 64), strings.Repeat("A", 64), "..\\kitchen.db", "a/../../kitchen.db"} {
		require.NotEqual(t, http.StatusOK, s.ask("GET", "/photo/"+name, "").Code, name)
	}
}
