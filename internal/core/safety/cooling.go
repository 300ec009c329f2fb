package safety

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// CoolMark is one part of a cooling rule: from the start, or from the first reading at or below After, to the first
// reading at or below To, in at most Most (0: as long as it takes).
type CoolMark struct {
	After, To int64 // °F; After 0: from the start
	Most      stamp.Span
}

// CoolRule is a published way to cool. The first of its marks is stage 1, the last the whole of it.
type CoolRule struct {
	ID     string
	From   int64 // °F: the clock starts at the last reading at or above it; 0: at the first reading
	Marks  [3]CoolMark
	N      int // how many marks there are
	Source string
}

// coolRules: testdata/published/food-code-numbers.csv and fsis-cooling.csv.
var coolRules = [...]CoolRule{
	{"food-code", 135, [3]CoolMark{{0, 70, 2 * stamp.Hour}, {0, 41, 6 * stamp.Hour}}, 2, "fc-cool"},
	{"food-code-ambient", 0, [3]CoolMark{{0, 41, 4 * stamp.Hour}}, 1, "fc-cool-ambient"},
	{"food-code-received", 0, [3]CoolMark{{0, 41, 4 * stamp.Hour}}, 1, "fc-cool-received"},
	{"fsis-1", 130, [3]CoolMark{{0, 80, 90 * stamp.Minute}, {80, 40, 5 * stamp.Hour}, {0, 40, 390 * stamp.Minute}}, 3, "fsis-b-1"},
	{"fsis-2", 120, [3]CoolMark{{0, 55, 6 * stamp.Hour}, {0, 80, stamp.Hour}, {0, 40, 0}}, 3, "fsis-b-2"},
	{"fsis-3", 130, [3]CoolMark{{0, 80, 5 * stamp.Hour}, {80, 45, 10 * stamp.Hour}, {0, 45, 15 * stamp.Hour}}, 3, "fsis-b-3"},
	{"fsis-3-summary", 130, [3]CoolMark{{0, 80, 5 * stamp.Hour}, {80, 40, 10 * stamp.Hour}, {0, 40, 15 * stamp.Hour}}, 3, "osu-b-3"},
}

// CoolRules lists the rules, the model code's first.
func CoolRules() []CoolRule { return coolRules[:] }

// CoolRuleOf returns the rule with an id, and whether there is one.
func CoolRuleOf(id string) (CoolRule, bool) {
	for _, r := range coolRules {
		if r.ID == id {
			return r, true
		}
	}
	return CoolRule{}, false
}

// CoolPart is a mark held against a log.
type CoolPart struct {
	CoolMark
	Begun   bool
	Reached bool
	From    stamp.Milli // when its time began
	Lasted  stamp.Span  // to the first reading at or below the mark, or to the end of the log
}

// Met tells whether the mark was reached in time: at its limit exactly it was.
func (p *CoolPart) Met() bool { return p.Reached && (p.Most == 0 || p.Lasted <= p.Most) }

// Cooling is a log held against a rule.
type Cooling struct {
	Rule   CoolRule
	Start  stamp.Milli
	Parts  []CoolPart
	Below  bool // the log begins below the rule's start: what passed before it is not counted
	Warmed bool // it rose above its last mark again after it had reached it
	Never  bool // its last reading is still at or above the rule's start
}

// Cool holds a log, whose readings are in the order of their time, against the rule. The clock starts at the last reading
// at or above the rule's start before the product stays below it, or at the first reading; it ends at the first reading
// at or below the mark; a mark that is never reached counts to the end of the log and is not met.
func (r CoolRule) Cool(log []Reading) Cooling {
	c := Cooling{Rule: r}
	if len(log) == 0 {
		return c
	}
	start := 0
	c.Below = r.From != 0
	for i, x := range log {
		if r.From != 0 && x.Heat >= Fahrenheit(r.From) {
			start, c.Below = i, false
		}
	}
	c.Start, c.Never = log[start].At, r.From != 0 && !c.Below && start == len(log)-1
	log = log[start:]
	for _, m := range r.Marks[:r.N] {
		c.Parts = append(c.Parts, m.part(log))
	}
	reached := false
	for _, x := range log {
		below := x.Heat <= Fahrenheit(r.Marks[r.N-1].To)
		c.Warmed = c.Warmed || reached && !below
		reached = reached || below
	}
	return c
}

func (m CoolMark) part(log []Reading) CoolPart {
	p := CoolPart{CoolMark: m, From: log[0].At, Begun: m.After == 0}
	end := log[len(log)-1].At
	for _, x := range log {
		if !p.Begun && x.Heat <= Fahrenheit(m.After) {
			p.Begun, p.From = true, x.At
		}
		if p.Begun && x.Heat <= Fahrenheit(m.To) {
			p.Reached, end = true, x.At
			break
		}
	}
	if p.Begun {
		p.Lasted = end.Since(p.From)
	}
	return p
}

// Met tells whether every mark was reached in time.
func (c *Cooling) Met() bool {
	for i := range c.Parts {
		if !c.Parts[i].Met() {
			return false
		}
	}
	return len(c.Parts) > 0
}

// Used returns what is used up of the time to the mark that is due next, and until when it must be reached.
func (c *Cooling) Used() Used {
	var u Used
	for i := range c.Parts {
		p := &c.Parts[i]
		if p.Most == 0 || p.Reached || !p.Begun {
			continue
		}
		if until := p.From.Add(p.Most); u.Until == 0 || until < u.Until {
			u = Used{Spent: p.Lasted, Most: p.Most, Until: until}
		}
	}
	return u
}

// Findings holds the log against each mark.
func (c *Cooling) Findings() []Finding {
	var list []Finding
	for i := range c.Parts {
		p := &c.Parts[i]
		u := Used{Spent: p.Lasted, Most: p.Most}
		f := u.finding("cool."+c.Rule.ID, c.Rule.Source)
		f.Verdict, f.Formula = Judge(p.Met()), "reached - start <= most"
		f.Inputs = []Amount{milliC("mark", Fahrenheit(p.To)), {"start", int64(p.From), quantity.Milli}}
		list = append(list, f)
	}
	return list
}

// Actions returns what can be done (common practice, no source): what missed its first mark only can be reheated and
// cooled again while the whole of its time is not over; after that it is thrown away. While nothing is missed it can be
// cooled faster.
func (c *Cooling) Actions() []Action {
	if len(c.Parts) == 0 || c.Met() {
		return nil
	}
	for i := len(c.Parts) - 1; i >= 0; i-- {
		p := &c.Parts[i]
		switch late := p.Most != 0 && p.Lasted > p.Most; {
		case late && i == 0 && len(c.Parts) > 1:
			return []Action{Reheat, Discard, CallLead}
		case late:
			return []Action{Discard, CallLead}
		}
	}
	return []Action{Faster, CallLead}
}
