package web_test

import (
	"bytes"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

// ways are ways of writing a step up and a stroke that some server somewhere has taken for one.
var ways = []string{"../", "..%2f", "..%2F", "%2e%2e/", "%2e%2e%2f", "%2E%2E%2F", "..%5c", "..%5C", "..\\", "%2e%2e\\", ".%2e/", "%2e./", "..;/", "..%00/",
	"....//", "..%252f", "%252e%252e%252f", "%c0%ae%c0%ae/", "..%c0%af", "..%ef%bc%8f", "/../", "//..//", "%2f..%2f", "\xe2\x80\xa5/"}

// What lies beside the photos and beside the front end is not handed out, however the way to it is written.
func TestNoWayLeadsOutOfAFolder(t *testing.T) {
	folder := t.TempDir()
	secret := []byte("the key of every phone")
	for _, name := range []string{"kitchen.db", "photos.txt", "web.go"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), secret, 0o600))
	}
	inside := filepath.Join(folder, "photos")
	require.NoError(t, os.Mkdir(inside, 0o700))
	require.NoError(t, os.Symlink(filepath.Join(folder, "kitchen.db"), filepath.Join(inside, strings.Repeat("a", 64)))) // who can write there cannot lead out either
	photos, err := web.OpenPhotos(inside, sqlite.WriteWhole)
	require.NoError(t, err)
	t.Cleanup(func() { _ = photos.Close() })
	front := os.DirFS(filepath.Join(folder, "front"))
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "front", "assets"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "front", "index.html"), []byte("page"), 0o600))
	s, err := web.New(web.Config{Kitchen: &kitchen{}, Files: front, Photos: photos, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	live := httptest.NewServer(s)
	defer live.Close()

	// Sent as bytes: a client of the library's would tidy the address first.
	ask := func(path string) string {
		conn, err := net.Dial("tcp", live.Listener.Addr().String())
		require.NoError(t, err)
		defer func() { _ = conn.Close() }()
		require.NoError(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
		_, err = conn.Write([]byte("GET " + path + " HTTP/1.1\r\nHost: " + live.Listener.Addr().String() + "\r\nConnection: close\r\n\r\n"))
		require.NoError(t, err)
		var answer bytes.Buffer
		_, err = answer.ReadFrom(conn)
		require.NoError(t, err)
		return answer.String()
	}
	require.Contains(t, ask("/"), "200 OK")
	tried := 0
	for _, under := range []string{"/photo/", "/assets/", "/", "/batch/", "/list/"} {
		for _, up := range ways {
			for _, target := range []string{"kitchen.db", "web.go", "etc/passwd"} {
				for _, steps := range []int{1, 3} {
					path := under + strings.Repeat(up, steps) + target
					answer := ask(path)
					require.NotContains(t, answer, string(secret), path)
					require.NotContains(t, answer, "root:", path)
					tried++
				}
			}
		}
	}
	require.Greater(t, tried, 600)
	require.NotContains(t, ask("/photo/"+strings.Repeat("a", 64)), string(secret), "a link out of the folder")
	require.Contains(t, ask("/photo/"+strings.Repeat("b", 64)), http.StatusText(http.StatusNotFound))
}
