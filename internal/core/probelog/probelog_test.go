package probelog

import (
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

func TestReadsBothScalesExactly(t *testing.T) {
	log := Read([]byte("\ufeffprobe,Time, temp_f \nA,2026-11-24T11:05:00.5Z,160\nA,2026-11-24T12:05:14+01:00,160.05\n"))
	require.Nil(t, log.File)
	require.Zero(t, log.Bad)
	require.True(t, log.Fahrenheit)
	require.Equal(t, []safety.Reading{
		{At: 1763982300500 + 365*86400000, Heat: safety.Fahrenheit(160)},
		{At: 1763982314000 + 365*86400000, Heat: safety.Fahrenheit(160) + safety.HeatF/20},
	}, log.Readings)
	require.Equal(t, []int{2, 3}, log.Lines)
	require.False(t, log.Cut)

	log = Read([]byte("temp_c,time\r\n-1.25,2026-11-24T11:05:00.1234567Z\r\n"))
	require.Nil(t, log.File)
	require.Equal(t, safety.Celsius(-1)-safety.HeatC/4, log.Readings[0].Heat)
	require.Equal(t, stamp.Milli(123), log.Readings[0].At%1000)
	require.True(t, log.Cut)
}

func TestBadRowsAreNamedAndTheGoodOnesKept(t *testing.T) {
	log := Read([]byte(`time,temp_c
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
	require.Nil(t, log.File)
	require.Len(t, log.Readings, 2)
	require.Equal(t, 10, log.Bad)
	require.Equal(t, []Fault{
		{Problem: Time, Row: 2, Line: 3, Text: "yesterday"},
		{Problem: Number, Row: 3, Line: 4, Name: "temp_c", Text: "NaN"},
		{Problem: Decimal, Row: 4, Line: 5, Name: "temp_c", Text: "61,5"},
		{Problem: Narrow, Row: 5, Line: 6, N: 1, M: 2},
		{Problem: Order, Row: 6, Line: 7, Text: "2026-11-24T11:05:00Z"},
		{Problem: Large, Row: 7, Line: 9, Name: "temp_c", Text: "5000"},
		{Problem: Number, Row: 8, Line: 10, Name: "temp_c"},
		{Problem: Time, Row: 9, Line: 11, Text: "2026-11-24 11:05:07Z"},
		{Problem: Year, Row: 10, Line: 12, Text: "0001-11-24T11:05:07Z"},
		{Problem: Quote, Row: 11, Line: 13},
	}, log.Faults)
	require.Equal(t, []int{2, 14}, log.Lines)
}

func TestFilesThatAreNoLog(t *testing.T) {
	for text, want := range map[string]Problem{
		"": Empty, "\n\n": Empty, "time,temp_f,temp_c\n": Both, "time,temp\n": Missing, "when,temp_f\n": Missing, "time;temp_f\n": Semicolon,
		"time,temp_f,Temp_F\n": Twice, "time,time,temp_f\n": Twice, "\"time,temp_f\nunfinished": HeadQuote,
		"2026-11-24T11:05:00Z,60\n": Missing, "\x00\x01\x02\xff\xfe binary\n": Missing, "time,temp_f\n": NoRows,
	} {
		log := Read([]byte(text))
		require.NotNil(t, log.File, "%q", text)
		require.Equal(t, want, log.File.Problem, "%q", text)
	}
	r := Reader{Most: 2}
	r.Take([]byte("time,temp_c\n2026-11-24T11:05:00Z,1\n2026-11-24T11:05:01Z,1\n2026-11-24T11:05:02Z,1\n"))
	r.End()
	require.Equal(t, &Fault{Problem: TooMany, Line: 4, N: 2}, r.File)
}

// draws makes files of parts that matter to a reader of CSV.
var draws = rapid.Custom(func(t *rapid.T) string {
	part := rapid.SampledFrom([]string{",", "\n", "\r\n", `"`, `""`, "a", "2026-11-24T11:05:0", "1Z", "2Z", "71.5", " ", "\r", "é", "x\n\n"})
	return "time,temp_c\n" + strings.Join(rapid.SliceOfN(part, 0, 30).Draw(t, "parts"), "")
})

// TestRecordsAreThoseOfTheStandardReader: cells, lines and what is no CSV are as Go's own reader finds them, however the file
// is cut into pieces.
func TestRecordsAreThoseOfTheStandardReader(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := draws.Draw(t, "file")
		rows := csv.NewReader(strings.NewReader(text))
		rows.FieldsPerRecord = -1
		_, err := rows.Read()
		require.NoError(t, err)
		type found struct {
			row, line int
			quote     bool
		}
		var want []found
		for n := 1; ; n++ {
			cells, err := rows.Read()
			if errors.Is(err, io.EOF) {
				break
			}
			if p, ok := errors.AsType[*csv.ParseError](err); ok {
				want = append(want, found{n, p.StartLine, true})
				continue
			}
			if line, _ := rows.FieldPos(0); len(cells) == 1 {
				want = append(want, found{n, line, false})
			}
		}
		whole := Read([]byte(text))
		var got []found
		for _, f := range whole.Faults {
			if f.Problem == Quote || f.Problem == Narrow {
				got = append(got, found{f.Row, f.Line, f.Problem == Quote})
			}
		}
		require.Equal(t, want, got, "%q", text)
		var pieces Reader
		for rest := []byte(text); len(rest) > 0; {
			n := min(rapid.IntRange(1, 9).Draw(t, "piece"), len(rest))
			pieces.Take(rest[:n])
			rest = rest[n:]
		}
		pieces.End()
		require.Equal(t, whole.Faults, pieces.Faults)
		require.Equal(t, whole.File, pieces.File)
		require.Equal(t, whole.Log, pieces.Log)
	})
}

func FuzzInstant(f *testing.F) {
	for _, text := range []string{"2026-11-24T11:05:00Z", "2024-02-29T23:59:59.999999999-23:59", "1970-01-01T00:00:00+00:01", "2100-02-29T00:00:00Z", "2200-12-31T00:00:00.5+14:00"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		at, cut, problem := instant([]byte(text))
		want, err := time.Parse(time.RFC3339, text)
		if problem == Time {
			return // stricter than Go: it takes single digits and commas too
		}
		require.NoError(t, err, "%q", text)
		if problem == Year {
			return
		}
		require.Equal(t, want.UnixMilli(), int64(at), "%q", text)
		require.Equal(t, want.Nanosecond()%1e6 != 0, cut, "%q", text)
	})
}

func TestInstants(t *testing.T) {
	for year := 1970; year <= 2200; year++ {
		for _, day := range []string{"-01-01", "-02-28", "-03-01", "-06-30", "-12-31"} {
			text := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).Format("2006") + day + "T23:59:58.125+05:30"
			at, _, problem := instant([]byte(text))
			require.Zero(t, problem, text)
			want, err := time.Parse(time.RFC3339, text)
			require.NoError(t, err)
			require.Equal(t, want.UnixMilli(), int64(at), text)
		}
	}
	for _, text := range []string{"2026-02-29T00:00:00Z", "2026-13-01T00:00:00Z", "2026-11-31T00:00:00Z", "2026-11-24T24:00:00Z", "2026-11-24T11:05:00", "2026-11-24T11:05:00.Z", "2026-11-24t11:05:00Z", "2026-11-24T11:05:00+0100", "2026-11-24T11:05:00+01:60", "2026-11-24T11:05:60Z"} {
		_, _, problem := instant([]byte(text))
		require.Equal(t, Time, problem, text)
	}
}

func FuzzRead(f *testing.F) {
	f.Add("time,temp_f\n2026-11-24T11:05:00Z,160\n")
	f.Fuzz(func(t *testing.T, text string) {
		if log := Read([]byte(text)); log.File == nil && len(log.Readings) > 0 {
			require.NoError(t, safety.CheckLog(log.Readings), "what is read can be assessed")
			require.Len(t, log.Lines, len(log.Readings))
			require.Equal(t, log.Readings, Unpack(Pack(log.Readings)))
		}
	})
}

// TestPackedReadingsComeBackExactly: on both scales, and a long log in few bytes.
func TestPackedReadingsComeBackExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []safety.Reading
		at := stamp.Milli(rapid.Int64Range(-1e15, 1e15).Draw(t, "from"))
		unit := safety.Heat(rapid.SampledFrom([]int64{1, 9e6, 5e8, 9e8, 5e9}).Draw(t, "unit"))
		for range rapid.IntRange(1, 50).Draw(t, "n") {
			at = at.Add(stamp.Span(rapid.Int64Range(1, 100_000).Draw(t, "step")))
			list = append(list, safety.Reading{At: at, Heat: safety.Heat(rapid.Int64Range(-100, 1700).Draw(t, "heat")) * unit})
		}
		require.Equal(t, list, Unpack(Pack(list)))
	})
	var list []safety.Reading
	for i := range 3600 {
		list = append(list, safety.Reading{At: stamp.Milli(1_795_582_800_000 + i*1000), Heat: safety.Fahrenheit(40) + safety.Heat(i%1200)*safety.HeatF/10})
	}
	require.Less(t, len(Pack(list)), 3600*4)
	require.Nil(t, Unpack([]byte("rubbish")))
	require.Nil(t, Unpack(nil))
	require.NotEqual(t, Digest(Pack(list)), Digest(Pack(list[1:])))
}
