package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/plot"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// heatCode is the UCUM code in which temperatures of food are typed: that of the probe in hand, else of the equipment.
func (p *page) heatCode() string {
	eq := p.State.Equipment()
	if pr := eq.Probe(p.State.ProbeInHand(p.Crew)); pr != nil && pr.TypedIn != "" {
		return pr.TypedIn
	}
	for i := range eq.Devices {
		if code := eq.Devices[i].TypedIn; code != "" {
			return code
		}
	}
	return "Cel"
}

// warm prints a temperature of food.
func (p *page) warm(milliC int64) string { return p.l.Amount(milliC, p.heatUnit()) }

func (p *page) heatUnit() string { return words.Shown("mC", p.heatCode()) }

// span prints a length that a rule allows.
func span(ms int64) string { return quantity.LengthExact(ms) }

// food names what a log is about.
func (p *page) food(l *kitchen.Log) string {
	var names []string
	for _, id := range l.Batches {
		names = append(names, p.vessel(id))
	}
	if b := p.State.Batch(l.Batch); b != nil && len(names) == 0 {
		names = append(names, p.l.Vessel(b.Vessel, b.Number))
	}
	if len(names) == 0 {
		return orText(l.Name, p.t("log."+l.What))
	}
	return p.enumerate(names)
}

func (p *page) foodIn(log entry.ID) string {
	if l := p.State.Log(log); l != nil {
		return p.food(l)
	}
	return ""
}

func toLog(l *kitchen.Log) string { return "/log/" + l.ID.String() }

// logStrip draws a log on the line, on the page of logs and at the head of its own.
func (p *page) logStrip(l *kitchen.Log, small bool) *strip {
	j := l.Judge(p.Now)
	st := &strip{key: "log-" + l.ID.String(), to: toLog(l), state: "none", name: p.food(l), word: p.t("log." + l.What), small: small,
		deed: p.t("log.read"), sub: plain(p.t("log.from", "time", p.clock(l.At)))}
	if j.Until != 0 {
		st.left, st.sub = p.countTo(j.Until, "left.left"), plain(p.t("log.since", "time", p.clock(j.Until)))
	}
	if j.Until != 0 && l.What == entry.LogCool {
		st.sub = plain(p.t("log.at", "temp", p.warm(j.Mark), "time", p.clock(j.Until)))
	}
	switch {
	case l.Ended:
		st.left, st.word, st.sub = nil, p.t("log."+l.Outcome), plain(p.clock(l.EndAt))
		return st
	case j.Missed(p.Now):
		st.state, st.deed = "past", p.t("log."+l.What+".past")
	case j.Until != 0 && p.Now >= j.Last:
		st.state, st.deed = "last", p.t("log."+l.What+".last")
	}
	for i := range p.bells {
		if b := &p.bells[i]; b.Log == l.ID && !b.Ringing && b.N > 0 && b.First <= p.Now {
			st.sub = append(st.sub, p.has(b.GotBy)...)
			break
		}
	}
	if !small {
		st.actions = []button{{label: p.t("log.open"), small: st.deed, style: act, to: st.to}}
	}
	return st
}

// logItems are the running logs on the line. A batch under time alone stands there by itself.
func (p *page) logItems() (list []item) {
	for i := range p.State.Logs {
		l := &p.State.Logs[i]
		if l.Ended || l.What == entry.LogTime && len(l.Batches) > 0 {
			continue
		}
		j := l.Judge(p.Now)
		hand := j.Last
		if hand == 0 || j.Read != 0 && j.Read < hand {
			hand = j.Read
		}
		it := item{rank: waiting, by: hand, hand: hand, now: hand <= p.Now, key: "log " + l.ID.String(),
			build: func(small bool) *strip { return p.logStrip(l, small) }}
		switch {
		case j.Missed(p.Now):
			it.rank, it.now, it.by = past, true, min(hand, j.Until, p.Now-1) // the next reading may be due later
		case it.now:
			it.rank = good
		}
		list = append(list, it)
	}
	return list
}

// logsAhead sees when logs change what is said of them.
func (p *page) logsAhead(s *soonest) {
	for i := range p.State.Logs {
		if l := &p.State.Logs[i]; !l.Ended {
			j := l.Judge(p.Now)
			for _, at := range [...]stamp.Milli{j.Read, j.Last, j.Until + 1} {
				s.see(at)
				s.see(at.Add(-nextHour))
			}
		}
	}
}

// logsScreen lists the running logs, offers to begin one, and for a lead to choose the rule for cooling.
func (p *page) logsScreen() {
	p.open("logs", p.t("logs"), "")
	p.back("/more", p.t("more"))
	ended := &choice{title: p.t("log.ended")}
	running := false
	for i := range p.State.Logs {
		l := &p.State.Logs[i]
		if !l.Ended {
			running = true
			p.add(p.logStrip(l, false))
			continue
		}
		ended.lead(p.food(l), p.t("log."+l.What)+", "+words.Lower(p.t("log."+l.Outcome))+", "+p.clock(l.EndAt), toLog(l))
	}
	if !running {
		p.add(&empty{title: p.t("log.none"), line: p.line("log.none.line")})
	}
	begin := &choice{title: p.t("logs.new")}
	for _, what := range [...]string{entry.LogCool, entry.LogTime, entry.LogThaw} {
		begin.lead(p.t("log."+what+".new"), p.t("log."+what+".detail"), "/log/new/"+what)
	}
	p.add(begin)
	if len(ended.rows) > 0 {
		p.add(ended)
	}
	if p.State.IsLead(p.Crew) {
		c := &choice{title: p.t("cool rule")}
		for i, r := range safety.CoolRules() {
			if r.From == 0 { // for what was never cooked: chosen as its log begins
				continue
			}
			c.rows = append(c.rows, choiceRow{label: p.coolMarks(r), detail: p.l.Source(r.Source), on: r.ID == p.State.CoolRule().ID,
				do: &kitchen.Command{Do: kitchen.DoSet, Name: entry.SetCoolRule, Number: int64(i + 1)}})
		}
		p.add(c)
	}
}

// coolMarks says a rule for cooling: "to 21.1 °C within 2 h, to 5.0 °C within 6 h".
func (p *page) coolMarks(r safety.CoolRule) string {
	var list []string
	for _, m := range r.Marks[:r.N] {
		list = append(list, p.coolMark(m.After, safety.Fahrenheit(m.To).MilliC(), int64(m.Most)))
	}
	return joined(list)
}

func (p *page) coolMark(after, to, most int64) string {
	id := "log.mark"
	switch {
	case most == 0:
		id = "log.mark.any"
	case after != 0:
		id = "log.mark.after"
	}
	return p.t(id, "from", p.warm(safety.Fahrenheit(after).MilliC()), "temp", p.warm(to), "limit", span(most))
}

// logScreen is one log: until when, the pad for the next reading, the chart, the limits, and how it ends.
func (p *page) logScreen() {
	if p.path.at(1) == "new" {
		p.logNew()
		return
	}
	id, err := entry.ParseID(p.path.at(1))
	l := p.State.Log(id)
	if err != nil || l == nil {
		p.missing("missing.page")
		return
	}
	j := l.Judge(p.Now)
	head := p.logStrip(l, true)
	p.open("log", head.name, "")
	p.back("/logs", p.t("logs.back"))
	head.head, head.small = true, false
	p.add(head)
	if p.logMissed(l, &j); !l.Ended {
		p.logPad(l)
	}
	p.logPlot(l, &j)
	p.logLimits(l, &j)
	if !l.Ended {
		p.logEnds(l, &j)
	}
	p.logReads(l)
	p.says(p.t("limit.local"), "quiet")
}

// logMissed says what can be done about a limit that was missed.
func (p *page) logMissed(l *kitchen.Log, j *kitchen.Judged) {
	if !j.Missed(p.Now) {
		return
	}
	f := &fault{title: p.t("log.missed")}
	for _, a := range j.Actions {
		f.lines = append(f.lines, p.l.Action(a))
	}
	p.add(f)
	c := &choice{}
	for _, m := range l.Missed {
		if d := p.State.Deviation(m.Key); d != nil {
			c.rows = append(c.rows, p.deviationRow(d))
		}
	}
	if len(c.rows) > 0 {
		p.add(c)
	}
}

// logPad takes a reading of the food or, while it thaws, of the water.
func (p *page) logPad(l *kitchen.Log) {
	limit, label, of := procedure.Limit{}, "log.warm", p.path.get("of")
	most := func(h safety.Heat) {
		m := h.MilliC()
		limit.Max = &m
	}
	rule, _ := safety.TimeRuleOf(l.Rule)
	switch {
	case l.What == entry.LogThaw && of == "water":
		x, _ := safety.HoldLimitOf("thaw-water")
		most(x.Limit)
		label = "log.water"
	case l.Rule == entry.RuleThawReady:
		x, _ := safety.HoldLimitOf("thaw-rte")
		most(x.Limit)
	case rule.Ceiling != 0:
		most(rule.Ceiling)
	}
	if l.What == entry.LogThaw {
		p.add(&choice{title: p.t("log.what"), rows: []choiceRow{{label: p.t("log.plot"), to: p.with("of", ""), on: of != "water"},
			{label: p.t("log.water"), to: p.with("of", "water"), on: of == "water"}}})
	}
	value, ok := p.heatPad(p.t(label), limit)
	if ok {
		p.dock = []button{{label: p.t("keep.value", "value", p.warm(value)), small: p.food(l), style: act, to: address(p.bare(), "of", of),
			do: &kitchen.Command{Do: kitchen.DoLogRead, Log: l.ID, Answer: of, Value: value, Unit: "mC"}}}
	}
}

// heatPad is a pad for a temperature of food, and what stands on it.
func (p *page) heatPad(label string, limit procedure.Limit) (value int64, ok bool) {
	code, unit := p.heatCode(), p.heatUnit()
	pd := &pad{name: "v", text: p.path.get("v"), unit: p.l.Typing("mC", code).Unit, signed: true, label: label, limit: plain(p.l.Limit(limit, unit))}
	p.add(pd)
	pd.judged, value, ok = p.judge(pd.text, code, limit, "mC", unit)
	return value, ok
}

// readsOf lists what was read of a log, that with which it began first.
func readsOf(l *kitchen.Log) []kitchen.LogRead {
	if !l.Measured {
		return l.Reads
	}
	first := kitchen.LogRead{LogReading: entry.LogReading{MilliC: l.MilliC, Probe: l.Probe}, ID: l.ID, At: l.At, By: l.By}
	return append([]kitchen.LogRead{first}, l.Reads...)
}

// logPlot draws what was read of the food, the limits, and the time that is allowed.
func (p *page) logPlot(l *kitchen.Log, j *kitchen.Judged) {
	c := &plotted{title: p.t("log.plot"), head: []string{p.t("chart.at"), p.t("log.plot")}}
	var points []plot.Point
	for _, r := range readsOf(l) {
		if !r.Water {
			points = append(points, plot.Point{X: int64(r.At), Y: r.MilliC})
			c.says = p.food(l) + ", " + p.warm(r.MilliC)
			c.rows = append(c.rows, []string{p.clock(r.At), p.warm(r.MilliC)})
		}
	}
	if len(points) == 0 {
		return
	}
	var levels []int64
	var texts []string
	level := func(milliC int64, text string) { levels, texts = append(levels, milliC), append(texts, text) }
	for i := range j.Findings {
		switch f := &j.Findings[i]; {
		case l.What == entry.LogCool && f.Limit.Value > 0:
			level(f.Inputs[0].Value, p.t("log.at", "temp", p.warm(f.Inputs[0].Value), "time", p.clock(stamp.Milli(f.Inputs[1].Value+f.Limit.Value))))
		case l.What == entry.LogThaw && i > 0:
			level(safety.Fahrenheit(41).MilliC(), p.warm(safety.Fahrenheit(41).MilliC()))
		case l.What == entry.LogTime && f.Limit.Unit == quantity.MilliC:
			level(f.Limit.Value, p.warm(f.Limit.Value))
		}
	}
	d := plot.Over(points, levels...)
	end := stamp.Milli(points[len(points)-1].X)
	if !l.Ended {
		end = max(end, j.Until)
	}
	if d.Until(int64(end)); j.Until != 0 && !l.Ended {
		d.Shade(plot.Held, int64(j.From), int64(j.Until))
	}
	for i, y := range levels {
		d.Level(plot.Limit, y, texts[i])
	}
	d.Line(plot.Value, points)
	d.Spots(plot.Value, points...)
	d.Below(c.rows[0][0], p.clock(end))
	c.items = d.Items()
	p.add(c)
}

// logLimits opens each limit to what was found, by how much, and where it stands.
func (p *page) logLimits(l *kitchen.Log, j *kitchen.Judged) {
	t := &pairs{title: p.t("log.limits")}
	source := ""
	for i := range j.Findings {
		f := &j.Findings[i]
		source = p.l.Source(f.Source)
		key, value := p.t("log."+l.What), p.l.Length(stamp.Span(f.Got.Value))
		switch {
		case f.Verdict == safety.Unknown:
			continue
		case f.Limit.Unit == quantity.MilliC:
			t.say(p.warm(f.Got.Value), p.l.Held(*f, p.heatUnit()))
			continue
		case l.What == entry.LogCool:
			key = p.coolMark(0, f.Inputs[0].Value, f.Limit.Value)
		default:
			key += ", " + span(f.Limit.Value)
		}
		if f.Verdict == safety.Met && (l.Ended || l.What == entry.LogCool) || f.Got.Value > f.Limit.Value && f.Limit.Value > 0 { // else it still runs
			value += ". " + p.l.Verdict(f.Verdict)
		}
		t.say(key, value)
	}
	if r, ok := safety.CoolRuleOf(l.Rule); ok && r.From != 0 && l.Measured && safety.FromKept(l.MilliC) < safety.Fahrenheit(r.From) {
		p.says(p.t("log.below", "temp", p.warm(safety.Fahrenheit(r.From).MilliC())), "quiet")
	}
	if len(t.rows) > 0 {
		p.add(t)
		p.says(source, "quiet")
	}
}

// logEnds offers how a log ends by hand.
func (p *page) logEnds(l *kitchen.Log, j *kitchen.Judged) {
	var out []button
	for _, id := range l.Batches {
		b := p.State.Batch(id)
		if b == nil {
			continue
		}
		away := p.discard(b)
		if !j.Missed(p.Now) {
			away.style = quiet
		}
		out = append(out, button{label: p.t("open", "name", p.name(b)), style: quiet, to: toBatch(b)}, away)
	}
	end := func(label, outcome, style string) button {
		return button{label: label, small: p.food(l), style: style, do: &kitchen.Command{Do: kitchen.DoLogEnd, Log: l.ID, Answer: outcome}}
	}
	if !j.Missed(p.Now) && (l.What != entry.LogTime || len(l.Batches) == 0) {
		out = append(out, end(p.t("log.done."+l.What), entry.LogDone, quiet))
	}
	if len(l.Batches) == 0 {
		b := end(p.t("discard", "amount", p.food(l)), entry.LogDiscarded, stop)
		b.sure = &sure{title: b.label, lines: []string{p.t("discard.waste"), p.t("discard.final")}, label: b.label}
		out = append(out, b)
	}
	p.add(&buttons{actions: out})
}

// logReads lists the readings, the latest first; each can be corrected.
func (p *page) logReads(l *kitchen.Log) {
	h := &history{title: p.t("log.again")}
	code := p.heatCode()
	how := p.l.Typing("mC", code)
	list := readsOf(l)
	for i := len(list) - 1; i >= 0; i-- {
		r := &list[i]
		text := p.warm(r.MilliC)
		if r.Water {
			text = p.t("log.water") + ": " + text
		}
		h.rows = append(h.rows, historyRow{at: p.clock(r.At), who: p.l.Crew(p.State, r.By), text: text, actions: []button{{label: p.t("correct"),
			style: quiet, do: &kitchen.Command{Do: kitchen.DoCorrect, Entry: r.ID, Unit: "mC", Into: "value", TypedIn: code, Reason: p.t("correct.reason")},
			ask: &ask{kind: "number", name: "typed", title: p.t("correct.title", "was", text), unit: how.Unit, keep: p.t("keep.number", "unit", how.Unit)}}}})
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}
