package server

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestTheSteadyClockRunsAsTimeDoes and does not depend on the wall clock.
func TestTheSteadyClockRunsAsTimeDoes(t *testing.T) {
	began := time.Now()
	a := steady(began)
	time.Sleep(30 * time.Millisecond)
	require.InDelta(t, time.Since(began), steady(began)-a, float64(20*time.Millisecond))
}
