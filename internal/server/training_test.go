package server_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"testing"

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
	status, _, body := ask(t, "GET", s.LocalURL()+"/api/training?crew=nobody", &phone, "")
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
