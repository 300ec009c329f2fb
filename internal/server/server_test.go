package server_test

import (
	"context"
	"encoding/hex"
	"io"
	"log/slog"
	"net/http"
	"os"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/server"
)

// page is the least front end that can be served.
var page = fstest.MapFS{"index.html": {Data: []byte("<!doctype html>")}}

// start serves a kitchen from a folder.
func start(t *testing.T, c server.Config) *server.Server {
	t.Helper()
	c.Listen, c.Files, c.Version = "127.0.0.1:0", page, "test"
	if c.Data == "" {
		c.Data = t.TempDir()
	}
	if c.Log == nil && os.Getenv("BRINEBELL_TEST_LOG") != "" {
		c.Log = slog.New(slog.NewTextHandler(os.Stderr, nil))
	}
	s, err := server.Start(c)
	require.NoError(t, err)
	t.Cleanup(func() { stop(t, s) })
	return s
}

// stop closes a server; closing it twice is once.
func stop(t *testing.T, s *server.Server) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	require.NoError(t, s.Close(ctx))
}

func get(t *testing.T, url string) (int, string) {
	t.Helper()
	answer, err := http.Get(url)
	require.NoError(t, err)
	defer func() { _ = answer.Body.Close() }()
	b, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer.StatusCode, string(b)
}

func TestANewKitchenAnswers(t *testing.T) {
	s := start(t, server.Config{Kitchen: "Pier Kitchen", Zone: "America/New_York"})
	status, body := get(t, s.LocalURL()+"/hello")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, `"kitchen":"Pier Kitchen"`)
	status, _ = get(t, s.LocalURL()+"/readyz")
	require.Equal(t, http.StatusOK, status)
}

func hexOf(b []byte) string { return hex.EncodeToString(b) }
