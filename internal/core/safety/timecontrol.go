package safety

import "brinebell/internal/core/stamp"

// TimeRule lets time alone keep a food that has left temperature control, for a while and under a written procedure.
type TimeRule struct {
	ID      string
	Most    stamp.Span
	Cold    Heat // it may start at most here
	Hot     Heat // or at least here; 0: not from hot holding
	Ceiling Heat // which it may never exceed; 0: none
	Source  string
}

// TimeMost is how long time alone may keep a food by the rule of four hours.
const TimeMost = 4 * stamp.Hour

// TimeRules lists the published rules. Ids and figures: testdata/published/food-code-numbers.csv.
func TimeRules() [3]TimeRule {
	return [3]TimeRule{
		{"tphc4", TimeMost, Fahrenheit(41), Fahrenheit(135), 0, "fc-time-4"},
		{"tphc4-70", TimeMost, Fahrenheit(70), 0, 0, "fc-time-4-70"}, // cut produce, and what was in a sealed package
		{"tphc6", 6 * stamp.Hour, Fahrenheit(41), 0, Fahrenheit(70), "fc-time-6"},
	}
}

// TimeRuleOf returns the rule with an id, and whether there is one.
func TimeRuleOf(id string) (TimeRule, bool) {
	for _, r := range TimeRules() {
		if r.ID == id {
			return r, true
		}
	}
	return TimeRule{}, false
}

// MayStart tells whether a food at a temperature may go under the rule at all.
func (r *TimeRule) MayStart(h Heat) bool { return h <= r.Cold || r.Hot != 0 && h >= r.Hot }

// TimeControl is a food under a rule.
type TimeControl struct {
	Used
	Rule    TimeRule
	Started bool        // its temperature let it start
	Marked  bool        // it bears the time that the rule asks for, and no later one
	Over    stamp.Milli // the first reading above the ceiling; 0: none
	Top     Heat        // the highest reading
}

// Control holds a food against the rule that left temperature control at an instant and a temperature, and bears a mark
// of the time by which it must be gone (0: none), with what was read of it since.
func (r *TimeRule) Control(removed stamp.Milli, start Heat, mark stamp.Milli, log []Reading, now stamp.Milli) TimeControl {
	c := TimeControl{Rule: *r, Started: r.MayStart(start), Top: start}
	c.Spent, c.Most, c.Until = now.Since(removed), r.Most, removed.Add(r.Most)
	c.Marked = mark != 0 && mark <= c.Until
	for _, x := range log {
		if x.At < removed || x.At > now {
			continue
		}
		c.Top = max(c.Top, x.Heat)
		if r.Ceiling != 0 && x.Heat > r.Ceiling && c.Over == 0 {
			c.Over = x.At
			c.Until = min(c.Until, x.At)
		}
	}
	if !c.Started {
		c.Until = removed
	} else if c.Marked {
		c.Until = min(c.Until, mark)
	}
	return c
}

// Met tells whether the food may still be used by the rule.
func (c *TimeControl) Met() bool { return c.Started && c.Marked && c.Over == 0 && c.Used.Met() }

// Findings holds the food against each part of the rule.
func (c *TimeControl) Findings() []Finding {
	list := []Finding{c.finding(c.Rule.ID, c.Rule.Source)}
	if c.Rule.Ceiling != 0 {
		top := HoldLimit{ID: "tphc6-ceiling", Limit: c.Rule.Ceiling, Cold: true, Source: c.Rule.Source}
		list = append(list, top.Finding(c.Top))
	}
	return list
}

// Actions returns what can be done: what is over its time or its ceiling, or bears no mark or one that is too late, is
// thrown away (3-501.19).
func (c *TimeControl) Actions() []Action {
	switch {
	case c.Met():
		return nil
	case c.Started && c.Over == 0 && c.Used.Met() && c.Spent == 0:
		return []Action{WriteMark}
	}
	return []Action{Discard}
}
