package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// logNew begins a log of a batch or of a food that has a name alone.
func (p *page) logNew() {
	what := p.path.at(2)
	if what != entry.LogCool && what != entry.LogTime && what != entry.LogThaw {
		p.missing("missing.page")
		return
	}
	do := &kitchen.Command{Do: kitchen.DoLog, Answer: what, Name: p.path.get("n")}
	p.open("lognew", p.t("log."+what+".new"), "")
	p.back("/logs", p.t("logs.back"))
	to := "/logs"
	if id, err := entry.ParseID(p.path.get("b")); err == nil && p.State.Batch(id) != nil {
		b := p.State.Batch(id)
		do.Batch, to = id, toBatch(b)
		p.title = p.t("log."+what) + ", " + p.name(b)
		p.back(to, p.name(b))
	} else {
		p.fields("n", "log.food")
	}
	do.Procedure = p.logRules(what)
	ok := true
	if what == entry.LogThaw {
		p.thawLimits()
	} else {
		if what == entry.LogCool {
			p.add(&caution{key: "cool", title: p.t("log.cool.caution"), lines: []string{p.t("log.cool.how")}})
		}
		do.Value, ok = p.heatPad(p.t("log.warm"), procedure.Limit{})
		do.Unit = "mC"
	}
	if !ok || do.Batch.IsZero() && do.Name == "" {
		return
	}
	if _, r := p.try(do); r != nil {
		p.add(p.refusedPart(do, r))
		return
	}
	small := "log.begin.small"
	if what == entry.LogThaw {
		small = "log.beginthaw.small"
	}
	b := button{label: p.t("log.begin"), small: p.t(small), style: act, do: do, to: to}
	if rule, is := safety.TimeRuleOf(do.Procedure); is {
		if !do.Batch.IsZero() {
			b.to = "/mark/" + do.Batch.String() // the time goes on it
		}
		until := p.clock(p.Now.Add(rule.Most))
		b.sure = &sure{title: p.t("log.time"), lines: []string{p.t("log.time.write", "time", until), p.t("log.time.sure", "time", until)}, label: b.label}
	}
	p.add(&buttons{actions: []button{b}})
}

// logRules offers the rules of a sort of log, and returns the one that is chosen.
func (p *page) logRules(what string) (chosen string) {
	c := &choice{title: p.t("log.rule")}
	row := func(id, label, detail string) {
		if chosen == "" || id == p.path.get("r") {
			chosen = id
		}
		c.rows = append(c.rows, choiceRow{label: label, detail: detail, to: p.with("r", id)})
	}
	switch what {
	case entry.LogCool:
		own := p.State.CoolRule()
		row(own.ID, p.coolMarks(own), p.l.Source(own.Source))
		for _, r := range safety.CoolRules() {
			if r.From == 0 && r.ID != own.ID { // of food that was never cooked
				row(r.ID, p.coolMarks(r), p.t("log.of."+r.ID)+". "+p.l.Source(r.Source))
			}
		}
	case entry.LogTime:
		for _, r := range safety.TimeRules() {
			text := span(int64(r.Most))
			if r.Ceiling != 0 {
				text += ", " + p.t("log.under", "temp", p.warm(r.Ceiling.MilliC()))
			}
			row(r.ID, text, p.timeFrom(&r)+". "+p.l.Source(r.Source))
		}
	default:
		cold := p.warm(safety.Fahrenheit(41).MilliC())
		row(entry.RuleThawRaw, p.t("log.thaw-raw"), p.t("log.thaw-raw.detail", "temp", cold, "limit", span(int64(safety.ThawMost)))+". "+p.l.Source("fc-thaw-raw"))
		row(entry.RuleThawReady, p.t("log.thaw-ready"), p.t("log.thaw-ready.detail", "temp", cold)+". "+p.l.Source("fc-thaw-ready"))
	}
	for i := range c.rows {
		q := parsePath(c.rows[i].to)
		c.rows[i].on = q.get("r") == chosen
	}
	p.add(c)
	return chosen
}

// timeFrom says at which temperatures a food may go under a rule.
func (p *page) timeFrom(r *safety.TimeRule) string {
	cold, hot := r.Cold.MilliC(), r.Hot.MilliC()
	unit := p.heatUnit()
	text := p.l.Limit(procedure.Limit{Max: &cold}, unit)
	if r.Hot != 0 {
		text = p.t("log.from.either", "cold", text, "hot", p.l.Limit(procedure.Limit{Min: &hot}, unit))
	}
	return text
}

func (p *page) thawLimits() {
	water, _ := safety.HoldLimitOf("thaw-water")
	p.add(&caution{key: "thaw", title: p.t("frost.caution"), lines: []string{p.t("frost.caution.1")}})
	p.says(p.t("thaw.water.detail", "temp", p.warm(water.Limit.MilliC()))+". "+p.l.Source(water.Source), "quiet")
}

// stateWord says where a batch stands: in its window, or out of it, frozen or on its way to the cold.
func (p *page) stateWord(s *standing) string {
	switch {
	case s.b.Frozen != 0:
		return p.t("state.frozen")
	case p.cooling(s.b) != nil:
		return p.t("state.cool")
	case s.b.Kept && !p.over(s):
		return p.t("state.kept")
	case !p.over(s) && p.State.LogOf(s.b.ID, entry.LogTime) != nil:
		return p.t("state.time")
	}
	return p.t("state." + stateName(s.state))
}

// cooling returns the log by which a batch is being cooled, nil when it is not.
func (p *page) cooling(b *kitchen.Batch) *kitchen.Log { return p.State.LogOf(b.ID, entry.LogCool) }

// awayLeft is the one number of a batch whose stage does not run on, nil when it does.
func (p *page) awayLeft(s *standing) *countdown {
	if s.b.Frozen != 0 {
		return &countdown{at: s.b.Frozen, overPre: p.t("left.since")}
	}
	if l := p.cooling(s.b); l != nil {
		return p.logStrip(l, true).left
	}
	return nil
}

// awaySub says what holds of a batch whose stage does not run on, or that thaws or is kept.
func (p *page) awaySub(s *standing) line {
	b := s.b
	switch {
	case b.Frozen != 0 && b.UseBy != 0 && p.counted(b):
		return plain(p.frozenDays(b))
	case b.Frozen != 0:
		return plain(p.t("frost.still"))
	case p.cooling(b) != nil:
		return p.logStrip(p.cooling(b), true).sub
	case b.Thawed == entry.ThawCook || b.Thawed == entry.ThawMicrowave:
		return bold(p.t("thaw.cook.now"))
	case b.Thawed != "" && p.State.LogOf(b.ID, entry.LogThaw) != nil:
		return p.logStrip(p.State.LogOf(b.ID, entry.LogThaw), true).sub
	}
	return nil
}

// counted tells whether the mark of a batch counts days.
func (p *page) counted(b *kitchen.Batch) bool {
	st := p.State.Stage(b)
	return b.Kept || st != nil && !st.Raw && st.Window.Ceiling > safety.DateNeeded
}

// frozenDays says how many days are left of a frozen batch's mark.
func (p *page) frozenDays(b *kitchen.Batch) string {
	return p.n("frost.days", p.daysLeft(b))
}

func (p *page) daysLeft(b *kitchen.Batch) int64 {
	return int64(max(p.State.WallDay(b.UseBy)-p.State.WallDay(b.Frozen), 0))
}

// awayParts are what is done with a batch that is frozen or being cooled, instead of its stage.
func (p *page) awayParts(s *standing) bool {
	b := s.b
	if l := p.cooling(b); l != nil {
		p.add(&buttons{actions: []button{{label: p.t("log.open"), small: p.t("log.read"), style: act, to: toLog(l)}}})
		return true
	}
	if b.Frozen == 0 {
		if l := p.State.LogOf(b.ID, ""); l != nil {
			p.add(&buttons{actions: []button{{label: p.t("log.open"), small: p.t("log." + l.What), style: quiet, to: toLog(l)}}})
		}
		return false
	}
	if s.stage.Raw {
		p.add(&caution{key: "thaw", title: p.t("frost.caution"), lines: []string{p.t("frost.caution.1")}})
	}
	c := &choice{title: p.t("frost.thaw")}
	for _, way := range kitchen.ThawWays {
		c.rows = append(c.rows, choiceRow{label: p.t("thaw." + way), detail: p.thawDetail(way),
			do: &kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: way}})
	}
	p.add(c)
	p.says(p.t("frost.thaw.note"), "quiet")
	return true
}

// thawDetail says what a way to thaw asks for, and where that stands.
func (p *page) thawDetail(way string) string {
	for _, x := range [...][2]string{{entry.ThawCold, "thaw-fridge"}, {entry.ThawWater, "thaw-water"}} {
		if limit, ok := safety.HoldLimitOf(x[1]); ok && x[0] == way {
			return p.t("thaw."+way+".detail", "temp", p.warm(limit.Limit.MilliC())) + ". " + p.l.Source(limit.Source)
		}
	}
	return p.t("thaw."+way+".detail") + ". " + p.l.Source("fc-thaw-cook")
}

// awayActs are the ways out of a batch's stage that are open to it now.
func (p *page) awayActs(s *standing) (list []button) {
	b := s.b
	freeze := &kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID}
	if _, r := p.try(freeze); r == nil && b.Frozen == 0 {
		list = append(list, button{label: p.t("frost.do"), small: p.t("frost.small"), style: quiet, do: freeze})
	}
	for _, what := range [...]string{entry.LogCool, entry.LogTime} {
		try := &kitchen.Command{Do: kitchen.DoLog, Answer: what, Batch: b.ID, Unit: "mC"}
		if what == entry.LogTime { // on display, or in hand before the fryer
			if try.Procedure = "tphc4"; s.stage.Raw && (s.next == nil || s.next.Equipment != fryerKind) {
				continue
			}
		}
		if _, r := p.try(try); r == nil {
			list = append(list, button{label: p.t("log." + what + ".do"), style: quiet, to: address("/log/new/"+what, "b", b.ID.String())})
		}
	}
	return list
}

// markAway is the mark of a batch that is frozen, under time alone or kept cold: whether it is one of these.
func (p *page) markAway(s *standing, m *mark) (rows []pair, is bool) {
	b := s.b
	at := func(when stamp.Milli) {
		z := p.zone(when)
		m.date, m.time = p.l.Date(z.Day(when), false), clockOf(when, z)
	}
	switch l := p.State.LogOf(b.ID, entry.LogTime); {
	case l != nil && s.at(s.win.Ceiling) >= l.Judge(p.Now).Until: // else the stage is stricter
		m.useLabel, m.kind = p.t("mark.gone"), p.t("mark.time")
		if s.stage.Raw {
			m.kind = p.t("mark.time.raw")
		}
		at(l.Judge(p.Now).Until)
		rule, _ := safety.TimeRuleOf(l.Rule)
		return []pair{{p.t("because"), plain(p.t("because.time", "limit", span(int64(rule.Most)), "time", p.clock(l.At), "source", p.l.Source(rule.Source)))}}, true
	case b.Frozen != 0:
		m.useLabel = p.t("mark.frozen")
		at(b.Frozen)
		text, short := p.t("frost.still"), words.Upper(p.t("frost.still"))
		if b.UseBy != 0 && p.counted(b) {
			text, short = p.frozenDays(b), p.n("mark.frozen.days", p.daysLeft(b))
		}
		if m.kind = p.t("mark.frozen.kind", "text", short); s.stage.Raw {
			m.kind = p.t("mark.frozen.raw", "text", short)
		}
		return []pair{{p.t("because"), plain(text)}}, true
	case b.Kept:
		m.useLabel, m.kind = p.t("mark.useby"), p.t("mark.kept", "temp", p.warm(safety.Fahrenheit(41).MilliC()))
		at(b.UseBy)
		return []pair{{p.t("because"), plain(p.t("because.kept", "n", p.num(safety.DateDays), "source", p.l.Source("fc-date")))}}, true
	}
	return nil, false
}

// logEvent says what an entry about frost or of a log told.
func (p *page) logEvent(e *kitchen.Event) string {
	text := p.t("undo.frozen")
	switch {
	case e.Kind == entry.BatchFrozen && e.Text != "":
		text = p.t("undo.thaw") + ": " + words.Lower(p.t("thaw."+e.Text))
	case e.Kind == entry.LogRead && e.Text != "":
		text = p.t("log.water")
	case e.Kind == entry.LogRead:
		text = p.t("log.plot")
	case e.Kind != entry.BatchFrozen:
		text = p.t("log." + e.Text)
	}
	if e.Unit != "" {
		text += ": " + p.warm(e.Number)
	}
	return text
}
