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
	p.oilActs(d, &limit)
	p.oilFacts(place)
	p.oilLimits(own, &limit)
	p.oilLog(place, &limit)
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

// oilAhead says how long the oil may last, and draws what that rests on.
func (p *page) oilAhead(place *kitchen.Place, limit *kitchen.OilLimit) {
	marks := measuredOil(place)
	n, most := len(marks), limit.Limit*100
	shown := p.l.Amount(most, "m%")
	var list []kitchen.Measured
	var days, loads []statistics.Pair
	for i := range marks {
		m := &marks[i]
		list = append(list, kitchen.Measured{At: m.At, Value: m.Polar})
		y := est.FromRatio(m.Polar, 1000)
		days = append(days, statistics.Pair{X: est.FromRatio(int64(m.At-p.Now), int64(stamp.Day)), Y: y})
		loads = append(loads, statistics.Pair{X: est.FromInt(m.Loads - place.Loads), Y: y})
	}
	if at := emptied(place); at != 0 {
		p.says(p.t("oil.empty", "time", p.clock(at)), "bad")
		return
	}
	by := ahead(days, most)
	tone, text := "plain", ""
	switch {
	case n > 0 && limit.Beyond(marks[n-1].Polar):
		tone, text = "bad", p.t("oil.beyond", "value", p.l.Amount(marks[n-1].Polar, "m%"), "limit", shown)
	case n < statistics.FewestPairs:
		text = p.n("oil.few", int64(n), "least", p.num(statistics.FewestPairs))
	case !by.ok:
		text = p.t("oil.notrising")
	case by.early <= 0:
		tone, text = "bad", p.t("oil.now", "limit", shown)
	default:
		text = p.reached("oil.days", by, shown)
		if more := ahead(loads, most); more.ok {
			text += " " + p.reached("oil.loads.left", more, shown)
		}
	}
	p.says(text, tone)
	if n == 0 {
		return
	}
	first := list[0].At
	at := func(x est.Num) stamp.Milli {
		return p.Now.Add(stamp.Span(est.Round(min(x, 400*est.One), int64(stamp.Day))))
	}
	end := p.Now
	if by.ok {
		end = max(end, min(at(by.late), first.Add(3*max(end.Since(first), stamp.Day))))
	}
	print := func(v int64) string { return p.l.Amount(v, "m%") }
	out, d := p.curve(p.t("oil.at"), list, nil, print, int64(end), most)
	if by.ok {
		d.Shade(plot.Held, int64(at(by.early)), int64(at(by.late)))
		d.Line(plot.Middle, []plot.Point{{X: int64(first), Y: est.Round(by.fit.At(days[0].X), 1000)}, {X: int64(at(by.at)), Y: most}})
		p.says(p.t("oil.how"), "quiet")
	}
	d.Level(plot.Limit, most, shown)
	out.items = d.Items()
}

// reach is where a line through measurements reaches the limit: as far ahead of now as At, as early as Early and as late as Late.
type reach struct {
	fit             statistics.Fit
	at, early, late est.Num
	ok              bool
}

func ahead(points []statistics.Pair, limit int64) (r reach) {
	if r.fit, r.ok = statistics.Least(points); r.ok {
		r.at, r.early, r.late, r.ok = r.fit.Reach(est.FromRatio(limit, 1000))
	}
	return r
}

// reached says how much is left, in whole days or loads: what is less than one is none.
func (p *page) reached(id string, r reach, limit string) string {
	whole := func(x est.Num) int64 { return max(est.Round(x-est.One/2, 1), 0) }
	return p.n(id, whole(r.at), "limit", limit, "early", p.num(int(whole(r.early))), "late", p.num(int(whole(r.late))))
}

// oilAct asks for an amount and hands it to a command. Polar compounds are held against the published limit meanwhile.
func (p *page) oilAct(label, title, unit string, do *kitchen.Command, most *kitchen.OilLimit) button {
	do.Unit, do.Into, do.TypedIn = unit, "value", p.l.Typing(unit, "").Code
	limit := procedure.Limit{}
	if unit == "m%" {
		end := most.Limit * 100
		if most.Below {
			end--
		}
		limit.Max = &end
	}
	return button{label: label, style: quiet, do: do, ask: p.askFor(title, unit, "", limit, "o-"+do.Answer+do.Entry.String())}
}

// oilActs offers what is done with oil, below the caution.
func (p *page) oilActs(d *procedure.Device, limit *kitchen.OilLimit) {
	list := make([]button, 0, 5)
	for _, deed := range [...]string{entry.OilMeasured, entry.OilFiltered, entry.OilToppedUp, entry.OilChanged, entry.OilDiscarded} {
		do, label, unit := &kitchen.Command{Do: kitchen.DoOil, Place: d.Name, Answer: deed}, p.t("oil."+deed), "mL"
		if deed == entry.OilMeasured {
			unit = "m%"
		}
		b := button{label: label, style: quiet, do: do}
		if deed != entry.OilFiltered && deed != entry.OilDiscarded {
			b = p.oilAct(label, p.t("oil."+deed+".ask"), unit, do, limit)
		}
		if deed == entry.OilChanged || deed == entry.OilDiscarded {
			b.sure = &sure{title: p.t("oil." + deed + ".sure"), lines: []string{p.t("oil.changed.line")}, label: label}
		}
		list = append(list, b)
	}
	first := 0
	if emptied(p.State.Place(d.Name)) != 0 {
		first = 3 // to be filled is what comes next
	}
	list[first].style = act
	p.add(&group{title: p.t("oil.tend")}, &buttons{actions: list})
}

// emptied returns when a fryer's oil was thrown away, 0 when it has been filled since, or never was.
func emptied(place *kitchen.Place) stamp.Milli {
	at := stamp.Milli(0)
	for i := range place.Oil {
		switch m := &place.Oil[i]; m.Deed {
		case entry.OilDiscarded:
			at = m.At
		case entry.OilChanged:
			at = 0
		}
	}
	return at
}

// oilFacts says since when the oil is in use, and how much of it was renewed.
func (p *page) oilFacts(place *kitchen.Place) {
	list := &pairs{}
	row := func(id, value string) { list.rows = append(list.rows, pair{p.t(id), plain(value)}) }
	row("oil", p.n("oil.loads", place.Loads))
	topped, last := int64(0), map[string]*kitchen.OilMark{}
	for i := range place.Oil {
		m := &place.Oil[i]
		if last[m.Deed] = m; m.Deed == entry.OilToppedUp {
			topped += min(max(m.Volume, 0), 1e9)
		}
	}
	for _, deed := range [...]string{entry.OilChanged, entry.OilFiltered} {
		if m := last[deed]; m != nil {
			row("oil."+deed, p.clock(m.At))
		}
	}
	if m := last[entry.OilChanged]; m != nil {
		if n := turnover(m.Volume, topped, p.Now.Since(m.At)); n > 0 {
			row("oil.turnover", p.n("days", n))
		}
	}
	p.add(list)
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
	list := &pairs{title: p.t("oil.limits")}
	foreign := limit.Country != p.State.Country
	if foreign {
		own = append(own, *limit)
	}
	for i := range own {
		l := &own[i]
		text := p.l.Amount(l.Limit*100, "m%") + ", "
		switch l.Measure {
		case kitchen.NoOilLimit:
			text = ""
		case kitchen.AcidValue:
			text = strings.TrimRight(text, "\u00a0%, ") + " = " + p.l.Amount(kitchen.FreeAcidsOf(l.Limit*100)/10*10, "m%") + " " + p.t("oil.limit2") + ", "
		}
		if text += p.t(l.Source); l.Memory {
			text += ", " + p.t("source.memory")
		}
		list.rows = append(list.rows, pair{l.Country + ": " + p.t("oil.limit"+p.num(int(l.Measure))), plain(text)})
	}
	p.add(list)
	if foreign {
		id := "oil.strictest"
		if p.State.Country == "" {
			id = "oil.nocountry"
		}
		p.says(p.t(id, "country", p.State.Country), "plain")
	}
	p.says(p.t("oil.local"), "plain")
	p.says(p.t("oil.temp"), "quiet")
}

// logged is how much of the log is shown.
const logged = 10

// oilLog is what was done with the oil, the latest first.
func (p *page) oilLog(place *kitchen.Place, limit *kitchen.OilLimit) {
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
			row.actions = []button{p.oilAct(p.t("correct"), p.t("correct.title", "was", row.text), unit,
				&kitchen.Command{Do: kitchen.DoCorrect, Entry: m.ID, Reason: p.t("correct.reason")}, limit)}
		}
		h.rows = append(h.rows, row)
	}
	p.add(h)
}
