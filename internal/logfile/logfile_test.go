package logfile

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
)

var newYork = func() *time.Location {
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		panic(err)
	}
	return zone
}()

func options() Options {
	return Options{Zone: newYork, Now: time.Date(2026, time.November, 25, 12, 0, 0, 0, time.UTC)}
}

func read(t *testing.T, text string, change ...func(*Options)) *File {
	t.Helper()
	o := options()
	for _, c := range change {
		c(&o)
	}
	f, err := Read([]byte(text), o)
	require.NoError(t, err)
	return f
}

func at(s string) int64 {
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil {
		panic(err)
	}
	return t.UnixMilli()
}

// TestReadsWhatLoggersWrite: the same two readings, as many kinds of logger write them.
func TestReadsWhatLoggersWrite(t *testing.T) {
	want := []Reading{{1, at("2026-11-24T10:00:00Z"), 3200}, {2, at("2026-11-24T10:15:00Z"), -1250}}
	for name, text := range map[string]string{
		"RFC 3339":            "time,temp_c\n2026-11-24T10:00:00Z,3.2\n2026-11-24T05:15:00-05:00,-1.25\n",
		"kitchen time":        "Timestamp;Temperature (°C)\r\n2026-11-24 05:00;3,2\r\n2026-11-24 05:15;-1,25\r\n",
		"American":            "Date/Time\tTemp [°F]\n11/24/2026 5:00 AM\t37.76\n11/24/2026 5:15:00 am\t29.75\n",
		"two columns":         "Fecha|Hora|Temperatura °C\n24/11/2026|05:00:00|3,2\n24/11/2026|05:15:00|-1,25",
		"dotted":              "Zeit ignored,Time,Temp C\nx,24.11.2026 05:00,3.2\nx,24.11.2026 05:15,-1.25\n",
		"named month":         "Date Time,Celsius\n\"Nov 24, 2026 5:00:00 AM\",3.2 °C\n24-Nov-2026 05:15,-1.25 °C\n",
		"Spanish month":       "fecha y hora;°C\n24 nov 2026 5:00 a. m.;3,2\n24 de noviembre 2026 05:15;\u22121,25\n",
		"seconds since 1970":  "time,°C\n1795514400,3.2\n1795515300000,-1.25\n",
		"with a block before": "Serial,12345\nInterval,15 min\n\nNo.,Time,Ch1 Temp(°C),Alarm limit temp\n1,2026-11-24 05:00:00,3.2,8\n2,2026-11-24 05:15:00,-1.25,8\n",
		"no head":             "2026-11-24T10:00:00Z,3.2°C\n2026-11-24T10:15:00Z,-1.25°C\n",
		"quoted":              "\"time\",\"temp_c\"\n\"2026-11-24 05:00\",\"3,2\"\n\"2026-11-24 05:15\",\"-1,25\"\n",
		"newest first":        "time,temp_c\n2026-11-24 05:15,-1.25\n2026-11-24 05:00,3.2\n",
	} {
		f := read(t, text)
		require.Empty(t, f.Questions, name)
		require.Empty(t, f.Bad, name)
		if name == "newest first" {
			f.Readings[0].Row, f.Readings[1].Row = f.Readings[1].Row, f.Readings[0].Row
		}
		require.Equal(t, want, f.Readings, name)
	}
}

func TestReadsEveryWayOfWritingCharacters(t *testing.T) {
	text := "Fecha;Cámara fría (°C)\r\n2026-11-24 05:00;3,2\r\n"
	wide := func(order int) string {
		var b []byte
		for _, u := range utf16.Encode([]rune(text)) {
			pair := []byte{byte(u >> 8), byte(u)}
			b = append(b, pair[order], pair[1-order])
		}
		return string(b)
	}
	western := strings.NewReplacer("á", "\xe1", "í", "\xed", "°", "\xb0").Replace(text)
	for charset, bytes := range map[string]string{"UTF-8": text, "UTF-8 ": "\ufeff" + text, "Windows-1252": western,
		"UTF-16LE": "\xff\xfe" + wide(1), "UTF-16BE": "\xfe\xff" + wide(0), "UTF-16LE ": wide(1), "UTF-16BE ": wide(0)} {
		f := read(t, bytes)
		require.Equal(t, strings.TrimSpace(charset), f.Charset)
		require.Equal(t, []string{"Fecha", "Cámara fría (°C)"}, f.Columns)
		require.Equal(t, []Reading{{1, at("2026-11-24T10:00:00Z"), 3200}}, f.Readings)
	}
	require.Equal(t, "€ ’ ü", strings.TrimSpace(western1252("\x80 \x92 \xfc")))
}

func western1252(s string) string {
	text, _ := decode([]byte(s))
	return text
}

// TestAsksRatherThanGuesses: what the file does not tell is a question with the choices there are, and nothing is read.
func TestAsksRatherThanGuesses(t *testing.T) {
	f := read(t, "time,temp_c\n04/05/2026 05:00,3.2\n05/05/2026 05:00,3.4\n")
	require.Empty(t, f.Readings)
	require.Len(t, f.Questions, 1)
	q := f.Questions[0]
	require.Equal(t, "order", q.Name)
	require.Equal(t, []Choice{{"dmy", Phrase{"4 May 2026", "4 may 2026"}}, {"mdy", Phrase{"5 Apr 2026", "5 abr 2026"}}}, q.Choices)
	f = read(t, "time,temp_c\n04/05/2026 05:00,3.2\n", func(o *Options) { o.Order = "mdy" })
	require.Equal(t, at("2026-04-05T09:00:00Z"), f.Readings[0].At)
	f = read(t, "time,temp_c\n04/05/2026 05:00,3.2\n13/05/2026 05:00,3.4\n")
	require.Equal(t, "dmy", f.Order, "a row that only one order fits answers it")
	f = read(t, "time,temp_c\n11/12/10 05:00,3.2\n")
	require.Len(t, f.Questions[0].Choices, 3, "two digits of a year may stand first")
	f = read(t, "time,temp\n2026-11-24 05:00,38\n")
	require.Equal(t, "unit", f.Questions[0].Name)
	f = read(t, "time,air °C,core °C\n2026-11-24 05:00,3,4\n")
	require.Equal(t, "temp", f.Questions[0].Name)
	require.Len(t, f.Questions[0].Choices, 3)
	f = read(t, "time,air °C,core °C\n2026-11-24 05:00,3,4\n", func(o *Options) { o.Temp = "core °C" })
	require.Equal(t, int64(4000), f.Readings[0].MilliC)
	f = read(t, "time,air °C,core °C\n2026-11-24 05:00,3,4\n", func(o *Options) { o.Temp = "2" })
	require.Equal(t, int64(3000), f.Readings[0].MilliC)
	f = read(t, "a,b,°C\n2026-11-24 05:00,2026-11-24 06:00,3\n")
	require.Equal(t, "time", f.Questions[0].Name)
	_, err := Read([]byte("time,temp_c\n2026-11-24 05:00,3\n"), Options{Zone: newYork, Temp: "core"})
	require.EqualError(t, err, `No column of this file is called "core". It has: time, temp_c.`)
}

// TestClockChanges: the night of 2026-11-01 the clocks in New York showed 01:00 to 02:00 twice, and on 2026-03-08 they never
// showed 02:00 to 03:00 (15 U.S.C. 260a).
func TestClockChanges(t *testing.T) {
	text := "time,temp_c\n2026-11-01 00:30,1\n2026-11-01 01:30,2\n2026-11-01 01:30,3\n2026-11-01 02:30,4\n2026-03-08 02:30,5\n2026-11-01 01:30-04:00,6\n"
	f := read(t, text)
	require.Len(t, f.Bad, 3)
	require.Equal(t, 2, f.Bad[0].Row)
	require.Equal(t, 3, f.Bad[0].Line)
	require.Contains(t, f.Bad[0].Text.EN, "came twice in America/New_York")
	require.Equal(t, 5, f.Bad[2].Row)
	require.Contains(t, f.Bad[2].Text.EN, "never was")
	require.Equal(t, []Reading{{1, at("2026-11-01T04:30:00Z"), 1000}, {6, at("2026-11-01T05:30:00Z"), 6000}, {4, at("2026-11-01T07:30:00Z"), 4000}}, f.Readings)
	f = read(t, text[:strings.Index(text, "2026-03")], func(o *Options) { o.Twice = "order" })
	require.Empty(t, f.Bad)
	require.Equal(t, []Reading{{1, at("2026-11-01T04:30:00Z"), 1000}, {2, at("2026-11-01T05:30:00Z"), 2000},
		{3, at("2026-11-01T06:30:00Z"), 3000}, {4, at("2026-11-01T07:30:00Z"), 4000}}, f.Readings)
}

// TestBadRowsAreNamedAndTheOthersRead.
func TestBadRowsAreNamedAndTheOthersRead(t *testing.T) {
	rows := []string{"2026-11-24 05:00,3.2", "2026-11-24 05:15,ERR", "2026-11-24 05:30,", ",4", "yesterday,4", "2026-02-30 05:00,4",
		"2026-11-24 05:45,NaN", "2026-11-24 06:00,999", "2026-12-24 06:00,4", "2026-11-24 06:15", "\"2026-11-24 06:30,4", "2026-11-24 06:45,4\x00",
		"2026-11-24 25:00,4", strings.Repeat("9", 20<<10), "2026-11-24 07:00,4", "2026-11-24 07:00,5", "2026-11-24 07:15,1e3", "2026-11-24 07:30,1.234,5"}
	f := read(t, "time,temp_c\n"+strings.Join(rows, "\n"))
	var bad []int
	for _, b := range f.Bad {
		bad = append(bad, b.Row)
		require.NotEmpty(t, b.Text.EN)
		require.NotEmpty(t, b.Text.ES)
		require.NotEqual(t, b.Text.EN, b.Text.ES)
		require.Equal(t, b.Row+1, b.Line)
	}
	require.Equal(t, []int{2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 17}, bad)
	require.Equal(t, 14, f.BadRows)
	require.Equal(t, 18, f.Rows)
	require.Equal(t, 1, f.Again)
	require.Equal(t, []Reading{{1, at("2026-11-24T10:00:00Z"), 3200}, {15, at("2026-11-24T12:00:00Z"), 4000}, {18, at("2026-11-24T12:30:00Z"), 1234}}, f.Readings)
}

func TestWhatIsNoLogIsRefusedInASentence(t *testing.T) {
	for text, says := range map[string]string{
		"":                       "This file is empty",
		" \n\n":                  "This file is empty",
		"just words\nand more\n": "No columns were found",
		"\x00\x01\x02\x03":       "No columns were found",
	} {
		_, err := Read([]byte(text), options())
		require.ErrorContains(t, err, says, "%q", text)
	}
	_, err := Read(make([]byte, BytesMax+1), options())
	require.ErrorContains(t, err, "64 MiB")
	wide := "time" + strings.Repeat(",x", columnsMax+5) + "\n"
	_, err = Read([]byte(wide+wide), options())
	require.ErrorContains(t, err, "at most 200")
}

// TestHundredThousandRows: within seconds, and in little more memory than the file.
func TestHundredThousandRows(t *testing.T) {
	var b strings.Builder
	b.WriteString("Date/Time;Temp °C\r\n")
	day := time.Date(2026, time.August, 1, 0, 0, 0, 0, newYork)
	for i := range 100_000 {
		fmt.Fprintf(&b, "%s;%d,%d\r\n", day.Add(time.Duration(i)*time.Minute).Format("02/01/2006 15:04:05"), 2+i%3, i%10)
	}
	text := []byte(b.String())
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	began := time.Now()
	f, err := Read(text, options())
	took := time.Since(began)
	runtime.GC()
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	require.Empty(t, f.Questions)
	require.Len(t, f.Readings, 100_000)
	require.Less(t, took, 5*time.Second)
	held := int64(after.HeapAlloc) - int64(before.HeapAlloc)
	require.Less(t, held, int64(16<<20))
	t.Log("read in", took, "holding", held>>20, "MiB")
	runtime.KeepAlive(f)
}

// FuzzRead: whatever a file holds, it is read or refused, within its own size, and what is read stands in order.
func FuzzRead(f *testing.F) {
	for _, s := range []string{"time,temp_c\n2026-11-24T10:00:00Z,3.2\n", "a;b\n\"", "\xff\xfe\x00", "Date|Time|°F\n1/2/26|5:00 pm|4\n", "1795514400,3"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		o := options()
		log, err := Read(b, o)
		if err != nil {
			return
		}
		for i := range log.Readings {
			if i > 0 && log.Readings[i].At <= log.Readings[i-1].At || log.Readings[i].At > o.Now.UnixMilli() {
				t.Fatal("out of order")
			}
		}
		if len(log.Questions) == 0 && len(log.Readings)+log.BadRows+log.Again != log.Rows {
			t.Fatal("a row was neither read nor named")
		}
	})
}
