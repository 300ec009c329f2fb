package screen

import (
	"bytes"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/wire"
)

// keptLog is a cook's log on record.
type keptLog struct {
	entry.CookLog
	event *kitchen.Event
}

// keptLogs lists the logs of a batch's cook that hold.
func keptLogs(b *kitchen.Batch) (list []keptLog) {
	for i := range b.Events {
		v := &b.Events[i]
		k := keptLog{event: v}
		if v.Kind == entry.CookAssessed && !v.Withdrawn && wire.Read(v.Body, &k.CookLog) == nil {
			list = append(list, k)
		}
	}
	return list
}

func (k *keptLog) unit() string {
	if k.Degrees == "[degF]" {
		return k.Degrees
	}
	return "mC"
}

// batchLogs leads from a batch to the logs of its cook, and to where another is held against the table.
func (p *page) batchLogs(b *kitchen.Batch) {
	c := &choice{title: p.t("cook.kept")}
	for _, k := range keptLogs(b) {
		c.lead(p.logText(&k), p.t("cook.kept.by", "who", p.l.Crew(p.State, k.event.By), "time", p.clock(k.event.At)), "/cook/"+b.ID.String()+"/"+k.event.Entry.String())
	}
	if from, _ := p.State.CookSpan(b); from != 0 {
		c.lead(p.t("cook.log"), p.t("cook.detail"), "/cook?b="+b.ID.String())
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// logText says whether the log's limit was met, and by what.
func (p *page) logText(k *keptLog) string {
	row := p.l.CookRow(safety.Row{F: k.RowAt, Heat: safety.Fahrenheit(k.RowAt)}, k.unit())
	got, limit, unit := kitchen.LogLimit(&k.CookLog)
	text := p.l.Verdict(safety.Judge(k.Met)) + ": "
	if unit == "mC" {
		return text + p.t("cook.kept.hot", "got", p.l.Amount(got, k.unit()), "row", row)
	}
	return text + p.t("cook.kept.held", "got", p.l.Dwell(got), "limit", p.l.Dwell(limit), "row", row)
}

// cookKept shows a log on record as it was kept, worked out again from its readings, and lets what was typed be put right.
func (p *page) cookKept() {
	b := p.batchAt(1)
	var k *keptLog
	if b != nil {
		for _, one := range keptLogs(b) {
			if one.event.Entry.String() == p.path.at(2) {
				k = &one
			}
		}
	}
	if k == nil {
		p.missing("missing.page")
		return
	}
	p.back(toBatch(b), p.name(b))
	again := k.CookLog
	f := cookForm{source: k.Source, cook: kitchen.CookOf(&k.CookLog), batch: b}
	f.out, f.log = kitchen.AssessLog(&again)
	if f.out == nil {
		p.missing("missing.page")
		return
	}
	facts := &pairs{title: p.name(b)}
	species := p.t("cook." + k.Species)
	facts.say(p.t("cook.kept"), p.t("cook.kept.by", "who", p.l.Crew(p.State, k.event.By), "time", p.clock(k.event.At)))
	facts.say(p.t("cook.kept.species"), species)
	facts.say(p.t("cook.kept.fat"), p.l.Amount(k.Fat, "m%"))
	facts.say(p.t("cook.kept.error"), p.l.Difference(f.cook.Probe.MilliC(), k.unit())+", "+p.l.Probe(p.State, k.Probe))
	from := p.t("cook.from." + k.Source)
	if k.Source == entry.LogPosted {
		from = ""
	}
	if k.Name != "" {
		from = k.Name
	}
	facts.say(p.t("cook.kept.source"), from+", "+p.n("cook.kept.rows", k.Count))
	facts.say(p.t("cook.kept.digest"), k.Digest)
	p.add(facts)
	if same := bytes.Equal(wire.Append(nil, &again), wire.Append(nil, &k.CookLog)); same {
		p.says(p.t("cook.kept.again"), "plain")
	} else {
		p.says(p.t("cook.kept.differ"), "bad")
	}
	p.cookFound(&f, k.unit())
	p.cookFixes(k)
	p.cookTable(&f, k.unit())
}

// cookFixes offers to put right what the log was held against.
func (p *page) cookFixes(k *keptLog) {
	fix := func(label string, c kitchen.Command) button {
		c.Do, c.Entry, c.Reason = kitchen.DoCorrect, k.event.Entry, p.t("correct.reason")
		return button{label: label, style: quiet, do: &c}
	}
	number := func(id, was, unit string, c kitchen.Command) button {
		b := fix(p.t(id), c)
		b.ask = &ask{kind: "number", name: "typed", title: p.t("correct.title", "was", was), unit: unit, keep: p.t("keep.number", "unit", unit)}
		return b
	}
	other, name := kitchen.Turkey, p.t("cook.turkey")
	if k.Species == kitchen.Turkey {
		other, name = kitchen.Chicken, p.t("cook.chicken")
	}
	p.add(&buttons{actions: []button{
		number("cook.fix.fat", p.l.Amount(k.Fat, "m%"), "%", kitchen.Command{Into: "value", Unit: "m%", TypedIn: "%"}),
		number("cook.fix.error", p.l.Difference(safety.Heat(k.Error).MilliC(), "mC"), "°C", kitchen.Command{Into: "value", Unit: "mC", TypedIn: "Cel"}),
		fix(p.t("cook.fix.species", "name", name), kitchen.Command{Answer: other}),
	}})
}
