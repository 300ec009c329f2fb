package screen

import (
	"strings"

	"brinebell/internal/core/order"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// cookRowsMost bounds a log that is typed: a longer one comes as a file.
const cookRowsMost = 60

// cookForm is the log of a cook as it stands in the address: nothing of it is an entry.
type cookForm struct {
	cook safety.Cook
	rows []cookRow
	fat  bool   // it was typed, and the table has it
	off  string // the text that says which number is off
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
	scale, unit := "C", "mC"
	if p.path.get("u") == "F" {
		scale, unit = "F", "[degF]"
	}
	f := p.cookForm(scale)
	p.add(&note{line: p.line("cook.line"), tone: "quiet"},
		&caution{key: "oil", title: p.t("caution.oil"), lines: []string{p.t("caution.oil.probe")}},
		&choice{title: p.t("cook.species"), rows: []choiceRow{
			{label: p.t("cook.chicken"), to: p.cookTo("k", ""), on: f.cook.Species == safety.Chicken},
			{label: p.t("cook.turkey"), to: p.cookTo("k", "t"), on: f.cook.Species == safety.Turkey}}},
		&choice{title: p.t("cook.unit"), rows: []choiceRow{
			{label: "°C", to: p.cookTo("u", "", "e", "", "t", ""), on: scale == "C"},
			{label: "°F", to: p.cookTo("u", "F", "e", "", "t", ""), on: scale == "F"}}},
		&pad{name: "f", text: p.path.get("f"), unit: "%", label: p.t("cook.fat")},
		&pad{name: "e", text: p.path.get("e"), unit: "°" + scale, label: p.t("cook.probe")},
		&pad{name: "s", text: p.path.get("s"), unit: "s", label: p.t("cook.at")},
		&pad{name: "t", text: p.path.get("t"), unit: "°" + scale, label: p.t("cook.temp"), signed: true})
	if next, ok := cookReading(p.path.get("s") + "_" + p.path.get("t") + scale); ok && len(f.rows) < cookRowsMost {
		p.add(&buttons{actions: []button{{label: p.t("cook.add"), style: act, to: p.cookTo("s", "", "t", "", "rows", joinRows(f.put(next), -1))}}})
	}
	if f.off != "" {
		p.add(&note{line: p.line(f.off), tone: "bad"})
	}
	p.cookRows(f, unit)
	if len(f.rows) == 0 || !f.fat || f.off != "" {
		return
	}
	log := make([]safety.Reading, len(f.rows))
	for i := range f.rows {
		log[i] = f.rows[i].Reading
	}
	if out, err := safety.AssessCook(f.cook, log); err == nil {
		p.cookFound(f, log, out, unit)
	}
}

// cookTo is this page's address with some of its query replaced.
func (p *page) cookTo(changed ...string) string {
	all := append([]string{}, changed...)
	for _, q := range p.path.query {
		known := false
		for i := 0; i < len(changed); i += 2 {
			known = known || changed[i] == q.name
		}
		if !known {
			all = append(all, q.name, q.value)
		}
	}
	return address("/cook", all...)
}

// cookForm reads the address. A number that cannot be read is not typed to its end yet.
func (p *page) cookForm(scale string) cookForm {
	var f cookForm
	if p.path.get("k") == "t" {
		f.cook.Species = safety.Turkey
	}
	var err error
	f.cook.Fat, err = safety.ParseFat(pointed(p.path.get("f")))
	if f.fat = err == nil; err == safety.ErrFat {
		f.off = "cook.fat.most"
	}
	if text := p.path.get("e"); text != "" {
		f.cook.Probe, err = safety.ParseDifference(pointed(text), scale == "F")
		if err == quantity.ErrLarge || f.cook.Probe > safety.ProbeMost {
			f.off = "cook.probe.most"
		}
	}
	for row := range strings.SplitSeq(p.path.get("rows"), "*") {
		if r, ok := cookReading(row); ok && len(f.rows) < cookRowsMost {
			f.rows = f.put(r)
		}
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
func (f *cookForm) put(r cookRow) []cookRow {
	rows := append([]cookRow{}, f.rows...)
	i := len(rows)
	for i > 0 && rows[i-1].At >= r.At {
		i--
	}
	if i < len(rows) && rows[i].At == r.At {
		rows[i] = r
		return rows
	}
	return order.Insert(rows, i, r)
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
func (p *page) cookRows(f cookForm, unit string) {
	if len(f.rows) == 0 {
		p.add(&note{line: p.line("cook.none"), tone: "plain"})
		return
	}
	c := &choice{title: p.n("cook.rows", int64(len(f.rows)))}
	for i, r := range f.rows {
		seconds, degrees, _ := strings.Cut(r.typed, "_")
		c.rows = append(c.rows, choiceRow{label: p.l.Dwell(int64(r.At)) + ", " + p.l.Amount(r.Heat.MilliC(), unit), detail: p.t("cook.change"),
			to: p.cookTo("s", seconds, "t", degrees[:len(degrees)-1], "u", strings.TrimPrefix(degrees[len(degrees)-1:], "C"), "rows", joinRows(f.rows, i))})
	}
	p.add(c)
	if !f.fat && f.off == "" {
		p.add(&note{line: p.line("cook.fat.need"), tone: "plain"})
	}
}

// cookFound shows what came of the log, what it rests on, and what should be known beside it.
func (p *page) cookFound(f cookForm, log []safety.Reading, out *safety.Cooked, unit string) {
	say := p.l.Cooked(out, unit)
	tone := "plain"
	if !out.Met {
		tone = "bad"
	}
	p.add(&note{line: append(bold(say.Verdict+". "), plain(say.Why)...), tone: tone}, p.cookPlot(f, log, out, say.Verdict+". "+say.Why, unit),
		&pairs{title: p.t("cook.beside"), rows: []pair{{p.t("cook.up"), plain(say.ComeUp)}, {p.t("cook.kill"), plain(say.Estimate)}}})
	for _, w := range say.Warnings {
		p.add(&note{line: plain(w), tone: "plain"})
	}
	table := &pairs{title: p.t("cook.table")}
	for i, r := range out.Rows {
		value := p.l.Dwell(int64(r.Dwell))
		if i == len(out.Rows)-1 {
			value = p.t("cook.instant")
		}
		runs := plain(value)
		runs[0].bold = r.F == out.Run.Row.F
		table.rows = append(table.rows, pair{p.l.CookRow(r, unit), runs})
	}
	p.add(table, &note{line: plain(out.Dwell.Formula), tone: "quiet"})
	for _, s := range say.Sources {
		p.add(&note{line: plain(s), tone: "quiet"})
	}
	p.add(&note{line: plain(say.Local), tone: "plain"})
}

// cookPlot draws the readings, the probe's error off, with the printed row that decides and the run that held it.
func (p *page) cookPlot(f cookForm, log []safety.Reading, out *safety.Cooked, says, unit string) *plotted {
	c := &plotted{title: p.t("cook.plot"), says: says, head: []string{p.t("cook.at"), p.t("cook.temp")}}
	points := make([]plot.Point, len(log))
	for i, r := range log {
		points[i] = plot.Point{X: int64(r.At), Y: (r.Heat - f.cook.Probe).MilliC()}
		c.rows = append(c.rows, []string{p.l.Dwell(int64(r.At)), p.l.Amount(points[i].Y, unit)})
	}
	row := out.Run.Row
	if row.F == 0 {
		row = out.Rows[0]
	}
	once := out.Rows[len(out.Rows)-1]
	d := plot.Over(points, row.Heat.MilliC(), once.Heat.MilliC())
	d.Level(plot.Limit, once.Heat.MilliC(), p.l.CookRow(once, unit)+", "+p.t("cook.instant"))
	d.Level(plot.Limit, row.Heat.MilliC(), p.l.CookRow(row, unit)+", "+p.l.Dwell(int64(row.Dwell)))
	d.Line(plot.Value, points)
	if run := out.Run; run.Held >= 0 {
		d.Shade(plot.Held, int64(log[run.First].At), int64(log[run.Last].At))
		d.Line(plot.Held, points[run.First:run.Last+1])
	}
	if out.Instant >= 0 {
		d.Spots(plot.Held, points[out.Instant])
	}
	d.Below(p.l.Dwell(int64(log[0].At)), p.l.Dwell(int64(log[len(log)-1].At)))
	c.items = d.Items()
	return c
}
