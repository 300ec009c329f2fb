package words

import (
	"strconv"
	"strings"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
)

// Cooked is what is said of an assessed cook.
type Cooked struct {
	Verdict  string   // limit met or not
	Why      string   // by how much, and by which row
	ComeUp   string   // the same of the way up
	Estimate string   // both reductions
	Warnings []string // what should be known beside it
	Sources  []string
	Local    string // what stands above them
}

// Verdict says whether a limit is met.
func (l Lang) Verdict(v safety.Verdict) string {
	switch v {
	case safety.Met:
		return l.T("limit.met")
	case safety.NotMet:
		return l.T("limit.notmet")
	}
	return l.T("limit.unknown")
}

// Source names a source as it stands below a figure.
func (l Lang) Source(id string) string {
	s := safety.SourceOf(id)
	text := s.Title
	if s.Section != "" {
		text += ", " + s.Section
	}
	if s.Year != 0 {
		text += " (" + strconv.Itoa(s.Year) + ")"
	}
	switch s.Status {
	case safety.FromMemory:
		text += ", " + l.T("source.memory")
	case safety.Common:
		text += ", " + l.T("source.common")
	}
	return text
}

// Dwell prints a length with the parts of a second that it has: "13.7 s", "2 min 42 s".
func (l Lang) Dwell(ms int64) string {
	if ms >= 60000 || ms%1000 == 0 {
		return quantity.LengthExact(ms)
	}
	point := "."
	if l == ES {
		point = ","
	}
	digits := strings.TrimRight(strconv.FormatInt(1000+ms%1000, 10)[1:], "0")
	return strconv.FormatInt(ms/1000, 10) + point + digits + "\u00a0s"
}

// CookRow names a printed row: as printed and, where degrees Celsius are shown, rounded up so that it never looks lower.
func (l Lang) CookRow(row safety.Row, unit string) string {
	printed := strconv.FormatInt(row.F, 10) + "\u00a0°F"
	if strings.HasPrefix(unit, "[") {
		return printed
	}
	return quantity.PrintLeast(row.Heat.MilliC(), quantity.MilliC, quantity.Style{Lang: string(l)}) + " (" + printed + ")"
}

// Cooked says what came of a cook, with temperatures in a unit of Shown.
func (l Lang) Cooked(out *safety.Cooked, unit string) Cooked {
	f, up, by := &out.Dwell, &out.ComeUp, l.Dwell(out.Dwell.By)
	id := "cook.short"
	switch timed := f.Limit.Unit == quantity.Milli; {
	case !timed && out.Met:
		id = "cook.once"
	case !timed:
		id = "cook.cool"
	case out.Met:
		id = "cook.held"
	}
	if f.Limit.Unit != quantity.Milli {
		by = l.Difference(f.By, unit)
	}
	slots := []string{
		"by", by, "temp", l.Amount(out.Hottest.MilliC(), unit), "time", l.Dwell(int64(out.Run.Length)),
		"limit", l.Dwell(int64(out.Row.Dwell)), "row", l.CookRow(out.Row, unit), "up", quantity.LengthExact(up.Got.Value),
		"most", quantity.LengthExact(up.Limit.Value), "low", l.Amount(up.Inputs[0].Value, unit), "high", l.Amount(up.Inputs[1].Value, unit),
		"lower", l.decimals(out.Lower.Text(2)), "linear", l.decimals(out.Linear.Text(2)), "n", strconv.Itoa(safety.LogRequired),
	}
	say := Cooked{Verdict: l.Verdict(f.Verdict), Why: l.T(id, slots...), ComeUp: l.Verdict(up.Verdict) + ": " + l.T("cook.comeup", slots...),
		Estimate: l.T("cook.estimate", slots...), Local: l.T("limit.local")}
	for _, source := range []string{f.Source, up.Source, "fsis-a-probe"} {
		say.Sources = append(say.Sources, l.Source(source))
	}
	for _, w := range out.Warnings {
		say.Warnings = append(say.Warnings, l.cookWarning(w, unit))
	}
	return say
}

func (l Lang) decimals(text string) string {
	if l == ES {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

func (l Lang) cookWarning(w safety.Warning, unit string) string {
	n, m := strconv.FormatInt(w.N, 10), strconv.FormatInt(w.M, 10)
	switch w.Caution {
	case safety.Gaps:
		m = quantity.LengthExact(w.M)
	case safety.Sparse:
		n, m = l.Dwell(w.N), l.Dwell(w.M)
	case safety.Coarse:
		n = l.decimals(thousandths(w.N))
	case safety.StartsWarm, safety.TooCool, safety.TooHot:
		n = l.Amount(w.N, unit)
	}
	return l.T("cook.warn."+strconv.Itoa(int(w.Caution)), "n", n, "m", m)
}

// thousandths prints n/1000 with one decimal.
func thousandths(n int64) string {
	n = (n + 50) / 100
	return strconv.FormatInt(n/10, 10) + "." + strconv.FormatInt(n%10, 10)
}
