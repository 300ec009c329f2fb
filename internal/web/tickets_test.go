package web

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestATicketLivesAMinute(t *testing.T) {
	var all tickets
	now := time.Unix(1_800_000_000, 0)
	to := holder{"dev1", "ab"}
	for _, c := range []struct {
		after time.Duration
		opens bool
	}{{0, true}, {time.Minute - 1, true}, {time.Minute, false}, {time.Hour, false}} {
		word, err := all.give(to, "/api/report?", now)
		require.NoError(t, err)
		got, ok := all.redeem(word, "/api/report?", now.Add(c.after))
		require.Equal(t, c.opens, ok, c.after)
		require.Equal(t, to, got)
	}
}

func TestTicketsThatNobodyUsesMakeRoom(t *testing.T) {
	var all tickets
	now := time.Unix(1_800_000_000, 0)
	for range ticketsOfDevice {
		_, err := all.give(holder{"dev1", "ab"}, "/api/report?", now)
		require.NoError(t, err)
	}
	_, err := all.give(holder{"dev1", "ab"}, "/api/report?", now.Add(ticketLives-1))
	require.Error(t, err)
	_, err = all.give(holder{"dev2", "cd"}, "/api/report?", now)
	require.NoError(t, err, "one device does not shut out another")
	_, err = all.give(holder{"dev1", "ab"}, "/api/report?", now.Add(ticketLives))
	require.NoError(t, err)
	require.Len(t, all.open, 1)
}
