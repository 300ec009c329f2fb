package main

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"brinebell/internal/core"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

type verifyCommand struct {
	Data string `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo bool   `help:"The demo kitchen's folder, if --data is not given."`
}

// Run walks the journal, beside a running server if there is one.
func (c *verifyCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	report, err := s.Verify()
	if err = errors.Join(err, s.Close()); err != nil {
		return err
	}
	if report.First != nil {
		_, err := fmt.Fprintf(to.out, "FAULT  %v\n%d of %d entries are off. Nothing was changed. The phones and backups may hold them as they were.\n",
			report.First, report.Faults, report.Entries)
		return errors.Join(errFaults, err)
	}
	_, err = fmt.Fprintf(to.out, "OK  %d entries, each as it was kept. Hash of the last: %s\n", report.Entries, hex.EncodeToString(report.Head[:]))
	return err
}

type codeCommand struct {
	Data string `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo bool   `help:"The demo kitchen's folder, if --data is not given."`
}

// Run asks the running server for a code; of a stopped kitchen it opens the folder itself.
func (c *codeCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	code, err := askRunning(data)
	if fail.KindOf(err) == fail.Missing {
		code, err = makeCode(data)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s\nLets one device in, until %s.\n", code.Text, time.UnixMilli(code.Until).Format("15:04"))
	return err
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
	const op = "brinebell.callRunning"
	r, err := server.FindRunning(data)
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

// write makes entries in a kitchen, through the running server or, of a stopped one, by opening the folder.
func write(data string, own web.Own) error {
	err := callRunning(data, "/write", own, new(map[string]string))
	if fail.KindOf(err) != fail.Missing {
		return err
	}
	mark, err := sqlite.ReadMark(data)
	if err != nil {
		return err
	}
	return server.Write(server.Config{Data: data, Demo: mark.Demo}, own.Bodies())
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
	c := core.New(core.Config{Device: "command line", Server: true, Generation: "none"})
	now := time.Now().UnixMilli()
	c.Step(core.Input{Op: core.OpStart, Wall: now, Mono: 1, Stored: &stored})
	return kitchen.Read(c.StateBytes())
}
