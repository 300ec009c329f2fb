package main

import (
	"encoding/json"

	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/words"
)

type assessHoldCommand struct {
	Rule   string `long:"rule" value-name:"RULE" description:"Which published limit: hold-hot (the default), hold-hot-nyc, hold-hot-tm, hold-cold, and others."`
	LimitF string `long:"limit-f" value-name:"DEGREES" description:"A limit of your own, in degrees Fahrenheit."`
	LimitC string `long:"limit-c" value-name:"DEGREES" description:"The same in degrees Celsius."`
	Cold   bool   `long:"cold" description:"Cold holding: at most the limit (41 °F unless one is given), not at least."`
	Lang   string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the sentences: en or es."`
	Args   struct {
		File string `positional-arg-name:"FILE" required:"yes" description:"CSV with the columns time (RFC 3339) and temp_f or temp_c."`
	} `positional-args:"yes" required:"yes"`
}

// held is what is printed. Between two readings of which either is off the limit all of the time counts as off.
type held struct {
	Off      json.Number `json:"off_seconds"`
	Longest  json.Number `json:"longest_seconds"`
	Met      bool        `json:"met"`
	Rule     string      `json:"rule"`
	LimitF   json.Number `json:"limit_f"`
	Cold     bool        `json:"cold"`
	Source   string      `json:"source"`
	Warnings []string    `json:"warnings"`

	Runs        []offRun    `json:"runs"`
	ReadingsOff int         `json:"readings_off"`
	WorstF      json.Number `json:"worst_f"`
	Actions     []string    `json:"actions"`
	Says        []string    `json:"says"`
	Readings    int         `json:"readings"`
}

type offRun struct {
	From    string      `json:"from"`
	To      string      `json:"to"`
	Seconds json.Number `json:"seconds"`
	WorstF  json.Number `json:"worst_f"`
	GoesOn  bool        `json:"goes_on"` // the log ends with it
}

// Run prints the assessment, met or not.
func (c *assessHoldCommand) Run(to streams) error {
	limit, err := c.limit()
	if err != nil {
		return err
	}
	log, err := readLog(c.Args.File, words.Of(c.Lang))
	if err != nil {
		return err
	}
	return printJSON(to, holdReport(words.Of(c.Lang), &limit, log))
}

// limit reads the flags.
func (c *assessHoldCommand) limit() (safety.HoldLimit, error) {
	own, fahrenheit := c.LimitF, true
	if c.LimitC != "" {
		own, fahrenheit = c.LimitC, false
	}
	switch {
	case c.LimitF != "" && c.LimitC != "":
		return safety.HoldLimit{}, refuse("--limit-f and --limit-c are both given: give one")
	case own != "" && c.Rule != "":
		return safety.HoldLimit{}, refuse("--rule %s and a limit of your own are both given: give one", c.Rule)
	case own != "":
		h, err := safety.ParseHeat(own, fahrenheit)
		if err != nil {
			return safety.HoldLimit{}, refuse("the limit %s is not a number of degrees such as 135 or 57.2, between -1000 and 1000 °C", own)
		}
		return safety.HoldLimit{ID: ownLimit, Limit: h, Cold: c.Cold}, nil
	}
	id := c.Rule
	switch {
	case id == "" && c.Cold:
		id = "hold-cold"
	case id == "":
		id = "hold-hot"
	}
	limit, ok := safety.HoldLimitOf(id)
	if !ok {
		ids := ""
		for i, l := range safety.HoldLimits() {
			if i > 0 {
				ids += ", "
			}
			ids += l.ID
		}
		return limit, refuse("--rule %s is no limit that is published here: take one of %s", id, ids)
	}
	if c.Cold && !limit.Cold {
		return limit, refuse("--cold asks for at most, and --rule %s is at least: leave one out", id)
	}
	return limit, nil
}

// ownLimit is the rule's name when the limit was typed.
const ownLimit = "own"

var (
	heldIn     = said{"the reading nearest to it is %s, with %s to spare.", "la lectura más cercana es %s: sobran %s."}
	heldOff    = said{"off it for %s, %s at a stretch; the furthest reading is %s, off by %s.", "fuera durante %s, %s seguidos; la lectura más lejana es %s, por %s."}
	typedLimit = said{"given on the command line", "dado en la línea de órdenes"}
	goesOn     = said{"The log ends off the limit: the time goes on.", "El registro acaba fuera del límite: el tiempo sigue."}
	oneReading = said{"One reading alone shows no length of time.", "Una sola lectura no muestra ninguna duración."}
)

func holdReport(l words.Lang, limit *safety.HoldLimit, log *probelog.Log) *held {
	out := limit.OutOf(log.Readings)
	source := in(l, typedLimit)
	if limit.Source != "" {
		source = l.Source(limit.Source)
	}
	r := &held{
		Off: thousandths(int64(out.Off)), Longest: thousandths(int64(out.Longest)), Met: out.Met(), Rule: limit.ID,
		LimitF: fahrenheit(limit.Limit), Cold: limit.Cold, Source: source, Warnings: logWarnings(l, log), Runs: []offRun{},
		ReadingsOff: out.Readings, WorstF: fahrenheit(out.Worst), Readings: len(log.Readings),
		Says: []string{sayHeld(l, &out, log.Fahrenheit), in(l, localCode)},
	}
	last := log.Readings[len(log.Readings)-1].At
	r.Actions = actions(l, out.Actions(out.Spends(safety.TimeMost, 0, log.Readings[0].At, last)))
	if out.Open() {
		r.Warnings = append(r.Warnings, in(l, goesOn))
	}
	if len(log.Readings) == 1 {
		r.Warnings = append(r.Warnings, in(l, oneReading))
	}
	for _, run := range out.Runs {
		r.Runs = append(r.Runs, offRun{instant(int64(run.From)), instant(int64(run.To)), thousandths(int64(run.To.Since(run.From))), fahrenheit(run.Worst), run.Open})
	}
	return r
}

// sayHeld says by how much the limit is met or not, and for how long it was not.
func sayHeld(l words.Lang, out *safety.OffTime, fahrenheit bool) string {
	unit := "mC"
	if fahrenheit {
		unit = "[degF]"
	}
	f := out.Finding()
	worst, by := shown(l, out.Worst, fahrenheit), l.Apart(f, unit)
	if out.Met() {
		return l.Verdict(f.Verdict) + ": " + in(l, heldIn, worst, by)
	}
	return l.Verdict(f.Verdict) + ": " + in(l, heldOff, l.Dwell(int64(out.Off)), l.Dwell(int64(out.Longest)), worst, by)
}

// fahrenheit writes a temperature in degrees Fahrenheit, to the nearest thousandth.
func fahrenheit(h safety.Heat) json.Number {
	h += 32 * safety.HeatF
	const unit = safety.HeatF / 1000
	if h < 0 {
		return "-" + thousandths(int64((-h+unit/2)/unit))
	}
	return thousandths(int64((h + unit/2) / unit))
}
