package screen

import (
	"strconv"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
)

func (p *page) num(n int) string { return strconv.Itoa(n) }

// halves returns what stands before and after "{}".
func halves(s string) (before, after string) {
	before, after, _ = strings.Cut(s, "{}")
	return before, after
}

// placesOf returns the pieces of equipment of a kind that are in use.
func (p *page) placesOf(kind string) []*procedure.Device {
	var list []*procedure.Device
	devices := p.State.Equipment().Devices
	for i := range devices {
		if devices[i].Kind == kind && !p.State.Place(devices[i].Name).Out {
			list = append(list, &devices[i])
		}
	}
	return list
}

// onlyPlace returns the first piece of equipment of a kind that is in use, "" when there is none.
func (p *page) onlyPlace(kind string) string {
	if list := p.placesOf(kind); len(list) > 0 {
		return list[0].Name
	}
	return ""
}

// boat returns the next boat after an instant, 0 when none is known.
func boatAfter(s *kitchen.State, at stamp.Milli) stamp.Milli {
	next := stamp.Milli(0)
	day := s.WallDay(at)
	for _, b := range s.Equipment().Boats {
		for d := day; d <= day+1; d++ {
			if t := s.WallAt(d, b.At); t > at && (next == 0 || t < next) {
				next = t
			}
		}
	}
	return next
}

// boatNear is from when on the minutes to a boat are counted.
const boatNear = 6 * stamp.Hour

// boatFact says when the next boat comes and how many pieces are in the hold, within their limit.
func (p *page) boatFact() {
	boat := boatAfter(p.State, p.Now)
	if boat == 0 {
		return
	}
	if boat.Since(p.Now) > boatNear {
		p.facts = append(p.facts, p.line("boat.far", in("time", bold(p.clock(boat)))))
		return
	}
	p.facts = append(p.facts, p.line("boat.near", in("time", bold(p.clock(boat))), in("left", boldCount(boat)),
		in("amount", plain(p.n("boat.pieces", p.inHold())))))
}

// inHold counts what is for sale now: all that is in a hold stage and not past its limit.
func (p *page) inHold() int64 {
	n := int64(0)
	for i := range p.State.Batches {
		b := &p.State.Batches[i]
		if b.Status != kitchen.Open {
			continue
		}
		if s := p.standing(b); s.stage.Kind == procedure.Hold && s.state != window.Past && !b.Kept {
			n += b.Pieces
		}
	}
	return n
}

// longAgo is due before anything that can be read.
const longAgo stamp.Milli = 1

// readingDue returns the instant from which a piece of equipment must be read again; 0: it need not be read.
func readingDue(s *kitchen.State, d *procedure.Device) stamp.Milli {
	if d.ReadEvery == 0 || s.Place(d.Name).Out {
		return 0
	}
	place := s.Place(d.Name)
	if place.ReadAt == 0 {
		return longAgo
	}
	return place.ReadAt.Add(d.ReadEvery)
}

// placeItems are the readings that are due now or within the hour.
func (p *page) placeItems() []item {
	var list []item
	devices := p.State.Equipment().Devices
	for i := range devices {
		d := &devices[i]
		due := readingDue(p.State, d)
		if due == 0 || due > p.Now.Add(nextHour) {
			continue
		}
		list = append(list, item{rank: waiting, by: due, hand: due, now: due <= p.Now, key: "place " + d.Name,
			build: func(small bool) *strip { return p.placeStrip(d, due, small) }})
	}
	return list
}

func (p *page) placeStrip(d *procedure.Device, due stamp.Milli, small bool) *strip {
	to := "/place/" + escape(d.Name)
	st := &strip{key: "place-" + d.Name, to: to, state: "none", name: p.placeWhat(d), small: small, word: p.readWord(d), sub: p.lastReading(d), deed: p.readWord(d)}
	if due <= p.Now {
		st.state = "last"
	}
	if due > longAgo {
		st.left = p.countTo(due, "left.read")
	}
	if !small {
		st.actions = []button{{label: p.readWord(d), small: p.text(d.Title), style: act, to: to}}
	}
	return st
}

// placeWhat names what is read: "Fryer 1: oil".
func (p *page) placeWhat(d *procedure.Device) string {
	if what := p.text(d.What); what != "" {
		return p.text(d.Title) + ": " + what
	}
	return p.text(d.Title)
}

func (p *page) readWord(d *procedure.Device) string {
	if what := p.text(d.What); what != "" {
		return p.t("place.read.what", "what", what)
	}
	return p.t("place.read")
}

// lastReading says what was read last, when, and what it may be.
func (p *page) lastReading(d *procedure.Device) line {
	place := p.State.Place(d.Name)
	unit := words.Shown("mC", d.TypedIn)
	limit, value := p.l.Limit(d.Reading, unit), p.l.Amount(place.Reading, unit)
	switch {
	case place.ReadAt == 0 && limit == "":
		return p.line("place.unread")
	case place.ReadAt == 0:
		return p.line("place.unread.limit", in("limit", plain(limit)))
	case limit == "":
		return p.line("place.was", in("value", bold(value)), in("time", plain(p.clock(place.ReadAt))))
	}
	return p.line("place.was.limit", in("value", bold(value)),
		in("time", plain(p.clock(place.ReadAt))), in("limit", plain(limit)))
}

// listState is how far a list has come on a day.
type listState struct {
	li         *procedure.List
	day        int32
	opens, due stamp.Milli
	run        *kitchen.Run
	done, of   int
}

func (s *listState) closed() bool { return s.run != nil && s.run.Closed }

// complete tells whether nothing is left to do: all steps that must be done are done, or somebody closed it.
func (s *listState) complete() bool { return s.closed() || s.done == s.of }

func (p *page) listState(li *procedure.List, day int32) listState {
	s := listState{li: li, day: day, opens: p.State.WallAt(day, li.Opens), due: p.State.WallAt(day, li.Due),
		run: p.State.Run(li.Name, day)}
	for i := range li.Steps {
		if st := &li.Steps[i]; !st.Optional {
			s.of++
			if s.run.Marked(st.Name) != nil {
				s.done++
			}
		}
	}
	return s
}

// todaysLists returns the lists of the kitchen's day, after those of the day before that still ring.
func (p *page) todaysLists() []listState {
	day := p.State.WallDay(p.Now)
	var out []listState
	for _, b := range p.bells {
		if b.Point == kitchen.PointList && b.Ringing && b.Day < day {
			if li := p.State.List(b.List); li != nil {
				out = append(out, p.listState(li, b.Day))
			}
		}
	}
	for _, li := range p.State.Lists() {
		if kitchen.Opens(li, day) {
			out = append(out, p.listState(li, day))
		}
	}
	return out
}

// published returns when the newest version of a list was published.
func (p *page) published(li *procedure.List) stamp.Milli {
	for i := range p.State.Documents {
		if d := &p.State.Documents[i]; d.What == kitchen.WhatList && d.Name == li.Name && d.Version == li.Version {
			return d.At
		}
	}
	return 0
}

// listItems are the lists that are open and not complete.
func (p *page) listItems() []item {
	var list []item
	for _, s := range p.todaysLists() {
		if s.complete() || s.opens > p.Now || s.due <= p.Now && s.due < p.published(s.li) {
			continue // what was due before there was a list is nobody's fault
		}
		it := item{rank: waiting, by: s.due, hand: s.due, now: s.due <= p.Now, key: "list " + s.li.Name + p.num(int(s.day)),
			build: func(small bool) *strip { return p.listStrip(&s, small) }}
		if s.due == s.opens || s.li.Due == 0 {
			it.by, it.hand, it.now = never, never, false
		}
		list = append(list, it)
	}
	return list
}

// toRun is where a list of a day is done.
func (p *page) toRun(s *listState) string {
	if s.day == p.State.WallDay(p.Now) {
		return toList(s.li.Name)
	}
	return address(toList(s.li.Name), "day", p.num(int(s.day)))
}

func toList(name string) string { return "/list/" + escape(name) }

func (p *page) listStrip(s *listState, small bool) *strip {
	st := &strip{key: "list-" + s.li.Name + p.num(int(s.day)), to: p.toRun(s), state: "none", name: p.text(s.li.Title), small: small,
		word: p.t("list.open"), sub: plain(p.t("list.done", "n", p.num(s.done), "of", p.num(s.of))), deed: p.t("list.deed")}
	if s.li.Due > 0 {
		st.left = p.countTo(s.due, "left.due")
	}
	if s.due <= p.Now && s.li.Due > 0 {
		st.state, st.word = "last", p.t("list.overdue")
	}
	if !small {
		st.actions = []button{{label: p.t("list.go"), small: p.text(s.li.Title), style: act, to: st.to}}
	}
	return st
}

func (p *page) zone(at stamp.Milli) words.Zone { return words.ZoneAt(p.State, at) }
