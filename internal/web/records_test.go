package web_test

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
	"brinebell/internal/web"
)

// shelf is a pretend kitchen's records. It notes what was asked for and by whom.
type shelf struct {
	mu    sync.Mutex
	asked []string
	begun chan struct{} // when set: told of each file that is begun
	goOn  chan struct{} // when set: waited for before it is done
}

func (s *shelf) file(name, kind string, q url.Values, device string) (web.File, error) {
	s.mu.Lock()
	s.asked = append(s.asked, name+" "+q.Encode()+" "+device)
	s.mu.Unlock()
	if s.begun != nil {
		s.begun <- struct{}{}
		<-s.goOn
	}
	if q.Get("from") == "never" {
		return web.File{}, fail.E("test", fail.Invalid, "never is no day.", nil)
	}
	return web.File{Name: name, Type: kind, Bytes: []byte(name + " of " + q.Get("from"))}, nil
}

func (s *shelf) Make(_ context.Context, address string, q url.Values, device string) (web.File, error) {
	switch address {
	case "/api/report":
		return s.file("día.pdf", "application/pdf", q, device)
	case "/api/records.csv":
		return s.file("records.csv", "text/csv; charset=utf-8", q, device)
	case "/api/records.json":
		return s.file("records.json", "application/json", q, device)
	}
	return s.file("state.json", "application/json", q, device)
}

func (s *shelf) May(address string, q url.Values, device string) error {
	if address == "/api/training" {
		return fail.E("test", fail.Refused, "The training record of Jun is not for Teo. Jun, a trainer or a lead can fetch it: hand the phone to one of them.", nil)
	}
	return nil
}

func newShelf(t *testing.T) (site, *shelf) {
	t.Helper()
	records := &shelf{}
	return newSiteWith(t, records), records
}

// afar makes a request of another machine.
func (s site) afar(method, path, authorization, body string) *httptest.ResponseRecorder {
	return s.ask(method, path, body, remote, func(r *http.Request) {
		if authorization != "" {
			r.Header.Set("Authorization", authorization)
		}
	})
}

func (s site) ticket(t *testing.T, path string) string {
	t.Helper()
	body, err := json.Marshal(map[string]string{"path": path})
	require.NoError(t, err)
	w := s.afar(http.MethodPost, "/api/ticket", deviceKey, string(body))
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	var got struct{ Path string }
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &got))
	return got.Path
}

func TestFilesAreForDevicesOfTheKitchenOnly(t *testing.T) {
	s, records := newShelf(t)
	for _, path := range []string{"/api/report", "/api/records.csv", "/api/records.json", "/api/state"} {
		require.Equal(t, http.StatusUnauthorized, s.afar("GET", path, "", "").Code, path)
		require.Equal(t, http.StatusForbidden, s.afar("GET", path, "Device dev1 00", "").Code, path)
		require.Equal(t, http.StatusForbidden, s.afar("GET", path, "Device out 00", "").Code, path)
		require.Equal(t, http.StatusForbidden, s.afar("GET", path+"?ticket=00", "", "").Code, path)
		require.Equal(t, http.StatusUnauthorized, s.afar("GET", path, "Bearer secret", "").Code, "the token alone is for this machine: %s", path)
		require.Equal(t, http.StatusOK, s.afar("GET", path, deviceKey, "").Code, path)
	}
	require.Len(t, records.asked, 4)
	w := s.afar("GET", "/api/report?from=2026-11-24", deviceKey, "")
	require.Equal(t, "application/pdf", w.Header().Get("Content-Type"))
	require.Equal(t, "attachment; filename*=utf-8''d%C3%ADa.pdf", w.Header().Get("Content-Disposition"))
	require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	require.Equal(t, "día.pdf of 2026-11-24", w.Body.String())
	require.Equal(t, http.StatusMethodNotAllowed, s.afar("POST", "/api/report", deviceKey, "{}").Code)
	require.Equal(t, http.StatusMethodNotAllowed, s.afar("HEAD", "/api/report", deviceKey, "").Code)
	w = s.afar("GET", "/api/report?from=never", deviceKey, "")
	require.Equal(t, http.StatusBadRequest, w.Code)
	require.Contains(t, w.Body.String(), "never is no day.")
}

func TestATicketOpensOneAddressOnce(t *testing.T) {
	s, records := newShelf(t)
	path := s.ticket(t, "/api/report?to=2026-11-24&from=2026-11-23")
	require.NotContains(t, path, "abab", "the key never stands in an address")
	w := s.afar("GET", path, "", "")
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	require.Equal(t, []string{"día.pdf from=2026-11-23&to=2026-11-24 dev1"}, records.asked, "it says who asked, and hands no ticket on")
	require.Equal(t, http.StatusForbidden, s.afar("GET", path, "", "").Code, "a second time")

	path = s.ticket(t, "/api/report?from=2026-11-23")
	require.Equal(t, http.StatusForbidden, s.afar("GET", strings.Replace(path, "11-23", "01-01", 1), "", "").Code, "for another day")
	require.Equal(t, http.StatusForbidden, s.afar("GET", path, "", "").Code, "and then no more for its own")
	require.Len(t, records.asked, 1)
}

func TestTicketsAreRefused(t *testing.T) {
	s, _ := newShelf(t)
	body := `{"path":"/api/report"}`
	require.Equal(t, http.StatusUnauthorized, s.afar("POST", "/api/ticket", "", body).Code)
	require.Equal(t, http.StatusForbidden, s.afar("POST", "/api/ticket", "Device out 00", body).Code)
	for _, path := range []string{"", "/hello", "/photo/ab", "https://elsewhere.test/api/report", "//elsewhere.test/api/report", "/api/ticket", ":"} {
		b, _ := json.Marshal(map[string]string{"path": path})
		require.Equal(t, http.StatusBadRequest, s.afar("POST", "/api/ticket", deviceKey, string(b)).Code, path)
	}
	for range 8 {
		s.ticket(t, "/api/report")
	}
	w := s.afar("POST", "/api/ticket", deviceKey, body)
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	require.Contains(t, w.Body.String(), "Wait a minute")
}

func TestOneFileIsMadeAtATime(t *testing.T) {
	s, records := newShelf(t)
	records.begun, records.goOn = make(chan struct{}, 2), make(chan struct{})
	done := make(chan int, 2)
	for range 2 {
		go func() { done <- s.afar("GET", "/api/report", deviceKey, "").Code }()
	}
	<-records.begun
	select {
	case <-records.begun:
		t.Fatal("a second file was begun before the first was done")
	case records.goOn <- struct{}{}:
	}
	<-records.begun
	records.goOn <- struct{}{}
	require.Equal(t, []int{http.StatusOK, http.StatusOK}, []int{<-done, <-done})
}

// What is wrong is said in the language that the browser asks for, with the values; the kind and the status stay.
func TestWhatIsWrongIsSaidInTheReadersLanguage(t *testing.T) {
	s, _ := newShelf(t)
	in := func(lang string) func(*http.Request) {
		return func(r *http.Request) {
			r.Header.Set("Authorization", deviceKey)
			r.Header.Set("Content-Type", "application/json")
			if lang != "" {
				r.Header.Set("Accept-Language", lang)
			}
		}
	}
	for _, c := range []struct{ method, path, body, en, es string }{
		{"GET", "/nowhere/at/all", "", "There is nothing at this address.", "En esta dirección no hay nada."},
		{"POST", "/api/report", "", "This address does not take POST requests.", "Esta dirección no acepta peticiones POST."},
		{"POST", "/api/ticket", `{"path":"/secrets"}`, "There is no file at this address.", "En esta dirección no hay ningún archivo."},
		{"POST", "/api/ticket", `{"path":"/api/training?crew=jun"}`, "The training record of Jun is not for Teo.", "El registro de formación de Jun no es para Teo."},
		{"GET", "/api/report?ticket=00", "", "This link was used already", "Este enlace ya se usó"},
	} {
		en, es := s.ask(c.method, c.path, c.body, remote, in("")), s.ask(c.method, c.path, c.body, remote, in("es-MX,es;q=0.9,en;q=0.8"))
		require.GreaterOrEqual(t, en.Code, 400, c.path)
		require.Equal(t, en.Code, es.Code)
		require.Contains(t, en.Body.String(), c.en)
		require.Contains(t, es.Body.String(), c.es)
		require.Equal(t, "es", es.Header().Get("Content-Language"))
		require.Contains(t, es.Header().Values("Vary"), "Accept-Language")
		var one, two struct{ Kind string }
		require.NoError(t, json.Unmarshal(en.Body.Bytes(), &one))
		require.NoError(t, json.Unmarshal(es.Body.Bytes(), &two))
		require.Equal(t, one, two)
	}
}
