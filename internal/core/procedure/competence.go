package procedure

import (
	"slices"
	"strconv"

	"brinebell/internal/core/stamp"
)

// Competence is work that nobody does alone before somebody has signed that they can.
type Competence struct {
	Name       string // stable short id within the document
	Title      Text
	Stages     []string   // of a procedure: the stages that it covers; of a list none, it covers all of it
	Guided     int64      // guided runs that it needs
	Rung       int64      // rung of the practice ladder that it needs; 0: none
	Questions  int64      // per cent of its questions that must be known
	Unused     stamp.Span // it lapses when its work was not done for so long; 0: never for that
	Deviations int64      // it lapses after so many deviations of its work within LapseWithin; 0: never for that
}

// LapseWithin is within how long deviations count as a run: common practice, no source.
const LapseWithin = 30 * stamp.Day

const (
	competencesMax = 12
	rungMax        = 20
)

// LapseMost is how many deviations a competence may allow before it lapses.
const LapseMost = 12

// Covers tells whether a competence is about a stage.
func (c *Competence) Covers(stage string) bool { return slices.Contains(c.Stages, stage) }

// Competence returns the competence that covers a stage, or nil: one at most does.
func (p *Procedure) Competence(stage string) *Competence {
	for i := range p.Competences {
		if p.Competences[i].Covers(stage) {
			return &p.Competences[i]
		}
	}
	return nil
}

// CompetenceNamed returns the competence called name, or nil.
func (p *Procedure) CompetenceNamed(name string) *Competence {
	for i := range p.Competences {
		if p.Competences[i].Name == name {
			return &p.Competences[i]
		}
	}
	return nil
}

func (n *node) competence(list bool) Competence {
	known := []string{"name", "title", "stages", "needs", "lapses"}
	if list {
		known = slices.Delete(known, 2, 3)
	}
	n.object(known...)
	c := Competence{Name: n.need("name").id(), Title: n.need("title").words(titleMax)}
	if !list {
		for _, s := range n.need("stages").list(1, stagesMax) {
			c.Stages = append(c.Stages, s.id())
		}
	}
	needs := []string{"guided", "practice", "questions"}
	if list { // nobody practises a list at night, and no questions are made of one
		needs = needs[:1]
	}
	if m := n.get("needs"); m.there() && m.object(needs...) {
		c.Guided = m.get("guided").whole(1, 100)
		c.Rung = m.get("practice").whole(1, rungMax)
		c.Questions = m.get("questions").whole(1, 100)
	}
	if m := n.get("lapses"); m.there() && m.object("unused", "deviations") {
		c.Unused = m.get("unused").span()
		c.Deviations = m.get("deviations").whole(1, LapseMost)
	}
	return c
}

// checkCompetences asks that each covers stages that there are, and no stage is covered twice.
func (n *node) checkCompetences(p *Procedure) {
	var names, covered []string
	for i := range p.Competences {
		c := &p.Competences[i]
		names = append(names, c.Name)
		for j, stage := range c.Stages {
			at := n.child("competences", i).child("stages", j)
			if s, _ := p.Stage(stage); s == nil && stage != "" {
				at.fault(say("There is no stage {0}.", "No hay ninguna etapa {0}.", strconv.Quote(stage)))
			} else if slices.Contains(covered, stage) {
				at.fault(say("The stage {0} is covered already: one competence for each stage.",
					"La etapa {0} ya está cubierta: una competencia por etapa.", strconv.Quote(stage)))
			}
			covered = append(covered, stage)
		}
	}
	n.checkNames("competences", names)
}
