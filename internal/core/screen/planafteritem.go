package screen

import (
	"strconv"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// afterItem is what was planned and done of an item, and a drawing of what was ready and sold over the day.
func (p *page) afterItem(x *afterwards.Seen, i int) {
	f, n := &x.Items[i], &x.Names.Items[i]
	idle := func(f *afterwards.Fact) bool { return f == nil || f.Fried == 0 && f.Coated == 0 && f.Marinated == 0 }
	if f.Sold == 0 && f.Away == 0 && idle(f) && idle(f.Plan) {
		return
	}
	name := words.Upper(p.afterItemName(n.Procedure))
	pieces := func(v int) string { return p.afterPieces(n.Procedure, int64(v)) }
	length := func(minutes int) string { return p.l.Length(stamp.Span(minutes) * stamp.Minute) }
	count := func(v int) string { return strconv.Itoa(v) }
	rows := &pairs{title: name}
	if x.Over {
		asked := 0
		for _, v := range f.Asked {
			asked += v
		}
		rows.say(p.t("pl.after.asked"), p.t("pl.after.asked.of", "n", pieces(asked), "sold", count(f.Sold), "away", count(f.Away), "guess", count(f.Guessed)))
	} else {
		rows.say(p.t("pl.after.sold"), pieces(f.Sold))
	}
	if x.Told {
		none := p.t("pl.after.none.never")
		if f.None > 0 {
			none = length(f.None)
		}
		rows.say(p.t("pl.after.none"), none)
	}
	both := func(id string, of func(f *afterwards.Fact) int, print func(int) string) {
		done := of(f)
		if f.Plan == nil {
			if done > 0 {
				rows.say(p.t(id), print(done))
			}
			return
		}
		if plan := of(f.Plan); plan > 0 || done > 0 {
			rows.say(p.t(id), p.t("pl.after.plandone", "plan", print(plan), "done", print(done)))
		}
	}
	block := x.Of.Problem.Block
	both("pl.after.loads", func(f *afterwards.Fact) int { return f.Loads }, count)
	both("pl.after.fried", func(f *afterwards.Fact) int { return f.Fried }, pieces)
	both("pl.after.coats", func(f *afterwards.Fact) int { return f.Coats * block }, length)
	both("pl.after.tubs", func(f *afterwards.Fact) int { return f.Tubs }, count)
	if x.Over && f.Wasted > 0 {
		rows.say(p.t("pl.after.wasted"), pieces(f.Wasted)+", "+p.afterMoney(x, f.Costs.Waste))
	}
	p.add(rows)
	p.soldReady(x, i, name)
}

// soldReady draws what had come to the hold and what was sold, summed up over the day, with the time shaded in which there was
// none.
func (p *page) soldReady(x *afterwards.Seen, i int, name string) {
	f, it, pr := &x.Items[i], &x.Of.Items[i], x.Of.Problem
	came, total := x.Came(i)
	if total == 0 && f.Sold == 0 {
		return
	}
	sold, n := []plot.Point{{X: int64(pr.Open)}}, 0
	for s, v := range it.Sold {
		n += v
		sold = append(sold, plot.Point{X: int64(pr.Open + (s+1)*pr.Slot), Y: int64(n)})
	}
	ready := []plot.Point{{X: int64(pr.Open)}}
	last := int64(0)
	for _, c := range came {
		ready = append(ready, plot.Point{X: int64(c.At), Y: last}, plot.Point{X: int64(c.At), Y: last + int64(c.Pieces)})
		last += int64(c.Pieces)
	}
	ready = append(ready, plot.Point{X: int64(pr.Close), Y: last})
	d := plot.Over(append(append([]plot.Point{}, sold...), ready...))
	d.Line(plot.Middle, ready)
	d.Line(plot.Value, sold)
	d.Say(plot.Middle, ready[len(ready)-1], p.t("pl.after.ready")+": "+p.afterPieces(x.Names.Items[i].Procedure, last))
	d.Say(plot.Value, sold[len(sold)-1], p.t("pl.after.sold")+": "+p.afterPieces(x.Names.Items[i].Procedure, int64(n)))
	for s := 0; s < len(it.None); s++ { // slots without any in turn are one field
		from := s
		for s < len(it.None) && it.None[s] > 0 {
			s++
		}
		if s > from {
			d.Shade(plot.Reach, int64(pr.Open+from*pr.Slot), int64(pr.Open+s*pr.Slot))
		}
	}
	d.Below(p.afterTime(x, pr.Open), p.afterTime(x, pr.Close))
	none := p.t("pl.after.none.never")
	if f.None > 0 {
		none = p.l.Length(stamp.Span(f.None) * stamp.Minute)
	}
	out := &plotted{says: p.t("pl.after.soldready", "item", name, "ready", strconv.FormatInt(last, 10), "sold", strconv.Itoa(n), "none", none),
		head: []string{p.t("pl.after.hour"), p.t("pl.after.ready"), p.t("pl.after.sold"), p.t("pl.after.none")}, items: d.Items()}
	p.hours(out, x, i, came)
	p.add(out)
	p.says(out.says, "quiet")
}

// hours writes a drawing's table: hour by hour.
func (p *page) hours(out *plotted, x *afterwards.Seen, i int, came []afterwards.Came) {
	it, pr := &x.Of.Items[i], x.Of.Problem
	const hour = 60
	for from := pr.Open; from < pr.Close; from += hour {
		ready, sold, none := 0, 0, 0
		for _, c := range came {
			if c.At >= from && c.At < from+hour {
				ready += c.Pieces
			}
		}
		for s := range it.Sold {
			if at := pr.Open + s*pr.Slot; at >= from && at < from+hour {
				sold, none = sold+it.Sold[s], none+it.None[s]
			}
		}
		gone := ""
		if none > 0 {
			gone = p.l.Length(stamp.Span(none) * stamp.Minute)
		}
		out.rows = append(out.rows, []string{p.afterTime(x, from), strconv.Itoa(ready), strconv.Itoa(sold), gone})
	}
}

// afterWeek draws what days cost, against what their plans would have.
func (p *page) afterWeek(days []*afterwards.Seen) {
	var done, plan []plot.Point
	out := &plotted{title: p.t("pl.after.week"), head: []string{p.t("pl.after.day"), p.t("pl.after.done"), p.t("pl.after.plan"), p.t("pl.after.hindsight")}}
	var first, last *afterwards.Seen
	for _, x := range days {
		if x == nil || !x.Over {
			continue
		}
		if first == nil {
			first = x
		}
		last = x
		row := []string{p.l.Date(x.Day, false), p.afterMoney(x, x.Cost), "", ""}
		done = append(done, plot.Point{X: int64(x.Day), Y: int64(x.Cost)})
		if x.Plan >= 0 {
			row[2] = p.afterMoney(x, x.Plan)
			plan = append(plan, plot.Point{X: int64(x.Day), Y: int64(x.Plan)})
		}
		if x.Hindsight >= 0 {
			row[3] = p.afterMoney(x, x.Hindsight)
		}
		out.rows = append(out.rows, row)
	}
	if len(done) < 2 {
		return
	}
	d := plot.Over(append(append([]plot.Point{}, done...), plan...), 0)
	if len(plan) > 0 {
		d.Line(plot.Middle, plan)
		d.Say(plot.Middle, plan[len(plan)-1], p.t("pl.after.plan"))
	}
	d.Line(plot.Value, done)
	d.Spots(plot.Value, done...)
	d.Say(plot.Value, done[len(done)-1], p.t("pl.after.done"))
	d.Below(p.l.Date(first.Day, true), p.l.Date(last.Day, true))
	out.says, out.items = p.t("pl.after.week.says", "currency", last.Names.Currency), d.Items()
	p.add(out)
}
