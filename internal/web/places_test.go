package web_test

import (
	"net/http"
	"os"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every screen of the core can be opened by its address: reloaded, or followed from a printed code.
func TestEveryScreenHasAnAddress(t *testing.T) {
	s := newSite(t)
	source, err := os.ReadFile("../core/screen/view.go")
	require.NoError(t, err)
	names := regexp.MustCompile(`"([a-z]+)": +\(\*page\)`).FindAllSubmatch(source, -1)
	require.Greater(t, len(names), 20)
	for _, name := range names {
		if place := string(name[1]); place != "join" {
			require.Equal(t, http.StatusOK, s.ask("GET", "/"+place, "").Code, place)
		}
	}
}
