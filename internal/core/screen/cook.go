package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// cookRowsMost bounds a log that is typed: a longer one comes as a file.
const cookRowsMost = 60

// cookForm is the log of a cook as it stands in the address: nothing of it is an entry.
type cookForm struct {
	cook   safety.Cook
	scale  string // C or F
	rows   []cookRow
	fat    bool             // it was typed, and the table has it
	off    string           // the text that says which number is off
	batch  *kitchen.Batch   // of which it is the log; nil: of none
	began  stamp.Milli      // when that was loaded
	probe  string           // with which it was read
	source string           // of entry.CookLog.Source
	name   string           // of the file or the sensor
	log    []safety.Reading // by their times
	out    *safety.Cooked   // what came of it; nil: it cannot be assessed yet
}

// cookRow is a reading and how it was typed: seconds since the first one, degrees and their scale, "30_161F".
type cookRow struct {
	safety.Reading
	typed string
}

// cookScreen holds a typed log of a cook's core temperature against the published tables.
func (p *page) cookScreen() {
	p.open("cook", p.t("cook"), "")
	p.back("/more", p.t("more"))
	if p.path.at(1) != "" {
		p.cookKept()
		return
	}
	f := p.cookForm()
	degree, unit := "°C", "mC"
	if f.scale == "F" {
		degree, unit = "°F", "[degF]"
	}
	p.says(p.t("cook.line"), "quiet")
	p.add(&caution{key: "oil", title: p.t("caution.oil"), lines: []string{p.t("caution.oil.probe")}})
	p.cookOf(&f)
	p.cookSources(&f)
	first := f.source != entry.LogTyped && f.out != nil // nothing is left to be typed
	if first {
		p.cookFound(&f, unit)
	}
	p.pick("cook.species", f.cook.Species == safety.Turkey, "k=", p.t("cook.chicken"), "k=t", p.t("cook.turkey"))
	p.types("f", "%")
	if f.source != entry.LogFile || p.Log != nil && p.Log.Whole { // a file says in which degrees
		p.types("e", degree)
	}
	p.cookChecked(&f)
	if f.source == entry.LogTyped {
		p.pick("cook.unit", f.scale == "F", "e=&t=&u=", "°C", "e=&t=&u=F", "°F")
		p.types("s", "s")
		p.types("t", degree)
		if next, ok := cookReading(p.path.get("s") + "_" + p.path.get("t") + f.scale); ok && len(f.rows) < cookRowsMost {
			p.add(&buttons{actions: []button{{label: p.t("cook.add"), style: act, to: p.cookTo("s=&t=&rows=" + joinRows(f.put(next), -1))}}})
		}
	}
	if f.off != "" {
		p.says(p.t(f.off), "bad")
	}
	if f.out == nil {
		p.cookRows(&f, unit)
		return
	}
	if !first {
		p.cookFound(&f, unit)
	}
	p.cookKeep(&f)
	p.cookTable(&f, unit)
}

func (p *page) says(text, tone string) { p.add(&note{line: plain(text), tone: tone}) }

// pick offers two values of a query field.
func (p *page) pick(title string, second bool, to, label, to2, label2 string) {
	p.add(&choice{title: p.t(title), rows: []choiceRow{{label: label, to: p.cookTo(to), on: !second}, {label: label2, to: p.cookTo(to2), on: second}}})
}

// types offers a pad for a field of the query.
func (p *page) types(name, unit string) {
	p.add(&pad{name: name, text: p.path.get(name), unit: unit, label: p.t("cook.pad." + name), signed: name == "t"})
}

// cookTo is this page's address with some of its query replaced.
func (p *page) cookTo(query string) string { return p.replaced("/cook", query) }

// replaced is an address with this page's query, some of it replaced.
func (p *page) replaced(where, query string) string {
	changed := parsePath("?" + query)
	for _, q := range p.path.query {
		if !changed.has(q.name) {
			changed.query = append(changed.query, q)
		}
	}
	var all []string
	for _, q := range changed.query {
		all = append(all, q.name, q.value)
	}
	return address(where, all...)
}

// cookForm reads the address. A number that cannot be read is not typed to its end yet.
func (p *page) cookForm() cookForm {
	f := cookForm{scale: "C", source: entry.LogTyped}
	file := p.path.get("src") == "csv"
	if file && p.Log != nil && p.Log.Fahrenheit || !file && p.path.get("u") == "F" {
		f.scale = "F"
	}
	p.prefill(&f)
	if p.path.get("k") == "t" {
		f.cook.Species = safety.Turkey
	}
	var err error
	f.cook.Fat, err = safety.ParseFat(pointed(p.path.get("f")))
	if f.fat = err == nil; err == safety.ErrFat {
		f.off = "cook.fat.most"
	}
	f.cook.Probe, err = safety.ParseDifference(pointed(p.path.get("e")), f.scale == "F")
	if err == quantity.ErrLarge || f.cook.Probe > safety.ProbeMost {
		f.off = "cook.probe.most"
	}
	for _, row := range strings.Split(p.path.get("rows"), "*") {
		if r, ok := cookReading(row); ok && len(f.rows) < cookRowsMost {
			f.rows = f.put(r)
		}
	}
	for i := range f.rows {
		f.log = append(f.log, f.rows[i].Reading)
	}
	p.cookReadings(&f)
	switch {
	case f.off == "" && len(f.log) == 0 && f.source == entry.LogTyped:
		f.off = "cook.none"
	case f.off == "" && !f.fat:
		f.off = "cook.fat.need"
	}
	if f.off == "" && len(f.log) > 0 && f.out == nil {
		f.out, _ = safety.AssessCook(f.cook, f.log)
	}
	return f
}

// pointed lets a decimal comma be a point, and a number end in one while it is typed.
func pointed(text string) string { return strings.TrimSuffix(strings.Replace(text, ",", ".", 1), ".") }

func cookReading(typed string) (cookRow, bool) {
	seconds, degrees, _ := strings.Cut(typed, "_")
	n := len(degrees) - 1
	if n < 0 {
		return cookRow{}, false
	}
	ms, err := quantity.Typed(seconds, "s", quantity.Milli)
	h, err2 := safety.ParseHeat(pointed(degrees[:n]), degrees[n] == 'F')
	return cookRow{safety.Reading{At: stamp.Milli(ms), Heat: h}, typed},
		err == nil && err2 == nil && ms >= 0 && ms < int64(2*stamp.Day)
}

// put returns the rows with one more, by its time; at a time that is there already it takes the other's place.
func (f *cookForm) put(r cookRow) (rows []cookRow) {
	for i := range f.rows {
		if f.rows[i].At < r.At {
			rows = append(rows, f.rows[i])
		}
	}
	rows = append(rows, r)
	for i := range f.rows {
		if f.rows[i].At > r.At {
			rows = append(rows, f.rows[i])
		}
	}
	return rows
}

// joinRows writes rows for the address, without the one at an index.
func joinRows(rows []cookRow, without int) string {
	text := ""
	for i := range rows {
		if i == without {
			continue
		}
		if text != "" {
			text += "*"
		}
		text += rows[i].typed
	}
	return text
}

// cookRows lists the readings; a tap takes one back to be typed again.
func (p *page) cookRows(f *cookForm, unit string) {
	if len(f.rows) == 0 {
		return
	}
	c := &choice{title: p.n("cook.rows", int64(len(f.rows)))}
	for i, r := range f.rows {
		seconds, degrees, _ := strings.Cut(r.typed, "_")
		n := len(degrees) - 1
		c.rows = append(c.rows, choiceRow{label: p.l.Dwell(int64(r.At)) + ", " + p.l.Amount(r.Heat.MilliC(), unit), detail: p.t("cook.change"),
			to: p.cookTo("s=" + seconds + "&t=" + degrees[:n] + "&u=" + degrees[n:] + "&rows=" + joinRows(f.rows, i))})
	}
	p.add(c)
}

// cookFound shows what came of the log, what it rests on, and what should be known beside it.
func (p *page) cookFound(f *cookForm, unit string) {
	out := f.out
	say := p.l.Cooked(out, unit)
	tone := "plain"
	if !out.Met {
		tone = "bad"
	}
	found := say.Verdict + ". " + say.Why
	p.says(found, tone)
	p.cookPlot(f, found, unit)
	p.cookRows(f, unit)
	for _, text := range append([]string{p.t("cook.up") + ": " + say.ComeUp, say.Estimate}, say.Warnings...) {
		p.says(text, "plain")
	}
}

// cookTable shows the table, and what all of it rests on.
func (p *page) cookTable(f *cookForm, unit string) {
	out := f.out
	say := p.l.Cooked(out, unit)
	table := &pairs{title: p.t("cook.table")}
	for _, r := range out.Rows {
		table.rows = append(table.rows, pair{p.l.CookRow(r, unit), line{{text: p.cookDwell(r), bold: r == out.Row}}})
	}
	p.add(table)
	for _, text := range append(say.Sources, out.Dwell.Formula, say.Local) {
		p.says(text, "quiet")
	}
}

func (p *page) cookDwell(r safety.Row) string {
	if r.Dwell == 0 {
		return p.t("cook.instant")
	}
	return p.l.Dwell(int64(r.Dwell))
}

// cookPlot draws the readings, the probe's error off, with the printed row that decides and the run that held.
func (p *page) cookPlot(f *cookForm, says, unit string) {
	c := &plotted{title: p.t("cook.plot"), says: says, head: []string{p.t("cook.pad.s"), p.t("cook.pad.t")}}
	log, out := f.log, f.out
	from := stamp.Milli(0) // what was typed is counted from its own beginning
	if f.source != entry.LogTyped {
		from = log[0].At
	}
	points := make([]plot.Point, len(log))
	apart := (len(log) + cookRowsMost - 1) / cookRowsMost // of a long log the table has as many rows as can be heard
	for i, r := range log {
		points[i] = plot.Point{X: int64(r.At - from), Y: (r.Heat - f.cook.Probe).MilliC()}
		if i%apart == 0 || i == out.Run.First || i == out.Run.Last || i == out.Instant || i == len(log)-1 {
			c.rows = append(c.rows, []string{p.l.Dwell(points[i].X), p.l.Amount(points[i].Y, unit)})
		}
	}
	level := out.Row.Heat.MilliC()
	d := plot.Over(points, level)
	d.Floor(plot.Limit, level, p.l.CookRow(out.Row, unit)+", "+p.cookDwell(out.Row))
	d.Line(plot.Value, points)
	if run := out.Run; run.Held >= 0 {
		d.Shade(plot.Held, points[run.First].X, points[run.Last].X)
		d.Line(plot.Held, points[run.First:run.Last+1])
	}
	if out.Instant >= 0 {
		d.Spots(plot.Held, points[out.Instant])
	}
	d.Below(c.rows[0][0], c.rows[len(c.rows)-1][0])
	c.items = d.Items()
	p.add(c)
}
