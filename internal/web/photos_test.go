package web_test

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"
)

// A device that was taken off may still hand over the photos that its entries speak of, up to a bound; what is kept
// already does not count, and the others are not touched by it.
func TestARevokedDeviceHandsOverAFewPhotos(t *testing.T) {
	s := newSite(t)
	out, in := header("Authorization", "Device out abcd"), header("Authorization", deviceKey)
	post := func(n int, who func(*http.Request)) *httptest.ResponseRecorder {
		return s.ask("POST", "/photo", wide(uint32(n), 1), who)
	}
	for n := 1; n <= 64; n++ {
		require.Equal(t, http.StatusOK, post(n, out).Code, "photo %d", n)
		require.Equal(t, http.StatusOK, post(n, out).Code, "the same again")
	}
	w := post(65, out)
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	require.Contains(t, w.Body.String(), "64 photos or 64 MiB")
	require.Contains(t, w.Body.String(), "Show the lead")
	require.Equal(t, http.StatusOK, post(64, out).Code)
	require.Equal(t, http.StatusOK, post(66, in).Code)
}
