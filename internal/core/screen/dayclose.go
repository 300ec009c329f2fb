package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/wire"
)

// dayCloseScreen closes today, or the day of /dayclose/N: what is open, each with the way to it, then the signature.
func (p *page) dayCloseScreen() {
	day := p.State.WallDay(p.Now)
	if n, ok := digits(p.path.at(1)); ok && n <= int64(day) && n > int64(day)-8 {
		day = int32(n)
	}
	p.open("dayclose", p.t("close.day"), "")
	p.back("/records", p.t("records"))
	p.add(&group{title: p.l.Date(day, false)})
	c := p.State.DayClosed(day)
	do := &kitchen.Command{Do: kitchen.DoDayClose, Day: day}
	open := p.State.OpenOn(day, p.Now)
	if len(open) > 0 {
		rows := &choice{title: p.t("close.open")}
		for _, subject := range open {
			rows.rows = append(rows.rows, p.openRow(subject, day))
		}
		p.add(rows)
	}
	p.closeFacts(day)
	if c == nil || !c.Same || c.After > 0 {
		if _, r := p.try(do); r != nil {
			p.add(p.refusedPart(do, r))
		} else {
			p.noted("close.line", "plain")
			p.add(&buttons{actions: []button{{label: p.t("close.do"), small: p.l.Crew(p.State, p.Crew), style: act, do: do}}})
		}
	}
	if yesterday := p.State.WallDay(p.Now) - 1; day > yesterday && p.State.DayClosed(yesterday) == nil {
		before := &choice{}
		before.lead(p.t("records.yesterday"), p.t("close.none"), "/dayclose/"+p.num(int(yesterday)))
		p.add(before)
	}
}

// openRow leads to something that keeps a day open.
func (p *page) openRow(subject string, day int32) choiceRow {
	if name, ok := strings.CutPrefix(subject, "list/"); ok {
		return choiceRow{label: p.text(p.State.List(name).Title), detail: p.t("list.open"),
			to: address("/list/"+escape(name), "day", p.num(int(day)))}
	}
	if text, ok := strings.CutPrefix(subject, "log/"); ok {
		if id, err := entry.ParseID(text); err == nil {
			return choiceRow{label: p.foodIn(id), detail: p.t("log.missed"), state: "past", to: "/log/" + text}
		}
	}
	if text, ok := strings.CutPrefix(subject, "batch/"); ok {
		if id, err := entry.ParseID(text); err == nil {
			b := p.State.Batch(id)
			return choiceRow{label: p.name(b), detail: p.t("state.past"), state: "past", to: toBatch(b)}
		}
	}
	return p.deviationRow(p.State.Deviation(subject))
}

// closedText says in a line who closed a day.
func (p *page) closedText(day int32) string {
	if c := p.State.DayClosed(day); c != nil {
		return p.t("close.by") + " " + p.l.Crew(p.State, c.By) + ", " + p.clock(c.At)
	}
	return p.t("close.none")
}

// closeFacts shows a day's signature: who, when, the seal over what was signed, and what came after it.
func (p *page) closeFacts(day int32) {
	c := p.State.DayClosed(day)
	if c == nil {
		p.noted("close.none", "plain")
		return
	}
	f := &pairs{}
	f.say(p.t("close.by"), p.l.Crew(p.State, c.By)+", "+p.clock(c.At))
	f.say(p.t("close.entries"), p.num(int(c.Entries)))
	f.say(p.t("close.seal"), spaced(wire.Hex(c.Seal[:])))
	p.add(f)
	if c.Same && c.After == 0 {
		p.noted("close.same", "plain")
	}
	if c.Late > 0 {
		p.add(&note{line: plain(p.n("close.late", c.Late)), tone: "bad"})
	}
	if c.After > 0 {
		p.add(&note{line: plain(p.n("close.after", c.After)), tone: "bad"})
	}
	over := &pairs{title: p.t("part.carried")}
	for _, x := range c.Carried {
		title := x.Subject
		if d := p.State.Deviation(x.Subject); d != nil {
			title = p.l.Deviation(p.State, d, p.Now).Title
		}
		over.say(title, x.Reason)
	}
	if len(over.rows) > 0 {
		p.add(over)
	}
}

// spaced sets hexadecimal digits apart in fours, so that two people can compare them aloud.
func spaced(hex string) string {
	var out []string
	for ; len(hex) > 4; hex = hex[4:] {
		out = append(out, hex[:4])
	}
	return strings.Join(append(out, hex), " ")
}

// deviationParts shows what was written down about a deviation, each part with its signer and time, and offers the parts
// that are missing and the way to the next day.
func (p *page) deviationParts(d *kitchen.Deviation) {
	h := &history{}
	if d.Critical {
		h.title = p.t("parts")
	}
	for i := range d.Parts {
		m := &d.Parts[i]
		text := p.t("part."+m.Part) + ": " + m.Text
		if m.Grams+m.Pieces > 0 {
			text += ", " + p.l.Weight(m.Grams, m.Pieces)
		}
		h.say(p.clock(m.At), p.l.Crew(p.State, m.By), text)
	}
	switch {
	case len(h.rows) > 0:
		p.add(h)
	case d.Critical:
		p.add(&group{title: h.title})
	}
	if d.Closed {
		return
	}
	var actions []button
	for _, name := range d.Missing() {
		actions = append(actions, p.partButton(d, name, p.t("part."+name), p.t("parts.missing")))
	}
	if len(actions) > 0 {
		actions[0].style = act
	}
	if p.State.IsLead(p.Crew) {
		actions = append(actions, p.partButton(d, kitchen.PartCarried, p.t("parts.carry"), ""))
	}
	if len(actions) > 0 {
		p.add(&buttons{actions: actions})
	}
}

func (p *page) partButton(d *kitchen.Deviation, name, label, small string) button {
	do := &kitchen.Command{Do: kitchen.DoPart, Deviation: d.Key, Answer: name}
	if b := p.State.Batch(d.Batch); b != nil && (name == entry.PartHeld || name == entry.PartDisposition) {
		do.Grams, do.Pieces = b.Grams, b.Pieces
	}
	title := label
	if name == kitchen.PartCarried {
		title = p.t("parts.carry.why")
	}
	return button{label: label, small: small, style: quiet, do: do, ask: &ask{kind: "text", name: "text", title: title, keep: p.t("keep")}}
}
