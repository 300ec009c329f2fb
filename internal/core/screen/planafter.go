package screen

import (
	"strconv"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// planAfter looks back on planned days: today and yesterday out of what this phone holds, those before out of the journal of the
// kitchen's server.
func (p *page) planAfter() {
	today := p.State.WallDay(p.Now)
	if p.path.at(2) != "" {
		day, ok := words.ReadISODate(p.path.at(2))
		if !ok || day > today || day < today-afterReach {
			p.missing("missing.page")
			return
		}
		p.planAfterDay(day)
		return
	}
	p.planPage(p.t("pl.after"))
	c := &choice{}
	for day := today; day >= today-1; day-- {
		c.lead(p.l.Date(day, false), p.afterLine(p.lookBack(day)), afterTo(day))
	}
	p.add(c)
	p.afterFar("/api/after.page", "from", words.ISODate(today-afterDays), "to", words.ISODate(today-2))
	p.says(p.t("pl.after.rule"), "quiet")
}

// afterReach is how many days back there are pages; afterDays how many of them are listed.
const (
	afterReach = 400
	afterDays  = 8
)

func afterTo(day int32) string { return "/plan/after/" + words.ISODate(day) }

// afterFar asks the kitchen's server for what this phone can't work out.
func (p *page) afterFar(where string, pairs ...string) {
	if p.Saved.InTouch {
		p.far(where, pairs...)
		return
	}
	p.says(p.t("pl.after.away"), "quiet")
}

// lookBack looks back on a day; nil where there is nothing to look at.
func (p *page) lookBack(day int32) *afterwards.Seen {
	print := strconv.FormatUint(p.State.Folded, 10) + "/" + strconv.FormatInt(int64(p.Now/stamp.Milli(5*stamp.Minute)), 10)
	x, _ := p.State.Once("pl.after/"+words.ISODate(day), print, func() any { return afterwards.Of(p.State, day, p.Now) }).(*afterwards.Seen)
	return x
}

// planAfterDay is one day.
func (p *page) planAfterDay(day int32) {
	p.planPage(p.l.Date(day, false))
	p.back("/plan/after", p.t("pl.after"))
	iso := words.ISODate(day)
	if !afterwards.Reach(p.State, day) {
		p.afterFar("/api/after.page", "day", iso)
		p.afterFiles(day)
		return
	}
	x := p.lookBack(day)
	if x == nil {
		p.add(&empty{title: p.t("pl.after.nothing"), line: p.line("pl.after.nothing.line")})
		return
	}
	p.afterKnows(x)
	p.afterSum(x)
	p.afterBest(x)
	p.afterRest(x)
	if x.Over {
		p.afterFar("/api/after.page", "day", iso, "part", "week")
	}
	p.afterFiles(day)
}

// AfterText is what a planner's worker is asked in Text when it is to think about hindsight.
const AfterText = "after"

// AfterKey names what hindsight about a day is worked out of.
func AfterKey(x *afterwards.Seen) string {
	return words.ISODate(x.Day) + " " + x.Cost.String()
}

// afterWish writes that this device's planner should think about what hindsight would have made of the day that is looked at.
func (p *page) afterWish(w *jsontext.Writer) {
	day, ok := words.ReadISODate(p.path.at(2))
	if !ok || !afterwards.Reach(p.State, day) {
		return
	}
	x := p.lookBack(day)
	if x == nil || !x.Over || x.Hindsight >= 0 {
		return
	}
	do := kitchen.Command{Do: DoThink, Day: day, Value: int64(p.Now), Name: AfterKey(x), Text: AfterText}
	w.Object("plan")
	w.Str("key", do.Name)
	w.Raw("tap", wire.AppendJSON(nil, &do))
	w.EndObject()
}

// afterKnows takes what this device's planner has come to about hindsight.
func (p *page) afterKnows(x *afterwards.Seen) {
	if p.Planned == nil || !x.Over || p.Planned.After.Key != AfterKey(x) || len(p.Planned.After.Costs) != len(x.Items) {
		return
	}
	var costs []planner.Costs
	for i := range p.Planned.After.Costs {
		costs = append(costs, p.Planned.After.Costs[i].Costs)
	}
	x.Know(costs)
}

// AfterPage returns the parts of a day's page as JSON, as the kitchen's server has looked back on it: all of them, or what a phone
// lacks of a day that it can look back on itself.
func AfterPage(ctx *Context, x *afterwards.Seen, before []*afterwards.Seen, all bool) []byte {
	p := newPage(ctx)
	switch {
	case x == nil:
		p.add(&empty{title: p.t("pl.after.nothing"), line: p.line("pl.after.nothing.line")})
	case all:
		p.afterSum(x)
		p.afterBest(x)
		p.afterRest(x)
	}
	if x != nil {
		p.afterWeek(append(before, x))
	}
	return p.partsAlone()
}

// AfterDays returns the parts of the list of days as JSON.
func AfterDays(ctx *Context, days []*afterwards.Seen) []byte {
	p := newPage(ctx)
	c := &choice{title: p.t("pl.after.week")}
	for i := len(days) - 1; i >= 0; i-- {
		if x := days[i]; x != nil {
			c.lead(p.l.Date(x.Day, false), p.afterLine(x), afterTo(x.Day))
		}
	}
	if len(c.rows) > 0 {
		p.afterWeek(days)
		p.add(c)
	}
	return p.partsAlone()
}

// partsAlone writes the parts of a page.
func (p *page) partsAlone() []byte {
	var w jsontext.Writer
	w.Object("")
	w.List("parts")
	for _, x := range p.parts {
		x.write(&w)
	}
	w.EndList()
	w.EndObject()
	return w.Out
}

// afterLine says in a few words what a day cost.
func (p *page) afterLine(x *afterwards.Seen) string {
	switch {
	case x == nil:
		return p.t("pl.after.nothing")
	case !x.Over:
		sold := int64(0)
		for i := range x.Items {
			sold += int64(x.Items[i].Sold)
		}
		return p.n("pl.after.sold.n", sold)
	case x.Plan < 0:
		return p.t("pl.after.cost", "cost", p.afterMoney(x, x.Cost))
	}
	return p.t("pl.after.cost.plan", "cost", p.afterMoney(x, x.Cost), "plan", p.afterMoney(x, x.Plan))
}

func (p *page) afterMoney(x *afterwards.Seen, m planner.Money) string {
	return p.l.Decimal(int64(m)/(int64(planner.Unit)/1000), 3, 2) + "\u00a0" + x.Names.Currency
}

// afterSum says what a day cost, and the one change that would have saved most.
func (p *page) afterSum(x *afterwards.Seen) {
	if !x.Over {
		p.says(p.t("pl.after.sofar"), "plain")
		return
	}
	id, more := "pl.after.sum", x.Cost-x.Plan
	switch {
	case x.Plan < 0:
	case more > 0:
		id = "pl.after.sum.more"
	case more < 0:
		id, more = "pl.after.sum.less", -more
	default:
		id = "pl.after.sum.same"
	}
	p.add(&note{line: p.line(id, in("cost", bold(p.afterMoney(x, x.Cost))), in("more", bold(p.afterMoney(x, more)))), tone: "plain"})
	p.add(&group{title: p.t("pl.after.change")})
	if len(x.Changes) == 0 {
		p.says(p.t("pl.after.nochange"), "plain")
		return
	}
	p.add(&note{line: p.afterChange(x, &x.Changes[0]), tone: "plain"})
}

// afterBest says what hindsight would have made of the day.
func (p *page) afterBest(x *afterwards.Seen) {
	switch {
	case !x.Over:
	case x.Hindsight < 0:
		p.says(p.t("pl.after.thinks"), "quiet")
	case x.Same:
		p.says(p.t("pl.after.best.same"), "plain")
	default:
		p.add(&note{line: p.line("pl.after.best", in("best", bold(p.afterMoney(x, x.Hindsight))), in("more", bold(p.afterMoney(x, x.Cost-x.Hindsight)))), tone: "plain"})
	}
}

// afterRest is where the money went, item by item what was planned and done, and what was thrown away.
func (p *page) afterRest(x *afterwards.Seen) {
	if x.Over {
		if len(x.Changes) > 1 {
			p.add(&group{title: p.t("pl.after.others")})
			for i := 1; i < min(len(x.Changes), afterChanges); i++ {
				p.add(&note{line: p.afterChange(x, &x.Changes[i]), tone: "plain"})
			}
		}
		p.afterCosts(x)
	}
	for i := range x.Items {
		p.afterItem(x, i)
	}
	p.afterWaste(x)
	if !x.Told {
		p.says(p.t("pl.after.brought"), "quiet")
	}
	p.says(p.t("pl.after.rule"), "quiet")
}

// afterChanges is how many changes are told.
const afterChanges = 4

// afterTime is a minute of a day, with the day's name if it is another one.
func (p *page) afterTime(x *afterwards.Seen, minute int) string {
	day, clock := p.State.Wall(x.Names.At(minute))
	if day == x.Day {
		return hourMinute(clock)
	}
	return p.l.Date(day, true) + " " + hourMinute(clock)
}

// changeTexts are the texts of changes, by sort.
var changeTexts = [...]string{"more", "less", "bigger", "smaller", "earlier", "later", "tubmore", "tubless", "coatless"}

func (p *page) afterChange(x *afterwards.Seen, c *afterwards.Change) line {
	id := "pl.after.c." + changeTexts[c.Sort]
	if c.Sort == afterwards.LoadMore && c.Coated > 0 {
		id += ".coat"
	}
	name := x.Names.Items[c.Item].Procedure
	return p.line(id, in("item", plain(p.afterItemName(name))), in("time", plain(p.afterTime(x, c.At))),
		in("long", plain(p.l.Length(stamp.Span(c.By)*stamp.Minute))), in("coat", plain(p.afterTime(x, c.Coat))), in("tub", plain(p.afterTime(x, c.Tub))),
		in("pieces", plain(p.afterPieces(name, int64(c.Units*x.Names.Items[c.Item].Pieces)))), in("money", bold(p.afterMoney(x, c.Saves))))
}

func (p *page) afterItemName(name string) string {
	if pr := p.State.Procedure(name, 0); pr != nil {
		return p.text(pr.Item)
	}
	return name
}

func (p *page) afterPieces(item string, n int64) string {
	if pr := p.State.Procedure(item, 0); pr != nil && pr.Portions {
		return p.n("portions", n)
	}
	return p.n("pieces", n)
}

// costKinds are what costs are told apart by.
var costKinds = [...]struct {
	id string
	of func(c *planner.Costs) planner.Money
}{
	{"unmet", func(c *planner.Costs) planner.Money { return c.Unmet }}, {"waste", func(c *planner.Costs) planner.Money { return c.Waste }},
	{"load", func(c *planner.Costs) planner.Money { return c.Load }}, {"coat", func(c *planner.Costs) planner.Money { return c.Coat }},
	{"marinate", func(c *planner.Costs) planner.Money { return c.Marinate }}, {"overbest", func(c *planner.Costs) planner.Money { return c.OverBest }},
	{"discard", func(c *planner.Costs) planner.Money { return c.Discard }}, {"short", func(c *planner.Costs) planner.Money { return c.Short }},
}

// afterCosts draws what the day cost, by what for.
func (p *page) afterCosts(x *afterwards.Seen) {
	done, plan, best := x.Report.Costs()
	out := &plotted{title: p.t("pl.after.money"), says: p.t("pl.after.money.says", "cost", p.afterMoney(x, x.Cost)),
		head: []string{p.t("pl.after.item"), p.t("pl.after.done")}}
	if x.Plan >= 0 {
		out.head = append(out.head, p.t("pl.after.plan"))
	}
	if x.Hindsight >= 0 {
		out.head = append(out.head, p.t("pl.after.hindsight"))
	}
	var bars []plot.Bar
	for _, k := range costKinds {
		m := k.of(&done)
		row := []string{p.t("pl.after.m." + k.id), p.afterMoney(x, m)}
		if x.Plan >= 0 {
			row = append(row, p.afterMoney(x, k.of(&plan)))
		}
		if x.Hindsight >= 0 {
			row = append(row, p.afterMoney(x, k.of(&best)))
		}
		out.rows = append(out.rows, row)
		if m > 0 {
			bars = append(bars, plot.Bar{Text: row[0] + ": " + row[1], Value: int64(m)})
		}
	}
	p.bars(out, bars)
}

// bars adds a drawing of the longest bars, if there are any.
func (p *page) bars(out *plotted, bars []plot.Bar) {
	for n := range bars {
		for k := n; k > 0 && bars[k].Value > bars[k-1].Value; k-- {
			bars[k], bars[k-1] = bars[k-1], bars[k]
		}
	}
	if len(bars) > 0 {
		out.lengths(bars)
		p.add(out)
	}
}

// afterFiles offers a day, and the week to it, as a table.
func (p *page) afterFiles(day int32) {
	p.add(&buttons{actions: []button{
		{label: p.t("record.print"), style: quiet, page: "print"},
		{label: p.t("pl.after.csv"), small: p.t("pl.after.csv.small"), style: quiet, to: address("/api/after.csv", "from", words.ISODate(day), "to", words.ISODate(day))},
		{label: p.t("pl.after.csv.week"), style: quiet, to: address("/api/after.csv", "from", words.ISODate(day-6), "to", words.ISODate(day))},
	}})
	p.says(p.t("pl.after.csv.more"), "quiet")
}

// stageTexts are the texts of the planner's stages.
var stageTexts = [afterwards.Stages]string{"marinated", "coated", "fried"}

// afterWaste draws what was thrown away or left over, by reason.
func (p *page) afterWaste(x *afterwards.Seen) {
	list := x.Wastes()
	if len(list) == 0 {
		p.says(p.t("pl.after.waste.none"), "plain")
		return
	}
	out := &plotted{title: p.t("pl.after.waste"), head: []string{p.t("pl.after.item"), p.t("pl.after.weight"), p.t("pl.after.cost.head")}}
	var bars []plot.Bar
	rows := &pairs{}
	total := planner.Money(0)
	for _, w := range list {
		why := p.afterWhy(x, &w)
		total += w.Cost
		grams := ""
		if w.Grams > 0 {
			grams = p.l.Amount(w.Grams, "g")
		}
		name := x.Names.Items[w.Item].Procedure
		what, much := words.Upper(p.afterItemName(name))+", "+p.t("pl.after.stage."+stageTexts[w.Stage])+": "+why, p.afterMoney(x, w.Cost)
		if w.How == afterwards.LeftOver {
			what = words.Upper(p.afterItemName(name)) + ": " + why
		}
		out.rows = append(out.rows, []string{what, grams, much})
		if grams != "" {
			much = grams + ", " + much
		}
		if w.Stage == afterwards.Fried {
			much = p.afterPieces(name, int64(w.Amount)) + ", " + much
		}
		rows.say(what, much)
		bars = append(bars, plot.Bar{Text: why + ", " + p.afterItemName(name) + ": " + p.afterMoney(x, w.Cost), Value: int64(w.Cost)})
	}
	out.says = p.t("pl.after.waste.says", "cost", p.afterMoney(x, total))
	p.bars(out, bars)
	p.add(rows)
}

// afterWhy is why something was wasted, in the reader's language where the procedure has the reason.
func (p *page) afterWhy(x *afterwards.Seen, w *afterwards.Waste) string {
	switch {
	case w.How == afterwards.Unwritten || w.How == afterwards.Written && w.Why == "":
		return p.t("pl.after.unwritten")
	case w.How == afterwards.LeftOver:
		return p.t("pl.after.left")
	}
	return p.reasonOf(x.Names.Items[w.Item].Procedure, w.Why)
}

// reasonOf words a reason in the reader's language, where the procedure has it in both.
func (p *page) reasonOf(item, why string) string {
	if pr := p.State.Procedure(item, 0); pr != nil {
		for _, r := range pr.Reasons {
			if r.EN == why || r.ES == why {
				return p.text(r)
			}
		}
	}
	return why
}
