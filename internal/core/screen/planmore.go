package screen

import (
	"strconv"
	"strings"

	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// A plan is changed by hand in the address, so that Back takes a change back: c lists changes, each a row ("d3": the fourth drop,
// "c", "t") and what is done with it: "@650" it starts at that minute, "*4" it has so many units, "-" it is left out. b is a print of the plan
// that the rows are counted in.

// planChange is one row of the plan, and what can be done with it.
func (p *page) planChange() {
	p.planPage(p.t("pl.change"))
	x, _ := p.planNow()
	sort := p.path.at(2)
	n, ok := digits(p.path.at(3))
	if x == nil {
		p.says(p.t("pl.thinks"), "quiet")
		return
	}
	row := planRow{p: p, x: x, sort: sort, n: int(n), changes: p.path.get("c"), print: planPrint(&x.Plan)}
	if b := p.path.get("b"); b != "" && b != row.print || !ok || !row.find() {
		p.add(&empty{title: p.t("pl.change.gone"), line: p.line("pl.change.gone.do"), actions: []button{{label: p.t("pl.plan"), style: act, to: p.planTo("/plan")}}})
		return
	}
	row.show()
}

// planPrint is a short name for what a plan has in its rows.
func planPrint(x *planning.Plan) string {
	return strconv.FormatUint(uint64(wire.Sum(string(wire.Append(nil, x)))), 36)
}

// planRow is a row of the plan while somebody changes it.
type planRow struct {
	p              *page
	x              *Planned
	sort           string
	n              int
	changes, print string

	item          string
	start, latest stamp.Milli
	units         int
	step          stamp.Span // of its start
	where         string
	from          string
}

// find looks the row up.
func (r *planRow) find() bool {
	doc := r.p.planDocument()
	if doc == nil {
		return false
	}
	plan := &r.x.Plan
	switch {
	case r.sort == "d" && r.n < len(plan.Drops):
		d := &plan.Drops[r.n]
		r.item, r.start, r.latest, r.units, r.step = d.Item, d.Start, d.Latest, d.Units, stamp.Span(doc.Tick)*stamp.Minute
		r.where, r.from = r.p.l.Place(r.p.State, d.Fryer), r.p.planFrom(d.From, "pan")
	case r.sort == "c" && r.n < len(plan.Coats):
		d := &plan.Coats[r.n]
		r.item, r.start, r.latest, r.units, r.step = d.Item, d.Start, d.Latest, d.Units, stamp.Span(doc.Block)*stamp.Minute
		r.where, r.from = r.p.planStation(d.Station), r.p.planFrom(d.From, "tub")
	case r.sort == "t" && r.n < len(plan.Tubs):
		d := &plan.Tubs[r.n]
		r.item, r.start, r.latest, r.units, r.step = d.Item, d.Start, d.Latest, d.Units, stamp.Span(doc.Block)*stamp.Minute
		r.where = r.p.planStation(d.Station)
	default:
		return false
	}
	return true
}

// now returns what the changes so far make of the row.
func (r *planRow) now() (start stamp.Milli, units int, out bool) {
	start, units = r.start, r.units
	for change := range strings.SplitSeq(r.changes, ";") {
		rest, ok := strings.CutPrefix(change, r.sort+strconv.Itoa(r.n))
		if !ok || rest == "" {
			continue
		}
		n, err := strconv.Atoi(rest[1:])
		switch {
		case rest == "-":
			out = true
		case rest[0] == '@' && err == nil:
			start = r.x.Zero.Add(stamp.Span(n) * stamp.Minute)
		case rest[0] == '*' && err == nil:
			units = n
		}
	}
	return start, units, out
}

// with is the address with one more change; one of the same sort goes.
func (r *planRow) with(what byte, value string) string {
	head := r.sort + strconv.Itoa(r.n) + string(what)
	var list []string
	for change := range strings.SplitSeq(r.changes, ";") {
		if change != "" && !strings.HasPrefix(change, head) {
			list = append(list, change)
		}
	}
	if value != "no" {
		list = append(list, head+value)
	}
	return r.p.planTo(r.p.bare(), "b", r.print, "c", strings.Join(list, ";"))
}

// show draws the row and what can be done with it.
func (r *planRow) show() {
	p := r.p
	start, units, out := r.now()
	p.title = p.t("pl.row."+r.sort, "item", p.planItem(r.item), "time", p.clock(r.start))
	minute := func(t stamp.Milli) string { return strconv.Itoa(int(t.Since(r.x.Zero) / stamp.Minute)) }
	t := &pairs{}
	t.put(p.t("pl.row.start"), p.clock(start))
	t.put(p.t("pl.row.much"), p.planUnits(r.item, units)+r.from)
	t.put(p.t("pl.row.where"), r.where)
	if r.latest > r.start && start == r.start {
		t.put(p.t("pl.row.latest"), p.clock(r.latest))
	}
	p.add(t)
	if out {
		p.says(p.t("pl.row.out"), "plain")
	}
	p.planResult(r)
	by := strconv.Itoa(int(r.step / stamp.Minute))
	list := []button{
		{label: p.t("pl.row.earlier", "n", by), style: quiet, to: r.with('@', minute(start.Add(-r.step)))},
		{label: p.t("pl.row.later", "n", by), style: quiet, to: r.with('@', minute(start.Add(r.step)))},
		{label: p.t("pl.row.more", "amount", p.planUnits(r.item, 1)), style: quiet, to: r.with('*', strconv.Itoa(units+1))}}
	if units > 1 {
		list = append(list, button{label: p.t("pl.row.fewer", "amount", p.planUnits(r.item, 1)), style: quiet, to: r.with('*', strconv.Itoa(units-1))})
	}
	if out {
		list = []button{{label: p.t("pl.row.in"), style: quiet, to: r.with('-', "no")}}
	} else {
		list = append(list, button{label: p.t("pl.row.leave"), style: quiet, to: r.with('-', "")})
	}
	p.add(&buttons{actions: list})
	if r.changes != "" {
		p.goOn(p.t("pl.change.none"), p.planTo("/plan"))
	}
}

// planBroken is how many broken rules are named at once: who mends the first mends others with it.
const planBroken = 2

// planResult says what the changes come to.
func (p *page) planResult(r *planRow) {
	h := &r.x.Hand
	switch {
	case r.changes == "":
		p.says(p.t("pl.change.try"), "quiet")
		return
	case h.Changes != r.changes:
		p.says(p.t("pl.thinks"), "quiet")
		return
	}
	for i := range min(len(h.Breaches), planBroken) {
		p.add(p.planBreach(&h.Breaches[i]))
	}
	if len(h.Breaches) > 0 {
		return
	}
	t := &pairs{title: p.t("pl.change.costs")}
	t.put(p.t("pl.costs.all"), p.planMoney(h.Plan.Cost))
	t.put(p.t("pl.change.by"), p.planExtra(h.Plan.Cost-r.x.Plan.Cost))
	p.add(t)
	if len(h.Differs) > 0 {
		p.planSays(p.t("pl.news"), h.Differs, "")
	}
	p.planTake(&h.Plan, h.Changes)
}

// planExtra says how much dearer or cheaper something is.
func (p *page) planExtra(m planner.Money) string {
	switch {
	case m > 0:
		return p.t("pl.dearer", "cost", p.planMoney(m))
	case m < 0:
		return p.t("pl.cheaper", "cost", p.planMoney(-m))
	}
	return p.t("pl.same")
}

// planBreach names a broken rule, with the number, the limit and what to do.
func (p *page) planBreach(b *PlanBreach) *fault {
	what := p.t("pl.of."+[...]string{"day", "load", "coat", "tub", "keep"}[b.Of], "item", p.planItem(b.Item), "time", p.clock(b.From))
	id := [...]string{planner.RuleDay: "day", planner.RuleMost: "most", planner.RuleFryer: "fryer", planner.RuleShift: "shift", planner.RuleTwo: "two",
		planner.RuleStock: "stock", planner.RuleRoom: "room", planner.RuleSale: "other", planner.RuleOther: "other", planner.RuleRaw: "raw"}[b.Rule]
	if b.Rule == planner.RuleRoom && b.Of == planner.OfMarinade {
		id = "tubs"
	}
	have, need := p.num(b.Have), p.num(b.Need)
	if id == "most" && b.Of != planner.OfMarinade || id == "stock" {
		have, need = p.planUnits(b.Item, b.Have), p.planUnits(b.Item, b.Need)
	}
	spot := p.t("pl.fryers")
	if b.Rule == planner.RuleShift || b.Rule == planner.RuleTwo {
		spot = p.planStation(b.Spot)
	}
	args := []string{"what", words.Upper(what), "time", p.clock(b.From), "to", p.clock(b.To), "have", have, "need", need, "where", spot}
	return &fault{title: p.t("pl.rule."+id, args...), lines: []string{p.t("pl.rule."+id+".why", args...), p.t("pl.rule."+id+".do", args...)}}
}

// planIfs are what can be thought otherwise.
var planIfs = [...]string{"fryer", "fryers", "earlier", "pans", "cook", "tub", "spare", "dead"}

// PlanIfs lists what a planner is asked to think otherwise, in the order of the screen.
func PlanIfs() []string { return planIfs[:] }

// planWhat shows what would be if something were otherwise, without consequences.
func (p *page) planWhat() {
	x, _ := p.planNow()
	name := p.path.at(2)
	p.planPage(p.t("pl.what"))
	p.says(p.t("pl.what.intro"), "quiet")
	if x == nil {
		p.says(p.t("pl.thinks"), "quiet")
		return
	}
	if name != "" {
		p.planWhatOne(x, name)
		return
	}
	c := &choice{title: p.t("pl.what.now", "cost", p.planMoney(x.Plan.Cost))}
	for _, id := range planIfs {
		row := choiceRow{label: p.t("pl.if." + id), detail: p.t("pl.thinks")}
		for i := range x.Ifs {
			if f := &x.Ifs[i]; f.Name == id && f.Done {
				if row.detail = p.t("pl.if.same"); len(f.Differs) == 0 { // what it seems to save then is what longer thought has found
					continue
				}
				row.word = p.planExtra(f.Cost - x.Plan.Cost)
				row.detail = p.n("pl.if.differs", int64(len(f.Differs)))
				row.to = p.planTo("/plan/what/" + id)
			}
		}
		c.rows = append(c.rows, row)
	}
	p.add(c)
}

func (p *page) planWhatOne(x *Planned, name string) {
	p.back(p.planTo("/plan/what"), p.t("pl.what"))
	for i := range x.Ifs {
		f := &x.Ifs[i]
		if f.Name != name || !f.Done {
			continue
		}
		p.title = p.t("pl.if." + name)
		if len(f.Differs) == 0 {
			p.says(p.t("pl.if.same"), "plain")
			return
		}
		t := &pairs{title: p.t("pl.costs")}
		t.put(p.t("pl.costs.all"), p.planMoney(f.Cost))
		t.put(p.t("pl.change.by"), p.planExtra(f.Cost-x.Plan.Cost))
		p.add(t)
		p.planSays(p.t("pl.news"), f.Differs, "")
		return
	}
	p.says(p.t("pl.thinks"), "quiet")
}
