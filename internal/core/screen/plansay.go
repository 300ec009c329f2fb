package screen

import (
	"strconv"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// planSay words a sentence of the plan, with its reason behind a colon where one is known.
func (p *page) planSay(s *planning.Say) string {
	pairs := make([]string, 0, 2*len(s.Args))
	for i := range s.Args {
		pairs = append(pairs, s.Args[i].Name, p.planArg(&s.Args[i]))
	}
	said := words.Upper(p.t(s.Text, pairs...))
	switch {
	case s.Why != nil:
		return p.t("pl.say.why", "what", said, "why", words.Lower(p.planSay(s.Why)))
	case strings.HasPrefix(s.Text, "pl.diff."), strings.HasPrefix(s.Text, "pl.sum."):
		return said + "."
	}
	return said
}

// planArg words one argument.
func (p *page) planArg(a *planning.Arg) string {
	switch a.Kind {
	case planning.ArgTime:
		return p.clock(stamp.Milli(a.N))
	case planning.ArgMinutes:
		return p.l.Length(stamp.Span(a.N) * stamp.Minute)
	case planning.ArgMoney:
		return p.planMoney(planner.Money(a.N))
	case planning.ArgGrams:
		return p.l.Amount(a.N, "g")
	case planning.ArgDegrees:
		return p.l.Amount(a.N, "mC")
	case planning.ArgItem:
		return p.planItem(a.S)
	case planning.ArgPieces:
		return p.l.Much(p.State, &kitchen.Batch{Procedure: a.S}, 0, a.N)
	case planning.ArgPlace:
		if dev := p.State.Equipment().Device(a.S); dev != nil {
			return p.text(dev.Title)
		}
	case planning.ArgStation:
		if doc := p.State.PlanDocument(); doc != nil && doc.Station(a.S) != nil {
			return p.text(doc.Station(a.S).Title)
		}
	case planning.ArgVessel:
		return p.l.Vessel(a.S, uint32(a.N))
	case planning.ArgText:
	default:
		return strconv.FormatInt(a.N, 10)
	}
	return a.S
}

// planItem is the short name of a procedure's product.
func (p *page) planItem(name string) string {
	if proc := p.State.Procedure(name, 0); proc != nil {
		return p.text(proc.Item)
	}
	return name
}

// planMoney prints an amount of money, to the hundredth: "12.40 USD".
func (p *page) planMoney(m planner.Money) string {
	const hundredth = planner.Unit / 100
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	n := int64((m + hundredth/2) / hundredth)
	point := "."
	if p.l == "es" {
		point = ","
	}
	cents := strconv.FormatInt(n%100, 10)
	if n%100 < 10 {
		cents = "0" + cents
	}
	s := sign + strconv.FormatInt(n/100, 10) + point + cents
	if doc := p.State.PlanDocument(); doc != nil {
		s += "\u00a0" + doc.Currency
	}
	return s
}
