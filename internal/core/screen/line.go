package screen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// nextHour is how far ahead the second group of the line looks.
const nextHour = stamp.Hour

// rank is the order of the line: what is still good and nearest to being lost, then what is past its limit, then the
// rest by the time of its next hand.
type rank uint8

const (
	good rank = iota
	past
	waiting
)

// item is one thing on the line.
type item struct {
	rank  rank
	by    stamp.Milli // the loss, or the next hand
	hand  stamp.Milli // of the next hand
	now   bool        // a hand is needed now
	key   string      // breaks ties, so that all devices show one order
	build func(small bool) *strip
}

func compareItems(a, b item) int {
	return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.by, b.by), cmp.Compare(a.key, b.key))
}

// items returns all that is on the line, in its order.
func (p *page) items() []item {
	var list []item
	for i := range p.State.Batches {
		if b := &p.State.Batches[i]; b.Status == kitchen.Open && p.cooling(b) == nil { // else its log stands for it
			list = append(list, p.batchItem(b))
		}
	}
	for i := range p.State.Timers {
		if t := &p.State.Timers[i]; !t.Ended {
			list = append(list, p.timerItem(t))
		}
	}
	list = append(list, p.logItems()...)
	list = append(list, p.listItems()...)
	list = append(list, p.placeItems()...)
	if p.Planned != nil {
		list = append(list, p.planWants()...)
	}
	order.Stable(list, compareItems)
	return list
}

func (p *page) batchItem(b *kitchen.Batch) item {
	s := p.standing(b)
	it := item{rank: waiting, hand: s.hand(), key: b.ID.String(),
		build: func(small bool) *strip { return p.batchStrip(&s, small) }}
	it.by = it.hand
	it.now = s.state >= window.LastCall || p.rings(b.ID) || p.Now >= s.needed()
	switch loss := s.loss(p.Now); {
	case p.over(&s):
		it.rank, it.by = past, s.at(s.win.Ceiling)
	case s.state == window.Past: // it still lies in hot oil, or under pressure
		it.rank, it.by = good, s.at(s.win.Ceiling)
	case it.now && loss > 0 && s.state != window.TooSoon:
		it.rank, it.by = good, loss
	case it.now:
		it.rank, it.by = good, never
	}
	return it
}

// batchStrip draws a batch on the line: small when it needs no hand yet.
func (p *page) batchStrip(s *standing, small bool) *strip {
	st := &strip{key: s.b.ID.String(), to: toBatch(s.b), state: stateName(s.state), name: p.name(s.b), left: p.left(s),
		word: p.stateWord(s), sub: append(p.sub(s), p.gotBy(s)...),
		rail: p.rail(s, false), small: small, deed: p.deed(s)}
	if small {
		st.detail = plain(p.contents(s.b))
		return st
	}
	st.cue = p.cue(s)
	if b := p.nextAct(s); b != nil {
		st.actions = []button{*b}
	}
	return st
}

// contents says what a batch is and how much of it is left: "bone-in, 7.2 kg".
func (p *page) contents(b *kitchen.Batch) string {
	return p.l.Item(p.State, b) + ", " + p.l.Left(p.State, b)
}

// cue is the one line of caution of a strip.
func (p *page) cue(s *standing) string {
	switch {
	case p.over(s) && !s.stage.Raw:
		return p.t("cue.past.cooked")
	case p.over(s):
		return p.t("cue.past.raw")
	}
	return p.cueOf(s.stage.Caution)
}

// cueOf is a caution in a line; "" where there is none.
func (p *page) cueOf(c *procedure.Caution) string {
	switch {
	case c == nil:
		return ""
	case len(c.Lines) > 0:
		return p.text(c.Title) + ": " + words.Lower(p.text(c.Lines[0]))
	}
	return p.text(c.Title)
}

// deed says in a few words what is to be done with a batch next, for the wall and for bells.
func (p *page) deed(s *standing) string {
	switch {
	case p.over(s):
		return p.t("deed.discard", "amount", p.l.Left(p.State, s.b))
	case s.b.Frozen != 0:
		return words.Lower(p.t("frost.thaw"))
	case s.stage.Kind == procedure.Work && p.openStep(s) != nil:
		return words.Lower(p.text(p.openStep(s).Text))
	case s.next != nil:
		return words.Lower(p.text(s.next.Act))
	case s.stage.Kind == procedure.Hold:
		return p.t("deed.sell")
	}
	return p.doing(s)
}

// openStep returns the first step of the stage that is still to be done, or nil.
func (p *page) openStep(s *standing) *procedure.Step {
	for i := range s.stage.Steps {
		if t := &s.stage.Steps[i]; !t.Optional && s.b.Marked(s.stage.Name, t.Name) == nil {
			return t
		}
	}
	return nil
}

// nextAct is the one action of a full strip. What is dangerous, takes steps or needs amounts opens the batch.
func (p *page) nextAct(s *standing) *button {
	switch {
	case p.over(s):
		b := p.discard(s.b)
		return &b
	case s.b.Frozen != 0:
		return &button{label: p.t("frost.thaw"), small: p.contents(s.b), style: quiet, to: toBatch(s.b)}
	case s.stage.Kind == procedure.Hold && s.next == nil:
		return &button{label: p.t("hold.open"), small: p.contents(s.b), style: act, to: "/hold"}
	case s.stage.Kind == procedure.Work && p.openStep(s) != nil:
		return &button{label: p.text(p.openStep(s).Text), small: p.stepCount(s), style: act, to: toBatch(s.b)}
	case s.next == nil:
		return nil
	case p.openStep(s) != nil || s.stage.Caution != nil:
		return &button{label: p.text(s.next.Act), small: p.contents(s.b), style: act, to: toBatch(s.b)}
	}
	return p.leave(s)
}

func (p *page) stepCount(s *standing) string {
	for i := range s.stage.Steps {
		if &s.stage.Steps[i] == p.openStep(s) {
			return p.t("step.of", "n", p.num(i+1), "of", p.num(len(s.stage.Steps)))
		}
	}
	return ""
}

// leave is the act that takes a batch out of its stage: at once, or by a page that asks how much and where.
func (p *page) leave(s *standing) *button {
	if s.next == nil {
		return nil
	}
	b := &button{label: p.text(s.next.Act), small: p.contents(s.b), style: act}
	if !s.keepsVessel() || !p.standsIn(s.b, s.next.Equipment) && len(p.placesOf(s.next.Equipment)) > 1 {
		b.to = "/portion/" + s.b.ID.String()
		return b
	}
	b.do = &kitchen.Command{Do: kitchen.DoMove, Batch: s.b.ID, From: s.b.Stage, To: s.next.Name}
	if s.next.Mark {
		b.to = "/mark/" + s.b.ID.String()
	}
	return b
}

// standsIn tells whether a batch stands in equipment of the kind already.
func (p *page) standsIn(b *kitchen.Batch, kind string) bool {
	d := p.State.Equipment().Device(b.Place)
	return d != nil && d.Kind == kind
}

// discard is the button that throws away what is left of a batch. It takes a second tap, and a reason.
func (p *page) discard(b *kitchen.Batch) button {
	amount, name := p.l.Left(p.State, b), p.name(b)
	do := &kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID}
	out := button{label: p.t("discard", "amount", amount), small: p.l.Item(p.State, b), style: stop, do: do,
		sure: &sure{title: p.t("discard.sure", "amount", amount, "name", name),
			lines: []string{p.t("discard.waste"), p.t("discard.final")}, label: p.t("discard", "amount", amount)}}
	s := p.standing(b)
	if p.over(&s) {
		do.Reason = p.t("reason.past")
		return out
	}
	a := &ask{kind: "choice", name: "reason", title: p.t("discard.why")}
	if s.proc != nil {
		for _, r := range s.proc.Reasons {
			a.choices = append(a.choices, option{label: p.text(r), text: p.text(r)})
		}
	}
	if len(a.choices) == 0 {
		a.choices = []option{{label: p.t("reason.dropped"), text: p.t("reason.dropped")},
			{label: p.t("reason.other"), text: p.t("reason.other")}}
	}
	out.ask = a
	return out
}

func (p *page) timerItem(t *kitchen.Timer) item {
	it := item{rank: waiting, by: t.Due, hand: t.Due, now: t.Due <= p.Now, key: "timer " + t.ID.String(),
		build: func(small bool) *strip { return p.timerStrip(t, small) }}
	if it.now {
		it.rank = good
	}
	return it
}

func (p *page) timerStrip(t *kitchen.Timer, small bool) *strip {
	st := &strip{key: "timer-" + t.ID.String(), to: "/timers", state: "none", name: t.Name, small: small,
		left: p.countTo(t.Due, "left.left"), word: p.t("timer.running"), deed: p.t("timer.deed"),
		sub: plain(p.t("timer.set", "name", p.l.Crew(p.State, t.By), "time", p.clock(t.Set)))}
	if t.Due <= p.Now {
		st.state, st.word = "last", p.t("timer.out")
		for i := range p.bells {
			if b := &p.bells[i]; b.Timer == t.ID && !b.Ringing {
				st.sub = append(st.sub, p.has(b.GotBy)...)
			}
		}
	}
	if !small {
		st.actions = []button{p.timerEnd(t)}
	}
	return st
}

func (p *page) timerEnd(t *kitchen.Timer) button {
	return button{label: p.t("timer.end"), small: t.Name, style: act,
		do: &kitchen.Command{Do: kitchen.DoTimerEnd, Timer: t.ID}}
}

// lineScreen is the line: what needs a hand next, in order.
func (p *page) lineScreen() {
	p.open("line", p.t("line"), "line")
	p.boatFact()
	p.crewNote()
	p.deafNote("/devices")
	items := p.items()
	hands := 0
	for _, it := range items {
		if it.now {
			hands++
		}
	}
	if hands == 0 {
		p.nothing(items)
	} else {
		p.add(&group{title: p.t("line.now"), note: p.n("line.hands", int64(hands))})
		p.strips(items, func(it *item) bool { return it.now })
	}
	p.freeToLoad()
	if p.Planned != nil {
		p.planNews()
	}
	p.deviationNote()
	soon := func(it *item) bool { return !it.now && it.hand <= p.Now.Add(nextHour) }
	p.grouped("line.hour", items, soon)
	p.grouped("line.later", items, func(it *item) bool { return !it.now && !soon(it) })
	p.trainerOffer()
	p.quizOffer(hands)
	p.add(&buttons{actions: []button{
		{label: p.t("start.open"), style: quiet, to: "/start"}, {label: p.t("timer.new"), style: quiet, to: "/timer/new"}}})
}

// freeToLoad offers each fryer that could be loaded now, with the oldest batch that is ready for it: a basket is dropped
// many times a shift, so it must not lie pages away.
func (p *page) freeToLoad() {
	var actions []button
	devices := p.State.Equipment().Devices
	for i := range devices {
		d := &devices[i]
		place := p.State.Place(d.Name)
		if !d.Single || place.Out || len(p.State.In(d.Name)) > 0 || place.EmptyAt > 0 && place.EmptyAt.Add(d.Between) > p.Now {
			continue
		}
		if list := p.loadable(d); len(list) > 0 && list[0].state != window.TooSoon {
			actions = append(actions, button{label: p.t("load.title", "name", p.text(d.Title)),
				small: p.name(list[0].b) + ", " + p.contents(list[0].b), style: quiet, to: "/load/" + escape(d.Name)})
		}
	}
	if len(actions) > 0 {
		p.add(&buttons{actions: actions})
	}
}

func (p *page) grouped(title string, items []item, want func(*item) bool) {
	if slices.ContainsFunc(items, func(it item) bool { return want(&it) }) {
		p.add(&group{title: p.t(title)})
		p.strips(items, want)
	}
}

func (p *page) strips(items []item, want func(*item) bool) {
	for i := range items {
		if want(&items[i]) {
			p.add(items[i].build(!items[i].now))
		}
	}
}

// nothing says that nobody is needed, and what comes next.
func (p *page) nothing(items []item) {
	if len(p.State.Procedures()) == 0 && len(items) == 0 {
		p.add(&empty{title: p.t("start.none"), line: p.line("start.none.do")})
		return
	}
	e := &empty{title: p.t("line.nothing"), line: p.line("line.none")}
	if i := slices.IndexFunc(items, func(it item) bool { return it.hand < never }); i >= 0 {
		it := &items[i]
		e.line = p.line("line.next", in("name", bold(it.build(true).name)), in("time", plain(p.clock(it.hand))))
	}
	p.add(e)
}

func (p *page) crewNote() {
	if p.State.Member(p.Crew) == nil && len(p.State.Crew) > 0 {
		p.add(&choice{rows: []choiceRow{{label: p.t("who.tap"), detail: p.t("who.why"), to: "/who"}}})
	}
}

func (p *page) deviationNote() {
	open := 0
	for i := range p.State.Deviations {
		if !p.State.Deviations[i].Closed {
			open++
		}
	}
	if open > 0 {
		p.add(&choice{rows: []choiceRow{{label: p.n("dev.open", int64(open)), detail: p.t("dev.open.detail"), to: "/deviations"}}})
	}
}
