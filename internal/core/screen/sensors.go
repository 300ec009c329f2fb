package screen

import (
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/words"
)

// sensorsScreen is what sensors and loggers read last, and for a lead the way to pair one.
func (p *page) sensorsScreen() {
	p.open("sensors", p.t("sensors"), "")
	p.back("/kitchen", p.t("kitchen"))
	none, drawn := true, 0
	for i := range p.State.Sensors {
		x := &p.State.Sensors[i]
		if x.Revoked {
			continue
		}
		st := &strip{key: "sensor-" + x.Sensor, state: "none", name: orText(x.Name, x.Sensor), word: p.t("sensors.on")}
		if from := p.State.SilentFrom(x); from <= p.Now {
			st.state, st.word = "last", p.t("sensors.silent", "time", p.clock(from.Add(-kitchen.Silence(x))))
		}
		for _, place := range x.Places {
			text := p.l.Place(p.State, place) + ": "
			if f := p.State.Feed(place, x.Sensor); f != nil {
				text += p.feed(f)
			} else {
				text += p.t("sensors.unread")
			}
			if len(st.sub) > 0 {
				text = ". " + text
			}
			st.sub = append(st.sub, run{text: text})
		}
		none = false
		p.add(st)
		for _, place := range x.Places {
			if f := p.State.Feed(place, x.Sensor); f != nil && drawn < chartsMost {
				drawn++
				p.dayPlot(f)
			}
		}
	}
	files := &pairs{title: p.t("sensors.files")}
	for i := range p.State.Feeds {
		if f := &p.State.Feeds[i]; !f.Late && p.State.Sensor(f.Source) == nil {
			files.rows = append(files.rows, pair{p.l.Place(p.State, f.Place) + ", " + f.Source, plain(p.feed(f))})
		}
	}
	switch {
	case len(files.rows) > 0:
		p.add(files)
	case none:
		p.add(&empty{title: p.t("sensors.none"), line: p.line("sensors.none.line")})
	}
	p.add(&choice{rows: []choiceRow{{label: p.t("import"), detail: p.t("import.detail"), to: "/import"}}})
	if p.State.IsLead(p.Crew) {
		p.add(&bare{"sensors"})
	}
}

// chartsMost is how many days are drawn on one page.
const chartsMost = 12

// dayPlot draws the last day of a feed in quarters of an hour: their mean as a line, from the least to the most of each as a
// field, the limits, and the time beyond them.
func (p *page) dayPlot(f *kitchen.Feed) {
	unit := p.shownAt(f.Place)
	out := &plotted{title: p.l.Place(p.State, f.Place), head: []string{p.t("chart.at"), p.t("sensors.low"), p.t("sensors.mean"), p.t("sensors.high")}}
	var limits, ends []int64
	d := p.State.Equipment().Device(f.Place)
	if d != nil {
		for _, end := range []*int64{d.Reading.Max, d.Reading.Min} {
			if end != nil {
				limits = append(limits, *end)
			}
		}
	}
	var lines [][]plot.Point
	var all []plot.Point
	for i := range f.Quarters {
		q := &f.Quarters[i]
		if q.N == 0 { // of before quarters had a mean
			continue
		}
		at := plot.Point{X: int64(q.At.Add(kitchen.QuarterHour / 2)), Y: q.Mean()}
		if i == 0 || q.At.Since(f.Quarters[i-1].At) > kitchen.QuarterHour || len(lines) == 0 {
			lines = append(lines, nil)
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], at)
		all = append(all, plot.Point{X: int64(q.At), Y: q.Min}, plot.Point{X: int64(q.At.Add(kitchen.QuarterHour)), Y: q.Max})
		ends = append(ends, q.Min, q.Max)
		out.rows = append(out.rows, []string{p.clock(q.At), p.l.Amount(q.Min, unit), p.l.Amount(at.Y, unit), p.l.Amount(q.Max, unit)})
	}
	if len(out.rows) < 2 {
		return
	}
	c := plot.Over(all, limits...)
	for _, line := range lines {
		c.Line(plot.Value, line)
	}
	for i := 0; i < len(all); i += 2 {
		c.Box(plot.Reach, plot.Point{X: all[i].X, Y: all[i+1].Y}, plot.Point{X: all[i+1].X, Y: all[i].Y})
	}
	off := int64(0)
	for i := range p.State.Excursions {
		if x := &p.State.Excursions[i]; x.Place == f.Place && x.Source == f.Source && int64(x.Until) > all[0].X {
			c.Shade(plot.Signal, int64(x.From), int64(x.Until))
			off++
		}
	}
	for i, y := range limits {
		words := p.l.Amount(y, unit)
		if i == 1 || d.Reading.Max == nil {
			c.Floor(plot.Limit, y, p.t("limit.least", "min", words))
		} else {
			c.Level(plot.Limit, y, p.t("limit.most", "max", words))
		}
	}
	c.Below(out.rows[0][0], out.rows[len(out.rows)-1][0])
	out.items = c.Items()
	out.says = p.n("sensors.quarters", int64(len(out.rows)), "low", p.l.Amount(slices.Min(ends), unit), "high", p.l.Amount(slices.Max(ends), unit))
	if off > 0 {
		out.says += " " + p.n("sensors.offs", off)
	}
	p.add(out)
	p.says(out.says, "quiet")
}

// feed says what was read last, and between what in the last day.
func (p *page) feed(f *kitchen.Feed) string {
	low, high := f.MilliC, f.MilliC
	for _, q := range f.Quarters {
		low, high = min(low, q.Min), max(high, q.Max)
	}
	unit := p.shownAt(f.Place)
	return p.t("sensors.last", "value", p.l.Amount(f.MilliC, unit), "time", p.clock(f.At),
		"low", p.l.Amount(low, unit), "high", p.l.Amount(high, unit))
}

// shownAt is the unit in which a place's temperatures are shown.
func (p *page) shownAt(place string) string {
	if d := p.State.Equipment().Device(place); d != nil {
		return words.Shown("mC", d.TypedIn)
	}
	return "mC"
}

// importScreen reads a logger's file; the page does it with the kitchen's server.
func (p *page) importScreen() {
	p.open("import", p.t("import"), "")
	p.back("/sensors", p.t("sensors"))
	p.add(&bare{"import"})
}

// beyond opens an excursion to what is behind it: from when until when, how far, and what each batch had of it.
func (p *page) beyond(d *kitchen.Deviation) {
	x := p.State.Excursion(d.Key)
	if x == nil {
		return
	}
	unit := p.shownAt(x.Place)
	p.add(&pairs{title: p.t("exc"), rows: []pair{
		{p.t("exc.when"), plain(p.clock(x.From) + " – " + p.clock(x.Until))},
		{p.t("exc.limit"), plain(p.l.Amount(x.Limit, unit))},
		{p.t("exc.peak"), bold(p.l.Amount(x.Peak, unit))},
		{p.t("exc.heat"), plain(p.heat(x.Heat, unit))}}})
	c := &choice{title: p.t("exc.batches")}
	for _, u := range x.Used {
		if b := p.State.Batch(u.Batch); b != nil {
			c.rows = append(c.rows, choiceRow{label: p.name(b), detail: p.had(&u, unit), to: toBatch(b)})
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
	p.add(&note{line: p.line("exc.how"), tone: "quiet"})
	if x.Before {
		p.add(&note{line: p.line("exc.before"), tone: "bad"})
	}
}

// heat prints degrees times minutes.
func (p *page) heat(heat int64, unit string) string {
	const minute = 60_000
	return p.l.Difference((heat+minute-1)/minute, unit) + "·min"
}

func (p *page) had(u *kitchen.Had, unit string) string {
	return p.t("exc.had", "length", p.l.Over(u.Over), "heat", p.heat(u.Heat, unit))
}

// batchExcursions says what a batch had of each time in which its place was beyond its limit.
func (p *page) batchExcursions(b *kitchen.Batch) {
	c := &choice{title: p.t("exc.batch")}
	for i := range p.State.Excursions {
		x := &p.State.Excursions[i]
		for _, u := range x.Used {
			if u.Batch == b.ID {
				c.rows = append(c.rows, choiceRow{label: p.l.Place(p.State, x.Place) + ", " + p.clock(x.From),
					detail: p.had(&u, p.shownAt(x.Place)), to: "/deviation/" + escape(x.Key)})
			}
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}
