package demo

import (
	"fmt"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Entries returns the journal of the demo kitchen up to now, in canonical order: the night's tubs, the morning's loads,
// two tubs in the marinade and one that drains, pans that set, a load in each fryer, trays for sale of which one is past
// its limit, one deviation open. The same now and seed give the same entries.
//
// The kitchen stands in a time zone of its own, whole hours from UTC, in which it is shortly before the boat of 12:05
// whenever it is opened.
func Entries(now stamp.Milli, seed [32]byte) ([]entry.Entry, error) {
	return newPlan(now, seed).told(opened, seed)
}

// Yesterdays is Entries with the day before: a day that is over, with its plan, to be looked back on.
func Yesterdays(now stamp.Milli, seed [32]byte) ([]entry.Entry, error) {
	return newPlan(now, seed).told(lookedBack, seed)
}

// told tells of the kitchen from its opening on.
func (p *plan) told(opened stamp.Span, seed [32]byte) ([]entry.Entry, error) {
	if err := p.furnish(p.ago(opened), shortlyBefore); err != nil {
		return nil, err
	}
	p.history(p.ago(opened), seed)
	if opened == lookedBack {
		p.yesterday()
	}
	p.night()
	p.lists()
	p.morning()
	p.equipment()
	if err := p.run(); err != nil {
		return nil, err
	}
	return p.entries, nil
}

// Empty returns the first entries of a real kitchen: its name and its place in time, nothing else. It gets none of the
// demo kitchen's documents, since nobody should cook by invented numbers; timers, notes and readings work without any.
func Empty(now stamp.Milli, seed [32]byte, named entry.NamedKitchen, offsets entry.Offsets) []entry.Entry {
	p := newPlan(now, seed)
	p.tell(now, &named)
	p.tell(now, &offsets)
	return p.entries
}

// opened is how long before now the demo kitchen was written down for the first time.
const opened = 16 * stamp.Hour

// furnish names the kitchen, its crew and its documents. Its clocks show up to an hour before a time of the day now.
func (p *plan) furnish(at stamp.Milli, before stamp.Span) error {
	zone, minutes, name := zoneOf(p.now, before)
	p.tell(at, &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: zone, Demo: true})
	p.tell(at, &entry.Offsets{Zone: zone, List: []entry.Offset{{Minutes: minutes, Name: name}}})
	for _, m := range []entry.Member{
		{Crew: "ines", Name: "Inés Calloway", Lang: "es", Role: entry.Cook},
		{Crew: "maren", Name: "Maren Oduya", Lang: "en", Role: entry.Lead},
		{Crew: "salma", Name: "Salma Reyes", Lang: "es", Role: entry.Cook},
		{Crew: "teo", Name: "Teo Lind", Lang: "en", Role: entry.Cook, Trainer: true},
		{Crew: "jun", Name: "Jun Abara", Lang: "en", Role: entry.Trainee},
	} {
		p.tell(at, &m)
	}
	documents, err := Documents()
	if err != nil {
		return err
	}
	for _, d := range documents {
		p.tell(at, &d)
		if product := p.state.Procedure(d.Name, d.Version); d.What == kitchen.WhatProcedure && product != nil {
			p.products[d.Name] = product
		}
	}
	for _, b := range SignOffs(documents, "ines", "maren", "salma", "teo") {
		p.tell(at, &b)
	}
	for _, b := range SignOffs(documents, "jun") { // who learns, and has not come to a fryer yet
		if b.Competence == "tubs" && b.Document == wedges {
			p.tell(at, &b)
		}
	}
	return nil
}

// SignOffs returns the sign-offs of crew members for all competences of some documents, on grounds of experience: they worked
// here before any were written down.
func SignOffs(documents []entry.Document, crew ...string) []entry.SignOff {
	var list []entry.SignOff
	for i := range documents {
		d := &documents[i]
		doc, err := procedure.Open([]byte(d.Text))
		if err != nil {
			continue
		}
		var names []string
		if doc.List != nil && doc.List.Competence != nil {
			names = append(names, doc.List.Competence.Name)
		}
		if doc.Procedure != nil {
			for _, c := range doc.Procedure.Competences {
				names = append(names, c.Name)
			}
		}
		for _, name := range names {
			for _, m := range crew {
				by := "maren"
				if m == by {
					by = "teo"
				}
				list = append(list, entry.SignOff{Crew: m, What: d.What, Document: d.Name, Competence: name, Version: d.Version, By: by,
					Grounds: entry.GroundsExperience, Reason: "Worked this station last season"})
			}
		}
	}
	return list
}

// shortlyBefore is the time of the day before which the demo kitchen is opened: a boat comes then.
const shortlyBefore = 12*stamp.Hour + 5*stamp.Minute

// Zone returns the demo kitchen's time zone: the one in which its clocks show 11:05 to 12:04 now.
func Zone(now stamp.Milli) (name string, minutes int32, short string) {
	return zoneOf(now, shortlyBefore)
}

// zoneOf returns the time zone in which clocks show the hour before a time of the day now.
func zoneOf(now stamp.Milli, before stamp.Span) (name string, minutes int32, short string) {
	switch hours := hoursOf(now, before); {
	case hours == 0:
		return "Etc/GMT", 0, "UTC"
	case hours > 0: // the sign in these names is the other way round
		return fmt.Sprintf("Etc/GMT-%d", hours), 60 * hours, fmt.Sprintf("+%02d", hours)
	default:
		return fmt.Sprintf("Etc/GMT+%d", -hours), 60 * hours, fmt.Sprintf("-%02d", -hours)
	}
}

// hoursOf is how far that zone is from UTC. There are none further away than 12 hours.
func hoursOf(now stamp.Milli, before stamp.Span) int32 {
	const day = stamp.Milli(stamp.Day)
	clock := stamp.Span((now%day + day) % day)
	hours := int32((before - clock - 1) / stamp.Hour)
	if clock >= before {
		hours = -int32((clock-before)/stamp.Hour) - 1
	}
	if hours > 12 {
		hours -= 24
	}
	return hours
}

const (
	h = stamp.Hour
	m = stamp.Minute
	s = stamp.Second

	bone, strips, wedges = "bone-in", "thigh-strips", "wedges"
)

// night is what was put into tubs since yesterday evening, and where it stands now.
func (p *plan) night() {
	fr := func(n int) []string { return []string{fmt.Sprintf("FR-%d", n)} }
	tub := func(name, crew string, lot int, grams int64, started, drained, coated stamp.Span) {
		p.start(started, crew, bone, grams, fr(lot), name)
		p.through(crew, bone, name, visit{"mix", started}, visit{"marinate", started - 12*m}, visit{"drain", drained}, visit{"", coated})
	}
	p.start(14*h+30*m, "salma", bone, 28_800, fr(2609), "tub 1", "tub 2")
	p.through("salma", bone, "tub 1", visit{"mix", 14*h + 30*m}, visit{"marinate", 14*h + 18*m}, visit{"drain", 4*h + 30*m}, visit{"", 3*h + 20*m})
	p.through("teo", bone, "tub 2", visit{"mix", 14*h + 30*m}, visit{"marinate", 14*h + 17*m}, visit{"drain", 4*h + 15*m}, visit{"", 2*h + 55*m})
	p.pans("teo", bone, "tub 1", 3*h+20*m, 3*h+5*m, 14_400, "pan 1", "pan 2")
	p.pans("teo", bone, "tub 2", 2*h+55*m, 2*h+40*m, 14_300, "pan 3", "pan 4")

	tub("tub 3", "salma", 2610, 14_400, 13*h+20*m, 3*h+5*m, 1*h+35*m)
	p.pans("teo", bone, "tub 3", 1*h+35*m, 1*h+19*m, 14_200, "pan 5", "pan 6")
	tub("tub 4", "salma", 2610, 8_600, 12*h+30*m, 2*h, 40*m)
	p.pans("teo", bone, "tub 4", 40*m, 25*m, 8_400, "pan 7")

	p.start(11*h+20*m, "salma", bone, 13_800, fr(2611), "tub 5") // drains now
	p.through("salma", bone, "tub 5", visit{"mix", 11*h + 20*m}, visit{"marinate", 11*h + 10*m}, visit{"drain", 48 * m})
	p.steps("teo", bone, "tub 5", visit{"drain", 48 * m}, 0, 1)
	for _, t := range []struct {
		name, crew string
		grams      int64
		marinate   stamp.Span
	}{{"tub 6", "maren", 14_100, 6*h + 28*m}, {"tub 7", "teo", 12_900, 2*h + 58*m}} {
		p.start(t.marinate+12*m, t.crew, bone, t.grams, fr(2611), t.name)
		p.through(t.crew, bone, t.name, visit{"mix", t.marinate + 12*m}, visit{"marinate", t.marinate})
	}
	p.sides()
}

// sides is the same of thigh strips and wedges.
func (p *plan) sides() {
	p.start(8*h, "maren", strips, 12_300, []string{"TH-0844"}, "tub s")
	p.through("maren", strips, "tub s", visit{"mix", 8 * h}, visit{"marinate", 7*h + 48*m}, visit{"drain", 1*h + 50*m}, visit{"", 1*h + 17*m})
	p.pans("maren", strips, "tub s", 1*h+17*m, 1*h+5*m, 12_300, "pan s1", "pan s2", "pan s3")
	p.start(5*h, "jun", wedges, 5_200, []string{"PO-31"}, "tub w")
	p.through("jun", wedges, "tub w", visit{"cut", 5 * h}, visit{"soak", 4*h + 40*m}, visit{"", 1*h + 10*m})
	p.portion(1*h+10*m, "jun", "tub w", kitchen.Command{Grams: 5_000}, "pan w")
	p.steps("jun", wedges, "pan w", visit{"dry", 1*h + 10*m}, 0, 0)
}

// pans coats a tub into pans and sets them cold.
func (p *plan) pans(crew, product, tub string, coated, set stamp.Span, grams int64, names ...string) {
	p.portion(coated, crew, tub, kitchen.Command{Grams: grams}, names...)
	for _, name := range names {
		p.through(crew, product, name, visit{"coat", coated}, visit{"set", set})
	}
}

// fried is one load: from which pan, in which fryer, into which trays.
type fried struct {
	product, pan, load, fryer string
	pieces                    int64
	held                      stamp.Span // when its trays went into the cabinet
	stage, rest, out, cook    stamp.Span // how long it was in each stage
	trays                     []string
}

// fry takes a load from a pan to the hold cabinet.
func (p *plan) fry(f fried) {
	staged := f.held + f.stage
	rested := staged + f.rest
	released := rested + f.out
	cooked := released + f.cook
	loaded := cooked + 2*m
	p.portion(loaded, "ines", f.pan, kitchen.Command{Place: f.fryer}, f.load)
	p.through("ines", f.product, f.load, visit{"load", loaded}, visit{"cook", cooked}, visit{"release", released},
		visit{"rest", rested}, visit{"", staged})
	p.portion(staged, "ines", f.load, kitchen.Command{Pieces: f.pieces}, f.trays...)
	for _, tray := range f.trays {
		p.through("ines", f.product, tray, visit{"stage", staged}, visit{"hold", f.held})
	}
}

// cooking leaves a load in a fryer.
func (p *plan) cooking(product, pan, load, fryer string, since stamp.Span) {
	p.portion(since+2*m, "ines", pan, kitchen.Command{Place: fryer}, load)
	p.through("ines", product, load, visit{"load", since + 2*m}, visit{"cook", since})
}

// morning is what was fried and sold since the morning's boats.
func (p *plan) morning() {
	boneIn := func(pan, load string, held stamp.Span, pieces int64, trays ...string) {
		p.fry(fried{bone, pan, load, "fryer-1", pieces, held, 3 * m, 60 * s, 150 * s, 11*m + 20*s, trays})
	}
	boneIn("pan 1", "load 1", 1*h+40*m, 46, "tray 1", "tray 2")
	p.count(1*h+34*m, "teo", "tray 1", 14, 0, "")
	p.count(1*h+20*m, "teo", "tray 1", 9, 0, "")
	p.count(1*h+12*m, "teo", "tray 2", 20, 0, "")
	p.count(1*h+1*m, "teo", "tray 2", 0, 3, "Dropped or touched")
	boneIn("pan 2", "load 2", 53*m, 46, "tray 3", "tray 4")
	p.count(44*m, "teo", "tray 3", 23, 0, "")
	p.count(25*m, "teo", "tray 4", 18, 0, "")
	boneIn("pan 3", "load 3", 20*m, 46, "tray 5", "tray 6")
	p.count(6*m, "teo", "tray 5", 9, 0, "")
	p.cooking(bone, "pan 4", "load 4", "fryer-1", 11*m+30*s)

	p.fry(fried{strips, "pan s1", "load s1", "fryer-2", 33, 12 * m, 2 * m, 60 * s, 2 * m, 6*m + 40*s, []string{"tray s1", "tray s2"}})
	p.count(4*m, "teo", "tray s2", 16, 0, "")
	p.cooking(strips, "pan s2", "load s2", "fryer-2", 2*m+50*s)

	p.add(p.ago(5*m), "teo", "timer", func() kitchen.Command {
		return kitchen.Command{Do: kitchen.DoTimer, Name: "Rolls in the oven", Span: 12 * m}
	}, nil)
}

// equipment is what was read, and the deviation that came of it.
func (p *plan) equipment() {
	for _, ago := range []stamp.Span{3*h + 10*m, 2*h + 5*m, 50 * m} {
		p.reading(ago, "ines", "fryer-1", 167_800)
		p.reading(ago-m, "ines", "fryer-2", 170_200)
	}
	p.reading(15*h+40*m, "salma", "cold-room", 2_600)
	p.reading(5*h+30*m, "maren", "cold-room", 2_800)
	p.reading(1*h+30*m, "maren", "cold-room", 3_100)
	p.reading(5*h+20*m, "maren", "cabinet-1", 63_000)
	p.reading(1*h+57*m, "teo", "cabinet-1", 54_800)
	p.reading(1*h+50*m, "teo", "cabinet-1", 60_100)
	p.reading(18*m, "ines", "cabinet-1", 62_400)
	p.add(p.ago(1*h+52*m), "teo", "answer", func() kitchen.Command {
		c := kitchen.Command{Do: kitchen.DoAnswer, Text: "Door stood open during the boat. Shut it, cabinet was empty."}
		for _, d := range p.state.Deviations {
			if d.Code == kitchen.DevReadingOff && !d.Closed {
				c.Deviation = d.Key
			}
		}
		return c
	}, nil)
}

// lists is what was done of yesterday's closing, today's opening and the cleaning.
func (p *plan) lists() {
	get := func(name string) *procedure.List { return p.state.List(name) }
	p.list(14*h, 40*s, "maren", get("closing"), 0)
	p.list(6*h+5*m, 90*s, "maren", get("opening"), 0)
	p.list(1*h+18*m, 4*m, "jun", get("cleaning"), 3)
}
