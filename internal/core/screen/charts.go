package screen

import (
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/statistics"
	"brinebell/internal/core/words"
)

// A chart has limits from so many values on, as the handbook's worked example has; a sign counts while it is among the last
// few values.
const (
	limitsFrom = 10
	signLasts  = 8
)

// chartsScreen lists what is measured again and again: of the equipment, then of each procedure.
func (p *page) chartsScreen() {
	p.open("charts", p.t("charts"), "")
	p.back("/more", p.t("more"))
	var lists []*choice
	for i := range p.State.Series {
		r := &p.State.Series[i]
		of, name := p.seriesName(r)
		row := choiceRow{label: words.Upper(name), detail: p.n("chart.n", int64(len(r.Values))), to: "/chart/" + r.Key}
		if len(signs(individuals(r))) > 0 {
			row.state, row.word = "last", p.t("chart.signal")
		}
		at := 0
		for at < len(lists) && lists[at].title != of {
			at++
		}
		if at == len(lists) {
			lists = append(lists, &choice{title: of})
		}
		lists[at].rows = append(lists[at].rows, row)
	}
	for _, c := range lists {
		p.add(c)
	}
	if len(lists) == 0 {
		p.add(&empty{title: p.t("chart.none"), line: p.line("chart.none.line")})
	}
}

func individuals(r *kitchen.Series) *statistics.Chart {
	values := make([]int64, len(r.Values))
	for i := range values {
		values[i] = r.Values[i].Value
	}
	return statistics.Individuals(values)
}

// signs returns the latest sign of each rule among the last values.
func signs(c *statistics.Chart) []statistics.Signal {
	n := len(c.Values)
	if n < limitsFrom {
		return nil
	}
	var last [statistics.Rules]*statistics.Signal
	all := c.Signals()
	for i := range all {
		if s := &all[i]; s.At >= n-signLasts {
			last[s.Rule] = s
		}
	}
	var out []statistics.Signal
	for _, s := range last {
		if s != nil {
			out = append(out, *s)
		}
	}
	return out
}

// seriesName names what is measured, and what it belongs to, by the documents of now.
func (p *page) seriesName(r *kitchen.Series) (of, name string) {
	part := strings.Split(r.Key, "/")
	if part[0] == kitchen.SeriesPlace {
		name = p.l.Place(p.State, part[1])
		if d := p.State.Equipment().Device(part[1]); d != nil && p.text(d.What) != "" {
			name += ", " + p.text(d.What)
		}
		return p.t("kitchen.equipment"), name
	}
	pr := p.State.Procedure(part[1], 0)
	if pr == nil {
		return part[1], r.Key
	}
	of, name = p.text(pr.Title), p.t("chart.unit")
	if len(part) < 3 {
		return of, name
	}
	st, _ := pr.Stage(part[2])
	if st == nil {
		return of, r.Key
	}
	name = p.t("chart.wait", "stage", p.text(st.Title))
	for i := range st.Steps {
		if len(part) > 3 && st.Steps[i].Name == part[3] {
			name = p.text(st.Steps[i].Text)
		}
	}
	return of, name
}

// seriesUnit returns the unit in which the values of a series are shown.
func (p *page) seriesUnit(r *kitchen.Series) string {
	part := strings.Split(r.Key, "/")
	switch {
	case part[0] == kitchen.SeriesPlace:
		if d := p.State.Equipment().Device(part[1]); d != nil {
			return words.Shown(r.Unit, d.TypedIn)
		}
	case len(part) > 3:
		if st := words.StepOf(p.State, &kitchen.Batch{Procedure: part[1]}, part[2], "", part[3]); st != nil {
			return words.Shown(r.Unit, st.TypedIn)
		}
	}
	return r.Unit
}

// figure prints what was computed of values: no finer than they are read.
func (p *page) figure(v int64, unit string) string {
	if unit == "mC" {
		v = (v + 50) / 100 * 100
	}
	return p.l.Amount(v, unit)
}

// apart is figure for how far values are apart.
func (p *page) apart(v int64, unit string) string {
	if unit == "mC" {
		v = (v + 50) / 100 * 100
	}
	return p.l.Difference(v, unit)
}

// chartScreen shows how steady one thing is.
func (p *page) chartScreen() {
	r := p.State.SeriesOf(p.path.rest(1))
	if r == nil {
		p.missing("missing.page")
		return
	}
	c, unit := individuals(r), p.seriesUnit(r)
	n := len(c.Values)
	of, name := p.seriesName(r)
	p.open("chart", words.Upper(name), "")
	p.back("/charts", p.t("charts"))
	found := signs(c)
	for _, s := range found {
		p.add(&note{line: plain(p.signText(r, c, s, unit)), tone: "bad"})
	}
	switch {
	case n < limitsFrom:
		p.add(&note{line: plain(p.n("chart.few", int64(n), "least", p.num(limitsFrom))), tone: "plain"})
	case len(found) == 0:
		p.add(&note{line: p.line("chart.steady"), tone: "plain"})
	default:
		p.add(&note{line: p.line("chart.look"), tone: "plain"})
	}
	drawn := p.valuesPlot(r, c, found, unit)
	if r.Key[0] != kitchen.SeriesPlace[0] {
		drawn.title = of
	}
	p.add(drawn)
	if n < limitsFrom {
		return
	}
	p.add(p.rangesPlot(r, c, unit))
	shown := func(v int64) line { return plain(p.figure(v, unit)) }
	p.add(&pairs{title: p.t("chart.facts"), rows: []pair{{p.t("chart.mean"), shown(c.Mean)}, {p.t("chart.most"), shown(c.Upper)},
		{p.t("chart.least"), shown(c.Lower)}, {p.t("chart.range"), plain(p.apart(c.MeanRange, unit))}}},
		&note{line: p.line("chart.formula"), tone: "quiet"}, &note{line: p.line("chart.own"), tone: "quiet"},
		&note{line: p.line("chart.source"), tone: "quiet"})
}

func (p *page) signText(r *kitchen.Series, c *statistics.Chart, s statistics.Signal, unit string) string {
	side, value, limit := "chart.below", p.l.Amount(c.Values[s.At], unit), p.figure(c.Lower, unit)
	switch {
	case s.Rule == statistics.Trend && s.Above:
		side = "chart.rise"
	case s.Rule == statistics.Trend:
		side = "chart.fall"
	case s.Rule == statistics.Spread:
		value, limit = p.l.Difference(c.Range(s.At), unit), p.apart(c.MostRange, unit)
	case s.Above:
		side, limit = "chart.above", p.figure(c.Upper, unit)
	}
	return p.t("chart.rule"+p.num(int(s.Rule)), "side", p.t(side), "value", value, "limit", limit, "time", p.clock(r.Values[s.At].At))
}

// valuesPlot draws the values in their order, with their mean and limits.
func (p *page) valuesPlot(r *kitchen.Series, c *statistics.Chart, found []statistics.Signal, unit string) *plotted {
	points := make([]plot.Point, len(c.Values))
	least, most := c.Values[0], c.Values[0]
	for i, v := range c.Values {
		points[i] = plot.Point{X: int64(i), Y: v}
		least, most = min(least, v), max(most, v)
	}
	out := p.plotOf(r, unit)
	out.says = p.n("chart.says", int64(len(points)), "from", p.l.Amount(least, unit), "to", p.l.Amount(most, unit))
	if len(points) < limitsFrom {
		d := plot.Over(points)
		p.drawSeries(d, r, points, nil)
		out.items = d.Items()
		return out
	}
	d := plot.Over(points, c.Mean, c.Lower, c.Upper)
	d.Level(plot.Limit, c.Upper, p.t("chart.most")+" "+p.figure(c.Upper, unit))
	d.Rule(plot.Middle, c.Mean)
	if c.Lower > 0 || r.Unit == "mC" {
		d.Floor(plot.Limit, c.Lower, p.t("chart.least")+" "+p.figure(c.Lower, unit))
	}
	signed := make([]bool, len(points))
	for _, s := range found {
		signed[s.At] = signed[s.At] || s.Rule != statistics.Spread
	}
	p.drawSeries(d, r, points, signed)
	out.items = d.Items()
	for i, s := range signed {
		if s {
			out.rows[i] = append(out.rows[i], p.t("chart.signal"))
		}
	}
	return out
}

// plotOf begins a chart with the table of a series.
func (p *page) plotOf(r *kitchen.Series, unit string) *plotted {
	out := &plotted{head: []string{p.t("chart.at"), p.t("chart.value")}}
	for _, v := range r.Values {
		out.rows = append(out.rows, []string{p.clock(v.At), p.l.Amount(v.Value, unit)})
	}
	return out
}

func (p *page) drawSeries(d *plot.Chart, r *kitchen.Series, points []plot.Point, signed []bool) {
	d.Line(plot.Value, points)
	for i, at := range points {
		tone := plot.Value
		if signed != nil && signed[i] {
			tone = plot.Signal
		}
		d.Spots(tone, at)
	}
	d.Below(p.clock(r.Values[0].At), p.clock(r.Values[len(r.Values)-1].At))
}

// rangesPlot draws how far each value is from the one before.
func (p *page) rangesPlot(r *kitchen.Series, c *statistics.Chart, unit string) *plotted {
	out := &plotted{title: p.t("chart.ranges"), head: []string{p.t("chart.at"), p.t("chart.value")}}
	points := make([]plot.Point, len(c.Values)-1)
	signed := make([]bool, len(points))
	most := int64(0)
	for i := range points {
		v := c.Range(i + 1)
		points[i] = plot.Point{X: int64(i), Y: v}
		signed[i], most = v > c.MostRange, max(most, v)
		out.rows = append(out.rows, []string{p.clock(r.Values[i+1].At), p.l.Difference(v, unit)})
	}
	d := plot.Over(points, 0, c.MostRange)
	d.Level(plot.Limit, c.MostRange, p.t("chart.most")+" "+p.apart(c.MostRange, unit))
	d.Rule(plot.Middle, c.MeanRange)
	p.drawSeries(d, r, points, signed)
	out.items = d.Items()
	out.says = p.n("chart.says", int64(len(points)), "from", p.l.Difference(0, unit), "to", p.l.Difference(most, unit))
	return out
}

// kept leads from a piece of equipment to what has been written down about it.
func (p *page) kept(d *procedure.Device) {
	var out []button
	if r := p.State.SeriesOf(kitchen.SeriesKey(kitchen.SeriesPlace, d.Name)); r != nil && len(r.Values) > 1 {
		out = append(out, button{label: p.t("chart.chart"), small: p.n("chart.n", int64(len(r.Values))), style: quiet, to: "/chart/" + r.Key})
	}
	if d.Kind == fryerKind {
		out = append(out, button{label: p.t("oil"), small: p.n("oil.loads", p.State.Place(d.Name).Loads), style: quiet, to: "/oil/" + escape(d.Name)})
	}
	if len(out) > 0 {
		p.add(&buttons{actions: out})
	}
}
