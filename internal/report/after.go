package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	coreWords "brinebell/internal/core/words"
)

// afterHeader names the columns of the table of planned days. FORMAT.md says what each holds.
var afterHeader = []string{"day", "kind", "item", "title", "currency", "planned", "asked", "sold", "turned_away", "estimated", "none_min",
	"loads_planned", "loads", "fried_planned", "fried", "coating_min_planned", "coating_min", "marinating_min_planned", "marinating_min",
	"tubs_planned", "tubs", "stage", "reason", "amount", "amount_unit", "weight_g",
	"cost", "cost_unmet", "cost_loads", "cost_waste", "cost_coating", "cost_marinating", "cost_past_best", "cost_discarded", "cost_missing",
	"cost_plan", "cost_hindsight", "change", "change_item", "change_at", "change_min", "change_pieces", "change_saves"}

// changeNames are the names of changes in the table, by their sorts.
var changeNames = [...]string{"load more", "load less", "load bigger", "load smaller", "load earlier", "load later", "tub more", "tub less", "coat less"}

var (
	stageNames = [afterwards.Stages]string{"marinated", "coated", "fried"}
	howNames   = [...]string{"", "not written down", "left over"}
)

// AfterCSV writes what planned days cost as RFC 4180 has it: for each day a row, one for each item and one for each sort of waste.
// Days on which there is nothing to look back on are left out.
func AfterCSV(days []*afterwards.Seen, s *kitchen.State, lang string) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	if err := w.Write(afterHeader); err != nil {
		return nil, err
	}
	for _, x := range days {
		if x == nil {
			continue
		}
		for _, row := range afterRows(x, s, lang) {
			cells := make([]string, len(afterHeader))
			for k, name := range afterHeader {
				cells[k] = guard(name, row[name])
			}
			if err := w.Write(cells); err != nil {
				return nil, err
			}
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

func afterRows(x *afterwards.Seen, s *kitchen.State, lang string) []map[string]string {
	day := coreWords.ISODate(x.Day)
	row := func(kind string, item int) map[string]string {
		r := map[string]string{"day": day, "kind": kind, "currency": x.Names.Currency, "planned": yes(x.Plan >= 0)}
		if item >= 0 {
			r["item"] = x.Names.Items[item].Procedure
			if pr := s.Procedure(r["item"], 0); pr != nil {
				r["title"] = coreWords.Of(lang).Text(pr.Item)
			}
		}
		return r
	}
	whole := row("day", -1)
	rows := []map[string]string{whole}
	if x.Over {
		done, plan, best := x.Report.Costs()
		costCells(whole, &done)
		whole["cost_plan"], whole["cost_hindsight"] = orNothing(x.Plan, plan.Sum()), orNothing(x.Hindsight, best.Sum())
		if len(x.Changes) > 0 {
			changeCells(whole, x)
		}
	}
	for i := range x.Items {
		f, r := &x.Items[i], row("item", i)
		itemCells(r, f, x)
		if x.Over {
			costCells(r, &f.Costs)
			r["cost_hindsight"] = orNothing(x.Hindsight, f.Hindsight.Sum())
			if f.Plan != nil {
				r["cost_plan"] = f.Plan.Costs.Sum().String()
			}
		}
		rows = append(rows, r)
	}
	if !x.Over {
		return rows
	}
	for _, w := range x.Wastes() {
		r := row("waste", w.Item)
		r["stage"], r["reason"], r["cost"] = stageNames[w.Stage], orElse(w.Why, howNames[w.How]), w.Cost.String()
		if w.How != afterwards.LeftOver {
			r["amount"], r["weight_g"], r["amount_unit"] = strconv.Itoa(w.Amount), strconv.FormatInt(w.Grams, 10), "units"
			if w.Stage == afterwards.Fried {
				r["amount_unit"] = "pieces"
			}
		} else {
			r["stage"] = ""
		}
		rows = append(rows, r)
	}
	return rows
}

// orNothing writes money that is known.
func orNothing(known, m planner.Money) string {
	if known < 0 {
		return ""
	}
	return m.String()
}

func costCells(r map[string]string, c *planner.Costs) {
	r["cost"] = c.Sum().String()
	for name, m := range map[string]planner.Money{"unmet": c.Unmet, "loads": c.Load, "waste": c.Waste, "coating": c.Coat, "marinating": c.Marinate,
		"past_best": c.OverBest, "discarded": c.Discard, "missing": c.Short} {
		r["cost_"+name] = m.String()
	}
}

func itemCells(r map[string]string, f *afterwards.Fact, x *afterwards.Seen) {
	asked := 0
	for _, n := range f.Asked {
		asked += n
	}
	cells := map[string]int{"sold": f.Sold, "turned_away": f.Away, "none_min": f.None}
	if x.Over {
		cells["asked"], cells["estimated"] = asked, f.Guessed
	}
	done := func(f *afterwards.Fact, suffix string) {
		for name, n := range map[string]int{"loads": f.Loads, "fried": f.Fried, "coating_min": f.Coats * x.Of.Problem.Block,
			"marinating_min": f.Marinades * x.Of.Problem.Block, "tubs": f.Tubs} {
			cells[name+suffix] = n
		}
	}
	if done(f, ""); f.Plan != nil {
		done(f.Plan, "_planned")
	}
	if !x.Told { // sales out of a file do not tell when there was none
		delete(cells, "none_min")
	}
	for name, n := range cells {
		r[name] = strconv.Itoa(n)
	}
}

// changeCells names the one change that would have saved most.
func changeCells(r map[string]string, x *afterwards.Seen) {
	c := &x.Changes[0]
	n := &x.Names.Items[c.Item]
	r["change"], r["change_item"], r["change_saves"] = changeNames[c.Sort], n.Procedure, c.Saves.String()
	day := x.Day
	at := c.At
	for ; at < 0; at += 1440 {
		day--
	}
	r["change_at"] = coreWords.ISODate(day) + "T" + fmt.Sprintf("%02d:%02d", at/60, at%60)
	if c.By > 0 {
		r["change_min"] = strconv.Itoa(c.By)
	}
	if c.Units > 0 {
		r["change_pieces"] = strconv.Itoa(c.Units * n.Pieces)
	}
}
