package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	est "brinebell/internal/core/fixed"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/statistics"
	"brinebell/internal/core/words"
)

// oilScreen is a fryer's oil: how long it may still last, what was done with it, and what can be done.
func (p *page) oilScreen() {
	d := p.State.Equipment().Device(p.path.at(1))
	if d == nil || d.Kind != fryerKind {
		p.missing("missing.page")
		return
	}
	p.open("oil", p.text(d.Title)+": "+words.Lower(p.t("oil")), "")
	p.back("/place/"+escape(d.Name), p.text(d.Title))
	place := p.State.Place(d.Name)
	own, limit := kitchen.OilLimits(p.State.Country)
	p.add(&caution{key: "oil", title: p.t("caution.oil"),
		lines: []string{p.t("oil.caution.1"), p.t("oil.caution.2"), p.t("oil.caution.3")}})
	p.oilAhead(place, &limit)
	p.oilActs(d)
	p.oilFacts(place)
	p.oilLimits(own, &limit)
	p.oilLog(place)
}

// measuredOil lists the measurements of polar compounds since the oil was filled.
func measuredOil(place *kitchen.Place) []kitchen.OilMark {
	var list []kitchen.OilMark
	for _, m := range place.Oil {
		if m.Deed == entry.OilMeasured && m.Polar > 0 && m.Polar <= 100_000 {
			list = append(list, m)
		}
	}
	return list
}

// oilReach is where the line through measurements reaches the limit, in units of x; ok is false without a line that rises.
type oilReach struct {
	fit             statistics.Fit
	at, early, late est.Num
	ok              bool
}

func reachOf(marks []kitchen.OilMark, limit int64, x func(*kitchen.OilMark) est.Num) oilReach {
	points := make([]statistics.Pair, len(marks))
	for i := range marks {
		points[i] = statistics.Pair{X: x(&marks[i]), Y: est.FromRatio(marks[i].Polar, 1000)}
	}
	var r oilReach
	if r.fit, r.ok = statistics.Least(points); r.ok {
		r.at, r.early, r.late, r.ok = r.fit.Reach(est.FromRatio(limit, 1000))
	}
	return r
}

// oilAhead says how long the oil may last, and draws what that rests on.
func (p *page) oilAhead(place *kitchen.Place, limit *kitchen.OilLimit) {
	marks := measuredOil(place)
	most, shown := limit.Limit*100, p.l.Amount(limit.Limit*100, "m%")
	if len(marks) == 0 {
		p.add(&note{line: plain(p.n("oil.few", 0, "least", p.num(statistics.FewestPairs))), tone: "plain"})
		return
	}
	began := marks[0].At
	days := func(at stamp.Milli) est.Num { return est.FromRatio(int64(at.Since(began)), int64(stamp.Day)) }
	byDay := reachOf(marks, most, func(m *kitchen.OilMark) est.Num { return days(m.At) })
	byLoad := reachOf(marks, most, func(m *kitchen.OilMark) est.Num { return est.FromInt(m.Loads) })
	now := days(p.Now)
	last := &marks[len(marks)-1]
	left := func(x, now est.Num) int64 { return max(est.Round(x-now-est.One/2, 1), 0) }
	switch {
	case limit.Beyond(last.Polar):
		p.add(&note{line: plain(p.t("oil.beyond", "value", p.l.Amount(last.Polar, "m%"), "limit", shown)), tone: "bad"})
	case len(marks) < statistics.FewestPairs:
		p.add(&note{line: plain(p.n("oil.few", int64(len(marks)), "least", p.num(statistics.FewestPairs))), tone: "plain"})
	case !byDay.ok:
		p.add(&note{line: p.line("oil.notrising"), tone: "plain"})
	default:
		text := p.n("oil.days", left(byDay.at, now), "limit", shown)
		if byDay.at < now+est.One {
			text = p.t("oil.soon", "limit", shown)
		}
		more := p.t("oil.days.range", "early", p.num(int(left(byDay.early, now))), "late", p.num(int(left(byDay.late, now))))
		if loads := est.FromInt(place.Loads); byLoad.ok {
			more += " " + p.n("oil.loads.left", left(byLoad.at, loads), "early", p.num(int(left(byLoad.early, loads))),
				"late", p.num(int(left(byLoad.late, loads))))
		}
		p.add(&note{line: append(bold(text+". "), plain(more)...), tone: "plain"})
		if byDay.early <= now {
			p.add(&note{line: plain(p.t("oil.now", "limit", shown)), tone: "bad"})
		}
	}
	p.add(p.oilPlot(marks, most, &byDay, shown))
	if byDay.ok {
		p.add(&note{line: p.line("oil.how"), tone: "quiet"})
	}
}

// oilPlot draws the measurements, the limit and, where there is one, the line and when it is likely to be reached.
func (p *page) oilPlot(marks []kitchen.OilMark, most int64, by *oilReach, shown string) *plotted {
	out := &plotted{title: p.t("oil.at"), head: []string{p.t("chart.at"), p.t("chart.value")}}
	points := make([]plot.Point, len(marks))
	for i, m := range marks {
		points[i] = plot.Point{X: int64(m.At), Y: m.Polar}
		out.rows = append(out.rows, []string{p.clock(m.At), p.l.Amount(m.Polar, "m%")})
	}
	out.says = p.n("chart.says", int64(len(marks)), "from", p.l.Amount(marks[0].Polar, "m%"), "to", p.l.Amount(marks[len(marks)-1].Polar, "m%"))
	began, end := marks[0].At, max(p.Now, marks[len(marks)-1].At)
	at := func(x est.Num) stamp.Milli {
		return began.Add(stamp.Span(est.Round(min(x, 400*est.One), int64(stamp.Day))))
	}
	c := plot.Over(points, most)
	if by.ok {
		end = max(end, min(at(by.late), began.Add(3*max(end.Since(began), stamp.Day))))
	}
	c.Until(int64(end))
	if by.ok {
		until := min(at(by.at), end)
		c.Shade(plot.Held, int64(at(by.early)), int64(at(by.late)))
		c.Line(plot.Middle, []plot.Point{{X: int64(began), Y: est.Round(by.fit.At(0), 1000)},
			{X: int64(until), Y: est.Round(by.fit.At(est.FromRatio(int64(until.Since(began)), int64(stamp.Day))), 1000)}})
	}
	c.Level(plot.Limit, most, shown)
	c.Spots(plot.Value, points...)
	c.Below(p.clock(began), p.clock(end))
	out.items = c.Items()
	return out
}

// oilActs offers what is done with oil, below the caution.
func (p *page) oilActs(d *procedure.Device) {
	do := func(deed string) *kitchen.Command {
		return &kitchen.Command{Do: kitchen.DoOil, Place: d.Name, Answer: deed}
	}
	asked := func(deed, unit string) button {
		c, how := do(deed), p.l.Typing(unit, "")
		c.Unit, c.Into, c.TypedIn = unit, "value", how.Code
		return button{label: p.t("oil." + deed), style: quiet, do: c, ask: &ask{kind: "number", name: "typed",
			title: p.t("oil." + deed + ".ask"), unit: how.Unit, keep: p.t("keep.number", "unit", how.Unit)}}
	}
	changed := asked(entry.OilChanged, "mL")
	changed.sure = &sure{title: p.t("oil.changed.sure"), lines: []string{p.t("oil.changed.line")}, label: p.t("oil.changed")}
	measured := asked(entry.OilMeasured, "m%")
	measured.style = act
	p.add(&group{title: p.t("oil.tend")}, &buttons{actions: []button{measured,
		{label: p.t("oil.filtered"), style: quiet, do: do(entry.OilFiltered)}, asked(entry.OilToppedUp, "mL"), changed}})
}

// oilFacts says since when the oil is in use, and how much of it was renewed.
func (p *page) oilFacts(place *kitchen.Place) {
	rows := []pair{{p.t("oil"), plain(p.n("oil.loads", place.Loads))}}
	filled, topped := int64(0), int64(0)
	var since, filtered stamp.Milli
	for _, m := range place.Oil {
		switch m.Deed {
		case entry.OilChanged:
			filled, since = m.Volume, m.At
		case entry.OilToppedUp:
			topped += min(max(m.Volume, 0), 1e9)
		case entry.OilFiltered:
			filtered = m.At
		}
	}
	if since > 0 {
		rows = append(rows, pair{p.t("oil.filled"), plain(p.clock(since))})
	}
	if filtered > 0 {
		rows = append(rows, pair{p.t("oil.filtered"), plain(p.clock(filtered))})
	}
	if n := turnover(filled, topped, p.Now.Since(since)); since > 0 && n > 0 {
		rows = append(rows, pair{p.t("oil.turnover"), plain(p.n("days", n))})
	}
	p.add(&pairs{rows: rows})
}

// turnover is in how many days as much fresh oil goes in as the fryer holds: what is in it by what was added each day (frying
// textbooks, from memory). 0: nothing to tell it by.
func turnover(filled, topped int64, over stamp.Span) int64 {
	if filled <= 0 || filled > 1e9 || topped <= 0 || over < stamp.Day {
		return 0
	}
	return (filled*int64(over/stamp.Day) + topped/2) / topped
}

// oilLimits lists the published limits of the kitchen's country, and says which one the oil is held against.
func (p *page) oilLimits(own []kitchen.OilLimit, limit *kitchen.OilLimit) {
	country := orText(p.State.Country, p.t("notsaid"))
	list := &pairs{title: p.t("oil.limits")}
	row := func(l *kitchen.OilLimit) {
		value := strings.TrimRight(p.l.Amount(l.Limit*100, "m%"), "\u00a0%")
		switch l.Measure {
		case kitchen.NoOilLimit:
			value = ""
		case kitchen.AcidValue:
			value += " = " + p.l.Amount(kitchen.FreeAcidsOf(l.Limit*100)/10*10, "m%") + " " + p.t("oil.limit2")
		default:
			value += "\u00a0%"
		}
		parts := []string{value, l.Source}
		if l.Source == kitchen.OilList {
			parts[1] = p.t("oil.list")
		}
		if l.Memory {
			parts = append(parts, p.t("oil.from.memory"))
		}
		text := ""
		for _, s := range parts {
			if s != "" && text != "" {
				text += ", "
			}
			text += s
		}
		list.rows = append(list.rows, pair{l.Country + ": " + p.t("oil.limit"+p.num(int(l.Measure))), plain(text)})
	}
	for i := range own {
		row(&own[i])
	}
	if limit.Country != p.State.Country {
		row(limit)
	}
	p.add(list)
	if limit.Country != p.State.Country {
		p.add(&note{line: plain(p.t("oil.strictest", "country", country)), tone: "plain"})
	}
	p.add(&note{line: p.line("oil.local"), tone: "plain"}, &note{line: p.line("oil.temp"), tone: "quiet"})
}

// logged is how much of the log is shown.
const logged = 20

// oilLog is what was done with the oil, the latest first.
func (p *page) oilLog(place *kitchen.Place) {
	h := &history{title: p.t("oil.log")}
	for i := len(place.Oil) - 1; i >= max(0, len(place.Oil)-logged); i-- {
		m := &place.Oil[i]
		unit, n := "mL", m.Volume
		if m.Deed == entry.OilMeasured {
			unit, n = "m%", m.Polar
		}
		row := historyRow{at: p.clock(m.At), who: p.l.Crew(p.State, m.By), text: p.t("oil." + m.Deed)}
		if n > 0 {
			row.text += ", " + p.l.Exact(n, unit)
			how := p.l.Typing(unit, "")
			row.actions = []button{{label: p.t("correct"), style: quiet,
				do: &kitchen.Command{Do: kitchen.DoCorrect, Entry: m.ID, Unit: unit, Into: "value", TypedIn: how.Code, Reason: p.t("correct.reason")},
				ask: &ask{kind: "number", name: "typed", title: p.t("correct.title", "was", row.text), unit: how.Unit,
					keep: p.t("keep.number", "unit", how.Unit)}}}
		}
		if m.Note != "" {
			row.text += ", " + m.Note
		}
		h.rows = append(h.rows, row)
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}
