package report

import (
	"slices"
	"strconv"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
	coreWords "brinebell/internal/core/words"
)

// Ask is what is asked for.
type Ask struct {
	From, To int32  // the kitchen's days, since 1970-01-01, both included
	Lang     string // en or es
	By       string // crew id of who prints; empty: ByName counts
	ByName   string
	Device   string // id of the device that asks; empty: the kitchen's server
	At       stamp.Milli
	Show     []string // kinds of rows, "deviations", "lists"; none: those of Usual
	Batch    string   // id
	Code     string   // of a batch
	Lot      string
	Crew     string
	Limit    string // records.Row.LimitKey
	Critical bool   // only what a critical limit is set for
	All      bool   // collect rows of all kinds, shown or not: for programs
	Aside    int    // entries that the kitchen set aside
}

// kinds are the kinds of rows to be collected.
func (a *Ask) kinds() []records.Kind {
	if a.All {
		return records.Kinds[:]
	}
	var list []records.Kind
	for _, k := range a.show() {
		list = append(list, records.Kind(k))
	}
	return list
}

func (a *Ask) show() []string {
	if len(a.Show) == 0 {
		return Usual
	}
	return a.Show
}

// narrows tells whether not everything of the days is asked for.
func (a *Ask) narrows() bool {
	return a.Batch != "" || a.Code != "" || a.Lot != "" || a.Crew != "" || a.Limit != "" || a.Critical
}

// Usual is what a print shows when nothing is chosen: what a limit is set for, and what was signed. Steps and moves of
// batches make many pages; the CSV and the JSON hold them all.
var Usual = []string{Cook, Reading, Log, Sensor, Receiving, Probe, Oil, Deviations, Lists}

// follow is for how long after a day what belongs to it is expected: its close, the end of its lists.
const follow = 36 * stamp.Hour

// Collect makes a book out of a journal: base is the state after all entries up to a place before the days asked for, and
// items are the entries after it, to the journal's end, in any order; they are used up. Corrections count whenever they
// were made; what was done about a deviation is told up to now.
func Collect(a Ask, base *kitchen.State, items []records.Item) *Book {
	items = choose(a, base, items)
	c := collector{ask: a, lang: coreWords.Of(a.Lang), words: wordsOf(a.Lang)}
	c.from = records.FoldOf(base, items, a.From, a.To, a.kinds())
	c.state = c.from.State
	q := records.Query{Code: a.Code, Lot: a.Lot, Crew: a.Crew, Limit: a.Limit, Critical: a.Critical}
	if id, err := entry.ParseID(a.Batch); err == nil {
		q.Batch = id
	}
	if a.narrows() {
		c.from = c.from.Find(q)
	}
	return c.bind(items)
}

// choose takes the entries that can be about the days asked for, in their order. Long after them only what is about what
// stands there already counts: so a day of last year costs little more than one of last week.
func choose(a Ask, base *kitchen.State, items []records.Item) []records.Item {
	end := base.DayStart(a.To + 1).Add(follow)
	if len(base.Offsets) == 0 {
		end = end.Add(stamp.Day)
	}
	inOrder := func(x, y records.Item) int { return entry.Compare(&x.Entry, &y.Entry) }
	if !slices.IsSortedFunc(items, inOrder) {
		slices.SortStableFunc(items, inOrder)
	}
	near := 0 // up to here all of them are needed
	for i := range items {
		if e := &items[i].Entry; e.At.At < end {
			near = i + 1
		} else if closes(e, a) { // the signature counts the entries before it
			near, end = i+1, e.At.At+1
		}
	}
	kept := items[:near]
	for _, i := range items[near:] {
		switch i.Entry.Kind {
		case entry.EntryWithdrawn, entry.EntryCorrected, entry.DeviationAnswered, entry.DeviationPart:
			kept = append(kept, i)
		}
	}
	return kept
}

// closes tells whether an entry closes one of the days asked for.
func closes(e *entry.Entry, a Ask) bool {
	if e.Kind != entry.DayClosed {
		return false
	}
	b, err := e.Open()
	if err != nil {
		return false
	}
	day := b.(*entry.DayClose).Day
	return day >= a.From && day <= a.To
}

// A collector puts the kitchen's records into words.
type collector struct {
	ask   Ask
	lang  coreWords.Lang
	words words
	from  *records.Book
	state *kitchen.State
}

func isoDay(day int32) string { return dayTime(day).Format(time.DateOnly) }

func dayTime(day int32) time.Time { return time.Unix(int64(day)*86400, 0).UTC() }

func (c *collector) title(day int32) string {
	return c.lang.Date(day, false) + " " + dayTime(day).Format("2006")
}

// time is an instant in the offset that the kitchen's clocks had then.
func (c *collector) time(at stamp.Milli) time.Time {
	return time.UnixMilli(int64(at)).In(time.FixedZone("", int(c.state.OffsetAt(at).Minutes)*60))
}

// person names somebody as they are listed now.
func (c *collector) person(crew string) Person {
	p := Person{ID: crew, Name: crew}
	if m := c.state.Member(crew); m != nil {
		p.Name, p.Role = m.Name, c.role(m.Role)
	}
	return p
}

func (c *collector) role(r entry.Role) string {
	names := [...]string{"role.cook", "role.lead", "role.trainee"}
	if int(r) >= len(names) {
		return c.words.t("role.other")
	}
	return c.words.t(names[r])
}

// signed says who signed, as they were listed then.
func (c *collector) signed(g *records.Signed) Signed {
	p := Person{ID: g.Crew, Name: orElse(g.Name, g.Crew)}
	if g.Name != "" {
		p.Role = c.role(g.Role)
	}
	return Signed{p, c.time(g.At)}
}

func (c *collector) signedOpt(g *records.Signed) *Signed {
	if g == nil {
		return nil
	}
	s := c.signed(g)
	return &s
}

func (c *collector) device(id string) string {
	if d := c.state.Device(id); d != nil && d.Name != "" {
		return d.Name
	}
	return id
}

// bind puts the days in their order and says what the book is.
func (c *collector) bind(items []records.Item) *Book {
	s := c.state
	b := &Book{Kitchen: s.Name, Zone: s.Zone, Country: s.Country, Lang: string(c.lang), Demo: s.Demo, From: isoDay(c.ask.From), To: isoDay(c.ask.To),
		Span: c.title(c.ask.From), At: c.time(c.ask.At), By: c.person(c.ask.By), Device: c.device(c.ask.Device)}
	if c.ask.By == "" {
		b.By.Name = c.ask.ByName
	}
	if c.ask.To != c.ask.From {
		b.Span += " – " + c.title(c.ask.To)
	}
	for day := c.ask.From; day <= c.ask.To; day++ {
		b.Days = append(b.Days, Day{Day: isoDay(day), Title: c.title(day)})
	}
	at := func(day int32) *Day {
		if day < c.ask.From || day > c.ask.To {
			return nil
		}
		return &b.Days[day-c.ask.From]
	}
	for i := range c.from.Rows {
		// What a sensor read in one go may tell of several days: each of its readings is put on its own.
		if r := &c.from.Rows[i]; (r.List == "" || r.Step == "") && r.Kind != records.Sensor {
			if d := at(r.Day); d != nil {
				d.Rows = append(d.Rows, c.row(r))
			}
		}
	}
	if !c.ask.narrows() {
		c.sensors(items, at)
	}
	for i := range c.from.Deviations {
		if d := at(c.from.Deviations[i].Day); d != nil {
			d.Deviations = append(d.Deviations, c.deviation(&c.from.Deviations[i]))
		}
	}
	for i := range c.from.Lists {
		if d := at(c.from.Lists[i].Day); d != nil {
			d.Lists = append(d.Lists, c.list(&c.from.Lists[i]))
		}
	}
	for i := range c.from.Closes {
		if d := at(c.from.Closes[i].Day); d != nil {
			d.Closes = append(d.Closes, c.close(&c.from.Closes[i]))
		}
	}
	c.chosen(b)
	c.leaves(b)
	return b
}

// chosen says what was asked for, when it is not everything.
func (c *collector) chosen(b *Book) {
	show := c.ask.show()
	for _, kind := range append(Kinds[:], Deviations, Lists) {
		if !slices.Contains(show, kind) {
			b.Without = append(b.Without, kind)
		}
	}
	add := func(id, value string) {
		if value != "" {
			b.Chosen = append(b.Chosen, c.words.t(id, "what", value))
		}
	}
	var names []string
	for _, kind := range c.ask.Show {
		names = append(names, c.words.t(kind))
	}
	add("only", join(names))
	code := c.ask.Code
	for i := range c.from.Batches {
		if x := &c.from.Batches[i]; x.ID.String() == c.ask.Batch {
			code = x.Code
		}
	}
	add("onlyBatch", orElse(code, c.ask.Batch))
	add("onlyLot", c.ask.Lot)
	if c.ask.Crew != "" {
		add("onlyCrew", c.person(c.ask.Crew).String())
	}
	add("onlyLimit", c.ask.Limit)
	if c.ask.Critical {
		b.Chosen = append(b.Chosen, c.words.t("onlyCritical"))
	}
}

// leaves says what a print leaves out, of what there is.
func (c *collector) leaves(b *Book) {
	for _, kind := range b.Without {
		n := c.from.Without[records.Kind(kind)]
		for i := range b.Days {
			for k := range b.Days[i].Rows {
				if b.Days[i].Rows[k].Kind == kind {
					n++
				}
			}
			if kind == Deviations {
				n += len(b.Days[i].Deviations)
			}
			if kind == Lists {
				n += len(b.Days[i].Lists)
			}
		}
		id := "leftRows"
		if len(c.ask.Show) > 0 {
			id = "leftChosen"
		}
		if n > 0 {
			b.Left = append(b.Left, c.words.t(id, "kind", c.words.t(kind), "n", strconv.Itoa(n)))
		}
	}
	if c.ask.Aside > 0 {
		b.Left = append(b.Left, c.words.t("leftAside", "n", strconv.Itoa(c.ask.Aside)))
	}
	b.Left = append(b.Left, c.words.t("leftPhotos"), c.words.t("leftPlans"))
}
