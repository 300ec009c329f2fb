package screen

import (
	"brinebell/internal/core/demand"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/forecast"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// planRests lead from the plan to what it rests on.
func (p *page) planRests() {
	p.add(&choice{title: p.t("pl.demand.from"), rows: []choiceRow{
		{label: p.t("pl.demand"), detail: p.t("pl.demand.what"), to: "/plan/demand"},
		{label: p.t("pl.events"), detail: p.t("pl.events.detail"), to: "/plan/events"},
		{label: p.t("pl.import"), detail: p.t("pl.import.detail"), to: "/plan/import"},
	}})
}

// usualPrice is what running out costs beside throwing away where the kitchen's plan says nothing. Common practice, no source.
var usualPrice = forecast.Ratio{Short: 3, Over: 1}

// demandOf is what to be ready for of an item on a day, over the hours in which it is sold.
func (p *page) demandOf(item string, day int32) *demand.Day {
	a := demand.Ask{Now: p.Now, Item: item, Day: day, Price: usualPrice}
	a.From, a.To = p.openHours(day)
	if doc := p.State.PlanDocument(); doc != nil {
		if it := doc.Item(item); it != nil && it.Margin > 0 {
			a.Price = forecast.Ratio{Short: int64(it.Margin), Over: int64(it.Waste)}
		}
	}
	return demand.Of(p.State, a)
}

// openHours are the minutes of a day between which the kitchen sells: as its plan says, else as it has sold, else from six to ten.
func (p *page) openHours(day int32) (from, to int) {
	if doc := p.State.PlanDocument(); doc != nil {
		from, to = 2*24*60, 0
		for _, h := range doc.Open {
			if procedure.On(h.Days, kitchen.Weekday(day)) {
				from, to = min(from, int(h.From/stamp.Minute)), max(to, int(h.To/stamp.Minute))
			}
		}
		if from < to {
			return from - from%kitchen.SlotMinutes, to
		}
	}
	if from, to = demand.Open(p.State); from < to {
		return from, to
	}
	return 6 * 60, 22 * 60
}

// spell is a part of a day: around a boat, or some hours.
type spell struct {
	from, to int
	name     string
}

// boatLead is how long before a boat its guests begin to count. Common practice, no source.
const boatLead = 45

// spells part a day by its boats, else into spells of three hours.
func (p *page) spells(from, to int, day int32) (list []spell) {
	type boat struct {
		at   int
		name string
	}
	var boats []boat
	if doc := p.State.PlanDocument(); doc != nil {
		for _, r := range doc.Rushes {
			if procedure.On(r.Days, kitchen.Weekday(day)) {
				boats = append(boats, boat{int(r.At / stamp.Minute), p.text(r.Title)})
			}
		}
	} else {
		for _, b := range p.State.Equipment().Boats {
			boats = append(boats, boat{int(b.At / stamp.Minute), p.t("pl.aboat")})
		}
	}
	at := from
	for i := range boats {
		end := to
		if i+1 < len(boats) {
			end = min((boats[i+1].at-boatLead)/kitchen.SlotMinutes*kitchen.SlotMinutes, to)
		}
		if end > at {
			list = append(list, spell{at, end, boats[i].name + " " + wallMinute(boats[i].at)})
			at = end
		}
	}
	for ; at < to; at += 180 {
		list = append(list, spell{at, min(at+180, to), ""})
	}
	return list
}

// wallMinute writes a minute of the day.
func wallMinute(minute int) string {
	two := func(n int) string { return string([]byte{byte('0' + n/10%10), byte('0' + n%10)}) }
	return two(minute/60%24) + ":" + two(minute%60)
}

func fromTo(from, to int) string { return wallMinute(from) + "–" + wallMinute(to) }

// demandAhead is how many days ahead one is led to. Others can be typed into the address of a day.
const demandAhead = 14

// planDemandDay is the day that a path names, tomorrow when it names none.
func (p *page) planDemandDay(name string) int32 {
	if day, ok := words.ReadISODate(name); ok {
		return day
	}
	return p.State.WallDay(p.Now) + 1
}

// planDemand is what will be asked for on a day: of every item in every spell.
func (p *page) planDemand() {
	if p.path.at(3) != "" {
		p.demandSpan()
		return
	}
	day := p.planDemandDay(p.path.at(2))
	p.planPage(p.t("pl.demand"))
	p.says(p.l.Date(day, false), "plain")
	today := p.State.WallDay(p.Now)
	other := &choice{}
	if day > today {
		other.lead(p.t("pl.day.before"), p.l.Date(day-1, false), "/plan/demand/"+words.ISODate(day-1))
	}
	if day < today+demandAhead {
		other.lead(p.t("pl.day.after"), p.l.Date(day+1, false), "/plan/demand/"+words.ISODate(day+1))
	}
	for _, pr := range demand.Items(p.State) {
		p.demandItem(pr, day)
	}
	p.add(other)
	p.goOn(p.t("pl.events"), "/plan/events")
}

// demandItem is what will be asked for of an item, spell by spell, and how little is known of it.
func (p *page) demandItem(pr *procedure.Procedure, day int32) {
	d := p.demandOf(pr.Name, day)
	c := &choice{title: words.Upper(p.text(pr.Item))}
	to := "/plan/demand/" + words.ISODate(day) + "/" + escape(pr.Name) + "/"
	row := func(label string, from, until int) {
		c.lead(label, p.enoughSaid(d, pr, from, until), to+p.num(from)+"/"+p.num(until))
	}
	row(p.t("pl.wholeday"), d.From, d.To)
	if d.Like > 0 {
		for _, s := range p.spells(d.From, d.To, day) {
			row(orText(s.name, fromTo(s.from, s.to)), s.from, s.to)
		}
	}
	p.add(c)
	p.knownSaid(d)
}

// enoughSaid says what to be ready for and how often that is enough.
func (p *page) enoughSaid(d *demand.Day, pr *procedure.Procedure, from, to int) string {
	pieces, fixed, typed := d.Sum(from, to)
	amount := p.piecesOf(pr, int64(pieces))
	said := ""
	switch {
	case d.Like == 0:
		return p.t("pl.closed")
	case typed:
		said = p.t("pl.typed", "amount", amount)
	case pieces == 0 && d.Outlook.Days == 0:
		return p.t("pl.unknown")
	case pieces == 0 && d.Outlook.Span(slotOf(d, from), slotOf(d, to)).Mean == 0:
		return p.t("pl.notsold")
	case d.Outlook.Days == 0:
		said = amount
	default:
		said = p.often(amount, d.Enough(from, to, pieces))
	}
	if fixed > 0 {
		said += ", " + p.t("pl.ordered", "amount", p.num(fixed))
	}
	return said
}

func (p *page) piecesOf(pr *procedure.Procedure, n int64) string {
	return p.num(int(n)) + " " + p.unitFor(pr, n)
}

// slotOf is which slot of a day's a minute begins.
func slotOf(d *demand.Day, minute int) int {
	return (minute - d.From + kitchen.SlotMinutes - 1) / kitchen.SlotMinutes
}

// often says of an amount how often it is enough, given in thousandths.
func (p *page) often(amount string, enough int) string {
	n, of := forecast.Say(enough)
	return p.t("pl.sure", "amount", amount, "n", p.num(n), "of", p.num(of))
}

// knownSaid says how much history is behind a forecast.
func (p *page) knownSaid(d *demand.Day) {
	o := &d.Outlook
	switch {
	case o.Days == 0:
		p.says(p.t("pl.known.none"), "plain")
	case o.Thin:
		p.says(p.n("pl.known.thin", int64(o.Days), "same", p.num(o.Same)), "plain")
	default:
		p.says(p.n("pl.known", int64(o.Days), "same", p.num(o.Same)), "quiet")
	}
}

// demandSpan is one span of a day of one item: what is expected, what was told, and what else may be told.
func (p *page) demandSpan() {
	day, item := p.planDemandDay(p.path.at(2)), p.path.at(3)
	pr := p.State.Procedure(item, 0)
	a, okA := digits(p.path.at(4))
	b, okB := digits(p.path.at(5))
	if pr == nil || !okA || !okB || b <= a || b > 3000 {
		p.missing("missing.page")
		return
	}
	from, to := int(a), int(b)
	p.planPage(words.Upper(p.text(pr.Item)))
	p.back("/plan/demand/"+words.ISODate(day), p.t("pl.demand"))
	p.says(p.l.Date(day, false)+", "+fromTo(from, to), "plain")
	d := p.demandOf(item, day)
	facts := &pairs{}
	facts.say(p.t("pl.ready"), p.enoughSaid(d, pr, from, to))
	span := d.Outlook.Span(slotOf(d, from), slotOf(d, to))
	_, fixed, _ := d.Sum(from, to)
	if d.Outlook.Days > 0 && d.Like > 0 {
		facts.say(p.t("pl.expected"), p.piecesOf(pr, (span.Mean+500)/1000))
		for _, r := range []forecast.Ratio{{Short: 5, Over: 5}, {Short: 8, Over: 2}, {Short: 9, Over: 1}, {Short: 19, Over: 1}} {
			n, of := r.Say()
			facts.say(p.t("pl.of", "n", p.num(n), "of", p.num(of)), p.piecesOf(pr, int64(span.Amount(r)+fixed)))
		}
	}
	p.add(facts)
	p.knownSaid(d)
	tell := func(sort string) *kitchen.Command {
		return &kitchen.Command{Do: kitchen.DoDemand, Procedure: item, Day: day, Value: a, Number: b, Answer: sort, Into: "count", TypedIn: "1"}
	}
	number := func(title string, then *ask) *ask {
		return &ask{kind: "number", name: "typed", title: p.t(title, "span", fromTo(from, to)), unit: p.pieceUnit(pr), whole: true,
			keep: p.t("keep.number", "unit", p.pieceUnit(pr)), then: then}
	}
	p.add(&buttons{actions: []button{
		{label: p.t("pl.type"), small: p.t("pl.type.small"), style: act, do: tell(entry.DemandTyped), ask: number("pl.type.title", nil)},
		{label: p.t("pl.order.add"), small: p.t("pl.order.small"), style: quiet, do: tell(entry.DemandOrder),
			ask: number("pl.order.title", &ask{kind: "text", name: "name", title: p.t("pl.order.who"), keep: p.t("keep")})},
	}})
	p.toldRows(func(m *kitchen.DemandMark) bool {
		return m.Day == day && (m.Item == item || m.Item == "") && int(m.From) < to && int(m.To) > from
	})
	if d.Outlook.Days > 0 {
		p.goOn(p.t("pl.how"), "/plan/how/"+escape(item))
	}
}

// toldRows lists what was told, each with a way to take it back.
func (p *page) toldRows(which func(m *kitchen.DemandMark) bool) {
	h := &history{title: p.t("pl.told")}
	told := p.State.Told()
	for i := range told {
		m := &told[i]
		if !which(m) {
			continue
		}
		back := &kitchen.Command{Do: kitchen.DoDemand, Entry: m.Demand.Demand, Answer: m.Sort, Closes: true}
		h.rows = append(h.rows, historyRow{at: p.l.Date(m.Day, true), who: p.l.Crew(p.State, m.By), text: p.toldText(&m.Demand),
			actions: []button{{label: p.t("pl.back"), style: quiet, do: back}}})
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}

// toldText says what was told.
func (p *page) toldText(m *entry.Demand) string {
	if m.Sort == entry.DemandLike {
		if m.Pieces == 0 {
			return p.t("pl.like.closed")
		}
		return p.t("pl.like", "day", p.weekday(uint8(m.Pieces)))
	}
	if m.Sort == entry.DemandRaw {
		return p.t("pl.told.raw", "item", words.Upper(p.planItem(m.Item)), "time", wallMinute(int(m.From)))
	}
	what := p.n("pl.guests", m.Pieces)
	if pr := p.State.Procedure(m.Item, 0); pr != nil {
		what = p.piecesOf(pr, m.Pieces) + " (" + p.text(pr.Item) + ")"
	}
	said := p.t("pl.told."+m.Sort, "what", what, "span", fromTo(int(m.From), int(m.To)))
	if m.Title != "" {
		said += ": " + m.Title
	}
	return said
}

// weekday is the name of an ISO weekday.
func (p *page) weekday(n uint8) string {
	const monday = 4 // 1970-01-05
	day := p.l.Date(monday+int32(n)-1, false)
	for i := range day {
		if day[i] == ' ' {
			return day[:i]
		}
	}
	return day
}

// planHow says how good the forecast of an item has been.
func (p *page) planHow() {
	pr := p.State.Procedure(p.path.at(2), 0)
	if pr == nil {
		p.missing("missing.page")
		return
	}
	p.planPage(words.Upper(p.text(pr.Item)))
	p.back("/plan/demand", p.t("pl.demand"))
	today := p.State.WallDay(p.Now)
	nine := forecast.Ratio{Short: 9, Over: 1}
	s := p.State.Once("score/"+pr.Name, p.State.SellingPrint()+p.num(int(today)), func() any {
		return demand.ModelOf(p.State, pr.Name, today).Score(nine)[0]
	}).(forecast.Score)
	if s.Days == 0 {
		p.says(p.t("pl.how.none"), "plain")
		return
	}
	p.says(p.n("pl.how.days", int64(s.Days), "enough", p.num(s.Enough)), "plain")
	facts := &pairs{title: p.t("pl.how.loss")}
	facts.say(p.t("pl.how.this"), p.l.Decimal(s.Loss, 3, 1))
	facts.say(p.t("pl.how.week"), p.l.Decimal(s.Week, 3, 1))
	facts.say(p.t("pl.how.average"), p.l.Decimal(s.Average, 3, 1))
	p.add(facts)
	p.says(p.t("pl.how.source"), "quiet")
}
