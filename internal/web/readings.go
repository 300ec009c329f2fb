package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"brinebell/internal/fail"
	"brinebell/internal/logfile"
)

// Limits of what a sensor posts at a time.
const (
	PostBytesMax    = 256 << 10
	PostReadingsMax = 2000
)

// Sensors is what the routes of readings need of the running kitchen.
type Sensors interface {
	// Post takes readings of the sensor whose token it is.
	Post(ctx context.Context, token string, list []Posted) (Taken, error)
	// Facts says what there is to be read, and which sensors there are.
	Facts(ctx context.Context) (Facts, error)
	// Pair lets a sensor in, in the name of a lead.
	Pair(ctx context.Context, w Wish) (Token, error)
	// Unpair takes a sensor off, in the name of a lead.
	Unpair(ctx context.Context, crew, sensor, reason string) error
	// Import reads a logger's file into the journal, or only looks what would come of it.
	Import(ctx context.Context, a Ask, file []byte) (Imported, error)
}

// Posted is a reading as it was posted.
type Posted struct {
	Place string      `json:"place"`
	Time  string      `json:"time"` // RFC 3339
	Value json.Number `json:"value"`
	Unit  string      `json:"unit"` // UCUM
	Probe string      `json:"probe"`
	Fault string      `json:"-"` // why it cannot even be read
}

// Taken says what became of readings.
type Taken struct {
	Kept    int    `json:"kept"`
	Known   int    `json:"known"` // in the journal before
	Refused []Row  `json:"refused,omitempty"`
	Kind    string `json:"kind,omitempty"` // when none was taken
	Text    string `json:"text,omitempty"`
}

// Row is a reading that was not taken, from 1.
type Row struct {
	Row  int    `json:"row"`
	Text string `json:"text"`
}

// Facts are what the pages of sensors and files show.
type Facts struct {
	Words   map[string]logfile.Phrase `json:"words"`
	Places  []Named                   `json:"places"`
	Sensors []Named                   `json:"sensors"`
}

// Named is a place or a sensor.
type Named struct {
	ID     string         `json:"id"`
	Name   logfile.Phrase `json:"name"`
	Detail string         `json:"detail,omitempty"`
}

// Wish is a lead's wish for a sensor.
type Wish struct {
	Crew    string   `json:"crew"`
	Name    string   `json:"name"`
	Places  []string `json:"places"`
	Minutes int      `json:"minutes"` // how often it means to read
}

// Token is what a sensor gets when it is paired. Nobody can tell it again.
type Token struct {
	Sensor string `json:"sensor"`
	Token  string `json:"token"`
}

// Ask says how a logger's file is to be read.
type Ask struct {
	File, Place, Logger, Crew string
	Options                   logfile.Options
	Dry                       bool
}

// Imported says what came of a file.
type Imported struct {
	Charset   string             `json:"charset"`
	Delimiter string             `json:"delimiter"`
	Columns   []string           `json:"columns"`
	Time      int                `json:"time"`
	Date      int                `json:"date"`
	Temp      int                `json:"temp"`
	Unit      string             `json:"unit"`
	Order     string             `json:"order"`
	Sample    [][]string         `json:"sample"`
	Rows      int                `json:"rows"`
	Again     int                `json:"again"`
	Bad       []logfile.Bad      `json:"bad"`
	BadRows   int                `json:"badRows"`
	Questions []logfile.Question `json:"questions"`
	Kept      int                `json:"kept"`
	Known     int                `json:"known"`
	First     string             `json:"first,omitempty"` // of the readings, kitchen time
	Last      string             `json:"last,omitempty"`
	Low       string             `json:"low,omitempty"`
	High      string             `json:"high,omitempty"`
	Dry       bool               `json:"dry"`
}

func (s *Site) sensorRoutes() map[string]methods {
	if s.cfg.Sensors == nil {
		return nil
	}
	return map[string]methods{
		"/api/readings":       {http.MethodPost: s.postReadings},
		"/api/sensors":        {http.MethodGet: s.facts, http.MethodPost: s.pairSensor},
		"/api/sensors/unpair": {http.MethodPost: s.unpairSensor},
		"/api/import":         {http.MethodPost: s.importFile},
	}
}

func (s *Site) postReadings(w http.ResponseWriter, r *http.Request) error {
	token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !ok {
		drain(r.Body)
		return &answer{http.StatusUnauthorized, "token", "Send the sensor's token, as: Authorization: Bearer TOKEN."}
	}
	if err := wantsJSON(r); err != nil {
		drain(r.Body)
		return err
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, PostBytesMax))
	if _, big := errors.AsType[*http.MaxBytesError](err); big {
		return fail.E("web.postReadings", fail.TooBig, fmt.Sprintf("The readings take more than %d KiB. Send fewer at a time.", PostBytesMax>>10), err)
	}
	if err != nil {
		return fail.E("web.postReadings", fail.Invalid, "The readings did not arrive whole. Send them again.", err)
	}
	list, err := readPosted(body)
	if err != nil {
		return err
	}
	taken, err := s.cfg.Sensors.Post(r.Context(), token, list)
	if err != nil {
		if fail.KindOf(err) == fail.Busy {
			w.Header().Set("Retry-After", "10")
		}
		return err
	}
	status, lang := http.StatusOK, langOf(r)
	if len(taken.Refused) == len(list) {
		status = http.StatusBadRequest
		taken.Kind, taken.Text = fail.Invalid.String(), say(lang, fmt.Sprintf("Reading %d: %s", taken.Refused[0].Row, taken.Refused[0].Text))
	}
	for i := range taken.Refused {
		taken.Refused[i].Text = say(lang, taken.Refused[i].Text)
	}
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, status, taken)
	return nil
}

// wantsJSON refuses a body of another type: that keeps other sites' forms out a second time.
func wantsJSON(r *http.Request) error {
	if t, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); strings.TrimSpace(t) != "application/json" {
		return &answer{http.StatusUnsupportedMediaType, "type", "Send JSON, with Content-Type: application/json."}
	}
	return nil
}

const postedForm = `a reading such as {"place":"cold-room","time":"2026-11-25T05:00:00Z","value":3.2,"unit":"Cel","probe":"air"}, a list of them, or {"readings":[...]}`

// readPosted reads one reading, a list, or an object with a list. A reading that cannot be read is marked as such.
func readPosted(body []byte) ([]Posted, error) {
	invalid := func(err error) error {
		return fail.E("web.readPosted", fail.Invalid, "This is no JSON that this address takes: "+jsonTrouble(err)+" It takes "+postedForm+".", err)
	}
	var raw []json.RawMessage
	text := bytes.TrimSpace(body)
	switch {
	case len(text) > 0 && text[0] == '[':
		if err := json.Unmarshal(text, &raw); err != nil {
			return nil, invalid(err)
		}
	default:
		var several struct {
			Readings []json.RawMessage `json:"readings"`
		}
		if err := json.Unmarshal(text, &several); err != nil {
			return nil, invalid(err)
		}
		if raw = several.Readings; raw == nil {
			raw = []json.RawMessage{text}
		}
	}
	if n := len(raw); n == 0 || n > PostReadingsMax {
		return nil, fail.E("web.readPosted", fail.Invalid, fmt.Sprintf("There are %d readings; 1 to %d are taken at a time.", n, PostReadingsMax), nil)
	}
	list := make([]Posted, len(raw))
	for i := range raw {
		d := json.NewDecoder(bytes.NewReader(raw[i]))
		d.DisallowUnknownFields()
		if err := d.Decode(&list[i]); err != nil {
			list[i].Fault = "this is no reading: " + jsonTrouble(err)
		}
	}
	return list, nil
}

// jsonTrouble says what is wrong with JSON, in one short sentence.
func jsonTrouble(err error) string {
	if t, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		if t.Field == "" {
			return "a " + t.Value + " stands where an object should."
		}
		return fmt.Sprintf("%s is a %s.", t.Field, t.Value)
	}
	return strings.TrimSuffix(strings.TrimPrefix(err.Error(), "json: "), ".") + "."
}

// paired refuses who is no device of the kitchen.
func (s *Site) paired(r *http.Request) error {
	_, err := s.device(r)
	return err
}

func (s *Site) facts(w http.ResponseWriter, r *http.Request) error {
	if err := s.paired(r); err != nil {
		return err
	}
	f, err := s.cfg.Sensors.Facts(r.Context())
	if err != nil {
		return err
	}
	f.Words = sensorWords
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, f)
	return nil
}

func (s *Site) pairSensor(w http.ResponseWriter, r *http.Request) error {
	var wish Wish
	if err := readJSON(w, r, &wish); err != nil {
		return err
	}
	if err := s.paired(r); err != nil {
		return err
	}
	t, err := s.cfg.Sensors.Pair(r.Context(), wish)
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, t)
	return nil
}

func (s *Site) unpairSensor(w http.ResponseWriter, r *http.Request) error {
	var body struct {
		Crew   string `json:"crew"`
		Sensor string `json:"sensor"`
		Reason string `json:"reason"`
	}
	if err := readJSON(w, r, &body); err != nil {
		return err
	}
	if err := s.paired(r); err != nil {
		return err
	}
	if err := s.cfg.Sensors.Unpair(r.Context(), body.Crew, body.Sensor, body.Reason); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]string{"sensor": body.Sensor})
	return nil
}

// importFile takes a logger's file: from a device of the kitchen, or from the command line on this machine.
func (s *Site) importFile(w http.ResponseWriter, r *http.Request) error {
	if !(loopback(r) && s.hasToken(r)) {
		if err := s.paired(r); err != nil {
			drain(r.Body)
			return err
		}
	}
	if t := r.Header.Get("Content-Type"); t != "application/octet-stream" { // no page of another site can send this
		drain(r.Body)
		return &answer{http.StatusUnsupportedMediaType, "type", "Send the file with Content-Type: application/octet-stream."}
	}
	file, err := io.ReadAll(http.MaxBytesReader(w, r.Body, logfile.BytesMax))
	if err != nil {
		return fail.E("web.importFile", fail.TooBig, fmt.Sprintf("The file did not arrive whole, or is larger than %d MiB.", logfile.BytesMax>>20), err)
	}
	q := r.URL.Query()
	dry, _ := strconv.ParseBool(q.Get("dry"))
	done, err := s.cfg.Sensors.Import(r.Context(), Ask{File: q.Get("file"), Place: q.Get("place"), Logger: q.Get("logger"), Crew: q.Get("crew"), Dry: dry,
		Options: logfile.Options{Time: q.Get("time"), Date: q.Get("date"), Temp: q.Get("temp"), Unit: q.Get("unit"), Order: q.Get("order"), Twice: q.Get("twice")}}, file)
	if fault, ok := errors.AsType[*logfile.Fault](err); ok {
		w.Header().Set("Cache-Control", "no-store")
		text := fault.EN
		if langOf(r) == "es" {
			text = fault.ES
		}
		writeJSON(w, http.StatusBadRequest, map[string]any{"kind": fail.Invalid.String(), "text": text, "says": fault.Phrase})
		return nil
	}
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	writeJSON(w, http.StatusOK, done)
	return nil
}
