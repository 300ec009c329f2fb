package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/words"
)

// badInput says why there is nothing to assess: it ends the program with exitFaults.
type badInput struct{ text string }

func (b *badInput) Error() string { return b.text }

func refuse(format string, args ...any) error { return &badInput{fmt.Sprintf(format, args...)} }

// logMost bounds a file that is read: some five million readings.
const logMost = 256 << 20

// readLog reads a probe's file; every row has to be readable, because one left out could have been the coldest.
func readLog(name string, l words.Lang) (*probelog.Log, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, refuse("the file %s cannot be read: %v", name, reason(err))
	}
	defer func() { _ = f.Close() }() // only read
	text, err := io.ReadAll(io.LimitReader(f, logMost+1))
	switch {
	case err != nil:
		return nil, refuse("%s: the file cannot be read: %v", name, err)
	case len(text) > logMost:
		return nil, refuse("%s: the file is larger than %d MB: cut it to the cook in question", name, logMost>>20)
	}
	log := probelog.Read(text)
	switch {
	case log.File != nil:
		return nil, refuse("%s: %s", name, l.LogFault(log.File))
	case log.Bad == 1:
		return nil, refuse("%s, %s; put it right, or take the row out if it is no reading", name, l.LogFault(&log.Faults[0]))
	case log.Bad > 1:
		var numbers []string
		for _, f := range log.Faults[1:min(len(log.Faults), 20)] {
			numbers = append(numbers, strconv.Itoa(f.Row))
		}
		more := ""
		if log.Bad > 20 {
			more = fmt.Sprintf(" and %d more", log.Bad-20)
		}
		return nil, refuse("%s, %s; rows %s%s cannot be read either", name, l.LogFault(&log.Faults[0]), strings.Join(numbers, ", "), more)
	}
	return &log.Log, nil
}

// reason leaves the path out of an error, which is said beside it.
func reason(err error) error {
	if path, ok := errors.AsType[*fs.PathError](err); ok {
		return path.Err
	}
	return err
}

type assessCookCommand struct {
	Species    string `long:"species" value-name:"NAME" description:"Which table: chicken or turkey."`
	Fat        string `long:"fat" value-name:"PERCENT" description:"Per cent of fat, 0 to 12; between two columns the longer time counts."`
	ProbeError string `long:"probe-error" value-name:"DEGREES" description:"How far the probe may be off, in degrees Fahrenheit: subtracted from every reading."`
	ProbeC     string `long:"probe-error-c" value-name:"DEGREES" description:"The same in degrees Celsius."`
	Lang       string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the sentences: en or es."`
	Args       struct {
		File string `positional-arg-name:"FILE" required:"yes" description:"CSV with the columns time (RFC 3339) and temp_f or temp_c."`
	} `positional-args:"yes" required:"yes"`
}

// Run prints the assessment, met or not.
func (c *assessCookCommand) Run(to streams) error {
	cook, err := c.cook()
	if err != nil {
		return err
	}
	log, err := readLog(c.Args.File, words.Of(c.Lang))
	if err != nil {
		return err
	}
	out, err := safety.AssessCook(cook, log.Readings)
	if err != nil {
		return refuse("%s: %v", c.Args.File, err)
	}
	return printJSON(to, c.report(cook, log, out))
}

// cook reads the flags.
func (c *assessCookCommand) cook() (safety.Cook, error) {
	var cook safety.Cook
	switch strings.ToLower(c.Species) {
	case "chicken":
		cook.Species = safety.Chicken
	case "turkey":
		cook.Species = safety.Turkey
	case "":
		return cook, refuse("--species is missing: chicken or turkey")
	default:
		return cook, refuse("--species %s has no published table here: take chicken or turkey", c.Species)
	}
	if c.Fat == "" {
		return cook, refuse("--fat is missing: per cent of fat, 0 to 12")
	}
	var err error
	switch cook.Fat, err = safety.ParseFat(c.Fat); {
	case errors.Is(err, safety.ErrFat):
		return cook, refuse("--fat %s is above 12 %%, where the published tables end: no time is printed for it, so have the process checked by a competent person", c.Fat)
	case err != nil:
		return cook, refuse("--fat %s is not a number of per cent such as 7 or 7.5", c.Fat)
	}
	switch {
	case c.ProbeError != "" && c.ProbeC != "":
		return cook, refuse("--probe-error and --probe-error-c are both given: give one")
	case c.ProbeError != "":
		cook.Probe, err = safety.ParseDifference(c.ProbeError, true)
	case c.ProbeC != "":
		cook.Probe, err = safety.ParseDifference(c.ProbeC, false)
	}
	if err != nil || cook.Probe > safety.ProbeMost {
		return cook, refuse("the probe's error %s is not a number of degrees from 0 to 10 °C (18 °F)", c.ProbeError+c.ProbeC)
	}
	return cook, nil
}

// cooked is what is printed. The first nine names are what other programs read.
type cooked struct {
	Met      bool        `json:"met"`
	Instant  bool        `json:"instant"`
	HeldAtF  *int64      `json:"held_at_f"`
	Log10    json.Number `json:"log10_reduction"`
	Linear   json.Number `json:"log10_reduction_linear"`
	Required int         `json:"required"`
	ComeUp   comeUp      `json:"comeup"`
	Source   string      `json:"source"`
	Warnings []string    `json:"warnings"`

	Says      []string    `json:"says"`
	Estimates string      `json:"estimates"`
	Sources   []string    `json:"sources"`
	Species   string      `json:"species"`
	FatPct    json.Number `json:"fat_pct"`
	ErrorC    json.Number `json:"probe_error_c"`
	Readings  int         `json:"readings"`
	Run       *cookRun    `json:"run"`
	Digest    string      `json:"digest"` // of the readings, as records of cooks have it
}

type comeUp struct {
	Met     *bool       `json:"met"` // null: the log does not show the whole way
	Seconds json.Number `json:"seconds"`
	Limit   json.Number `json:"limit_seconds"`
	FromF   int64       `json:"from_f"`
	ToF     int64       `json:"to_f"`
}

// cookRun is the run that held first or, if none did, the one that came nearest to its dwell.
type cookRun struct {
	AtF     int64       `json:"at_f"`
	Seconds json.Number `json:"seconds"`
	Dwell   json.Number `json:"dwell_seconds"`
	From    int         `json:"from_line"`
	To      int         `json:"to_line"`
}

func (c *assessCookCommand) report(cook safety.Cook, log *probelog.Log, out *safety.Cooked) *cooked {
	l, unit := words.Of(c.Lang), "mC"
	if log.Fahrenheit {
		unit = "[degF]"
	}
	say := l.Cooked(out, unit)
	r := &cooked{
		Met: out.Met, Instant: out.Instant >= 0, Log10: json.Number(out.Lower.Text(6)), Linear: json.Number(out.Linear.Text(6)),
		Required: safety.LogRequired, Source: say.Sources[0], Warnings: append([]string{}, say.Warnings...),
		ComeUp: comeUp{
			Seconds: thousandths(out.ComeUp.Got.Value), Limit: thousandths(out.ComeUp.Limit.Value), FromF: safety.ComeUpLow, ToF: safety.ComeUpHigh,
		},
		Says:      []string{say.Verdict + ": " + say.Why, say.ComeUp, say.Local},
		Estimates: say.Estimate, Sources: say.Sources, Species: strings.ToLower(c.Species), FatPct: thousandths(cook.Fat),
		ErrorC: thousandths(cook.Probe.MilliC()), Readings: len(log.Readings), Digest: probelog.Digest(probelog.Pack(log.Readings)),
	}
	if out.ComeUp.Verdict != safety.Unknown {
		met := out.ComeUp.Verdict == safety.Met
		r.ComeUp.Met = &met
	}
	if at := out.HeldAt(); at != 0 {
		r.HeldAtF = &at
	}
	if run := out.Run; run.Row.F != 0 {
		r.Run = &cookRun{run.Row.F, thousandths(int64(run.Length)), thousandths(int64(run.Row.Dwell)), log.Lines[run.First], log.Lines[run.Last]}
	}
	if log.Cut {
		r.Warnings = append(r.Warnings, l.T("cook.warn.cut"))
	}
	return r
}

// thousandths writes n/1000 without needless zeros.
func thousandths(n int64) json.Number {
	text := strconv.FormatInt(n/1000, 10)
	if rest := n % 1000; rest != 0 {
		text += "." + strings.TrimRight(strconv.FormatInt(1000+rest, 10)[1:], "0")
	}
	return json.Number(text)
}
