package screen

import (
	"strings"

	"brinebell/internal/core/forecast"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// scale is a span of time that is drawn.
type scale struct{ from, to stamp.Milli }

func (s scale) at(t stamp.Milli) int64 {
	return int64(min(max(t, s.from), s.to)-s.from) * 1000 / max(int64(s.to-s.from), 1)
}

func (s scale) box(kind string, from, to stamp.Milli) laneBox {
	return laneBox{kind, s.at(from), s.at(to)}
}

// hours are grid lines, at most eight.
func (s scale) hours(p *page) (list []laneBox) {
	each := stamp.Hour
	for int64(s.to-s.from)/int64(each) > 8 {
		each *= 2
	}
	day := p.State.DayStart(p.State.WallDay(s.from))
	for t := day; t <= s.to; t = t.Add(each) {
		if t >= s.from {
			list = append(list, s.box("grid", t, t))
		}
	}
	return list
}

// planClock says an instant of a plan: the clock alone on its day, and on the evening before.
func (p *page) planClock(x *Planned, at stamp.Milli) string {
	if p.State.WallDay(at) == x.Day {
		return words.Clock(at, p.zone(at))
	}
	return p.clock(at)
}

// planStarts are the tubs to start: those of the evening before, then those of the day.
func (p *page) planStarts(x *Planned) {
	var before, then lanes
	for i := range x.Plan.Tubs {
		l := &then
		if p.State.WallDay(x.Plan.Tubs[i].Start) < x.Day {
			l = &before
		}
		l.rows = append(l.rows, p.planStart(x, i))
	}
	note := p.t("pl.for", "day", p.l.Date(x.Day, true))
	if n := len(before.rows); n > 0 || x.Day > p.State.WallDay(p.Now) {
		id := "pl.starts.before"
		if n > 0 && x.Plan.Tubs[0].Start < p.State.DayStart(x.Day).Add(-7*stamp.Hour) { // at noon it is no night yet
			id = "pl.starts.early"
		}
		p.add(&group{title: p.n(id, int64(n)), note: note})
		note = ""
		if n > 0 {
			p.planTubs(x, &before)
		} else {
			p.says(p.t("pl.starts.none"), "quiet")
		}
	}
	if n := len(then.rows); n > 0 {
		p.add(&group{title: p.n("pl.starts.today", int64(n)), note: note})
		p.planTubs(x, &then)
	}
}

// planTubs shows the starts that come next, two at least, and folds the later ones.
func (p *page) planTubs(x *Planned, all *lanes) {
	next := 0
	for next < len(all.rows) && (next < 2 || all.rows[next].at < p.Now.Add(planSoon)) {
		next++
	}
	if next+1 == len(all.rows) { // a fold of one saves nothing
		next++
	}
	later := all.rows[next:]
	all.rows = all.rows[:next]
	if p.add(all); len(later) > 0 {
		p.add(&folded{key: "starts", title: p.n("pl.starts.more", int64(len(later))), note: p.t("pl.by") + " " + p.planClock(x, later[0].at), parts: []part{&lanes{rows: later}}})
	}
}

// planSoon is how far ahead the starts of tubs stand open.
const planSoon = 2 * stamp.Hour

// planStart is a spell of starting tubs.
func (p *page) planStart(x *Planned, i int) lane {
	t := &x.Plan.Tubs[i]
	n := int64(len(t.Vessels))
	out := lane{key: "tub-" + p.num(i), name: p.t("pl.start.name", "tubs", p.l.Vessels("tub", n), "item", p.planItem(t.Item)),
		pre: p.t("pl.by"), right: p.planClock(x, t.Latest), at: t.Latest, to: p.planTo("/plan/change/t/" + p.num(i))}
	what := p.l.Amount(t.Grams, "g") + "."
	if t.Water > 0 {
		what = p.t("pl.mix", "amount", p.l.Amount(t.Grams, "g"), "water", p.litres(t.Water), "mix", p.litres(t.Concentrate))
	}
	boat := p.planServes(x, i)
	s := scale{t.Start.Add(-stamp.Hour), t.BestUntil.Add(30 * stamp.Minute)}
	if boat > 0 {
		s.to = boat.Add(30 * stamp.Minute)
	}
	out.boxes = append(s.hours(p), s.box("ready", t.Start, max(t.Latest, t.Start.Add(10*stamp.Minute))))
	turn := t.Ready
	if drains := t.Drains; drains > 0 {
		end := max(boat, drains.Add(15*stamp.Minute))
		out.boxes = append(out.boxes, s.box("soon", max(t.Latest, t.Start.Add(10*stamp.Minute)), drains), s.box("best", drains, end))
		turn = drains
		what += " " + p.planWhen(x, t)
		if boat > 0 {
			what += " " + p.t("pl.start.boat", "time", p.planClock(x, boat))
		}
	} else {
		out.boxes = append(out.boxes, s.box("soon", t.Latest, t.Ready), s.box("best", t.Ready, t.BestUntil))
		what += " " + p.planWhen(x, t)
	}
	out.marks = p.planMarks(x, t, s, turn, boat)
	if boat > 0 {
		out.boxes = append(out.boxes, s.box("boat", boat, boat))
	}
	out.what = plain(what)
	out.aria = what
	style := quiet
	if i == 0 {
		style = act
	}
	out.actions = []button{{label: p.n("pl.start.do", n), style: style, to: p.planToStart(t.Item, t.Grams, n)}}
	return out
}

// planMarks says under a tub's scale when it starts, when it is drained or ready, and for which boat.
func (p *page) planMarks(x *Planned, t *planning.Tub, s scale, turn, boat stamp.Milli) []laneMark {
	begins, then := laneMark{at: s.at(t.Start), text: p.t("pl.begin"), kind: "start"}, laneMark{at: s.at(turn), kind: "start"}
	last, right := laneMark{at: 1000, end: true, bold: true}, int64(1000)
	if boat > 0 {
		last.text = p.planClock(x, boat)
		right -= last.wide() + laneGap
	}
	id := "pl.ripe"
	if t.Drains > 0 {
		id = "pl.drain"
	}
	then.text = p.t(id, "time", p.planClock(x, turn))
	then.at = max(min(then.at, right-then.wide()), 0)
	var list []laneMark
	if begins.at+begins.wide()+laneGap < then.at { // else the earlier loses its words: the button says the same
		list = append(list, begins)
	}
	if list = append(list, then); boat > 0 {
		list = append(list, last)
	}
	return list
}

// planWhen says from when to when tubs are started.
func (p *page) planWhen(x *Planned, t *planning.Tub) string {
	if t.Latest <= t.Start {
		return p.t("pl.start.at", "time", p.planClock(x, t.Start))
	}
	return p.t("pl.start.when", "from", p.planClock(x, t.Start), "latest", p.planClock(x, t.Latest))
}

// planServes is the first boat that something out of a spell of tubs is for; 0: none.
func (p *page) planServes(x *Planned, tub int) stamp.Milli {
	for _, d := range x.Plan.Drops {
		for _, f := range d.From {
			if f.Own < 0 || f.Own >= len(x.Plan.Coats) || d.Rush < 0 || d.Rush >= len(x.Rushes) {
				continue
			}
			for _, g := range x.Plan.Coats[f.Own].From {
				if g.Own == tub {
					return x.Rushes[d.Rush].At
				}
			}
		}
	}
	return 0
}

// planCoats are the spells of coating.
func (p *page) planCoats(x *Planned) {
	list := x.Plan.Coats
	if len(list) == 0 {
		return
	}
	p.add(&group{title: p.n("pl.coats", int64(len(list)))})
	c := &choice{}
	for i := range list {
		t := &list[i]
		at := p.planClock(x, t.Start)
		if p.State.WallDay(t.Start) < x.Day {
			at = p.t("pl.today", "time", at)
		}
		row := choiceRow{label: p.t("pl.coat", "time", at, "item", p.planItem(t.Item), "amount", p.planUnits(t.Item, t.Units)),
			detail: p.l.Vessels("pan", int64(t.Pans)) + p.planFrom(t.From, "tub"), to: p.planTo("/plan/change/c/" + p.num(i))}
		if t.Latest > t.Start {
			row.detail += ", " + p.t("pl.latest", "time", p.planClock(x, t.Latest))
		}
		if t.Drain > p.Now && t.Drain > 0 {
			row.detail += ". " + p.t("pl.drain.by", "time", p.planClock(x, t.Drain))
		}
		c.rows = append(c.rows, row)
	}
	p.add(c)
}

// planUnits says units of an item in pieces.
func (p *page) planUnits(item string, units int) string {
	each := 1
	if doc := p.planDocument(); doc != nil {
		if it := doc.Item(item); it != nil {
			each = it.Unit
		}
	}
	return p.planPieces(item, int64(units*each))
}

// planFrom says what something is taken out of: ", from tub 3 and tub 4".
func (p *page) planFrom(list []planning.Source, own string) string {
	var names []string
	planned := false
	for i := range list {
		f := &list[i]
		if f.Own >= 0 {
			planned = true
		} else {
			names = append(names, words.Lower(p.l.Vessel(f.Vessel, f.Number)))
		}
	}
	if planned {
		names = append(names, p.t("pl.from."+own))
	}
	if len(names) == 0 {
		return ""
	}
	return ", " + p.t("pl.from", "names", p.enumerate(names))
}

// planDrops are the drops by time: for each boat, and between the boats.
func (p *page) planDrops(x *Planned) {
	p.planBetween(x, 0, -1)
	for r := range x.Rushes {
		p.planRush(x, r)
		p.planBetween(x, x.Rushes[r].At, r)
	}
}

// planBetween are drops that are for no boat: those after one, and before the first those of that day and of the day before it.
func (p *page) planBetween(x *Planned, from stamp.Milli, r int) {
	to := x.Plan.Until.Add(stamp.Day)
	if r+1 < len(x.Rushes) {
		to = x.Rushes[r+1].At
	}
	var today, then []int
	for i := range x.Plan.Drops {
		d := &x.Plan.Drops[i]
		switch {
		case d.Rush >= 0 || d.Ready < from || d.Ready >= to:
		case p.State.WallDay(d.Start) < x.Day:
			today = append(today, i)
		default:
			then = append(then, i)
		}
	}
	if len(today) > 0 {
		p.planLanes(x, today, p.t("pl.rest"), 0, -1)
	}
	title := p.t("pl.between")
	if from > 0 {
		title = p.t("pl.after.boat", "time", p.planClock(x, from))
	}
	p.planLanes(x, then, title, 0, -1)
}

// planBefore and planAfter are how much is drawn before and after a boat.
const (
	planBefore = 70 * stamp.Minute
	planAfter  = 15 * stamp.Minute
)

// planRush draws the drops for a boat.
func (p *page) planRush(x *Planned, rush int) {
	var list []int
	for i := range x.Plan.Drops {
		if x.Plan.Drops[i].Rush == rush {
			list = append(list, i)
		}
	}
	r := &x.Rushes[rush]
	title := p.t("pl.boat", "time", p.planClock(x, r.At), "name", words.Lower(p.text(procedure.Text{EN: r.EN, ES: r.ES})))
	p.planLanes(x, list, title, r.At, rush)
}

// planLanes draws drops on one scale: one row for each.
func (p *page) planLanes(x *Planned, list []int, title string, boat stamp.Milli, rush int) {
	if len(list) == 0 {
		return
	}
	s, pieces := scale{from: x.Plan.Drops[list[0]].Start}, int64(0)
	for _, i := range list {
		d := &x.Plan.Drops[i]
		pieces += int64(d.Pieces)
		s.from, s.to = min(s.from, d.Start), max(s.to, d.Until)
	}
	if boat > 0 {
		s = scale{min(s.from, boat.Add(-planBefore)), boat.Add(planAfter)}
	}
	l := &lanes{drops: true, title: title, axis: s.axis(p, x, boat)}
	for _, i := range list {
		l.rows = append(l.rows, p.planDrop(x, i, s, boat))
	}
	for _, e := range x.Enough {
		if e.Rush == rush && boat > 0 {
			l.foot = append(l.foot, p.planEnough(&e))
		}
	}
	l.legend = []laneMark{{kind: "cook", text: p.t("pl.cook")}, {kind: "stage", text: p.t("pl.stage")}, {kind: "hold", text: p.t("pl.hold")}}
	note := p.n("pl.much", pieces)
	for _, other := range p.parts {
		if o, ok := other.(*lanes); ok && o.drops { // the next ones stand open; what comes after them is opened by a tap
			p.add(&folded{key: title, title: title, note: p.n("pl.drops", int64(len(list))) + ", " + note, parts: []part{l}})
			return
		}
	}
	p.add(&group{title: title, note: note}, l)
}

// axis are the times that stand above a scale.
func (s scale) axis(p *page, x *Planned, boat stamp.Milli) (list []laneMark) {
	last := boat
	if boat == 0 {
		day := p.State.DayStart(p.State.WallDay(s.to))
		last = day.Add(s.to.Since(day) / (30 * stamp.Minute) * (30 * stamp.Minute))
	}
	each := 30 * stamp.Minute
	for int64(s.to-s.from)/int64(each) > 4 { // so that no two lie on each other
		each *= 2
	}
	for t := last; t >= s.from; t = t.Add(-each) {
		if at := s.at(t); at >= 90 && at <= 930 {
			list = append(list, laneMark{at: at, text: p.planClock(x, t), bold: t == boat})
		}
	}
	return list
}

// planDrop is one basket.
func (p *page) planDrop(x *Planned, i int, s scale, boat stamp.Milli) lane {
	d := &x.Plan.Drops[i]
	out := lane{key: "drop-" + p.num(i), to: p.planTo("/plan/change/d/" + p.num(i)),
		name:  p.planClock(x, d.Start) + " " + words.Lower(p.l.Place(p.State, d.Fryer)),
		right: p.planItem(d.Item) + ", " + p.planPieces(d.Item, int64(d.Pieces)),
		boxes: append(s.hours(p), s.box("cook", d.Start, d.Out), s.box("stage", d.Out, d.Ready), s.box("hold", d.Ready, d.Until)),
		aria:  p.t("pl.drop.says", "from", p.planClock(x, d.Start), "out", p.planClock(x, d.Out), "ready", p.planClock(x, d.Ready), "until", p.planClock(x, d.Until))}
	if boat > 0 {
		out.boxes = append(out.boxes, s.box("boat", boat, boat))
	}
	return out
}

// planEnough says how often what is ready will do.
func (p *page) planEnough(e *PlanEnough) string {
	n, of := forecast.Say(e.Often)
	text := p.t("pl.enough", "item", words.Upper(p.planItem(e.Item)), "pieces", p.planPieces(e.Item, int64(e.Pieces)), "often", p.num(n), "of", p.num(of))
	if e.Days < 7 {
		text += " " + p.n("pl.enough.thin", int64(e.Days))
	}
	return text
}

// planKeeps say what should stand ready for the day after.
func (p *page) planKeeps(x *Planned) {
	if len(x.Plan.Keeps) == 0 {
		return
	}
	out := &pairs{title: p.t("pl.keeps")}
	for i := range x.Plan.Keeps {
		k := &x.Plan.Keeps[i]
		id := "pl.keep.tub"
		if k.Coated {
			id = "pl.keep.pan"
		}
		text := p.t("pl.keep.all", "amount", p.planUnits(k.Item, k.Units))
		if k.Units < k.Want {
			text = p.t("pl.keep.short", "amount", p.planUnits(k.Item, k.Units), "want", p.planUnits(k.Item, k.Want), "cost", p.planMoney(k.Short))
		}
		out.put(words.Upper(p.t(id, "item", p.planItem(k.Item))), text)
	}
	p.add(out)
}

// planUnmet says what cannot be had, why, and what each way out costs: the dearest, the others for whoever opens them, and the ways out.
func (p *page) planUnmet(x *Planned) {
	if len(x.Plan.Unmet) == 0 {
		return
	}
	p.add(&group{title: p.t("pl.unmet"), note: p.planMoney(x.Plan.Costs.Unmet)})
	asked := map[string]bool{}
	rest, fixes, dearest := &folded{key: "unmet", title: p.n("pl.unmet.more", int64(len(x.Plan.Unmet)-1))}, &buttons{}, 0
	for i := range x.Plan.Unmet {
		if x.Plan.Unmet[i].Cost > x.Plan.Unmet[dearest].Cost {
			dearest = i
		}
	}
	for i := range x.Plan.Unmet {
		u := &x.Plan.Unmet[i]
		text := planStop(p.planSay(&u.Why)) + " " + p.t("pl.unmet.leave", "pieces", p.planPieces(u.Item, int64(u.Pieces)), "cost", p.planMoney(u.Cost))
		if u.Fix != nil {
			text += " " + planStop(p.planSay(u.Fix))
		}
		e := &empty{title: p.t("pl.unmet.title", "item", words.Upper(p.planItem(u.Item)), "from", p.planClock(x, u.From), "to", p.planClock(x, u.To),
			"pieces", p.planPieces(u.Item, int64(u.Pieces))), line: plain(text)}
		if name := u.Fix.If(); name != "" && !asked[name] { // once: the same answers all of them
			asked[name] = true
			fixes.actions = append(fixes.actions, button{label: p.t("pl.if." + name), small: p.t("pl.fix.look"), style: quiet, to: p.planTo("/plan/what/" + name)})
		}
		if i == dearest {
			p.add(e)
		} else {
			rest.parts = append(rest.parts, e)
		}
	}
	if len(rest.parts) > 0 {
		p.add(rest)
	}
	if len(fixes.actions) > 0 {
		p.add(fixes)
	}
}

// planCosts say what the plan costs, and how far from the least it may be.
func (p *page) planCosts(x *Planned) {
	c := &x.Plan.Costs
	out := &pairs{}
	for _, row := range [...]struct {
		id string
		m  planner.Money
	}{{"pl.costs.unmet", c.Unmet}, {"pl.costs.waste", c.Waste + c.Discard + c.OverBest}, {"pl.costs.work", c.Coat + c.Marinate}, {"pl.costs.load", c.Load}, {"pl.costs.short", c.Short}} {
		if row.m > 0 {
			out.put(p.t(row.id), p.planMoney(row.m))
		}
	}
	out.put(p.t("pl.costs.all"), p.planMoney(x.Plan.Cost))
	p.add(&folded{key: "costs", title: p.t("pl.costs"), note: p.planMoney(x.Plan.Cost), parts: []part{out}})
	p.says(p.planGap(&x.Plan, x.Rests), "quiet")
	if s := x.Plan.Saves; s > 0 {
		p.says(p.t("pl.oldest", "cost", p.planMoney(s)), "quiet")
	}
	if k := x.Plan.KeptCost; k > 0 {
		p.says(p.t("pl.kept", "cost", p.planMoney(k)), "quiet")
	}
	for i := range x.Plan.Notes {
		p.says(p.planSay(&x.Plan.Notes[i]), "quiet")
	}
}

// planGap says how far from the best there can be a plan is.
func (p *page) planGap(x *planning.Plan, rests bool) string {
	switch {
	case x.Proven:
		return p.t("pl.best")
	case x.Bound <= 0 && !rests:
		return p.t("pl.gap.soon")
	case x.Bound <= 0:
		return p.t("pl.gap.none")
	}
	id := "pl.gap"
	per := (int64(x.Cost-x.Bound)*100 + int64(x.Bound) - 1) / int64(x.Bound)
	switch {
	case !rests && per > 100: // the first bounds say nothing yet
		return p.t("pl.gap.soon")
	case !rests:
		id = "pl.gap.thinks"
	}
	return p.t(id, "n", p.num(int(max(per, 1))))
}

// planStop ends a sentence.
func planStop(s string) string {
	if strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}
