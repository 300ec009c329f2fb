package stamp_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/stamp"
)

// Every day of four centuries is read as the standard library counts it.
func TestDateOfEveryDay(t *testing.T) {
	first := time.Date(1850, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range 4 * 36_525 {
		at := first.AddDate(0, 0, i)
		day, ok := stamp.Date(at.Format("2006-01-02"))
		require.True(t, ok, at)
		require.EqualValues(t, at.Unix()/86400, day, at)
	}
}

func TestWhatIsNoDate(t *testing.T) {
	for _, text := range []string{"", "2008-3-31", "2008-02-30", "2007-02-29", "1900-02-29", "2008-13-01", "2008-00-01", "2008-01-00", "31-03-2008", "2008/03/31",
		"2008-03-31 ", "2oo8-03-31", "-200-03-31"} {
		_, ok := stamp.Date(text)
		require.False(t, ok, text)
	}
	for _, text := range []string{"2008-02-29", "2000-02-29", "1970-01-01"} {
		_, ok := stamp.Date(text)
		require.True(t, ok, text)
	}
}
