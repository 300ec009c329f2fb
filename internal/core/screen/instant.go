package screen

import (
	"slices"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// far is what the kitchen's server draws, since this phone does not have it: the page asks for it at an address.
type far struct{ path, wait, away, again string }

func (f *far) write(w *jsontext.Writer) {
	begin(w, "far")
	w.Str("path", f.path)
	w.Str("wait", f.wait)
	w.Str("away", f.away)
	w.Str("again", f.again)
	w.EndObject()
}

// far asks the kitchen's server for parts of a page.
func (p *page) far(where string, pairs ...string) {
	pairs = append(pairs, "lang", string(p.l), "by", p.Crew)
	p.add(&far{address(where, pairs...), p.t("far.wait"), p.t("far.away"), p.t("far.again")})
}

// recordsAt shows what stood where at an instant: worked out here where this phone's entries reach back so far, else by
// the kitchen's server.
func (p *page) recordsAt() {
	p.open("recordsat", p.t("at"), "")
	p.back("/records", p.t("records"))
	day, clock := p.dayAndClock()
	p.add(&field{name: "day", label: p.t("at.day"), text: day, kind: "date"}, &field{name: "time", label: p.t("at.time"), text: clock, kind: "time"})
	at, wrong := p.instant()
	if wrong != "" {
		p.add(&note{line: plain(wrong), tone: "bad"})
		return
	}
	step := func(id string, to stamp.Milli) button {
		day, clock := p.State.Wall(to)
		return button{label: p.t(id), style: quiet, to: address("/records/at", "day", words.ISODate(day), "time", hourMinute(clock))}
	}
	steps := &buttons{actions: []button{step("at.earlier", at.Add(-stamp.Hour))}}
	if later := at.Add(stamp.Hour); later <= p.Now {
		steps.actions = append(steps.actions, step("at.later", later))
	}
	query := []string{"day", day, "time", clock}
	since := p.l.When(p.Reach, p.Now, p.zone(p.Reach))
	switch s := p.past(at); {
	case s != nil:
		for _, c := range p.instantParts(s, at) {
			p.add(c)
		}
		p.add(&note{line: plain(p.t("at.own")), tone: "quiet"})
		if out := p.Saved.OutSince; out > 0 && at > out {
			p.add(&note{line: plain(p.t("at.alone", "time", p.clock(out))), tone: "bad"})
		}
	case p.Saved.InTouch:
		p.far("/api/state.page", query...)
	default:
		p.add(&note{line: plain(p.t("at.out", "time", since, "long", p.l.Length(p.Now.Since(p.Reach)))), tone: "bad"})
	}
	p.fileButtons([...]string{"/api/state.pdf", "/api/state.csv", "/api/state.json"}, append(query, "lang", string(p.l), "by", p.Crew)...)
	p.add(steps)
}

func (p *page) past(at stamp.Milli) *kitchen.State {
	if p.Past == nil {
		return nil
	}
	return p.Past(at)
}

// dayAndClock are the day and the time that are asked for, now where they are not.
func (p *page) dayAndClock() (day, clock string) {
	d, c := p.State.Wall(p.Now)
	return orText(p.path.get("day"), words.ISODate(d)), orText(p.path.get("time"), hourMinute(c))
}

func hourMinute(clock stamp.Span) string {
	two := func(n int64) string { return string([]byte{'0' + byte(n/10), '0' + byte(n%10)}) }
	return two(int64(clock/stamp.Hour)) + ":" + two(int64(clock%stamp.Hour/stamp.Minute))
}

// instant reads the day and the time that are asked for: the kitchen's own. What is wrong with them is a sentence.
func (p *page) instant() (at stamp.Milli, wrong string) {
	date, clock := p.dayAndClock()
	day, ok := words.ReadISODate(date)
	h, m := -1, -1
	if len(clock) == 5 && clock[2] == ':' {
		h, m = twoDigits(clock[:2]), twoDigits(clock[3:])
	}
	if !ok || h < 0 || h > 23 || m < 0 || m > 59 {
		return 0, p.t("at.wrong", "day", date, "time", clock)
	}
	at = p.State.WallAt(day, stamp.Span(h)*stamp.Hour+stamp.Span(m)*stamp.Minute)
	if at > p.Now {
		return 0, p.t("at.tocome", "time", p.l.When(at, p.Now, p.zone(at)), "now", p.clock(p.Now))
	}
	return at, ""
}

func twoDigits(s string) int {
	n, ok := digits(s)
	if !ok {
		return -1
	}
	return int(n)
}

// instantParts are what stood where: batches, deviations, equipment, rings and devices.
func (p *page) instantParts(s *kitchen.State, at stamp.Milli) []*choice {
	ctx := *p.Context
	ctx.State, ctx.Now, ctx.Bells, ctx.Pace, ctx.Saved.Revoked = s, at, nil, 1, false
	q := newPage(&ctx)
	q.l = p.l
	when := p.l.Date(s.WallDay(at), false) + ", " + words.Clock(at, q.zone(at))
	if s.Folded == 0 {
		return []*choice{{title: when, rows: []choiceRow{{label: p.t("at.before")}}}}
	}
	batches := q.batchesThen(p.State)
	batches.title = when + ": " + p.t("at.batches")
	devs := &choice{title: p.t("deviations")}
	for i := range s.Deviations {
		if d := &s.Deviations[i]; !d.Closed {
			row := q.deviationRow(d)
			if p.State.Deviation(d.Key) == nil {
				row.to = ""
			}
			devs.rows = append(devs.rows, row)
		}
	}
	list := []*choice{batches, devs, q.placesThen(), q.ringsThen(), q.devicesThen()}
	for _, c := range list {
		if len(c.rows) == 0 {
			c.rows = []choiceRow{{label: p.t("at.none")}}
		}
	}
	return list
}

// batchesThen are the open batches with stage, place, amount, age and where they were in their windows. Those that the
// kitchen still knows lead to their pages.
func (p *page) batchesThen(now *kitchen.State) *choice {
	c := &choice{}
	var open []standing
	for i := range p.State.Batches {
		if b := &p.State.Batches[i]; b.Status == kitchen.Open {
			open = append(open, p.standing(b))
		}
	}
	order.Stable(open, func(a, b standing) int { return int(max(-1, min(1, a.b.MadeAt-b.b.MadeAt))) })
	for i := range open {
		s := &open[i]
		row := choiceRow{label: p.name(s.b) + ", " + p.contents(s.b)}
		row.detail = p.text(s.stage.Title)
		if s.b.Place != "" && s.b.Vessel != "load" {
			row.detail += ", " + p.l.Place(p.State, s.b.Place)
		}
		row.detail += ", " + p.t("at.age", "stage", p.l.Length(s.elapsed), "age", p.l.Length(p.Now.Since(s.b.MadeAt)))
		if s.state != window.None {
			row.state, row.word = stateName(s.state), p.t("state."+stateName(s.state))
			row.detail += ", " + p.windowClocks(&s.win, s.b.Since)
		}
		if now.Batch(s.b.ID) != nil {
			row.to = toBatch(s.b)
		}
		c.rows = append(c.rows, row)
	}
	return c
}

// placesThen are the pieces of equipment with their last readings, and what was in them.
func (p *page) placesThen() *choice {
	c := &choice{title: p.t("kitchen.equipment")}
	devices := p.State.Equipment().Devices
	for i := range devices {
		d := &devices[i]
		place := p.State.Place(d.Name)
		row := choiceRow{label: p.text(d.Title), detail: flat(p.lastReading(d))}
		if place.ReadAt != 0 {
			row.detail += ", " + p.l.Crew(p.State, place.ReadBy)
		}
		var in []string
		for _, b := range p.State.In(d.Name) {
			in = append(in, p.inside(b))
		}
		if len(in) > 0 {
			row.detail = p.t("at.in", "what", p.enumerate(in)) + " " + row.detail
		}
		if place.Out {
			row.state, row.word = "past", p.t("place.out.short")
		}
		c.rows = append(c.rows, row)
	}
	return c
}

// inside names a batch beside the equipment that it is in.
func (p *page) inside(b *kitchen.Batch) string {
	if b.Vessel == "load" {
		return p.contents(b)
	}
	return p.name(b)
}

// ringsThen are the bells that rang.
func (p *page) ringsThen() *choice {
	c := &choice{title: p.t("at.rings")}
	for i := range p.bells {
		if b := &p.bells[i]; b.Ringing {
			r := p.ringOf(b, false)
			c.rows = append(c.rows, choiceRow{label: r.name + ": " + r.deed, detail: p.t("at.since", "time", p.clock(b.At))})
		}
	}
	return c
}

// devicesThen are the phones with who had last put something down with each: the journal knows no more of who held it.
func (p *page) devicesThen() *choice {
	c := &choice{title: p.t("devices")}
	last := map[string]*kitchen.Event{}
	for i := range p.State.Batches {
		events := p.State.Batches[i].Events
		for j := range events {
			if v := &events[j]; last[v.Device] == nil || last[v.Device].At < v.At {
				last[v.Device] = v
			}
		}
	}
	for i := range p.State.Recent {
		if r := &p.State.Recent[i]; last[r.Device] == nil || last[r.Device].At < r.At {
			last[r.Device] = &kitchen.Event{At: r.At, By: r.Crew}
		}
	}
	for i := range p.State.Devices {
		d := &p.State.Devices[i]
		if d.Revoked {
			continue
		}
		row := choiceRow{label: orText(d.Name, d.Pairing.Device), detail: p.t("at.unheld")}
		if v := last[d.Pairing.Device]; v != nil {
			row.detail = p.t("at.held", "name", p.l.Crew(p.State, v.By), "time", p.clock(v.At))
		}
		c.rows = append(c.rows, row)
	}
	return c
}

// A Section is a part of the kitchen at an instant, in words.
type Section struct {
	Title string
	Rows  [][2]string // what, and how it stood
}

// Instant reads the day and the time in the query of ctx.Path. What is wrong with them is a sentence in ctx.Lang.
func Instant(ctx *Context) (at stamp.Milli, wrong string) { return newPage(ctx).instant() }

// InstantSections are the kitchen at an instant for paper: past is its state then.
func InstantSections(ctx *Context, past *kitchen.State, at stamp.Milli) []Section {
	var list []Section
	for _, c := range newPage(ctx).instantParts(past, at) {
		s := Section{Title: c.title}
		for _, r := range c.rows {
			detail := r.detail
			if r.word != "" {
				detail = r.word + ", " + detail
			}
			s.Rows = append(s.Rows, [2]string{r.label, detail})
		}
		list = append(list, s)
	}
	return list
}

// InstantPage is the same as parts of a phone's page, as JSON.
func InstantPage(ctx *Context, past *kitchen.State, at stamp.Milli) []byte {
	var w jsontext.Writer
	w.Object("")
	w.List("parts")
	for _, c := range newPage(ctx).instantParts(past, at) {
		c.write(&w)
	}
	w.EndList()
	w.EndObject()
	return slices.Clip(w.Out)
}
