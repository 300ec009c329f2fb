package simulation_test

import (
	"testing"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/journaltest"
	"brinebell/internal/simulation"
)

func TestMemoryKeepsAJournal(t *testing.T) {
	journaltest.Keeper(t, func(*testing.T) journaltest.Opener {
		m := simulation.NewMemory(entry.NewID(journaltest.Begun, [10]byte{1}).String())
		return func() journal.Keeper { return m }
	})
}
