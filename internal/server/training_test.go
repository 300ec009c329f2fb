package server_test

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
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
		require.Equal(t, "plot", page.Parts[0].P, "%s", body)
		require.Equal(t, title, page.Parts[1].Title)
		require.Contains(t, string(page.Parts[1].Rows[0]), map[string]string{"maren": "1 trainer's note", "ines": "1 nota de quien forma"}[by])
	}
	status, _, _ := ask(t, "GET", s.LocalURL()+"/api/steps.page", nil, "")
	require.Equal(t, http.StatusUnauthorized, status)
}
