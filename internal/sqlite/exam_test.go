package sqlite

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/journal"
	"brinebell/internal/journaltest"
)

func TestTheStoreSitsTheKeepersExam(t *testing.T) {
	journaltest.Keeper(t, func(t *testing.T) journaltest.Opener {
		dir := t.TempDir()
		var last *Store
		t.Cleanup(func() { _ = last.Close() })
		return func() journal.Keeper {
			if last != nil {
				require.NoError(t, last.Close())
			}
			s, err := Open(dir, Options{})
			require.NoError(t, err)
			last = s
			return s
		}
	})
}
