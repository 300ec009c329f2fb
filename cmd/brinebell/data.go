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

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
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
	const op = "brinebell.code"
	var code pairing.Code
	r, err := server.FindRunning(data)
	if err != nil {
		return code, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, r.URL+"/code", bytes.NewReader(nil))
	if err != nil {
		return code, err
	}
	request.Header.Set("Authorization", "Bearer "+r.Token)
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		// It left word but is not there: it was killed.
		return code, fail.E(op, fail.Missing, "No server answers for "+data+".", err)
	}
	defer func() { _ = answer.Body.Close() }() // only read
	var body struct {
		Code  string `json:"code"`
		Until int64  `json:"until"`
		Text  string `json:"text"`
	}
	if err := json.NewDecoder(answer.Body).Decode(&body); err != nil || answer.StatusCode != http.StatusOK {
		return code, fail.E(op, fail.Missing, "What answers at "+r.URL+" is not the server of "+data+".", err)
	}
	return pairing.Code{Text: body.Code, Until: body.Until}, nil
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
