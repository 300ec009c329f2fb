package server

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
	"brinebell/internal/sqlite"
)

func TestPublishingAndListingInAStoppedKitchen(t *testing.T) {
	data := t.TempDir()
	_, err := ListLead(data, "Ada", "en")
	require.Equal(t, fail.Missing, fail.KindOf(err), "%v", err)
	s, err := sqlite.Open(data, sqlite.Options{})
	require.NoError(t, err)
	require.NoError(t, s.Close())

	files, err := Samples()
	require.NoError(t, err)
	require.Contains(t, files, schemaName)
	delete(files, schemaName)
	order := slices.Sorted(maps.Keys(files))
	require.NotEmpty(t, order)
	lines, err := Publish(data, files, order)
	require.NoError(t, err)
	require.Len(t, lines, len(order))
	_, err = Publish(data, files, order[:1])
	require.Equal(t, fail.Refused, fail.KindOf(err))
	for _, name := range []string{"Ada Brook", "  Ada\tBrook ", "Åsa", "李"} {
		_, err = ListLead(data, name, "es")
		require.NoError(t, err)
	}
	for _, name := range []string{"", " ", "a\x1bb"} {
		_, err = ListLead(data, name, "en")
		require.Equal(t, fail.Invalid, fail.KindOf(err), "%q", name)
	}
	state, err := readState(data)
	require.NoError(t, err)
	require.Len(t, state.Documents, len(order))
	var crew []string
	for _, m := range state.Crew {
		crew = append(crew, m.Crew)
	}
	require.Equal(t, []string{"adabrook", "adabrook2", "lead", "sa"}, crew)
}
