package screen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

// holdKind is the kind of equipment that cooked product waits in.
const holdKind = "hold cabinet"

// holdScreen is what is cooked and for sale, the oldest first.
func (p *page) holdScreen() {
	p.open("hold", p.t("hold"), "hold")
	p.boatFact()
	p.cabinetFacts()
	list := p.trays()
	if len(list) == 0 {
		p.add(&empty{title: p.t("hold.none"), line: p.line("hold.none.line"), actions: []button{
			{label: p.t("line.open"), style: quiet, to: "/"}}})
	}
	first := map[string]bool{}
	for i := range list {
		s := &list[i]
		sellFirst := s.state != window.Past && !s.b.Kept && !first[s.b.Procedure]
		first[s.b.Procedure] = first[s.b.Procedure] || sellFirst
		p.add(p.tray(s, sellFirst))
	}
	p.noneLeft(list)
	p.soldToday()
}

func (p *page) cabinetFacts() {
	devices := p.State.Equipment().Devices
	for i := range devices {
		if d := &devices[i]; d.Kind == holdKind && !p.State.Place(d.Name).Out {
			f := append(line{{text: p.text(d.Title) + " "}}, p.lastReading(d)...)
			p.facts = append(p.facts, f)
		}
	}
}

// trays returns the open batches of hold stages, the oldest first.
func (p *page) trays() []standing {
	var list []standing
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		if b.Status != kitchen.Open {
			continue
		}
		if s := p.standing(b); s.stage.Kind == procedure.Hold && s.b.Frozen == 0 && p.cooling(b) == nil {
			list = append(list, s)
		}
	}
	order.Stable(list, func(a, b standing) int { return cmp.Compare(a.b.Since, b.b.Since) })
	return list
}

func (p *page) tray(s *standing, sellFirst bool) *strip {
	st := p.batchStrip(s, false)
	if s.state == window.Past {
		return st
	}
	st.left, st.deed, st.row, st.cue = nil, "", true, ""
	st.amountN, st.amountUnit = p.num(int(s.b.Pieces)), p.unitFor(s.proc, s.b.Pieces)
	what := p.l.Item(p.State, s.b)
	if sellFirst {
		what = p.t("hold.first", "item", what)
	}
	st.sub = plain(what)
	if end := p.left(s); end != nil && s.win.Any() {
		if s.state == window.Best { // the state word beside it says of what
			end = p.countTo(end.at, "left.left")
		}
		st.sub = line{{text: what + ", "}, {count: end}}
	}
	st.actions = p.counters(s.b)
	return st
}

// counters count what leaves a tray: the two usual taps, and what was wasted.
func (p *page) counters(b *kitchen.Batch) []button {
	sold := func(n int64) button {
		return button{label: p.n("sold", n), style: act, do: &kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: n}}
	}
	var out []button
	for _, n := range []int64{1, 4} {
		if b.Pieces >= n {
			out = append(out, sold(n))
		}
	}
	if b.Pieces == 0 {
		return out
	}
	return append(out, button{label: p.t("wasted"), style: quiet, do: &kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Into: "wasted", TypedIn: "1"},
		ask: &ask{kind: "number", name: "typed", title: p.t("wasted.title", "name", p.name(b)), unit: p.unitOf(b), whole: true,
			limit: p.t("portion.there", "there", p.l.Left(p.State, b)), keep: p.t("wasted.keep", "unit", p.unitOf(b))}})
}

func (p *page) unitOf(b *kitchen.Batch) string {
	return p.pieceUnit(p.State.Procedure(b.Procedure, b.Version))
}

// soldToday adds up the kitchen's day per item.
func (p *page) soldToday() {
	type sum struct {
		item                string
		fried, sold, wasted int64
	}
	var list []sum
	from := p.State.DayStart(p.State.WallDay(p.Now))
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		s := p.standing(b)
		if s.stage.Kind != procedure.Hold || b.MadeAt < from {
			continue
		}
		item := words.Upper(p.l.Item(p.State, b))
		at := slices.IndexFunc(list, func(x sum) bool { return x.item == item })
		if at < 0 {
			at, list = len(list), append(list, sum{item: item})
		}
		list[at].fried += b.InPieces
		list[at].sold += b.Sold
		list[at].wasted += b.Wasted
		if b.Status == kitchen.Discarded {
			list[at].wasted += b.InPieces - b.Sold - b.Wasted
		}
	}
	if len(list) == 0 {
		return
	}
	order.Stable(list, func(a, b sum) int { return cmp.Compare(a.item, b.item) })
	t := &pairs{title: p.t("hold.today")}
	for _, x := range list {
		t.rows = append(t.rows, pair{x.item, p.line("hold.sum", in("fried", plain(p.num(int(x.fried)))),
			in("sold", plain(p.num(int(x.sold)))), in("wasted", plain(p.num(int(x.wasted)))))})
	}
	p.add(t)
}

// wallMost is how many things a wall shows: what needs a hand first, large, and the next four.
const wallMost = 5

// wallScreen is read from three metres: what rings first, as nothing covers it, then what needs a hand.
func (p *page) wallScreen() {
	p.open("wall", p.t("line"), "")
	p.wall = true
	p.boatFact()
	items := p.items()
	p.wallAsks()
	before := len(p.parts)
	if len(items)+before == 0 {
		p.nothing(items)
	}
	order.Stable(items, func(a, b item) int { return cmp.Compare(p.ringing(a.key), p.ringing(b.key)) })
	for i := range items {
		if i+before == wallMost {
			break
		}
		below := i+before > 0
		st := items[i].build(below)
		st.to, st.actions, st.small = "", nil, false
		st.rings = p.ringing(items[i].key) < len(p.bells)
		if below {
			st.sub, st.cue = nil, ""
			if items[i].now {
				st.detail = plain(st.deed)
			}
			if st.deed == st.word { // it is said once
				st.detail = nil
			}
			st.deed = ""
		}
		p.add(st)
	}
}

// ringing returns which of the bells, most urgent first, rings now for what has the key on the line; their number if none does.
func (p *page) ringing(key string) int {
	for i := range p.bells {
		if b := &p.bells[i]; b.Ringing && p.isAbout(b, key) {
			return i
		}
	}
	return len(p.bells)
}

func (p *page) isAbout(b *kitchen.Bell, key string) bool {
	for _, id := range b.Batches {
		if key == id.String() {
			return true
		}
	}
	return key == "timer "+b.Timer.String() || key == "log "+b.Log.String() || b.List != "" && key == "list "+b.List+p.num(int(b.Day))
}

// wallAsks puts first on the wall who asks for a trainer, and where: whoever trains may be away from their phone.
func (p *page) wallAsks() {
	for i := range p.bells {
		b := &p.bells[i]
		a := p.State.Ask(b.Ask)
		if !b.Ringing || b.Ask.IsZero() || a == nil || len(p.parts) == 2 {
			continue
		}
		p.add(&strip{key: "ask " + a.ID.String(), name: p.l.Crew(p.State, a.By), state: "last", word: words.Upper(p.t("ask.state." + a.Wants())),
			deed: p.askWhere(a), left: p.countAgo(b.First), rings: true})
	}
}
