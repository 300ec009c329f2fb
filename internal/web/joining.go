package web

import (
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// application is the body of POST /join.
type application struct {
	Code string `json:"code"`
	Name string `json:"name"`
	Wall bool   `json:"wall"`
}

func (s *Site) join(w http.ResponseWriter, r *http.Request) error {
	var a application
	if err := readJSON(w, r, &a); err != nil {
		return err
	}
	free := s.cfg.Kitchen.About().Demo && loopback(r) && a.Code == ""
	ticket, err := s.cfg.Kitchen.Join(r.Context(), pairing.Application{Code: a.Code, Name: a.Name, Wall: a.Wall, From: from(r), Free: free})
	if err != nil {
		s.meter.joinsRefused.Inc()
		if fail.KindOf(err) == fail.Busy {
			w.Header().Set("Retry-After", strconv.Itoa(int(pairing.RetryAfter.Seconds())))
		}
		return err
	}
	s.meter.joins.Inc()
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, map[string]string{"device": ticket.Device.ID, "key": hex.EncodeToString(ticket.Key)})
	return nil
}

// ownMax bounds what the command line sends, in bytes.
const ownMax = 16 << 20

func (s *Site) write(w http.ResponseWriter, r *http.Request) error {
	if !loopback(r) || !s.hasToken(r) {
		return fail.E("web.write", fail.Refused, "This address is for the command line on the server's own machine.", nil)
	}
	text, err := io.ReadAll(http.MaxBytesReader(w, r.Body, ownMax))
	if err != nil {
		return fail.E("web.write", fail.TooBig, fmt.Sprintf("At most %d MiB are taken at a time.", ownMax>>20), err)
	}
	if err := s.cfg.Kitchen.Write(r.Context(), text); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]string{"status": "kept"})
	return nil
}

// code makes a joining code for the command line on this machine, which knows the token.
func (s *Site) code(w http.ResponseWriter, r *http.Request) error {
	if !loopback(r) || !s.hasToken(r) {
		return fail.E("web.code", fail.Refused, "Codes are given by a lead's phone, or by: brinebell code", nil)
	}
	code, err := s.cfg.Kitchen.Code()
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, map[string]any{"code": code.Text, "until": code.Until})
	return nil
}

func (s *Site) pace(w http.ResponseWriter, r *http.Request) error {
	var body struct {
		Pace int `json:"pace"`
	}
	if err := readJSON(w, r, &body); err != nil {
		return err
	}
	if !loopback(r) {
		if _, err := s.device(r); err != nil {
			return err
		}
	}
	if err := s.cfg.Kitchen.Pace(r.Context(), body.Pace); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, body)
	return nil
}

// device returns the paired device that makes the request.
func (s *Site) device(r *http.Request) (string, error) {
	id, standing, err := s.standing(r)
	if err == nil && standing != pairing.Paired {
		err = notOurs("web.device")
	}
	return id, err
}

// stillOurs fails unless the device of this key belongs to the kitchen now.
func (s *Site) stillOurs(id, key string) error {
	secret, err := hex.DecodeString(key)
	if err != nil {
		return notOurs("web.stillOurs")
	}
	standing, err := s.cfg.Kitchen.Standing(id, secret)
	if err == nil && standing != pairing.Paired {
		err = notOurs("web.stillOurs")
	}
	return err
}

func notOurs(op string) error {
	return fail.E(op, fail.Refused, "This device does not belong to the kitchen, or does not any more. Ask the lead for a code.", nil)
}

// standing returns the device that makes the request and how it stands to the kitchen. It shows its key as
// "Authorization: Device ID KEY".
func (s *Site) standing(r *http.Request) (string, pairing.Standing, error) {
	id, key, ok := "", "", false
	if rest, found := strings.CutPrefix(r.Header.Get("Authorization"), "Device "); found {
		id, key, ok = strings.Cut(rest, " ")
	}
	secret, err := hex.DecodeString(key)
	if !ok || err != nil {
		return "", pairing.Stranger, &answer{http.StatusUnauthorized, "key", "Only devices of this kitchen may do this. Join it first."}
	}
	standing, err := s.cfg.Kitchen.Standing(id, secret)
	return id, standing, err
}
