package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// PDF prints a book. The same book gives the same bytes.
func PDF(b *Book) ([]byte, error) {
	faces, err := typefaces()
	if err != nil {
		return nil, err
	}
	w, h := paperOf(b.Country)
	p := printer{flow: newFlow(faces, w, h), words: wordsOf(b.Lang), book: b}
	p.cover()
	for i := range b.Days {
		p.day(&b.Days[i])
	}
	p.end()
	return p.write(p.edges(), about{title: p.t("title") + ", " + b.Kitchen + ", " + b.Span, author: b.Kitchen, lang: b.Lang, at: b.At, bookmarks: p.marks})
}

// A printer sets a book onto pages.
type printer struct {
	*flow
	words
	book  *Book
	marks []string // titles of sections
	rows  int
	exact bool // the day has two offsets: each time says which
}

func (p *printer) edges() edges {
	b := p.book
	e := edges{left: b.Kitchen, right: b.Span, page: func(n, of int) string {
		return p.t("pageOf", "n", strconv.Itoa(n), "of", strconv.Itoa(of))
	}}
	if b.Demo {
		e.left += " · " + p.t("demo")
	}
	e.foot = p.t("entries") + ": " + strconv.FormatUint(b.Chain.Entries, 10) + " · SHA-256 " + short(b.Chain.Head) + " · " + p.instant(b.At)
	if b.Chain.Fault != "" {
		first, _, _ := strings.Cut(b.Chain.Fault, ":")
		e.alarm = p.t("brokenEdge", "fault", first)
	}
	return e
}

func short(hash string) string { return hash[:min(len(hash), 16)] }

// instant prints a time so that it can be mistaken for no other: 2026-11-24 11:05:07 -05:00.
func (p *printer) instant(t time.Time) string { return t.Format("2006-01-02 15:04:05 -07:00") }

// clock prints a time of the day that is shown.
func (p *printer) clock(t time.Time) string {
	if p.exact {
		return t.Format("15:04:05 -07:00")
	}
	return t.Format("15:04:05")
}

func (p *printer) begin(title string, rest float64) {
	p.marks = append(p.marks, title)
	p.section(title, rest)
}

// cover says what this is, of whom, what is in it, and what its bytes rest on.
func (p *printer) cover() {
	b := p.book
	p.begin(p.t("title"), 0)
	if b.Chain.Fault != "" {
		p.gap(6)
		p.box(p.t("broken"), []string{p.t("brokenAt", "fault", b.Chain.Fault, "n", strconv.Itoa(b.Chain.Faults))})
	}
	if b.Demo {
		p.box(p.t("demo"), nil)
	}
	p.text(b.Kitchen, largest, true)
	p.gap(4)
	g := p.pairs()
	add := func(key, value string) { g.row(p.flow, []cell{{text: p.t(key)}, {text: value, bold: key == "span"}}) }
	add("span", b.Span)
	add("zone", b.Zone)
	add("chosen", orElse(strings.Join(b.Chosen, "; "), p.t("everything")))
	add("printed", p.instant(b.At))
	by := b.By.String()
	if b.Device != "" {
		by = strings.TrimPrefix(by+" "+p.t("on", "device", b.Device), " ")
	}
	add("printedBy", by)
	n := strconv.FormatUint(b.Chain.Entries, 10)
	add("entries", n)
	add("hash", b.Chain.Head)
	if b.Chain.Fault == "" {
		add("verified", p.t("whole", "n", n))
	} else {
		add("verified", p.t("broken")+": "+b.Chain.Fault)
	}
	g.end(p.flow)
	p.text(p.t("howVerify", "n", n), small, false)
	p.text(p.t("deference"), normal, true)
	p.heading(p.t("isIn"), 80)
	p.contents()
	if len(b.Left) > 0 {
		p.heading(p.t("isOut"), 20)
		for _, s := range b.Left {
			p.text("– "+s, normal, false)
		}
	}
}

// pairs begins a table of two columns without a head.
func (p *printer) pairs() *grid {
	return p.table([]column{{"", 1, false}, {"", 3, false}}, normal, "")
}

// contents lists the days, with the page of each.
func (p *printer) contents() {
	g := p.table([]column{{p.t("day"), 3, false}, {p.t("rows"), 0.8, true}, {p.t("notMetCount"), 1, true}, {p.t("deviations"), 1.6, false},
		{p.t("closedBy"), 2.6, false}, {p.t("page"), 0.8, true}}, small, p.t("again", "what", p.t("isIn")))
	for i := range p.book.Days {
		d := &p.book.Days[i]
		rows, notMet := d.counts(p.shows)
		open := 0
		for k := range d.Deviations {
			if d.Deviations[k].Closed == nil {
				open++
			}
		}
		deviations := strconv.Itoa(len(d.Deviations))
		if open > 0 {
			deviations += ", " + p.t("openCount", "n", strconv.Itoa(open))
		}
		closed := p.t("notClosed")
		signed := d.last()
		if signed != nil {
			closed = signed.Who.String() + ", " + p.instant(signed.At)
		}
		g.row(p.flow, []cell{{text: d.Title}, {text: strconv.Itoa(rows)}, {text: strconv.Itoa(notMet), bold: notMet > 0},
			{text: deviations, bold: open > 0}, {text: closed, bold: signed == nil}, {page: i + 2}})
	}
	g.end(p.flow)
}

// day prints one of the kitchen's days: what a critical limit asks for first.
func (p *printer) day(d *Day) {
	p.exact = twoOffsets(d)
	p.turn()
	p.begin(d.Title, 60)
	for _, kind := range Kinds {
		var rows []*Row
		for i := range d.Rows {
			if d.Rows[i].Kind == kind {
				rows = append(rows, &d.Rows[i])
			}
		}
		if !p.shows(kind) {
			continue
		}
		switch {
		case len(rows) > 0 && kind == Sensor:
			p.sensors(rows, d.Title)
		case len(rows) > 0:
			p.heading(p.t(kind)+" ("+strconv.Itoa(len(rows))+")", 80)
			p.table7(rows, p.t(kind)+", "+d.Title)
		case kind == Cook:
			p.text(p.t("noCook"), normal, false)
		}
	}
	p.deviations(d)
	p.lists(d)
	p.close(d)
}

// shows tells whether a kind of row was asked for.
func (p *printer) shows(kind string) bool { return !slices.Contains(p.book.Without, kind) }

func twoOffsets(d *Day) bool {
	if len(d.Rows) == 0 {
		return false
	}
	_, first := d.Rows[0].At.Zone()
	return slices.ContainsFunc(d.Rows, func(r Row) bool {
		_, offset := r.At.Zone()
		return offset != first
	})
}

func (p *printer) columns() []column {
	return []column{{p.t("time"), 1.05, false}, {p.t("about"), 2.5, false}, {p.t("what"), 2.3, false}, {p.t("value"), 1.1, true},
		{p.t("limit"), 1.6, false}, {p.t("verdict"), 1.25, false}, {p.t("who"), 2.1, false}}
}

// table7 prints rows of all kinds: time, what about, step, value, limit, verdict, who.
func (p *printer) table7(rows []*Row, title string) {
	g := p.table(p.columns(), small, p.t("again", "what", title))
	for _, r := range rows {
		p.row(g, r)
	}
	g.end(p.flow)
}

func (p *printer) row(g *grid, r *Row) {
	p.rows++
	about := []string{r.Subject}
	if r.Batch != "" {
		about = append(about, p.t("batch", "code", r.Batch))
	}
	if len(r.Lots) > 0 {
		about = append(about, p.t("lots", "lots", strings.Join(r.Lots, ", ")))
	}
	what := r.What
	if r.Stage != "" {
		what = strings.TrimPrefix(r.Stage+": "+what, ": ")
	}
	limit := r.Limit
	if r.Critical && limit != "" {
		limit = p.t("critical", "limit", limit)
	}
	verdict := map[string]string{Met: p.t("met"), NotMet: p.t("notMet")}[r.Verdict]
	who := r.Who.String()
	if r.Probe != "" {
		who += "; " + p.t("probeWith", "probe", r.Probe)
	}
	g.row(p.flow, []cell{{text: p.clock(r.At)}, {text: join(about)}, {text: what}, {text: r.Value, bold: r.Verdict == NotMet}, {text: limit},
		{text: verdict, bold: r.Verdict == NotMet}, {text: who}}, p.remarks(r)...)
}

func join(list []string) string {
	return strings.Join(slices.DeleteFunc(list, func(s string) bool { return s == "" }), ", ")
}

// remarks are what is said of a row below it: both values of a correction, and what casts doubt on it.
func (p *printer) remarks(r *Row) []cell {
	var list []cell
	add := func(bold bool, s string) { list = append(list, cell{text: s, bold: bold}) }
	if r.Note != "" {
		add(false, p.t("note")+": "+r.Note)
	}
	if r.Review != "" {
		add(true, p.t("review", "why", r.Review))
	}
	if r.Late {
		add(false, p.t("late"))
	}
	for _, c := range r.Corrections {
		id := "was"
		if c.Reason == "" {
			id = "wasPlain"
		}
		add(true, p.t(id, "at", p.instant(c.At), "who", c.Who.String(), "was", c.Was, "reason", c.Reason))
		if w := c.Withdrawn; w != nil {
			add(true, p.t("wasBack", "at", p.instant(w.At), "who", w.Who.String()))
		}
	}
	if r.Withdrawn != nil {
		add(true, p.t("withdrawn", "at", p.instant(r.Withdrawn.At), "who", r.Withdrawn.Who.String()))
	}
	if r.Photo != "" {
		add(false, p.t("photo", "hash", r.Photo))
	}
	return list
}

// deviations prints each in full.
func (p *printer) deviations(d *Day) {
	if !p.shows(Deviations) {
		return
	}
	p.heading(fmt.Sprintf("%s (%d)", p.t("deviations"), len(d.Deviations)), 30)
	if len(d.Deviations) == 0 {
		p.text(p.t("noDeviation"), normal, false)
	}
	for i := range d.Deviations {
		p.deviation(&d.Deviations[i])
	}
}

func (p *printer) deviation(v *Deviation) {
	p.rows++
	title := v.Title
	if v.Critical {
		title = p.t("criticalDev") + ": " + title
	}
	g := p.table([]column{{title, 1.2, false}, {p.t("partText"), 3.6, false}, {p.t("signer"), 2, false}}, small, p.t("again", "what", title))
	lines := append([]string{join([]string{v.Subject, batchWords(p.words, v)})}, v.Lines...)
	g.row(p.flow, []cell{{text: p.t("found"), bold: true}, {text: strings.Join(lines, "\n")}, {text: p.signed(Signed{v.Who, v.At})}})
	for _, part := range v.Parts {
		g.row(p.flow, []cell{{text: part.Title, bold: true}, {text: part.Text}, {text: p.signed(part.Signed)}})
	}
	var end []cell
	if len(v.Missing) > 0 {
		end = append(end, cell{text: p.t("missing", "parts", strings.Join(v.Missing, ", ")), bold: true})
	}
	if v.Closed != nil {
		g.row(p.flow, []cell{{text: p.t("closed"), bold: true}, {}, {text: p.signed(*v.Closed)}}, end...)
	} else {
		g.row(p.flow, []cell{{text: p.t("stillOpen"), bold: true}, {}, {}}, end...)
	}
	g.end(p.flow)
}

func batchWords(w words, v *Deviation) string {
	s := ""
	if v.Batch != "" {
		s = w.t("batch", "code", v.Batch)
	}
	if len(v.Lots) > 0 {
		s += ", " + w.t("lots", "lots", strings.Join(v.Lots, ", "))
	}
	return strings.TrimPrefix(s, ", ")
}

func (p *printer) signed(s Signed) string {
	return strings.TrimPrefix(p.t("signed", "who", s.Who.String(), "at", p.instant(s.At)), ", ")
}

// lists prints the day's checklists, each step with who and when.
func (p *printer) lists(d *Day) {
	for i := range d.Lists {
		if !p.shows(Lists) {
			return
		}
		l := &d.Lists[i]
		state := p.t("listOpen")
		if l.Closed != nil {
			state = p.t("listClosed", "at", p.instant(l.Closed.At), "who", l.Closed.Who.String())
		}
		p.heading(l.Title+": "+p.t("listDone", "n", strconv.Itoa(l.Done), "of", strconv.Itoa(l.Of))+", "+state, 60)
		var rows []*Row
		for k := range l.Rows {
			rows = append(rows, &l.Rows[k])
		}
		if len(rows) > 0 {
			p.table7(rows, l.Title)
		}
		if len(l.Missing) > 0 {
			p.text(p.t("notDone", "steps", strings.Join(l.Missing, "; ")), normal, true)
		}
	}
}

// close prints the lead's signature under the day.
func (p *printer) close(d *Day) {
	p.heading(p.t("close"), 50)
	if len(d.Closes) == 0 {
		p.text(p.t("notClosed"), normal, true)
	}
	for i := range d.Closes {
		p.signature(&d.Closes[i])
	}
}

func (p *printer) signature(c *Close) {
	g := p.pairs()
	add := func(key, value string) { g.row(p.flow, []cell{{text: p.t(key)}, {text: value}}) }
	add("signature", p.signed(c.Signed)+": "+p.t("meaning"))
	add("signedLabel", p.t("signedWhat", "n", strconv.FormatUint(c.Entries, 10), "seal", c.Seal))
	for _, s := range c.Lines {
		add("", s)
	}
	for _, one := range c.Carried {
		add("carried", one.Subject+". "+p.t("reason")+": "+one.Reason)
	}
	if c.Note != "" {
		add("note", c.Note)
	}
	g.end(p.flow)
}

// end says that nothing follows, so that a page that is missing shows.
func (p *printer) end() {
	p.need(30)
	p.gap(10)
	p.text(p.t("end", "rows", strconv.Itoa(p.rows), "pages", strconv.Itoa(len(p.leaves))), normal, true)
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
