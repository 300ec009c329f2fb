package procedure

import (
	"strconv"

	"brinebell/internal/core/physics"
	"brinebell/internal/core/quantity"
)

// rowsMax is how many rows a table of cook times may have.
const rowsMax = 40

// cookTable reads a supplier's table of cook times.
func (n *node) cookTable() *CookTable {
	if !n.there() || !n.object("source", "rows") {
		return nil
	}
	c := &CookTable{Source: n.need("source").words(160)}
	last := physics.CookRow{}
	for _, r := range n.need("rows").list(1, rowsMax) {
		r.object("unit", "time")
		row := physics.CookRow{
			Grams:  r.need("unit").positive(quantity.Gram, quantity.HalfEven),
			Millis: int64(r.need("time").span()),
		}
		if r.clean() && (row.Grams <= last.Grams || row.Millis < last.Millis) {
			r.fault(say("Heavier units stand below lighter ones and cook no shorter: {0} g for {1} stands below {2} g for {3}.",
				"Las piezas más pesadas van debajo de las más ligeras y no se fríen menos: {0} g con {1} va debajo de {2} g con {3}.",
				whole(row.Grams), length(row.Millis), whole(last.Grams), length(last.Millis)))
		}
		c.Rows, last = append(c.Rows, row), row
	}
	return c
}

func whole(n int64) string { return strconv.FormatInt(n, 10) }

func length(ms int64) string { return string(quantity.AppendDuration(nil, ms)) }

// weighUnits lets a unit weigh what the supplier's table has times for, where the procedure does not say it by itself.
func (p *Procedure) weighUnits() {
	c := p.CookTable()
	if c == nil || len(c.Rows) == 0 {
		return
	}
	if p.Receiving == nil {
		p.Receiving = &Receiving{TypedIn: "Cel"}
	}
	if u := &p.Receiving.Unit; u.Min == nil && u.Max == nil {
		u.Min, u.Max, u.Source = &c.Rows[0].Grams, &c.Rows[len(c.Rows)-1].Grams, c.Source
	}
}
