package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
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
	Prints     []Print       // by What, Document, Competence, Version: what sign-offs rest on
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

// GuideMark is guided work under way. One without a batch is of a batch about to be begun: its Stage is the procedure's name, a
// slash, and the name of its first stage.
type GuideMark struct {
	entry.Guide
	At   stamp.Milli
	By   string     // who tapped
	Also []entry.ID // batches that were begun in the same go
}

// GuidedCount counts the guided runs that somebody finished of one stage, or of a list.
type GuidedCount struct {
	Crew, What, Document, Stage string
	Count                       int64
	At                          stamp.Milli // of the last
	Version, Print              uint32      // by which version the newest of them went, and what had to be known of the stage then
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
		inOrder(t.Rungs, byRung) && inOrder(t.Worked, byWork) &&
		inOrder(t.Prints, byPrint)
}

func inOrder[T any](list []T, by func(a, b T) int) bool {
	return ascending(list, func(a, b *T) int { return by(*a, *b) })
}

func (t *Training) clone() Training {
	c := Training{slices.Clone(t.Pins), slices.Clone(t.SignOffs), slices.Clone(t.Guides), slices.Clone(t.GuidedRuns), slices.Clone(t.Rungs),
		slices.Clone(t.Worked), slices.Clone(t.Prints)}
	for i := range c.Guides {
		c.Guides[i].Also = slices.Clip(c.Guides[i].Also)
	}
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
	wire.List(c, "prints", &t.Prints, wire.Framed[Print])
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
	wire.List(c, "also", &m.Also, entry.WalkID)
}

// Fields implements wire.Fielder.
func (m *GuidedCount) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &m.Crew)
	wire.Str(c, "what", &m.What)
	wire.Str(c, "document", &m.Document)
	wire.Str(c, "stage", &m.Stage)
	wire.Int(c, "count", &m.Count)
	wire.Int(c, "at", &m.At)
	wire.Uint(c, "version", &m.Version)
	wire.Uint(c, "print", &m.Print)
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

// Fields implements wire.Fielder.
func (m *Print) Fields(c *wire.Coder) {
	wire.Str(c, "what", &m.What)
	wire.Str(c, "document", &m.Document)
	wire.Str(c, "competence", &m.Competence)
	wire.Uint(c, "version", &m.Version)
	wire.List(c, "parts", &m.Parts, wire.Struct[PrintPart])
}

// Fields implements wire.Fielder.
func (m *PrintPart) Fields(c *wire.Coder) {
	wire.Uint(c, "name", &m.Name)
	wire.Uint(c, "sum", &m.Sum)
}
