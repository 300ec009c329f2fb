package screen

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/words"
)

func publishedRows(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

// Each published row on burns stands in a note with its figure and its source, in both languages; what is from memory says so.
func TestFirstAidAsPublished(t *testing.T) {
	notes := map[string]aid{}
	for _, g := range aids {
		for _, a := range g.list {
			notes[a.name] = a
		}
	}
	burns := map[string]string{"cool-20": "cool", "cool-nhs-lo": "cool", "cool-nhs-hi": "cool", "cool-aha": "cool", "window": "cool", "no-ice": "ice",
		"jewel": "rings", "film": "film", "size": "doctor", "chem": "chem"}
	unit := map[string]string{"min": "min", "h after injury": "h", "cm diameter": "cm"}
	for _, r := range publishedRows(t, "burn-first-aid.csv") {
		a, ok := notes[burns[r[0]]]
		require.True(t, ok, r[0])
		require.Equal(t, r[5] == "from memory", a.memory, r[0])
		for _, l := range words.Langs() {
			text := l.T("aid."+a.name) + " " + l.T("aid."+a.name+".more")
			if r[3] != "flag" {
				require.Contains(t, text, r[2], "%s, %s", r[0], l)
				require.Contains(t, text, unit[r[3]], "%s, %s", r[0], l)
			}
		}
		if a.source != "" {
			named := func(part string) bool {
				return strings.Contains(a.source, strings.Split(strings.TrimSpace(part), " (")[0])
			}
			known := slices.ContainsFunc(strings.Split(r[4], ";"), named) || strings.Contains(r[4], "AHA/ARC") || strings.Contains(r[4], "NHS") && strings.Contains(a.source, "NHS")
			require.True(t, known, "%s: %s names %s", r[0], a.name, r[4])
		}
	}
	oil := map[string]string{"osha-strain": "drain", "osha-unattended": "alone", "osha-water": "alone", "osha-mitt": "mitts", "osha-sleeve": "mitts",
		"osha-move": "move", "osha-k": "first", "osha-nowater": "nowater", "osha-shoes": "shoes", "press-lid": "lid", "k-first": "first"}
	for _, r := range publishedRows(t, "hot-oil-cautions.csv") {
		name, told := oil[r[0]]
		if !told {
			continue
		}
		require.Equal(t, r[4] == "from memory", notes[name].memory, r[0])
		require.Contains(t, notes[name].source+" general", strings.Split(r[3], " ")[0][:4], r[0])
	}
}

// The notes are one tap from every caution of which they speak and from the menu, and stand there without a kitchen's server.
func TestFirstAidIsOneTapAway(t *testing.T) {
	w := newWorld(t, noon)
	for _, crew := range []string{"teo", "ines"} {
		d := draw(t, w.ctx(crew, "/firstaid"))
		require.Equal(t, "caution", d["parts"].([]any)[0].(map[string]any)["p"], "help comes first")
		require.Contains(t, draw(t, w.ctx(crew, "/more")).links(), "/firstaid")
	}
	p := newPage(w.ctx("teo", "/"))
	require.Equal(t, "First aid", p.cautionOf("k", &procedure.Caution{Hazards: []string{"raw poultry", "hot oil"}}).aid)
	require.Empty(t, p.cautionOf("k", &procedure.Caution{Hazards: []string{"allergens"}}).aid, "the notes do not speak of those")
}
