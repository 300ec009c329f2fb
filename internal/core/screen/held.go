package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// modelLimits names the model code's limit for a kind of equipment that keeps food cold or hot.
var modelLimits = [...][2]string{{"cold room", "hold-cold"}, {"hold cabinet", "hold-hot"}}

// modelLimitsOf lists the limits for a device, as they are printed in its own scale.
func modelLimitsOf(d *procedure.Device) (list []safety.HoldLimit) {
	for _, m := range modelLimits {
		limit, ok := safety.HoldLimitOf(m[1])
		if !ok || m[0] != d.Kind {
			continue
		}
		if d.TypedIn != "[degF]" {
			limit = limit.AsPrinted()
		}
		list = append(list, limit)
	}
	return list
}

// heldBy holds the last reading of a cold room or a hold cabinet against the model code, which stands beside the limit that
// the kitchen has written down: whether it is met, by how much, where it stands, and what can be done.
func (p *page) heldBy(d *procedure.Device) {
	at := p.State.Place(d.Name)
	for _, limit := range modelLimitsOf(d) {
		if at.ReadAt == 0 {
			continue
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
	if off, from := p.offTime(d, limit); off != nil {
		u := off.Spends(safety.TimeMost, 0, from, p.Now)
		do = off.Actions(u)
		f.lines = append(f.lines, p.t("held.since", "time", p.clock(from), "spent", p.l.Length(u.Spent), "most", p.l.Length(u.Most),
			"until", p.clock(u.Until), "source", p.l.Source("fc-time-4")))
	}
	for _, a := range do {
		f.lines = append(f.lines, p.l.Action(a))
	}
	return f
}

// offTime returns what the readings of a place tell of how long it has been off a limit, and since when it is now; nil where it is not.
func (p *page) offTime(d *procedure.Device, limit *safety.HoldLimit) (*safety.OffTime, stamp.Milli) {
	r := p.State.SeriesOf(kitchen.SeriesKey(kitchen.SeriesPlace, d.Name))
	if r == nil {
		return nil, 0
	}
	var log []safety.Reading
	for _, m := range r.Values {
		log = append(log, safety.Reading{At: m.At, Heat: safety.FromKept(m.Value)})
	}
	off := limit.OutOf(log)
	if !off.Open() {
		return nil, 0
	}
	return &off, off.Runs[len(off.Runs)-1].From
}

// offAhead sees when the length that a place has been off changes in words: by the second at first, then by the minute, as does
// the time of day that it ends at.
func (p *page) offAhead(s *soonest) {
	d := p.State.Equipment().Device(p.path.at(1))
	if d == nil {
		return
	}
	for _, limit := range modelLimitsOf(d) {
		_, from := p.offTime(d, &limit)
		switch past := p.Now.Since(from); {
		case from == 0:
		case past < 10*stamp.Minute:
			s.see(p.Now.Add(stamp.Second - past%stamp.Second))
		default:
			s.see(p.Now.Add(stamp.Minute - past%stamp.Minute))
			s.see(p.Now.Add(stamp.Minute - stamp.Span(p.Now)%stamp.Minute))
		}
	}
}
