package screen

import (
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// DoThink is what a planner's worker is asked: Day, Value (kitchen time), Name (the state's key), Text (ifs: think otherwise too; hand: of what stands, changed by
// Reason).
const DoThink = "plan"

// planWish writes what this device's planner should think about, if anything: the page sees to it.
func (p *page) planWish(w *jsontext.Writer) {
	looks := p.path.at(0) == "plan"
	if p.wall || p.Practice != nil || p.planDocument() == nil {
		return
	}
	if looks && p.path.at(1) == "after" {
		p.afterWish(w)
		return
	}
	day := p.planDay()
	if !looks {
		if day = p.State.WallDay(p.Now); p.State.PlanOf(day) == nil {
			if day++; p.State.PlanOf(day) == nil {
				return
			}
		}
	}
	key := p.planKeyOf(day, looks)
	do := kitchen.Command{Do: DoThink, Day: day, Value: int64(p.Now), Name: key}
	if looks {
		switch p.path.at(1) {
		case "what":
			do.Text = "ifs"
		case "change":
			do.Text, do.Reason = "hand", p.path.get("c")
		}
	}
	w.Object("plan")
	w.Str("key", key)
	w.Raw("tap", wire.AppendJSON(nil, &do))
	w.EndObject()
}

// planKey names the state that the plan which is looked at should be of.
func (p *page) planKey() string { return p.planKeyOf(p.planDay(), true) }

// planKeyOf names what a plan of a day rests on: with another of them it is made anew. What is sold piece by piece is not among it, and
// the time only by the quarter of an hour, and where somebody looks.
func (p *page) planKeyOf(day int32, looks bool) string {
	s := p.State
	b := strconv.AppendInt(nil, int64(day), 10)
	num := func(n int64) { b = append(strconv.AppendInt(b, n, 10), ' ') }
	if looks {
		num(int64(p.Now) / int64(15*stamp.Minute))
	}
	for i := range s.Batches {
		x := &s.Batches[i]
		if x.Status != kitchen.Open {
			continue
		}
		b = append(append(append(b, x.ID[:]...), x.Stage...), x.Place...)
		num(int64(x.Frozen))
		if st := s.Stage(x); st == nil || st.Kind != procedure.Hold {
			num(x.Grams)
			num(x.Pieces)
		}
	}
	for i := range s.Places {
		if s.Places[i].Out {
			b = append(b, s.Places[i].Name...)
		}
	}
	for i := range s.Documents {
		num(int64(s.Documents[i].Version))
	}
	for _, m := range s.Told() {
		b = wire.Append(b, &m.Demand)
	}
	for _, x := range s.Shifts() {
		num(int64(x.At))
	}
	num(int64(len(s.Deliveries)))
	if mark := s.PlanOf(day); mark != nil {
		b = append(b, mark.ID[:]...)
	}
	d := wire.Digest(b)
	return wire.Hex(d[:8])
}

// planAsks is how many things of the plan stand on the line at once.
const planAsks = 3

// planNext lists what the plans that were taken on still want: within the hour, and the first thing after that.
func (p *page) planNext() (list []kitchen.WantedRow) {
	if p.Practice != nil {
		return nil
	}
	for _, w := range p.State.Wanted(p.Now) {
		if list = append(list, w); len(list) == planAsks || w.At > p.Now.Add(nextHour) {
			break
		}
	}
	return list
}

// planWants are the things on the line that the plan wants next.
func (p *page) planWants() (list []item) {
	for _, w := range p.planNext() {
		list = append(list, item{rank: waiting, by: w.At, hand: w.At, now: w.At <= p.Now, key: "plan " + p.num(int(w.Plan.Day)) + "/" + p.num(w.Row),
			build: func(small bool) *strip { return p.planWant(w.Plan, w.Row, small) }})
	}
	return list
}

// planWant is one of them.
func (p *page) planWant(m *kitchen.PlanMark, k int, small bool) *strip {
	row := &m.Rows[k]
	it := &m.Items[row.Item]
	at := m.PlanAccepted.At(row.Start)
	st := &strip{key: "plan-" + p.num(int(m.Day)) + "-" + p.num(k), to: "/plan", state: "none", small: small, word: p.t("pl.wants"), left: p.countTo(at, "left.due")}
	much := p.planPieces(it.Item, int64(row.Units)*it.Unit)
	args := []string{"item", p.planItem(it.Item), "much", much}
	act := button{style: quiet, to: "/plan"}
	switch row.Deed {
	case entry.PlanLoad:
		st.name, st.deed = p.l.Place(p.State, row.Place), p.t("pl.want.drop", args...)
		act.label, act.to = p.t("load.title", "name", p.l.Place(p.State, row.Place)), p.planToLoad(row.Place, it.Item, int64(row.Units)*it.Grams)
	case entry.PlanTubs:
		st.name, st.deed = p.l.Vessels("tub", int64(row.Tubs)), p.t("pl.want.tubs", "item", p.planItem(it.Item), "much", p.l.Amount(int64(row.Units)*it.Grams, "g"))
		act.label, act.to = p.n("pl.start.do", int64(row.Tubs)), p.planToStart(it.Item, int64(row.Units)*it.Grams, int64(row.Tubs))
	default:
		st.name, st.deed = p.planStation(row.Place), p.t("pl.want.coat", args...)
		act.label = p.t("pl.plan")
	}
	st.sub = plain(st.deed)
	if !small {
		act.small = p.planItem(it.Item)
		st.actions = []button{act}
	}
	return st
}

// planToLoad is the usual page to load a fryer on, with the oldest vessel of the item and the plan's weight filled in.
func (p *page) planToLoad(place, item string, grams int64) string {
	to, pairs := "/load/"+escape(place), []string(nil)
	if d := p.State.Equipment().Device(place); d != nil {
		list := p.loadable(d)
		for i := range list {
			if b := list[i].b; b.Procedure == item {
				pairs = []string{"from", b.ID.String(), "g", kilograms(min(grams, b.Grams))}
				break
			}
		}
	}
	return address(to, pairs...)
}

// kilograms is how a weight stands in an address.
func kilograms(grams int64) string {
	return strings.TrimRight(strings.TrimRight(words.EN.Decimal(grams, 3, 3), "0"), ".")
}

// planToStart is the usual page to start a batch on, with the plan's amounts filled in.
func (p *page) planToStart(item string, grams, tubs int64) string {
	return address("/start/"+escape(item), "g", kilograms(grams), "tubs", p.num(int(tubs)))
}

// planNews says on the line that the kitchen is no longer as it was when its plan was taken on.
func (p *page) planNews() {
	x := p.Planned
	if p.Practice != nil || len(x.Differs) == 0 || p.State.PlanOf(x.Day) == nil || x.Key != p.planKeyOf(x.Day, false) && x.Key != p.planKeyOf(x.Day, true) {
		return
	}
	p.add(&choice{rows: []choiceRow{{label: p.n("pl.wants.changes", int64(len(x.Differs))), detail: p.planFirst(x.Differs), to: address("/plan", "day", words.ISODate(x.Day))}}})
}

// planAhead sees when the line asks for something, and when a plan that is looked at is made anew.
func (p *page) planAhead(s *soonest) {
	for _, w := range p.planNext() {
		s.see(w.At)
		s.see(w.At.Add(-nextHour))
	}
	if quarter := 15 * stamp.Minute; p.path.at(0) == "plan" {
		s.see((p.Now / stamp.Milli(quarter) * stamp.Milli(quarter)).Add(quarter))
	}
}
