package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Training is what the kitchen knows of who may do what, and of how they came to it. All lists are sorted by what names
// their elements.
type Training struct {
	Pins       []PinMark     // by Crew
	SignOffs   []SignMark    // by Crew, What, Document, Competence: the last one said of each
	Guides     []GuideMark   // by their id: guided work that is under way
	GuidedRuns []GuidedCount // by Crew, What, Document, Stage: guided runs that were finished
	Rungs      []RungMark    // by Crew, Procedure, Rung: the best night that was kept
	Worked     []WorkMark    // by Crew, What, Document, Competence
}

// PinMark is how a member's PIN is checked.
type PinMark struct {
	entry.Pin
	At stamp.Milli
	By string // who set it
}

// SignMark is a sign-off, or that one was taken back.
type SignMark struct {
	entry.SignOff
	Entry entry.ID
	At    stamp.Milli
}

// GuideMark is guided work under way.
type GuideMark struct {
	entry.Guide
	At stamp.Milli
	By string // who tapped
}

// GuidedCount counts the guided runs that somebody finished of one stage, or of a list.
type GuidedCount struct {
	Crew, What, Document, Stage string
	Count                       int64
	At                          stamp.Milli // of the last
}

// RungMark is a practice night that was kept: the best of its rung.
type RungMark struct {
	Crew string
	entry.Rung
	At stamp.Milli
}

// WorkMark says when somebody last did the work of a competence, and when what they did last opened deviations.
type WorkMark struct {
	Crew, What, Document, Competence string
	At                               stamp.Milli
	Offs                             []stamp.Milli // the latest offsMost, oldest first
}

// Guided returns the guided work that covers a stage of a batch, or a list of a day, for a member; nil when none does.
// The latest one counts. What comes out of a batch is covered by what was begun on it.
func (s *State) Guided(crew string, at entry.Spot) *GuideMark {
	var found *GuideMark
	b := s.Batch(at.Batch)
	here := func(g *GuideMark) bool {
		from := entry.Spot{Batch: g.Batch, Stage: at.Stage}
		return g.Spot == at || b != nil && at.List == "" && g.Spot == from && slices.Contains(b.Parents, g.Batch)
	}
	for i := range s.Guides {
		if g := &s.Guides[i]; g.Crew == crew && here(g) && (found == nil || g.At >= found.At) {
			found = g
		}
	}
	return found
}

// training folds what is about learning the work.
func (f *folding) training(body entry.Body) {
	switch b := body.(type) {
	case *entry.Pin:
		f.pin(b)
	case *entry.Guide:
		f.guide(b)
	case *entry.GuideAsk:
		f.guideAsked(b)
	case *entry.GuideAnswer:
		f.guideAnswered(b)
	case *entry.GuideCheck:
		f.guideChecked(b)
	case *entry.TrainerNote:
		f.trainerNoted(b)
	case *entry.SignOff:
		f.signOff(b)
	case *entry.Rung:
		f.rung(b)
	default:
		f.household(body)
	}
}

func (f *folding) pin(b *entry.Pin) {
	row := PinMark{Pin: *b, At: f.at, By: f.e.Crew}
	put(&f.s.Pins, row, byPin)
}

func (f *folding) signOff(b *entry.SignOff) {
	put(&f.s.SignOffs, SignMark{SignOff: *b, Entry: f.e.ID, At: f.at}, bySign)
}

func (f *folding) guide(b *entry.Guide) {
	put(&f.s.Guides, GuideMark{Guide: *b, At: f.at, By: f.e.Crew}, byGuide)
}

// rung keeps the best night of a rung: one that was passed, then the one with more settled rightly.
func (f *folding) rung(b *entry.Rung) {
	if f.e.Crew == "" {
		return
	}
	row := RungMark{Crew: f.e.Crew, Rung: *b, At: f.at}
	i, ok := slices.BinarySearchFunc(f.s.Rungs, row, byRung)
	if ok {
		if old := &f.s.Rungs[i]; old.Passed && !b.Passed || old.Passed == b.Passed && old.Right > b.Right {
			return
		}
	}
	put(&f.s.Rungs, row, byRung)
}

// put puts a row where it belongs in a sorted list, in the place of one of the same name.
func put[T any](list *[]T, row T, by func(a, b T) int) {
	i, ok := slices.BinarySearchFunc(*list, row, by)
	if ok {
		(*list)[i] = row
		return
	}
	*list = order.Insert(*list, i, row)
}

func byPin(a, b PinMark) int { return cmp.Compare(a.Crew, b.Crew) }

func bySign(a, b SignMark) int {
	return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.What, b.What), cmp.Compare(a.Document, b.Document),
		cmp.Compare(a.Competence, b.Competence))
}

func byGuide(a, b GuideMark) int { return a.Guide.Guide.Compare(b.Guide.Guide) }

func byCount(a, b GuidedCount) int {
	return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.What, b.What), cmp.Compare(a.Document, b.Document),
		cmp.Compare(a.Stage, b.Stage))
}

func byRung(a, b RungMark) int {
	return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Procedure, b.Procedure), cmp.Compare(a.Rung.Rung, b.Rung.Rung))
}

func byWork(a, b WorkMark) int {
	return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.What, b.What), cmp.Compare(a.Document, b.Document),
		cmp.Compare(a.Competence, b.Competence))
}

func (t *Training) sorted() bool {
	return inOrder(t.Pins, byPin) && inOrder(t.SignOffs, bySign) && inOrder(t.Guides, byGuide) && inOrder(t.GuidedRuns, byCount) &&
		inOrder(t.Rungs, byRung) && inOrder(t.Worked, byWork)
}

func inOrder[T any](list []T, by func(a, b T) int) bool {
	return ascending(list, func(a, b *T) int { return by(*a, *b) })
}

func (t *Training) clone() Training {
	c := Training{slices.Clone(t.Pins), slices.Clone(t.SignOffs), slices.Clone(t.Guides), slices.Clone(t.GuidedRuns), slices.Clone(t.Rungs),
		slices.Clone(t.Worked)}
	for i := range c.Worked {
		c.Worked[i].Offs = slices.Clip(c.Worked[i].Offs)
	}
	return c
}

// Fields implements wire.Fielder.
func (t *Training) Fields(c *wire.Coder) {
	wire.List(c, "pins", &t.Pins, wire.Framed[PinMark])
	wire.List(c, "signOffs", &t.SignOffs, wire.Framed[SignMark])
	wire.List(c, "guides", &t.Guides, wire.Framed[GuideMark])
	wire.List(c, "guidedRuns", &t.GuidedRuns, wire.Framed[GuidedCount])
	wire.List(c, "rungs", &t.Rungs, wire.Framed[RungMark])
	wire.List(c, "worked", &t.Worked, wire.Framed[WorkMark])
}

// Fields implements wire.Fielder.
func (m *PinMark) Fields(c *wire.Coder) {
	wire.Int(c, "at", &m.At)
	wire.Str(c, "by", &m.By)
	m.Pin.Fields(c)
}

// Fields implements wire.Fielder.
func (m *SignMark) Fields(c *wire.Coder) {
	m.Entry.Walk(c, "entry")
	wire.Int(c, "at", &m.At)
	m.SignOff.Fields(c)
}

// Fields implements wire.Fielder.
func (m *GuideMark) Fields(c *wire.Coder) {
	wire.Int(c, "at", &m.At)
	wire.Str(c, "tapped", &m.By)
	m.Guide.Fields(c)
}

// Fields implements wire.Fielder.
func (m *GuidedCount) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &m.Crew)
	wire.Str(c, "what", &m.What)
	wire.Str(c, "document", &m.Document)
	wire.Str(c, "stage", &m.Stage)
	wire.Int(c, "count", &m.Count)
	wire.Int(c, "at", &m.At)
}

// Fields implements wire.Fielder.
func (m *RungMark) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &m.Crew)
	wire.Int(c, "at", &m.At)
	m.Rung.Fields(c)
}

// Fields implements wire.Fielder.
func (m *WorkMark) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &m.Crew)
	wire.Str(c, "what", &m.What)
	wire.Str(c, "document", &m.Document)
	wire.Str(c, "competence", &m.Competence)
	wire.Int(c, "at", &m.At)
	wire.List(c, "offs", &m.Offs, func(c *wire.Coder, at *stamp.Milli) { wire.Int(c, "", at) })
}
