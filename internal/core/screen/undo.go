package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/words"
)

// renderUndo offers to take back this device's last tap, for as long as that goes.
func (p *page) renderUndo(w *jsontext.Writer) {
	t := p.Last
	if t == nil || p.Now >= t.At.Add(UndoFor) || p.takenBack(t) {
		return
	}
	text, about := p.tapText(t.Body)
	if text == "" {
		return
	}
	if about != "" {
		about += ", "
	}
	w.Object("undo")
	w.Str("text", words.Upper(text))
	w.Str("detail", about+words.ClockSeconds(t.At, p.zone(t.At))+", "+p.l.Crew(p.State, p.Crew))
	w.Int("until", int64(t.At.Add(UndoFor)))
	w.Str("label", p.t("undo"))
	writeDo(w, &kitchen.Command{Do: kitchen.DoUndo, Entry: t.Entry})
	w.EndObject()
}

func (p *page) takenBack(t *Tap) bool {
	for i := range p.State.Recent {
		if r := &p.State.Recent[i]; r.Entry == t.Entry {
			return r.Withdrawn
		}
	}
	return false
}

// tapText says what a tap did, and about what; "" for what is not undone.
func (p *page) tapText(body entry.Body) (text, about string) {
	switch b := body.(type) {
	case *entry.Start:
		return p.t("undo.started"), p.startedWith(b)
	case *entry.Move:
		batch := p.State.Batch(b.Batch)
		return p.l.Stage(p.State, batch, b.To), p.vessel(b.Batch)
	case *entry.Portioning:
		var names []string
		for i := range b.In {
			names = append(names, p.portionName(&b.In[i]))
		}
		return p.t("undo.portioned"), p.enumerate(names)
	case *entry.Discard:
		return p.t("status.discarded"), p.vessel(b.Batch)
	case *entry.Count:
		return p.countText(b), p.vessel(b.Batch)
	case *entry.Step:
		return p.l.StepText(p.State, p.State.Batch(b.Batch), b.Stage, b.List, b.Step), p.vessel(b.Batch)
	case *entry.Reading:
		unit := "mC"
		if d := p.State.Equipment().Device(b.Place); d != nil {
			unit = words.Shown(unit, d.TypedIn)
		}
		return p.l.Amount(b.MilliC, unit), p.l.Place(p.State, b.Place)
	}
	return p.lesserTap(body)
}

// startedWith names all vessels that the last tap started: taking it back takes back every one.
func (p *page) startedWith(b *entry.Start) string {
	var names []string
	for _, id := range p.State.OneTap(p.Last.Entry) {
		if batch := p.State.Batch(id); batch != nil {
			names = append(names, p.l.Vessel(batch.Vessel, batch.Number))
		}
	}
	if len(names) == 0 { // not folded yet
		names = []string{p.l.Vessel(b.Vessel, b.Number)}
	}
	return p.enumerate(names)
}

func (p *page) lesserTap(body entry.Body) (text, about string) {
	switch b := body.(type) {
	case *entry.Deviation:
		return p.t("deviation"), b.Text
	case *entry.Answer:
		return p.t("undo.answered"), b.Action
	case *entry.Timer:
		return p.t("timer.running"), b.Name
	case *entry.TimerEnd:
		return p.t("undo.timer.ended"), ""
	case *entry.Equipment:
		if b.Out {
			return p.t("place.out.short"), p.l.Place(p.State, b.Place)
		}
		return p.t("place.takein"), p.l.Place(p.State, b.Place)
	case *entry.Note:
		return p.t("undo.note"), b.Text
	case *entry.Oil:
		return p.t("oil") + ": " + words.Lower(p.t("oil."+b.Deed)), p.l.Place(p.State, b.Place)
	case *entry.ListClose:
		return p.t("undo.list"), ""
	case *entry.CookLog:
		return p.t("cook.kept"), p.vessel(b.Batch)
	case *entry.ProbeCheck:
		return p.t("undo.check"), p.l.Probe(p.State, b.Probe)
	case *entry.Part:
		return p.t("undo.part"), p.t("part." + b.Part)
	case *entry.Frost:
		if b.Way != "" {
			return p.t("undo.thaw") + ": " + words.Lower(p.t("thaw."+b.Way)), p.vessel(b.Batch)
		}
		return p.t("undo.frozen"), p.vessel(b.Batch)
	case *entry.Log:
		return p.t("log." + b.What), orText(b.Name, p.vessel(b.Batch))
	case *entry.LogReading:
		return p.warm(b.MilliC), p.foodIn(b.Log)
	case *entry.LogEnd:
		return p.t("log." + b.Outcome), p.foodIn(b.Log)
	case *entry.Delivery:
		return p.t("undo.delivery"), p.t("receive.by", "supplier", b.Supplier, "lot", b.Lot)
	}
	return p.guidedTap(body)
}

func (p *page) guidedTap(body entry.Body) (text, about string) {
	switch b := body.(type) {
	case *entry.GuideAsk:
		return p.t("undo.asked"), p.vessel(b.Batch)
	case *entry.GuideAnswer:
		answer := "yes"
		if !b.Yes {
			answer = "no"
		}
		said := p.t("answer." + answer)
		if a := p.State.Ask(b.Ask); a != nil && a.Help && !b.Yes {
			said = p.t("help.stop")
		}
		return p.t("undo.answered") + ": " + words.Lower(said), ""
	case *entry.Away:
		return p.t("hold.away"), p.text(p.State.Procedure(b.Item, 0).Item)
	case *entry.TrainerNote:
		return p.t("tone." + b.Tone), p.l.Crew(p.State, b.Crew)
	}
	return "", ""
}

func (p *page) countText(b *entry.Count) string {
	switch {
	case b.Wasted > 0 && b.Sold > 0:
		return p.n("sold", b.Sold) + ", " + p.n("undo.wasted", b.Wasted)
	case b.Wasted > 0:
		return p.n("undo.wasted", b.Wasted)
	}
	return p.n("sold", b.Sold)
}

func (p *page) vessel(id entry.ID) string {
	if b := p.State.Batch(id); b != nil {
		return p.name(b)
	}
	return ""
}
