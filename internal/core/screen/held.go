package screen

import (
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/words"
)

// modelLimits names the model code's limit for a kind of equipment that keeps food cold or hot.
var modelLimits = [...][2]string{{"cold room", "hold-cold"}, {"hold cabinet", "hold-hot"}}

// heldBy holds the last reading of a cold room or a hold cabinet against the model code, which stands beside the limit that
// the kitchen has written down: whether it is met, by how much, where it stands, and what can be done.
func (p *page) heldBy(d *procedure.Device) {
	at := p.State.Place(d.Name)
	for _, m := range modelLimits {
		limit, ok := safety.HoldLimitOf(m[1])
		if !ok || m[0] != d.Kind || at.ReadAt == 0 {
			continue
		}
		if d.TypedIn != "[degF]" {
			limit = limit.AsPrinted()
		}
		found := limit.Finding(safety.FromKept(at.Reading))
		said := p.l.Held(found, words.Shown("mC", d.TypedIn))
		if found.Verdict == safety.Met {
			p.add(&note{line: plain(said), tone: "quiet"})
			return
		}
		f := &fault{title: said}
		for _, a := range limit.Actions() {
			f.lines = append(f.lines, p.l.Action(a))
		}
		p.add(f)
	}
}
