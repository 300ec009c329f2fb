package sqlite

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// soaking is how long BRINEBELL_SOAK says that trouble goes on (make soak), or the short length of every test run.
func soaking(t *testing.T, short time.Duration) (length time.Duration, long bool) {
	t.Helper()
	text := os.Getenv("BRINEBELL_SOAK")
	if text == "" {
		return short, false
	}
	length, err := time.ParseDuration(text)
	require.NoError(t, err, "BRINEBELL_SOAK is a length of time, such as 10m")
	return length, true
}

// times is how often something is tried: often when soaking.
func times(short, long int) int {
	if os.Getenv("BRINEBELL_SOAK") != "" {
		return long
	}
	return short
}
