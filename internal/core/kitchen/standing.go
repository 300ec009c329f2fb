package kitchen

import (
	"cmp"
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Lapse says why a sign-off no longer holds.
type Lapse uint8

// Why a sign-off lapses.
const (
	LapseNone       Lapse = iota
	LapseUnused           // the work was not done for too long: Standing.Unused
	LapseChanged          // a critical step or a limit of its stages is another one by now: Standing.Stage, Step, Version
	LapseDeviations       // too many deviations of the work: Standing.Offs
)

// Standing says how somebody stands with a competence.
type Standing struct {
	Crew, What, Document string
	Competence           *procedure.Competence // nil: the document has none of that name
	Version              uint32                // of the document by which it is judged
	Sign                 *SignMark             // what was said last; nil: nothing ever
	Signed               bool                  // it was signed off, and that holds
	Lapse                Lapse
	Stage, Step          string // of LapseChanged; no Step: the limits of the stage
	Unused               stamp.Span
	Offs                 int64 // deviations of the work that count now
	Guided               int64 // guided runs that were finished of each of its stages
	Rung                 int64 // the highest that was passed
	// What a signature that lapsed or was taken back leaves to be shown anew, by stages; "" stands for a list:
	Changed []string // something that must be known of them is another than when it was signed
	Again   []string // they must be led through once more
}

// Needs returns how many guided runs, which rung and how many per cent of the questions are asked for. What experience stood
// for once is not asked for when the signature lapses: only what must be shown anew.
func (x *Standing) Needs() (guided, rung, questions int64) {
	c := x.Competence
	if x.Lapse != LapseNone && x.Sign.Grounds == entry.GroundsExperience {
		return 0, 0, 0
	}
	return c.Guided, c.Rung, c.Questions
}

// Missing tells whether evidence is lacking that the competence needs, given how many per cent of its questions are known, and how
// many about what changed are not.
func (x *Standing) Missing(known, unknown int64) bool {
	if x.Competence == nil {
		return true
	}
	guided, rung, questions := x.Needs()
	return x.Guided < guided || x.Rung < rung || known < questions || unknown > 0 || len(x.Again) > 0
}

// Standing says how somebody stands with a competence of a document's newest version.
func (s *State) Standing(crew, what, document, competence string, now stamp.Milli) Standing {
	if l := s.List(document); what == WhatList && l != nil && l.Competence != nil && l.Competence.Name == competence {
		return s.standing(crew, work{what, document, l.Competence, l.Version, nil, l}, now)
	}
	if p := s.Procedure(document, 0); what == WhatProcedure && p != nil {
		if c := p.CompetenceNamed(competence); c != nil {
			return s.standing(crew, work{what, document, c, p.Version, p, nil}, now)
		}
	}
	return Standing{Crew: crew, What: what, Document: document}
}

// work is what a competence is about.
type work struct {
	what, document string
	*procedure.Competence
	version uint32
	p       *procedure.Procedure
	l       *procedure.List
}

func (s *State) standing(crew string, w work, now stamp.Milli) Standing {
	x := Standing{Crew: crew, What: w.what, Document: w.document, Competence: w.Competence, Version: w.version}
	x.Guided, x.Rung = s.guidedRuns(crew, w), s.rungOf(crew, w.document)
	name := SignMark{}
	name.Crew, name.What, name.Document, name.Competence = crew, w.what, w.document, w.Name
	i, ok := slices.BinarySearchFunc(s.SignOffs, name, bySign)
	if !ok {
		return x
	}
	x.Sign = &s.SignOffs[i]
	done := x.Sign.At
	if m := s.worked(crew, w); m != nil {
		done = max(done, m.At)
		x.Offs = runOf(m.Offs, x.Sign.At)
	}
	x.Unused = now.Since(done)
	since := stamp.Milli(0) // what was led through up to then does not count any more
	s.changed(&x, w)
	if w.Deviations > 0 && x.Offs >= w.Deviations {
		x.Lapse, since = LapseDeviations, last(s.worked(crew, w).Offs)
	}
	if len(x.Changed) > 0 {
		x.Lapse = LapseChanged
	}
	if w.Unused > 0 && x.Unused > w.Unused {
		x.Lapse, since = LapseUnused, max(since, done)
	}
	if x.Sign.Gone {
		x.Lapse, since = LapseNone, max(since, x.Sign.At)
	}
	x.Signed = x.Lapse == LapseNone && !x.Sign.Gone
	s.again(&x, w, since)
	return x
}

func last(list []stamp.Milli) stamp.Milli { return list[len(list)-1] }

// again finds the stages that must be led through once more: all of them since an instant, and what changed as it is now. Where a
// competence asks for no guided runs, none is asked for anew.
func (s *State) again(x *Standing, w work, since stamp.Milli) {
	if w.Guided == 0 || x.Signed {
		return
	}
	for _, stage := range w.spots() {
		g := s.guidedCount(x.Crew, w, stage)
		if since > 0 && g.At <= since || slices.Contains(x.Changed, stage) && g.Print != w.sum(stage) {
			x.Again = append(x.Again, stage)
		}
	}
}

// runOf returns the most deviations after an instant that lie within procedure.LapseWithin. A run that was reached stays: time
// alone heals nothing.
func runOf(offs []stamp.Milli, after stamp.Milli) int64 {
	most := 0
	for i, from := range offs {
		n := 0
		for _, at := range offs[i:] {
			if at.Since(from) <= procedure.LapseWithin {
				n++
			}
		}
		if from > after {
			most = max(most, n)
		}
	}
	return int64(most)
}

func (s *State) worked(crew string, w work) *WorkMark {
	i, ok := slices.BinarySearchFunc(s.Worked, WorkMark{Crew: crew, What: w.what, Document: w.document, Competence: w.Name}, byWork)
	if !ok {
		return nil
	}
	return &s.Worked[i]
}

// spots lists the stages of the competence; "" for a list.
func (w *work) spots() []string {
	if w.l != nil {
		return []string{""}
	}
	return w.Stages
}

// guidedRuns returns how many guided runs somebody finished: of a procedure that of its stage with the fewest.
func (s *State) guidedRuns(crew string, w work) int64 {
	least := int64(-1)
	for _, stage := range w.spots() {
		if n := s.guidedCount(crew, w, stage).Count; least < 0 || n < least {
			least = n
		}
	}
	return max(least, 0)
}

func (s *State) guidedCount(crew string, w work, stage string) GuidedCount {
	row := GuidedCount{Crew: crew, What: w.what, Document: w.document, Stage: stage}
	if i, ok := slices.BinarySearchFunc(s.GuidedRuns, row, byCount); ok {
		return s.GuidedRuns[i]
	}
	return row
}

func (s *State) rungOf(crew, document string) int64 {
	most := uint32(0)
	for i := range s.Rungs {
		if r := &s.Rungs[i]; r.Crew == crew && r.Procedure == document && r.Passed {
			most = max(most, r.Rung.Rung)
		}
	}
	return int64(most)
}

// Print stands for what somebody must know of a competence in one version: the limits of each of its stages, and each critical
// step. It outlives the version itself, which leaves the state when no batch goes by it.
type Print struct {
	What, Document, Competence string
	Version                    uint32
	Parts                      []PrintPart // by Name
}

// PrintPart is one of them.
type PrintPart struct{ Name, Sum uint32 }

func byPrint(a, b Print) int {
	return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.Document, b.Document), cmp.Compare(a.Competence, b.Competence),
		cmp.Compare(a.Version, b.Version))
}

func byPart(a, b PrintPart) int { return cmp.Compare(a.Name, b.Name) }

// watched calls each with what the competence asks to be known: the limits of a stage (no step), and critical steps.
func (w *work) watched(each func(stage, step string, sum uint32)) {
	steps := func(stage string, list []procedure.Step) {
		for i := range list {
			if t := &list[i]; t.Critical {
				each(stage, t.Name, sumOf(t))
			}
		}
	}
	if w.l != nil {
		steps("", w.l.Steps)
		return
	}
	for i := range w.p.Stages {
		if st := &w.p.Stages[i]; w.Covers(st.Name) {
			each(st.Name, "", limitsOf(st))
			steps(st.Name, st.Steps)
		}
	}
}

// sum stands for all that is watched of one stage.
func (w *work) sum(stage string) uint32 {
	sum := uint32(0)
	w.watched(func(at, step string, part uint32) {
		if at == stage {
			sum = (sum^partName(at, step))*16777619 ^ part
		}
	})
	return sum
}

// changed finds the stages of which something that the competence asks to be known is another than when it was signed, and what
// is the first of it.
func (s *State) changed(x *Standing, w work) {
	if w.version <= x.Sign.Version {
		return
	}
	i, ok := slices.BinarySearchFunc(s.Prints, Print{What: w.what, Document: w.document, Competence: w.Name, Version: x.Sign.Version}, byPrint)
	if !ok { // what was signed is not known here any more: nobody can say that it is the same
		x.Changed = w.spots()
		return
	}
	parts, found := s.Prints[i].Parts, 0
	w.watched(func(stage, step string, sum uint32) {
		j, ok := slices.BinarySearchFunc(parts, PrintPart{Name: partName(stage, step)}, byPart)
		if ok {
			found++
		}
		if ok && parts[j].Sum == sum {
			return
		}
		if len(x.Changed) == 0 {
			x.Stage, x.Step = stage, step
		}
		if !slices.Contains(x.Changed, stage) {
			x.Changed = append(x.Changed, stage)
		}
	})
	if found < len(parts) { // something is there no longer: nothing says of which stage
		x.Changed = w.spots()
	}
}

func partName(stage, step string) uint32 { return wire.Sum(stage + "/" + step) }

// print keeps what somebody who is signed off now must know, and drops what no sign-off rests on any more.
func (s *State) print(w work, version uint32) {
	if w.Competence == nil {
		return
	}
	row := Print{What: w.what, Document: w.document, Competence: w.Name, Version: version}
	w.watched(func(stage, step string, sum uint32) {
		put(&row.Parts, PrintPart{partName(stage, step), sum}, byPart)
	})
	put(&s.Prints, row, byPrint)
	s.Prints = slices.DeleteFunc(s.Prints, func(p Print) bool {
		return !slices.ContainsFunc(s.SignOffs, func(m SignMark) bool {
			return m.What == p.What && m.Document == p.Document && m.Competence == p.Competence && m.Version == p.Version
		})
	})
}

func limitsOf(st *procedure.Stage) uint32 {
	w, e := &st.Window, &st.Enter
	text := ""
	for _, n := range []int64{int64(w.Floor), int64(w.BestFrom), int64(w.BestUntil), int64(w.Ceiling), e.MostGrams, e.MostPiece} {
		text += strconv.FormatInt(n, 10) + "/"
	}
	return wire.Sum(text + flags(w.Hard, w.HardFloor, st.Pressure) + cautionText(st.Caution))
}

func sumOf(t *procedure.Step) uint32 {
	text := t.Text.EN + t.Text.ES + t.How.EN + t.How.ES + t.IfNot.EN + t.IfNot.ES + t.Unit + t.Role + flags(t.Optional, t.Limit.Hard)
	for _, n := range []*int64{t.Limit.Min, t.Limit.Max} {
		text += "/"
		if n != nil {
			text += strconv.FormatInt(*n, 10)
		}
	}
	return wire.Sum(text + strconv.Itoa(int(t.Kind)) + cautionText(t.Caution))
}

func cautionText(c *procedure.Caution) string {
	text := ""
	if c != nil {
		for _, l := range c.Lines {
			text += "/" + l.EN + l.ES
		}
	}
	return text
}

func flags(list ...bool) string {
	text := ""
	for _, b := range list {
		text += strconv.FormatBool(b)
	}
	return text
}
