package screen

import (
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// listsScreen is today's lists.
func (p *page) listsScreen() {
	p.open("lists", p.t("lists"), "more")
	c := &choice{title: p.t("lists.today")}
	for _, s := range p.todaysLists() {
		c.rows = append(c.rows, p.listRow(&s))
	}
	if len(c.rows) == 0 {
		p.add(&empty{title: p.t("lists.none"), line: p.line("lists.none.line")})
		return
	}
	p.add(c)
}

func (p *page) listRow(s *listState) choiceRow {
	row := choiceRow{label: p.text(s.li.Title), to: p.toRun(s), state: "none",
		detail: p.t("list.done", "n", p.num(s.done), "of", p.num(s.of))}
	switch {
	case s.complete():
		row.word = p.t("list.complete")
	case s.li.Due > 0 && s.due <= p.Now:
		row.state, row.word = "last", p.t("list.overdue")
		row.detail += ", " + p.t("list.was", "time", p.clock(s.due))
	case s.opens > p.Now:
		row.word = p.t("list.opens", "time", p.clock(s.opens))
	case s.li.Due > 0:
		row.word = p.t("list.due", "time", p.clock(s.due))
	}
	return row
}

// listScreen is one list on one of the kitchen's days, today unless ?day= says otherwise.
func (p *page) listScreen() {
	li, day := p.listShown()
	if li == nil {
		p.missing("missing.page")
		return
	}
	s := p.listState(li, day)
	p.open("list", p.text(li.Title), "")
	p.back("/lists", p.t("lists"))
	row := p.listRow(&s)
	h := &strip{head: true, name: p.text(li.Title), state: row.state, word: orText(row.word, p.t("list.open")), sub: plain(row.detail)}
	if li.Due > 0 && !s.complete() {
		h.left = p.countTo(s.due, "left.due")
	}
	p.add(h)
	c := p.listSteps(&s)
	p.guideOffer(c)
	p.stepParts(c)
	defer p.listHistory(&s)
	if s.closed() {
		return
	}
	b := button{label: p.t("list.close"), style: act, do: &kitchen.Command{Do: kitchen.DoListClose, List: li.Name, Day: day}}
	if s.done < s.of {
		b.style, b.small = quiet, p.n("list.close.missing", int64(s.of-s.done))
		b.sure = &sure{title: p.n("list.close.sure", int64(s.of-s.done)), lines: []string{p.t("list.close.line")}, label: b.label}
	}
	p.add(&buttons{actions: []button{b}})
}

// listShown returns the list and the day that a list's page is about, whether it opens then or not; nil where there is none.
func (p *page) listShown() (*procedure.List, int32) {
	day := p.State.WallDay(p.Now)
	if p.path.at(0) == "guide" {
		return p.State.List(p.path.at(2)), day
	}
	if n, ok := digits(p.path.get("day")); ok && n < 1<<30 {
		day = int32(n)
	}
	return p.State.List(p.path.at(1)), day
}

func (p *page) listSteps(s *listState) *checklist {
	return &checklist{steps: s.li.Steps, do: kitchen.Command{Do: kitchen.DoStep, List: s.li.Name, Day: s.day},
		marked: func(step string) *kitchen.Mark { return s.run.Marked(step) }}
}

// timersScreen is the timers that run, and the way to a new one.
func (p *page) timersScreen() {
	p.open("timers", p.t("timers"), "")
	p.back("/more", p.t("more"))
	var list []*kitchen.Timer
	for i := range p.State.Timers {
		if t := &p.State.Timers[i]; !t.Ended {
			list = append(list, t)
		}
	}
	order.Stable(list, func(a, b *kitchen.Timer) int { return int(max(-1, min(1, a.Due-b.Due))) })
	for _, t := range list {
		st := p.timerStrip(t, false)
		st.to = ""
		p.add(st)
	}
	if len(list) == 0 {
		p.add(&empty{title: p.t("timers.none"), line: p.line("timers.none.line")})
	}
	p.dock = []button{{label: p.t("timer.new"), style: act, to: "/timer/new"}}
}

// timerLengths are the lengths in minutes that one tap sets.
var timerLengths = [...]int64{1, 2, 3, 5, 8, 10, 12, 15, 20, 30, 45, 60}

// timerNewScreen sets a timer: one that was named before again, or a length, with a name if wanted. Either is the last tap.
func (p *page) timerNewScreen() {
	p.open("timernew", p.t("timer.new"), "")
	p.back("/timers", p.t("timers"))
	name := p.path.get("name")
	if p.path.has("own") || p.path.has("m") {
		p.ownTimer(name)
		return
	}
	if again := p.timersAgain(); len(again) > 0 && name == "" {
		p.add(&choice{title: p.t("timer.again"), rows: again})
	}
	lengths := &choice{title: p.t("timer.length"), short: true}
	for _, m := range timerLengths {
		span := stamp.Span(m) * stamp.Minute
		lengths.rows = append(lengths.rows, choiceRow{label: p.t("timer.minutes", "n", p.num(int(m))),
			do: p.setTimer(name, span), to: "/"})
	}
	p.add(lengths, &field{name: "name", label: p.t("timer.name"), text: name},
		&buttons{actions: []button{{label: p.t("timer.own"), style: quiet, to: address("/timer/new", "name", name, "own", "1")}}})
}

// timersAgain is the last timers that somebody gave a name, each with its length, the newest first.
func (p *page) timersAgain() []choiceRow {
	var rows []choiceRow
	for i := len(p.State.Timers) - 1; i >= 0 && len(rows) < 3; i-- {
		t := &p.State.Timers[i]
		span := t.Due.Since(t.Set)
		length := p.l.Length(span)
		same := func(r choiceRow) bool { return r.label == t.Name && r.detail == length }
		if t.Name == words.EN.T("timer.called", "length", length) || t.Name == words.ES.T("timer.called", "length", length) ||
			span <= 0 || slices.ContainsFunc(rows, same) {
			continue
		}
		rows = append(rows, choiceRow{label: t.Name, detail: length, do: p.setTimer(t.Name, span), to: "/"})
	}
	return rows
}

// ownTimer asks for a length of any number of minutes.
func (p *page) ownTimer(name string) {
	span := stamp.Span(p.typed("m", quantity.Milli))
	p.add(&pad{name: "m", text: p.path.get("m"), unit: p.t("unit.min"), limit: p.line("timer.most")},
		&field{name: "name", label: p.t("timer.name"), text: name})
	if span > 0 {
		p.dock = []button{{label: p.t("timer.do", "length", p.l.Length(span)), style: act, do: p.setTimer(name, span), to: "/"}}
	}
}

func (p *page) setTimer(name string, span stamp.Span) *kitchen.Command {
	return &kitchen.Command{Do: kitchen.DoTimer, Span: span,
		Name: orText(name, p.t("timer.called", "length", p.l.Length(span)))}
}

// deviationsScreen is what is off: open ones first.
func (p *page) deviationsScreen() {
	p.open("deviations", p.t("deviations"), "")
	p.back("/more", p.t("more"))
	open, closed := &choice{title: p.t("dev.open.title2")}, &choice{title: p.t("dev.open.closed")}
	for i := range p.State.Deviations {
		d := &p.State.Deviations[i]
		if d.Closed {
			closed.rows = append(closed.rows, p.deviationRow(d))
		} else {
			open.rows = append(open.rows, p.deviationRow(d))
		}
	}
	if len(open.rows) == 0 {
		p.add(&empty{title: p.t("dev.open.none"), line: p.line("dev.open.none.line")})
	} else {
		p.add(open)
	}
	if len(closed.rows) > 0 {
		p.add(closed)
	}
	p.add(&buttons{actions: []button{{label: p.t("dev.open.write"), style: quiet, do: &kitchen.Command{Do: kitchen.DoDeviate},
		ask: &ask{kind: "text", name: "text", title: p.t("dev.open.what"), keep: p.t("keep")}}}})
}

func (p *page) deviationRow(d *kitchen.Deviation) choiceRow {
	row := choiceRow{label: p.l.Deviation(p.State, d, p.Now).Title, to: "/deviation/" + escape(d.Key),
		detail: p.t("dev.open.when", "time", p.clock(d.At), "name", p.l.Crew(p.State, d.By))}
	if !d.Closed {
		row.state = "past"
	}
	return row
}

// deviationScreen is one deviation: the number, the limit, what to do, and what was done.
func (p *page) deviationScreen() {
	d := p.State.Deviation(p.path.rest(1)) // keys have slashes
	if d == nil {
		p.missing("missing.page")
		return
	}
	off := p.l.Deviation(p.State, d, p.Now)
	p.open("deviation", p.t("deviation"), "")
	p.back("/deviations", p.t("deviations"))
	f := &fault{title: off.Title, lines: off.Lines}
	if b := p.State.Batch(d.Batch); b != nil {
		f.actions = append(f.actions, button{label: p.t("open", "name", p.name(b)), style: quiet, to: toBatch(b)})
	} else if d.Place != "" {
		f.actions = append(f.actions, button{label: p.t("open", "name", p.l.Place(p.State, d.Place)), style: quiet,
			to: "/place/" + escape(d.Place)})
	}
	for i := range p.State.Logs {
		l := &p.State.Logs[i]
		if slices.ContainsFunc(l.Missed, func(m kitchen.Missed) bool { return m.Key == d.Key }) {
			f.actions = append(f.actions, button{label: p.t("log.open"), style: quiet, to: toLog(l)})
		}
	}
	p.add(f)
	p.beyond(d)
	p.cookProposal(d)
	h := &history{title: p.t("dev.open.answers"), rows: []historyRow{{at: p.clock(d.At), who: p.l.Crew(p.State, d.By), text: off.Title}}}
	for _, a := range d.Answers {
		h.rows = append(h.rows, historyRow{at: p.clock(a.At), who: p.l.Crew(p.State, a.By), text: a.Action})
	}
	p.add(h)
	p.deviationParts(d)
	if d.Closed {
		p.add(&note{line: p.line("dev.open.isclosed", in("time", plain(p.clock(d.EndAt)))), tone: "plain"})
		return
	}
	answer := func(closes bool, label, small, style string) button {
		return button{label: p.t(label), small: p.t(small), style: style,
			do:  &kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Closes: closes},
			ask: &ask{kind: "text", name: "text", title: p.t("dev.open.done"), keep: p.t("keep")}}
	}
	more := []button{answer(false, "dev.open.add", "dev.open.add.small", quiet)}
	if len(d.Missing()) == 0 {
		more = append([]button{answer(true, "dev.open.close", "dev.open.close.small", act)}, more...)
	}
	p.add(&buttons{actions: more})
}

// findScreen finds a batch by the code of its date mark.
func (p *page) findScreen() {
	p.open("find", p.t("find.open"), "")
	p.back("/more", p.t("more"))
	code := cleanCode(p.path.get("code"))
	p.add(&field{name: "code", label: p.t("find.code"), text: p.path.get("code")})
	if code == "" {
		p.add(&note{line: p.line("find.how"), tone: "quiet"})
		return
	}
	b := p.State.ByCode(code)
	if b == nil {
		p.add(&note{line: p.line("find.none", in("code", bold(code))), tone: "bad"})
		return
	}
	s := p.standing(b)
	p.add(&choice{rows: []choiceRow{{label: p.l.Vessel(b.Vessel, b.Number), detail: p.made(b), to: toBatch(b),
		state: stateName(s.state), word: p.text(s.stage.Title)}}})
}

// cleanCode brings what somebody typed into the form of a code: capitals, nothing between.
func cleanCode(s string) string {
	out := make([]byte, 0, 4)
	for i := 0; i < len(s) && len(out) < 12; i++ {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z':
			out = append(out, c-'a'+'A')
		case c >= 'A' && c <= 'Z', c >= '0' && c <= '9':
			out = append(out, c)
		}
	}
	return string(out)
}

// fryerKind is the kind of equipment that holds hot oil.
const fryerKind = "fryer"

// placeScreen is a piece of equipment: what is in it, its last reading, and the pad for the next one.
func (p *page) placeScreen() {
	d := p.State.Equipment().Device(p.path.at(1))
	if d == nil {
		p.missing("missing.page")
		return
	}
	p.open("place", p.text(d.Title), "")
	p.back("/kitchen", p.t("kitchen"))
	place := p.State.Place(d.Name)
	if place.Out {
		p.add(&note{line: p.line("place.out", in("why", plain(place.Why))), tone: "bad"})
	}
	if d.Kind == fryerKind {
		p.add(&caution{key: "oil", title: p.t("caution.oil"), lines: []string{p.t("caution.oil.probe")}})
	}
	if p.text(d.What) != "" || d.Reading.Min != nil || d.Reading.Max != nil || d.ReadEvery > 0 {
		p.readingPad(d)
		p.correctReading(d, place)
	}
	p.heldBy(d)
	p.holds(d)
	p.kept(d)
	do := &kitchen.Command{Do: kitchen.DoEquipment, Place: d.Name, Answer: "out"}
	out := button{label: p.t("place.takeout"), style: quiet, do: do,
		ask: &ask{kind: "text", name: "reason", title: p.t("place.takeout.why"), keep: p.t("keep")}}
	if place.Out {
		do.Answer = "in"
		out = button{label: p.t("place.takein"), style: act, do: do}
	}
	p.add(&group{title: p.t("batch.more")}, &buttons{actions: []button{out,
		{label: p.t("note.write"), style: quiet, do: &kitchen.Command{Do: kitchen.DoNote, Place: d.Name},
			ask: &ask{kind: "text", name: "text", title: p.t("note.title", "name", p.text(d.Title)), keep: p.t("keep")}},
		{label: p.t("dev.open.write"), style: quiet, do: &kitchen.Command{Do: kitchen.DoDeviate, Place: d.Name},
			ask: &ask{kind: "text", name: "text", title: p.t("dev.open.title", "name", p.text(d.Title)), keep: p.t("keep")}}}})
}

// holds says what is in a piece of equipment, and offers to load it.
func (p *page) holds(d *procedure.Device) {
	c := &choice{title: p.t("place.in")}
	for _, b := range p.State.In(d.Name) {
		s := p.standing(b)
		c.rows = append(c.rows, choiceRow{label: p.l.Vessel(b.Vessel, b.Number), detail: p.contents(b), to: toBatch(b),
			state: stateName(s.state), word: p.stateWord(&s)})
	}
	place := p.State.Place(d.Name)
	switch {
	case len(c.rows) > 0:
		p.add(c)
	case d.Single:
		p.add(&note{line: p.line("place.isfree"), tone: "plain"})
	}
	if d.Single && place.EmptyAt > 0 && place.EmptyAt.Add(d.Between) > p.Now {
		p.add(&note{line: p.line("place.resting", in("left", boldCount(place.EmptyAt.Add(d.Between))),
			in("between", plain(p.l.Exact(int64(d.Between), "ms")))), tone: "plain"})
	}
	if d.Single && len(c.rows) == 0 && !place.Out {
		p.add(&buttons{actions: []button{{label: p.t("load.title", "name", p.text(d.Title)), style: act, to: "/load/" + escape(d.Name)}}})
	}
}

func (p *page) readingPad(d *procedure.Device) {
	text := p.path.get("v")
	how, unit := p.l.Typing("mC", d.TypedIn), words.Shown("mC", d.TypedIn)
	pd := &pad{name: "v", text: text, unit: how.Unit, signed: true, label: p.readWord(d), limit: plain(p.l.Limit(d.Reading, unit))}
	p.add(pd, &note{line: p.lastReading(d), tone: "quiet"})
	j, value, ok := p.judge(text, how.Code, d.Reading, "mC", unit)
	pd.judged = j
	if !ok {
		return
	}
	small := p.text(d.Title)
	if j.bad { // the verdict under the keys may lie below the fold
		small = ""
		for _, r := range j.verdict {
			small += r.text
		}
	}
	p.dock = []button{{label: p.t("keep.value", "value", p.l.Amount(value, unit)), small: small, style: act,
		do: &kitchen.Command{Do: kitchen.DoReading, Place: d.Name, Value: value, Unit: "mC"}, to: p.bare()}}
}

// judge says by how much a number meets its limit or not while it is typed, and returns it in base units. It never says
// more than that.
func (p *page) judge(text, code string, limit procedure.Limit, base, unit string) (j judged, value int64, ok bool) {
	j.text = text
	value, err := quantity.Typed(text, code, quantity.Unit(base))
	if err != nil {
		if j.bad = text != ""; j.bad {
			j.verdict = p.line("pad.nonumber")
		}
		return j, 0, false
	}
	by := func(id string, n int64, runs func(string) line) {
		j.verdict = p.line(id, in("by", runs(p.l.Difference(n, unit))))
	}
	switch {
	case limit.Min != nil && value < *limit.Min:
		j.bad = true
		by("verdict.under", *limit.Min-value, bold)
	case limit.Max != nil && value > *limit.Max:
		j.bad = true
		by("verdict.over", value-*limit.Max, bold)
	case limit.Min != nil && (limit.Max == nil || value-*limit.Min <= *limit.Max-value):
		by("verdict.above", value-*limit.Min, plain)
	case limit.Max != nil:
		by("verdict.below", *limit.Max-value, plain)
	}
	return j, value, true
}
