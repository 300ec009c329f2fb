package screen

import (
	"brinebell/internal/core/kitchen"
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
		p.add(p.offSince(d, &limit, &fault{title: p.l.Verdict(found.Verdict), lines: []string{said}}))
	}
}

// offSince adds since when the readings of a place have been off a limit, how much that is of what time as a control
// allows, and what can be done.
func (p *page) offSince(d *procedure.Device, limit *safety.HoldLimit, f *fault) *fault {
	do := limit.Actions()
	if r := p.State.SeriesOf(kitchen.SeriesKey(kitchen.SeriesPlace, d.Name)); r != nil {
		var log []safety.Reading
		for _, m := range r.Values {
			log = append(log, safety.Reading{At: m.At, Heat: safety.FromKept(m.Value)})
		}
		if off := limit.OutOf(log); off.Open() {
			from := off.Runs[len(off.Runs)-1].From
			u := off.Spends(safety.TimeMost, 0, from, p.Now)
			do = off.Actions(u)
			f.lines = append(f.lines, p.t("held.since", "time", p.clock(from), "spent", p.l.Length(u.Spent), "most", p.l.Length(u.Most),
				"until", p.clock(u.Until), "source", p.l.Source("fc-time-4")))
		}
	}
	for _, a := range do {
		f.lines = append(f.lines, p.l.Action(a))
	}
	return f
}
