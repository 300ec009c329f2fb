// Package young says which work a crew member is too young for: by the published rules of the kitchen's country, where
// they are known here, and by the kitchen's own.
//
// Nothing here is legal advice. A country without a set has none enforced, and local law may be stricter than any of it.
package young

import (
	"slices"
	"strconv"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Deed is what somebody does, as rules about age tell work apart.
type Deed uint8

// Deeds. The first is any work, in a task as in a rule.
const (
	Work  Deed = iota
	Cook       // with food in or at equipment
	Oil        // filter, carry or throw away oil or grease
	Clean      // clean surfaces, and equipment without a motor
	Stand      // work inside, longer than fetching something takes
)

// Task is a piece of work as rules about age look at it.
type Task struct {
	Deed      Deed
	Equipment string // its kind; empty: none
	Pressure  bool   // it works under pressure
	Lift      bool   // it raises and lowers baskets by itself
	Cautions  []*procedure.Caution
	Read      bool  // what is touched has been read
	Warmth    int64 // its last reading, mC
}

// Rule keeps those under an age from some work.
type Rule struct {
	Key        string // what the rule goes by: Row, or "own-1" for the first of the kitchen's own
	Row        string // of testdata/published/youth-employment-us.csv; empty: the kitchen's own
	Under      int64  // years
	Deed       Deed
	Equipment  string // kind; empty: whatever
	Pressure   bool   // only what works under pressure
	Hazard     string // only where a caution is about it; empty: whatever
	ExceptLift bool   // not what raises and lowers baskets by itself
	Most       int64  // not what is at most that warm, mC; 0: however warm
	Law        string
	Source     string // where the law was read
	Memory     bool   // it is remembered, not read
	Own        *procedure.AgeRule
}

// Finding is a rule by which somebody is too young.
type Finding struct {
	Rule Rule
	Age  int64 // years
}

// hundred is 100 °F in thousandths of a degree Celsius, rounded as readings are.
const hundred = 37_778

const (
	sheet2A = "DOL WHD Fact Sheet #2A (2010)"
	sheet58 = "DOL WHD Fact Sheet #58 (2010)"
	fryer   = "fryer"
)

// us holds the federal rules of the United States that are about equipment and work such as this tool knows.
var us = [...]Rule{
	{Row: "min-14", Under: 14, Law: "29 CFR 570.2; 570.119", Source: sheet2A},
	{Row: "cook-1415-press", Under: 16, Deed: Cook, Equipment: fryer, Pressure: true, Law: "29 CFR 570.33; 570.34(c)", Source: sheet2A},
	{Row: "cook-1415-pressfry", Under: 16, Deed: Cook, Equipment: fryer, Pressure: true, Law: "29 CFR 570.34(c)", Source: "29 CFR 570.34(c)", Memory: true},
	{Row: "cook-1415-fry", Under: 16, Deed: Cook, Equipment: fryer, ExceptLift: true, Law: "29 CFR 570.34(c)", Source: sheet58},
	{Row: "oil-1415", Under: 16, Deed: Oil, Most: hundred, Law: "29 CFR 570.34(i)", Source: sheet58},
	{Row: "surf-1415", Under: 16, Deed: Clean, Most: hundred, Law: "29 CFR 570.34(i)", Source: sheet58},
	{Row: "cold-1415", Under: 16, Deed: Stand, Equipment: "cold room", Law: "29 CFR 570.33(i)", Source: sheet58},
}

// Known tells whether a country has a set of rules here.
func Known(country string) bool { return country == "US" }

// Rules lists what is enforced: the country's set, then the kitchen's own.
func Rules(country string, own []procedure.AgeRule) []Rule {
	var list []Rule
	if Known(country) {
		list = append(list, us[:]...)
	}
	for i := range list {
		list[i].Key = list[i].Row
	}
	for i := range own {
		o := &own[i]
		list = append(list, Rule{Key: "own-" + strconv.Itoa(i+1), Under: o.Under, Equipment: o.Equipment, Hazard: o.Hazard, ExceptLift: o.ExceptLift, Own: o})
	}
	return list
}

// Find returns the rule that goes by a key, or nil.
func Find(country string, own []procedure.AgeRule, key string) *Rule {
	for _, r := range Rules(country, own) {
		if r.Key == key {
			return &r
		}
	}
	return nil
}

// May returns the strictest rule by which somebody born on a day is too young for a task today, or nil. Nothing is known
// of somebody whose day of birth (0) was not said.
func May(country string, own []procedure.AgeRule, born, today int32, t Task) *Finding {
	if born == 0 {
		return nil
	}
	age := Age(born, today)
	var found *Finding
	for _, r := range Rules(country, own) {
		if age < r.Under && r.about(&t) && (found == nil || r.Under > found.Rule.Under) {
			found = &Finding{r, age}
		}
	}
	return found
}

// about tells whether the rule keeps somebody from the task.
func (r *Rule) about(t *Task) bool {
	hazard := func(c *procedure.Caution) bool { return c != nil && slices.Contains(c.Hazards, r.Hazard) }
	switch {
	case r.Deed != Work && r.Deed != t.Deed, r.Equipment != "" && r.Equipment != t.Equipment, r.Pressure && !t.Pressure,
		r.Hazard != "" && !slices.ContainsFunc(t.Cautions, hazard):
		return false
	case r.ExceptLift && t.Lift, r.Most > 0 && t.Read && t.Warmth <= r.Most: // what was never read counts as hot
		return false
	}
	return true
}

// Age returns how many years somebody is old. Who was born on 29 February is a year older on 1 March where there is none:
// the later of the two days.
func Age(born, today int32) int64 {
	y, m, d := stamp.Civil(born)
	ty, tm, td := stamp.Civil(today)
	age := int64(ty - y)
	if tm < m || tm == m && td < d {
		age--
	}
	return age
}
