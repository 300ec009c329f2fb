package practice

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Grade says what an answer was worth.
type Grade uint8

// Grades of answers.
const (
	Right  Grade = iota + 1 // as the kitchen's own limits, or the rule that is named, have it
	Wrong                   // it costs product or time
	Harm                    // it can hurt a guest or somebody of the crew
	Silent                  // nobody answered in time
)

// Trouble is one that is open: what is seen, and what can be done about it.
type Trouble struct {
	Key     string
	At      stamp.Milli
	Until   stamp.Milli // then it counts as answered by nobody
	Batch   entry.ID    // zero when it is about none
	Place   string
	List    string
	Title   string
	Says    string
	Caution []string // stands before what can hurt; the manual, local rules and the first-aider come first
	Choices []string
}

// subject is what trouble is about.
type subject struct {
	batch, other       entry.ID // other: the one that goes with it
	stage, step        string
	place, list, probe string
	title              string // what the trouble is called, which the lead reads too
	number             int64  // what is found, in unit
	limit              procedure.Limit
	unit, typedIn      string
	source             procedure.Text
}

// opened is the open trouble.
type opened struct {
	kind  int
	about subject
	at    stamp.Milli
	order []int // its answers as shown
	args  []string
}

// record is trouble that was answered, and what came of it.
type record struct {
	opened
	answer        int // index into the kind's answers; -1: nobody answered
	grade         Grade
	done          stamp.Milli
	grams, pieces int64
	lost          stamp.Span
	waits         stamp.Span          // how much of it the batch waits
	found         []kitchen.Deviation // opened by what was done
	refusal       *kitchen.Refusal
}

// patience is how long trouble waits for an answer.
const patience = 10 * stamp.Minute

// begin reads every thermometer, and says when trouble comes: evenly, with some chance in it.
func (n *Night) begin() {
	for _, dev := range n.s.Equipment().Devices {
		if dev.Reading.Min != nil || dev.Reading.Max != nil {
			n.read(dev.Name)
		}
	}
	gap := n.gap()
	for i := range n.rung.Troubles - n.planned {
		n.put(due{at: n.start.Add(gap*stamp.Span(i) + gap/6 + stamp.Span(n.below(int64(gap/2)))), what: comes})
	}
}

// gap is how long there is from one trouble to the next.
func (n *Night) gap() stamp.Span { return n.rung.Hours / stamp.Span(max(n.rung.Troubles-n.planned, 1)) }

// comes lets trouble come, of three sorts by turns: over a step, without a moment of its own, and over a batch that goes on.
func (n *Night) comes() {
	if n.open != nil {
		n.put(due{at: n.now.Add(2 * stamp.Minute), what: comes})
		return
	}
	n.owed++
	if n.slot = (n.slot + 1) % 3; n.slot == 2 {
		n.press()
		return
	}
	n.armed = n.now
	n.put(due{at: max(min(n.now.Add(n.gap()*9/10), n.end.Add(-5*stamp.Minute)), n.now), what: presses})
}

// press opens the first kind of the deck that needs no moment and fits now.
func (n *Night) press() {
	if n.owed <= 0 || n.open != nil {
		return
	}
	for i, k := range n.deck {
		if need := troubles[k].need; !need.moment() {
			if about, ok := n.find(need, nil, nil); ok {
				n.deal(i, about)
				return
			}
		}
	}
}

// moment opens trouble that fits what the crew is about to do with a batch. At first only the next kinds of the sort whose turn it is
// may come: moments that come all the time would leave none to the others.
func (n *Night) moment(b *kitchen.Batch, st *procedure.Stage) bool {
	if n.owed <= 0 || n.open != nil || n.now < n.start || n.now >= n.end {
		return false
	}
	early, turns := n.now < n.armed.Add(n.gap()*3/5), 3
	if n.slot == 0 {
		turns = 1
	}
	for i, k := range n.deck {
		need := troubles[k].need
		if !need.moment() || early && (turns == 0 || (need >= goesOn) != (n.slot == 0)) {
			continue
		}
		if about, ok := n.find(need, b, st); ok {
			n.deal(i, about)
			return true
		}
		turns--
	}
	return false
}

// deal opens the kind at a place of the deck.
func (n *Night) deal(at int, about subject) {
	k := n.deck[at]
	n.deck = append(n.deck[:at], n.deck[at+1:]...)
	n.owed--
	n.opens(k, about)
}

// opens opens trouble.
func (n *Night) opens(k int, about subject) {
	o := &opened{kind: k, about: about, at: n.now, args: n.args(&about)}
	o.about.title = n.t(troubles[k].key, o)
	if c := n.command(troubles[k].first, &o.about); c != nil {
		_, _ = n.tap(cook, c)
	}
	for i := range troubles[k].answers {
		j := int(n.below(int64(i + 1)))
		o.order = append(o.order, i)
		o.order[i], o.order[j] = o.order[j], o.order[i]
	}
	if !about.batch.IsZero() {
		n.hold(about.batch, n.now.Add(patience), len(n.told))
	}
	n.open = o
	n.put(due{at: n.now.Add(patience), what: late, of: len(n.told)})
}

// hold keeps the crew's hands off a batch until an instant, and lets them go on then.
func (n *Night) hold(id entry.ID, until stamp.Milli, of int) {
	h := n.holding(id)
	if h == nil {
		n.held = append(n.held, hold{batch: id})
		h = &n.held[len(n.held)-1]
	}
	h.until, h.of = until, of
	n.put(due{at: until, what: workOn, batch: id})
}

// Trouble returns the open trouble, or nil.
func (n *Night) Trouble() *Trouble {
	o := n.open
	if o == nil {
		return nil
	}
	k := &troubles[o.kind]
	t := &Trouble{Key: k.key, At: o.at, Until: o.at.Add(patience), Batch: o.about.batch, Place: o.about.place, List: o.about.list,
		Title: n.t(k.key, o), Says: n.t(k.key+".say", o)}
	if k.caution != "" {
		t.Caution = append(t.Caution, n.t("caution."+k.caution, o), n.t("caution", o))
	}
	for _, i := range o.order {
		t.Choices = append(t.Choices, n.t(k.key+"."+string(rune('1'+i)), o))
	}
	return t
}

// t words one text of a trouble, "" when it has none.
func (n *Night) t(id string, o *opened) string {
	if s := n.l.T("pr."+id, o.args...); s != "pr."+id {
		return s
	}
	return ""
}

// Choose answers the open trouble by one of its choices.
func (n *Night) Choose(i int) {
	if n.open != nil && i >= 0 && i < len(n.open.order) {
		n.choose(n.open.order[i], nil)
	}
}

// choose does what an answer says. Tapped is the tap that was one, which stands for the answer's first deed.
func (n *Night) choose(i int, tapped *kitchen.Command) {
	a := &troubles[n.open.kind].answers[i]
	r := record{opened: *n.open, answer: i, grade: a.grade, done: n.now}
	if then := n.t(troubles[r.kind].key+"."+string(rune('1'+i))+".then", n.open); then != "" {
		r.about.title = then // what the lead reads is what came of it
	}
	n.told = append(n.told, r)
	n.open = nil
	n.act(a.acts, len(n.told)-1, tapped)
	n.letGo(len(n.told) - 1)
}

// unanswered is what comes of trouble that nobody answered.
func (n *Night) unanswered() {
	n.told = append(n.told, record{opened: *n.open, answer: -1, grade: Silent, done: n.now, lost: patience})
	n.open = nil
	n.letGo(len(n.told) - 1)
}

// letGo gives the batch back to the crew, after the time that the answer took. What the crew throws away of it after a right one is
// not the answer's cost.
func (n *Night) letGo(of int) {
	r := &n.told[of]
	if r.grade == Right {
		of = -1
	}
	if id := r.about.batch; !id.IsZero() {
		n.hold(id, n.now.Add(r.waits), of)
	}
}

// answers returns which answer to the open trouble a tap is, or -1.
func (n *Night) answers(c *kitchen.Command) int {
	o := n.open
	for i := range troubles[o.kind].answers {
		first, _, _ := strings.Cut(troubles[o.kind].answers[i].acts, " ")
		want := n.command(first, &o.about)
		if want == nil || want.Do != c.Do || want.Answer != c.Answer || want.Step != c.Step || want.Closes != c.Closes {
			continue
		}
		if want.Batch != c.Batch || want.Place != c.Place && c.Do != kitchen.DoMove && c.Do != kitchen.DoPortion || want.List != c.List {
			continue
		}
		if c.Unit == want.Unit && c.Unit != "" && meets(&o.about.limit, c.Value) != meets(&o.about.limit, want.Value) {
			continue
		}
		return i
	}
	return -1
}

func meets(l *procedure.Limit, v int64) bool {
	return (l.Min == nil || v >= *l.Min) && (l.Max == nil || v <= *l.Max)
}
