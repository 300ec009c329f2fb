package server_test

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/server"
)

// sensed is a kitchen with the demo's equipment, a lead and a joined phone.
type sensed struct {
	t    *testing.T
	s    *server.Server
	data string
	auth string // of the phone
	lead string
}

func newSensed(t *testing.T) *sensed {
	t.Helper()
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Kitchen: "Pier", Zone: "America/New_York"})
	samples, err := server.Samples()
	require.NoError(t, err)
	_, err = server.Publish(data, samples, []string{"equipment.json"})
	require.NoError(t, err)
	_, err = server.ListLead(data, "Ada", "en")
	require.NoError(t, err)
	ticket := joined(t, s, "phone")
	return &sensed{t, s, data, "Device " + ticket.Device + " " + hex.EncodeToString(ticket.Key), "ada"}
}

// ask sends a request as a sensor would: no Origin, no cookies, nothing but its token.
func (k *sensed) ask(method, path, auth, kind, body string, answer any) int {
	k.t.Helper()
	r, err := http.NewRequest(method, k.s.LocalURL()+path, strings.NewReader(body))
	require.NoError(k.t, err)
	if auth != "" {
		r.Header.Set("Authorization", auth)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	a, err := http.DefaultClient.Do(r)
	require.NoError(k.t, err)
	defer func() { _ = a.Body.Close() }()
	text, err := io.ReadAll(a.Body)
	require.NoError(k.t, err)
	if answer != nil {
		require.NoError(k.t, json.Unmarshal(text, answer), string(text))
	}
	return a.StatusCode
}

// taken is an answer to readings.
type taken struct {
	Kept, Known int
	Refused     []struct {
		Row  int
		Text string
	}
	Kind, Text string
}

func (k *sensed) post(token, body string) (int, taken) {
	k.t.Helper()
	var a taken
	return k.ask("POST", "/api/readings", "Bearer "+token, "application/json", body, &a), a
}

func (k *sensed) pair(places ...string) (sensor, token string) {
	k.t.Helper()
	var a struct{ Sensor, Token string }
	wish, err := json.Marshal(map[string]any{"crew": k.lead, "name": "Cold room, back", "places": places, "minutes": 5})
	require.NoError(k.t, err)
	require.Equal(k.t, http.StatusOK, k.ask("POST", "/api/sensors", k.auth, "application/json", string(wish), &a))
	return a.Sensor, a.Token
}

func ago(d time.Duration) string { return time.Now().Add(-d).UTC().Format(time.RFC3339) }

func reading(place, at, value string) string {
	return fmt.Sprintf(`{"place":%q,"time":%q,"value":%s,"unit":"Cel","probe":"air"}`, place, at, value)
}

// TestASensorPostsWhatIsKeptBeforeTheAnswer: one, several, the same again, and what is kept stands in the journal in the
// sensor's name.
func TestASensorPostsWhatIsKeptBeforeTheAnswer(t *testing.T) {
	k := newSensed(t)
	sensor, token := k.pair("cold-room")
	at := ago(10 * time.Minute)
	status, a := k.post(token, reading("cold-room", at, "3.25"))
	require.Equal(t, 200, status, a)
	require.Equal(t, taken{Kept: 1}, a)
	list := bodies[*entry.Sensing](t, k.data)
	require.Len(t, list, 1)
	require.Equal(t, "cold-room", list[0].Place)
	require.Equal(t, sensor, list[0].Source)
	require.Equal(t, []entry.Sensed{{MilliC: 3250}}, list[0].List)
	all := entries(t, k.data)
	require.Equal(t, sensor, all[len(all)-1].At.Device)

	status, a = k.post(token, reading("cold-room", at, "3.25"))
	require.Equal(t, 200, status)
	require.Equal(t, taken{Known: 1}, a)
	require.Len(t, bodies[*entry.Sensing](t, k.data), 1, "nothing is written twice")

	status, a = k.post(token, `{"readings":[`+reading("cold-room", at, "3.25")+","+reading("cold-room", ago(5*time.Minute), "3.5")+","+
		`{"place":"cold-room","time":"`+ago(4*time.Minute)+`","value":38.3,"unit":"[degF]","probe":"air"}]}`)
	require.Equal(t, 200, status)
	require.Equal(t, taken{Kept: 2, Known: 1}, a)
	list = bodies[*entry.Sensing](t, k.data)
	require.Len(t, list, 2, "many readings are one entry")
	require.Equal(t, []entry.Sensed{{MilliC: 3500}, {After: 60_000, MilliC: 3500}}, list[1].List)

	stop(t, k.s)
	k.s = start(t, server.Config{Data: k.data})
	status, a = k.post(token, "["+reading("cold-room", at, "3.25")+"]")
	require.Equal(t, 200, status)
	require.Equal(t, taken{Known: 1}, a, "it is known after a restart too")
}

// TestReadingsThatAreNotTakenAreNamedByRow: the good ones among them are kept.
func TestReadingsThatAreNotTakenAreNamedByRow(t *testing.T) {
	k := newSensed(t)
	_, token := k.pair("cold-room")
	at := ago(time.Hour)
	bad := map[string]string{
		reading("fryer-1", at, "3"):                                       "not paired for the place",
		reading("cold-room", "yesterday", "3"):                            "RFC 3339",
		reading("cold-room", ago(-time.Hour), "3"):                        "ahead of the kitchen's",
		reading("cold-room", ago(500*24*time.Hour), "3"):                  "days ago",
		reading("cold-room", at, "1e3"):                                   "write it plainly",
		reading("cold-room", at, "900"):                                   "beyond what a kitchen's thermometer reads",
		reading("cold-room", at, `"warm"`):                                "no reading",
		reading("cold-room", at, "null"):                                  "the value is missing",
		`{"place":"cold-room","time":"` + at + `","value":3}`:             "UCUM",
		`{"place":"cold-room","time":"` + at + `","value":3,"unit":"kg"}`: "UCUM",
		`{"place":7}`:                      "place is a number",
		`{"colour":"red"}`:                 "colour",
		`[1]`:                              "no reading",
		reading("cold-room", at, "3") + "": "",
	}
	rows, says := []string{}, []string{}
	for row, why := range bad {
		rows, says = append(rows, row), append(says, why)
	}
	status, a := k.post(token, "["+strings.Join(rows, ",")+"]")
	require.Equal(t, 200, status)
	require.Equal(t, 1, a.Kept)
	require.Len(t, a.Refused, len(bad)-1)
	for _, r := range a.Refused {
		require.NotEmpty(t, says[r.Row-1])
		require.Contains(t, r.Text, says[r.Row-1])
	}
	status, a = k.post(token, reading("cold-room", at, "4"))
	require.Equal(t, 400, status)
	require.Contains(t, a.Text, "Reading 1: another reading of this time is kept already")
	for body, why := range map[string]string{"": "no JSON", "[": "no JSON", "{}x": "no JSON", "[]": "0 readings", "{\"readings\":[]}": "0 readings",
		"[" + strings.Repeat("1,", 2000) + "1]": "2001 readings"} {
		status, a = k.post(token, body)
		require.Equal(t, 400, status, body)
		require.Contains(t, a.Text, why)
	}
	status, a = k.post(token, strings.Repeat(" ", 257<<10))
	require.Equal(t, http.StatusRequestEntityTooLarge, status)
	require.Contains(t, a.Text, "256 KiB")
}

// TestOnlyAPairedSensorPosts, only what it was paired for, not too often, and not after it was taken off.
func TestOnlyAPairedSensorPosts(t *testing.T) {
	k := newSensed(t)
	sensor, token := k.pair("cold-room")
	require.NotContains(t, fileText(t, k.data), token[len(sensor)+1:], "only the hash of its key is kept")
	good := reading("cold-room", ago(time.Minute), "3")
	for _, wrong := range []string{"x", sensor + ".", sensor + ".00", token[:len(token)-1], token + "0", "nobody." + token[len(sensor)+1:], k.auth} {
		status, a := k.post(wrong, good)
		require.Equal(t, http.StatusForbidden, status, wrong)
		require.Contains(t, a.Text, "No sensor of this kitchen")
	}
	require.Equal(t, http.StatusUnauthorized, k.ask("POST", "/api/readings", "", "application/json", good, nil))
	require.Equal(t, http.StatusUnsupportedMediaType, k.ask("POST", "/api/readings", "Bearer "+token, "text/plain", good, nil))
	require.Equal(t, http.StatusMethodNotAllowed, k.ask("GET", "/api/readings", "Bearer "+token, "", "", nil))
	require.Equal(t, http.StatusUnauthorized, k.ask("GET", "/api/sensors", "Bearer "+token, "", "", nil), "a sensor reads nothing")
	require.Equal(t, http.StatusUnauthorized, k.ask("POST", "/api/import?place=cold-room", "Bearer "+token, "application/octet-stream", "a", nil))
	for _, origin := range []string{"http://evil.example", "null"} {
		r, err := http.NewRequest("POST", k.s.LocalURL()+"/api/readings", strings.NewReader(good))
		require.NoError(t, err)
		r.Header.Set("Authorization", "Bearer "+token)
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Origin", origin)
		a, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		require.NoError(t, a.Body.Close())
		require.Equal(t, http.StatusForbidden, a.StatusCode)
	}
	r, err := http.NewRequest("POST", k.s.LocalURL()+"/api/readings", strings.NewReader(good))
	require.NoError(t, err)
	r.Host = "kitchen.evil.example"
	r.Header.Set("Authorization", "Bearer "+token)
	a, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	require.NoError(t, a.Body.Close())
	require.Equal(t, http.StatusMisdirectedRequest, a.StatusCode)

	limited := 0
	for range 60 {
		if status, a := k.post(token, good); status == http.StatusTooManyRequests {
			limited++
			require.Contains(t, a.Text, "too often")
		}
	}
	require.Greater(t, limited, 20)

	_, other := k.pair("cold-room")
	off := fmt.Sprintf(`{"crew":%q,"sensor":%q,"reason":"broken"}`, k.lead, sensor)
	require.Equal(t, http.StatusForbidden, k.ask("POST", "/api/sensors/unpair", k.auth, "application/json", strings.Replace(off, k.lead, "nobody", 1), nil))
	require.Equal(t, http.StatusOK, k.ask("POST", "/api/sensors/unpair", k.auth, "application/json", off, nil))
	status, said := k.post(token, good)
	require.Equal(t, http.StatusForbidden, status)
	require.Contains(t, said.Text, "was taken off")
	status, _ = k.post(other, good)
	require.Equal(t, http.StatusOK, status)
	for _, wish := range []string{`{"crew":"nobody","name":"x","places":["cold-room"],"minutes":5}`, `{"crew":"ada","name":"","places":["cold-room"],"minutes":5}`,
		`{"crew":"ada","name":"x","places":["cold-room"],"minutes":0}`, `{"crew":"ada","name":"x","places":[],"minutes":5}`,
		`{"crew":"ada","name":"x","places":["moon"],"minutes":5}`} {
		require.GreaterOrEqual(t, k.ask("POST", "/api/sensors", k.auth, "application/json", wish, nil), 400, wish)
	}
}

// fileText is all that lies in the folder's files.
func fileText(t *testing.T, data string) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, filepath.WalkDir(data, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		b.Write(text)
		return err
	}))
	return b.String()
}

// TestAnExcursionThatASensorPostsReachesTheState: what the state says is what every phone says.
func TestAnExcursionThatASensorPostsReachesTheState(t *testing.T) {
	k := newSensed(t)
	_, token := k.pair("cold-room")
	var rows []string
	for i, c := range []string{"3", "9", "9", "3"} {
		rows = append(rows, reading("cold-room", ago(time.Duration(40-10*i)*time.Minute), c))
	}
	status, a := k.post(token, "["+strings.Join(rows, ",")+"]")
	require.Equal(t, 200, status)
	require.Equal(t, 4, a.Kept)
	stop(t, k.s)
	s := folded(t, k.data)
	require.Len(t, s.Excursions, 1)
	require.Equal(t, int64(9000), s.Excursions[0].Peak)
	require.Len(t, s.Sensors, 1)
	require.Equal(t, kitchen.DevExcursion, s.Deviation(s.Excursions[0].Key).Code)
}

// TestAHundredThousandRowsAreImportedInSeconds, the same file again changes nothing, and memory stays bounded.
func TestAHundredThousandRowsAreImportedInSeconds(t *testing.T) {
	k := newSensed(t)
	var b bytes.Buffer
	b.WriteString("Date/Time;Temp °C\r\n")
	first := time.Now().Add(-101_000 * time.Minute)
	for i := range 100_000 {
		fmt.Fprintf(&b, "%s;%d,%d\r\n", first.Add(time.Duration(i)*time.Minute).UTC().Format("2006-01-02T15:04:05Z"), 2+i%2, i%10)
	}
	b.WriteString("nonsense;1,0\r\n")
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	ask := func(query string) (a server.Imported, took time.Duration) {
		began := time.Now()
		require.Equal(t, 200, k.ask("POST", "/api/import?place=cold-room&file=week.csv&crew=ada"+query, k.auth, "application/octet-stream", b.String(), &a))
		return a, time.Since(began)
	}
	a, _ := ask("&dry=true")
	require.Equal(t, 100_000, a.Kept)
	require.Empty(t, bodies[*entry.Sensing](t, k.data))
	a, took := ask("")
	runtime.GC()
	runtime.ReadMemStats(&after)
	t.Log("100,000 rows kept in", took, "holding", (int64(after.HeapAlloc)-int64(before.HeapAlloc))>>20, "MiB more")
	require.Equal(t, 100_000, a.Kept)
	require.Equal(t, 1, a.BadRows)
	require.Equal(t, 100_001, a.Bad[0].Row)
	require.Less(t, took, 15*time.Second)
	require.Less(t, int64(after.HeapAlloc)-int64(before.HeapAlloc), int64(64<<20))
	n := len(entries(t, k.data))
	a, _ = ask("")
	require.Equal(t, 0, a.Kept)
	require.Equal(t, 100_000, a.Known)
	require.Len(t, entries(t, k.data), n, "the same file twice changes nothing")
	read := bodies[*entry.FileRead](t, k.data)
	require.Len(t, read, 1)
	require.Equal(t, "week.csv", read[0].File)
	require.Equal(t, int64(100_000), read[0].Kept)
}

// TestAFileThatLeavesQuestionsIsNotKept, nor one for a place that there is not.
func TestAFileThatLeavesQuestionsIsNotKept(t *testing.T) {
	k := newSensed(t)
	file := "time;temp\n04/05/2026 05:00;38\n"
	var a server.Imported
	ask := func(query, file string) int {
		a = server.Imported{}
		return k.ask("POST", "/api/import?"+query, k.auth, "application/octet-stream", file, &a)
	}
	require.Equal(t, 200, ask("place=cold-room", file))
	require.Len(t, a.Questions, 2)
	require.Empty(t, bodies[*entry.Sensing](t, k.data))
	require.Equal(t, 200, ask("place=cold-room&order=dmy&unit=[degF]", file))
	require.Equal(t, 1, a.Kept)
	require.Equal(t, "2026-05-04 05:00 EDT", a.First)
	require.Equal(t, 200, ask("place=cold-room&order=dmy&unit=[degF]", strings.Replace(file, ";38", ";39", 1)))
	require.Equal(t, 0, a.Kept)
	require.Contains(t, a.Bad[0].Text.EN, "is kept already, 3.3")
	require.Equal(t, 400, ask("place=moon", file))
	require.Equal(t, 400, ask("place=cold-room&unit=kg", file))
	require.Equal(t, 400, ask("place=cold-room&order=x", file))
	require.Equal(t, 400, ask("place=cold-room&temp=core", file))
	require.Equal(t, 400, ask("place=cold-room", ""))
	require.Equal(t, 403, ask("place=cold-room&crew=stranger", file))
	require.Equal(t, http.StatusUnsupportedMediaType, k.ask("POST", "/api/import?place=cold-room", k.auth, "text/plain", file, nil))
}

// folded is the state of a folder's journal.
func folded(t *testing.T, data string) *kitchen.State {
	t.Helper()
	s := kitchen.New()
	for _, e := range entries(t, data) {
		s.Apply(&e, kitchen.Amended{})
	}
	return s
}
