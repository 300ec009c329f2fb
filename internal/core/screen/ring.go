package screen

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// Bells are booked this far ahead, and at most so many of them: a device that is cut off rings by what it has booked.
const (
	bookAhead = 36 * stamp.Hour
	bookMost  = 32
)

// lateFrom is how late a bell must be before the device says so.
const lateFrom = 3 * stamp.Second

var levelNames = [...]string{kitchen.Information: "info", kitchen.Attention: "attention", kitchen.Danger: "danger"}

func levelName(l kitchen.Level) string {
	if int(l) < len(levelNames) {
		return levelNames[l]
	}
	return levelNames[kitchen.Attention]
}

// Ring returns what rings now, most urgent first, and the next bells, as JSON.
func Ring(ctx *Context) []byte {
	p := newPage(ctx)
	bells := p.bells
	var w jsontext.Writer
	w.Object("")
	w.List("now")
	for i := range bells {
		if bells[i].Ringing {
			p.writeBell(&w, &bells[i])
		}
	}
	w.EndList()
	w.List("book")
	booked := 0
	for i := range bells {
		if !bells[i].Ringing && booked < bookMost {
			p.writeBell(&w, &bells[i])
			booked++
		}
	}
	w.EndList()
	w.EndObject()
	return w.Out
}

func (p *page) writeBell(w *jsontext.Writer, b *kitchen.Bell) {
	w.Object("")
	w.Str("key", b.Key)
	w.Int("at", int64(b.At))
	w.Str("level", levelName(b.Level))
	w.Str("say", p.say(b))
	w.Str("lang", string(p.l))
	w.EndObject()
}

// say is the sentence that a voice speaks: "Tub three: drain now".
func (p *page) say(b *kitchen.Bell) string {
	r := p.ringOf(b, true)
	id := "say"
	if b.Point == kitchen.PointPast {
		id = "say.past"
	}
	s := p.t(id, "name", r.name, "deed", r.deed)
	if b.Escalated {
		if lead := p.lead(""); lead != "" {
			s = p.t("say.lead", "lead", lead, "what", s)
		}
	}
	if p.Practice != nil {
		s = p.t("practice.say", "what", s)
	}
	return s
}

// rung is what a bell says of itself.
type rung struct {
	name, deed string
	s          *standing // of the first batch, nil for timers and lists
	caution    *procedure.Caution
}

func (p *page) ringOf(b *kitchen.Bell, spoken bool) rung {
	switch b.Point {
	case kitchen.PointTimer:
		if t := p.State.Timer(b.Timer); t != nil {
			return rung{name: t.Name, deed: p.t("ring.timer")}
		}
	case kitchen.PointList:
		if li := p.State.List(b.List); li != nil {
			return rung{name: p.text(li.Title), deed: p.t("ring.list")}
		}
	}
	if a := p.State.Ask(b.Ask); a != nil && !b.Ask.IsZero() {
		return rung{name: p.l.Crew(p.State, a.By), deed: p.askDeed(a)}
	}
	if l := p.State.Log(b.Log); l != nil && !b.Log.IsZero() {
		return rung{name: p.food(l), deed: p.t("log." + logDeed(l, b.Point))}
	}
	if m := p.State.PlanByID(b.Plan); m != nil && b.Row < len(m.Rows) {
		return p.planned(m, b.Row)
	}
	r := rung{name: p.t("ring.something")}
	if x := p.State.Sensor(b.Sensor); x != nil && b.Point == kitchen.PointSilent {
		return rung{name: orText(x.Name, x.Sensor), deed: p.t("ring.silent")}
	}
	var names []string
	for _, id := range b.Batches {
		batch := p.State.Batch(id)
		if batch == nil {
			continue
		}
		if r.s == nil {
			s := p.standing(batch)
			r.s = &s
		}
		if spoken {
			names = append(names, p.l.SayBatch(p.State, batch))
		} else {
			names = append(names, p.name(batch))
		}
	}
	if len(names) > 0 {
		r.name = p.enumerate(names)
	}
	r.deed = p.ringDeed(b.Point, r.s)
	return r
}

// planned is what a row of the plan wants: how much of what, and where.
func (p *page) planned(m *kitchen.PlanMark, k int) rung {
	row := &m.Rows[k]
	if int(row.Item) >= len(m.Items) {
		return rung{name: p.t("ring.something")}
	}
	it := &m.Items[row.Item]
	r := rung{name: it.Item}
	grams := p.l.Amount(int64(row.Units)*it.Grams, "g")
	if proc := p.State.Procedure(it.Item, 0); proc != nil {
		if r.name = words.Upper(p.text(proc.Item)); row.Deed == entry.PlanLoad {
			grams = p.l.Much(p.State, &kitchen.Batch{Procedure: it.Item}, 0, int64(row.Units)*it.Unit)
			for i := range proc.Stages {
				if st := &proc.Stages[i]; st.Equipment != "" && r.caution == nil && kitchen.IsSingle(p.State.Equipment(), st.Equipment) {
					r.caution = st.Caution
				}
			}
		}
	}
	place := row.Place
	if dev := p.State.Equipment().Device(place); dev != nil {
		place = p.text(dev.Title)
	}
	deeds := [...]string{entry.PlanLoad: "ring.plan.0", entry.PlanCoat: "ring.plan.1", entry.PlanTubs: "ring.plan.2"}
	r.deed = p.t(deeds[min(row.Deed, entry.PlanTubs)], "amount", grams, "place", place, "n", strconv.Itoa(int(row.Tubs)))
	return r
}

func logDeed(l *kitchen.Log, point kitchen.Point) string {
	if point == kitchen.PointRead {
		return string(point)
	}
	return l.What + "." + string(point)
}

// ringDeed says what a bell wants done.
func (p *page) ringDeed(point kitchen.Point, s *standing) string {
	next := ""
	if s != nil {
		next = p.deedAt(s)
	}
	switch {
	case point == kitchen.PointPast && s != nil && !p.mustGoOn(s):
		return p.pastDeed(s)
	case next == "":
		return p.t("ring.look")
	case s.next == nil && point == kitchen.PointLast:
		return p.t("ring.last.sell")
	case s.next == nil:
		return next
	case point == kitchen.PointLast:
		return p.t("ring.last", "deed", next)
	}
	return p.t("ring.best", "deed", next)
}

// pastDeed is what is done with what is past its limit: it is discarded, unless a lead may let it go on.
func (p *page) pastDeed(s *standing) string {
	deed := p.t("deed.discard", "amount", p.l.Left(p.State, s.b))
	if s.stage.Override && !s.win.Hard {
		return p.t("ring.past", "deed", deed)
	}
	return deed
}

// deedAt is what is to be done at a point that may still be ahead.
func (p *page) deedAt(s *standing) string {
	if s.next == nil {
		return p.t("deed.sell")
	}
	return words.Lower(p.text(s.next.Act))
}

// lead names the kitchen's leads, the first two.
func (p *page) lead(but string) string {
	var names []string
	for i := range p.State.Crew {
		if m := &p.State.Crew[i]; !m.Gone && p.State.IsLead(m.Crew) && m.Crew != but && len(names) < 2 {
			names = append(names, m.Name)
		}
	}
	return p.enumerate(names)
}

// renderTakeover covers the screen while something rings: the most urgent bell large, the others in one line each.
func (p *page) renderTakeover(w *jsontext.Writer) {
	if p.wall || p.Practice != nil && !p.Practice.rings() {
		return // nobody taps a wall screen: what rings stands first on it
	}
	bells := p.bells
	if len(bells) == 0 || !bells[0].Ringing {
		return
	}
	b := &bells[0]
	r := p.ringOf(b, false)
	w.Object("ring")
	w.Str("bell", b.Key)
	w.Str("level", levelName(b.Level))
	w.Str("state", p.ringState(b, &r))
	w.Str("name", r.name)
	w.Str("deed", words.Upper(r.deed))
	p.ringLeft(b, &r).write(w, "left")
	if r.s != nil {
		p.ringSub(&r).writeOpt(w, "sub")
		p.ringCaution(r.s).within(w)
	}
	if r.caution != nil {
		c := p.cautionOf("ring", r.caution)
		c.aid = ""
		c.within(w)
	}
	also := p.ringAlso(bells)
	strs(w, "also", also)
	if len(also) > 0 { // they may lie below the screen's edge: how many there are stands at its top
		w.Str("count", p.n("ring.count", int64(len(also)+1)))
	}
	got := &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key}
	(&button{label: p.t("ring.got"), style: act, do: got}).write(w, "got")
	if steps := p.ringSteps(b, &r, got); steps != nil {
		steps.write(w, "steps")
	}
	w.Str("note", p.ringNote(b))
	w.Int("at", int64(b.At))
	if p.AwakeSince > b.At.Add(lateFrom) {
		w.Str("late", p.t("ring.late", "late", p.l.Over(p.AwakeSince.Since(b.At))))
	}
	w.EndObject()
}

func (p *page) ringState(b *kitchen.Bell, r *rung) string {
	switch {
	case r.s != nil:
		return stateName(r.s.state)
	case b.Level == kitchen.Danger:
		return "past"
	}
	return "last"
}

func (p *page) ringLeft(b *kitchen.Bell, r *rung) *countdown {
	if r.s != nil {
		if c := p.left(r.s); c != nil {
			return c
		}
	}
	if l := p.State.Log(b.Log); l != nil && !b.Log.IsZero() {
		if c := p.logStrip(l, true).left; c != nil {
			return c
		}
	}
	if !b.Ask.IsZero() {
		return p.countAgo(b.First)
	}
	return &countdown{at: b.First, overPost: p.t("left.over")}
}

// countAgo counts how long ago something was.
func (p *page) countAgo(at stamp.Milli) *countdown {
	c := &countdown{at: at}
	c.overPre, c.overPost = halves(p.t("left.ago"))
	return c
}

func (p *page) ringSub(r *rung) line {
	return append(line{{text: p.stateWord(r.s) + ", "}}, p.sub(r.s)...)
}

func (p *page) ringCaution(s *standing) *caution {
	if p.over(s) {
		return &caution{title: p.t("ring.past.caution"), lines: []string{p.cue(s)}}
	}
	c := p.cautionOf("ring", s.stage.Caution)
	if c != nil {
		c.aid = "" // nothing leads away from what rings but its answer
	}
	return c
}

func (p *page) ringAlso(bells []kitchen.Bell) []string {
	var out []string
	for i := 1; i < len(bells) && bells[i].Ringing; i++ {
		r := p.ringOf(&bells[i], false)
		out = append(out, p.t("ring.also", "name", r.name, "deed", r.deed))
	}
	return out
}

// ringSteps is the second answer to a bell: it silences, and leads to the work. A timer has no work of its own, so there
// it puts the timer away, which silences it too.
func (p *page) ringSteps(b *kitchen.Bell, r *rung, got *kitchen.Command) *button {
	switch {
	case r.s != nil:
		return &button{label: p.t("ring.steps"), style: quiet, do: got, to: toBatch(r.s.b)}
	case !b.Ask.IsZero():
		return &button{label: p.t("ring.ask"), style: quiet, do: got, to: "/trainer/ask/" + b.Ask.String()}
	case !b.Log.IsZero():
		return &button{label: p.t("ring.log"), style: quiet, do: got, to: "/log/" + b.Log.String()}
	case b.Point == kitchen.PointPlan:
		return &button{label: p.t("ring.plan"), style: quiet, do: got, to: "/plan"}
	case b.Point == kitchen.PointTimer:
		return &button{label: p.t("ring.timer.end"), style: quiet, do: &kitchen.Command{Do: kitchen.DoTimerEnd, Timer: b.Timer}}
	case b.Point == kitchen.PointSilent:
		return &button{label: p.t("ring.sensor"), style: quiet, do: got, to: "/sensors"}
	case b.Point == kitchen.PointList:
		return &button{label: p.t("ring.list.open"), style: quiet, do: got, to: toList(b.List)}
	}
	return nil
}

// ringNote says what "got it" does, in whose name, and when it rings again.
func (p *page) ringNote(b *kitchen.Bell) string {
	who := p.t("ring.silences")
	if m := p.State.Member(p.Crew); m != nil {
		who = p.t("ring.silences.name", "name", m.Name)
	}
	switch lead := p.lead(p.Crew); {
	case b.Patience == 0:
		return who
	case lead == "":
		return who + " " + p.t("ring.again", "length", p.l.Length(b.Patience))
	default:
		return who + " " + p.t("ring.again.lead", "length", p.l.Length(b.Patience), "lead", lead)
	}
}
