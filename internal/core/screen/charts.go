package screen

import (
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
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
			p.add(lists[at])
		}
		lists[at].rows = append(lists[at].rows, row)
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
func signs(c *statistics.Chart) (out []statistics.Signal) {
	if len(c.Values) < limitsFrom {
		return nil
	}
	var seen [statistics.Rules]bool
	all := c.Signals()
	for i := len(all) - 1; i >= 0 && all[i].At >= len(c.Values)-signLasts; i-- {
		if s := all[i]; !seen[s.Rule] {
			seen[s.Rule] = true
			out = append(out, s)
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
	if part[0] == kitchen.SeriesIn {
		name = p.t("chart.in")
	}
	if len(part) < 3 {
		return of, name
	}
	b := &kitchen.Batch{Procedure: part[1]}
	if name = p.t("chart.wait", "stage", p.l.Stage(p.State, b, part[2])); len(part) > 3 {
		name = p.l.StepText(p.State, b, part[2], "", part[3])
	}
	return of, name
}

// seriesUnit returns the unit in which the values of a series are shown.
func (p *page) seriesUnit(r *kitchen.Series) string {
	part, typedIn := strings.Split(r.Key, "/"), ""
	if part[0] == kitchen.SeriesPlace {
		if d := p.State.Equipment().Device(part[1]); d != nil {
			typedIn = d.TypedIn
		}
	} else if len(part) > 3 {
		if st := words.StepOf(p.State, &kitchen.Batch{Procedure: part[1]}, part[2], "", part[3]); st != nil {
			typedIn = st.TypedIn
		}
	}
	return words.Shown(r.Unit, typedIn)
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
	if r.Key[0] == kitchen.SeriesPlace[0] {
		of = ""
	}
	values := func(v int64) string { return p.measured(v, unit) }
	if n < limitsFrom {
		p.says(p.n("chart.few", int64(n), "least", p.num(limitsFrom)), "plain")
		out, d := p.curve(of, r.Values, nil, values, 0)
		least, most := d.Ends()
		low := ""
		if least < most {
			low = values(least)
		}
		d.Mark(values(most), low)
		out.items = d.Items()
		return
	}
	found := signs(c)
	signed := make([]bool, n)
	for _, s := range found {
		signed[s.At] = signed[s.At] || s.Rule != statistics.Spread
		p.says(p.signText(r, c, s, unit), "bad")
	}
	what := "chart.steady"
	if len(found) > 0 {
		what = "chart.look"
	}
	p.says(p.t(what), "plain")
	most, least := p.t("chart.most")+" "+p.figure(c.Upper, unit, false), p.t("chart.least")+" "+p.figure(c.Lower, unit, false)
	out, d := p.curve(of, r.Values, signed, values, 0, c.Mean, c.Lower, c.Upper)
	d.Level(plot.Limit, c.Upper, most)
	d.Rule(plot.Middle, c.Mean)
	if c.Lower > 0 || r.Unit == "mC" {
		d.Floor(plot.Limit, c.Lower, least)
	}
	out.items = d.Items()
	p.ranges(r, c, unit)
	p.add(&pairs{title: p.t("chart.facts"), rows: []pair{{p.t("chart.mean"), plain(p.figure(c.Mean, unit, false))},
		{p.t("chart.range"), plain(p.figure(c.MeanRange, unit, true))}}})
	for _, id := range [...]string{"chart.formula", "chart.own", "chart.source"} {
		p.says(p.t(id), "quiet")
	}
}

// ranges draws how far each value is from the one before.
func (p *page) ranges(r *kitchen.Series, c *statistics.Chart, unit string) {
	list := make([]kitchen.Measured, len(c.Values)-1)
	signed := make([]bool, len(list))
	for i := range list {
		list[i] = kitchen.Measured{At: r.Values[i+1].At, Value: c.Range(i + 1)}
		signed[i] = list[i].Value > c.MostRange
	}
	out, d := p.curve(p.t("chart.ranges"), list, signed, func(v int64) string { return p.l.Difference(v, unit) }, 0, 0, c.MostRange)
	d.Level(plot.Limit, c.MostRange, p.t("chart.most")+" "+p.figure(c.MostRange, unit, true))
	d.Rule(plot.Middle, c.MeanRange)
	out.items = d.Items()
}

// figure prints what was computed of values, or of how far they are apart: no finer than they are read.
func (p *page) figure(v int64, unit string, apart bool) string {
	if unit == "mC" {
		v = (v + 50) / 100 * 100
	}
	if apart {
		return p.l.Difference(v, unit)
	}
	return p.measured(v, unit)
}

// measured prints a value of a series: a unit's weight to the gram, since they differ by grams.
func (p *page) measured(v int64, unit string) string {
	if unit == "g" {
		return p.l.Exact(v, unit)
	}
	return p.l.Amount(v, unit)
}

func (p *page) signText(r *kitchen.Series, c *statistics.Chart, s statistics.Signal, unit string) string {
	v, most := c.Values[s.At], c.Upper
	side := "chart.above"
	switch {
	case s.Rule == statistics.Trend && s.Above:
		side = "chart.rise"
	case s.Rule == statistics.Trend:
		side = "chart.fall"
	case s.Rule == statistics.Spread:
		v, most = c.Range(s.At), c.MostRange
	case !s.Above:
		side, most = "chart.below", c.Lower
	}
	apart := s.Rule == statistics.Spread
	return p.t("chart.rule"+p.num(int(s.Rule)), "side", p.t(side), "value", p.figure(v, unit, apart), "limit", p.figure(most, unit, apart),
		"time", p.clock(r.Values[s.At].At))
}

// curve adds a chart of values in their order or, when it ends at an instant, in time; lines are values that must be on
// it. What the caller draws on it goes into the chart's items at the end.
func (p *page) curve(title string, list []kitchen.Measured, signed []bool, print func(int64) string, end int64, lines ...int64) (*plotted, *plot.Chart) {
	out := &plotted{title: title, head: []string{p.t("chart.at"), p.t("chart.value")}}
	points := make([]plot.Point, len(list))
	least, most := list[0].Value, list[0].Value
	for i, m := range list {
		points[i] = plot.Point{X: int64(i), Y: m.Value}
		if end != 0 {
			points[i].X = int64(m.At)
		}
		least, most = min(least, m.Value), max(most, m.Value)
		out.rows = append(out.rows, []string{p.clock(m.At), print(m.Value)})
	}
	d := plot.Over(points, lines...)
	d.Until(end)
	d.Line(plot.Value, points)
	for i, at := range points {
		tone := plot.Value
		if signed != nil && signed[i] {
			tone = plot.Signal
			out.rows[i][1] += ", " + p.t("chart.signal")
		}
		d.Spots(tone, at)
	}
	last := list[len(list)-1].At
	d.Below(p.clock(list[0].At), p.clock(max(last, stamp.Milli(end))))
	out.says = p.n("chart.says", int64(len(list)), "from", print(least), "to", print(most))
	out.items = d.Items()
	p.add(out)
	return out, d
}

// kept leads from a piece of equipment to what has been written down about it.
func (p *page) kept(d *procedure.Device) {
	c := &choice{}
	if r := p.State.SeriesOf(kitchen.SeriesKey(kitchen.SeriesPlace, d.Name)); r != nil && len(r.Values) > 0 {
		c.rows = append(c.rows, choiceRow{label: p.t("chart.chart"), detail: p.n("chart.n", int64(len(r.Values))), to: "/chart/" + r.Key})
	}
	if d.Kind == fryerKind {
		c.rows = append(c.rows, choiceRow{label: p.t("oil"), detail: p.n("oil.loads", p.State.Place(d.Name).Loads), to: "/oil/" + d.Name})
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}
