package procedure

import (
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Bounds of a plan document.
const (
	planItemsMax = 12
	spansMax     = 40
	amountMax    = 10_000
)

// OpenPlan reads all of a document that Open has read: nil when it is no plan, or not one that can be used.
func OpenPlan(text []byte) *Plan {
	doc, faults := Parse(text)
	if len(faults) > 0 {
		return nil
	}
	return doc.Plan
}

// planned reads a plan document.
func (n *node) planned() *Plan {
	n.object("$schema", "format", "remark", "name", "version", "currency", "slot", "tick", "block", "open", "rushes", "stations",
		"pans", "tubs", "items", "keep", "goods")
	p := new(Plan)
	p.Name, p.Version = n.head()
	p.Currency = n.need("currency").currency()
	p.Slot, p.Tick, p.Block = n.need("slot").number(5, 60), n.need("tick").number(1, 30), n.need("block").number(5, 60)
	for _, h := range n.need("open").list(1, spansMax) {
		h.object("days", "from", "to")
		p.Open = append(p.Open, h.hours())
	}
	for _, r := range n.get("rushes").list(0, spansMax) {
		r.object("days", "at", "title")
		p.Rushes = append(p.Rushes, Rush{r.get("days").weekdays(), r.need("at").clock(), r.need("title").words(titleMax)})
	}
	for _, s := range n.need("stations").list(1, planItemsMax) {
		s.object("name", "title", "hours")
		p.Stations = append(p.Stations, s.station())
	}
	p.Pans, p.Tubs = n.need("pans").number(0, amountMax), n.need("tubs").number(0, amountMax)
	for _, i := range n.need("items").list(1, planItemsMax) {
		p.Items = append(p.Items, i.planItem())
	}
	for _, k := range n.get("keep").list(0, 2*planItemsMax) {
		k.object("item", "stage", "by", "units", "short")
		p.Keeps = append(p.Keeps, PlanKeep{k.need("item").id(), k.need("stage").oneOf("marinated", "coated") == 1,
			k.need("by").clock(), k.need("units").number(1, amountMax), k.need("short").money()})
	}
	for _, g := range n.get("goods").list(0, spansMax) {
		p.Goods = append(p.Goods, g.good())
	}
	n.checkPlan(p)
	return p
}

func (n *node) number(least, most int64) int { return int(n.whole(least, most)) }

func (n *node) currency() string {
	if !n.is(jsontext.String, `a currency such as "EUR"`, `una moneda como "EUR"`) {
		return ""
	}
	s := n.v.Text
	ok := len(s) == 3
	for _, b := range []byte(s) {
		ok = ok && b >= 'A' && b <= 'Z'
	}
	if !ok {
		n.fault(say("{0} is no currency: three capital letters, as ISO 4217 has them.",
			"{0} no es una moneda: tres letras mayúsculas, como en ISO 4217.", clip(s)))
	}
	return s
}

// money returns an amount of money, written as digits with at most six decimals.
func (n *node) money() Micros {
	if !n.is(jsontext.String, `an amount of money such as "2.40"`, `una cantidad de dinero como "2.40"`) {
		return 0
	}
	whole, part, point := strings.Cut(n.v.Text, ".")
	digits := whole + part
	ok := whole != "" && len(whole) <= 6 && len(part) <= 6 && point == (part != "")
	for _, b := range []byte(digits) {
		ok = ok && b >= '0' && b <= '9'
	}
	if !ok {
		n.fault(say("{0} is no amount of money: digits, and a point before at most six decimals, up to 999999.",
			"{0} no es una cantidad de dinero: cifras, y un punto antes de seis decimales como máximo, hasta 999999.", clip(n.v.Text)))
		return 0
	}
	v, _ := strconv.ParseInt(digits+"000000"[:6-len(part)], 10, 64)
	return Micros(v)
}

func (n *node) weekdays() []uint8 {
	var days []uint8
	for _, d := range n.list(1, 7) {
		day := uint8(d.whole(1, 7))
		if day > 0 && On(days, day) && len(days) > 0 {
			d.fault(say("The day {0} stands twice.", "El día {0} está dos veces.", strconv.Itoa(int(day))))
		}
		days = append(days, day)
	}
	return days
}

// hours reads a span of wall time. One that ends before it begins goes on after midnight.
func (n *node) hours() Hours {
	h := Hours{n.get("days").weekdays(), n.need("from").clock(), n.need("to").clock()}
	if to := n.get("to"); h.To == h.From && to.there() && n.get("from").there() {
		to.fault(say("It ends when it begins.", "Acaba cuando empieza."))
	}
	if h.To <= h.From {
		h.To += stamp.Day
	}
	return h
}

func (n *node) station() Station {
	s := Station{Name: n.need("name").id(), Title: n.need("title").words(titleMax)}
	for _, h := range n.need("hours").list(0, spansMax) {
		h.object("days", "from", "to")
		s.Hours = append(s.Hours, h.hours())
	}
	return s
}

func (n *node) planItem() PlanItem {
	if !n.object("procedure", "days", "unit", "margin", "waste", "load", "par", "usual", "coat", "marinate") {
		return PlanItem{}
	}
	i := PlanItem{Procedure: n.need("procedure").id(), Days: n.get("days").weekdays(), Unit: n.need("unit").number(1, 200),
		Margin: n.need("margin").money(), Waste: n.need("waste").money(), Load: n.need("load").money(), Par: n.get("par").number(0, amountMax)}
	for _, u := range n.get("usual").list(0, spansMax) {
		u.object("days", "from", "to", "pieces")
		i.Usual = append(i.Usual, Usual{u.hours(), u.need("pieces").number(0, amountMax)})
	}
	i.Coat = n.get("coat").work("units", "discard")
	i.Marinate = n.get("marinate").work("tubs", "discard", "tub", "overBest")
	if m := n.get("marinate"); i.Marinate != nil && i.Coat == nil {
		m.fault(say(`What is marinated is coated, or put into pans, after it: say "coat" too.`,
			`Lo que se marina se empana, o se pone en fuentes, después: ponga también "coat".`))
	}
	return i
}

// work reads a spell of work; its modes say the most of what is done in so many blocks.
func (n *node) work(most string, costs ...string) *PlanWork {
	if !n.there() || !n.object(append([]string{"station", "modes", "session", "block"}, costs...)...) {
		return nil
	}
	w := &PlanWork{Station: n.need("station").id(), Session: n.need("session").money(), Block: n.need("block").money()}
	for _, c := range costs {
		*map[string]*Micros{"discard": &w.Discard, "tub": &w.Tub, "overBest": &w.OverBest}[c] = n.need(c).money()
	}
	for k, m := range n.need("modes").list(1, 12) {
		if !m.object("blocks", most) {
			continue
		}
		mode := PlanMode{m.need("blocks").number(1, 40), m.need(most).number(1, amountMax)}
		if k > 0 && len(w.Modes) == k && (mode.Blocks <= w.Modes[k-1].Blocks || mode.Most <= w.Modes[k-1].Most) {
			m.fault(say("Each mode must take more blocks than the one before it, and get more done.",
				"Cada modo debe llevar más bloques que el anterior, y rendir más."))
		}
		w.Modes = append(w.Modes, mode)
	}
	return w
}

func (n *node) good() Good {
	if !n.object("name", "title", "kind", "items", "per", "pack", "days") {
		return Good{}
	}
	g := Good{Name: n.need("name").id(), Title: n.need("title").words(titleMax), Days: n.get("days").weekdays()}
	g.Kind = GoodKind(n.need("kind").oneOf("raw", "concentrate", "coating", "oil"))
	for _, i := range n.need("items").list(1, planItemsMax) {
		g.Items = append(g.Items, i.id())
	}
	base := quantity.Gram
	if g.Kind == GoodConcentrate || g.Kind == GoodOil {
		base = quantity.Millilitre
	}
	g.Pack = n.need("pack").positive(base, quantity.HalfEven)
	per := n.get("per")
	switch {
	case g.Kind != GoodConcentrate:
		g.Per = n.need("per").positive(base, quantity.HalfEven)
	case per.there():
		per.fault(say("How much concentrate goes into a tub stands in the procedure: leave this out.",
			"Cuánto concentrado lleva una cubeta está en el procedimiento: quite esto."))
	}
	return g
}
