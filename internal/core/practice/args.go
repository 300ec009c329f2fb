package practice

import (
	"brinebell/internal/core/words"
)

// args are what the texts of a trouble may name.
func (n *Night) args(about *subject) []string {
	unit := words.Shown(about.unit, about.typedIn)
	args := []string{"item", words.Upper(n.l.Text(n.p.Item)), "place", n.l.Place(n.s, about.place),
		"limit", n.l.Limit(about.limit, unit), "found", n.l.Amount(about.number, unit),
		"allergens", n.l.Text(n.p.Allergens), "probe", n.l.Probe(n.s, about.probe)}
	if list := n.s.List(about.list); list != nil {
		args = append(args, "list", n.l.Text(list.Title))
	}
	if b := n.s.Batch(about.batch); b != nil {
		w := n.s.Window(b)
		args = append(args, "batch", n.l.Batch(n.s, b), "stage", n.l.Stage(n.s, b, b.Stage), "lasted", n.l.Length(n.now.Since(b.Since)),
			"floor", n.l.Length(w.Floor), "ceiling", n.l.Length(w.Ceiling), "left", n.l.Left(n.s, b),
			"step", n.l.StepText(n.s, b, b.Stage, "", about.step), "ifnot", "")
		if step := words.StepOf(n.s, b, b.Stage, "", about.step); step != nil {
			args[len(args)-1] = n.l.Text(step.IfNot)
		}
	}
	return args
}
