package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/words"
)

type assessCoolCommand struct {
	Rule string `long:"rule" value-name:"RULE" default:"food-code" description:"Which published rule: food-code, food-code-ambient, food-code-received, fsis-1, fsis-2, fsis-3, fsis-3-summary."`
	Lang string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the sentences: en or es."`
	Args struct {
		File string `positional-arg-name:"FILE" required:"yes" description:"CSV with the columns time (RFC 3339) and temp_f or temp_c."`
	} `positional-args:"yes" required:"yes"`
}

// cooled is what is printed. The first eight names are what other programs read. Stage 1 of a rule with one stage is the
// whole of it.
type cooled struct {
	Stage1    json.Number `json:"stage1_seconds"`
	Stage1Met bool        `json:"stage1_met"`
	Total     json.Number `json:"total_seconds"`
	TotalMet  bool        `json:"total_met"`
	Met       bool        `json:"met"`
	Rule      string      `json:"rule"`
	Source    string      `json:"source"`
	Warnings  []string    `json:"warnings"`

	Marks    []coolMark `json:"marks"`
	Started  string     `json:"started"`
	Actions  []string   `json:"actions"`
	Says     []string   `json:"says"`
	Readings int        `json:"readings"`
}

// coolMark is one part of the rule. From is null when it begins with the clock.
type coolMark struct {
	From    *int64       `json:"from_f"`
	To      int64        `json:"to_f"`
	Seconds json.Number  `json:"seconds"`
	Limit   *json.Number `json:"limit_seconds"` // null: no time is printed
	Reached bool         `json:"reached"`
	Met     bool         `json:"met"`
}

// Run prints the assessment, met or not.
func (c *assessCoolCommand) Run(to streams) error {
	rule, ok := safety.CoolRuleOf(c.Rule)
	if !ok {
		var ids []string
		for _, r := range safety.CoolRules() {
			ids = append(ids, r.ID)
		}
		return refuse("--rule %s is no rule that is published here: take one of %s", c.Rule, strings.Join(ids, ", "))
	}
	log, err := readLog(c.Args.File, words.Of(c.Lang))
	if err != nil {
		return err
	}
	return printJSON(to, coolReport(words.Of(c.Lang), rule, log))
}

func printJSON(to streams, v any) error {
	e := json.NewEncoder(to.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func coolReport(l words.Lang, rule safety.CoolRule, log *probelog.Log) *cooled {
	out := rule.Cool(log.Readings)
	first, whole := &out.Parts[0], &out.Parts[len(out.Parts)-1]
	r := &cooled{
		Stage1: thousandths(int64(first.Lasted)), Stage1Met: first.Met(), Total: thousandths(int64(whole.Lasted)), TotalMet: whole.Met(),
		Met: out.Met(), Rule: rule.ID, Source: l.Source(rule.Source), Warnings: coolWarnings(l, &out, log), Started: instant(int64(out.Start)),
		Readings: len(log.Readings), Actions: actions(l, out.Actions()),
	}
	for i := range out.Parts {
		p := &out.Parts[i]
		m := coolMark{To: p.To, Seconds: thousandths(int64(p.Lasted)), Reached: p.Reached, Met: p.Met()}
		if p.After != 0 {
			m.From = &p.After
		}
		limit := thousandths(int64(p.Most))
		if p.Most != 0 {
			m.Limit = &limit
		}
		r.Marks = append(r.Marks, m)
		r.Says = append(r.Says, l.Verdict(safety.Judge(m.Met))+": "+sayPart(l, p))
	}
	r.Says = append(r.Says, in(l, localCode))
	return r
}

// sayPart says how long a part took, of what, and by how much that is met or not.
func sayPart(l words.Lang, p *safety.CoolPart) string {
	took, most := l.Dwell(int64(p.Lasted)), l.Dwell(int64(p.Most))
	by := l.Dwell(int64(max(p.Most-p.Lasted, p.Lasted-p.Most)))
	switch {
	case !p.Reached:
		return in(l, partMissed, p.To, took)
	case p.Most == 0:
		return in(l, partFree, p.To, took)
	case p.Met():
		return in(l, partIn, p.To, took, most, by)
	}
	return in(l, partLate, p.To, took, most, by)
}

// actions names what can be done, in words behind its id.
func actions(l words.Lang, list []safety.Action) []string {
	out := []string{}
	for _, a := range list {
		out = append(out, string(a)+": "+l.Action(a))
	}
	return out
}

func instant(ms int64) string { return time.UnixMilli(ms).UTC().Format(time.RFC3339Nano) }

// said is a sentence in English and in Spanish.
type said [2]string

func in(l words.Lang, s said, values ...any) string {
	if l == words.ES {
		return fmt.Sprintf(s[1], values...)
	}
	return fmt.Sprintf(s[0], values...)
}

// gapMost is the length between two readings, in ms, beyond which a warning is given: common practice, no source.
const gapMost = 30 * 60 * 1000

var (
	partIn      = said{"%d °F after %s, of at most %s: %s to spare.", "%d °F tras %s, de %s como mucho: sobran %s."}
	partLate    = said{"%d °F after %s, of at most %s: %s over.", "%d °F tras %s, de %s como mucho: %s de más."}
	partFree    = said{"%d °F after %s; no time is printed for it.", "%d °F tras %s; no hay tiempo impreso."}
	partMissed  = said{"%d °F not reached in %s.", "no se llegó a %d °F en %s."}
	localCode   = said{"Follow your local code.", "Sigue tu código local."}
	beganBelow  = said{"The log begins at %s, below the rule's start of %d °F: what passed before is not counted.", "El registro empieza a %s, bajo el inicio de la regla, %d °F: lo anterior no se cuenta."}
	stillHot    = said{"The last reading is still at or above %d °F: the cooling has not begun.", "La última lectura sigue en %d °F o más: el enfriamiento no ha empezado."}
	neverThere  = said{"%d °F was never reached: its time counts to the end of the log.", "Nunca se llegó a %d °F: su tiempo cuenta hasta el final del registro."}
	warmedAgain = said{"It rose above %d °F again after it had been reached.", "Volvió a subir de %d °F después de haber llegado."}
	longGap     = said{"Readings are up to %s apart: what was between them is not known.", "Hay lecturas separadas hasta %s: lo de en medio no se conoce."}
	fromMemory  = said{"This rule is from memory: look it up before relying on it.", "Esta regla es de memoria: compruébala antes de fiarte."}
	slowOption  = said{"The rule also asks that chilling begin within 90 minutes of cooking and that 40 °F be reached before packing: the log does not show the first.", "La regla también pide empezar a enfriar antes de 90 minutos tras cocinar y llegar a 40 °F antes de envasar: lo primero no se ve en el registro."}
	curedOnly   = said{"The rule is for cured products with at least 100 ppm of nitrite, and sources differ on whether it ends at 45 or 40 °F.", "La regla es para productos curados con al menos 100 ppm de nitrito, y las fuentes difieren en si acaba a 45 o a 40 °F."}
)

func coolWarnings(l words.Lang, out *safety.Cooling, log *probelog.Log) []string {
	list := []string{}
	warn := func(when bool, s said, values ...any) {
		if when {
			list = append(list, in(l, s, values...))
		}
	}
	rule := &out.Rule
	begins := shown(l, log.Readings[0].Heat, log.Fahrenheit)
	warn(out.Below, beganBelow, begins, rule.From)
	warn(out.Never, stillHot, rule.From)
	for i, p := range out.Parts {
		last := i == len(out.Parts)-1
		warn(!p.Reached && (i == 0 || last || p.To != out.Parts[0].To), neverThere, p.To)
		if !p.Reached {
			break // what follows was not reached either
		}
	}
	warn(out.Warmed, warmedAgain, rule.Marks[rule.N-1].To)
	list = append(list, logWarnings(l, log)...)
	warn(safety.SourceOf(rule.Source).Status == safety.FromMemory, fromMemory)
	warn(rule.ID == "fsis-2", slowOption)
	warn(strings.HasPrefix(rule.ID, "fsis-3"), curedOnly)
	return list
}

// logWarnings says what should be known of any log.
func logWarnings(l words.Lang, log *probelog.Log) []string {
	list := []string{}
	var gap int64
	for i := 1; i < len(log.Readings); i++ {
		gap = max(gap, int64(log.Readings[i].At.Since(log.Readings[i-1].At)))
	}
	if gap > gapMost {
		list = append(list, in(l, longGap, l.Exact(gap, "ms")))
	}
	if log.Cut {
		list = append(list, l.T("cook.warn.cut"))
	}
	return list
}

// shown prints a temperature in the unit of its file.
func shown(l words.Lang, h safety.Heat, fahrenheit bool) string {
	unit := "mC"
	if fahrenheit {
		unit = "[degF]"
	}
	return l.Amount(h.MilliC(), unit)
}
