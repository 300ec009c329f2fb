package demo

import (
	"fmt"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// lookedBack is how long before now a demo kitchen was written down for the first time whose yesterday can be looked back on: in the
// afternoon before it.
const lookedBack = 46 * stamp.Hour

// day is yesterday in the demo kitchen: what was planned in the evening before, and what came of it. More guests came with the noon
// boat than the plan had thought, and fewer before it.
type day struct {
	*plan
	midnight stamp.Milli
}

// ago is a time of the day as a length before now.
func (d *day) ago(hour, minute int) stamp.Span {
	return d.now.Since(d.midnight.Add(stamp.Span(hour)*h + stamp.Span(minute)*m))
}

// yesterday tells of it.
func (p *plan) yesterday() {
	d := &day{p, p.state.DayStart(p.state.WallDay(p.now) - 1)}
	d.tell()
	d.checklists()
	d.list(d.ago(14, 10), 3*m, "maren", p.state.List("changeover"), 0)
}

// checklists is the closing of the evening before, and what is done before noon.
func (d *day) checklists() {
	d.list(d.ago(-3, 10), 40*s, "maren", d.state.List("closing"), 0)
	d.list(d.ago(5, 40), 90*s, "maren", d.state.List("opening"), 0)
	d.list(d.ago(10, 15), 3*m, "jun", d.state.List("cleaning"), 0)
}

// tell tells of a day from its plan in the evening before to its close.
func (d *day) tell() {
	d.planned()
	d.prepared()
	d.fryers()
	d.boneIn()
	d.thighs()
}

// prepared is what was marinated and coated.
func (d *day) prepared() {
	tub := func(crew string, n, lot int, grams int64, start, drain, coat stamp.Span, pans ...string) {
		name := fmt.Sprintf("y tub %d", n)
		d.start(start, crew, bone, grams, []string{fmt.Sprintf("FR-%d", lot)}, name)
		d.through(crew, bone, name, visit{"mix", start}, visit{"marinate", start - 12*m}, visit{"drain", drain}, visit{"", coat})
		d.pans("teo", bone, name, coat, coat-14*m, grams, pans...)
	}
	tub("salma", 1, 2601, 14_400, d.ago(-5, 20), d.ago(4, 32), d.ago(5, 35), "y pan 1", "y pan 2")
	tub("salma", 2, 2601, 14_400, d.ago(-5, 24), d.ago(4, 50), d.ago(5, 52), "y pan 3", "y pan 4")
	tub("maren", 3, 2602, 14_400, d.ago(-3, 12), d.ago(7, 40), d.ago(8, 50), "y pan 5", "y pan 6")
	tub("maren", 4, 2602, 14_400, d.ago(-3, 16), d.ago(9, 30), d.ago(10, 50), "y pan 7", "y pan 8")
	tub("maren", 5, 2602, 7_200, d.ago(-3, 20), d.ago(9, 40), d.ago(11, 10), "y pan 9")
	thighs := func(name string, lot int, grams int64, start, drain, coat stamp.Span, pans ...string) {
		d.start(start, "maren", strips, grams, []string{fmt.Sprintf("TH-%04d", lot)}, name)
		d.through("maren", strips, name, visit{"mix", start}, visit{"marinate", start - 12*m}, visit{"drain", drain}, visit{"", coat})
		d.pans("maren", strips, name, coat, coat-14*m, grams, pans...)
	}
	thighs("y tub s1", 838, 12_300, d.ago(-1, 40), d.ago(7, 20), d.ago(7, 55), "y pan s1", "y pan s2", "y pan s3")
	thighs("y tub s2", 839, 8_200, d.ago(5, 5), d.ago(11, 20), d.ago(11, 55), "y pan s4", "y pan s5")
}

// fryers is that their oil was read all day.
func (d *day) fryers() {
	for hour := 6; hour <= 20; hour++ {
		d.reading(d.ago(hour, 4), "ines", "fryer-1", 168_900)
		d.reading(d.ago(hour, 5), "ines", "fryer-2", 170_100)
	}
}

// past is why most is thrown away.
const past = "Past its limit"

// boneIn is the day's loads of bone-in pieces, two trays each, and what became of them.
func (d *day) boneIn() {
	load := func(n, hour, minute int) (a, b string) {
		a, b = fmt.Sprintf("y tray %da", n), fmt.Sprintf("y tray %db", n)
		d.fry(fried{bone, fmt.Sprintf("y pan %d", n), fmt.Sprintf("y load %d", n), "fryer-1", 46, d.ago(hour, minute), 3 * m, 60 * s, 150 * s, 11*m + 20*s, []string{a, b}})
		return a, b
	}
	sold := func(tray string, hour, minute int, n int64) { d.count(d.ago(hour, minute), "teo", tray, n, 0, "") }
	wasted := func(tray string, hour, minute int, n int64, why string) {
		d.count(d.ago(hour, minute), "ines", tray, 0, n, why)
	}
	a, b := load(1, 6, 50)
	sold(a, 6, 55, 14)
	sold(a, 7, 4, 9)
	sold(b, 7, 12, 8)
	sold(b, 7, 30, 6)
	wasted(b, 7, 38, 9, past)
	a, b = load(2, 9, 6)
	sold(a, 9, 12, 15)
	sold(a, 9, 19, 8)
	sold(b, 9, 27, 11)
	sold(b, 9, 46, 9)
	wasted(b, 9, 50, 3, "Dropped or touched")
	a, b = load(3, 10, 35)
	sold(a, 10, 46, 5)
	sold(a, 11, 4, 6)
	wasted(a, 11, 23, 12, past)
	sold(b, 11, 15, 4)
	wasted(b, 11, 24, 19, past)
	a, b = load(4, 11, 58)
	sold(a, 12, 6, 23)
	sold(b, 12, 13, 23)
	d.away(12, 18, bone, 6)
	d.away(12, 25, bone, 8)
	a, b = load(5, 12, 36)
	sold(a, 12, 39, 23)
	sold(b, 12, 50, 14)
	sold(b, 13, 12, 9)
	d.away(14, 10, bone, 3)
	a, b = load(6, 15, 22)
	sold(a, 15, 31, 16)
	sold(a, 15, 44, 7)
	sold(b, 15, 52, 12)
	sold(b, 16, 6, 6)
	wasted(b, 16, 10, 5, past)
	a, b = load(7, 17, 45)
	sold(a, 17, 53, 23)
	sold(b, 18, 2, 23)
	a, b = load(8, 18, 20)
	sold(a, 18, 26, 18)
	sold(a, 18, 41, 5)
	sold(b, 18, 50, 9)
	sold(b, 19, 6, 4)
	wasted(b, 19, 8, 10, past)
	a, b = load(9, 20, 12)
	sold(a, 20, 19, 15)
	sold(a, 20, 33, 8)
	sold(b, 20, 44, 9)
	wasted(b, 20, 58, 14, past)
}

// thighs is the same of thigh strips.
func (d *day) thighs() {
	load := func(n, hour, minute int) (a, b string) {
		a, b = fmt.Sprintf("y tray s%da", n), fmt.Sprintf("y tray s%db", n)
		d.fry(fried{strips, fmt.Sprintf("y pan s%d", n), fmt.Sprintf("y load s%d", n), "fryer-2", 33, d.ago(hour, minute), 2 * m, 60 * s, 2 * m, 6*m + 40*s, []string{a, b}})
		return a, b
	}
	sold := func(tray string, hour, minute int, n int64) { d.count(d.ago(hour, minute), "teo", tray, n, 0, "") }
	wasted := func(tray string, hour, minute int, n int64) {
		d.count(d.ago(hour, minute), "ines", tray, 0, n, past)
	}
	a, b := load(1, 9, 12)
	sold(a, 9, 20, 10)
	sold(a, 9, 36, 4)
	wasted(a, 9, 50, 3)
	sold(b, 9, 45, 6)
	wasted(b, 9, 51, 10)
	a, b = load(2, 12, 0)
	sold(a, 12, 8, 17)
	sold(b, 12, 16, 16)
	d.away(12, 22, strips, 4)
	a, b = load(3, 12, 34)
	sold(a, 12, 40, 12)
	sold(a, 12, 52, 5)
	sold(b, 13, 2, 7)
	wasted(b, 13, 12, 9)
	a, b = load(4, 15, 28)
	sold(a, 15, 36, 11)
	sold(a, 15, 50, 6)
	sold(b, 16, 0, 5)
	wasted(b, 16, 6, 11)
	a, b = load(5, 17, 55)
	sold(a, 18, 2, 17)
	sold(b, 18, 15, 13)
	wasted(b, 18, 33, 3)
}

// away is that somebody asked and there was none.
func (d *day) away(hour, minute int, item string, pieces int64) {
	d.say(d.plan.ago(d.ago(hour, minute)), "teo", &entry.Away{Item: item, Pieces: pieces})
}

// planned is the plan that the lead took on in the evening before.
func (d *day) planned() {
	vessels := []string{"load", "pan", "tub"} // of a load, a coating, a start
	b := &entry.PlanAccepted{Day: d.state.WallDay(d.midnight), Version: 1, Zero: d.midnight, From: -185, To: 21 * 60, Cost: 8_712_000_000, Bound: 8_160_000_000,
		Items: []entry.PlanItem{{Item: bone, Demand: 348, Sold: 332, Unit: 4, Grams: 620, Vessels: vessels},
			{Item: strips, Demand: 152, Sold: 140, Unit: 4, Grams: 480, Vessels: vessels}}}
	row := func(deed, item uint8, hour, minute int, spell int32, units, tubs uint32, place string) {
		b.Rows = append(b.Rows, entry.PlanRow{Deed: deed, Item: item, Start: int32(hour*60 + minute), Spell: spell, Units: units, Tubs: tubs, Place: place})
	}
	row(entry.PlanTubs, 0, -3, 15, 15, 42, 2, "cold-prep")
	row(entry.PlanTubs, 1, -2, 15, 15, 24, 1, "cold-prep")
	row(entry.PlanTubs, 1, 5, 0, 15, 17, 1, "cold-prep")
	row(entry.PlanCoat, 0, 5, 30, 30, 28, 0, "coating-table")
	row(entry.PlanLoad, 0, 6, 30, 0, 9, 0, "fryer-1")
	row(entry.PlanCoat, 0, 8, 45, 30, 28, 0, "coating-table")
	row(entry.PlanLoad, 0, 8, 50, 0, 11, 0, "fryer-1")
	row(entry.PlanCoat, 1, 7, 45, 30, 24, 0, "coating-table")
	row(entry.PlanLoad, 1, 8, 55, 0, 6, 0, "fryer-2")
	row(entry.PlanLoad, 0, 10, 20, 0, 6, 0, "fryer-1")
	row(entry.PlanCoat, 0, 10, 45, 45, 32, 0, "coating-table")
	row(entry.PlanLoad, 1, 11, 40, 0, 9, 0, "fryer-2")
	row(entry.PlanCoat, 1, 11, 45, 30, 17, 0, "coating-table")
	row(entry.PlanLoad, 0, 11, 40, 0, 11, 0, "fryer-1")
	row(entry.PlanLoad, 0, 12, 5, 0, 11, 0, "fryer-1")
	row(entry.PlanLoad, 1, 12, 15, 0, 9, 0, "fryer-2")
	row(entry.PlanLoad, 0, 13, 40, 0, 6, 0, "fryer-1")
	row(entry.PlanLoad, 0, 15, 5, 0, 9, 0, "fryer-1")
	row(entry.PlanLoad, 1, 15, 10, 0, 6, 0, "fryer-2")
	row(entry.PlanLoad, 0, 17, 25, 0, 11, 0, "fryer-1")
	row(entry.PlanLoad, 1, 17, 40, 0, 8, 0, "fryer-2")
	row(entry.PlanLoad, 0, 17, 55, 0, 7, 0, "fryer-1")
	row(entry.PlanLoad, 0, 20, 0, 0, 7, 0, "fryer-1")
	d.say(d.midnight.Add(-3*h-10*m), "maren", b)
}

// say writes down something at an instant that is no tap of a step.
func (d *day) say(at stamp.Milli, crew string, body entry.Body) {
	d.deeds = append(d.deeds, deed{at: at, crew: crew, name: body.Kind().String(), body: body})
}
