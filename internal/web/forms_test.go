package web_test

import (
	"context"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/web"
)

// sensors are pretend sensors that count what was changed.
type sensors struct{ changes int }

func (s *sensors) Post(context.Context, string, []web.Posted) (web.Taken, error) {
	s.changes++
	return web.Taken{}, nil
}
func (*sensors) Facts(context.Context) (web.Facts, error) { return web.Facts{}, nil }
func (s *sensors) Pair(context.Context, web.Wish) (web.Token, error) {
	s.changes++
	return web.Token{}, nil
}
func (s *sensors) Unpair(context.Context, string, string, string) error { s.changes++; return nil }
func (s *sensors) Import(context.Context, web.Ask, []byte) (web.Imported, error) {
	s.changes++
	return web.Imported{}, nil
}

// A page of another site can make a browser on this machine post a form, with all that the browser knows of us. None of the
// three types that a form can have is taken by any address, whatever the browser says of where it comes from.
func TestNoFormOfAnotherSiteChangesAnything(t *testing.T) {
	s := newSite(t)
	changes := func() int { return len(s.kitchen.joined) + len(s.kitchen.written) + s.kitchen.pace + s.sensors.changes }
	forms := []struct{ kind, body string }{
		{"text/plain", `{"pace":60,"code":"K7M4QP"}`},
		{"application/x-www-form-urlencoded", "pace=60&code=K7M4QP"},
		{"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"pace\"\r\n\r\n60\r\n--x--\r\n"},
	}
	posts := 0
	for _, r := range s.routes(t) {
		if r.method != http.MethodPost {
			continue
		}
		posts++
		for _, f := range forms {
			kind := header("Content-Type", f.kind)
			for name, from := range map[string][]func(*http.Request){
				"a site that is named": {kind, header("Origin", "http://evil.test")},
				"a page without one":   {kind, header("Origin", "null")},
				"another port":         {kind, header("Sec-Fetch-Site", "same-site"), header("Sec-Fetch-Mode", "navigate"), header("Sec-Fetch-Dest", "document")},
			} {
				require.Equal(t, http.StatusForbidden, s.ask("POST", r.path, f.body, from...).Code, "%s as %s from %s", r.path, f.kind, name)
			}
			// An old browser says nothing of where it comes from.
			require.GreaterOrEqual(t, s.ask("POST", r.path, f.body, kind).Code, 400, "%s as %s", r.path, f.kind)
		}
		require.Zero(t, changes(), r.path)
		for _, method := range []string{http.MethodGet, http.MethodHead} {
			s.ask(method, r.path+"?pace=60&code=K7M4QP", "")
			require.Zero(t, changes(), "%s %s changes nothing", method, r.path)
		}
	}
	require.GreaterOrEqual(t, posts, 10)
	require.Equal(t, http.StatusOK, s.ask("POST", "/demo/pace", `{"pace":60}`).Code)
	require.Equal(t, 60, changes(), "what is counted does change")
}

// What a name is made of stays within one line of the log, and within one string of what is answered.
func TestNoNameBreaksOutOfALine(t *testing.T) {
	s := newSite(t)
	s.kitchen.panics = true
	for _, path := range []string{"/join?x=%0d%0aSet-Cookie:%20a=b", "/batch/%0d%0alevel=ERROR%20msg=forged", "/assets/%1b%5b31m.js", "/no/%e2%80%aesuch"} {
		method := "GET"
		if strings.HasPrefix(path, "/join") {
			method = "POST"
		}
		w := s.ask(method, path, map[string]string{"POST": "{}"}[method])
		require.NotContains(t, w.Header(), "Set-Cookie", path)
		for _, sign := range []string{"\r", "\x1b", "\u202e"} {
			require.NotContains(t, w.Body.String()+s.log.String(), sign, path)
		}
	}
	for line := range strings.Lines(s.log.String()) {
		require.True(t, strings.HasPrefix(line, "{") && strings.HasSuffix(line, "}\n"), line)
	}
	require.NotEmpty(t, s.log.String())
}
