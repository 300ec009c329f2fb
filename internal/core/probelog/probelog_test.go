package probelog

import (
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

func TestReadsBothScalesExactly(t *testing.T) {
	log, faults, err := Read(strings.NewReader("\ufeffprobe,Time, temp_f \nA,2026-11-24T11:05:00.5Z,160\nA,2026-11-24T12:05:14+01:00,160.05\n"))
	require.NoError(t, err)
	require.Empty(t, faults)
	require.True(t, log.Fahrenheit)
	require.Equal(t, []safety.Reading{
		{At: 1763982300500 + 365*86400000, Heat: safety.Fahrenheit(160)},
		{At: 1763982314000 + 365*86400000, Heat: safety.Fahrenheit(160) + safety.HeatF/20},
	}, log.Readings)
	require.Equal(t, []int{2, 3}, log.Lines)
	require.False(t, log.Cut)

	log, faults, err = Read(strings.NewReader("temp_c,time\r\n-1.25,2026-11-24T11:05:00.1234567Z\r\n"))
	require.NoError(t, err)
	require.Empty(t, faults)
	require.Equal(t, safety.Celsius(-1)-safety.HeatC/4, log.Readings[0].Heat)
	require.Equal(t, stamp.Milli(123), log.Readings[0].At%1000)
	require.True(t, log.Cut)
}

func TestBadRowsAreNamedAndTheGoodOnesKept(t *testing.T) {
	log, faults, err := Read(strings.NewReader(`time,temp_c
2026-11-24T11:05:00Z,60
yesterday,61
2026-11-24T11:05:02Z,NaN
2026-11-24T11:05:03Z,"61,5"
2026-11-24T11:05:04Z
2026-11-24T11:05:00Z,62

2026-11-24T11:05:05Z,5000
2026-11-24T11:05:06Z,
2026-11-24 11:05:07Z,63
0001-11-24T11:05:07Z,63
2026-11-24T11:05:08Z,6"4
2026-11-24T11:05:09Z,65
`))
	require.NoError(t, err)
	require.Len(t, log.Readings, 2)
	var said []string
	for _, f := range faults {
		said = append(said, f.String())
	}
	require.Equal(t, []string{
		`row 2 (line 3): the time "yesterday" is not in RFC 3339, such as 2026-11-24T11:05:00Z`,
		`row 3 (line 4): temp_c is "NaN", which is not a number such as 71.5`,
		`row 4 (line 5): temp_c is "61,5": decimals are written with a point`,
		`row 5 (line 6): it has 1 columns, and the first line asks for 2`,
		`row 6 (line 7): the time "2026-11-24T11:05:00Z" is not later than the one before it: times must rise`,
		`row 7 (line 9): temp_c is "5000", and readings are between -1000 and 1000 °C`,
		`row 8 (line 10): temp_c is "", which is not a number such as 71.5`,
		`row 9 (line 11): the time "2026-11-24 11:05:07Z" is not in RFC 3339, such as 2026-11-24T11:05:00Z`,
		`row 10 (line 12): the time "0001-11-24T11:05:07Z" is not between the years 1970 and 2200: look at the logger's clock`,
		`row 11 (line 13): not CSV: a quotation mark stands where none belongs`,
	}, said)
	require.Equal(t, []int{2, 14}, log.Lines)
}

func TestFilesThatAreNoLog(t *testing.T) {
	for text, want := range map[string]string{
		"":                              "the file is empty",
		"time,temp_f,temp_c\n":          "both temp_f and temp_c",
		"time,temp\n":                   "no column temp_f or temp_c",
		"when,temp_f\n":                 "no column time",
		"time;temp_f\n":                 "separated by commas",
		"time,temp_f,Temp_F\n":          "temp_f twice",
		"time,time,temp_f\n":            "time twice",
		"\"time,temp_f\nunfinished":     "not CSV",
		"2026-11-24T11:05:00Z,60\n":     "no column time",
		"\x00\x01\x02\xff\xfe binary\n": "no column time",
	} {
		_, _, err := Read(strings.NewReader(text))
		require.ErrorContains(t, err, want, "%q", text)
	}
	_, _, err := Read(iotest.ErrReader(iotest.ErrTimeout))
	require.Error(t, err)
	_, _, err = Read(iotest.DataErrReader(iotest.TimeoutReader(iotest.OneByteReader(strings.NewReader("time,temp_f\n1,2\n")))))
	require.ErrorIs(t, err, iotest.ErrTimeout)
}

func FuzzRead(f *testing.F) {
	f.Add("time,temp_f\n2026-11-24T11:05:00Z,160\n")
	f.Fuzz(func(t *testing.T, text string) {
		log, _, err := Read(strings.NewReader(text))
		if err == nil && len(log.Readings) > 0 {
			require.NoError(t, safety.CheckLog(log.Readings), "what is read can be assessed")
			require.Len(t, log.Lines, len(log.Readings))
		}
	})
}
