package screen

import (
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// A log that comes as a file: so many readings at most, in so many bytes.
const (
	LogReadings = 100_000
	logBytes    = 16 << 20
	faultsShown = 20
)

// Log is a probe's file that a page is handed, piece by piece, and what came of it as it was last asked.
type Log struct {
	probelog.Reader
	Name  string
	Whole bool
	bytes int
	sales *salesLog // it is a file of sales
	cook  safety.Cook
	out   *safety.Cooked
}

// NewLog begins a file. The path of the page that it was handed to says what it is.
func NewLog(name, path string) *Log {
	l := &Log{Name: name}
	if strings.HasPrefix(path, "/plan") {
		l.sales = new(salesLog)
	}
	l.Most = LogReadings
	return l
}

// Add takes a piece of it.
func (l *Log) Add(piece []byte, last bool) {
	if l.sales != nil {
		l.take(piece, last)
		return
	}
	if l.bytes += len(piece); l.bytes > logBytes && l.File == nil {
		l.File = &probelog.Fault{Problem: probelog.TooMany, N: LogReadings}
	}
	if l.File == nil {
		l.Take(piece)
	}
	if last {
		l.End()
		l.Whole = true
	}
}

// assess holds the log against the table: once for what it is held against, since screens are drawn often.
func (l *Log) assess(c safety.Cook) *safety.Cooked {
	if l.out == nil || l.cook != c {
		l.cook = c
		l.out, _ = safety.AssessCook(c, l.Readings)
	}
	return l.out
}

// prefill puts into the address what the batch, its procedure and the probe say, where nothing was typed.
func (p *page) prefill(f *cookForm) {
	f.probe = p.path.get("p")
	id, err := entry.ParseID(p.path.get("b"))
	if err == nil {
		f.batch = p.State.Batch(id)
	}
	known := func(name, value string) {
		if value != "" && !p.path.has(name) {
			p.path.query = append(p.path.query, param{name, value})
		}
	}
	if b := f.batch; b != nil {
		f.began, _ = p.State.CookSpan(b)
		if pr := p.State.Procedure(b.Procedure, b.Version); pr != nil && pr.Poultry != nil {
			if known("f", plainly(pr.Poultry.Fat)); pr.Poultry.Turkey {
				known("k", "t")
			}
		}
		if src := p.path.get("src"); src == "" {
			known("rows", p.readAlready(f))
		}
	}
	if f.probe == "" {
		f.probe = p.State.ProbeInHand(p.Crew)
	}
	if c := p.State.Probe(f.probe); c.At != 0 {
		off := max(c.Check.Off(), -c.Check.Off())
		if f.scale == "F" {
			off = (off*9 + 4) / 5
		}
		known("e", plainly(off))
	}
}

// plainly writes thousandths as a decimal.
func plainly(n int64) string {
	rest := strings.TrimRight(strconv.FormatInt(1000+n%1000, 10)[1:], "0")
	if rest != "" {
		rest = "." + rest
	}
	return strconv.FormatInt(n/1000, 10) + rest
}

// readAlready returns the temperatures that were read of the load while it was cooked, as rows of the address.
func (p *page) readAlready(f *cookForm) string {
	var rows []cookRow
	pr := p.State.Procedure(f.batch.Procedure, f.batch.Version)
	for _, m := range f.batch.Steps {
		if st, _ := pr.Stage(m.Stage); m.Unit == "mC" && st != nil && !st.Raw && st.Kind != procedure.Hold && m.At >= f.began && f.began != 0 {
			rows = append(rows, cookRow{typed: plainly(int64(m.At-f.began)) + "_" + plainly(m.Value) + "C"})
			f.probe = orText(f.probe, m.Probe)
		}
	}
	return joinRows(rows, -1)
}

// cookReadings takes the readings from where the address says: a file, or what a sensor posted.
func (p *page) cookReadings(f *cookForm) {
	src := p.path.get("src")
	place, sensor, posted := strings.Cut(src, "|")
	switch {
	case src == "csv":
		f.source, f.log = entry.LogFile, nil
		l := p.Log
		if l == nil || !l.Whole || l.File != nil || l.Bad > 0 {
			return
		}
		f.name, f.log = l.Name, l.Readings
		if f.off == "" && f.fat {
			f.out = l.assess(f.cook)
		}
	case posted:
		f.source, f.log, f.name = entry.LogPosted, nil, place+", "+sensor
		if x := p.State.Sensor(sensor); x != nil {
			f.name = p.l.Place(p.State, place) + ", " + orText(x.Name, sensor)
		}
		if x := p.State.Feed(place, sensor); x != nil {
			f.log = p.spanOf(f, x)
		}
	}
}

// span returns from when until when readings count: the load's time, or the last hour, cut as the address says.
func (p *page) span(f *cookForm) (from, until stamp.Milli) {
	from, until = p.Now.Add(-stamp.Hour), p.Now
	if f.began != 0 {
		from = f.began
		if _, end := p.State.CookSpan(f.batch); end != 0 {
			until = end
		}
	}
	begins := from
	if n := p.typed("a", "ms"); n > 0 {
		begins = from.Add(stamp.Span(n))
	}
	if n := p.typed("z", "ms"); n > 0 {
		until = from.Add(stamp.Span(n))
	}
	return begins, until
}

// spanOf returns a feed's readings in the span.
func (p *page) spanOf(f *cookForm, x *kitchen.Feed) (list []safety.Reading) {
	from, until := p.span(f)
	for _, r := range x.Kept {
		if n := len(list); r.At >= from && r.At <= until && (n == 0 || r.At > list[n-1].At) { // of two at one instant the lower counts
			list = append(list, safety.Reading{At: r.At, Heat: safety.FromMilliC(r.MilliC)})
		}
	}
	return list
}

// cookOf says of which batch the log is, or asks.
func (p *page) cookOf(f *cookForm) {
	if b := f.batch; b != nil {
		p.back(toBatch(b), p.name(b))
		began := b.MadeAt
		if f.began != 0 {
			began = f.began
		}
		p.says(p.t("cook.of", "name", p.name(b), "time", p.clock(began)), "plain")
		return
	}
	c := &choice{title: p.t("cook.batch")}
	for i := len(p.State.Batches) - 1; i >= 0 && len(c.rows) < 6; i-- {
		b := &p.State.Batches[i]
		if from, _ := p.State.CookSpan(b); from != 0 {
			c.lead(p.name(b), p.clock(from), p.cookTo("b="+b.ID.String()))
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// cookSources offers where the readings come from, and what the chosen one needs.
func (p *page) cookSources(f *cookForm) {
	c := &choice{title: p.t("cook.from")}
	src := p.path.get("src")
	add := func(label, detail, value string) {
		c.lead(label, detail, p.cookTo("e=&src="+escape(value)))
		c.rows[len(c.rows)-1].on = src == value
	}
	add(p.t("cook.from.typed"), "", "")
	add(p.t("cook.from.file"), "", "csv")
	for i := range p.State.Feeds {
		x := &p.State.Feeds[i]
		if n := len(p.spanOf(f, x)); n > 0 && !x.Late || src == x.Place+"|"+x.Source {
			name := x.Source
			if s := p.State.Sensor(x.Source); s != nil {
				name = orText(s.Name, name)
			}
			add(p.l.Place(p.State, x.Place)+", "+name, p.n("cook.from.posted", int64(n)), x.Place+"|"+x.Source)
		}
	}
	p.add(c)
	switch f.source {
	case entry.LogFile:
		p.cookFile()
	case entry.LogPosted:
		p.says(p.t("cook.oilprobe"), "bad")
		p.types("a", "min")
		p.types("z", "min")
		place, sensor, _ := strings.Cut(src, "|")
		if x := p.State.Feed(place, sensor); x != nil && x.Since != 0 {
			if from, _ := p.span(f); from < x.Since {
				p.says(p.t("cook.gone", "time", p.clock(x.Since)), "bad")
			}
		}
	}
}

// cookFile asks for the file, and says what is wrong with it.
func (p *page) cookFile() {
	l := p.Log
	w := &logfile{label: p.t("plog.choose"), text: p.t("plog.how")}
	p.add(w)
	switch {
	case l == nil:
		return
	case !l.Whole:
		w.text = p.t("plog.reading")
	case l.File != nil:
		w.label = l.Name
		p.off(l.Name, p.l.LogFault(l.File))
	case l.Bad > 0:
		w.label = l.Name
		lines := []string{}
		for i := range l.Faults[:min(len(l.Faults), faultsShown)] {
			lines = append(lines, p.l.LogFault(&l.Faults[i]))
		}
		if more := l.Bad - len(lines); more > 0 {
			lines = append(lines, p.n("plog.more", int64(more)))
		}
		p.off(p.n("plog.bad", int64(l.Bad)), append(lines, p.t("plog.do"))...)
	default:
		w.label, w.text = l.Name, p.n("cook.rows", int64(len(l.Readings)))
		if l.Cut {
			p.says(p.t("cook.warn.cut"), "plain")
		}
	}
}

// cookChecked says of the probe what its last check says of it.
func (p *page) cookChecked(f *cookForm) {
	c := p.State.Probe(f.probe)
	name := p.l.Probe(p.State, f.probe)
	if f.probe != "" && c.At == 0 {
		p.says(p.t("cook.unchecked", "probe", name), "plain")
	} else if f.probe != "" {
		p.says(p.t("cook.checked", "probe", name, "by", p.l.Difference(max(c.Check.Off(), -c.Check.Off()), "mC"), "time", p.clock(c.At)), "plain")
	}
	list := &choice{title: p.t("cook.probe")}
	for _, x := range p.State.Equipment().Probes {
		list.lead(p.text(x.Title), "", p.cookTo("e=&p="+escape(x.Name)))
		list.rows[len(list.rows)-1].on = x.Name == f.probe
	}
	if len(list.rows) > 1 {
		p.add(list)
	}
}

// cookKeep offers to keep what came of the log as a record of its batch.
func (p *page) cookKeep(f *cookForm) {
	switch {
	case f.batch == nil:
		p.says(p.t("cook.keep.need"), "plain")
	case len(f.log) > kitchen.LogRows:
		p.says(p.t("cook.keep.many", "n", p.num(len(f.log)), "m", p.num(kitchen.LogRows)), "bad")
	default:
		p.add(&buttons{actions: []button{{label: p.t("cook.keep"), small: p.t("cook.keep.detail"), style: act,
			do: &kitchen.Command{Do: kitchen.DoCookLog}, to: toBatch(f.batch)}}})
	}
}

// CookLog returns the log that a page shows as it would be kept, nil when it cannot be assessed or is of no batch.
func CookLog(ctx *Context) *entry.CookLog {
	p := newPage(ctx)
	f := p.cookForm()
	if f.batch == nil || f.out == nil {
		return nil
	}
	b := &entry.CookLog{Batch: f.batch.ID, Source: f.source, Name: f.name, Rows: probelog.Pack(f.log), Degrees: "Cel", Species: kitchen.Chicken,
		Fat: f.cook.Fat, Probe: f.probe, Error: int64(f.cook.Probe)}
	if f.scale == "F" {
		b.Degrees = "[degF]"
	}
	if f.cook.Species == safety.Turkey {
		b.Species = kitchen.Turkey
	}
	return b
}

// logfile lets a file of a probe be chosen, and says what there is to say of it.
type logfile struct{ label, text string }

func (f *logfile) write(w *jsontext.Writer) {
	begin(w, "logfile")
	w.Str("label", f.label)
	w.Str("text", f.text)
	w.EndObject()
}
