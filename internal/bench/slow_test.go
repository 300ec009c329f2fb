package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestBusiestThreadCounts(t *testing.T) {
	before := map[string]time.Duration{"a": 10, "b": 5}
	require.Equal(t, time.Duration(7), busiest(before, map[string]time.Duration{"a": 13, "b": 12, "new": 99}))
	require.Zero(t, busiest(before, before))
}
