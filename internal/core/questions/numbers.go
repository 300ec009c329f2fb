package questions

import (
	"strconv"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// windows asks for the marks of a stage's window, and where a batch stands after some time.
func (m *maker) windows(p *procedure.Procedure, i int) {
	m.stage = &p.Stages[i]
	w := &m.stage.Window
	m.length("floor", "quiz.floor", w.Floor, p, func(w *procedure.Window) stamp.Span { return w.Floor })
	m.length("ceiling", "quiz.ceiling", w.Ceiling, p, func(w *procedure.Window) stamp.Span { return w.Ceiling })
	if w.BestFrom > 0 && w.BestUntil > w.BestFrom {
		m.best(p)
	}
	m.standing()
}

// marks says what a window is, for why an answer is right.
func (m *maker) marks() string {
	w := &m.stage.Window
	out := m.text(m.stage.Title) + ":"
	for _, mark := range [...]struct {
		id string
		at stamp.Span
	}{{"quiz.mark.floor", w.Floor}, {"quiz.mark.from", w.BestFrom}, {"quiz.mark.until", w.BestUntil}, {"quiz.mark.ceiling", w.Ceiling}} {
		if mark.at > 0 {
			out += " " + m.t(mark.id, "n", m.long(mark.at)) + ","
		}
	}
	return out[:len(out)-1] + "."
}

// numbers says lengths in no language.
func numbers(list ...stamp.Span) string {
	out := ""
	for _, s := range list {
		out += strconv.FormatInt(int64(s), 10) + "/"
	}
	return out
}

// length asks for one mark: mistaken for it are the window's other marks, the same mark of other stages, and what lies near.
func (m *maker) length(key, id string, right stamp.Span, p *procedure.Procedure, of func(*procedure.Window) stamp.Span) {
	if right <= 0 {
		return
	}
	w := &m.stage.Window
	wrong := []stamp.Span{w.Floor, w.BestFrom, w.BestUntil, w.Ceiling}
	wrong = append(wrong, nearLengths(right)...)
	for i := range p.Stages {
		wrong = append(wrong, of(&p.Stages[i].Window))
	}
	a := ask{key: key, text: m.about(id), right: m.long(right), value: strconv.FormatInt(int64(right), 10), why: m.marks()}
	for _, s := range wrong {
		if s > 0 {
			a.wrong = append(a.wrong, m.long(s))
		}
	}
	m.add(a)
}

// step is by how much lengths of that size are told apart.
func step(s stamp.Span) stamp.Span {
	for _, size := range [...]struct{ from, step stamp.Span }{{6 * stamp.Hour, stamp.Hour}, {stamp.Hour, 15 * stamp.Minute},
		{10 * stamp.Minute, 5 * stamp.Minute}, {2 * stamp.Minute, stamp.Minute}} {
		if s >= size.from {
			return size.step
		}
	}
	return 10 * stamp.Second
}

// long prints a length with nothing dropped: two lengths that differ must not read alike.
func (m *maker) long(s stamp.Span) string { return m.l.Exact(int64(s), string(quantity.Milli)) }

func nearLengths(s stamp.Span) []stamp.Span {
	by := step(s)
	return []stamp.Span{s / 2, s * 2, s + 2*by, s - 2*by, s + by, s - by}
}

func (m *maker) best(p *procedure.Procedure) {
	w := m.stage.Window
	shown := func(from, until stamp.Span) string {
		if from <= 0 || until <= from {
			return ""
		}
		return m.t("quiz.range", "from", m.long(from), "until", m.long(until))
	}
	by := step(w.BestFrom)
	a := ask{key: "best", text: m.about("quiz.best"), right: shown(w.BestFrom, w.BestUntil), why: m.marks(),
		value: numbers(w.BestFrom, w.BestUntil)}
	a.wrong = append(a.wrong, shown(w.Floor, w.Ceiling), shown(w.Floor, w.BestFrom), shown(w.BestUntil, w.Ceiling),
		shown(w.BestFrom/2, w.BestUntil/2), shown(w.BestFrom+2*by, w.BestUntil+2*by), shown(w.BestFrom-by, w.BestFrom))
	for i := range p.Stages {
		a.wrong = append(a.wrong, shown(p.Stages[i].Window.BestFrom, p.Stages[i].Window.BestUntil))
	}
	m.add(a)
}

// stateIDs says the states of a window.
var stateIDs = [...]string{window.TooSoon: "state.soon", window.Ready: "state.ready", window.Best: "state.best",
	window.LastCall: "state.last", window.Past: "state.past"}

// standing asks where a batch stands after a time that falls into one of its window's states, by turns.
func (m *maker) standing() {
	w := &m.stage.Window
	ends := []stamp.Span{0, w.Floor, w.BestFrom, window.LastCallAt(w), w.Ceiling, w.Ceiling + w.Ceiling/2}
	by := stamp.Minute
	if w.Ceiling < 20*stamp.Minute {
		by = 5 * stamp.Second
	}
	if w.Ceiling < by*8 {
		return
	}
	at := int(wire.Sum(m.of+m.stage.Name)+m.turn) % (len(ends) - 1)
	for ends[at+1] <= ends[at]+2*by { // a state that this window does not have
		at = (at + 1) % (len(ends) - 1)
	}
	after := (ends[at] + (ends[at+1]-ends[at])/2) / by * by
	state := window.At(w, after)
	a := ask{key: "standing", text: m.about("quiz.standing", "n", m.long(after)), right: m.t(stateIDs[state]), why: m.marks(),
		value: numbers(w.Floor, w.BestFrom, window.LastCallAt(w), w.Ceiling)}
	for s := window.TooSoon; s <= window.Past; s++ {
		a.wrong = append(a.wrong, m.t(stateIDs[s]))
	}
	m.add(a)
}

// limit asks for what a number may be: mistaken for it are limits nearby, the other way round, and of other numbers of its kind.
func (m *maker) limit(key, name, text string, limit procedure.Limit, base quantity.Unit, unit string, more []procedure.Limit) {
	if limit.Min == nil && limit.Max == nil {
		return
	}
	by := between(base, unit, limit)
	if by <= 0 {
		return
	}
	list := []procedure.Limit{moved(limit, 2*by), moved(limit, -2*by), moved(limit, by), moved(limit, -by)}
	if limit.Min == nil || limit.Max == nil {
		list = append(list, procedure.Limit{Min: limit.Max, Max: limit.Min})
	}
	a := ask{key: key, step: name, text: text, right: m.l.Limit(limit, unit), value: printed(limit),
		why: words.Upper(m.l.Limit(limit, unit)) + ". " + m.text(limit.Source)}
	for _, other := range append(list, more...) {
		if other.Min != nil && *other.Min < 0 && base != quantity.MilliC || other.Max != nil && *other.Max <= 0 && base != quantity.MilliC {
			continue
		}
		a.wrong = append(a.wrong, m.l.Limit(other, unit))
	}
	m.add(a)
}

// between is by how much limits of that unit are told apart: 5 degrees of Celsius, 10 of Fahrenheit, one piece, a tenth.
func between(base quantity.Unit, unit string, limit procedure.Limit) int64 {
	if base == quantity.MilliC {
		if unit != string(base) {
			return 5556 // ten degrees of Fahrenheit
		}
		return 5000
	}
	least := int64(1 << 62)
	for _, end := range [...]*int64{limit.Min, limit.Max} {
		if end != nil && *end > 0 {
			least = min(least, *end)
		}
	}
	if base == quantity.Piece {
		return 1
	}
	if least == 1<<62 {
		return 0
	}
	return max(least/10, 1)
}

func moved(limit procedure.Limit, by int64) procedure.Limit {
	out := procedure.Limit{}
	if limit.Min != nil {
		v := *limit.Min + by
		out.Min = &v
	}
	if limit.Max != nil {
		v := *limit.Max + by
		out.Max = &v
	}
	return out
}

func printed(limit procedure.Limit) string {
	out := ""
	for _, end := range [...]*int64{limit.Min, limit.Max} {
		out += "/"
		if end != nil {
			out += strconv.FormatInt(*end, 10)
		}
	}
	return out
}

// amount asks for one amount; mistaken for it are half, double and what lies near.
func (m *maker) amount(key, text string, right int64, unit, why string, more ...int64) {
	if right <= 0 {
		return
	}
	a := ask{key: key, text: text, right: m.l.Amount(right, unit), value: strconv.FormatInt(right, 10), why: why}
	list := append(more, right*2, right/2, right+right/4, right-right/4, right+right/10, right-right/10)
	if unit == string(quantity.Piece) {
		list = append(more, right+2, right-2, right*2, right/2, right+1, right-1)
	}
	for _, v := range list {
		if v > 0 {
			a.wrong = append(a.wrong, m.l.Amount(v, unit))
		}
	}
	m.add(a)
}

// mix asks what goes into a tub.
func (m *maker) mix(p *procedure.Procedure) {
	rule := p.Mix
	if rule == nil {
		return
	}
	m.stage = nil
	grams := rule.TubMost / 2000 * 1000
	water := rule.Water(grams)
	concentrate := rule.Concentrate(water)
	item := words.Upper(m.text(p.Item))
	why := m.t("quiz.mix.why", "grams", m.l.Amount(grams, "g"), "water", m.l.Amount(water, "mL"), "concentrate", m.l.Amount(concentrate, "mL"))
	m.amount("tub", m.t("quiz.tub", "item", item), rule.TubMost, "g", m.t("quiz.tub.why", "item", item, "grams", m.l.Amount(rule.TubMost, "g")))
	m.amount("water", m.t("quiz.water", "item", item, "grams", m.l.Amount(grams, "g")), water, "mL", why, concentrate)
	m.amount("concentrate", m.t("quiz.concentrate", "water", m.l.Amount(water, "mL"), "item", item), concentrate, "mL", why)
}

// device asks what a piece of equipment takes and what it must read.
func (m *maker) device(e *procedure.Equipment, d *procedure.Device) {
	title := m.text(d.Title)
	m.amount(d.Name+"/pieces", m.t("quiz.holds", "name", title), d.MostPiece, string(quantity.Piece), title+": "+m.l.Amount(d.MostPiece, string(quantity.Piece))+".")
	base := quantity.MilliC
	var more []procedure.Limit
	for i := range e.Devices {
		more = append(more, e.Devices[i].Reading)
	}
	m.limit(d.Name+"/reading", "", m.t("quiz.reads", "name", title, "what", m.text(d.What)), d.Reading, base, words.Shown(string(base), d.TypedIn), more)
	if d.Between > 0 {
		a := ask{key: d.Name + "/between", text: m.t("quiz.between", "name", title), right: m.long(d.Between),
			value: strconv.FormatInt(int64(d.Between), 10), why: title + ": " + m.long(d.Between) + "."}
		for _, s := range nearLengths(d.Between) {
			if s > 0 {
				a.wrong = append(a.wrong, m.long(s))
			}
		}
		m.add(a)
	}
}
