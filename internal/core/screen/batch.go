package screen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// batchAt returns the batch that the path names, nil when there is none.
func (p *page) batchAt(i int) *kitchen.Batch {
	id, err := entry.ParseID(p.path.at(i))
	if err != nil {
		return nil
	}
	return p.State.Batch(id)
}

func (p *page) missing(id string) {
	p.open("missing", p.t("missing"), "")
	p.back("/", p.t("line"))
	p.add(&empty{title: p.t(id), line: p.line(id + ".do"), actions: []button{
		{label: p.t("find.open"), style: quiet, to: "/find"}, {label: p.t("line.open"), style: quiet, to: "/"}}})
}

// batchScreen is one batch with its steps, its rail and what may be done with it.
func (p *page) batchScreen() {
	b := p.batchAt(1)
	if b == nil {
		p.missing("missing.batch")
		return
	}
	if p.path.at(2) == "history" {
		p.historyScreen(b)
		return
	}
	p.open("batch", p.name(b), "")
	p.back("/", p.t("line"))
	if b.Status != kitchen.Open {
		p.title = p.l.Vessel(b.Vessel, b.Number) // it stands in no equipment any more
		p.ended(b)
		return
	}
	s := p.standing(b)
	if s.stage.Kind == procedure.Hold {
		p.back("/hold", p.t("hold"))
	}
	p.add(p.headOf(&s))
	p.batchDeviations(b)
	p.batchExcursions(b)
	if !p.awayParts(&s) {
		if open := p.openStep(&s); open != nil && open.Caution == nil {
			p.addSome(p.cautionOf("end", s.stage.Caution)) // it is meant for the steps too
		}
		c := p.stepsOf(&s)
		p.guideOffer(c)
		p.stepParts(c)
		p.endParts(&s)
	}
	p.otherActs(&s)
	p.batchLogs(b)
	p.treeParts(b)
}

func (p *page) headOf(s *standing) *strip {
	return &strip{head: true, name: p.name(s.b), left: p.left(s), state: stateName(s.state),
		word: p.stateWord(s), sub: append(p.sub(s), p.gotBy(s)...),
		rail: p.rail(s, true), detail: p.whatLine(s.b)}
}

// whatLine says what a batch is: "Load 12, bone-in, 7.2 kg, from Pan 4, code 7K3M".
func (p *page) whatLine(b *kitchen.Batch) line {
	out := line{}
	if v := p.l.Vessel(b.Vessel, b.Number); v != p.name(b) {
		out = append(out, run{text: v + ", "})
	}
	if b.Status == kitchen.Open {
		out = append(out, run{text: p.contents(b)})
	} else { // nothing is left: what it is, not how much
		out = append(out, run{text: p.l.Item(p.State, b)})
	}
	if b.Pieces > 0 && b.Grams > 0 {
		out = append(out, run{text: ", " + p.l.Amount(b.Grams, "g")})
	}
	if from := p.parents(b); from != "" {
		out = append(out, run{text: ", " + p.t("from", "name", from)})
	}
	out = append(out, run{text: ", "}, run{text: b.Code, bold: true})
	return out
}

func (p *page) parents(b *kitchen.Batch) string {
	out := ""
	for i, id := range b.Parents {
		if i == 3 {
			return out + "..."
		}
		if i > 0 {
			out += ", "
		}
		if parent := p.State.Batch(id); parent != nil {
			out += p.l.Vessel(parent.Vessel, parent.Number)
		}
	}
	return out
}

// ended shows a batch of which nothing is left.
func (p *page) ended(b *kitchen.Batch) {
	word := [...]string{kitchen.Open: "", kitchen.Used: "used", kitchen.Finished: "finished", kitchen.Discarded: "discarded"}[b.Status]
	p.add(&strip{head: true, name: p.l.Vessel(b.Vessel, b.Number), state: "none", word: p.t("status." + word),
		sub: plain(p.clock(b.EndedAt)), detail: p.whatLine(b)})
	p.batchDeviations(b)
	acts := []button{p.historyButton(b), p.noteButton(b)}
	if b.Thin {
		p.add(&note{line: p.line("thin"), tone: "plain"})
		acts = acts[1:]
	}
	p.add(&buttons{actions: acts})
	p.batchLogs(b)
	p.treeParts(b)
}

func (p *page) batchDeviations(b *kitchen.Batch) {
	c := &choice{}
	for i := range p.State.Deviations {
		if d := &p.State.Deviations[i]; !d.Closed && (d.Batch == b.ID || b.Doubt != "" && d.Key == b.Doubt) {
			c.rows = append(c.rows, p.deviationRow(d))
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// endParts are the caution and the act that end the stage. The button stands after the caution, never docked.
func (p *page) endParts(s *standing) {
	if p.over(s) {
		p.add(&note{line: plain(p.cue(s)), tone: "bad"})
		b := p.discard(s.b)
		actions := []button{b}
		if s.stage.Override && !s.win.Hard && s.next != nil {
			on := p.leave(s)
			on.style, on.small = quiet, p.t("act.past", "time", p.clock(s.at(s.win.Ceiling)))
			actions = append(actions, *on)
		}
		p.add(&buttons{actions: actions})
		return
	}
	if s.stage.Kind == procedure.Hold {
		p.add(&buttons{actions: p.counters(s.b)})
		return
	}
	b := p.leave(s)
	if b == nil {
		return
	}
	open := p.openStep(s)
	if open == nil || open.Caution != nil { // else it stands before the steps
		p.addSome(p.cautionOf("end", s.stage.Caution))
	}
	switch s.state {
	case window.Past:
		b.small = p.t("act.past", "time", p.clock(s.at(s.win.Ceiling)))
	case window.TooSoon:
		b.style, b.small = quiet, p.t("act.soon", "time", p.clock(s.at(s.win.Floor)))
	}
	if open != nil { // the next thing to tap is the step; whoever must go on without it learns what is missing
		b.style, b.small = quiet, p.n("list.close.missing", int64(len(p.State.Missing(s.b))))
	}
	p.add(&buttons{actions: []button{*b}})
}

// otherActs are what may be done with a batch at any time.
func (p *page) otherActs(s *standing) {
	var list []button
	if s.stage.Mark || s.b.UseBy > 0 || s.b.Frozen != 0 || p.State.LogOf(s.b.ID, entry.LogTime) != nil {
		list = append(list, button{label: p.t("mark.open"), small: s.b.Code, style: quiet, to: "/mark/" + s.b.ID.String()})
	}
	list = append(list, p.historyButton(s.b), p.noteButton(s.b), button{label: p.t("dev.open.write"), style: quiet,
		do:  &kitchen.Command{Do: kitchen.DoDeviate, Batch: s.b.ID},
		ask: &ask{kind: "text", name: "text", title: p.t("dev.open.title", "name", p.name(s.b)), keep: p.t("keep")}})
	list = append(list, p.awayActs(s)...)
	if p.splittable(s) {
		list = append(list, button{label: p.t("split"), style: quiet, to: address("/portion/"+s.b.ID.String(), "split", "1")})
	}
	if !p.over(s) {
		d := p.discard(s.b)
		d.style = quiet
		list = append(list, d)
	}
	p.add(&group{title: p.t("batch.more")}, &buttons{actions: list})
}

func (p *page) historyButton(b *kitchen.Batch) button {
	return button{label: p.t("history"), small: p.t("history.small"), style: quiet, to: toBatch(b) + "/history"}
}

func (p *page) noteButton(b *kitchen.Batch) button {
	return button{label: p.t("note.write"), style: quiet, do: &kitchen.Command{Do: kitchen.DoNote, Batch: b.ID},
		ask: &ask{kind: "text", name: "text", title: p.t("note.title", "name", p.l.Vessel(b.Vessel, b.Number)), keep: p.t("keep")}}
}

// treeMost bounds how many ancestors, and how many descendants, one screen lists.
const treeMost = 12

// treeParts answer both ways at once: what a batch came from, back to its tubs, and what went out of it, down to its trays.
func (p *page) treeParts(b *kitchen.Batch) {
	t := &tree{title: p.t("tree")}
	p.kin(b, "tree.from", func(x *kitchen.Batch) []entry.ID { return x.Parents }, t)
	p.kin(b, "tree.to", func(x *kitchen.Batch) []entry.ID { return x.Children }, t)
	if len(t.rows) > 0 {
		p.add(t)
	}
	p.batchFacts(b)
}

// kin adds a row for each batch that can be reached by next, the nearest first.
func (p *page) kin(b *kitchen.Batch, label string, next func(*kitchen.Batch) []entry.ID, t *tree) {
	seen := map[entry.ID]bool{b.ID: true}
	from := len(t.rows)
	todo := slices.Clone(next(b))
	for len(todo) > 0 && len(t.rows)-from < treeMost {
		id := todo[0]
		todo = todo[1:]
		o := p.State.Batch(id)
		if o == nil || seen[id] {
			continue
		}
		seen[id] = true
		detail := p.made(o)
		if gave := p.gave(o, b); gave != "" { // of several: what each gave
			detail = gave + "; " + detail
		} else if gave := p.gave(b, o); gave != "" {
			detail = gave + "; " + detail
		}
		if o.Status == kitchen.Discarded {
			detail += ", " + words.Lower(p.t("status.discarded"))
		}
		t.rows = append(t.rows, treeRow{toBatch(o), p.t(label, "name", p.l.Vessel(o.Vessel, o.Number)), detail})
		todo = append(todo, next(o)...)
	}
}

// gave says how much of a batch went into one that was made of several; "" where nothing tells.
func (p *page) gave(from, to *kitchen.Batch) string {
	if len(to.Parents) < 2 || len(to.Events) == 0 || !slices.Contains(to.Parents, from.ID) {
		return ""
	}
	made := to.Events[0].Entry
	if slices.ContainsFunc(from.Children, func(id entry.ID) bool {
		o := p.State.Batch(id)
		return id != to.ID && o != nil && len(o.Events) > 0 && o.Events[0].Entry == made
	}) {
		return "" // it is told of all that was made at once
	}
	for i := range from.Events {
		if e := &from.Events[i]; e.Entry == made {
			return p.t("tree.gave", "amount", p.l.Amount(e.Number, e.Unit), "name", p.l.Vessel(from.Vessel, from.Number))
		}
	}
	return ""
}

// batchFacts are lots, maker, procedure, and what did not come out again.
func (p *page) batchFacts(b *kitchen.Batch) {
	r := &pairs{title: p.t("batch.facts")}
	if len(b.Lots) > 0 {
		r.put(p.t("lots"), joined(b.Lots))
	}
	r.put(p.t("made"), p.t("made.by", "time", p.clock(b.MadeAt), "name", p.l.Crew(p.State, b.MadeBy)))
	if pr := p.State.Procedure(b.Procedure, b.Version); pr != nil {
		r.put(p.t("procedure"), p.t("version.of", "name", p.text(pr.Title), "n", p.num(int(pr.Version))))
	}
	p.yieldRow(r, b)
	for _, x := range b.Lost {
		r.put(words.Upper(p.t("loss."+lossID(x.Why))), p.l.Much(p.State, b, x.Grams, x.Pieces))
	}
	p.add(r)
}

func lossID(why string) string {
	switch why {
	case "trim", "drip", "yield":
		return why
	}
	return "waste"
}

func (p *page) made(b *kitchen.Batch) string {
	return p.l.Item(p.State, b) + ", " + p.l.Much(p.State, b, b.InGrams, b.InPieces) + ", " + p.clock(b.MadeAt)
}

func joined(list []string) string {
	out := ""
	for i, s := range list {
		if i > 0 {
			out += ", "
		}
		out += s
	}
	return out
}

// useBy is the latest instant at which a batch may be used, 0 when it carries none.
func useBy(s *standing) stamp.Milli {
	switch {
	case s.b.UseBy > 0:
		return s.b.UseBy
	case s.stage.Mark && s.win.Ceiling > 0:
		return s.at(s.win.Ceiling)
	}
	return 0
}

// markScreen is a date mark: large enough to copy onto tape, and as a label to print.
func (p *page) markScreen() {
	b := p.batchAt(1)
	if b == nil {
		p.missing("missing.batch")
		return
	}
	s := p.standing(b)
	name := p.l.Vessel(b.Vessel, b.Number)
	p.open("mark", p.t("mark.title", "name", name), "")
	p.back(toBatch(b), p.name(b))
	m := &mark{name: name + ", " + p.l.Item(p.State, b), useLabel: p.t("mark.useby"), code: b.Code}
	m.kind = p.markKind(&s)
	if s.proc != nil {
		m.allergens = p.text(s.proc.Allergens)
	}
	if u := p.text(s.stage.MarkUse); u != "" {
		m.useLabel = u
	}
	zone := p.zone(b.MadeAt)
	if at := useBy(&s); at > 0 {
		z := p.zone(at)
		m.date, m.time = p.l.Date(z.Day(at), false), clockOf(at, z)
	} else {
		m.useLabel, m.date, m.time = p.t("mark.made"), p.l.Date(zone.Day(b.MadeAt), false), clockOf(b.MadeAt, zone)
	}
	m.made = p.t("mark.says", "date", p.l.Date(zone.Day(b.MadeAt), true), "time", clockOf(b.MadeAt, zone),
		"name", p.l.Crew(p.State, b.MadeBy), "amount", p.l.Left(p.State, b))
	if len(b.Lots) > 0 {
		m.lots = p.t("mark.lot", "lots", joined(b.Lots))
	}
	rows, away := p.markAway(&s, m)
	if !away {
		rows = p.because(&s)
	}
	p.add(m)
	p.add(&pairs{rows: rows}, &note{line: p.line("mark.how"), tone: "quiet"})
}

// markKind says whether it is raw or cooked, and how it is kept: before the cook as the procedure says; after it never so
// ("keep cold" on a hot tray would be the wrong advice), but within the limit of the equipment that it stands in.
func (p *page) markKind(s *standing) string {
	id, keep := "mark.uncooked", ""
	if s.proc != nil {
		keep = p.text(s.proc.Keep)
	}
	switch {
	case s.stage.Raw:
		id = "mark.raw"
	case p.cooked(s):
		id, keep = "mark.cooked", p.keptAt(s)
	}
	kind := words.Upper(p.t(id, "doing", p.doing(s)))
	if keep != "" {
		kind += " " + keep
	}
	return kind
}

// cooked tells whether a batch has come to the first stage of its procedure that takes a piece of equipment for itself: a
// fryer, or whatever the kitchen cooks in.
func (p *page) cooked(s *standing) bool {
	if s.proc == nil {
		return false
	}
	for i := range s.proc.Stages {
		st := &s.proc.Stages[i]
		for _, d := range p.State.Equipment().Devices {
			if d.Single && d.Kind == st.Equipment {
				return true
			}
		}
		if st.Name == s.stage.Name {
			return false
		}
	}
	return false
}

// keptAt says within which limit the equipment of a stage keeps what stands in it: "Hold cabinet: at least 57.0 °C."
func (p *page) keptAt(s *standing) string {
	d := p.State.Equipment().Device(s.b.Place)
	if d == nil || d.Reading.Min == nil && d.Reading.Max == nil {
		return ""
	}
	return p.text(d.Title) + ": " + p.l.Limit(d.Reading, words.Shown("mC", d.TypedIn)) + "."
}

// because says from which limit the date of the mark follows.
func (p *page) because(s *standing) []pair {
	at := useBy(s)
	if at == 0 || s.proc == nil {
		return nil
	}
	proc := p.t("version.of", "name", p.text(s.proc.Title), "n", p.num(int(s.proc.Version)))
	switch most := s.stage.Window.Ceiling; {
	case most > 0 && s.at(most) == at:
		return []pair{{p.t("because"), plain(p.t("because.stage", "stage", p.text(s.stage.Title),
			"limit", p.l.Exact(int64(most), "ms"), "time", p.clock(s.b.Since), "procedure", proc))}}
	case most > 0 && p.State.UseBy(s.stage, s.b.Since) == at:
		return []pair{{p.t("because"), plain(p.t("because.days", "n", p.num(safety.DateDays), "source", p.l.Source("fc-date")))}}
	}
	return []pair{{p.t("because"), plain(p.t("because.carried", "procedure", proc))}}
}
