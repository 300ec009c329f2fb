package screen

import (
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// planScreen is the plan, and what belongs to it. Whatever is drawn only from here comes with the last part of a phone's core.
func (p *page) planScreen() {
	switch p.path.at(1) {
	case "":
		p.planMain()
	case "after":
		p.planAfter()
	case "news":
		p.planNewest()
	case "change":
		p.planChange()
	case "what":
		p.planWhat()
	case "order":
		p.planOrder()
	case "demand":
		p.planDemand()
	case "events":
		p.planEvents()
	case "import":
		p.planImport()
	case "how":
		p.planHow()
	default:
		p.missing("missing.page")
	}
}

// planPage opens a page below the plan.
func (p *page) planPage(title string) {
	p.open("plan", title, "plan")
	p.back(p.planTo("/plan"), p.t("pl.plan"))
}

// planTo is an address that keeps the day that is looked at.
func (p *page) planTo(where string, pairs ...string) string {
	return address(where, append([]string{"day", p.path.get("day")}, pairs...)...)
}

// planDocument is what planning rests on in this kitchen, or nil.
func (p *page) planDocument() *procedure.Plan { return p.State.PlanDocument() }

// planDay is the day that is looked at: today as long as much of it is to come, then tomorrow.
func (p *page) planDay() int32 {
	today := p.State.WallDay(p.Now)
	if day, ok := words.ReadISODate(p.path.get("day")); ok && day >= today && day <= today+7 {
		return day
	}
	if p.Now >= p.State.WallAt(today, planEvening) {
		return today + 1
	}
	return today
}

// planEvening is when the day after becomes what one plans: its tubs are started then.
const planEvening = 15 * stamp.Hour

// planNow returns what the planner has come to for the day and state that are looked at, and whether it is of this very state.
func (p *page) planNow() (x *Planned, fresh bool) {
	if p.Planned == nil || p.Planned.Key == "" || p.Planned.Day != p.planDay() {
		return nil, false
	}
	return p.Planned, p.Planned.Key == p.planKey()
}

// planMain is what to start, coat and drop, and what it costs.
func (p *page) planMain() {
	p.open("plan", p.t("pl.plan"), "plan")
	if p.planDocument() == nil {
		p.add(&empty{title: p.t("pl.none"), line: p.line("pl.none.do")})
		return
	}
	p.planTabs()
	x, fresh := p.planNow()
	if x == nil {
		p.says(p.t("pl.thinks"), "quiet")
		p.planLinks()
		return
	}
	p.planStands(x, fresh)
	p.planMissing(x)
	p.planStarts(x)
	p.planCoats(x)
	p.planDrops(x)
	p.planKeeps(x)
	p.planUnmet(x)
	p.planCosts(x)
	p.planLinks()
	if mark := p.State.PlanOf(x.Day); mark == nil || len(x.Differs) > 0 {
		p.planTake(&x.Plan, "")
	}
}

// planTabs lead from one day to the other.
func (p *page) planTabs() {
	today, day := p.State.WallDay(p.Now), p.planDay()
	t := &tabs{}
	for d := today; d <= today+1; d++ {
		t.rows = append(t.rows, choiceRow{label: p.l.Date(d, true), to: address("/plan", "day", words.ISODate(d)), on: d == day})
	}
	p.add(t)
}

// planStands says what was taken on, and what would change.
func (p *page) planStands(x *Planned, fresh bool) {
	if !fresh {
		p.says(p.t("pl.again"), "quiet")
	}
	mark := p.State.PlanOf(x.Day)
	if mark == nil {
		p.says(p.t("pl.untaken"), "plain")
		return
	}
	id := "pl.taken"
	if mark.Ring {
		id = "pl.taken.rings"
	}
	p.says(p.t(id, "time", p.clock(mark.At), "name", p.l.Crew(p.State, mark.By)), "quiet")
	if len(x.Differs) > 0 {
		p.planSum(x.Differs)
	}
}

// planSum says what would be otherwise than in the plan that was taken on: few changes as they are, many by their reasons, with the list
// of them behind.
func (p *page) planSum(list []planning.Say) {
	title := p.n("pl.differs", int64(len(list)))
	if len(list) <= planFew+1 {
		p.planSays(title, list, "")
		return
	}
	p.says(title, "plain")
	for _, t := range planning.Sum(list) {
		title = p.t("pl.news")
		if t.Why != nil {
			title = words.Upper(p.planSay(t.Why))
		}
		p.planSays(title, t.Says[:min(len(t.Says), planMany)], "")
	}
	p.goOn(p.n("pl.all", int64(len(list))), p.planTo("/plan/news"))
}

// planFirst says the first of them, with its reason.
func (p *page) planFirst(list []planning.Say) string {
	if len(list) <= planFew+1 {
		return p.planSay(&list[0])
	}
	t := planning.Sum(list)[0]
	t.Says[0].Why = t.Why
	return p.planSay(&t.Says[0])
}

// planNewest lists all that would be otherwise than in the plan that was taken on.
func (p *page) planNewest() {
	p.planPage(p.t("pl.news"))
	if x, _ := p.planNow(); x != nil && len(x.Differs) > 0 {
		p.planSays(p.n("pl.differs", int64(len(x.Differs))), x.Differs, "")
		p.planTake(&x.Plan, "")
		return
	}
	p.says(p.t("pl.if.same"), "plain")
}

// planFew is how many sentences stand on a page that is about something else, planMany how many that tell several changes each.
const (
	planFew  = 4
	planMany = 6
)

// planSays adds sentences: all of them, or the first and where the others are.
func (p *page) planSays(title string, list []planning.Say, more string) {
	s := &sentences{title: title}
	for i := range list {
		if more != "" && i == planFew && len(list) > planFew+1 {
			break
		}
		s.lines = append(s.lines, p.planSay(&list[i]))
	}
	if p.add(s); len(s.lines) < len(list) {
		p.goOn(p.n("pl.more", int64(len(list)-len(s.lines))), p.planTo(more))
	}
}

// planMissing says what the plan does not count on, or would need to know.
func (p *page) planMissing(x *Planned) {
	for i := range x.Missing {
		p.says(p.planSay(&x.Missing[i].Say), "bad")
	}
}

// planPieces says a number of pieces of an item.
func (p *page) planPieces(item string, n int64) string {
	if pr := p.State.Procedure(item, 0); pr != nil && pr.Portions {
		return p.n("portions", n)
	}
	return p.n("pieces", n)
}

func (p *page) planStation(name string) string {
	if doc := p.planDocument(); doc != nil {
		if st := doc.Station(name); st != nil {
			return p.text(st.Title)
		}
	}
	return name
}

// planLinks lead on from the plan.
func (p *page) planLinks() {
	c := &choice{}
	for _, to := range [...]string{"what", "order"} {
		c.rows = append(c.rows, choiceRow{label: p.t("pl." + to), detail: p.t("pl." + to + ".detail"), to: p.planTo("/plan/" + to)})
	}
	c.lead(p.t("pl.after"), p.t("pl.after.detail"), "/plan/after")
	p.add(c)
	p.planRests()
}

// planTake offers to take a plan on; changes are those made by hand.
func (p *page) planTake(x *planning.Plan, changes string) {
	do := &kitchen.Command{Do: kitchen.DoPlan, Day: x.Day, Text: changes}
	p.dock = append(p.dock, button{label: p.t("pl.take"), small: p.t("pl.take.small", "cost", p.planMoney(x.Cost)), style: act, do: do,
		to: p.planTo("/plan"), ask: &ask{kind: "choice", name: "answer", title: p.t("pl.ring"), choices: []option{
			{label: p.t("pl.ring.yes"), text: "ring"}, {label: p.t("pl.ring.no"), text: "quiet"}}}})
}

// folded is what is there for whoever opens it: what comes later today, or only matters to some.
type folded struct {
	key, title, note string
	parts            []part
}

func (f *folded) write(w *jsontext.Writer) {
	begin(w, "fold")
	w.Str("key", f.key)
	w.Str("title", f.title)
	w.OptStr("note", f.note)
	w.List("parts")
	for _, inner := range f.parts {
		inner.write(w)
	}
	w.EndList()
	w.EndObject()
}
