package server_test

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/fail"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
)

// ask makes a request, with a device's key if there is one.
func ask(t *testing.T, method, address string, ticket *hubtest.Ticket, body string) (int, http.Header, []byte) {
	t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	require.NoError(t, err)
	if ticket != nil {
		r.Header.Set("Authorization", "Device "+ticket.Device+" "+hexOf(ticket.Key))
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	answer, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	b, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	return answer.StatusCode, answer.Header, b
}

// textOf is what another program reads out of a PDF.
func textOf(t *testing.T, pdf []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "r.pdf")
	require.NoError(t, os.WriteFile(path, pdf, 0o600))
	out, err := exec.Command("pdftotext", "-raw", path, "-").Output()
	require.NoError(t, err, "pdftotext (poppler-utils) reads what was printed")
	return strings.Join(strings.Fields(string(out)), " ")
}

func TestAPhoneFetchesItsKitchensRecords(t *testing.T) {
	s := start(t, server.Config{Data: t.TempDir(), Demo: true})
	phone := joined(t, s, "pass phone")
	l := onLine(t, s, phone)
	reading := made(phone.Device, "maren", &entry.Reading{Place: "cold-room", MilliC: 7_400, Note: "puerta abierta, Inés avisó"})
	push(t, l, reading)
	fixed := &entry.Reading{Place: "cold-room", MilliC: 4_700, Note: "puerta abierta, Inés avisó"}
	push(t, l, made(phone.Device, "maren", &entry.Correction{Entry: entry.ID(reading[1:17]), To: fixed.Kind(), Ver: 1, Body: wire.Append(nil, fixed), Reason: "digits swapped"}))

	status, _, body := ask(t, "POST", s.LocalURL()+"/api/ticket", &phone, `{"path":"/api/report?lang=es&by=maren&show=all"}`)
	require.Equal(t, http.StatusOK, status, "%s", body)
	var link struct{ Path string }
	require.NoError(t, json.Unmarshal(body, &link))
	status, head, pdf := ask(t, "GET", s.LocalURL()+link.Path, nil, "")
	require.Equal(t, http.StatusOK, status, "%s", pdf)
	require.Equal(t, "application/pdf", head.Get("Content-Type"))
	require.Contains(t, head.Get("Content-Disposition"), "records-")
	text := textOf(t, pdf)
	for _, want := range []string{"Halfmoon Ferry Canteen", "Impreso por Maren Oduya, jefe de turno en pass phone", "4,7 °C", "era 7,4 °C. Motivo: digits swapped", "puerta abierta, Inés avisó",
		"Temperaturas de cocción", "cada una de las"} {
		require.Contains(t, text, want)
	}
	status, _, _ = ask(t, "GET", s.LocalURL()+link.Path, nil, "")
	require.Equal(t, http.StatusForbidden, status, "the link opens once")
	status, _, body = ask(t, "GET", s.LocalURL()+"/api/records.csv", &phone, "")
	require.Equal(t, http.StatusOK, status)
	rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 150)
	for _, q := range []string{"from=yesterday", "from=2026-11-24&to=2026-11-23", "from=2026-01-01&to=2026-12-31", "by=nobody", "show=gossip"} {
		status, _, body := ask(t, "GET", s.LocalURL()+"/api/report?"+q, &phone, "")
		require.Equal(t, http.StatusBadRequest, status, q)
		require.NotContains(t, string(body), "went wrong", q)
	}
	status, _, _ = ask(t, "GET", s.LocalURL()+"/api/records.json", nil, "")
	require.Equal(t, http.StatusUnauthorized, status)
}

func TestALinkOfADeviceThatWasTakenOffOpensNothing(t *testing.T) {
	s := start(t, server.Config{Data: t.TempDir()})
	lead, lost := onLine(t, s, joined(t, s, "lead")), joined(t, s, "lost")
	_, _, body := ask(t, "POST", s.LocalURL()+"/api/ticket", &lost, `{"path":"/api/report"}`)
	var link struct{ Path string }
	require.NoError(t, json.Unmarshal(body, &link))
	push(t, lead, made(lead.Ticket.Device, "ada", &entry.Revocation{Device: lost.Device, Reason: "left on the boat"}))
	require.Eventually(t, func() bool {
		status, _, _ := ask(t, "GET", s.LocalURL()+"/api/records.csv", &lost, "")
		return status == http.StatusForbidden
	}, soon, 10*time.Millisecond)
	status, _, _ := ask(t, "GET", s.LocalURL()+link.Path, nil, "")
	require.Equal(t, http.StatusForbidden, status)
}

// demoFolder is the folder of a demo kitchen that was served once.
func demoFolder(t *testing.T) string {
	t.Helper()
	data := t.TempDir()
	stop(t, start(t, server.Config{Data: data, Demo: true}))
	return data
}

func change(t *testing.T, data, statement string, args ...any) {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(data, "kitchen.db"))
	require.NoError(t, err)
	defer func() { _ = db.Close() }()
	done, err := db.Exec(statement, args...)
	require.NoError(t, err)
	n, err := done.RowsAffected()
	require.NoError(t, err)
	require.NotZero(t, n)
}

// Whoever has the disk can change the file; the print says so, large.
func TestATamperedJournalPrintsThatItIs(t *testing.T) {
	data := demoFolder(t)
	_, chain, err := server.Export(data, "pdf", url.Values{})
	require.NoError(t, err)
	require.Empty(t, chain.Fault)
	var victim entry.Entry
	for _, e := range entries(t, data) {
		if b, err := e.Open(); err == nil {
			if step, ok := b.(*entry.Step); ok && step.Unit == "mC" {
				step.Value += 3_000
				victim = e
				victim.Raw = wire.Append(nil, step)
			}
		}
	}
	change(t, data, "UPDATE entries SET record = ? WHERE id = ?", entry.AppendRecord(nil, &victim), victim.ID[:])
	pdf, chain, err := server.Export(data, "pdf", url.Values{})
	require.NoError(t, err)
	require.Contains(t, chain.Fault, "its bytes do not agree with its hash")
	text := textOf(t, pdf)
	require.Contains(t, text, "THE RECORD WAS CHANGED AFTER IT WAS KEPT")
	require.Contains(t, text, "First fault: "+chain.Fault)
	require.Contains(t, text, "): see page 1")
	out, _, err := server.Export(data, "json", url.Values{})
	require.NoError(t, err)
	var book struct{ Chain struct{ Fault string } }
	require.NoError(t, json.Unmarshal(out, &book))
	require.Equal(t, chain.Fault, book.Chain.Fault)
}

func TestAnEntryInTheWrongPlaceIsAFault(t *testing.T) {
	data := demoFolder(t)
	change(t, data, "UPDATE entries SET at = at - 86400000 WHERE seq = 200")
	_, chain, err := server.Export(data, "csv", url.Values{})
	require.NoError(t, err)
	require.Equal(t, "entry 200: the columns beside its bytes do not say what its bytes say", chain.Fault)
}

func TestAJournalThatWasCutOffIsNotPrinted(t *testing.T) {
	data := demoFolder(t)
	change(t, data, "DELETE FROM entries WHERE seq > 300")
	_, _, err := server.Export(data, "pdf", url.Values{})
	require.Error(t, err)
	require.Contains(t, fail.Sentence(err), "entries were cut off at its end")
}

// The kitchen at an instant is what folding exactly the entries up to it gives.
func TestTheKitchenAtAnInstant(t *testing.T) {
	data := demoFolder(t)
	all := entries(t, data)
	var log journal.Log
	for i, e := range all {
		if _, err := log.Add(journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &e)}); err != nil {
			t.Fatal(err)
		}
	}
	tail := log.Tail()
	for i := 0; i < len(tail); i += 23 {
		at := tail[i].Entry.At.At
		want := kitchen.New()
		for _, item := range tail {
			if item.Entry.At.At <= at {
				want.Apply(&item.Entry, kitchen.Amended{})
			}
		}
		got, _, err := server.Export(data, "json", url.Values{"at": {time.UnixMilli(int64(at)).UTC().Format("2006-01-02T15:04:05.000Z07:00")}})
		require.NoError(t, err)
		require.Equal(t, string(wire.AppendJSON(nil, want))+"\n", string(got), "at entry %d", i)
	}
	got, _, err := server.Export(data, "json", url.Values{"at": {"1999-01-01T00:00:00Z"}})
	require.NoError(t, err)
	require.Equal(t, string(wire.AppendJSON(nil, kitchen.New()))+"\n", string(got))
	for _, bad := range []string{"", "last Tuesday", "2026-11-24 11:05"} {
		_, _, err := server.Export(data, "json", url.Values{"at": {bad}})
		require.Equal(t, fail.Invalid, fail.KindOf(err), bad)
	}
	_, _, err = server.Export(data, "page", url.Values{"at": {"2026-11-24T11:05:00Z"}})
	require.Equal(t, fail.Invalid, fail.KindOf(err), "no file ends so")
}

// On paper and in a table stands what the phone's page shows, at the instant that the kitchen's own clocks showed.
func TestAnInstantOnPaperAndInATable(t *testing.T) {
	data := demoFolder(t)
	all := entries(t, data)
	state := kitchen.New()
	var started *entry.Entry
	for i := range all {
		state.Apply(&all[i], kitchen.Amended{})
		if started == nil && all[i].Kind == entry.BatchStarted {
			started = &all[i]
		}
	}
	require.NotNil(t, started)
	day, clock := state.Wall(started.At.At.Add(2 * stamp.Minute))
	q := url.Values{"at": {""}, "day": {time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly)},
		"time": {time.Unix(0, 0).UTC().Add(time.Duration(clock) * time.Millisecond).Format("15:04")}}
	body, err := started.Open()
	require.NoError(t, err)
	lot := body.(*entry.Start)
	for lang, want := range map[string][]string{"en": {"The kitchen at an instant", "Equipment", "Deviations", "Devices", "Cold room", "in this stage"},
		"es": {"La cocina en un momento", "Equipo", "Desviaciones", "Dispositivos", "Cámara fría", "en esta etapa"}} {
		q.Set("lang", lang)
		pdf, _, err := server.Export(data, "pdf", q)
		require.NoError(t, err)
		text := textOf(t, pdf)
		for _, s := range append(want, q.Get("day")+" "+q.Get("time")+":00") {
			require.Contains(t, text, s)
		}
		again, _, err := server.Export(data, "csv", q)
		require.NoError(t, err)
		rows := strings.Split(string(again), "\r\n")
		require.Equal(t, "at,section,what,how", rows[0])
		vessel := map[string]string{"en": "Tub ", "es": "Cubeta "}[lang] + strconv.Itoa(int(lot.Number))
		require.Contains(t, string(again), vessel, "the batch that had just begun")
	}
	for _, bad := range []url.Values{{"at": {""}, "day": {"2026-02-30"}, "time": {"11:05"}}, {"at": {""}, "day": {"2126-02-20"}, "time": {"11:05"}}} {
		_, _, err := server.Export(data, "pdf", bad)
		require.Equal(t, fail.Invalid, fail.KindOf(err))
	}
}

// A print of days of which the journal's checkpoints tell begins from one: it says the same as one from the beginning.
func TestAPrintFromACheckpointSaysTheSame(t *testing.T) {
	data := demoFolder(t)
	all := entries(t, data)
	from := time.UnixMilli(int64(all[len(all)-1].At.At)).Add(-14 * time.Hour).UTC().Format(time.DateOnly)
	print := func() string {
		out, _, err := server.Export(data, "csv", url.Values{"from": {from}, "to": {time.Now().AddDate(0, 0, 1).Format(time.DateOnly)}})
		require.NoError(t, err)
		return string(out)
	}
	whole := print()
	require.Greater(t, strings.Count(whole, "\r\n"), 150)
	// The state after the kitchen was furnished, as a server would have kept it.
	var log journal.Log
	first := stamp.Stamp{}
	for i, e := range all[:20] {
		_, err := log.Add(journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &e)})
		require.NoError(t, err)
		first = e.At
	}
	keepBase(t, data, journal.Place{At: first, ID: all[19].ID}, log.Bytes())
	require.Equal(t, whole, print())
}

func keepBase(t *testing.T, data string, last journal.Place, state []byte) {
	t.Helper()
	base := journal.AppendBase(nil, last, state)
	sum := sha256.Sum256(base)
	change(t, data, "INSERT INTO checkpoints (at, count, device, id, state, sum) VALUES (?, ?, ?, ?, ?, ?)",
		int64(last.At.At), int64(last.At.Count), last.At.Device, last.ID[:], base, sum[:])
}
