package words

import (
	"strconv"

	"brinebell/internal/core/young"
)

// AgeRule says what a rule about age keeps from whom, and where that stands.
func (l Lang) AgeRule(r *young.Rule) string {
	text, source := l.AgeWords(r)
	return text + " " + source
}

// AgeWords says the two apart.
func (l Lang) AgeWords(r *young.Rule) (text, source string) {
	if r.Own != nil {
		return l.T("age.own", "n", strconv.FormatInt(r.Under, 10), "text", l.Text(r.Own.Text)), l.T("age.own.from", "source", l.Text(r.Own.Source))
	}
	id := "age.from"
	if r.Memory {
		id = "age.memory"
	}
	return l.T("age." + r.Row), l.T(id, "law", r.Law, "source", r.Source)
}

// ageRule says the rule that a refusal or deviation names, and what was last read of the equipment where it speaks of how warm that is.
func (u *subject) ageRule(key, place string) string {
	rule := young.Find(u.s.Country, u.s.Equipment().AgeRules, key)
	if rule == nil {
		return ""
	}
	text := u.l.AgeRule(rule)
	d := u.s.Equipment().Device(place)
	if rule.Most == 0 || d == nil {
		return text
	}
	id, p := "age.unread", u.s.Place(d.Name)
	if p.ReadAt != 0 {
		id = "age.read"
	}
	return text + " " + u.l.T(id, "place", u.l.Place(u.s, d.Name), "number", u.l.Amount(p.Reading, Shown("mC", d.TypedIn)), "time", u.l.At(u.s, p.ReadAt, u.now))
}
