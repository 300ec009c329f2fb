package server_test

import (
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/fail"
	"brinebell/internal/server"
)

// A phone asks which steps make trouble, and gets the parts of a page in the language of whoever asks.
func TestAPhoneAsksWhichStepsMakeTrouble(t *testing.T) {
	s := start(t, server.Config{Data: t.TempDir(), Demo: true})
	phone := joined(t, s, "pass phone")
	l := onLine(t, s, phone)
	push(t, l, made(phone.Device, "maren", &entry.TrainerNote{Crew: "jun", Spot: entry.Spot{List: "opening", Day: 20_000}, Step: "cold", Tone: entry.ToneWrong}))
	for by, title := range map[string]string{"maren": "Look at these", "ines": "Mira estos"} {
		status, head, body := ask(t, "GET", s.LocalURL()+"/api/steps.page?by="+by, &phone, "")
		require.Equal(t, http.StatusOK, status, "%s", body)
		require.Equal(t, "application/json; charset=utf-8", head.Get("Content-Type"))
		var page struct {
			Parts []struct {
				P, Title string
				Rows     []json.RawMessage
			}
		}
		require.NoError(t, json.Unmarshal(body, &page))
		require.Equal(t, title, page.Parts[0].Title, "%s", body)
		require.Contains(t, string(page.Parts[0].Rows[0]), map[string]string{"maren": "1 trainer's note", "ines": "1 nota de quien forma"}[by])
	}
	status, _, _ := ask(t, "GET", s.LocalURL()+"/api/steps.page", nil, "")
	require.Equal(t, http.StatusUnauthorized, status)
}

// The training record of somebody comes to a phone and to the command line as the same paper, with every signature and its entry.
func TestATrainingRecordFromThePhoneAndTheTerminal(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Demo: true})
	phone := joined(t, s, "pass phone")
	l := onLine(t, s, phone)
	sign := made(phone.Device, "maren", &entry.SignOff{Crew: "jun", What: "procedure", Document: "bone-in", Competence: "fryer", Version: 1, By: "maren", Pin: true, Grounds: entry.GroundsEvidence})
	push(t, l, sign)
	status, head, pdf := ask(t, "GET", s.LocalURL()+"/api/training?crew=jun&lang=en&by=maren", &phone, "")
	require.Equal(t, http.StatusOK, status, "%s", pdf)
	require.Equal(t, "application/pdf", head.Get("Content-Type"))
	require.Contains(t, head.Get("Content-Disposition"), "training-jun.pdf")
	text := textOf(t, pdf)
	for _, want := range []string{"Training record", "Jun Abara, trainee", "Signed by Maren Oduya, lead: Pressure fryer", "By PIN on another's device", entry.ID(sign[1:17]).String(),
		"Missing: 0 of 2 guided runs", "Worked this station last season", "Printed by Maren Oduya, lead on pass phone"} {
		require.Contains(t, text, want)
	}
	status, _, body := ask(t, "GET", s.LocalURL()+"/api/training?crew=nobody&by=maren", &phone, "")
	require.Equal(t, http.StatusBadRequest, status)
	require.Contains(t, string(body), "Nobody of the crew is called nobody")
	status, _, _ = ask(t, "GET", s.LocalURL()+"/api/training?crew=jun", nil, "")
	require.Equal(t, http.StatusUnauthorized, status)

	out, chain, err := server.Export(data, "pdf", url.Values{"training": {"jun"}, "lang": {"es"}})
	require.NoError(t, err)
	require.Empty(t, chain.Fault)
	require.Contains(t, textOf(t, out), "Firmado por Maren Oduya, jefe de turno")
	_, _, err = server.Export(data, "csv", url.Values{"training": {"jun"}})
	require.Equal(t, fail.Invalid, fail.KindOf(err))
}

// Who may fetch whose record is what the phone's screens say: one's own, and of all for who teaches or leads. What is refused says who
// can, in the language of whoever asks, and no link is given to it; the link of who may opens the paper.
func TestARecordIsForWhomTheScreenShowsIt(t *testing.T) {
	s := start(t, server.Config{Data: t.TempDir(), Demo: true})
	phone := joined(t, s, "pass phone")
	l := onLine(t, s, phone)
	push(t, l, made(phone.Device, "maren", &entry.Member{Crew: "sol", Name: "Sol Pike", Lang: "en", Role: entry.Trainee, Born: 14_000}))
	push(t, l, made(phone.Device, "maren", &entry.Member{Crew: "rab", Name: "Rab Fenn", Lang: "en", Role: entry.Lead, Gone: true}))
	for _, c := range []struct {
		by, of string
		may    bool
		says   string
	}{
		{"sol", "sol", true, ""}, {"jun", "jun", true, ""}, {"ines", "ines", true, ""},
		{"teo", "sol", true, ""}, {"teo", "maren", true, ""}, // who trains
		{"maren", "sol", true, ""}, {"maren", "teo", true, ""}, {"maren", "rab", true, ""}, // who leads
		{"sol", "jun", false, "The training record of Jun Abara is not for Sol Pike. Jun Abara, a trainer or a lead can fetch it"},
		{"sol", "maren", false, "is not for Sol Pike"}, {"ines", "sol", false, "The training record of Sol Pike is not for"},
		{"rab", "sol", false, "is not for Rab Fenn"}, {"rab", "rab", false, "is not for Rab Fenn"}, // who led once
		{"", "sol", false, "Say first who holds this device: Sol Pike, a trainer or a lead."},
	} {
		q := url.Values{"crew": {c.of}, "by": {c.by}, "lang": {"en"}}
		path := "/api/training?" + q.Encode()
		status, head, body := ask(t, "GET", s.LocalURL()+path, &phone, "")
		linked, _, link := ask(t, "POST", s.LocalURL()+"/api/ticket", &phone, `{"path":"`+path+`"}`)
		if !c.may {
			require.Equal(t, http.StatusForbidden, status, "%s asks for %s", c.by, c.of)
			require.Contains(t, string(body), c.says)
			require.Equal(t, http.StatusForbidden, linked, "no link to it either")
			require.Contains(t, string(link), c.says)
			continue
		}
		require.Equal(t, http.StatusOK, status, "%s asks for %s: %s", c.by, c.of, body)
		require.Equal(t, "application/pdf", head.Get("Content-Type"))
		require.Equal(t, http.StatusOK, linked)
		var at struct{ Path string }
		require.NoError(t, json.Unmarshal(link, &at))
		opened, _, pdf := ask(t, "GET", s.LocalURL()+at.Path, nil, "")
		require.Equal(t, http.StatusOK, opened, "the phone's own link opens: %s", pdf)
	}
	for by, told := range map[string]bool{"sol": true, "maren": true, "teo": false} { // a day of birth is not for who trains
		_, _, pdf := ask(t, "GET", s.LocalURL()+"/api/training?crew=sol&lang=en&by="+by, &phone, "")
		require.Equal(t, told, strings.Contains(textOf(t, pdf), "2008-05-01"), by)
	}

	r, err := http.NewRequest("GET", s.LocalURL()+"/api/training?crew=jun&by=sol", nil)
	require.NoError(t, err)
	r.Header.Set("Authorization", "Device "+phone.Device+" "+hexOf(phone.Key))
	r.Header.Set("Accept-Language", "es")
	answer, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	said, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Contains(t, string(said), "El registro de formación de Jun Abara no es para Sol Pike. Lo pueden sacar Jun Abara, alguien que forma o un jefe de turno")
}

// A device that was taken off gets nobody's record, whoever it says holds it; nor does a link that it was given before.
func TestATakenOffDeviceGetsNoRecord(t *testing.T) {
	s := start(t, server.Config{Data: t.TempDir(), Demo: true})
	keeps, lost := joined(t, s, "pass phone"), joined(t, s, "lost phone")
	l := onLine(t, s, keeps)
	path := "/api/training?crew=jun&by=maren&lang=en"
	status, _, link := ask(t, "POST", s.LocalURL()+"/api/ticket", &lost, `{"path":"`+path+`"}`)
	require.Equal(t, http.StatusOK, status)
	var at struct{ Path string }
	require.NoError(t, json.Unmarshal(link, &at))
	push(t, l, made(keeps.Device, "maren", &entry.Revocation{Device: lost.Device, Reason: "left on the boat"}))
	require.Eventually(t, func() bool {
		status, _, _ := ask(t, "GET", s.LocalURL()+path, &lost, "")
		return status == http.StatusForbidden
	}, soon, 10*time.Millisecond)
	for _, by := range []string{"maren", "jun"} {
		status, _, body := ask(t, "GET", s.LocalURL()+"/api/training?crew=jun&by="+by, &lost, "")
		require.Equal(t, http.StatusForbidden, status)
		require.Contains(t, string(body), "This device does not belong to the kitchen, or does not any more.")
	}
	status, _, _ = ask(t, "POST", s.LocalURL()+"/api/ticket", &lost, `{"path":"`+path+`"}`)
	require.Equal(t, http.StatusForbidden, status)
	status, _, _ = ask(t, "GET", s.LocalURL()+at.Path, nil, "")
	require.Equal(t, http.StatusForbidden, status)
}

// The file of an instant and the page of steps tell nobody more of people than the screens do, and the file holds no PIN.
func TestOtherFilesTellNoMoreOfPeople(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Demo: true})
	phone := joined(t, s, "pass phone")
	l := onLine(t, s, phone)
	push(t, l, made(phone.Device, "maren", &entry.Member{Crew: "jun", Name: "Jun Abara", Lang: "en", Role: entry.Trainee, Born: 14_000}))
	push(t, l, made(phone.Device, "maren", &entry.Pin{Crew: "maren", Salt: []byte("saltsaltsaltsalt"), Rounds: 10_000, Digest: make([]byte, 32)}))
	push(t, l, made(phone.Device, "maren", &entry.TrainerNote{Crew: "jun", Spot: entry.Spot{List: "opening", Day: 20_000}, Step: "cold", Tone: entry.ToneWrong, Text: "leaned over the lid"}))
	push(t, l, made(phone.Device, "jun", &entry.Rung{Procedure: "bone-in", Rung: 1, Passed: true}))
	push(t, l, made(phone.Device, "maren", &entry.SignOff{Crew: "jun", What: "procedure", Document: "bone-in", Competence: "fryer", Version: 1, By: "maren", Grounds: entry.GroundsEvidence}))
	at := "at=" + url.QueryEscape(time.Now().Add(time.Hour).UTC().Format(time.RFC3339))
	for by, want := range map[string]struct{ born, note bool }{"maren": {true, true}, "jun": {true, true}, "teo": {false, true}, "ines": {false, false}, "": {false, false}} {
		status, _, body := ask(t, "GET", s.LocalURL()+"/api/state.json?"+at+"&by="+by, &phone, "")
		require.Equal(t, http.StatusOK, status, "%s", body)
		require.Equal(t, want.born, strings.Contains(string(body), `"born":14000`), "day of birth, by %q", by)
		require.Equal(t, want.note, strings.Contains(string(body), "leaned over the lid"), "note, by %q", by)
		require.NotContains(t, string(body), `"rounds"`)
		status, _, body = ask(t, "GET", s.LocalURL()+"/api/steps.page?lang=en&by="+by, &phone, "")
		require.Equal(t, http.StatusOK, status, "%s", body)
		require.Equal(t, want.note, strings.Contains(string(body), "From beginner to signature"), "time to signatures, by %q", by)
	}
	out, _, err := server.Export(data, "json", url.Values{"at": {time.Now().Add(time.Hour).UTC().Format(time.RFC3339)}})
	require.NoError(t, err)
	require.Contains(t, string(out), "leaned over the lid", "the command line has the whole journal anyway")
	require.NotContains(t, string(out), `"rounds"`)
}
