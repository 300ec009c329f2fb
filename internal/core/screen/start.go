package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// startScreen chooses a procedure, then asks how much.
func (p *page) startScreen() {
	if p.path.at(1) != "" {
		p.startForm(p.State.Procedure(p.path.at(1), 0))
		return
	}
	p.open("start", p.t("start.open"), "")
	p.back("/", p.t("line"))
	c := &choice{title: p.t("start.what")}
	for _, pr := range p.State.Procedures() {
		c.rows = append(c.rows, choiceRow{label: p.text(pr.Title), detail: p.startDetail(pr), to: "/start/" + escape(pr.Name)})
	}
	if len(c.rows) == 0 {
		p.add(&empty{title: p.t("start.none"), line: p.line("start.none.do")})
		return
	}
	p.add(c)
}

func (p *page) startDetail(pr *procedure.Procedure) string {
	if len(pr.Stages) == 0 {
		return ""
	}
	first := firstWait(pr)
	if w := p.windowText(&first.Window); w != "" {
		return p.text(first.Title) + ": " + w
	}
	return p.text(first.Title)
}

// firstWait is the stage for whose window a batch is started: the first in which it waits.
func firstWait(pr *procedure.Procedure) *procedure.Stage {
	for i := range pr.Stages {
		if pr.Stages[i].Kind == procedure.Wait {
			return &pr.Stages[i]
		}
	}
	return &pr.Stages[0]
}

func (p *page) startForm(pr *procedure.Procedure) {
	if pr == nil || len(pr.Stages) == 0 {
		p.missing("missing.page")
		return
	}
	p.open("start", p.t("start.title", "item", p.text(pr.Item)), "")
	p.back("/start", p.t("start.open"))
	first := &pr.Stages[0]
	if c := p.cautionOf("start", first.Caution); c != nil {
		p.add(c)
	}
	do := &kitchen.Command{Do: kitchen.DoStart, Procedure: pr.Name, Grams: p.typed("g", quantity.Gram),
		Pieces: p.typed("c", quantity.Piece), Lots: splitList(p.path.get("lots")), Number: p.typed("tubs", quantity.Piece)}
	drafts, refusal := p.try(do)
	p.startPad(pr, do)
	p.add(&field{name: "lots", label: p.t("start.lots"), text: p.path.get("lots")})
	if pr.Mix != nil {
		p.add(&field{name: "holds", label: p.t("tub.holds"), text: p.path.get("holds")})
	}
	if pr.CookTable() != nil {
		p.goOn(p.t("cooktime.weights"), "/cooktime/"+escape(pr.Name))
	}
	if refusal != nil {
		if do.Grams+do.Pieces > 0 || !needsTyping(refusal) {
			p.add(p.refusedPart(do, refusal))
		}
		p.startWindow(firstWait(pr))
		return
	}
	p.startMix(pr, first, drafts)
	fits := p.vesselParts(pr, do.Grams, starts(drafts))
	p.startWindow(firstWait(pr))
	if !fits { // raw juice on the floor is no start
		return
	}
	p.dock = []button{p.startButton(first, do, drafts)}
}

func (p *page) startPad(pr *procedure.Procedure, do *kitchen.Command) {
	if p.path.get("by") == "c" {
		p.add(&pad{name: "c", text: p.path.get("c"), unit: p.pieceUnit(pr), whole: true})
		p.add(&choice{rows: []choiceRow{{label: p.t("start.byweight"), to: address(p.bare(), "lots", p.path.get("lots"))}}})
		return
	}
	pd := &pad{name: "g", text: p.path.get("g"), unit: "kg"}
	if pr.Mix != nil && pr.Mix.TubMost > 0 {
		pd.limit = p.line("start.tubmost", in("most", plain(p.l.Exact(pr.Mix.TubMost, "g"))))
	}
	p.add(pd)
	if pr.Mix == nil {
		p.add(&choice{rows: []choiceRow{{label: p.t("start.bypieces"), to: address(p.bare(), "by", "c", "lots", p.path.get("lots"))}}})
	}
}

func (p *page) pieceUnit(pr *procedure.Procedure) string {
	if pr != nil && pr.Portions {
		return p.t("unit.portions")
	}
	return p.t("unit.pieces")
}

// unitFor is the unit that goes with a number of pieces.
func (p *page) unitFor(pr *procedure.Procedure, n int64) string {
	if n != 1 {
		return p.pieceUnit(pr)
	}
	if pr != nil && pr.Portions {
		return p.t("unit.portion")
	}
	return p.t("unit.piece")
}

// starts returns the beginnings among drafts.
func starts(drafts []kitchen.Draft) []*entry.Start {
	var out []*entry.Start
	for _, d := range drafts {
		if s, ok := d.Body.(*entry.Start); ok {
			out = append(out, s)
		}
	}
	return out
}

// startMix says what goes into each tub.
func (p *page) startMix(pr *procedure.Procedure, first *procedure.Stage, drafts []kitchen.Draft) {
	list := starts(drafts)
	if len(list) == 0 {
		return
	}
	one := list[0]
	r := &pairs{title: p.n("mix.each", int64(len(list)), "tubs", p.l.Vessels(first.Vessel, int64(len(list))))}
	if one.Grams > 0 {
		r.put(p.t("mix.product"), p.l.Amount(one.Grams, "g"))
	}
	if one.Pieces > 0 {
		r.put(p.t("mix.pieces"), p.n("pieces", one.Pieces))
	}
	if one.Mix.Water > 0 {
		r.put(p.t("mix.water"), p.litres(one.Mix.Water))
		r.put(p.t("mix.concentrate"), p.litres(one.Mix.Concentrate))
		if pr.Mix != nil {
			p.mixRows(r, pr.Mix, one.Grams)
		}
	}
	p.add(r)
}

// startWindow shows a stage's window as it would run from now on.
func (p *page) startWindow(first *procedure.Stage) {
	w := first.Window
	if !w.Any() {
		return
	}
	r := p.railOf(&w, second(p.Now), true)
	r.aria = p.t("rail.of", "name", p.text(first.Title), "window", p.windowClocks(&w, p.Now))
	p.add(&strip{head: true, name: p.t("start.ifnow", "stage", p.text(first.Title), "time", p.clock(p.Now)), state: stateName(window.At(&w, 0)), rail: r,
		detail: plain(p.windowClocks(&w, p.Now))})
}

func (p *page) startButton(first *procedure.Stage, do *kitchen.Command, drafts []kitchen.Draft) button {
	list := starts(drafts)
	var names []string
	for _, s := range list {
		names = append(names, words.Lower(p.l.Vessel(s.Vessel, s.Number)))
	}
	b := button{label: p.t("start.do", "names", p.enumerate(names)), style: act, do: do, to: "/"}
	if len(list) > 0 {
		one := list[0]
		b.small = p.n("start.each", int64(len(list)), "amount", p.l.Weight(one.Grams, one.Pieces))
		if one.Mix.Water > 0 {
			b.small += ", " + p.l.Amount(one.Mix.Water, "mL") + ", " + p.l.Amount(one.Mix.Concentrate, "mL")
		}
	}
	return b
}

func (p *page) enumerate(names []string) string {
	if n := len(names); n > 1 {
		return p.t("and", "a", joined(names[:n-1]), "b", names[n-1])
	}
	return joined(names)
}
