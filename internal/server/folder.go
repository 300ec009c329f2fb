package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/VictoriaMetrics/metrics"

	"brinebell"
	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/demo"
	"brinebell/internal/document"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
)

// FrontEnd is the built front end that the program carries.
func FrontEnd() fs.FS {
	files, err := fs.Sub(brinebell.Frontend, "frontend/dist")
	if err != nil {
		panic(err) // the folder is embedded
	}
	return files
}

// JoiningCode makes a joining code for the kitchen of a folder: by the server that serves it, or of a stopped kitchen
// by opening the folder.
func JoiningCode(data string) (text string, until time.Time, err error) {
	code, err := askRunning(data)
	if fail.KindOf(err) == fail.Missing {
		code, err = makeCode(data)
	}
	return code.Text, time.UnixMilli(code.Until), err
}

// askRunning asks the server that serves the folder. The failure is Missing if none does.
func askRunning(data string) (pairing.Code, error) {
	var answer struct {
		Code  string `json:"code"`
		Until int64  `json:"until"`
	}
	err := callRunning(data, "/code", nil, &answer)
	return pairing.Code{Text: answer.Code, Until: answer.Until}, err
}

// callRunning posts to the server that serves the folder and reads its answer. The failure is Missing if none does.
func callRunning(data, path string, body, answer any) error {
	const op = "server.callRunning"
	r, err := findRunning(data)
	if err != nil {
		return err
	}
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, r.URL+path, bytes.NewReader(text))
	if err != nil {
		return err
	}
	request.Header.Set("Authorization", "Bearer "+r.Token)
	request.Header.Set("Content-Type", "application/json")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		// It left word but is not there: it was killed.
		return fail.E(op, fail.Missing, "No server answers for "+data+".", err)
	}
	defer func() { _ = response.Body.Close() }() // only read
	if response.StatusCode == http.StatusForbidden || response.StatusCode == http.StatusNotFound {
		return fail.E(op, fail.Missing, "What answers at "+r.URL+" is not the server of "+data+".", nil)
	}
	if response.StatusCode != http.StatusOK {
		var trouble struct{ Text string }
		_ = json.NewDecoder(response.Body).Decode(&trouble) // without a text the status says it
		return fail.E(op, fail.Other, "The running server refused: "+response.Status+". "+trouble.Text, nil)
	}
	return json.NewDecoder(response.Body).Decode(answer)
}

func makeCode(data string) (pairing.Code, error) {
	mark, err := sqlite.ReadMark(data)
	if err != nil {
		return pairing.Code{}, err
	}
	s, err := sqlite.Open(data, sqlite.Options{Demo: mark.Demo})
	if err != nil {
		return pairing.Code{}, err
	}
	code, err := pairing.NewDesk(s, nil).NewCode(time.Now().UnixMilli())
	return code, errors.Join(err, s.Close())
}

// own is what the command line writes into a kitchen.
type own struct {
	Members   []entry.Member   `json:"members,omitempty"`
	Documents []entry.Document `json:"documents,omitempty"`
	Sales     []entry.Sales    `json:"sales,omitempty"`
}

func (o *own) bodies() []entry.Body {
	var list []entry.Body
	for i := range o.Members {
		list = append(list, &o.Members[i])
	}
	for i := range o.Documents {
		list = append(list, &o.Documents[i])
	}
	for i := range o.Sales {
		list = append(list, &o.Sales[i])
	}
	return list
}

// Write implements web.Kitchen.
func (k kitchenSite) Write(ctx context.Context, text []byte) error {
	var o own
	if err := json.Unmarshal(text, &o); err != nil {
		return fail.E("server.Write", fail.Invalid, "This is not what the command line of this version sends.", err)
	}
	return k.write(ctx, o.bodies()...)
}

// writeOwn writes into a kitchen: through the server that serves it, or of a stopped one by opening the folder.
func writeOwn(data string, o *own) error {
	err := callRunning(data, "/write", o, new(map[string]string))
	if fail.KindOf(err) != fail.Missing {
		return err
	}
	mark, err := sqlite.ReadMark(data)
	if err != nil {
		return err
	}
	s := &Server{cfg: Config{Data: data, Demo: mark.Demo, Clock: systemClock{began: time.Now()}, Log: slog.New(slog.DiscardHandler)},
		quit: make(chan struct{}), zones: make(chan string, 8)}
	err = s.open(metrics.NewSet())
	if err == nil {
		err = s.write(context.Background(), o.bodies()...)
	}
	return errors.Join(err, s.letGo())
}

// readState folds the kitchen's journal, beside a running server if there is one.
func readState(data string) (*kitchen.State, error) {
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	if err != nil {
		return nil, err
	}
	stored, err := s.Newest()
	if err = errors.Join(err, s.Close()); err != nil {
		return nil, err
	}
	c := core.NewServer(core.Config{Device: "command line", Generation: "none"})
	now := time.Now().UnixMilli()
	c.Step(core.Input{Op: core.OpStart, Wall: now, Mono: 1, Stored: &stored})
	return kitchen.Read(c.StateBytes())
}

// Publish publishes documents in the kitchen of a folder, all or none, and returns a line about each. Their texts must
// have been checked.
func Publish(data string, files map[string][]byte, order []string) ([]string, error) {
	state, err := readState(data)
	if err != nil {
		return nil, err
	}
	var o own
	var lines []string
	for _, name := range order {
		d, err := demo.Published(files[name])
		if err != nil {
			return nil, err
		}
		if err := newer(state, &d, name); err != nil {
			return nil, err
		}
		o.Documents = append(o.Documents, d)
		lines = append(lines, fmt.Sprintf("published: %s %s, version %d", d.What, d.Name, d.Version))
	}
	return lines, writeOwn(data, &o)
}

// newer refuses a version that is published already, or older than one that is.
func newer(state *kitchen.State, d *entry.Document, file string) error {
	for _, old := range state.Documents {
		if old.What == d.What && old.Name == d.Name && old.Version >= d.Version {
			return fail.E("server.Publish", fail.Refused, fmt.Sprintf(
				"%s: version %d of %s %s is published already, so %d cannot be. Give it version %d. Nothing was published.",
				file, old.Version, d.What, d.Name, d.Version, old.Version+1), nil)
		}
	}
	return nil
}

// Samples are the demo kitchen's documents, whose numbers are invented, and the schema of all documents, by file name.
func Samples() (map[string][]byte, error) {
	samples := map[string][]byte{schemaName: document.Schema}
	names, err := fs.Glob(demo.Files(), "*.json")
	for _, name := range names {
		if err == nil {
			samples[name], err = fs.ReadFile(demo.Files(), name)
		}
	}
	return samples, err
}

const schemaName = "documents-1.schema.json"

// crewNameMax is how many characters a crew member's name has at most.
const crewNameMax = 40

// ListLead lists a lead in the crew of the kitchen of a folder and returns the name as it was listed.
func ListLead(data, name, lang string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	strange := func(r rune) bool { return !unicode.IsPrint(r) }
	if n := utf8.RuneCountInString(name); n == 0 || n > crewNameMax || strings.ContainsFunc(name, strange) {
		return "", fail.E("server.ListLead", fail.Invalid, fmt.Sprintf(
			"A name has 1 to %d characters, letters and usual signs; this one has %d.", crewNameMax, n), nil)
	}
	state, err := readState(data)
	if err != nil {
		return "", err
	}
	m := entry.Member{Crew: crewID(state, name), Name: name, Lang: lang, Role: entry.Lead}
	return name, writeOwn(data, &own{Members: []entry.Member{m}})
}

// crewID makes a short id out of a name that nobody in the crew has.
func crewID(state *kitchen.State, name string) string {
	base := strings.Map(func(r rune) rune {
		if r = unicode.ToLower(r); r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, name)
	base = base[:min(len(base), 12)]
	if base == "" {
		base = "lead"
	}
	id := base
	for n := 2; state.Member(id) != nil; n++ {
		id = fmt.Sprintf("%s%d", base, n)
	}
	return id
}
