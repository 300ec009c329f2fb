package planner

import (
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
)

// Format is the name of the format that Read reads.
const Format = "brinebell-plan/1"

// Fault is why a text is no problem: where in it, and what is wrong.
type Fault struct {
	Path, What string
}

func (f *Fault) Error() string { return f.Path + ": " + f.What }

// reading reads a problem and keeps the first fault.
type reading struct {
	fault                   *Fault
	items, groups, stations map[string]int
}

// Read reads a problem from its JSON. What the format leaves to whoever plans is checked: grids, windows, amounts.
func Read(text []byte) (*Problem, error) {
	v, err := jsontext.Read(text)
	if err != nil {
		return nil, err
	}
	r := &reading{items: map[string]int{}, groups: map[string]int{}, stations: map[string]int{}}
	p := r.problem(&v)
	if r.fault == nil {
		r.grids(p)
	}
	if r.fault != nil {
		return nil, r.fault
	}
	return p, nil
}

func (r *reading) wrong(path, what string) {
	if r.fault == nil {
		r.fault = &Fault{path, what}
	}
}

// whole reads a whole number between two ends.
func (r *reading) whole(v *jsontext.Value, path, name string, least, most int) int {
	m := v.Get(name)
	n, ok := int64(0), false
	if m != nil {
		n, ok = m.Whole()
	}
	if !ok || n < int64(least) || n > int64(most) {
		r.wrong(path+"."+name, "must be a whole number from "+strconv.Itoa(least)+" to "+strconv.Itoa(most))
		return least
	}
	return int(n)
}

// decimals that a cost may have: those of a millionth.
const decimals = 6

// money reads a cost of at most six decimals exactly.
func (r *reading) money(v *jsontext.Value, path, name string) Money {
	m := v.Get(name)
	if m == nil || m.Kind != jsontext.Number {
		r.wrong(path+"."+name, "must be a cost")
		return 0
	}
	whole, part, _ := strings.Cut(m.Text, ".")
	if len(part) > decimals || strings.ContainsAny(m.Text, "eE-") || len(whole) > 7 {
		r.wrong(path+"."+name, "must be a cost from 0 to 9999999 with at most 6 decimals, written without an exponent")
		return 0
	}
	n, err := strconv.ParseInt(whole+part+strings.Repeat("0", decimals-len(part)), 10, 64)
	if err != nil {
		r.wrong(path+"."+name, "must be a cost")
	}
	return Money(n) * 60
}

func (r *reading) name(v *jsontext.Value, path, name string, of map[string]int) int {
	n, ok := of[v.Str(name)]
	if !ok {
		r.wrong(path+"."+name, "is not the id of any: "+strconv.Quote(v.Str(name)))
	}
	return n
}

const (
	minuteMost = 4 * 24 * 60
	amountMost = 100_000
)

func at(path string, n int) string { return path + "[" + strconv.Itoa(n) + "]" }

func (r *reading) problem(v *jsontext.Value) *Problem {
	p := &Problem{ID: v.Str("id")}
	if v.Str("format") != Format {
		r.wrong("format", "must be "+Format)
		return p
	}
	t := v.Get("time")
	p.Start = r.whole(t, "time", "start", -minuteMost, minuteMost)
	p.Open = r.whole(t, "time", "open", -minuteMost, minuteMost)
	p.Close = r.whole(t, "time", "close", -minuteMost, minuteMost)
	p.Slot, p.Tick, p.Block = r.whole(t, "time", "slot", 1, 1440), r.whole(t, "time", "tick", 1, 1440), r.whole(t, "time", "block", 1, 1440)
	groups, stations, items := v.List("groups"), v.List("stations"), v.List("items")
	for n := range groups {
		p.Groups = append(p.Groups, r.group(&groups[n], at("groups", n), n))
	}
	for n := range stations {
		p.Stations = append(p.Stations, r.stationAt(&stations[n], at("stations", n), n))
	}
	for n := range items {
		p.Items = append(p.Items, r.item(&items[n], at("items", n), n, p))
	}
	if len(items) == 0 || len(items) > 64 {
		r.wrong("items", "must be 1 to 64")
	}
	st := v.Get("storage")
	p.Pans, p.Tubs = r.whole(st, "storage", "pans", 0, amountMost), r.whole(st, "storage", "tubs", 0, amountMost)
	r.initial(v.Get("initial"), p)
	carry := v.List("carry")
	for n := range carry {
		c, path := &carry[n], at("carry", n)
		x := Carry{Item: r.name(c, path, "item", r.items), Coated: c.Str("stage") == "coated",
			At: r.whole(c, path, "at", -minuteMost, minuteMost), Units: r.whole(c, path, "units", 1, amountMost),
			ShortCost: r.money(c, path, "short_cost")}
		if !x.Coated && c.Str("stage") != "marinated" {
			r.wrong(path+".stage", "must be coated or marinated")
		}
		p.Carry = append(p.Carry, x)
	}
	return p
}

func (r *reading) group(v *jsontext.Value, path string, n int) Group {
	g := Group{Name: v.Str("id")}
	r.groups[g.Name] = n
	windows := v.List("windows")
	for k := range windows {
		w, path := &windows[k], at(path+".windows", k)
		g.Windows = append(g.Windows, Window{r.whole(w, path, "from", -minuteMost, minuteMost),
			r.whole(w, path, "to", -minuteMost, minuteMost), r.whole(w, path, "count", 0, 1000)})
	}
	return g
}

func (r *reading) stationAt(v *jsontext.Value, path string, n int) Station {
	s := Station{Name: v.Str("id")}
	r.stations[s.Name] = n
	for k, w := range v.List("windows") {
		if len(w.Items) != 2 {
			r.wrong(at(path+".windows", k), "must be two minutes")
			continue
		}
		from, ok := w.Items[0].Whole()
		to, too := w.Items[1].Whole()
		if !ok || !too || from < -minuteMost || to > minuteMost || to < from {
			r.wrong(at(path+".windows", k), "must be two minutes, the first before the second")
			continue
		}
		s.Windows = append(s.Windows, Window{From: int(from), To: int(to)})
	}
	return s
}

func (r *reading) item(v *jsontext.Value, path string, n int, p *Problem) Item {
	it := Item{Name: v.Str("id"), UnitPieces: r.whole(v, path, "unit_pieces", 1, 1000), Margin: r.money(v, path, "margin")}
	r.items[it.Name] = n
	for k, d := range v.List("demand") {
		x, ok := d.Whole()
		if !ok || x < 0 || x > 10_000 {
			r.wrong(at(path+".demand", k), "must be a whole number of pieces from 0 to 10000")
		}
		it.Demand = append(it.Demand, int(x))
	}
	if want := (p.Close - p.Open) / p.Slot; len(it.Demand) != want {
		r.wrong(path+".demand", "must have one number for each of the "+strconv.Itoa(want)+" slots")
	}
	c, at := v.Get("cook"), path+".cook"
	it.Cook = Cook{Group: r.name(c, at, "group", r.groups), MaxUnits: r.whole(c, at, "max_units", 1, 1000),
		Busy: r.whole(c, at, "busy_min", 1, 240), Out: r.whole(c, at, "out_min", 0, 240), Ready: r.whole(c, at, "ready_min", 0, 1440),
		Hold: r.whole(c, at, "hold_min", 0, 1440), LoadCost: r.money(c, at, "load_cost"), WasteCost: r.money(c, at, "waste_cost")}
	if c := v.Get("coat"); c != nil && c.Kind != jsontext.Null {
		it.Coat = r.coat(c, path+".coat")
	}
	if c := v.Get("marinate"); c != nil && c.Kind != jsontext.Null {
		it.Marinate = r.marinate(c, path+".marinate")
		if it.Coat == nil {
			r.wrong(path+".marinate", "an item that is marinated is coated too")
		}
	}
	return it
}

func (r *reading) modes(v *jsontext.Value, path, most string) []Mode {
	var modes []Mode
	list := v.List("modes")
	for k := range list {
		modes = append(modes, Mode{r.whole(&list[k], at(path+".modes", k), "blocks", 1, 96), r.whole(&list[k], at(path+".modes", k), most, 1, 10_000)})
	}
	if len(modes) == 0 {
		r.wrong(path+".modes", "must have at least one")
	}
	return modes
}

func (r *reading) coat(v *jsontext.Value, path string) *Coat {
	return &Coat{Station: r.name(v, path, "station", r.stations), Modes: r.modes(v, path, "units"),
		SessionCost: r.money(v, path, "session_cost"), BlockCost: r.money(v, path, "block_cost"),
		SetMin: r.whole(v, path, "set_min", 0, minuteMost), SetMax: r.whole(v, path, "set_max", 0, minuteMost),
		UnitsPerPan: r.whole(v, path, "units_per_pan", 1, 1000), DiscardCost: r.money(v, path, "discard_cost")}
}

func (r *reading) marinate(v *jsontext.Value, path string) *Marinate {
	return &Marinate{Station: r.name(v, path, "station", r.stations), Modes: r.modes(v, path, "tubs"),
		TubUnits: r.whole(v, path, "tub_units", 1, 10_000), SessionCost: r.money(v, path, "session_cost"),
		BlockCost: r.money(v, path, "block_cost"), TubCost: r.money(v, path, "tub_cost"),
		Min: r.whole(v, path, "min", 0, minuteMost), Best: r.whole(v, path, "best", 0, minuteMost),
		Max: r.whole(v, path, "max", 0, minuteMost), Drain: r.whole(v, path, "drain", 0, minuteMost),
		OverBest: r.money(v, path, "over_best_cost") / 60, DiscardCost: r.money(v, path, "discard_cost")}
}

func (r *reading) initial(v *jsontext.Value, p *Problem) {
	lots := func(name, amount string, best bool) (out []Lot) {
		list := v.List(name)
		for k := range list {
			l, path := &list[k], at("initial."+name, k)
			x := Lot{Item: r.name(l, path, "item", r.items), Amount: r.whole(l, path, amount, 1, amountMost),
				Ready: r.whole(l, path, "ready", -minuteMost, minuteMost), Until: r.whole(l, path, "until", -minuteMost, minuteMost)}
			if best {
				x.Best = r.whole(l, path, "best_until", -minuteMost, minuteMost)
			}
			out = append(out, x)
		}
		return out
	}
	p.Hot, p.Coated, p.Marinated = lots("hot", "pieces", false), lots("coated", "units", false), lots("marinated", "units", true)
	busy := v.List("busy")
	for k := range busy {
		path := at("initial.busy", k)
		p.Busy = append(p.Busy, Busy{r.name(&busy[k], path, "group", r.groups), r.whole(&busy[k], path, "until", -minuteMost, minuteMost)})
	}
}

// grids checks what the model of time rests on.
func (r *reading) grids(p *Problem) {
	if p.Start > p.Open || p.Open >= p.Close {
		r.wrong("time", "start may not be after open, and open must be before close")
	}
	if (p.Close-p.Open)%p.Slot != 0 {
		r.wrong("time", "the open hours must be whole slots")
	}
	on := func(t, grid int) bool { return (t-p.Start)%grid == 0 }
	for n, g := range p.Groups {
		for k, w := range g.Windows {
			if !on(w.From, p.Tick) || !on(w.To, p.Tick) || w.To < w.From {
				r.wrong(at(at("groups", n)+".windows", k), "must begin and end on the grid of "+strconv.Itoa(p.Tick)+" minutes from start")
			}
		}
	}
	for n, s := range p.Stations {
		for k, w := range s.Windows {
			if !on(w.From, p.Block) || !on(w.To, p.Block) {
				r.wrong(at(at("stations", n)+".windows", k), "must begin and end on the grid of "+strconv.Itoa(p.Block)+" minutes from start")
			}
		}
	}
	if (p.Close-p.Start)/p.Tick > 4000 || (p.Close-p.Start)/p.Block > 1000 {
		r.wrong("time", "is too long for so fine a grid")
	}
}
