package fail_test

import (
	"errors"
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
)

func TestErrorTellsEachWhatItNeeds(t *testing.T) {
	err := fmt.Errorf("starting: %w", fail.E("sqlite.Open", fail.Damaged, "The journal is damaged.", io.ErrUnexpectedEOF))
	require.Equal(t, fail.Damaged, fail.KindOf(err))
	require.Equal(t, "The journal is damaged.", fail.Sentence(err))
	require.Equal(t, "starting: sqlite.Open: damaged: The journal is damaged.: unexpected EOF", err.Error())
	require.ErrorIs(t, err, io.ErrUnexpectedEOF)
}

func TestForeignErrorsStayPrivate(t *testing.T) {
	err := errors.New("pq: secret")
	require.Equal(t, fail.Other, fail.KindOf(err))
	require.NotContains(t, fail.Sentence(err), "secret")
}

func TestEveryKindHasAName(t *testing.T) {
	seen := map[string]bool{}
	for k := fail.Other; k <= fail.TooBig; k++ {
		require.False(t, seen[k.String()], "two kinds are called %q", k)
		seen[k.String()] = true
	}
	require.Equal(t, "other", fail.Kind(200).String())
}
