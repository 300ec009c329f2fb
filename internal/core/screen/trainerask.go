package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/words"
)

// askScreen is what somebody who learns asked: to be answered on the trainer's own phone.
func (p *page) askScreen() {
	id, err := entry.ParseID(p.path.at(2))
	a := p.State.Ask(id)
	if err != nil || a == nil {
		p.missing("missing.page")
		return
	}
	name := p.l.Crew(p.State, a.By)
	p.open("ask", name, "")
	p.back("/trainer", p.t("trainer"))
	waits := p.State.Waits(a)
	h := &strip{head: true, name: name, state: "none", word: words.Upper(p.t("ask.state." + a.Wants())), detail: plain(p.askWhere(a))}
	if a.Answered != 0 {
		h.word = p.t("undo.answered")
	}
	if waits {
		h.state, h.left = "last", p.countAgo(a.At)
	}
	p.add(h)
	t := p.State.StepOf(a.Batch, a.List, a.Stage, a.Step)
	more := &guided{}
	if t != nil {
		p.addSome(p.cautionOf(t.Name, t.Caution))
		p.add(&guided{step: step{key: t.Name, text: p.text(t.Text), limit: p.l.Limit(t.Limit, words.Shown(t.Unit, t.TypedIn))}})
		more.how, more.isNo = p.text(t.How), p.text(t.IfNot)
	}
	if a.Text != "" {
		p.says(a.Text, "plain")
	}
	switch {
	case a.Answered != 0:
		p.wasAnswered(a, t)
	case !waits:
		p.says(p.t("ask.over"), "plain")
	case a.By == p.Crew || a.Device == p.Device:
		p.says(p.t("ask.own", "name", name), "plain")
	case !p.State.Trains(p.Crew):
		p.says(p.t("trainer.not"), "plain")
	case a.Help:
		p.helpAnswers(a)
	default:
		p.confirmAnswers(a, t, name)
	}
	if more.how != "" || more.isNo != "" {
		p.add(more)
	}
}

func (p *page) wasAnswered(a *kitchen.Ask, t *procedure.Step) {
	p.add(&empty{title: p.answered(a, t), actions: []button{{label: p.t("trainer.back"), style: quiet, to: "/trainer"}}})
	switch {
	case !a.Answer.Pin:
	case a.Checked != 0 && a.Mine:
		p.says(p.t("pin.mine.said"), "quiet")
	case a.Checked != 0:
		p.off(p.t("pin.notmine.said"))
	case a.Answer.Trainer != p.Crew || a.On == p.Device:
		p.says(p.t("pin.open", "name", p.l.Crew(p.State, a.Answer.Trainer)), "plain")
	default:
		mine := func(answer string) *kitchen.Command {
			return &kitchen.Command{Do: kitchen.DoCheckAsk, Ask: a.ID, Answer: answer}
		}
		p.says(p.t("pin.ask"), "plain")
		p.add(&buttons{actions: []button{{label: p.t("pin.mine"), style: act, do: mine("yes"), to: "/trainer"},
			{label: p.t("pin.notmine"), small: p.t("pin.notmine.small"), style: stop, do: mine("no"), to: "/trainer",
				sure: &sure{title: p.t("pin.notmine"), lines: []string{p.t("pin.notmine.line")}, label: p.t("pin.notmine")}}}})
	}
}

// helpAnswers are what a trainer may say to whoever is not sure.
func (p *page) helpAnswers(a *kitchen.Ask) {
	say := func(answer string) *kitchen.Command {
		return &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: answer}
	}
	p.add(&buttons{actions: []button{
		{label: p.t("help.stop"), small: p.t("help.stop.small"), style: act, do: say("no"), to: "/trainer"},
		{label: p.t("help.on"), small: p.t("help.on.small"), style: quiet, do: say("yes"), to: "/trainer"},
		{label: p.t("help.write"), style: quiet, do: say("yes"), to: "/trainer", ask: &ask{kind: "text", name: "reason", title: p.t("help.write"), keep: p.t("help.send")}},
	}})
}

// confirmAnswers asks for what the trainer sees and for the number that stands on the other screen.
func (p *page) confirmAnswers(a *kitchen.Ask, t *procedure.Step, name string) {
	do := &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "yes"}
	no := button{label: p.t("ask.no"), small: p.t("ask.no.small"), style: quiet, do: &kitchen.Command{Do: kitchen.DoAnswerAsk, Ask: a.ID, Answer: "no"}, to: "/trainer",
		ask: &ask{kind: "text", name: "reason", title: p.t("ask.no.why", "name", name), keep: p.t("help.send")}}
	b := &buttons{}
	for _, code := range a.Codes() {
		one := *do
		one.Number = code
		m := button{label: p.num(int(code)), style: act, do: &one}
		if t != nil && t.Unit != "" {
			one.Unit, one.Into, one.TypedIn = t.Unit, "value", p.l.Typing(t.Unit, t.TypedIn).Code
			m.ask = p.askFor(p.t("guide.seen"), t.Unit, t.TypedIn, t.Limit, "seen")
		}
		b.actions = append(b.actions, m)
	}
	p.add(&group{title: p.t("ask.which", "name", name)}, &matches{b})
	p.add(&buttons{actions: []button{no}})
}

// trainerOffer stands on the line for a trainer while answers by PIN are to be checked.
func (p *page) trainerOffer() {
	if n := len(p.State.ToCheck(p.Crew)); n > 0 {
		p.add(&choice{rows: []choiceRow{{label: p.n("trainer.tocheck", int64(n)), detail: p.t("trainer.tocheck.detail"), to: "/trainer"}}})
	}
}
