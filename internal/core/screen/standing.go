package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// standing is where an open batch stands: its stage, how far along its window, and what comes next.
type standing struct {
	b       *kitchen.Batch
	proc    *procedure.Procedure // nil when it is not known here
	stage   *procedure.Stage     // never nil
	next    *procedure.Stage     // nil after the last
	win     procedure.Window
	elapsed stamp.Span
	state   window.State
}

func (p *page) standing(b *kitchen.Batch) standing {
	s := standing{b: b, proc: p.State.Procedure(b.Procedure, b.Version), elapsed: p.Now.Since(b.Since)}
	if s.proc != nil {
		s.stage, _ = s.proc.Stage(b.Stage)
		s.next = s.proc.Next(b.Stage)
	}
	if s.stage == nil {
		s.stage = &procedure.Stage{Name: b.Stage, Title: procedure.Text{EN: b.Stage, ES: b.Stage}}
	}
	s.win = p.State.Window(b)
	s.state = window.At(&s.win, s.elapsed)
	return s
}

// keepsVessel tells whether the batch stays in its vessel when it goes on.
func (s *standing) keepsVessel() bool {
	return s.next != nil && (s.next.Vessel == "" || s.next.Vessel == s.stage.Vessel)
}

// mustGoOn tells whether the batch goes on even past its limit: what cooks in hot oil or stands under pressure cannot be
// left or thrown away where it is. The doubt about it comes after.
func (p *page) mustGoOn(s *standing) bool {
	d := p.State.Equipment().Device(s.b.Place)
	return s.stage.Pressure || s.stage.Kind == procedure.Wait && s.next != nil && d != nil && d.Single
}

// over tells whether the batch is past its limit and to be discarded where it stands.
func (p *page) over(s *standing) bool { return s.state == window.Past && !p.mustGoOn(s) }

// at returns the instant at which the stage has lasted for a length.
func (s *standing) at(length stamp.Span) stamp.Milli { return s.b.Since.Add(length) }

// stateNames are the states as the page knows them.
var stateNames = [...]string{"none", "soon", "ready", "best", "last", "past"}

func stateName(s window.State) string { return stateNames[s] }

// loss is the instant at which what is still good is lost next: the end of best, then the ceiling. 0: never.
func (s *standing) loss(now stamp.Milli) stamp.Milli {
	for _, length := range []stamp.Span{s.win.BestUntil, s.win.Ceiling} {
		if length > 0 && now <= s.at(length) {
			return s.at(length)
		}
	}
	if s.win.BestUntil > 0 {
		return s.at(s.win.BestUntil)
	}
	return 0
}

// hand is the instant of the next hand: when it becomes ready, best, is at its aim, or reaches its last call. An instant
// that has passed means now.
func (s *standing) hand() stamp.Milli {
	w := &s.win
	switch s.state {
	case window.TooSoon:
		return s.at(w.Floor)
	case window.Ready:
		return s.at(aimOr(w, w.BestFrom))
	case window.Best:
		if w.Aim > 0 {
			return s.at(w.Aim)
		}
		if w.BestUntil > 0 {
			return s.at(window.LastCallAt(w))
		}
		if w.Ceiling > 0 {
			return s.at(w.Ceiling)
		}
	case window.None:
		if s.stage.Kind == procedure.Hold || s.b.Frozen != 0 {
			return never
		}
	}
	return s.b.Since
}

// soonHand is how long before its last call, or its aim, what stands at its best needs a hand.
const soonHand = 5 * stamp.Minute

// needed is the instant from which a hand is needed now. Whoever does the work of a stage stands there already; what
// waits at its best is fetched a little before its hand, so that a short best is not over before anybody was told. What is
// for sale needs no hand until its last call.
func (s *standing) needed() stamp.Milli {
	switch {
	case s.b.Frozen != 0:
		return never
	case s.stage.Kind == procedure.Work:
		return s.b.Since
	case s.state == window.Best && s.stage.Kind == procedure.Wait:
		return s.hand().Add(-soonHand)
	case s.state >= window.Best:
		return s.hand()
	}
	return never
}

func aimOr(w *procedure.Window, length stamp.Span) stamp.Span {
	if w.Aim > 0 {
		return min(w.Aim, length)
	}
	return length
}

// never is later than anything.
const never stamp.Milli = 1 << 62

// marks lists the instants at which the state changes by itself.
func (s *standing) marks() []stamp.Milli {
	w := &s.win
	var out []stamp.Milli
	for _, length := range []stamp.Span{w.Floor, w.BestFrom, w.Aim, window.LastCallAt(w), w.BestUntil} {
		if length > 0 {
			out = append(out, s.at(length))
		}
	}
	if w.Ceiling > 0 {
		out = append(out, s.at(window.PastFrom(w)))
	}
	return out
}

// left is the one number of a strip, and what it counts.
func (p *page) left(s *standing) *countdown {
	w := &s.win
	over := p.t("left.over")
	if away := p.awayLeft(s); away != nil {
		return away
	}
	switch {
	case s.state == window.TooSoon:
		return p.countTo(s.at(w.Floor), "left.ready")
	case s.state == window.Ready:
		return p.countTo(s.at(w.BestFrom), "left.best")
	case s.state == window.Past:
		return &countdown{at: s.at(w.Ceiling), overPost: over}
	case s.state == window.Best && w.BestUntil > 0:
		return p.countTo(s.at(w.BestUntil), "left.bestfor")
	case s.state == window.LastCall && s.elapsed < w.BestUntil:
		return p.countTo(s.at(w.BestUntil), "left.left")
	case w.Ceiling > 0:
		return p.countTo(s.at(w.Ceiling), "left.left")
	case s.state == window.None:
		return &countdown{at: s.b.Since, overPre: p.t("left.since")}
	}
	return &countdown{at: s.at(w.BestUntil), overPost: over}
}

// countTo is a countdown whose words are those of id: what stands before the length, "{}", what stands after it.
func (p *page) countTo(at stamp.Milli, id string) *countdown {
	c := &countdown{at: at, overPost: p.t("left.over")}
	c.pre, c.post = halves(p.t(id))
	return c
}

// sub is what stands beside the state word: the next limit, or what the batch does.
func (p *page) sub(s *standing) line {
	if away := p.awaySub(s); away != nil && !p.over(s) {
		return away
	}
	w := &s.win
	act := ""
	if s.next != nil {
		act = words.Lower(p.text(s.next.Act))
	}
	switch {
	case s.state == window.Past:
		return p.line("sub.limitwas", in("time", plain(p.clock(s.at(w.Ceiling)))))
	case s.state == window.LastCall && w.Ceiling > 0 && s.elapsed < w.BestUntil:
		return p.line("sub.limitin", in("left", count(countdown{at: s.at(w.Ceiling)})))
	case s.state == window.LastCall && w.Ceiling > 0:
		return p.line("sub.limitat", in("time", plain(p.clock(s.at(w.Ceiling)))))
	case s.state == window.LastCall:
		return p.line("sub.bestwas", in("time", plain(p.clock(s.at(w.BestUntil)))))
	case s.state == window.TooSoon:
		return p.line("sub.doing", in("doing", plain(p.doing(s))), in("time", plain(p.clock(s.at(w.Floor)))))
	case act != "" && s.state == window.Ready:
		return p.line("sub.now", in("act", plain(act)))
	case act != "" && s.state == window.Best && w.BestUntil > 0:
		return p.line("sub.until", in("act", plain(act)), in("time", plain(p.clock(s.at(w.BestUntil)))))
	case s.state == window.Best && w.BestUntil > 0:
		return p.line("sub.bestto", in("time", plain(p.clock(s.at(w.BestUntil)))))
	}
	return plain(p.doing(s))
}

// gotBy names who has answered the bell of a batch, so that on every device it shows that somebody is on the way.
func (p *page) gotBy(s *standing) line {
	crew, at := kitchen.GotBy(p.State, s.b, p.Now)
	if at == 0 || p.rings(s.b.ID) {
		return nil
	}
	return p.has(crew)
}

// has says that somebody is on the way, nothing when nobody is.
func (p *page) has(crew string) line {
	if p.State.Member(crew) == nil {
		return nil
	}
	return line{{text: ", "}, {text: p.t("got.by", "name", p.l.Crew(p.State, crew)), bold: true}}
}

func (p *page) doing(s *standing) string {
	if d := p.text(s.stage.Doing); d != "" {
		return d
	}
	return p.text(s.stage.Title)
}

// rail draws the stage's window, nil when there is none.
func (p *page) rail(s *standing, labels bool) *rail {
	if !s.win.Any() {
		return nil
	}
	r := p.railOf(&s.win, s.b.Since, labels)
	r.aria = p.t("rail.of", "name", p.text(s.stage.Title), "window", p.windowText(&s.win))
	return r
}

func (p *page) railOf(w *procedure.Window, began stamp.Milli, labels bool) *rail {
	return &rail{began: began, floor: w.Floor, bestFrom: w.BestFrom, lastCall: window.LastCallAt(w), bestUntil: w.BestUntil,
		ceiling: w.Ceiling, labels: labels, clocks: max(w.Ceiling, w.BestUntil, w.Floor) >= 3*stamp.Hour,
		floorWord: p.t("rail.floor"), bestFromWord: p.t("rail.best"), untilWord: p.t("rail.until"),
		limitWord: p.t("rail.limit")}
}

// windowText says a window in lengths: "at least 7 h, best 9 h to 13 h, at most 20 h".
func (p *page) windowText(w *procedure.Window) string {
	return p.marksText(w, func(s stamp.Span) string { return quantity.LengthExact(int64(s)) })
}

// windowClocks says a window that begins at an instant in clock times.
func (p *page) windowClocks(w *procedure.Window, began stamp.Milli) string {
	return p.marksText(w, func(s stamp.Span) string { return p.clock(began.Add(s)) })
}

func (p *page) marksText(w *procedure.Window, say func(stamp.Span) string) string {
	out := ""
	put := func(s string) {
		if out != "" {
			out += ", "
		}
		out += s
	}
	if w.Floor > 0 {
		put(p.t("rail.says.floor", "floor", say(w.Floor)))
	}
	switch {
	case w.BestUntil > 0 && w.BestFrom > 0:
		put(p.t("rail.says.best", "from", say(w.BestFrom), "until", say(w.BestUntil)))
	case w.BestUntil > 0:
		put(p.t("rail.says.until", "until", say(w.BestUntil)))
	case w.BestFrom > 0:
		put(p.t("rail.says.from", "from", say(w.BestFrom)))
	}
	if w.Ceiling > 0 {
		put(p.t("rail.says.limit", "limit", say(w.Ceiling)))
	}
	return out
}
