package web

import (
	"os"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEveryWordOfTheSensorPagesIsThere in both languages, with the same places, and none is asked for that there is not.
func TestEveryWordOfTheSensorPagesIsThere(t *testing.T) {
	places := regexp.MustCompile(`\{\d\}`)
	for id, w := range sensorWords {
		require.NotEmpty(t, w.EN, id)
		require.NotEmpty(t, w.ES, id)
		require.Equal(t, places.FindAllString(w.EN, -1), places.FindAllString(w.ES, -1), id)
	}
	script, err := os.ReadFile("../../frontend/draw/readings_pages.js")
	require.NoError(t, err)
	asked := map[string]bool{}
	for _, m := range regexp.MustCompile(`\btold\(("(\w+)"|[^)"]*\? "(\w+)" : "(\w+)")`).FindAllSubmatch(script, -1) {
		for _, id := range m[2:] {
			if len(id) > 0 {
				asked[string(id)] = true
				require.Contains(t, sensorWords, string(id))
			}
		}
	}
	for id := range sensorWords {
		require.True(t, asked[id], "%s is asked for nowhere", id)
	}
}
