package screen

import (
	"cmp"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// learnt is one line of a training record as this phone holds it.
type learnt struct {
	at        stamp.Milli
	who, text string
}

// recordScreen is a member's training record: how they stand, what this phone holds of how they came to it, and all of it on
// paper from the kitchen's server.
func (p *page) recordScreen(crew string) {
	m := p.State.Member(crew)
	if m == nil {
		p.missing("missing.page")
		return
	}
	p.open("crewrecord", p.t("record.of", "name", m.Name), "")
	p.back("/crew/"+escape(crew), m.Name)
	if !p.State.SeesRecord(p.Crew, crew) {
		p.says(p.t("record.not", "name", m.Name), "plain")
		return
	}
	p.add(&buttons{actions: []button{
		{label: p.t("record.pdf"), small: p.t("record.pdf.small"), style: act, to: address("/api/training", "crew", crew, "lang", string(p.l), "by", p.Crew)},
		{label: p.t("record.print"), style: quiet, page: "print"}}})
	f := &pairs{title: p.t("record.now")}
	for _, s := range p.stations() {
		x := p.stand(&s, crew, p.Now)
		f.say(p.stationName(&s), p.standText(&s, &x))
	}
	if len(f.rows) > 0 {
		p.add(f)
	}
	if p.State.SeesAge(p.Crew, crew) {
		p.agePart(crew)
	}
	h := &history{title: p.t("record.how")}
	for _, l := range p.learntBy(crew) {
		h.say(p.clock(l.at), l.who, l.text)
	}
	if len(h.rows) > 0 {
		p.add(h)
	} else {
		p.noted("record.nothing", "plain")
	}
	p.noted("record.held", "quiet")
}

// learntBy lists what this phone holds of how a member learnt the work, the latest first.
func (p *page) learntBy(crew string) (list []learnt) {
	add := func(at stamp.Milli, who, id string, pairs ...string) {
		list = append(list, learnt{at, p.l.Crew(p.State, who), p.t(id, pairs...)})
	}
	s := p.State
	for i := range s.SignOffs {
		if x := &s.SignOffs[i]; x.Crew == crew {
			id := "record.signed"
			if x.Gone {
				id = "record.taken"
			}
			add(x.At, x.By, id, "what", p.competenceName(x.What, x.Document, x.Competence), "n", p.num(int(x.Version)), "reason", x.Reason)
		}
	}
	for i := range s.Rungs {
		if x := &s.Rungs[i]; x.Crew == crew {
			id := "record.rung"
			if !x.Passed {
				id = "record.notrung"
			}
			of := x.Procedure
			if pr := s.Procedure(of, 0); pr != nil {
				of = p.text(pr.Item)
			}
			add(x.At, crew, id, "n", p.num(int(x.Rung.Rung)), "of", of)
		}
	}
	for i := range s.Guides {
		if x := &s.Guides[i]; x.Crew == crew {
			add(x.At, x.Trainer, "record.guided", "where", p.spotName(x.Batch, x.List, x.Stage))
		}
	}
	for i := range s.GuidedRuns {
		if x := &s.GuidedRuns[i]; x.Crew == crew {
			add(x.At, crew, "record.runs", "n", p.num(int(x.Count)), "where", p.stageName(x.Document, x.Stage))
		}
	}
	for i := range s.Asks {
		x := &s.Asks[i]
		if x.By != crew {
			continue
		}
		step := p.l.StepText(s, s.Batch(x.Batch), x.Stage, x.List, x.Step)
		id := "record.confirm"
		if x.Help {
			id = "record.help"
		}
		add(x.At, crew, id, "step", step)
		if x.Answered != 0 {
			id = "record.yes"
			if !x.Answer.Yes {
				id = "record.no"
			}
			add(x.Answered, x.Answer.Trainer, id, "step", step)
		}
	}
	for i := range s.Notes {
		if x := &s.Notes[i]; x.Crew == crew {
			add(x.At, x.By, "record.note."+x.Tone, "where", p.spotName(x.Batch, x.List, x.Stage), "text", x.Text)
		}
	}
	for i := range s.Deviations {
		if d := &s.Deviations[i]; d.By == crew && d.Code >= kitchen.DevNotSigned && d.Code <= kitchen.DevTooYoung {
			list = append(list, learnt{d.At, p.l.Crew(s, crew), p.l.Deviation(s, d, p.Now).Title})
		}
	}
	order.Stable(list, func(a, b learnt) int { return cmp.Compare(b.at, a.at) })
	return list
}

// spotName says where somebody was at work.
func (p *page) spotName(batch entry.ID, list, stage string) string {
	if l := p.State.List(list); l != nil {
		return p.text(l.Title)
	}
	b := p.State.Batch(batch)
	if b == nil {
		return stage
	}
	return p.l.Stage(p.State, b, stage) + ", " + p.name(b)
}

// stageName names a stage of a procedure, or a list.
func (p *page) stageName(document, stage string) string {
	if l := p.State.List(document); l != nil && stage == "" {
		return p.text(l.Title)
	}
	return p.l.Stage(p.State, &kitchen.Batch{Procedure: document}, stage)
}
