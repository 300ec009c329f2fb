package report

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/wire"
	coreWords "brinebell/internal/core/words"
)

// cookLog puts a probe's log of a cook into words, and its readings beside them.
func (c *collector) cookLog(out *Row, r *records.Row, b *entry.CookLog) {
	out.What = c.words.t("cookLog", "row", strconv.FormatInt(b.RowAt, 10))
	again := *b
	found, list := kitchen.AssessLog(&again)
	k := &CookLog{Source: b.Source, Name: b.Name, Species: b.Species, Fat: string(parts(b.Fat, 3)), Unit: b.Degrees, Met: b.Met, Instant: b.Instant,
		HeldAt: b.HeldAt, RowAt: b.RowAt, Held: parts(b.Held, 3), Dwell: parts(b.Dwell, 3), Lower: parts(b.Lower, 6), Linear: parts(b.Linear, 6),
		ComeUp: b.ComeUp, Up: parts(b.Up, 3), Table: b.Table, Digest: b.Digest,
		Recomputed: found != nil && bytes.Equal(wire.Append(nil, &again), wire.Append(nil, b))}
	fahrenheit := b.Degrees == "[degF]"
	zero := safety.Celsius(0)
	if fahrenheit {
		zero = safety.Fahrenheit(0)
	}
	k.Error = (safety.Heat(b.Error) + zero).Text(fahrenheit)
	for _, one := range list {
		k.Readings = append(k.Readings, [2]json.Number{parts(int64(one.At), 3), json.Number(one.Heat.Text(fahrenheit))})
	}
	out.CookLog, out.Note = k, join([]string{c.cookNote(k, b, found), b.Note})
	if _, _, unit := kitchen.LogLimit(b); unit == "ms" { // the table prints tenths of a second
		out.Value, out.Limit = c.lang.Dwell(b.Held), c.lang.T("limit.least", "min", c.lang.Dwell(b.Dwell))
	}
	out.Verdict = NotMet
	if b.Met {
		out.Verdict = Met
	}
}

// cookNote says in one go what a log was held against, what came of it beside the decision, and what it rests on.
func (c *collector) cookNote(k *CookLog, b *entry.CookLog, found *safety.Cooked) string {
	scale := map[string]string{"[degF]": "°F"}[k.Unit]
	from := c.words.t("cookLog." + b.Source)
	if b.Name != "" {
		from = b.Name
	}
	again := "cookLog.again"
	if !k.Recomputed {
		again = "cookLog.differs"
	}
	said := []string{
		c.words.t("cookLog.of", "species", c.words.t("cookLog."+b.Species), "fat", k.Fat, "error", k.Error+" "+orElse(scale, "°C"),
			"n", strconv.FormatInt(b.Count, 10), "from", from),
		c.words.t("cookLog.estimate", "lower", string(parts(b.Lower/10_000, 2)), "linear", string(parts(b.Linear/10_000, 2)), "n", strconv.Itoa(safety.LogRequired)),
	}
	if found != nil {
		say := c.lang.Cooked(found, coreWords.Shown("mC", k.Unit))
		said = append(said, say.Verdict+": "+say.Why, say.ComeUp, say.Sources[0])
	}
	said = append(said, c.words.t("cookLog.digest", "digest", b.Digest), c.words.t(again))
	return strings.Join(said, " ")
}

// parts writes n in parts of 10^-places as a plain decimal.
func parts(n int64, places int) json.Number {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	s := strconv.FormatInt(n, 10)
	s = strings.Repeat("0", max(0, places+1-len(s))) + s
	return json.Number(sign + strings.TrimSuffix(strings.TrimRight(s[:len(s)-places]+"."+s[len(s)-places:], "0"), "."))
}
