package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/window"
)

// portionScreen takes a batch into the next stage's vessels: a tub into pans, a pan into a fryer, a load into trays.
func (p *page) portionScreen() {
	b := p.batchAt(1)
	if b == nil {
		p.missing("missing.batch")
		return
	}
	s := p.standing(b)
	p.open("portion", p.name(b), "")
	p.back(toBatch(b), p.name(b))
	switch {
	case b.Status != kitchen.Open:
		p.ended(b)
		return
	case s.next == nil:
		p.add(p.refusedPart(nil, &kitchen.Refusal{Code: kitchen.RefLastStage, Batch: b.ID, Stage: b.Stage}))
		return
	}
	if p.path.has("split") {
		p.splitForm(&s)
		return
	}
	p.portionForm(&s, p.path.get("place"))
}

// loadScreen loads a piece of equipment: from the oldest batch that is ready, unless ?from= says otherwise.
func (p *page) loadScreen() {
	d := p.State.Equipment().Device(p.path.at(1))
	if d == nil {
		p.missing("missing.page")
		return
	}
	p.open("load", p.t("load.title", "name", p.text(d.Title)), "")
	p.back("/place/"+escape(d.Name), p.text(d.Title))
	list := p.loadable(d)
	if len(list) == 0 {
		p.add(&empty{title: p.t("load.none", "name", p.text(d.Title)), line: p.line("load.none.do")})
		return
	}
	from := &list[0]
	c := &choice{title: p.t("load.from")}
	for i := range list {
		s := &list[i]
		on := s.b.ID.String() == p.path.get("from")
		if on {
			from = s
		}
		c.rows = append(c.rows, choiceRow{label: p.name(s.b), detail: p.contents(s.b), on: on, state: stateName(s.state),
			word: p.stateWord(s), to: address(p.bare(), "from", s.b.ID.String())})
	}
	for i := range c.rows {
		c.rows[i].on = list[i].b == from.b
	}
	if len(list) > 1 {
		p.add(c)
	}
	p.alsoFrom(from, list)
	p.portionForm(from, d.Name)
}

// loadable returns the batches that may go into a piece of equipment next, the oldest of those that are ready first.
func (p *page) loadable(d *procedure.Device) []standing {
	var ready, other []standing
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		if b.Status != kitchen.Open {
			continue
		}
		s := p.standing(b)
		if s.next == nil || s.next.Equipment != d.Kind || s.keepsVessel() || s.state == window.Past || b.Frozen != 0 {
			continue
		}
		if s.state == window.TooSoon {
			other = append(other, s)
		} else {
			ready = append(ready, s)
		}
	}
	oldest := func(list []standing) {
		for i := 1; i < len(list); i++ {
			for j := i; j > 0 && list[j].b.Since < list[j-1].b.Since; j-- {
				list[j], list[j-1] = list[j-1], list[j]
			}
		}
	}
	oldest(ready)
	oldest(other)
	return append(ready, other...)
}

// portionForm asks for what the next stage wants to know, one number at a time, and names what will come of it.
func (p *page) portionForm(s *standing, place string) {
	p.add(&note{line: p.whatLine(s.b), tone: "quiet"})
	next := s.next
	if next.Equipment != "" && place == "" {
		place = p.placeChoice(next.Equipment)
	}
	do := &kitchen.Command{Do: kitchen.DoPortion, Batch: s.b.ID, To: next.Name, Place: place,
		Grams: p.typed("g", quantity.Gram), Pieces: p.typed("c", quantity.Piece), Number: p.typed("n", quantity.Piece)}
	if s.keepsVessel() {
		do = &kitchen.Command{Do: kitchen.DoMove, Batch: s.b.ID, From: s.b.Stage, To: next.Name, Place: place}
	}
	if also := p.also(s); len(also) > 0 {
		do.Batch, do.Shares = entry.ID{}, []kitchen.Wanted{{Batch: s.b.ID, All: true}}
		for _, b := range also {
			do.Shares = append(do.Shares, kitchen.Wanted{Batch: b.ID, All: true})
		}
	}
	drafts, refusal := p.try(do)
	barred := refusal != nil && !aboutNumbers(refusal)
	if barred { // nobody should weigh first, and learn below the pad that the fryer takes nothing
		if refusal.Override { // only then an act is offered
			p.cautions(s, next)
		}
		p.add(p.refusedPart(do, refusal))
	}
	if !s.keepsVessel() {
		p.amountRows(s, next)
	}
	if barred {
		return
	}
	p.portions(s, drafts)
	p.cautions(s, next)
	if refusal != nil {
		p.add(p.refusedPart(do, refusal))
		return
	}
	p.add(&buttons{actions: []button{{label: p.text(next.Act), style: act, do: do, small: p.comes(drafts), to: p.after(s)}}})
}

// cautions stand before the act: that of the stage that ends, and that of the one that begins, which may be hot oil.
func (p *page) cautions(s *standing, next *procedure.Stage) {
	end, into := p.cautionOf("end", s.stage.Caution), p.cautionOf("into", next.Caution)
	p.addSome(end)
	if end == nil || into != nil && into.title != end.title {
		p.addSome(into)
	}
}

// addSome adds a caution where there is one.
func (p *page) addSome(c *caution) {
	if c != nil {
		p.add(c)
	}
}

// after is where to go once a batch has been portioned: to the line for what is loaded, which is the next to need a
// hand, else to the batch itself, which leads to the date marks of what came out of it.
func (p *page) after(s *standing) string {
	for _, d := range p.placesOf(s.next.Equipment) {
		if d.Single {
			return "/"
		}
	}
	return toBatch(s.b)
}

// amountRows ask for weight, pieces and the number of vessels, as the stage to be entered wants them: the pad is for
// one of them, the others stand beside it as rows.
func (p *page) amountRows(s *standing, next *procedure.Stage) {
	type want struct{ name, label, unit string }
	var wants []want
	if next.Enter.Weighed {
		wants = append(wants, want{"g", p.t("portion.weight"), "kg"})
	}
	if next.Enter.Counted || next.Enter.Part && s.b.Pieces > 0 {
		wants = append(wants, want{"c", p.t("portion.pieces"), p.pieceUnit(s.proc)})
	} else if next.Enter.Part && !next.Enter.Weighed {
		wants = append(wants, want{"g", p.t("portion.weight"), "kg"})
	}
	if !next.Enter.Part {
		wants = append(wants, want{"n", p.t("portion.number", "vessels", p.l.Vessels(next.Vessel, 2)), p.t("unit.vessels")})
	}
	at := p.path.get("at")
	for _, w := range wants {
		if at == "" && w.name != "n" && p.path.get(w.name) == "" {
			at = w.name
		}
	}
	if at == "" && len(wants) > 0 {
		at = wants[0].name
	}
	rows := &choice{}
	for _, w := range wants {
		if w.name == at {
			p.add(&pad{name: w.name, text: p.path.get(w.name), unit: w.unit, whole: w.name != "g",
				limit: p.portionLimit(s, next, w.name), label: w.label})
			continue
		}
		rows.rows = append(rows.rows, choiceRow{label: w.label, detail: orText(p.path.get(w.name), p.t("portion.worked")),
			to: address(p.bare(), "at", w.name, "from", p.path.get("from"), "place", p.path.get("place"),
				"g", p.path.get("g"), "c", p.path.get("c"), "n", p.path.get("n"))})
	}
	if len(rows.rows) > 0 {
		p.add(rows)
	}
}

func (p *page) portionLimit(s *standing, next *procedure.Stage, name string) line {
	switch {
	case name == "c" && next.Enter.MostPiece > 0:
		return p.line("portion.mosteach", in("most", plain(p.l.Much(p.State, s.b, 0, next.Enter.MostPiece))))
	case name == "g" && next.Enter.MostGrams > 0:
		return p.line("portion.mosteach", in("most", plain(p.l.Exact(next.Enter.MostGrams, "g"))))
	case name == "c" && s.b.Pieces > 0, name == "g" && s.b.Grams > 0 && s.b.Pieces == 0:
		return p.line("portion.there", in("there", plain(p.l.Left(p.State, s.b))))
	}
	return nil
}

// placeChoice asks which piece of equipment of a kind, and returns the one to be taken: the query's, else the first that
// is free.
func (p *page) placeChoice(kind string) string {
	list := p.placesOf(kind)
	chosen := p.path.get("place")
	if chosen == "" {
		for _, d := range list {
			if !d.Single || len(p.State.In(d.Name)) == 0 {
				chosen = d.Name
				break
			}
		}
	}
	if len(list) < 2 {
		return orText(chosen, p.onlyPlace(kind))
	}
	c := &choice{title: p.t("place.which")}
	for _, d := range list {
		detail := p.t("place.free")
		if in := p.State.In(d.Name); d.Single && len(in) > 0 {
			detail = p.t("place.holds", "what", p.contents(in[0]))
		}
		c.rows = append(c.rows, choiceRow{label: p.text(d.Title), detail: detail, on: d.Name == chosen,
			to: address(p.bare(), "place", d.Name, "g", p.path.get("g"), "c", p.path.get("c"), "n", p.path.get("n"))})
	}
	p.add(c)
	return chosen
}

// portions lists what a portioning would make.
func (p *page) portions(s *standing, drafts []kitchen.Draft) {
	rows := []pair{}
	for _, d := range drafts {
		body, ok := d.Body.(*entry.Portioning)
		if !ok {
			continue
		}
		for i := range body.In {
			rows = append(rows, pair{p.portionName(&body.In[i]), plain(p.l.Much(p.State, s.b, body.In[i].Grams, body.In[i].Pieces))})
		}
		for _, x := range body.Lost {
			rows = append(rows, pair{p.t("loss." + lossID(x.Why)), plain(p.l.Much(p.State, s.b, x.Grams, x.Pieces))})
		}
	}
	if len(rows) > 0 {
		p.add(&pairs{title: p.t("portion.comes"), rows: rows})
	}
}

func (p *page) portionName(in *entry.Portion) string {
	if in.Vessel == "load" && in.Place != "" {
		return p.l.Place(p.State, in.Place)
	}
	return p.l.Vessel(in.Vessel, in.Number)
}

func (p *page) comes(drafts []kitchen.Draft) string {
	var names []string
	for _, d := range drafts {
		if body, ok := d.Body.(*entry.Portioning); ok {
			for i := range body.In {
				names = append(names, p.portionName(&body.In[i]))
			}
		}
	}
	return p.enumerate(names)
}
