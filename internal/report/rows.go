package report

import (
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
	coreWords "brinebell/internal/core/words"
)

// row puts one thing on record into words.
func (c *collector) row(r *records.Row) Row {
	signed := c.signed(&r.Signed)
	out := Row{Kind: string(r.Kind), Entry: r.Entry.String(), At: signed.At, Late: r.Late, Who: signed.Who, Device: c.device(r.Device),
		Subject: c.subject(r), Batch: r.Code, Lots: r.Lots, Place: r.Place, Note: r.Note, Photo: r.Photo, Withdrawn: c.signedOpt(r.Withdrawn)}
	if !r.Batch.IsZero() {
		out.BatchID = r.Batch.String()
	}
	if r.Stage != "" && r.Procedure != "" {
		out.Stage = c.stage(r.Procedure, r.Stage)
	}
	if r.Unit != "" {
		c.number(&out, r.Value, r.Unit, r.TypedIn, r.Limit)
	}
	if r.Limited() && r.Unit != "" {
		out.Verdict = Met
		if r.Off > 0 {
			out.Verdict = NotMet
		}
	}
	if r.Probe != "" {
		out.Probe = c.probe(r.Probe)
	}
	if r.Review != "" {
		out.Review = c.words.t("failedCheck", "probe", out.Probe)
	}
	c.body(&out, r, r.Body)
	for i := range r.Corrections {
		out.Corrections = append(out.Corrections, c.correction(&out, r, &r.Corrections[i]))
	}
	return out
}

// subject names what a row is about: product and vessel, or equipment.
func (c *collector) subject(r *records.Row) string {
	var names []string
	if item := c.lang.Text(r.Item); item != "" {
		names = append(names, item)
	}
	switch {
	case r.Vessel == "load" && r.Place != "", r.Vessel == "" && r.Place != "":
		names = append(names, c.lang.Place(c.state, r.Place))
	case r.Vessel != "":
		names = append(names, c.lang.Vessel(r.Vessel, r.Number))
	case r.Kind == records.Probe:
		names = append(names, c.probe(r.Probe))
	}
	return join(names)
}

func (c *collector) stage(name, stage string) string {
	if p := c.state.Procedure(name, 0); p != nil {
		if st, _ := p.Stage(stage); st != nil {
			return c.lang.Text(st.Title)
		}
	}
	return stage
}

func (c *collector) probe(name string) string {
	if p := c.state.Equipment().Probe(name); p != nil {
		return orElse(c.lang.Text(p.Title), name)
	}
	return name
}

// number fills in what was read and its limit, in the unit in which it was typed.
func (c *collector) number(r *Row, value int64, base, typedIn string, limit procedure.Limit) {
	if typedIn == "" {
		typedIn = c.lang.Typing(base, "").Code
	}
	shown := coreWords.Shown(base, typedIn)
	r.Number, r.Unit, r.Value = plain(value, base, typedIn), typedIn, c.lang.Exact(value, shown)
	if _, rest, _ := strings.Cut(r.Number, "."); base == string(quantity.MilliC) && len(rest) < 2 {
		r.Value = c.lang.Amount(value, shown) // always a tenth; what was read finer is shown as finely
	}
	r.Critical, r.Limit = limit.Critical, c.lang.Limit(limit, shown)
	if limit.Min != nil {
		r.Least = plain(*limit.Min, base, typedIn)
	}
	if limit.Max != nil {
		r.Most = plain(*limit.Max, base, typedIn)
	}
}

// plain writes a value in base units as a decimal with a point in the unit of a UCUM code.
func plain(value int64, base, code string) string {
	const places = 3
	n, err := quantity.In(value, code, quantity.Unit(base), places, quantity.HalfEven)
	if err != nil {
		return strconv.FormatInt(value, 10) // in its base unit, which is then the unit too
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	s := strconv.FormatInt(n, 10)
	if len(s) <= places {
		s = strings.Repeat("0", places+1-len(s)) + s
	}
	return sign + strings.TrimRight(strings.TrimRight(s[:len(s)-places]+"."+s[len(s)-places:], "0"), ".")
}

// body says what was done, and the answer where it is no number.
func (c *collector) body(out *Row, r *records.Row, body entry.Body) {
	out.What = c.lang.Text(r.Title)
	switch b := body.(type) {
	case *entry.Step:
		out.What = orElse(out.What, b.Step)
		switch {
		case b.Unit != "":
		case b.Answer != "":
			out.Value = c.words.t("answer." + b.Answer)
		case b.SignBy != "":
			out.Value = c.words.t("signedBy", "who", c.person(b.SignBy).String())
		default:
			out.Value = c.words.t("done")
		}
	case *entry.Reading:
		out.What = orElse(out.What, c.words.t("temperature"))
	case *entry.ProbeCheck:
		out.What = join([]string{c.words.t("method." + b.Method), b.Reference})
	case *entry.Delivery:
		c.delivery(out, b)
	case *entry.CookLog:
		c.cookLog(out, r, b)
	case *entry.Oil:
		out.What = orElse(c.words.t("oil."+b.Deed), b.Deed)
		if b.Deed == entry.OilMeasured {
			out.Number, out.Unit, out.Value = plain(b.Polar, "m%", "%"), "%", plain(b.Polar, "m%", "%")+" %"
		} else if b.Volume > 0 {
			c.number(out, b.Volume, string(quantity.Millilitre), "", procedure.Limit{})
		}
	case *entry.Frost, *entry.Log, *entry.LogReading, *entry.LogEnd:
		c.log(out, r, body)
	default:
		c.other(out, r, body)
	}
}

// log says what happened with frost, or with a log of temperature and time, and whether its limits were met by then.
func (c *collector) log(out *Row, r *records.Row, body entry.Body) {
	what := c.lang.T("log." + r.What)
	switch b := body.(type) {
	case *entry.Frost:
		out.What = c.words.t("frozen")
		if b.Way != "" {
			out.What = c.words.t("thawed", "way", coreWords.Lower(c.lang.T("thaw."+b.Way)))
		}
		return
	case *entry.Log:
		out.What = c.words.t("logBegun", "what", what)
	case *entry.LogReading:
		if out.What = what; b.Water {
			out.What = c.words.t("logWater", "what", what)
		}
	case *entry.LogEnd:
		out.What = c.words.t("logEnded", "what", what, "outcome", coreWords.Lower(c.lang.T("log."+b.Outcome)))
	}
	if r.Until != 0 {
		out.Limit = c.lang.T("log.since", "time", c.time(r.Until).Format("2006-01-02 15:04:05"))
	}
	switch {
	case r.Missed:
		out.Verdict = NotMet
	case r.Ended:
		out.Verdict = Met
	}
	out.Note = join([]string{r.Note, c.lang.Source(r.Source)})
	if r.Food != "" {
		out.Subject = r.Food
	}
}

func (c *collector) delivery(out *Row, b *entry.Delivery) {
	out.Subject = join([]string{orElse(out.Subject, b.Procedure), c.lang.Weight(b.Grams, b.Pieces)})
	out.What = c.words.t("from", "who", orElse(b.Supplier, "–"))
	if b.Refused {
		out.What += ". " + c.words.t("refused")
	}
	if len(b.Weights) > 0 {
		var list []string
		for _, w := range b.Weights {
			list = append(list, c.lang.Amount(w, string(quantity.Gram)))
		}
		out.What += ". " + c.words.t("weights", "list", strings.Join(list, ", "))
	}
}

// other says what happened to product and equipment.
func (c *collector) other(out *Row, r *records.Row, body entry.Body) {
	amount := func(grams, pieces int64) {
		if grams > 0 || pieces > 0 {
			out.Value = c.lang.Weight(grams, pieces)
		}
	}
	switch b := body.(type) {
	case *entry.Start:
		out.What = c.words.t("started")
		amount(b.Grams, b.Pieces)
	case *entry.Move:
		out.What = c.words.t("moved")
	case *entry.Portioning:
		c.portioning(out, r, b)
	case *entry.Discard:
		out.What = c.words.t("discarded")
		amount(b.Grams, b.Pieces)
	case *entry.Count:
		out.What = c.words.t("counted", "sold", strconv.FormatInt(b.Sold, 10), "wasted", strconv.FormatInt(b.Wasted, 10))
	case *entry.Note:
		out.What = c.words.t("note")
	case *entry.ListClose:
		out.Subject, out.What = b.List, c.words.t("closed")
		if l := c.state.List(b.List); l != nil {
			out.Subject = c.lang.Text(l.Title)
		}
	case *entry.Equipment:
		out.What = c.words.t("backInUse")
		if b.Out {
			out.What = c.words.t("outOfUse")
		}
	}
}

func (c *collector) portioning(out *Row, r *records.Row, b *entry.Portioning) {
	var from, to, lost []string
	for _, s := range b.Out {
		from = append(from, join([]string{c.code(s.Batch), c.lang.Weight(s.Grams, s.Pieces)}))
	}
	for _, p := range b.In {
		to = append(to, c.lang.Vessel(p.Vessel, p.Number)+" ("+p.Code+") "+c.lang.Weight(p.Grams, p.Pieces))
	}
	for _, l := range b.Lost {
		lost = append(lost, l.Why+" "+c.lang.Weight(l.Grams, l.Pieces))
	}
	out.What = c.words.t("portioned", "out", strings.Join(from, "; "), "in", strings.Join(to, "; "))
	out.Note = join([]string{strings.Join(lost, ", "), r.Note})
}

func (c *collector) code(id entry.ID) string {
	for i := range c.from.Batches {
		if c.from.Batches[i].ID == id {
			return c.from.Batches[i].Code
		}
	}
	return ""
}

// correction says what a row was before.
func (c *collector) correction(now *Row, r *records.Row, k *records.Correction) Correction {
	then := *r
	then.Body, then.Note, then.Answer = k.Was, "", ""
	old := Row{Subject: now.Subject}
	switch b := k.Was.(type) {
	case *entry.Step:
		old.Note = b.Note
		if b.Unit != "" {
			c.number(&old, b.Value, b.Unit, r.TypedIn, procedure.Limit{})
		}
	case *entry.Reading:
		old.Note = b.Note
		c.number(&old, b.MilliC, string(quantity.MilliC), r.TypedIn, procedure.Limit{})
	case *entry.Delivery:
		old.Note, old.Lots = b.Note, []string{b.Lot}
		if b.Measured {
			c.number(&old, b.MilliC, string(quantity.MilliC), r.TypedIn, procedure.Limit{})
		}
	case *entry.ProbeCheck:
		old.Note = b.Note
		c.number(&old, b.Read, string(quantity.MilliC), r.TypedIn, procedure.Limit{})
	case *entry.Log:
		c.number(&old, b.MilliC, string(quantity.MilliC), r.TypedIn, procedure.Limit{})
	case *entry.LogReading:
		c.number(&old, b.MilliC, string(quantity.MilliC), r.TypedIn, procedure.Limit{})
	case *entry.CookLog:
		got, _, unit := kitchen.LogLimit(b)
		c.number(&old, got, unit, map[bool]string{true: "s", false: b.Degrees}[unit == "ms"], procedure.Limit{})
	case *entry.Start:
		old.Lots = b.Lots
	case *entry.Note:
		old.Note = b.Text
	}
	c.body(&old, &then, k.Was)
	out := Correction{Signed: c.signed(&k.Signed), Entry: k.Entry.String(), Was: before(&old, now), Reason: k.Reason, Withdrawn: c.signedOpt(k.Withdrawn)}
	return out
}

// before says what a row was: its value alone where that is what changed.
func before(old, now *Row) string {
	if old.Value != now.Value && old.Value != "" && old.Note == now.Note {
		return old.Value
	}
	return join([]string{old.What, old.Value, strings.Join(old.Lots, " "), old.Note})
}

// list puts a day's run of a checklist into words.
func (c *collector) list(l *records.List) List {
	out := List{Name: l.List, Title: c.lang.Text(l.Title), Closed: c.signedOpt(l.Closing), Of: len(l.Rows) + len(l.Missing)}
	steps := map[string]string{}
	if doc := c.state.List(l.List); doc != nil {
		out.Of = len(doc.Steps)
		for i := range doc.Steps {
			steps[doc.Steps[i].Name] = c.lang.Text(doc.Steps[i].Text)
		}
	}
	done := map[string]bool{}
	for i := range c.from.Rows {
		r := &c.from.Rows[i]
		if r.List != l.List || r.ListDay != l.Day || r.Step == "" {
			continue
		}
		row := c.row(r)
		row.Subject = orElse(row.Subject, out.Title)
		out.Rows = append(out.Rows, row)
		if r.Withdrawn == nil {
			done[r.Step] = true
		}
	}
	out.Done = len(done)
	for _, name := range l.Missing {
		out.Missing = append(out.Missing, orElse(steps[name], name))
	}
	return out
}

// sensors puts what sensors and loggers read on the days of the book: a row for each reading.
func (c *collector) sensors(items []records.Item, at func(day int32) *Day) {
	touched := map[*Day]bool{}
	for i := range items {
		if items[i].Entry.Kind != entry.SensorRead {
			continue
		}
		body, err := items[i].Entry.Open()
		if err != nil {
			continue
		}
		b := body.(*entry.Sensing)
		for _, one := range b.List {
			when := b.From.Add(one.After)
			if d := at(c.state.WallDay(when)); d != nil {
				d.Rows = append(d.Rows, c.sensed(&items[i].Entry, b, when, one.MilliC))
				touched[d] = true
			}
		}
	}
	for d := range touched {
		byTime(d.Rows)
	}
}

func (c *collector) sensed(e *entry.Entry, b *entry.Sensing, when stamp.Milli, value int64) Row {
	r := Row{Kind: Sensor, Entry: e.ID.String(), At: c.time(when), Device: c.device(e.At.Device), Who: Person{ID: b.Source, Name: b.Source},
		Subject: c.lang.Place(c.state, b.Place), Place: b.Place, What: c.words.t("temperature")}
	if b.Probe != "" {
		r.Probe = c.probe(b.Probe)
	}
	if s := c.state.Sensor(b.Source); s != nil {
		r.Who.Name = s.Name
	}
	d := c.from.Device(b.Place, when)
	r.What = orElse(c.lang.Text(d.What), r.What)
	c.number(&r, value, string(quantity.MilliC), d.TypedIn, d.Reading)
	if r.Limit != "" {
		r.Verdict = Met
		if d.Reading.Min != nil && value < *d.Reading.Min || d.Reading.Max != nil && value > *d.Reading.Max {
			r.Verdict = NotMet
		}
	}
	return r
}

// deviation puts something that was off, and all that was done about it, into words.
func (c *collector) deviation(d *records.Deviation) Deviation {
	off := c.lang.Deviation(c.knowing(d), &d.Deviation, d.At)
	out := Deviation{Key: d.Key, Title: off.Title, Lines: off.Lines, Critical: d.Critical, At: c.time(d.At), Who: c.signed(&d.Signed).Who,
		Batch: d.BatchCode, Lots: d.Lots, Closed: c.signedOpt(d.Closing)}
	if d.Place != "" {
		out.Subject = c.lang.Place(c.state, d.Place)
	}
	if !d.Batch.IsZero() {
		out.BatchID = d.Batch.String()
		out.Subject = join([]string{c.lang.Text(d.Item), out.Subject})
	}
	for _, p := range d.Parts {
		text := p.Text
		if p.Grams > 0 || p.Pieces > 0 {
			text = c.lang.Weight(p.Grams, p.Pieces) + ". " + text
		}
		out.Parts = append(out.Parts, Part{Signed{c.person(p.By), c.time(p.At)}, p.Part, orElse(c.words.t("part."+p.Part), p.Part), text})
	}
	for _, a := range d.Answers {
		if a.Action != "" {
			out.Parts = append(out.Parts, Part{Signed{c.person(a.By), c.time(a.At)}, "action", c.words.t("part.action"), a.Action})
		}
	}
	for _, name := range d.Missing() {
		out.Missing = append(out.Missing, c.words.t("part."+name))
	}
	return out
}

// knowing is the state for the words of a deviation: with its batch, which the kitchen may have let go of since.
func (c *collector) knowing(d *records.Deviation) *kitchen.State {
	if d.Batch.IsZero() || c.state.Batch(d.Batch) != nil {
		return c.state
	}
	b := kitchen.Batch{ID: d.Batch, Code: d.BatchCode, Lots: d.Lots}
	for i := range c.from.Batches {
		if x := &c.from.Batches[i]; x.ID == d.Batch {
			b.Procedure, b.Version = x.Procedure, x.Version
		}
	}
	for i := range c.from.Rows {
		if r := &c.from.Rows[i]; r.Batch == d.Batch && r.Vessel != "" && (b.Vessel == "" || r.At <= d.At) {
			b.Vessel, b.Number, b.Place = r.Vessel, r.Number, r.Place
		}
	}
	s := *c.state
	s.Batches = []kitchen.Batch{b}
	return &s
}

// close puts a lead's signature into words, and how what was signed stands to the record now.
func (c *collector) close(k *records.Close) Close {
	out := Close{Signed: c.signed(&k.Signed), Entry: k.Entry.String(), Entries: k.Entries, Seal: hexOf(k.Seal[:]), Note: k.Note}
	switch {
	case k.Late > 0:
		out.Lines = append(out.Lines, c.words.t("closeLate", "n", strconv.FormatInt(k.Late, 10)))
	case !k.Same:
		out.Lines = append(out.Lines, c.words.t("closeOther"))
	default:
		out.Lines = append(out.Lines, c.words.t("closeSame"))
	}
	if k.After > 0 {
		out.Lines = append(out.Lines, c.words.t("closeAfter", "n", strconv.FormatInt(k.After, 10)))
	}
	for _, one := range k.Carried {
		out.Carried = append(out.Carried, Carried{c.carried(one.Subject), one.Reason})
	}
	return out
}

// carried names what a close handed on: a deviation, a batch or a list.
func (c *collector) carried(s string) string {
	for i := range c.from.Deviations {
		if d := &c.from.Deviations[i]; d.Key == s {
			return c.lang.Deviation(c.knowing(d), &d.Deviation, d.At).Title
		}
	}
	if d := c.state.Deviation(s); d != nil {
		return c.lang.Deviation(c.state, d, d.At).Title
	}
	if id, ok := strings.CutPrefix(s, "batch/"); ok {
		if id, err := entry.ParseID(id); err == nil {
			return c.words.t("batch", "code", orElse(c.code(id), id.String()))
		}
	}
	if id, ok := strings.CutPrefix(s, "log/"); ok {
		if id, err := entry.ParseID(id); err == nil && c.state.Log(id) != nil {
			l := c.state.Log(id)
			return c.lang.T("log."+l.What) + ", " + orElse(l.Name, c.code(l.Batch))
		}
	}
	if name, ok := strings.CutPrefix(s, "list/"); ok {
		if l := c.state.List(name); l != nil {
			return c.lang.Text(l.Title)
		}
	}
	return s
}
