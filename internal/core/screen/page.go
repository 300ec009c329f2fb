package screen

import (
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// page is a screen while it is put together.
type page struct {
	*Context
	l     words.Lang
	path  path
	bells []kitchen.Bell

	kind, title string
	place       string // line, hold, plan or more: the bar at the bottom, and which is the current one
	backTo      string
	backLabel   string
	wall        bool
	facts       []line
	parts       []part
	dock        []button
	led         *ledBand
}

func newPage(ctx *Context) *page {
	lang := ctx.Lang
	if m := ctx.State.Member(ctx.Crew); m != nil {
		lang = m.Lang
	}
	bells := ctx.Bells
	if bells == nil {
		bells = BellsAt(ctx)
	}
	return &page{Context: ctx, l: words.Of(lang), path: parsePath(ctx.Path), bells: bells}
}

// BellsAt returns what rings and will ring; nothing on a device that no longer belongs to the kitchen. While a demonstration runs faster than life, what was answered once stays
// answered: a patience of a minute is a second then, and the screen would be covered all the time.
func BellsAt(ctx *Context) []kitchen.Bell {
	if ctx.Saved.Revoked {
		return nil
	}
	bells := heardBy(ctx, kitchen.Bells(ctx.State, ctx.Now, bookAhead))
	if ctx.Pace > 1 {
		bells = slices.DeleteFunc(bells, func(b kitchen.Bell) bool { return b.N > 0 })
	}
	return bells
}

// rings tells whether a bell rings now for the batch.
func (p *page) rings(id entry.ID) bool {
	for i := range p.bells {
		if p.bells[i].Ringing && slices.Contains(p.bells[i].Batches, id) {
			return true
		}
	}
	return false
}

func (p *page) t(id string, pairs ...string) string          { return p.l.T(id, pairs...) }
func (p *page) n(id string, n int64, pairs ...string) string { return p.l.N(id, n, pairs...) }
func (p *page) text(t procedure.Text) string                 { return p.l.Text(t) }
func (p *page) clock(at stamp.Milli) string                  { return p.l.At(p.State, at, p.Now) }
func (p *page) name(b *kitchen.Batch) string                 { return p.l.Batch(p.State, b) }
func (p *page) add(parts ...part)                            { p.parts = append(p.parts, parts...) }

// open sets what every screen has.
func (p *page) open(kind, title, place string) { p.kind, p.title, p.place = kind, title, place }

func (p *page) back(to, label string) { p.backTo, p.backLabel = to, label }

// slot is what takes the place of {name} in a text.
type slot struct {
	name string
	runs line
}

func bold(s string) line             { return line{{text: s, bold: true}} }
func count(c countdown) line         { return line{{count: &c}} }
func boldCount(at stamp.Milli) line  { return line{{count: &countdown{at: at}, bold: true}} }
func in(name string, runs line) slot { return slot{name, runs} }

// line returns the text called id as a line, its places taken by the slots.
func (p *page) line(id string, slots ...slot) line { return weave(p.t(id), slots) }

func weave(s string, slots []slot) line {
	var out line
	for s != "" {
		from, to := strings.IndexByte(s, '{'), strings.IndexByte(s, '}')
		if from < 0 || to < from {
			break
		}
		if from > 0 {
			out = append(out, run{text: s[:from]})
		}
		for _, sl := range slots {
			if sl.name == s[from+1:to] {
				out = append(out, sl.runs...)
			}
		}
		s = s[to+1:]
	}
	if s != "" {
		out = append(out, run{text: s})
	}
	return out
}

func (p *page) cautionOf(key string, c *procedure.Caution) *caution {
	if c == nil {
		return nil
	}
	out := &caution{key: key, title: p.text(c.Title), aid: p.aidFor(c)}
	for _, t := range c.Lines {
		out.lines = append(out.lines, p.text(t))
	}
	return out
}

// render writes the screen.
func (p *page) render() []byte {
	var w jsontext.Writer
	w.Object("")
	w.Str("view", p.View)
	w.Str("path", p.Path)
	w.Str("kind", p.kind)
	w.Str("lang", string(p.l))
	w.Str("title", p.title)
	w.OptStr("place", p.place)
	if p.backTo != "" {
		w.Object("back")
		w.Str("to", p.backTo)
		w.Str("label", p.backLabel)
		w.EndObject()
	}
	p.renderWho(&w)
	w.OptBool("wall", p.wall)
	if p.led != nil {
		w.Object("led")
		w.Str("text", p.led.text)
		w.Str("who", p.led.who)
		w.EndObject()
	}
	if p.Practice != nil {
		p.nightBar(&w)
	} else {
		p.renderSaved(&w)
		p.renderBell(&w)
	}
	w.Object("now")
	w.Int("kitchen", int64(p.Now))
	w.Int("mono", p.Mono)
	w.Int("pace", p.pace())
	w.EndObject()
	if p.Planned != nil || p.path.at(0) == "plan" {
		p.planWish(&w)
	}
	bit(&w, "ownTime", !p.Saved.Entries)
	w.Int("offset", int64(p.State.OffsetAt(p.Now).Minutes))
	if len(p.facts) > 0 {
		w.List("facts")
		for _, f := range p.facts {
			f.write(&w, "")
		}
		w.EndList()
	}
	w.List("parts")
	for _, part := range p.parts {
		part.write(&w)
	}
	w.EndList()
	writeButtons(&w, "dock", p.dock)
	p.renderUndo(&w)
	p.renderTakeover(&w)
	p.renderRefusal(&w)
	w.EndObject()
	return w.Out
}

// pace is how fast kitchen time runs: real time where nothing is said of it, and not at all where practice stands still.
func (p *page) pace() int64 {
	if p.Practice != nil {
		return p.Pace
	}
	return max(p.Pace, 1)
}

func (p *page) renderWho(w *jsontext.Writer) {
	m := p.State.Member(p.Crew)
	if m == nil {
		return
	}
	w.Object("who")
	w.Str("crew", m.Crew)
	w.Str("name", m.Name)
	w.OptBool("lead", m.Role == entry.Lead)
	w.EndObject()
}

func (p *page) renderSaved(w *jsontext.Writer) {
	w.Object("saved")
	s := p.Saved
	switch {
	case !s.Joined && !s.Entries:
		w.Str("in", "new")
		w.Str("text", p.t("saved.new"))
	case !s.Entries && s.Waiting == 0 && !s.InTouch:
		w.Str("in", "phone")
		w.Str("text", p.t("saved.bare"))
	case s.Waiting == 0 && s.InTouch:
		w.Str("in", "kitchen")
		text := p.t("saved.kitchen")
		if near := p.inTouch(); p.wall && near != "" {
			text += ", " + near
		}
		w.Str("text", text)
	default:
		w.Str("in", "phone")
		w.Str("text", p.savedOut())
	}
	w.Int("waiting", int64(s.Waiting))
	w.OptInt("since", int64(s.OutSince))
	w.EndObject()
}

func (p *page) savedOut() string {
	text := p.t("saved.nothing")
	if p.Saved.Waiting > 0 {
		text = p.n("saved.phone", int64(p.Saved.Waiting))
	}
	switch {
	case p.Saved.InTouch:
		return text
	case p.Saved.OutSince > 0:
		text = p.t("saved.out", "text", text, "time", p.clock(p.Saved.OutSince))
		if off := p.Saved.Off; off > stamp.Second { // a clock left alone drifts: bells of two phones part
			text = p.t("saved.off", "text", text, "by", p.l.Length((off+stamp.Second-1)/stamp.Second*stamp.Second))
		}
		return text
	}
	return p.t("saved.notyet", "text", text)
}

// renderBell says whether this device can ring now, and how to make it so.
func (p *page) renderBell(w *jsontext.Writer) {
	if !p.Ability.Known {
		return
	}
	device := "phone"
	if p.wall {
		device = "wall"
	}
	w.Object("bell")
	w.Bool("can", p.Ability.Sound)
	if p.Ability.Sound {
		can := "bell.can."
		if !p.Ability.Awake { // no phone is claimed to ring in the dark
			can = "bell.lit."
		}
		w.Str("text", p.t(can+device))
		w.EndObject()
		return
	}
	w.Str("text", p.t("bell.cannot."+device))
	if p.kind != "line" && p.kind != "ring" { // elsewhere the work comes first
		w.EndObject()
		return
	}
	w.Str("title", p.t("bell.cannot."+device))
	strs(w, "lines", p.bellLines())
	b := button{label: p.t("bell.let"), small: p.t("bell.let.small"), style: act, page: "sound"}
	b.write(w, "action")
	w.EndObject()
}

func (p *page) bellLines() []string {
	lines := []string{p.t("bell.why.sound")}
	if p.Ability.Stuck {
		lines[0] = p.t("bell.why.stuck")
	}
	if !p.Ability.Awake {
		lines = append(lines, p.t("bell.why.awake"))
	}
	if !p.Ability.Secure {
		lines = append(lines, p.t("bell.why.insecure"))
	}
	if p.NearNow {
		others := int64(0)
		for i := range p.Near {
			if n := &p.Near[i]; n.Device != p.Device && n.rings() {
				others++
			}
		}
		lines = append(lines, p.n("bell.others", others))
	}
	return lines
}

func (p *page) renderRefusal(w *jsontext.Writer) {
	if p.Refused == nil || p.Refused.Why == nil {
		return
	}
	r := p.Refused.Why
	off := p.l.Refusal(p.State, r, p.Now)
	w.Object("refusal")
	w.Str("title", off.Title)
	strs(w, "lines", off.Lines)
	writeButtons(w, "actions", p.waysOut(p.Refused.Command, r))
	w.EndObject()
}

// waysOut offers what may be done about a refusal.
func (p *page) waysOut(c *kitchen.Command, r *kitchen.Refusal) []button {
	var out []button
	switch r.Code {
	case kitchen.RefNoCrew:
		out = append(out, button{label: p.t("who.tap"), style: act, to: "/who"})
	case kitchen.RefNotSigned, kitchen.RefTooYoung:
		out = append(out, p.notSigned(c, r)...)
	case kitchen.RefNotConfirmed:
		if r.Urgent && c != nil {
			now := *c
			now.Urgent = true
			out = append(out, button{label: p.t("crew.now"), small: p.t("crew.now.small"), style: act, do: &now})
		}
	case kitchen.RefNoPin:
		out = append(out, button{label: p.t("crew.pin.set"), style: act, to: "/crew/" + escape(r.Name)})
	case kitchen.RefNoReading, kitchen.RefReadingOff, kitchen.RefReadingOld:
		out = append(out, button{label: p.t("place.readnow"), small: p.l.Place(p.State, r.Place), style: act,
			to: "/place/" + escape(r.Place)})
	case kitchen.RefStepMissing, kitchen.RefStepFirst, kitchen.RefMovedOn, kitchen.RefNeedsPortion, kitchen.RefUnderPressure:
		if b := p.State.Batch(r.Batch); b != nil && toBatch(b) != p.bare() {
			out = append(out, button{label: p.t("open", "name", p.name(b)), style: act, to: toBatch(b)})
		}
	case kitchen.RefPastLimit:
		if b := p.State.Batch(r.Batch); b != nil && b.Status == kitchen.Open {
			out = append(out, p.discard(b))
		}
	case kitchen.RefDoubt:
		out = append(out, button{label: p.t("deviation.open"), style: act, to: "/deviation/" + escape(r.Name)})
	case kitchen.RefUndoLate, kitchen.RefNotYours:
		if b := p.State.Batch(r.Batch); b != nil {
			out = append(out, button{label: p.t("history.open"), style: quiet, to: toBatch(b) + "/history"})
		}
	}
	if r.Override && c != nil {
		out = append(out, p.overrides(c)...)
	}
	return out
}

// overrides offers every lead's reasoned override of what was refused.
func (p *page) overrides(c *kitchen.Command) []button {
	var out []button
	for i := range p.State.Crew {
		m := &p.State.Crew[i]
		if m.Gone || m.Role != entry.Lead {
			continue
		}
		again := *c
		again.OverrideBy = m.Crew
		out = append(out, button{label: p.t("override", "name", m.Name), small: p.t("override.small"), style: quiet, do: &again,
			ask: &ask{kind: "text", name: "overrideReason", title: p.t("override.why"), keep: p.t("override.keep")}})
	}
	return out
}

func toBatch(b *kitchen.Batch) string { return "/batch/" + b.ID.String() }
