package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// whoScreen asks who holds this device.
func (p *page) whoScreen() {
	p.open("who", p.t("who"), "")
	p.back("/more", p.t("more"))
	c := &choice{title: p.t("who.tap")}
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Gone {
			continue
		}
		c.rows = append(c.rows, choiceRow{label: m.Name, detail: p.role(m), on: m.Crew == p.Crew, to: "/",
			do: &kitchen.Command{Do: kitchen.DoCrew, Crew: m.Crew}})
	}
	if len(c.rows) > 0 {
		p.add(c)
	} else {
		p.add(&empty{title: p.t("who.none"), line: p.line("who.none.line")})
	}
	lead := p.State.IsLead(p.Crew) || len(c.rows) == 0
	if !lead {
		return
	}
	list := []button{p.newMember("en", "cook"), p.newMember("es", "cook")}
	if len(c.rows) > 0 {
		list = append(list, p.newMember("en", "trainee"), p.newMember("es", "trainee"))
	}
	p.add(&buttons{actions: list})
}

// newMember lists somebody new under a name: the crew id follows from how many there are, so that nobody types one.
func (p *page) newMember(lang, role string) button {
	do := &kitchen.Command{Do: kitchen.DoMember, Crew: p.freeCrew(), Text: lang, Answer: role}
	label := p.t("who.new." + lang)
	if role == "trainee" {
		label = p.t("who.learns." + lang)
	}
	if len(p.State.Crew) == 0 {
		do.Answer = "lead"
	}
	return button{label: label, style: quiet, do: do,
		ask: &ask{kind: "text", name: "name", title: p.t("who.new.name"), keep: p.t("keep")}}
}

func (p *page) freeCrew() string {
	for n := len(p.State.Crew) + 1; ; n++ {
		id := "crew-" + p.num(n)
		if p.State.Member(id) == nil {
			return id
		}
	}
}

func (p *page) role(m *entry.Member) string {
	switch m.Role {
	case entry.Lead:
		return p.t("role.lead")
	case entry.Trainee:
		return p.t("role.trainee")
	}
	return p.t("role.cook")
}

// moreScreen leads to everything that is not on the bar.
func (p *page) moreScreen() {
	p.open("more", p.t("more"), "more")
	who := p.t("who.nobody")
	if m := p.State.Member(p.Crew); m != nil {
		who = m.Name + ", " + p.role(m)
	}
	open := 0
	for i := range p.State.Deviations {
		if !p.State.Deviations[i].Closed {
			open++
		}
	}
	devs := choiceRow{label: p.t("deviations"), detail: p.n("dev.open", int64(open)), to: "/deviations"}
	if open > 0 {
		devs.state = "past"
	}
	p.add(&choice{rows: []choiceRow{
		{label: p.t("who"), detail: who, to: "/who"},
		{label: p.t("steps.crew"), detail: p.t("crew.detail"), to: "/crew"},
		{label: p.t("start.open"), detail: p.t("start.open.detail"), to: "/start"},
		{label: p.t("aid"), detail: p.t("aid.open"), to: "/firstaid"},
		{label: p.t("lists"), detail: p.t("lists.today"), to: "/lists"},
		{label: p.t("timers"), detail: p.t("timers.detail"), to: "/timers"},
		devs,
		{label: p.t("logs"), detail: p.t("logs.detail"), to: "/logs"},
		{label: p.t("cook"), detail: p.t("cook.detail"), to: "/cook"},
		{label: p.t("quiz"), detail: p.t("quiz.detail"), to: "/quiz"},
		p.practiceRow(),
		{label: p.t("trainer"), detail: p.t("trainer.detail"), to: "/trainer"},
		{label: p.t("charts"), detail: p.t("charts.detail"), to: "/charts"},
		{label: p.t("records"), detail: p.t("records.detail"), to: "/records"},
		{label: p.t("find.open"), detail: p.t("find.detail"), to: "/find"},
		{label: p.t("kitchen"), detail: p.State.Name, to: "/kitchen"},
		{label: p.t("devices"), detail: orText(p.inTouch(), p.t("devices.detail")), to: "/devices"},
		{label: p.t("ring.test"), detail: p.t("ring.test.detail"), to: "/ring"},
		{label: p.t("wall"), detail: p.t("wall.detail"), to: "/wall"},
		{label: p.t("settings"), detail: p.t("settings.detail"), to: "/settings"},
	}})
}

// kitchenScreen is the kitchen's equipment, procedures and people.
func (p *page) kitchenScreen() {
	p.open("kitchen", orText(p.State.Name, p.t("kitchen")), "")
	p.back("/more", p.t("more"))
	if p.State.Demo {
		p.add(&note{line: p.line("kitchen.demo"), tone: "plain"})
		p.add(p.paces())
	}
	eq := &choice{title: p.t("kitchen.equipment")}
	devices := p.State.Equipment().Devices
	for i := range devices {
		d := &devices[i]
		row := choiceRow{label: p.text(d.Title), to: "/place/" + escape(d.Name), detail: flat(p.lastReading(d))}
		switch due := readingDue(p.State, d); {
		case p.State.Place(d.Name).Out:
			row.detail = p.t("place.out.short")
		case due > 0 && due <= p.Now:
			row.state, row.word = "last", p.readWord(d)
		}
		eq.rows = append(eq.rows, row)
	}
	if len(eq.rows) > 0 {
		p.add(eq)
	}
	p.add(&choice{rows: []choiceRow{{label: p.t("sensors"), detail: p.t("sensors.detail"), to: "/sensors"},
		p.probesRow()}})
	docs := &pairs{title: p.t("kitchen.documents")}
	for _, pr := range p.State.Procedures() {
		docs.rows = append(docs.rows, pair{p.text(pr.Title), plain(p.t("version", "n", p.num(int(pr.Version))))})
	}
	for _, li := range p.State.Lists() {
		docs.rows = append(docs.rows, pair{p.text(li.Title), plain(p.t("version", "n", p.num(int(li.Version))))})
	}
	if len(docs.rows) > 0 {
		p.add(docs)
	}
	p.add(&pairs{title: p.t("kitchen.facts"), rows: []pair{
		{p.t("kitchen.zone"), plain(p.State.Zone + " " + p.State.OffsetAt(p.Now).Name)},
		{p.t("kitchen.country"), plain(orText(p.State.Country, p.t("notsaid")))},
		{p.t("kitchen.entries"), plain(p.num(int(p.State.Folded)))}}})
}

// paces switches how fast the demo kitchen's time runs.
func (p *page) paces() part {
	c := &choice{title: p.t("pace")}
	for _, n := range []int64{1, 10, 60, 600} {
		c.rows = append(c.rows, choiceRow{label: p.n("pace.times", n), on: max(p.Pace, 1) == n,
			do: &kitchen.Command{Do: "pace", Number: n}})
	}
	return c
}

// flat is a line as plain text.
func flat(l line) string {
	out := ""
	for i := range l {
		out += l[i].text
	}
	return out
}

// devicesScreen pairs new devices and takes devices off. Both are a lead's.
func (p *page) devicesScreen() {
	p.open("devices", p.t("devices"), "")
	p.back("/more", p.t("more"))
	lead := p.State.IsLead(p.Crew)
	switch {
	case !lead:
		p.add(&note{line: p.line("devices.lead"), tone: "quiet"})
	case p.Code.Text != "" && p.Code.Until > p.Now:
		p.add(&qr{text: orText(p.Code.URL, p.Code.Text), caption: p.t("devices.scan")},
			&pairs{rows: []pair{{p.t("devices.code"), bold(p.Code.Text)},
				{p.t("devices.lasts"), count(countdown{at: p.Code.Until})}}},
			&note{line: p.line("devices.once"), tone: "quiet"})
	default:
		p.add(&buttons{actions: []button{{label: p.t("devices.pair"), small: p.t("devices.pair.small"), style: act,
			do: &kitchen.Command{Do: "code"}}}})
	}
	p.nearNote()
	p.deafNote("")
	for i := range p.State.Devices {
		if d := &p.State.Devices[i]; !d.Revoked {
			p.add(p.deviceStrip(d, lead))
		}
	}
	gone := &pairs{title: p.t("devices.gone")}
	for i := range p.State.Devices {
		if d := &p.State.Devices[i]; d.Revoked {
			gone.rows = append(gone.rows, pair{orText(d.Name, d.Pairing.Device), p.line("devices.off")})
		}
	}
	if len(gone.rows) > 0 {
		p.add(gone)
	}
}

func (p *page) deviceStrip(d *kitchen.Device, lead bool) *strip {
	word := "devices.phone"
	if d.Wall {
		word = "devices.wall"
	}
	name := orText(d.Name, d.Pairing.Device)
	st := &strip{key: "device-" + d.Pairing.Device, state: "none", name: name, word: p.t(word), sub: p.deviceNow(d)}
	if lead {
		st.actions = []button{p.postButton(d), {label: p.t("devices.revoke"), small: name, style: quiet,
			do:   &kitchen.Command{Do: kitchen.DoRevoke, Device: d.Pairing.Device},
			ask:  &ask{kind: "text", name: "reason", title: p.t("devices.revoke.why"), keep: p.t("keep")},
			sure: &sure{title: p.t("devices.revoke.sure", "name", name), lines: []string{p.t("devices.revoke.line")}, label: p.t("devices.revoke")}}}
	}
	return st
}

// ringScreen tests whether this device can be heard.
func (p *page) ringScreen() {
	p.open("ring", p.t("ring.test"), "")
	p.back("/more", p.t("more"))
	p.add(&bare{"ringtest"}, &note{line: p.line("ring.locked"), tone: "plain"})
	yes := func(id string, on bool) pair {
		if on {
			return pair{p.t(id), plain(p.t("yes"))}
		}
		return pair{p.t(id), bold(p.t("no"))}
	}
	if a := p.Ability; a.Known {
		p.add(&pairs{title: p.t("ring.able"), rows: []pair{yes("ring.able.sound", a.Sound), yes("ring.able.awake", a.Awake),
			yes("ring.able.visible", a.Visible), yes("ring.able.vibrate", a.Vibrate), yes("ring.able.voice", a.Voice),
			yes("ring.able.installed", a.Installed), yes("ring.able.secure", a.Secure), yes("ring.able.stays", a.Stays)}})
		if !a.Stays && !a.Installed && a.Secure {
			p.add(&note{line: p.line("ring.able.tip"), tone: "quiet"})
		}
	}
}

func (p *page) settingsScreen() {
	p.open("settings", p.t("settings"), "")
	p.back("/more", p.t("more"))
	p.add(&bare{"settings"})
}

func (p *page) joinScreen() {
	p.open("join", p.t("join"), "")
	if p.Saved.Joined {
		p.add(&note{line: p.line("join.in", in("kitchen", bold(p.State.Name))), tone: "plain"},
			&buttons{actions: []button{{label: p.t("line.open"), style: act, to: "/"}}})
		return
	}
	p.add(&note{line: p.line("join.line"), tone: "plain"})
}
