package screen

import (
	"brinebell/internal/core/demand"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/words"
)

// planEvents tells what days are not like others: a bus, a holiday.
func (p *page) planEvents() {
	p.planPage(p.t("pl.events"))
	today := p.State.WallDay(p.Now)
	p.toldRows(func(m *kitchen.DemandMark) bool { return m.Day >= today && m.Sort != entry.DemandTyped })
	day := p.planDemandDay(p.path.get("d"))
	from, okFrom := minutes(p.path.get("f"))
	to, okTo := minutes(p.path.get("t"))
	guests := p.typed("n", "1")
	p.add(&field{name: "d", label: p.t("pl.event.day"), text: words.ISODate(day), kind: "date"})
	p.says(p.l.Date(day, false), "plain")
	p.add(&group{title: p.t("pl.bus")})
	p.add(&field{name: "f", label: p.t("pl.event.from"), text: p.path.get("f"), kind: "time"},
		&field{name: "t", label: p.t("pl.event.to"), text: p.path.get("t"), kind: "time"},
		&pad{name: "n", text: p.path.get("n"), label: p.t("pl.event.guests"), whole: true})
	switch {
	case okFrom && okTo && to <= from && to+24*60-from > 6*60:
		p.says(p.t("pl.event.order", "from", wallMinute(from), "to", wallMinute(to)), "bad")
	case !okFrom || !okTo || guests == 0:
		p.says(p.t("pl.event.need"), "plain")
	default:
		if to <= from {
			to += 24 * 60
		}
		p.busTap(day, from, to, guests)
	}
	p.guestPieces()
	p.planLate(day)
	p.add(&group{title: p.t("pl.holiday")})
	like := func(label string, n int64) button {
		return button{label: label, style: quiet, do: &kitchen.Command{Do: kitchen.DoDemand, Day: day, Number: 24 * 60, Count: n, Answer: entry.DemandLike}}
	}
	p.add(&buttons{actions: []button{
		like(p.t("pl.like.do", "day", p.weekday(7)), 7), like(p.t("pl.like.do", "day", p.weekday(6)), 6), like(p.t("pl.like.shut"), 0)}})
}

// planLate tells that a delivery comes later than usual: until then that day nothing raw of it is begun. Told again it takes the
// place of what was told before; of what two phones told apart from each other the later time counts.
func (p *page) planLate(day int32) {
	doc := p.planDocument()
	if doc == nil || !p.State.IsLead(p.Crew) {
		return
	}
	p.add(&group{title: p.t("pl.late")}, &field{name: "a", label: p.t("pl.late.at"), text: p.path.get("a"), kind: "time"})
	at, ok := minutes(p.path.get("a"))
	if !ok || at == 0 {
		p.says(p.t("pl.late.need"), "plain")
		return
	}
	told, b := p.State.Told(), &buttons{}
	for i := range doc.Items {
		it := &doc.Items[i]
		if it.Marinate == nil {
			continue
		}
		do := &kitchen.Command{Do: kitchen.DoDemand, Procedure: it.Procedure, Day: day, Value: int64(at), Number: 24 * 60, Answer: entry.DemandRaw}
		for k := range told {
			if m := &told[k]; m.Sort == entry.DemandRaw && m.Item == it.Procedure && m.Day == day {
				do.Entry = m.Demand.Demand
			}
		}
		b.actions = append(b.actions, button{label: p.t("pl.told.raw", "item", words.Upper(p.planItem(it.Procedure)), "time", wallMinute(at)),
			small: p.l.Date(day, false), style: quiet, do: do, to: "/plan/events"})
	}
	p.add(b)
	p.says(p.t("pl.late.how"), "quiet")
}

// busTap notes guests, and says what they will ask for.
func (p *page) busTap(day int32, from, to int, guests int64) {
	more := []entry.Demand{{Day: day, From: uint32(from), To: uint32(to), Pieces: guests, Sort: entry.DemandEvent}}
	facts := &pairs{title: p.t("pl.event.asks")}
	for _, pr := range demand.Items(p.State) {
		a := p.demandOf(pr.Name, day).Ask
		before := demand.Of(p.State, a)
		a.More = more
		with := demand.Of(p.State, a)
		n, _, _ := before.Sum(from, to)
		if m, _, _ := with.Sum(from, to); m > n {
			facts.say(words.Upper(p.text(pr.Item)), p.piecesOf(pr, int64(m-n)))
		}
	}
	if len(facts.rows) > 0 {
		p.add(facts)
		p.says(p.t("pl.event.share"), "quiet")
	}
	p.add(&buttons{actions: []button{{label: p.n("pl.event.keep", guests), small: p.l.Date(day, false) + ", " + fromTo(from, to), style: act, to: "/plan/events",
		do:  &kitchen.Command{Do: kitchen.DoDemand, Day: day, Value: int64(from), Number: int64(to), Count: guests, Answer: entry.DemandEvent},
		ask: &ask{kind: "text", name: "name", title: p.t("pl.event.name"), keep: p.t("keep")}}}})
}

// guestPieces says how many pieces guests ask for, and lets a lead say it otherwise.
func (p *page) guestPieces() {
	n, id := demand.GuestPiecesOf(p.State), "pl.guest.usual"
	if p.State.Setting(entry.SetGuestPieces) > 0 {
		id = "pl.guest.told"
	}
	if said := p.t(id, "n", p.num(int(n))); !p.State.IsLead(p.Crew) {
		p.says(said, "quiet")
	} else {
		p.add(&empty{title: p.t("pl.guest"), line: plain(said), actions: []button{{label: p.t("pl.guest.change"), style: quiet,
			do: &kitchen.Command{Do: kitchen.DoSet, Name: entry.SetGuestPieces, Into: "count", TypedIn: "1"},
			ask: &ask{kind: "number", name: "typed", title: p.t("pl.guest.ask"), whole: true, unit: p.t("pl.guest.unit"),
				keep: p.t("keep.number", "unit", p.t("pl.guest.unit"))}}}})
	}
}

// minutes reads a time of the day as a field writes it.
func minutes(s string) (int, bool) {
	if len(s) < 5 || s[2] != ':' {
		return 0, false
	}
	h, okH := digits(s[:2])
	m, okM := digits(s[3:5])
	return int(h*60 + m), okH && okM && h < 24 && m < 60
}
